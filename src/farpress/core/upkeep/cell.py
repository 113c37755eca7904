"""How many years a fob's cell lasts, from what each press takes out of it.

Charge only; whether the cell can still give the current of a press when it is cold and
nearly empty is `inner_resistance_highest_ohm`.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["CellLife", "cell_life", "inner_resistance_highest_ohm"]

DAYS_PER_YEAR: Final = 365.0
"""Of a plan; leap days do not matter at this accuracy. Our choice."""


class CellLife(NamedTuple):
    """Life of a cell and where its charge goes.

    Attributes:
        years: until it is empty, or past its shelf life.
        by_charge_years: without the limit of the shelf life.
        per_press_ah: charge of one press [Ah].
        presses_ah, sleep_ah, self_discharge_ah: charge in one year [Ah].
    """

    years: float
    by_charge_years: float
    per_press_ah: float
    presses_ah: float
    sleep_ah: float
    self_discharge_ah: float


@cites("charge balance over a year", mark=Mark.COMPUTED)
def cell_life(
    *,
    capacity_ah: float,
    usable_share: float,
    send_a: float,
    press_s: float,
    presses_per_day: float,
    sleep_a: float,
    self_discharge_share: float,
    shelf_years: float | None = None,
) -> CellLife:
    """Years that a fob's cell lasts.

    years = C x usable / (365 n I_send t + 8 760 h x I_sleep + s C), at most the shelf life.

    Args:
        capacity_ah: rated [Ah].
        usable_share: of the capacity that can be used at the fob's current, cold included.
        send_a: current while sending [A].
        press_s: mean length of a press [s].
        presses_per_day: mean number [1/d].
        sleep_a: current at rest [A].
        self_discharge_share: of the capacity lost each year.
        shelf_years: longest life of an unused cell; None for no limit [years].

    Raises:
        OutOfRange: a negative number, a share above 1, or nothing that uses up the cell
            while there is no shelf life either.

    Example:
        A coin cell of 225 mAh, ten presses of one second a day:

        >>> life = cell_life(
        ...     capacity_ah=0.225,
        ...     usable_share=0.6,
        ...     send_a=0.012,
        ...     press_s=1.0,
        ...     presses_per_day=10.0,
        ...     sleep_a=0.3e-6,
        ...     self_discharge_share=0.01,
        ... )
        >>> life.years
        8.0
    """
    require_range("capacity_ah", capacity_ah, "Ah", low=1e-6, because="a cell has some charge")
    for name, share in (("usable_share", usable_share), ("self_discharge_share", self_discharge_share)):
        require_range(name, share, "", low=0.0, high=1.0, because="a share")
    for name, value, unit in (
        ("send_a", send_a, "A"),
        ("press_s", press_s, "s"),
        ("presses_per_day", presses_per_day, "1/d"),
        ("sleep_a", sleep_a, "A"),
    ):
        require_range(name, value, unit, low=0.0, because="not negative")
    per_press_ah = send_a * press_s / 3600.0
    presses_ah = DAYS_PER_YEAR * presses_per_day * per_press_ah
    sleep_ah = DAYS_PER_YEAR * 24.0 * sleep_a
    self_ah = self_discharge_share * capacity_ah
    yearly_ah = presses_ah + sleep_ah + self_ah
    if shelf_years is None:
        require_range(
            "charge used in a year",
            yearly_ah,
            "Ah",
            low=1e-12,
            because="without any use a cell's life has no end",
            hint="Give shelf_years.",
        )
    by_charge = capacity_ah * usable_share / yearly_ah if yearly_ah > 0 else float("inf")
    years = by_charge if shelf_years is None else min(by_charge, shelf_years)
    return CellLife(years, by_charge, per_press_ah, presses_ah, sleep_ah, self_ah)


@cites("Ohm's law at the end of the cell's life", mark=Mark.COMPUTED)
def inner_resistance_highest_ohm(*, open_v: float, lowest_v: float, send_a: float) -> float:
    """Highest inner resistance at which a fob still sends [ohm].

    Args:
        open_v: of the cell without load, near its end [V].
        lowest_v: at which the fob still works [V].
        send_a: current while sending [A].

    Raises:
        OutOfRange: a current that is not positive, or a lowest voltage above the open one.

    Example:
        >>> inner_resistance_highest_ohm(open_v=2.9, lowest_v=2.0, send_a=0.015)
        60.0
    """
    require_range("send_a", send_a, "A", low=1e-9, because="a fob that sends takes current")
    require_range("lowest_v", lowest_v, "V", low=0.0, high=open_v, because="not above the open voltage")
    return (open_v - lowest_v) / send_a
