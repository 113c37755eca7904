"""When a cell can no longer give the current of a press: its voltage under load, cold included.

Charge alone says how long a cell lasts in a warm room; the fob gives up earlier in the
cold, because the inner resistance grows with age and frost.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = [
    "PressMix",
    "cold_resistance_factor",
    "inner_resistance_ohm",
    "press_mix",
    "pulse_usable_share",
    "pulse_voltage_v",
]

FLAT_SHARE: Final = 2.0 / 3.0
"""Of the charge, up to which the inner resistance stays flat: 150 of 225 mAh, read for one coin cell."""

RISE_TO: Final = 1.5
"""Times the fresh resistance at `RISE_AT_SHARE`: 30 ohm against 20, read for one coin cell."""

RISE_AT_SHARE: Final = 170.0 / 225.0

COLD_FACTOR: Final = 4.0
"""Times the resistance at -20 degC, the middle of 3 to 5; from memory."""

OPEN_DROP_V_SHARE: Final = 1.0 / 30.0
"""Of the nominal voltage that the open voltage has lost near the end: 2.9 of 3.0 V; from memory."""


class PressMix(NamedTuple):
    """Presses of all kinds together: number a day and mean length [s]."""

    presses_per_day: float
    press_s: float


@cites("mean over kinds of presses", mark=Mark.COMPUTED)
def press_mix(parts: Sequence[tuple[float, float]]) -> PressMix:
    """Number a day and mean length of short, held and pocket presses together.

    Args:
        parts: presses a day [1/d] and length [s] of each kind.

    Raises:
        OutOfRange: a negative number.

    Example:
        Ten presses of a second, and one a week in the pocket held for 30 s:

        >>> press_mix([(10.0, 1.0), (1 / 7, 30.0)]).press_s
        1.4085
    """
    require_range(
        "presses a day and their lengths",
        [list(part) for part in parts] or [[0.0, 0.0]],
        "",
        low=0.0,
        because="not negative",
    )
    number = sum(presses for presses, _ in parts)
    return PressMix(number, sum(presses * length for presses, length in parts) / number if number else 0.0)


@cites("inner resistance of coin cells in the cold", place="3 to 5 times at -20 degC", mark=Mark.MEMORY)
def cold_resistance_factor(*, degc: float) -> float:
    """How many times the inner resistance grows in the cold; 1 at 20 degC and above, 4 at -20.

    Args:
        degc: temperature of the cell [degC].

    Raises:
        OutOfRange: below -40 or above 85 degC.

    Example:
        >>> cold_resistance_factor(degc=0.0)
        2.0
    """
    require_range("degc", degc, "degC", low=-40.0, high=85.0, because="our choice of where a fob may lie")
    return float(COLD_FACTOR ** ((20.0 - degc) / 40.0)) if degc < 20.0 else 1.0


@cites(
    "article on the inner resistance of lithium coin cells",
    place="18 to 20 ohm flat to 150 mAh, 30 ohm at 170 mAh of 225",
    mark=Mark.READ,
)
def inner_resistance_ohm(*, fresh_ohm: float, used_share: float, degc: float) -> float:
    """Inner resistance of a cell that has given a share of its charge, in the cold [ohm].

    Flat up to two thirds of the charge, then growing steadily more; beyond what was read it
    is carried on with the same growth.

    Args:
        fresh_ohm: of a fresh cell in a warm room [ohm].
        used_share: of its charge that is gone.
        degc: temperature [degC].

    Raises:
        OutOfRange: a resistance that is not positive, a share outside 0 to 1.

    Example:
        >>> inner_resistance_ohm(fresh_ohm=20.0, used_share=170 / 225, degc=20.0)
        30.0
    """
    require_range("fresh_ohm", fresh_ohm, "ohm", low=1e-3, because="a cell has some resistance")
    require_range("used_share", used_share, "", low=0.0, high=1.0, because="a share of the charge")
    beyond = max(used_share - FLAT_SHARE, 0.0) / (RISE_AT_SHARE - FLAT_SHARE)
    return fresh_ohm * float(RISE_TO**beyond) * cold_resistance_factor(degc=degc)


@cites("Ohm's law, open voltage falling by a thirtieth", mark=Mark.COMPUTED)
def pulse_voltage_v(
    *, open_v: float, fresh_ohm: float, send_a: float, used_share: float, degc: float
) -> float:
    """Voltage of a cell while the fob sends [V].

    Args:
        open_v: of a fresh cell without load [V].
        fresh_ohm: inner resistance of a fresh cell in a warm room [ohm].
        send_a: current while sending [A].
        used_share: of its charge that is gone.
        degc: temperature [degC].

    Raises:
        OutOfRange: as `inner_resistance_ohm`, or a negative current.

    Example:
        >>> pulse_voltage_v(open_v=3.0, fresh_ohm=20.0, send_a=0.012, used_share=0.0, degc=20.0)
        2.76
    """
    require_range("send_a", send_a, "A", low=0.0, because="not negative")
    return open_v * (1.0 - OPEN_DROP_V_SHARE * used_share) - send_a * inner_resistance_ohm(
        fresh_ohm=fresh_ohm, used_share=used_share, degc=degc
    )


@cites("pulse voltage against the least that the fob works with", mark=Mark.COMPUTED)
def pulse_usable_share(
    *, open_v: float, lowest_v: float, fresh_ohm: float, send_a: float, degc: float
) -> float:
    """Share of the charge that can be used before the voltage under load falls below the fob's least.

    Args:
        open_v: of a fresh cell without load [V].
        lowest_v: under load, at which the fob still works [V].
        fresh_ohm: inner resistance of a fresh cell in a warm room [ohm].
        send_a: current while sending [A].
        degc: coldest temperature at which it must work [degC].

    Returns:
        0 where even a fresh cell does not do it, 1 where the whole charge can be used.

    Raises:
        OutOfRange: as `pulse_voltage_v`.

    Example:
        A coin cell, 12 mA, 2.0 V: in a warm room nearly all, at -20 degC two fifths.

        >>> warm, cold = (
        ...     pulse_usable_share(open_v=3.0, lowest_v=2.0, fresh_ohm=20.0, send_a=0.012, degc=degc)
        ...     for degc in (20.0, -20.0)
        ... )
        >>> round(warm, 2), round(cold, 2)
        (0.96, 0.4)
    """
    fresh, empty = (
        pulse_voltage_v(open_v=open_v, fresh_ohm=fresh_ohm, send_a=send_a, used_share=used_share, degc=degc)
        for used_share in (0.0, 1.0)
    )
    if fresh < lowest_v:
        return 0.0
    if empty >= lowest_v:
        return 1.0
    # the voltage only falls with use, so halving finds the one crossing
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2.0
        enough = (
            pulse_voltage_v(open_v=open_v, fresh_ohm=fresh_ohm, send_a=send_a, used_share=middle, degc=degc)
            >= lowest_v
        )
        low, high = (middle, high) if enough else (low, middle)
    return low
