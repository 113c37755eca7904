"""Rounds with opening hours too short for one day: dynamic programming whose bound knows of the nights.

Beginnings of rounds are kept by set of sites done and place, those that another beats in
time and exposure left out, those that cannot become better than a known round left out too.
What is still to come costs at least what it costs without hours, and for whatever cannot be
finished in the hours that are left today, tomorrow ..., a night more. After the last visit
of a day it does not matter where one stands: by the morning one can be anywhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final, NamedTuple

from farpress.core.keys.to_go import TABLE_SITES, exposure_to_go
from farpress.core.keys.visit_site import DAY_MIN
from farpress.sources import Mark, cites

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from farpress.core.keys.visit_site import VisitSite

    Numbers = NDArray[np.float64]
    Whole = NDArray[np.int64]

__all__ = ["NightRound", "has_nights", "round_over_nights"]

MOST_KEPT: Final = 400_000
"""Beginnings kept at once; beyond, those with the largest bound are dropped, and the gap says what that may
cost."""

LEVELS: Final = 16
"""Steps in which the time left today is counted, rounded up; our choice."""


class NightRound(NamedTuple):
    """A round, and what no round can be cheaper than.

    Attributes:
        order: indices of the sites; empty where none is better than the one that was known.
        exposure: sum of weight times minutes until finished.
        bound: no round has less; equal to the exposure if proven.
    """

    order: tuple[int, ...]
    exposure: float
    bound: float


@cites("hours within one day, and a night longer than any way", mark=Mark.COMPUTED)
def has_nights(travel_min: Sequence[Sequence[float]], sites: Sequence[VisitSite]) -> bool:
    """Whether every site has a night that is longer than any way to the next: what this needs.

    Args:
        travel_min: minutes from row to column; row and column 0 are the start, site i is i + 1.
        sites: where to go, with their hours.
    """
    within = all(site.closes_min <= DAY_MIN and site.closes_min - site.opens_min < DAY_MIN for site in sites)
    nights = (
        sites[k].opens_min + DAY_MIN - sites[i].closes_min - travel_min[i + 1][k + 1]
        for i in range(len(sites))
        for k in range(len(sites))
        if i != k
    )
    return within and 1 < len(sites) <= TABLE_SITES and min(nights) >= 0


@cites(
    "Held and Karp's recursion over sets with labels that are not dominated; bound: the round without hours,"
    " and a night for each weight that cannot be finished before it",
    mark=Mark.COMPUTED,
)
def round_over_nights(
    *, travel_min: Sequence[Sequence[float]], sites: Sequence[VisitSite], begin_min: float, known: float
) -> NightRound:
    """The round with the least exposure, proven unless too many beginnings had to be kept.

    Args:
        travel_min: minutes from row to column; row and column 0 are the start, site i is i + 1.
        sites: where to go; `has_nights` must hold.
        begin_min: minutes after midnight at the start.
        known: exposure of some round; only better ones are looked for.
    """
    import numpy as np

    count = len(sites)
    travel = np.zeros((count + 2, count))  # the last row: anywhere, in the morning
    travel[: count + 1] = np.asarray(travel_min, dtype=np.float64)[:, 1:]
    weight, work, opens, closes = (
        np.array([site[column] for site in sites], dtype=np.float64) for column in range(4)
    )
    bound = _Bound(travel_min, weight, work, opens, closes, begin_min)
    done, place, time, risk = np.zeros(1, np.int64), np.zeros(1, np.int64), np.array([begin_min]), np.zeros(1)
    steps: list[tuple[Whole, Whole]] = []
    least_dropped = float("inf")
    limit = known * (1 + 1e-12) + 1e-9
    for _ in range(count):
        grown = []
        for k in range(count):
            some = np.flatnonzero(done >> k & 1 == 0)
            clock = _finished(time[some] + travel[place[some], k], opens[k], closes[k], work[k])
            grown.append(
                (
                    some,
                    np.full(len(some), k),
                    done[some] | 1 << k,
                    clock,
                    risk[some] + weight[k] * (clock - begin_min),
                )
            )
        came, site, done, time, risk = (np.concatenate(parts) for parts in zip(*grown))
        good = np.flatnonzero(risk <= limit)
        came, site, done, time, risk = came[good], site[good], done[good], time[good], risk[good]
        place = site + 1
        over = bound.is_over(done, place, time)
        place = np.where(over, count + 1, place)
        time = np.where(over, (np.floor(time / DAY_MIN) + 1) * DAY_MIN, time)
        kept = _undominated(done, place, time, risk, count)
        came, site, done, place, time, risk = (
            came[kept],
            site[kept],
            done[kept],
            place[kept],
            time[kept],
            risk[kept],
        )
        least = risk + bound.still(done, place, time)
        kept = np.flatnonzero(least <= limit)
        if len(kept) > MOST_KEPT:
            ranked = kept[np.argsort(least[kept], kind="stable")]
            least_dropped = min(least_dropped, float(least[ranked[MOST_KEPT]]))
            kept = np.sort(ranked[:MOST_KEPT])
        came, site, done, place, time, risk = (
            came[kept],
            site[kept],
            done[kept],
            place[kept],
            time[kept],
            risk[kept],
        )
        steps.append((came, site))
    if not len(risk):
        return NightRound((), known, min(known, least_dropped))
    last = int(np.argmin(risk))
    exposure, order = float(risk[last]), []
    for came, site in reversed(steps):
        order.append(int(site[last]))
        last = int(came[last])
    return NightRound(tuple(reversed(order)), exposure, min(exposure, least_dropped))


def _finished(arrive: Numbers, opens: float, closes: float, work: float) -> Numbers:
    """When the work at one site is finished, for many arrivals: today, or the next day."""
    import numpy as np

    day = np.floor(arrive / DAY_MIN) * DAY_MIN
    today = np.maximum(arrive, day + opens) + work
    return np.where(today <= day + closes + 1e-9, today, day + DAY_MIN + opens + work)


def _undominated(done: Whole, place: Whole, time: Numbers, risk: Numbers, count: int) -> Whole:
    """Rows that no other of the same set and place beats in time and exposure."""
    import numpy as np

    key = done * (count + 2) + place
    rows = np.lexsort((risk, time, key))
    while True:
        beaten = np.zeros(len(rows), dtype=bool)
        beaten[1:] = (key[rows[1:]] == key[rows[:-1]]) & (risk[rows[1:]] >= risk[rows[:-1]])
        if not beaten.any():
            return rows
        rows = rows[~beaten]


class _Bound:
    """What is still to come costs at least so much."""

    def __init__(
        self,
        travel_min: Sequence[Sequence[float]],
        weight: Numbers,
        work: Numbers,
        opens: Numbers,
        closes: Numbers,
        begin: float,
    ) -> None:
        import numpy as np

        count = len(weight)
        self.count, self.begin, self.opens, self.closes, self.work = count, begin, opens, closes, work
        self.ways = np.asarray(travel_min, dtype=np.float64)[:, 1:]
        self.to_go = exposure_to_go(travel_min=travel_min, weights=list(weight), work_min=list(work))
        sets = np.arange(1 << count)
        self.waiting = sum(((sets >> k & 1 == 0) * weight[k] for k in range(count)), np.zeros(1 << count))
        # anywhere in the morning: the first way may be driven by night, and costs nothing
        free = np.full(1 << count, np.inf)
        free[-1] = 0.0
        for k in range(count):
            some = sets[sets >> k & 1 == 0]
            free[some] = np.minimum(
                free[some], self.waiting[some] * work[k] + self.to_go[some | 1 << k, k + 1]
            )
        self.to_go = np.column_stack((self.to_go, free))
        between = self.ways[1:]
        self.idle = max(0.0, float(opens.min() + DAY_MIN - closes.max() - between.max()))
        self.first, self.last = float(opens.min()), float(closes.max())
        took = _shortest(between, work)
        hours = self.last - self.first
        self.step = hours / LEVELS
        self.most = np.array(
            [self._heaviest(took <= level * self.step + 1e-9) for level in range(LEVELS + 1)]
        )

    def _heaviest(self, fits: NDArray[np.bool_]) -> Numbers:
        """Set done → the most weight of what is left that fits, by one pass over each site."""
        import numpy as np

        count, sets = self.count, np.arange(len(fits))
        best = np.where(fits, self.waiting[0] - self.waiting, 0.0)  # by set of sites that are visited
        for k in range(count):
            some = sets[sets >> k & 1 == 1]
            best[some] = np.maximum(best[some], best[some ^ 1 << k])
        left: Numbers = best[::-1].copy()  # what is left is all but what is done
        return left

    def is_over(self, done: Whole, place: Whole, time: Numbers) -> NDArray[np.bool_]:
        """Whether nothing that is left can be finished today any more."""
        import numpy as np

        day = np.floor(time / DAY_MIN) * DAY_MIN
        over = np.ones(len(done), dtype=bool)
        for k in range(self.count):
            arrive = np.maximum(time + self.ways[np.minimum(place, self.count), k], day + self.opens[k])
            over &= (done >> k & 1 == 1) | (arrive + self.work[k] > day + self.closes[k] + 1e-9)
        return over

    def still(self, done: Whole, place: Whole, time: Numbers) -> Numbers:
        """The round without hours from there, and a night for what cannot be finished before it."""
        import numpy as np

        waiting = self.waiting[done]
        total: Numbers = waiting * (time - self.begin) + self.to_go[done, place]
        minute = time - np.floor(time / DAY_MIN) * DAY_MIN
        left = np.clip(self.last - np.maximum(minute, self.first), 0.0, None)
        level = np.minimum(np.ceil(left / self.step - 1e-9).astype(np.int64), LEVELS)
        total += waiting * np.clip(self.first - minute, 0.0, None) * (place == self.count + 1)
        today = np.minimum(self.most[level, done], waiting)
        a_day = self.most[LEVELS, done]
        later = waiting - today
        for _ in range(self.count):  # each night delays what the days before it cannot hold
            if not (later > 0).any():
                break
            total = total + self.idle * np.clip(later, 0.0, None)
            later = later - a_day
        return np.asarray(total, dtype=np.float64)


def _shortest(between: Numbers, work: Numbers) -> Numbers:
    """Set of sites → least minutes from the first arrival to the end of the work at the last; 0 for none."""
    import numpy as np

    count = len(work)
    sets = np.arange(1 << count)
    size = sum((sets >> k & 1 for k in range(count)), np.zeros(1 << count, dtype=np.int64))
    table = np.full((1 << count, count), np.inf)
    for k in range(count):
        table[1 << k, k] = work[k]
    for many in range(2, count + 1):
        rows = sets[size == many]
        for k in range(count):
            some = rows[rows >> k & 1 == 1]
            table[some, k] = (table[some ^ 1 << k] + between[:, k]).min(axis=1) + work[k]
    found: Numbers = table.min(axis=1)
    found[0] = 0.0
    return found
