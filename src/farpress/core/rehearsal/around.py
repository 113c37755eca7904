"""Air that a fan clears, a leaf that rolls on a slope, a sound that comes to a window: school physics."""

from __future__ import annotations

import math
from typing import Final

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["climbing_force_n", "gas_left_share", "level_db", "rolled_off", "steady_share"]

GRAVITY_M_PER_S2: Final = 9.80665


@cites("dilution of a well mixed room, exp(-Qt/V)", mark=Mark.COMPUTED)
def gas_left_share(*, room_m3: float, moved_m3_per_h: float, time_s: float) -> float:
    """Share of a gas that is left after a fan has run for some time; the air is taken to be mixed well.

    Args:
        room_m3: volume of the room [m3].
        moved_m3_per_h: what the fan moves [m3/h].
        time_s: how long it runs [s].

    Raises:
        OutOfRange: no room, or a fan or a time below zero.

    Example:
        Ten changes of air in an hour leave one part in e after six minutes:

        >>> round(gas_left_share(room_m3=100.0, moved_m3_per_h=1000.0, time_s=360.0), 3)
        0.368
    """
    require_range("room_m3", room_m3, "m3", low=1e-6, because="a volume")
    require_range("moved_m3_per_h", moved_m3_per_h, "m3/h", low=0.0, because="a flow")
    require_range("time_s", time_s, "s", low=0.0, because="a time")
    return math.exp(-moved_m3_per_h * time_s / 3600.0 / room_m3)


@cites("what comes in over what is moved", mark=Mark.COMPUTED)
def steady_share(*, gas_m3_per_h: float, moved_m3_per_h: float) -> float:
    """Share of a gas in the air that stays when it comes in all the time, at most all of it.

    Args:
        gas_m3_per_h: what comes in [m3/h].
        moved_m3_per_h: what the fan moves [m3/h].

    Raises:
        OutOfRange: a flow below zero.

    Example:
        >>> steady_share(gas_m3_per_h=5.0, moved_m3_per_h=1000.0)
        0.005
    """
    require_range("gas_m3_per_h", gas_m3_per_h, "m3/h", low=0.0, because="a flow")
    require_range("moved_m3_per_h", moved_m3_per_h, "m3/h", low=0.0, because="a flow")
    return min(1.0, gas_m3_per_h / moved_m3_per_h) if moved_m3_per_h else 1.0


def _sine(climbs_m: float, leaf_m: float) -> float:
    require_range("leaf_m", leaf_m, "m", low=0.1, because="the way of the leaf")
    require_range("climbs_m", climbs_m, "m", low=0.0, high=leaf_m, because="no more than its way")
    return climbs_m / leaf_m


@cites("inclined plane with rolling friction", mark=Mark.COMPUTED)
def climbing_force_n(*, leaf_kg: float, climbs_m: float, leaf_m: float, friction: float) -> float:
    """Force that pushes a rolling leaf up its slope [N].

    Args:
        leaf_kg: mass [kg].
        climbs_m: height it gains on its way [m].
        leaf_m: its way [m].
        friction: rolling friction over the weight.

    Raises:
        OutOfRange: no mass, no way, or more height than way.

    Example:
        >>> round(climbing_force_n(leaf_kg=100.0, climbs_m=0.3, leaf_m=5.0, friction=0.02), 1)
        78.4
    """
    require_range("leaf_kg", leaf_kg, "kg", low=0.1, because="a mass")
    sine = _sine(climbs_m, leaf_m)
    return leaf_kg * GRAVITY_M_PER_S2 * (sine + friction * math.sqrt(1.0 - sine * sine))


@cites("inclined plane with rolling friction", mark=Mark.COMPUTED)
def rolled_off(*, climbs_m: float, leaf_m: float, friction: float) -> tuple[float, float]:
    """Speed and time at the lower end of a rolling leaf that is let go at the upper one [m/s], [s].

    Zero and infinite where friction holds it.

    Args:
        climbs_m: height between the ends [m].
        leaf_m: its way [m].
        friction: rolling friction over the weight.

    Raises:
        OutOfRange: no way, or more height than way.

    Example:
        >>> rolled_off(climbs_m=0.05, leaf_m=5.0, friction=0.02)[0]
        0.0
        >>> [round(value, 2) for value in rolled_off(climbs_m=0.3, leaf_m=5.0, friction=0.02)]
        [1.98, 5.05]
    """
    sine = _sine(climbs_m, leaf_m)
    pull = GRAVITY_M_PER_S2 * (sine - friction * math.sqrt(1.0 - sine * sine))
    if pull <= 0.0:
        return 0.0, math.inf
    return math.sqrt(2.0 * pull * leaf_m), math.sqrt(2.0 * leaf_m / pull)


@cites("sound of a point source, 6 dB less at twice the distance", mark=Mark.COMPUTED)
def level_db(*, at_1_m: float, distance_m: float) -> float:
    """Level of a sound at a distance in the open, without what stands between [dB(A)].

    Args:
        at_1_m: level at 1 m [dB(A)].
        distance_m: to whoever hears it [m].

    Raises:
        OutOfRange: nearer than 1 m.

    Example:
        >>> round(level_db(at_1_m=100.0, distance_m=20.0))
        74
    """
    require_range("distance_m", distance_m, "m", low=1.0, because="the level is given there")
    return at_1_m - 20.0 * math.log10(distance_m)
