"""In which order to drive to several premises so that a lost fob is dangerous for the shortest time.

Each site counts from the report until its work is finished, times its weight. Sites open
for some hours of each day, which may run through midnight; who comes early waits, who comes
too late waits for the next day. A tour and its reverse are different tours: they are equally long, not
equally risky.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from farpress.core.keys.nights import has_nights, round_over_nights
from farpress.core.keys.visit_orders import driven_tour, exposure_bound, improved_tour, undominated_tours
from farpress.core.keys.visit_site import DAY_MIN, VisitSite, VisitTour, check_sites
from farpress.errors import InputError
from farpress.sources import Mark, cites

__all__ = ["best_tour", "front_of_tours"]

EXACT_SITES: Final = 12
"""Up to so many sites the best order is found for certain; beyond, where every site has a night or the search
stays small; else a solver is asked and tells its gap."""

MOST_LABELS: Final = 150_000
"""Beginnings of tours that are kept at once beyond `EXACT_SITES`; more, and the solver is asked."""

FRONT_SITES: Final = 9
"""Up to so many sites every tour worth choosing is listed."""


@cites(
    "sum of weighted completion times; Held and Karp's recursion over sets, with labels that are not"
    " dominated",
    mark=Mark.COMPUTED,
)
def best_tour(
    *,
    travel_min: Sequence[Sequence[float]],
    sites: Sequence[VisitSite],
    begin_min: float = 0.0,
    limit_s: float = 20.0,
) -> VisitTour:
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
        ...     sites=[VisitSite(3, 6), VisitSite(1, 6), VisitSite(10, 6)],
        ... ).order
        (0, 2, 1)
    """
    check_sites(travel_min, sites, begin_min)
    if not sites:
        return VisitTour((), (), 0.0, 0.0)
    if len(sites) > EXACT_SITES and has_nights(travel_min, sites):
        return _over_nights(travel_min, sites, begin_min)
    still = exposure_bound(travel_min, sites)
    tours = undominated_tours(
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
    *, travel_min: Sequence[Sequence[float]], sites: Sequence[VisitSite], begin_min: float = 0.0
) -> tuple[VisitTour, ...]:
    """Every tour that no other beats in both driving and exposure, least driving first; up to nine sites.

    Args:
        travel_min: minutes from row to column; row and column 0 are the start.
        sites: where to go.
        begin_min: minutes after midnight at the start.

    Raises:
        InputError: more sites than can be looked at one by one, or as for `best_tour`.
    """
    check_sites(travel_min, sites, begin_min)
    if len(sites) > FRONT_SITES:
        raise InputError(
            f"{len(sites)} sites are too many to list every tour worth choosing; up to {FRONT_SITES} are"
            " possible."
        )
    front: list[VisitTour] = []
    for tour in sorted(
        undominated_tours(travel_min, sites, begin_min, keep_drive=True) or (),
        key=lambda tour: (tour.drive_min, tour.exposure, tour.order),
    ):
        if not front or tour.exposure < front[-1].exposure - 1e-9:
            front.append(tour)
    return tuple(front)


def _by_solver(
    travel: Sequence[Sequence[float]], sites: Sequence[VisitSite], begin: float, limit_s: float, bound: float
) -> VisitTour:
    """Times in tenths of a minute, one circuit, days as choices of a window; a good order is the hint."""
    from ortools.sat.python import cp_model

    hint = improved_tour(travel, sites, begin)
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
        best = min(hint, driven_tour(order, travel, sites, begin), key=lambda tour: tour.exposure)
    if status == cp_model.OPTIMAL:
        bound = best.exposure
    return best._replace(gap=max(0.0, 1.0 - bound / best.exposure) if best.exposure else 0.0)


def _over_nights(travel: Sequence[Sequence[float]], sites: Sequence[VisitSite], begin: float) -> VisitTour:
    known = improved_tour(travel, sites, begin)
    found = round_over_nights(travel_min=travel, sites=sites, begin_min=begin, known=known.exposure)
    best = min(
        [known, *([driven_tour(found.order, travel, sites, begin)] if found.order else [])],
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
