"""In which order to drive to several premises so that a lost fob is dangerous for the shortest time.

Each site counts from the report until its work is finished, times its weight. Sites open
for some hours of each day, which may run through midnight; who comes early waits, who comes
too late waits for the next day. A tour and its reverse are different tours: they are equally long, not
equally risky.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, NamedTuple

from farpress.core.keys.nights import has_nights, round_over_nights
from farpress.core.keys.to_go import TABLE_SITES, exposure_to_go
from farpress.errors import InputError, require_range
from farpress.sources import Mark, cites

__all__ = ["DAY_MIN", "Site", "Tour", "best_tour", "finish_min", "front_of_tours"]

DAY_MIN: Final = 1440.0
"""Minutes of a day."""

EXACT_SITES: Final = 12
"""Up to so many sites the best order is found for certain; beyond, where every site has a night or the search
stays small; else a solver is asked and tells its gap."""

SMALL_SITES: Final = 9
"""Up to so many sites a plain bound will do, and no table is made."""

MOST_LABELS: Final = 150_000
"""Beginnings of tours that are kept at once beyond `EXACT_SITES`; more, and the solver is asked."""

FRONT_SITES: Final = 9
"""Up to so many sites every tour worth choosing is listed."""


class Site(NamedTuple):
    """One place to go to.

    Attributes:
        weight: risk while it is not finished, in any unit, per minute.
        work_min: how long the work there takes [min].
        opens_min, closes_min: hours of a day [min after midnight]; 0 and 1440: always; 1320 and 1800:
            from ten in the evening to six.
    """

    weight: float
    work_min: float
    opens_min: float = 0.0
    closes_min: float = DAY_MIN


class Tour(NamedTuple):
    """An order of sites and what it costs.

    Attributes:
        order: indices of the sites.
        finished_min: when each of them is finished, in that order [min after the start].
        drive_min: minutes on the road, the way back included.
        exposure: sum of weight times minutes until finished.
        gap: how far a better tour could at most be, as a share of the exposure; 0 if proven.
    """

    order: tuple[int, ...]
    finished_min: tuple[float, ...]
    drive_min: float
    exposure: float
    gap: float = 0.0


@cites(
    "sum of weighted completion times; Held and Karp's recursion over sets, with labels that are not"
    " dominated",
    mark=Mark.COMPUTED,
)
def best_tour(
    *,
    travel_min: Sequence[Sequence[float]],
    sites: Sequence[Site],
    begin_min: float = 0.0,
    limit_s: float = 20.0,
) -> Tour:
    """The tour with the least exposure; among equals the one with the least driving.

    Args:
        travel_min: minutes from row to column; row and column 0 are the start, site i is i + 1.
        sites: where to go, one row and column each.
        begin_min: minutes after midnight at the start.
        limit_s: time for the solver, if it is asked [s].

    Raises:
        InputError: the table does not fit the sites, or a site's work is longer than it is open.
        OutOfRange: a negative time or weight.

    Example:
        Six minutes at the start itself, then two branches of which the far one matters more:

        >>> best_tour(
        ...     travel_min=[[0, 0, 20, 40], [0, 0, 20, 40], [20, 20, 0, 30], [40, 40, 30, 0]],
        ...     sites=[Site(3, 6), Site(1, 6), Site(10, 6)],
        ... ).order
        (0, 2, 1)
    """
    _check(travel_min, sites, begin_min)
    if not sites:
        return Tour((), (), 0.0, 0.0)
    if len(sites) > EXACT_SITES and has_nights(travel_min, sites):
        return _over_nights(travel_min, sites, begin_min)
    still = _bound(travel_min, sites)
    tours = _labels(
        travel_min,
        sites,
        begin_min,
        keep_drive=False,
        still=still,
        most=None if len(sites) <= EXACT_SITES else MOST_LABELS,
    )
    if tours is None:
        return _by_solver(travel_min, sites, begin_min, limit_s, still(0, 0, 0.0))
    return min(tours, key=lambda tour: (tour.exposure, tour.drive_min, tour.order))


@cites(
    "sum of weighted completion times against driving; tours that nothing beats in both", mark=Mark.COMPUTED
)
def front_of_tours(
    *, travel_min: Sequence[Sequence[float]], sites: Sequence[Site], begin_min: float = 0.0
) -> tuple[Tour, ...]:
    """Every tour that no other beats in both driving and exposure, least driving first; up to nine sites.

    Args:
        travel_min: minutes from row to column; row and column 0 are the start.
        sites: where to go.
        begin_min: minutes after midnight at the start.

    Raises:
        InputError: more sites than can be looked at one by one, or as for `best_tour`.
    """
    _check(travel_min, sites, begin_min)
    if len(sites) > FRONT_SITES:
        raise InputError(
            f"{len(sites)} sites are too many to list every tour worth choosing; up to {FRONT_SITES} are"
            " possible."
        )
    front: list[Tour] = []
    for tour in sorted(
        _labels(travel_min, sites, begin_min, keep_drive=True) or (),
        key=lambda tour: (tour.drive_min, tour.exposure, tour.order),
    ):
        if not front or tour.exposure < front[-1].exposure - 1e-9:
            front.append(tour)
    return tuple(front)


@cites("first time a site is open long enough", mark=Mark.COMPUTED)
def finish_min(*, arrive_min: float, site: Site) -> float:
    """When the work at a site is finished, waiting for its hours included [min after midnight of the first
    day].

    Args:
        arrive_min: arrival, minutes after midnight of the first day; may be beyond 1440.
        site: its hours and its work.

    Example:
        Eight in the evening, open from seven to five, six minutes of work: next morning.

        >>> finish_min(arrive_min=20 * 60.0, site=Site(1, 6, 7 * 60.0, 17 * 60.0)) - 1440
        426.0
    """
    if site.closes_min - site.opens_min >= DAY_MIN:
        return arrive_min + site.work_min
    day = (arrive_min // DAY_MIN - 1) * DAY_MIN  # last evening's hours may still run
    while max(arrive_min, day + site.opens_min) + site.work_min > day + site.closes_min + 1e-9:
        day += DAY_MIN
    return max(arrive_min, day + site.opens_min) + site.work_min


def _check(travel_min: Sequence[Sequence[float]], sites: Sequence[Site], begin_min: float) -> None:
    size = len(sites) + 1
    if len(travel_min) != size or any(len(row) != size for row in travel_min):
        raise InputError(
            f"The table of travel times needs {size} rows of {size}: the start and {len(sites)} sites."
        )
    require_range(
        "travel_min",
        [list(row) for row in travel_min],
        "min",
        low=0.0,
        because="a way takes no negative time",
    )
    require_range("begin_min", begin_min, "min", low=0.0, high=DAY_MIN, because="minutes after midnight")
    for site in sites:
        require_range("weight", site.weight, "", low=0.0, because="a risk is not negative")
        require_range("work_min", site.work_min, "min", low=0.0, because="work takes no negative time")
        require_range(
            "opens_min", site.opens_min, "min", low=0.0, high=DAY_MIN, because="minutes after midnight"
        )
        require_range(
            "closes_min",
            site.closes_min,
            "min",
            low=0.0,
            high=site.opens_min + DAY_MIN,
            because="minutes after midnight, of the next day if it is open through the night",
        )
        if site.closes_min - site.opens_min < site.work_min:
            raise InputError(
                f"{site.work_min:g} min of work do not fit into {site.closes_min - site.opens_min:g} min of"
                " opening; let it be opened for longer, or share the work out."
            )


class _Label(NamedTuple):
    time: float
    exposure: float
    drive: float
    order: tuple[int, ...]
    finished: tuple[float, ...]


def _labels(
    travel: Sequence[Sequence[float]],
    sites: Sequence[Site],
    begin: float,
    *,
    keep_drive: bool,
    still: Callable[[int, int, float], float] | None = None,
    most: int | None = None,
) -> list[Tour] | None:
    """Whole tours from labels (time, exposure, and driving if asked for) that nothing dominates at the same
    set and place.

    Given a bound, a label is dropped too when what is still to come makes it dearer than a
    tour that is known. None if there are more labels than `most`.
    """
    known = float("inf") if still is None else _improved(travel, sites, begin).exposure * (1 + 1e-12) + 1e-9
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
        Tour(label.order, label.finished, label.drive + travel[place][0], label.exposure)
        for (_, place), labels in states.items()
        for label in labels
    ]


def _bound(travel: Sequence[Sequence[float]], sites: Sequence[Site]) -> Callable[[int, int, float], float]:
    """At least so much exposure is still to come: (set done, place, minutes since the start) → weighted
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


def _least(travel: Sequence[Sequence[float]], sites: Sequence[Site]) -> list[tuple[int, float, float]]:
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


def _by_solver(
    travel: Sequence[Sequence[float]], sites: Sequence[Site], begin: float, limit_s: float, bound: float
) -> Tour:
    """Times in tenths of a minute, one circuit, days as choices of a window; a good order is the hint."""
    from ortools.sat.python import cp_model

    hint = _improved(travel, sites, begin)
    horizon = _tenths(max(hint.finished_min) + begin + DAY_MIN) + 1
    model = cp_model.CpModel()
    start = [model.new_int_var(_tenths(begin), horizon, f"start {i}") for i in range(len(sites))]
    arcs = []
    for i in range(len(sites) + 1):
        for j in range(len(sites) + 1):
            if i == j:
                continue
            taken = model.new_bool_var(f"{i} to {j}")
            arcs.append((i, j, taken))
            if j > 0:
                before = _tenths(begin) if i == 0 else start[i - 1] + _tenths(sites[i - 1].work_min)
                model.add(start[j - 1] >= before + _tenths(travel[i][j])).only_enforce_if(taken)
    model.add_circuit(arcs)
    days = horizon // _tenths(DAY_MIN) + 1
    for i, site in enumerate(sites):
        if site.closes_min - site.opens_min < DAY_MIN:
            hours = [
                [
                    _tenths(day * DAY_MIN + site.opens_min),
                    _tenths(day * DAY_MIN + site.closes_min - site.work_min),
                ]
                for day in range(-1, days)
            ]
            model.add_linear_expression_in_domain(start[i], cp_model.Domain.from_intervals(hours))
    scale = max(site.weight for site in sites) or 1.0
    model.minimize(sum(round(1000 * site.weight / scale) * variable for site, variable in zip(sites, start)))
    for index, finished in zip(hint.order, hint.finished_min):
        model.add_hint(start[index], _tenths(finished + begin - sites[index].work_min))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = limit_s
    solver.parameters.num_workers = 8
    solver.parameters.random_seed = 1
    status = solver.solve(model)
    best = hint
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        order = tuple(sorted(range(len(sites)), key=lambda i: solver.value(start[i])))
        best = min(hint, _driven(order, travel, sites, begin), key=lambda tour: tour.exposure)
    if status == cp_model.OPTIMAL:
        bound = best.exposure
    return best._replace(gap=max(0.0, 1.0 - bound / best.exposure) if best.exposure else 0.0)


def _over_nights(travel: Sequence[Sequence[float]], sites: Sequence[Site], begin: float) -> Tour:
    known = _improved(travel, sites, begin)
    found = round_over_nights(travel_min=travel, sites=sites, begin_min=begin, known=known.exposure)
    best = min(
        [known, *([_driven(found.order, travel, sites, begin)] if found.order else [])],
        key=lambda tour: (tour.exposure, tour.drive_min),
    )
    return best._replace(
        gap=(
            max(0.0, 1.0 - found.bound / best.exposure)
            if best.exposure and found.bound < found.exposure
            else 0.0
        )
    )


def _tenths(minutes: float) -> int:
    return round(10 * minutes)


def _improved(travel: Sequence[Sequence[float]], sites: Sequence[Site], begin: float) -> Tour:
    """A greedy order, then single sites and stretches moved or turned round while that helps."""
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
                    (_driven(tried, travel, sites, begin) for tried in tries), key=lambda tour: tour.exposure
                )
                if better.exposure < best.exposure - 1e-9:
                    best, found = better, True
    return best


def _greedy(travel: Sequence[Sequence[float]], sites: Sequence[Site], begin: float) -> Tour:
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
    return _driven(tuple(order), travel, sites, begin)


def _driven(
    order: tuple[int, ...], travel: Sequence[Sequence[float]], sites: Sequence[Site], begin: float
) -> Tour:
    time, place, drive, exposure, finished = begin, 0, 0.0, 0.0, []
    for index in order:
        drive += travel[place][index + 1]
        time = finish_min(arrive_min=time + travel[place][index + 1], site=sites[index])
        exposure += sites[index].weight * (time - begin)
        finished.append(time - begin)
        place = index + 1
    return Tour(order, tuple(finished), drive + travel[place][0], exposure)
