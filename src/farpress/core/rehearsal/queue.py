"""Vehicles waiting at a barrier that lets one through in each cycle, arrivals at random.

The barrier serves one vehicle in a fixed time; arrivals are Poisson, steady within each
stretch of the day. Counted at the ends of cycles.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["Waiting", "waiting_over_the_day"]

LONGEST = 2000
"""Vehicles waiting at most; the share beyond is told, not hidden."""


class Waiting(NamedTuple):
    """Who waits at the end of a stretch.

    Attributes:
        mean: vehicles waiting or being served.
        nine_in_ten: not more than this in nine of ten days.
        beyond: share of days with more than could be counted.
    """

    mean: float
    nine_in_ten: int
    beyond: float


@cites("queue with one server and a fixed service time, stepped cycle by cycle", mark=Mark.COMPUTED)
def waiting_over_the_day(*, stretches: Sequence[tuple[float, float]], cycle_s: float) -> list[Waiting]:
    """Vehicles at a barrier at the end of each stretch, the first one begun with nobody there.

    Args:
        stretches: arrivals and length [s] of each stretch, one after the other.
        cycle_s: time from one vehicle to the next when they wait [s].

    Raises:
        OutOfRange: a negative number, a cycle or a stretch of no time.

    Example:
        180 cars in a quarter of an hour, 8.2 s each: 70 more than can pass, and the first ones
        find nobody to follow.

        >>> waiting_over_the_day(stretches=[(180.0, 900.0)], cycle_s=8.2)[0].mean
        71.9
    """
    require_range("cycle_s", cycle_s, "s", low=1e-3, because="a cycle takes time")
    require_range(
        "arrivals", [arrivals for arrivals, _ in stretches], "", low=0.0, because="a number of vehicles"
    )
    require_range(
        "stretch_s", [stretch for _, stretch in stretches], "s", low=1e-3, because="a stretch takes time"
    )
    spread = np.zeros(LONGEST + 1)
    spread[0] = 1.0
    found = []
    beyond = 0.0
    for arrivals, stretch_s in stretches:
        cycles, mean = round(stretch_s / cycle_s), arrivals / stretch_s * cycle_s
        most = int(mean + 12.0 * math.sqrt(mean + 1.0)) + 12
        chances = np.exp([_log_poisson(k, mean) for k in range(most + 1)])
        for _ in range(cycles):
            # one leaves if anybody is there, then those who came meanwhile
            left = np.concatenate([[spread[0] + spread[1]], spread[2:]])
            wider = np.convolve(left, chances)
            beyond += float(wider[LONGEST + 1 :].sum())
            spread = np.zeros(LONGEST + 1)
            spread[: min(len(wider), LONGEST + 1)] = wider[: LONGEST + 1]
        found.append(
            Waiting(
                float(spread @ np.arange(LONGEST + 1)), int(np.searchsorted(np.cumsum(spread), 0.9)), beyond
            )
        )
    return found


def _log_poisson(count: int, mean: float) -> float:
    if mean > 0:
        return count * math.log(mean) - mean - math.lgamma(count + 1)
    return 0.0 if count == 0 else -math.inf
