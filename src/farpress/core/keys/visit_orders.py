"""Orders of visits: all that nothing beats, what is still to come at least, and a good one found greedily."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, NamedTuple

from farpress.core.keys.to_go import TABLE_SITES, exposure_to_go
from farpress.core.keys.visit_site import VisitSite, VisitTour, finish_min
from farpress.sources import Mark, cites

__all__ = ["driven_tour", "exposure_bound", "improved_tour", "undominated_tours"]

SMALL_SITES: Final = 9
"""Up to so many sites a plain bound will do, and no table is made."""


class _Label(NamedTuple):
    time: float
    exposure: float
    drive: float
    order: tuple[int, ...]
    finished: tuple[float, ...]


@cites("recursion over sets of sites; Held and Karp, with labels that are not dominated", mark=Mark.COMPUTED)
def undominated_tours(
    travel: Sequence[Sequence[float]],
    sites: Sequence[VisitSite],
    begin: float,
    *,
    keep_drive: bool,
    still: Callable[[int, int, float], float] | None = None,
    most: int | None = None,
) -> list[VisitTour] | None:
    """Whole tours from labels (time, exposure, and driving if asked for) that nothing dominates at the same
    set and place.

    Given a bound, a label is dropped too when what is still to come makes it dearer than a
    tour that is known.

    Args:
        travel: minutes from row to column; row and column 0 are the start.
        sites: where to go.
        begin: minutes after midnight at the start.
        keep_drive: driving is an aim of its own, not only what breaks ties.
        still: of `exposure_bound`.
        most: labels kept at once.

    Returns:
        The tours; None if there are more labels than `most`.
    """
    known = (
        float("inf") if still is None else improved_tour(travel, sites, begin).exposure * (1 + 1e-12) + 1e-9
    )
    states: dict[tuple[int, int], list[_Label]] = {(0, 0): [_Label(begin, 0.0, 0.0, (), ())]}
    for _ in sites:
        after: dict[tuple[int, int], list[_Label]] = {}
        for (done, place), labels in states.items():
            for index, site in enumerate(sites):
                if done >> index & 1:
                    continue
                key = (done | 1 << index, index + 1)
                for label in labels:
                    finished = finish_min(arrive_min=label.time + travel[place][index + 1], site=site)
                    grown = _Label(
                        finished,
                        label.exposure + site.weight * (finished - begin),
                        label.drive + travel[place][index + 1],
                        (*label.order, index),
                        (*label.finished, finished - begin),
                    )
                    if still is not None and (
                        grown.exposure > known or grown.exposure + still(*key, finished - begin) > known
                    ):
                        continue
                    _add(after.setdefault(key, []), grown, keep_drive)
        states = after
        if most is not None and sum(map(len, states.values())) > most:
            return None
    return [
        VisitTour(label.order, label.finished, label.drive + travel[place][0], label.exposure)
        for (_, place), labels in states.items()
        for label in labels
    ]


@cites("least exposure of the sites still to come", mark=Mark.COMPUTED)
def exposure_bound(
    travel: Sequence[Sequence[float]], sites: Sequence[VisitSite]
) -> Callable[[int, int, float], float]:
    """At least so much exposure is still to come.

    Args:
        travel: minutes from row to column; row and column 0 are the start.
        sites: where to go.

    Returns:
        A function of the set done (a bit a site), the place and the minutes since the start; weighted
        minutes.
    """
    if not SMALL_SITES < len(sites) <= TABLE_SITES:
        least = _least(travel, sites)
        return lambda done, _, time: _still(done, time, least)
    to_go = exposure_to_go(
        travel_min=travel, weights=[site.weight for site in sites], work_min=[site.work_min for site in sites]
    ).tolist()
    waiting = [
        sum(site.weight for index, site in enumerate(sites) if not done >> index & 1)
        for done in range(1 << len(sites))
    ]
    return lambda done, place, time: waiting[done] * time + to_go[done][place]


def _least(travel: Sequence[Sequence[float]], sites: Sequence[VisitSite]) -> list[tuple[int, float, float]]:
    """Site, its weight, the least time it can take, way included; in Smith's order."""
    size = range(len(sites) + 1)
    rows = [
        (i, site.weight, site.work_min + min(travel[j][i + 1] for j in size if j != i + 1))
        for i, site in enumerate(sites)
    ]
    return sorted(rows, key=lambda row: row[2] / row[1] if row[1] > 0 else float("inf"))


def _still(done: int, time: float, least: Sequence[tuple[int, float, float]]) -> float:
    """At least so much exposure is still to come."""
    total = 0.0
    for index, weight, took in least:
        if not done >> index & 1:
            time += took
            total += weight * time
    return total


def _add(labels: list[_Label], new: _Label, keep_drive: bool) -> None:
    def beats(label: _Label, other: _Label) -> bool:
        if (
            label.time > other.time
            or label.exposure > other.exposure
            or (keep_drive and label.drive > other.drive)
        ):
            return False
        # without driving as an aim it still breaks ties
        return (
            label.time < other.time
            or label.exposure < other.exposure
            or (label.drive, label.order) <= (other.drive, other.order)
        )

    if any(beats(label, new) for label in labels):
        return
    labels[:] = [label for label in labels if not beats(new, label)]
    labels.append(new)


@cites("insertion and reversal of stretches, a heuristic", mark=Mark.CHOICE)
def improved_tour(travel: Sequence[Sequence[float]], sites: Sequence[VisitSite], begin: float) -> VisitTour:
    """A greedy order, then single sites and stretches moved or turned round while that helps.

    Args:
        travel: minutes from row to column; row and column 0 are the start.
        sites: where to go.
        begin: minutes after midnight at the start.
    """
    best = _greedy(travel, sites, begin)
    size = len(sites)
    found = True
    while found:
        found = False
        for i in range(size):
            for j in range(i + 1, size + 1):
                order = best.order
                stretch, rest = order[i:j], order[:i] + order[j:]
                tries = [order[:i] + stretch[::-1] + order[j:]]
                if j - i <= 3:
                    tries += [rest[:k] + stretch + rest[k:] for k in range(len(rest) + 1)]
                better = min(
                    (driven_tour(tried, travel, sites, begin) for tried in tries),
                    key=lambda tour: tour.exposure,
                )
                if better.exposure < best.exposure - 1e-9:
                    best, found = better, True
    return best


def _greedy(travel: Sequence[Sequence[float]], sites: Sequence[VisitSite], begin: float) -> VisitTour:
    left, order, place, time = set(range(len(sites))), [], 0, begin
    while left:

        def rank(index: int, place: int = place, time: float = time) -> tuple[float, int]:
            took = finish_min(arrive_min=time + travel[place][index + 1], site=sites[index]) - time
            return (took / (sites[index].weight + 1e-6), index)

        index = min(left, key=rank)
        left.remove(index)
        time = finish_min(arrive_min=time + travel[place][index + 1], site=sites[index])
        order.append(index)
        place = index + 1
    return driven_tour(tuple(order), travel, sites, begin)


@cites("sum of weighted completion times", mark=Mark.COMPUTED)
def driven_tour(
    order: tuple[int, ...], travel: Sequence[Sequence[float]], sites: Sequence[VisitSite], begin: float
) -> VisitTour:
    """A given order, driven.

    Args:
        order: indices of the sites.
        travel: minutes from row to column; row and column 0 are the start.
        sites: where to go.
        begin: minutes after midnight at the start.
    """
    time, place, drive, exposure, finished = begin, 0, 0.0, 0.0, []
    for index in order:
        drive += travel[place][index + 1]
        time = finish_min(arrive_min=time + travel[place][index + 1], site=sites[index])
        exposure += sites[index].weight * (time - begin)
        finished.append(time - begin)
        place = index + 1
    return VisitTour(order, tuple(finished), drive + travel[place][0], exposure)
