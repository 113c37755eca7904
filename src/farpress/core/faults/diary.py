"""A noise diary: at which hours presses fail, and whether bursts come back at regular times.

It says when to be there and what beat to listen for; it does not say who sends.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = [
    "HourShare",
    "Period",
    "burst_period",
    "failures_by_hour",
    "hours_uneven_chance",
    "more_often_chance",
]

OVERTONE_SHARE: Final = 0.85
"""A lower beat is taken if it is nearly as strong as the strongest: our choice; half a beat of a true one is
far weaker."""

_MOST_PERIODS: Final = 200_000


class HourShare(NamedTuple):
    """One hour of the day: tries, failures, and the exact limits of the share that fails."""

    hour: int
    tries: int
    failures: int
    low: float
    high: float


class Period(NamedTuple):
    """A regular beat: its period [s], and the chance that pure accident looks so regular somewhere.

    Attributes:
        period_s: time between bursts [s].
        strength: 0 for no beat, 1 for a perfect one.
        accident_chance: that random times show such a strength at any of the periods tried.
    """

    period_s: float
    strength: float
    accident_chance: float


@cites("Clopper, Pearson, Biometrika 26", edition="1934", place="404-413, hour by hour", mark=Mark.MEMORY)
def failures_by_hour(
    *, hours: Sequence[int], failed: Sequence[bool], confidence: float = 0.9
) -> tuple[HourShare, ...]:
    """Tries and failures of each hour of the day that has any.

    Args:
        hours: hour of each try, 0 to 23.
        failed: whether it failed; as many as hours.
        confidence: of the limits of each hour.

    Raises:
        OutOfRange: an hour that is none, or a confidence that is none.

    Example:
        >>> [
        ...     (hour.hour, hour.failures, hour.tries)
        ...     for hour in failures_by_hour(hours=[7, 7, 7, 9], failed=[True, True, False, False])
        ... ]
        [(7, 2, 3), (9, 0, 1)]
    """
    from scipy.special import betaincinv

    require_range("hours", list(hours), "", low=0, high=23, because="hours of a day")
    require_range(
        "confidence",
        confidence,
        "",
        low=1e-9,
        high=1 - 1e-9,
        because="a confidence between none and certainty",
    )
    found = []
    risk = (1.0 - confidence) / 2.0
    for hour in range(24):
        answers = [bad for answer_hour, bad in zip(hours, failed) if answer_hour == hour]
        tries, bad = len(answers), sum(answers)
        if tries:
            low = 0.0 if bad == 0 else float(betaincinv(bad, tries - bad + 1, risk))
            high = 1.0 if bad == tries else float(betaincinv(bad + 1, tries - bad, 1.0 - risk))
            found.append(HourShare(hour, tries, bad, low, high))
    return tuple(found)


@cites("Permutation test of a share that differs from hour to hour", mark=Mark.COMPUTED)
def hours_uneven_chance(
    *, hours: Sequence[int], failed: Sequence[bool], shuffles: int = 2000, seed: int = 1
) -> float:
    """Chance that failures fall so unevenly on the hours by accident; small means: it is the hour.

    Args:
        hours: hour of each try, 0 to 23.
        failed: whether it failed.
        shuffles: how often the answers are dealt anew.
        seed: of the shuffling, so that the same diary gives the same answer.

    Raises:
        OutOfRange: an hour that is none, or fewer than 100 shuffles.

    Example:
        >>> hours_uneven_chance(hours=[7] * 6 + [12] * 6, failed=[True] * 6 + [False] * 6) < 0.01
        True
    """
    require_range("hours", list(hours) or [0], "", low=0, high=23, because="hours of a day")
    require_range("shuffles", shuffles, "", low=100, high=1_000_000, because="our choice")
    hour, bad = np.asarray(hours, dtype=np.int64), np.asarray(failed, dtype=np.float64)
    if bad.size == 0 or bad.sum() in (0.0, float(bad.size)):
        return 1.0
    tries = np.bincount(hour, minlength=24)
    expected = tries * bad.mean()

    def uneven(answers: NDArray[np.float64]) -> float:
        seen = np.bincount(hour, weights=answers, minlength=24)
        return float((((seen - expected) ** 2)[tries > 0] / expected[tries > 0]).sum())

    there = uneven(bad)
    random = np.random.default_rng(seed)
    as_uneven = sum(uneven(random.permutation(bad)) >= there - 1e-9 for _ in range(shuffles))
    return (as_uneven + 1) / (shuffles + 1)


@cites("Fisher's exact test, one-sided", mark=Mark.MEMORY)
def more_often_chance(*, failed: int, tries: int, others_failed: int, others: int) -> float:
    """Chance that by accident at least so many of the failures fall on these tries.

    Args:
        failed, tries: of what is looked at.
        others_failed, others: of all others.

    Raises:
        OutOfRange: more failures than tries, a negative number.

    Example:
        >>> round(more_often_chance(failed=3, tries=4, others_failed=1, others=4), 4)
        0.2429
    """
    require_range("failed", failed, "", low=0, high=tries, because="of the tries so many can fail")
    require_range(
        "others_failed", others_failed, "", low=0, high=others, because="of the tries so many can fail"
    )
    whole, lost = tries + others, failed + others_failed
    ways = sum(
        math.comb(tries, number) * math.comb(others, lost - number)
        for number in range(failed, min(tries, lost) + 1)
        if lost - number <= others
    )
    return ways / math.comb(whole, lost)


@cites(
    "Schuster's test of a hidden period",
    edition="1898",
    place="exp(-N R^2) for each independent period",
    mark=Mark.MEMORY,
)
def burst_period(*, times_s: Sequence[float], shortest_s: float, longest_s: float) -> Period | None:
    """The strongest regular beat among the times of bursts; None where fewer than five were noted.

    Args:
        times_s: when each burst began; any zero [s].
        shortest_s: shortest period to look for [s].
        longest_s: longest period; at most a third of the time watched is looked at [s].

    Returns:
        The fundamental period: a beat of 47 s is also regular at 23.5 s, and the longest of the
        nearly equal ones is given.

    Raises:
        OutOfRange: periods that are not positive or upside down, or a search of more than
            200 000 periods.

    Example:
        >>> found = burst_period(
        ...     times_s=[0, 47, 94, 188, 235, 282, 423, 470], shortest_s=10.0, longest_s=120.0
        ... )
        >>> round(found.period_s, 1)
        47.0
    """
    times = np.sort(np.asarray(list(times_s), dtype=np.float64))
    require_range("shortest_s", shortest_s, "s", low=1e-3, because="a period")
    require_range("longest_s", longest_s, "s", low=shortest_s, because="not shorter than the shortest")
    if times.size < 5:
        return None
    span = float(times[-1] - times[0])
    longest = min(longest_s, span / 3.0)
    if longest <= shortest_s:
        return None
    # a quarter of a turn over the whole span between neighbouring frequencies
    count = math.ceil(4.0 * span * (1.0 / shortest_s - 1.0 / longest)) + 1
    require_range(
        "number of periods",
        count,
        "",
        high=_MOST_PERIODS,
        because="our choice of the longest search",
        hint="Look for longer periods, or at a shorter stretch.",
    )
    frequencies = np.linspace(1.0 / longest, 1.0 / shortest_s, count)
    strength = np.concatenate(
        [_strength(times, some) for some in np.array_split(frequencies, max(count // 2000, 1))]
    )
    top, best = _finer(times, float(frequencies[int(np.argmax(strength))]), span)
    # overtones are about as strong as the beat itself: the lowest of them is the beat
    found, share = top, best
    for part in range(int(longest * top), 1, -1):
        lower, strong = _finer(times, top / part, span)
        if strong >= OVERTONE_SHARE * best:
            found, share = lower, strong
            break
    tried = span * (1.0 / shortest_s - 1.0 / longest)
    single = math.exp(-times.size * best**2)
    return Period(
        1.0 / found, share, float(-math.expm1(max(tried, 1.0) * math.log1p(-min(single, 1 - 1e-15))))
    )


def _finer(times: NDArray[np.float64], frequency: float, span: float) -> tuple[float, float]:
    """The strongest frequency within a quarter of a turn, and its strength."""
    fine = frequency + np.linspace(-0.25, 0.25, 201) / span
    strength = _strength(times, fine)
    best = int(np.argmax(strength))
    return float(fine[best]), float(strength[best])


def _strength(times: NDArray[np.float64], frequencies: NDArray[np.float64]) -> NDArray[np.float64]:
    turns = np.exp(2j * np.pi * np.outer(frequencies, times - times[0]))
    return np.asarray(np.abs(turns.mean(axis=1)))
