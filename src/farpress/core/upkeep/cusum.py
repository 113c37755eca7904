"""Small lasting changes in a row of readings: the cumulative sum, and how soon it notices.

A single bad reading is not its business; a margin that has come down by one spread is.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple

import numpy as np

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["CusumSignal", "CusumStep", "cusum", "cusum_run_length", "cusum_signal"]


class CusumStep(NamedTuple):
    """Sums after one reading: upwards and downwards, in the unit of the readings."""

    high: float
    low: float


class CusumSignal(NamedTuple):
    """First signal: reading (counted from 1), direction, and the reading with which the change began."""

    reading: int
    direction: Literal["up", "down"]
    began: int


@cites("Montgomery, Runger, Applied Statistics and Probability for Engineers", place="16-10", mark=Mark.COPY)
def cusum(*, readings: Sequence[float], target: float, slack: float) -> tuple[CusumStep, ...]:
    """Both one-sided sums after each reading.

    high := max(0, high + x - target - slack); low := max(0, low + target - slack - x).

    Args:
        readings: in the order of time.
        target: value in control, as the baseline of the proving [same unit].
        slack: half of the change that shall be noticed [same unit].

    Raises:
        OutOfRange: a slack that is negative, or a reading that is not a number.

    Example:
        >>> [round(step.low, 1) for step in cusum(readings=[14.0, 12.0, 11.0], target=14.0, slack=0.5)]
        [0.0, 1.5, 4.0]
    """
    require_range("slack", slack, "", low=0.0, because="half of a change")
    require_range("readings", list(readings), "", because="numbers")
    steps: list[CusumStep] = []
    high = low = 0.0
    for reading in readings:
        high = max(0.0, high + reading - target - slack)
        low = max(0.0, low + target - slack - reading)
        steps.append(CusumStep(high, low))
    return tuple(steps)


@cites(
    "Montgomery, Runger, Applied Statistics and Probability for Engineers",
    place="16-10, when the change began",
    mark=Mark.COPY,
)
def cusum_signal(
    *, readings: Sequence[float], target: float, slack: float, limit: float
) -> CusumSignal | None:
    """First reading at which one of the sums exceeds its limit; None if none does.

    Args:
        readings: in the order of time.
        target: value in control.
        slack: half of the change that shall be noticed.
        limit: of either sum; 4 to 5 times the spread of a reading is usual.

    Raises:
        OutOfRange: a limit that is not positive, and as `cusum`.

    Example:
        >>> cusum_signal(
        ...     readings=[14.2, 13.1, 15, 13.6, 14.4, 12.9, 13.8, 11.9, 12.2, 11, 12.6],
        ...     target=14.0,
        ...     slack=0.5,
        ...     limit=4.0,
        ... )
        CusumSignal(reading=10, direction='down', began=6)
    """
    require_range("limit", limit, "", low=1e-12, because="a limit")
    steps = cusum(readings=readings, target=target, slack=slack)
    for number, step in enumerate(steps, start=1):
        for direction, value in (("up", step.high), ("down", step.low)):
            if value > limit:
                quiet = [
                    quiet_number
                    for quiet_number, earlier in enumerate(steps[:number], start=1)
                    if (earlier.high if direction == "up" else earlier.low) == 0.0
                ]
                return CusumSignal(number, direction, (quiet[-1] if quiet else 0) + 1)  # type: ignore[arg-type]
    return None


@cites("Average run length of a cumulative sum, integral equation", mark=Mark.COMPUTED)
def cusum_run_length(*, shift: float, slack: float, limit: float, two_sided: bool = False) -> float:
    """Mean number of readings until the signal, for normal readings; all in spreads of one reading.

    Solves L(z) = 1 + L(0) P(sum falls to 0) + integral of L by Gauss and Legendre's rule.

    Args:
        shift: lasting change of the mean towards the watched side, 0 in control.
        slack: as of `cusum`, in spreads.
        limit: as of `cusum_signal`, in spreads.
        two_sided: whether both directions are watched.

    Raises:
        OutOfRange: a limit that is not positive or above 20, a negative slack.

    Example:
        >>> (
        ...     cusum_run_length(shift=0.0, slack=0.5, limit=4.0),
        ...     cusum_run_length(shift=1.0, slack=0.5, limit=4.0),
        ... )
        (335.37, 8.383)
    """
    require_range(
        "limit", limit, "", low=1e-6, high=20.0, because="our choice; longer rows of readings are nobody's"
    )
    require_range("slack", slack, "", low=0.0, because="half of a change")
    require_range("shift", shift, "", low=-5.0, high=20.0, because="our choice")
    upwards = _one_sided(shift, slack, limit)
    return 1.0 / (1.0 / upwards + 1.0 / _one_sided(-shift, slack, limit)) if two_sided else upwards


def _one_sided(shift: float, slack: float, limit: float) -> float:
    from scipy.special import ndtr

    points, weights = np.polynomial.legendre.leggauss(80)
    nodes, weight = (points + 1.0) * limit / 2.0, weights * limit / 2.0
    starts = np.concatenate(([0.0], nodes))
    drift = slack - shift
    step = (
        np.exp(-((nodes[None, :] - starts[:, None] + drift) ** 2) / 2.0)
        / math.sqrt(2.0 * math.pi)
        * weight[None, :]
    )
    to_zero = ndtr(drift - starts)
    matrix = np.eye(len(starts)) - np.hstack([to_zero[:, None], step])
    return float(np.linalg.solve(matrix, np.ones(len(starts)))[0])
