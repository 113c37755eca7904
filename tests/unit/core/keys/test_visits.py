"""Tours for a lost fob: against every order, one by one."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farpress.core.keys import nights, visit_orders
from farpress.core.keys import visits as module
from farpress.core.keys.nights import has_nights
from farpress.core.keys.to_go import exposure_to_go
from farpress.core.keys.visit_site import VisitSite, VisitTour, finish_min
from farpress.core.keys.visits import best_tour, front_of_tours
from farpress.errors import InputError

# Start; Oakmire (at the start), Vessing with two receivers, Lowdrift, Sarnbeck: invented branches, times
# computed by hand
ROADS = [
    [0, 0, 24, 41, 66],
    [0, 0, 24, 41, 66],
    [24, 24, 0, 33, 52],
    [41, 41, 33, 0, 38],
    [66, 66, 52, 38, 0],
]
BRANCHES = [VisitSite(3, 6), VisitSite(10, 12), VisitSite(10, 6), VisitSite(1, 6)]


def _drive(
    order: tuple[int, ...], travel: list[list[float]], sites: list[VisitSite], begin: float
) -> VisitTour:
    """Written anew, straight from the definition, one minute-hand moving."""
    clock, here, road, risk, done = begin, 0, 0.0, 0.0, []
    for one in order:
        road += travel[here][one + 1]
        clock += travel[here][one + 1]
        site = sites[one]
        day = -1  # hours that began yesterday evening
        always = site.closes_min - site.opens_min == 1440  # open through midnight
        while not always and not (
            day * 1440 + site.opens_min <= max(clock, day * 1440 + site.opens_min)
            and max(clock, day * 1440 + site.opens_min) + site.work_min <= day * 1440 + site.closes_min
        ):
            day += 1
        clock = (clock if always else max(clock, day * 1440 + site.opens_min)) + site.work_min
        risk += site.weight * (clock - begin)
        done.append(clock - begin)
        here = one + 1
    return VisitTour(order, tuple(done), road + travel[here][0], risk)


@pytest.mark.parametrize(
    ("order", "drive", "exposure", "finished"),
    [
        ((0, 1, 3, 2), 155, 1978, {1: 42, 2: 144, 3: 100}),
        ((0, 2, 3, 1), 155, 2255, {1: 161, 2: 53, 3: 97}),
        ((0, 1, 2, 3), 161, 1373, {1: 42, 2: 81, 3: 125}),
        ((0, 3, 2, 1), 161, 2986, {1: 167, 2: 122, 3: 78}),
        ((0, 2, 1, 3), 192, 1684, {1: 98, 2: 53, 3: 156}),
        ((0, 3, 1, 2), 192, 3326, {1: 142, 2: 181, 3: 78}),
    ],
)
def test_each_order_of_the_four_branches_costs_what_was_reckoned_by_hand(
    order: tuple[int, ...], drive: float, exposure: float, finished: dict[int, float]
) -> None:
    """All six orders, head office first, six minutes a receiver."""
    tour = _drive(order, ROADS, BRANCHES, 0)

    assert (tour.drive_min, tour.exposure) == (drive, exposure)
    assert {site: time for site, time in zip(tour.order, tour.finished_min) if site} == finished


def test_the_best_order_of_the_four_branches_takes_six_minutes_more_on_the_road() -> None:
    """Both unset rights are gone first; the shortest tour leaves one of them for another hour."""
    best = best_tour(travel_min=ROADS, sites=BRANCHES)
    front = front_of_tours(travel_min=ROADS, sites=BRANCHES)

    assert best.order == (0, 1, 2, 3)
    assert (best.drive_min, best.exposure, best.gap) == (161, 1373, 0)
    assert [(tour.drive_min, tour.exposure) for tour in front] == [(155, 1978), (161, 1373)]


hours = st.sampled_from(
    [(0, 1440), (420, 1440), (540, 900), (420, 1080), (0, 900), (1320, 1800), (1200, 1500), (600, 2040)]
)
places = st.builds(
    lambda weight, work, open_: VisitSite(weight, work, *open_), st.integers(0, 10), st.integers(0, 30), hours
)
tables = st.integers(1, 6).flatmap(
    lambda size: st.tuples(
        st.lists(
            st.lists(st.integers(1, 90), min_size=size + 1, max_size=size + 1),
            min_size=size + 1,
            max_size=size + 1,
        ),
        st.lists(places, min_size=size, max_size=size),
        st.integers(0, 1440),
    )
)


@settings(max_examples=60, deadline=None)
@given(tables)
def test_the_best_tour_is_the_best_of_all_orders(
    case: tuple[list[list[float]], list[VisitSite], float],
) -> None:
    """Opening hours, by night too, waiting over night, one-way differences: nothing beats it, and it costs
    what it says; with either bound.
    """
    travel, sites, begin = case
    every = [_drive(order, travel, sites, begin) for order in permutations(range(len(sites)))]
    for small in (visit_orders.SMALL_SITES, 0):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(visit_orders, "SMALL_SITES", small)
            best = best_tour(travel_min=travel, sites=sites, begin_min=begin)

        assert best.exposure == pytest.approx(min(tour.exposure for tour in every))
        assert best == _drive(best.order, travel, sites, begin)


@settings(max_examples=40)
@given(tables, st.data())
def test_what_is_still_to_come_is_the_least_of_all_orders(
    case: tuple[list[list[float]], list[VisitSite], float], data: st.DataObject
) -> None:
    """From any place with any sites done, hours left aside: by going through all orders of the rest."""
    travel, sites, _ = case
    done = data.draw(st.integers(0, (1 << len(sites)) - 1))
    at = data.draw(st.integers(0, len(sites)))
    rest = [i for i in range(len(sites)) if not done >> i & 1]
    table = exposure_to_go(
        travel_min=travel, weights=[site.weight for site in sites], work_min=[site.work_min for site in sites]
    )

    def cost(order: tuple[int, ...]) -> float:
        here, clock, risk = at, 0.0, 0.0
        for one in order:
            clock += travel[here][one + 1] + sites[one].work_min
            risk += sites[one].weight * clock
            here = one + 1
        return risk

    assert table[done, at] == pytest.approx(min(map(cost, permutations(rest))))


@settings(max_examples=40, deadline=None)
@given(tables)
def test_the_front_holds_every_tour_worth_choosing(
    case: tuple[list[list[float]], list[VisitSite], float],
) -> None:
    """By going through all orders."""
    travel, sites, begin = case
    every = {
        (tour.drive_min, tour.exposure)
        for order in permutations(range(len(sites)))
        for tour in [_drive(order, travel, sites, begin)]
    }
    worth = {
        one for one in every if not any((a <= one[0] and b <= one[1] and (a, b) != one) for a, b in every)
    }

    assert {
        (tour.drive_min, tour.exposure)
        for tour in front_of_tours(travel_min=travel, sites=sites, begin_min=begin)
    } == worth


def test_beyond_the_exact_limit_the_solver_is_as_good(monkeypatch: pytest.MonkeyPatch) -> None:
    """Eleven branches: the exact recursion, and the solver's answer with its stated gap."""
    rng = np.random.default_rng(5)
    points = rng.uniform(0, 60, (12, 2))
    travel = [[round(float(np.hypot(*(a - b))), 1) for b in points] for a in points]
    sites = [VisitSite(int(weight), 6.0, 480.0, 1020.0) for weight in rng.integers(1, 10, 11)]
    exact = best_tour(travel_min=travel, sites=sites, begin_min=500)
    monkeypatch.setattr(module, "EXACT_SITES", 10)
    assert best_tour(travel_min=travel, sites=sites, begin_min=500) == exact, (
        "a small search stays exact beyond the limit"
    )
    monkeypatch.setattr(module, "MOST_LABELS", 0)
    solved = best_tour(travel_min=travel, sites=sites, begin_min=500, limit_s=2)

    assert exact.gap == 0
    assert exact.exposure <= solved.exposure + 1e-6
    assert solved.exposure * (1 - solved.gap) <= exact.exposure + 1e-6
    assert solved.exposure <= 1.02 * exact.exposure


by_day = st.builds(
    lambda weight, work, opens, long: VisitSite(weight, work, opens, opens + long),
    st.integers(0, 10),
    st.integers(0, 30),
    st.sampled_from([420, 480, 600]),
    st.sampled_from([30, 60, 120, 400]),
)
day_tables = st.integers(2, 6).flatmap(
    lambda size: st.tuples(
        st.lists(
            st.lists(st.integers(1, 90), min_size=size + 1, max_size=size + 1),
            min_size=size + 1,
            max_size=size + 1,
        ),
        st.lists(by_day, min_size=size, max_size=size),
        st.integers(0, 1440),
    )
)


@pytest.mark.long
@settings(max_examples=120, deadline=None)
@given(day_tables, st.sampled_from([400_000, 3]))
def test_rounds_over_several_days_are_the_best_of_all_orders(
    case: tuple[list[list[float]], list[VisitSite], float], kept: int
) -> None:
    """Short hours, different at each site: by going through all orders; with few beginnings kept the bound
    still holds.
    """
    travel, sites, begin = case
    least = min(_drive(order, travel, sites, begin).exposure for order in permutations(range(len(sites))))
    assert has_nights(travel, sites)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(nights, "MOST_KEPT", kept)
        patch.setattr(module, "EXACT_SITES", 1)
        tour = best_tour(travel_min=travel, sites=sites, begin_min=begin)

    for known in (least, 1e12):  # neither a tight limit nor none at all leaves the best one out
        found = nights.round_over_nights(travel_min=travel, sites=sites, begin_min=begin, known=known)
        assert found.bound == found.exposure == pytest.approx(least)
        assert _drive(found.order, travel, sites, begin).exposure == pytest.approx(least)
    assert tour[:4] == _drive(tour.order, travel, sites, begin)[:4]
    assert tour.exposure * (1 - tour.gap) <= least + 1e-6 <= tour.exposure + 2e-6
    if kept > 3:
        assert tour.exposure == pytest.approx(least)
        assert tour.gap == 0


@pytest.mark.long
def test_eighteen_premises_open_for_two_hours_a_day_are_proven() -> None:
    """Several mornings; the known round is beaten, and the answer is as good as the exact recursion where
    that can still be run.
    """
    rng = np.random.default_rng(11)
    points = rng.uniform(0, 60, (19, 2))
    travel = [[round(float(np.hypot(*(a - b))), 1) for b in points] for a in points]
    sites = [VisitSite(int(weight), 6.0, 480.0, 600.0) for weight in rng.integers(1, 10, 18)]
    tour = best_tour(travel_min=travel, sites=sites, begin_min=490)
    eleven = [row[:12] for row in travel[:12]]

    assert tour.gap == 0
    assert tour.finished_min[-1] > 1440
    assert module._over_nights(eleven, sites[:11], 490).exposure == pytest.approx(
        best_tour(travel_min=eleven, sites=sites[:11], begin_min=490).exposure
    )


def test_what_cannot_be_driven_is_refused() -> None:
    """A table of the wrong size, work longer than the hours."""
    with pytest.raises(InputError, match="3 rows of 3"):
        best_tour(travel_min=[[0]], sites=BRANCHES[:2])
    with pytest.raises(InputError, match="do not fit into 10 min"):
        best_tour(travel_min=[[0, 1], [1, 0]], sites=[VisitSite(1, 20, 600, 610)])
    assert best_tour(travel_min=[[0]], sites=[]).order == ()


def test_a_table_for_too_many_sites_is_refused() -> None:
    """Before the memory is taken."""
    with pytest.raises(InputError, match="19 sites"):
        exposure_to_go(travel_min=[[0.0] * 20] * 20, weights=[1.0] * 19, work_min=[1.0] * 19)


@pytest.mark.long
def test_nineteen_sites_have_an_answer_with_a_gap() -> None:
    """No table, the solver alone: every site once, and the gap is a share."""
    travel = [[float(abs(a - b)) * 7 % 31 + 1 if a != b else 0.0 for b in range(20)] for a in range(20)]
    tour = best_tour(travel_min=travel, sites=[VisitSite(1 + at % 4, 5.0) for at in range(19)], limit_s=1)

    assert sorted(tour.order) == list(range(19))
    assert 0 <= tour.gap < 1
    assert tour[:4] == _drive(tour.order, travel, [VisitSite(1 + at % 4, 5.0) for at in range(19)], 0)[:4]


@given(arrive=st.floats(0, 4000), opens=st.floats(0, 1440), long=st.floats(60, 1440), work=st.floats(0, 60))
def test_coming_later_never_means_being_done_earlier(
    arrive: float, opens: float, long: float, work: float
) -> None:
    """What the recursion rests on."""
    site = VisitSite(1, work, opens, opens + long)

    assert finish_min(arrive_min=arrive, site=site) <= finish_min(arrive_min=arrive + 7, site=site) + 1e-6
