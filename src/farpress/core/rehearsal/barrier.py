"""A busy barrier: presses that meet a movement, what a lane can pass, how a queue grows.

Arrivals come at random at a steady rate within a stretch of time. Telegrams that meet in
the air are not counted here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["lane_capacity_per_s", "lock_capacity_per_s", "queue_growth", "share_another_press"]


@cites("Poisson arrivals", mark=Mark.COMPUTED)
def share_another_press(*, rate_per_s: float, within_s: float) -> float:
    """Chance of at least one more press during a movement: 1 - exp(-rate x time).

    Args:
        rate_per_s: presses of all others together [1/s].
        within_s: time in which a press does harm, as the movement time [s].

    Raises:
        OutOfRange: a negative rate or time.

    Example:
        180 cars in a quarter of an hour, a movement of 6 s:

        >>> share_another_press(rate_per_s=180 / 900, within_s=6.0)
        0.699
    """
    require_range("rate_per_s", rate_per_s, "1/s", low=0.0, because="a rate is not negative")
    require_range("within_s", within_s, "s", low=0.0, because="a time is not negative")
    return -math.expm1(-rate_per_s * within_s)


@cites("one vehicle for each opening", mark=Mark.COMPUTED)
def lane_capacity_per_s(*, opening_s: float, passage_s: float, closing_s: float) -> float:
    """Vehicles a lane can pass at most when the barrier closes behind each [1/s].

    Args:
        opening_s, passage_s, closing_s: parts of one cycle [s].

    Raises:
        OutOfRange: a negative part, or a cycle of no time.

    Example:
        >>> 3600 * lane_capacity_per_s(opening_s=2.2, passage_s=3.5, closing_s=2.5)
        439.0
    """
    for name, value in (("opening_s", opening_s), ("passage_s", passage_s), ("closing_s", closing_s)):
        require_range(name, value, "s", low=0.0, because="a time is not negative")
    cycle_s = opening_s + passage_s + closing_s
    require_range("opening_s + passage_s + closing_s", cycle_s, "s", low=1e-3, because="a cycle takes time")
    return 1.0 / cycle_s


@cites("one vehicle at a time between two gates", mark=Mark.COMPUTED)
def lock_capacity_per_s(*, gates: Sequence[tuple[float, float]], passage_s: float) -> float:
    """Vehicles that a lock of gates in a row passes at most, one at a time [1/s].

    Each gate opens, lets it through, and closes before the next one opens.

    Args:
        gates: times to open and to close of each gate in a row [s].
        passage_s: one needs to pass a gate, it open [s].

    Raises:
        OutOfRange: a negative time, no gate, or a cycle of no time.

    Example:
        >>> 3600 * lock_capacity_per_s(gates=[(6.0, 6.0), (6.0, 6.0)], passage_s=4.0)
        112.5
    """
    require_range("gates", len(gates), "", low=1, because="a lock has gates")
    for opening_s, closing_s in gates:
        require_range("gates", [opening_s, closing_s], "s", low=0.0, because="a time is not negative")
    require_range("passage_s", passage_s, "s", low=0.0, because="a time is not negative")
    cycle_s = sum(opening_s + passage_s + closing_s for opening_s, closing_s in gates)
    require_range("the cycle", cycle_s, "s", low=1e-3, because="a cycle takes time")
    return 1.0 / cycle_s


@cites("arrivals less departures, averages only", mark=Mark.COMPUTED)
def queue_growth(*, arrivals: float, stretch_s: float, capacity_per_s: float) -> float:
    """Vehicles by which a queue grows in a stretch of time; negative if it can shrink.

    Averages only: with arrivals near the capacity a queue forms at times even so.

    Args:
        arrivals: vehicles that arrive in the stretch.
        stretch_s: its length [s].
        capacity_per_s: what the lane passes, see `lane_capacity_per_s` [1/s].

    Raises:
        OutOfRange: a negative argument.

    Example:
        >>> queue_growth(arrivals=180, stretch_s=900.0, capacity_per_s=1 / 8.2)
        70.2
    """
    require_range("arrivals", arrivals, "", low=0.0, because="a number of vehicles")
    require_range("stretch_s", stretch_s, "s", low=0.0, because="a time is not negative")
    require_range("capacity_per_s", capacity_per_s, "1/s", low=0.0, because="a rate is not negative")
    return arrivals - stretch_s * capacity_per_s
