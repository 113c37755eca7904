"""How long a battery carries a system, how large it must be, and how it is charged again."""

from __future__ import annotations

from typing import Final

import numpy as np

from farpress.errors import InputError, require_range
from farpress.sources import Mark, cites

__all__ = [
    "AGEING_FACTOR",
    "CHARGE_ACCEPTANCE",
    "COLDEST_DEGC",
    "RECHARGED_SHARE",
    "battery_capacity_ah",
    "demanded_recharge_s",
    "demanded_standby_s",
    "discharge_factor",
    "recharge_current_a",
    "standby_s",
    "temperature_factor",
    "usable_share",
    "worn_ohm",
]

AGEING_FACTOR: Final = 1.25
"""A battery counts as worn at 80 % of its rated capacity: DIN VDE 0833-2, read in a maker's manual."""

WORN_OHM_FACTOR: Final = 1.5
"""Resistance of a battery that is due to be replaced, over that of a new one: IEEE 1188, from memory."""

COLDER_OHM_SHARE: Final = 0.015
"""More resistance for each kelvin below 25 degC: common practice, no source."""

CHARGE_ACCEPTANCE: Final = 1.2
"""Charge put in for charge gained, lead-acid; from memory."""

RECHARGED_SHARE: Final = 0.8
"""Of the rated capacity, within the recharge time: EN 50131-6 edition 2, read in a distributor's note."""

COLDEST_DEGC: Final = -3.9
"""Where the table of IEEE 485 for cold batteries begins; from memory."""

_HOUR_S: Final = 3600.0

_COLD: Final = (
    (COLDEST_DEGC, 1.52),
    (-1.1, 1.43),
    (1.7, 1.35),
    (4.4, 1.30),
    (10.0, 1.19),
    (15.6, 1.11),
    (21.1, 1.04),
    (25.0, 1.00),
)


@cites("capacity divided by current", mark=Mark.COMPUTED)
def standby_s(*, capacity_ah: float, usable_share: float, load_a: float) -> float:
    """Time a battery carries a steady load [s].

    >>> standby_s(capacity_ah=7.0, usable_share=0.6, load_a=0.112) / 3600
    37.5
    """
    require_range("capacity_ah", capacity_ah, "Ah", low=0.0, because="a capacity")
    require_range("usable_share", usable_share, "", low=0.0, high=1.0, because="a share")
    require_range("load_a", load_a, "A", low=1e-9, because="without a load it lasts for ever")
    return capacity_ah * usable_share / load_a * _HOUR_S


@cites("DIN VDE 0833-2", place="battery sizing", mark=Mark.COPY)
def battery_capacity_ah(
    *,
    rest_a: float,
    rest_s: float,
    alarm_a: float,
    alarm_s: float,
    ageing: float,
    discharge: float,
    temperature: float = 1.0,
) -> float:
    """Rated capacity needed for a rest time followed by an alarm time [Ah].

    Args:
        rest_a, rest_s: current and time at rest [A], [s].
        alarm_a, alarm_s: current and time of the alarm after it [A], [s].
        ageing: factor for wear, as `AGEING_FACTOR`.
        discharge: factor for a fast discharge, as `discharge_factor`.
        temperature: factor for cold; 1 at 25 degC.
    """
    for name, value in (("rest_a", rest_a), ("rest_s", rest_s), ("alarm_a", alarm_a), ("alarm_s", alarm_s)):
        require_range(
            name, value, name[-1].upper().replace("S", "s"), low=0.0, because="currents and times of a load"
        )
    for name, value in (("ageing", ageing), ("discharge", discharge), ("temperature", temperature)):
        require_range(name, value, "", low=0.5, high=5.0, because="our choice: a factor near 1")
    return (rest_a * rest_s + alarm_a * alarm_s) / _HOUR_S * ageing * discharge * temperature


@cites("DIN VDE 0833-2", place="1.1 up to 12 h of discharge", mark=Mark.COPY)
def discharge_factor(*, discharge_s: float) -> float:
    """1.1 for a discharge of up to 12 h, 1 for a slower one."""
    require_range("discharge_s", discharge_s, "s", low=0.0, because="a time")
    return 1.1 if discharge_s <= 12 * _HOUR_S else 1.0


@cites("EN 50131-6", edition="2", place="standby of supplies with a rechargeable battery", mark=Mark.COPY)
def demanded_standby_s(*, grade: int, fault_signalled: bool = False) -> float:
    """Standby demanded of a supply with a rechargeable battery, by grade [s].

    Args:
        grade: 1 to 4.
        fault_signalled: a mains fault is signalled to a receiving centre; halves grades 3 and 4.
    """
    _check_grade(grade)
    if grade <= 2:
        return 12 * _HOUR_S
    return (30 if fault_signalled else 60) * _HOUR_S


@cites(
    "EN 50131-6",
    edition="2",
    place="recharge to 80 %; 72 h read in a manual, 24 h of grades 3 and 4 from memory",
    mark=Mark.MEMORY,
)
def demanded_recharge_s(*, grade: int) -> float:
    """Time in which 80 % of the rated capacity must be back [s]."""
    _check_grade(grade)
    return (72 if grade <= 2 else 24) * _HOUR_S


@cites("charge divided by time", mark=Mark.COMPUTED)
def recharge_current_a(
    *, capacity_ah: float, within_s: float, share: float = RECHARGED_SHARE, acceptance: float = 1.0
) -> float:
    """Charging current that brings back a share of the capacity within a time [A].

    Args:
        capacity_ah: rated capacity [Ah].
        within_s: time for it [s].
        share: of the capacity that must be back.
        acceptance: charge put in for charge gained, 1 for none lost.

    >>> recharge_current_a(capacity_ah=7.0, within_s=24 * 3600.0)
    0.2333
    """
    require_range("capacity_ah", capacity_ah, "Ah", low=0.0, because="a capacity")
    require_range("within_s", within_s, "s", low=1.0, because="a time")
    require_range("share", share, "", low=0.0, high=1.0, because="a share")
    require_range(
        "acceptance", acceptance, "", low=1.0, high=2.0, because="no battery gives back more than it took"
    )
    return share * capacity_ah * acceptance * _HOUR_S / within_s


@cites("IEEE 485", place="Table 1, capacity at low temperature, base 25 °C", mark=Mark.MEMORY)
def temperature_factor(*, temperature_degc: float) -> float:
    """How much more capacity a lead battery must have in the cold; between rows by a straight line.

    >>> temperature_factor(temperature_degc=10.0)
    1.19
    """
    require_range(
        "temperature_degc",
        temperature_degc,
        "degC",
        low=COLDEST_DEGC,
        high=60.0,
        because="the table begins at -3.9 degC: no lead battery should stand colder",
    )
    return float(np.interp(temperature_degc, [row[0] for row in _COLD], [row[1] for row in _COLD]))


@cites(
    "DIN VDE 0833-2",
    place="factors for wear and fast discharge, with that for cold of IEEE 485",
    mark=Mark.MEMORY,
)
def usable_share(*, discharge_s: float, coldest_degc: float) -> float:
    """Share of the rated capacity that is left of a worn battery, discharged in a given time, in the cold.

    >>> usable_share(discharge_s=12 * 3600.0, coldest_degc=10.0)
    0.611
    """
    return 1 / (
        AGEING_FACTOR
        * discharge_factor(discharge_s=discharge_s)
        * temperature_factor(temperature_degc=coldest_degc)
    )


@cites(
    "IEEE 1188",
    place="half more resistance than new: replace it; in the cold 1.5 % a kelvin, common practice",
    mark=Mark.MEMORY,
)
def worn_ohm(*, fresh_ohm: float, coldest_degc: float) -> float:
    """Resistance inside a lead battery at the end of its life, in the cold [ohm].

    Args:
        fresh_ohm: new, charged and at 25 degC, as its sheet gives it [ohm].
        coldest_degc: where it stands in winter [degC].

    >>> worn_ohm(fresh_ohm=0.025, coldest_degc=10.0)
    0.04594
    """
    require_range("fresh_ohm", fresh_ohm, "ohm", low=0.0, because="a resistance")
    require_range("coldest_degc", coldest_degc, "degC", low=-60.0, high=80.0, because="where batteries stand")
    return fresh_ohm * WORN_OHM_FACTOR * (1 + COLDER_OHM_SHARE * max(25.0 - coldest_degc, 0.0))


def _check_grade(grade: int) -> None:
    if grade not in (1, 2, 3, 4):
        raise InputError(f"grade is {grade}, but must be 1, 2, 3 or 4 (EN 50131-1).")
