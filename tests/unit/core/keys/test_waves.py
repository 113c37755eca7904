"""Waves and sharing out: against trying everything; the queue against a queue of single people."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farpress.core.keys.waves import learning_queue, plan_waves, split_tenants
from farpress.errors import InputError


@settings(max_examples=40, deadline=None)
@given(fobs=st.lists(st.integers(1, 9), min_size=1, max_size=3), data=st.data())
def test_waves_equal_trying_all(fobs: list[int], data: st.DataObject) -> None:
    """Fewest splits first, then least waiting, over all ways to place every group."""
    weights = data.draw(st.lists(st.integers(1, 5), min_size=len(fobs), max_size=len(fobs)))
    capacity = data.draw(
        st.lists(st.integers(3, 15), min_size=2, max_size=2).filter(lambda one: sum(one) >= sum(fobs))
    )
    waits = [0, 1]
    best = min(
        (
            sum(0 < first < fob for first, fob in zip(firsts, fobs)),
            sum(weight * (fob - first) for weight, first, fob in zip(weights, firsts, fobs)),
        )
        for firsts in product(*(range(fob + 1) for fob in fobs))
        if sum(firsts) <= capacity[0] and sum(fobs) - sum(firsts) <= capacity[1]
    )
    plan = plan_waves(fobs=fobs, weights=weights, capacity=capacity, waits=waits)

    assert (plan.splits, round(plan.waiting)) == best
    assert [sum(row) for row in plan.fobs] == fobs
    assert all(sum(row[w] for row in plan.fobs) <= capacity[w] for w in range(2))


@settings(max_examples=40, deadline=None)
@given(
    records=st.lists(st.integers(1, 60), min_size=1, max_size=6),
    capacity=st.lists(st.integers(40, 120), min_size=1, max_size=3),
)
def test_sharing_out_equals_trying_all(records: list[int], capacity: list[int]) -> None:
    """The fullest receiver is as empty as any sharing out can make it."""
    best = min(
        max(
            sum(number for number, at in zip(records, choice) if at == r) / capacity[r]
            for r in range(len(capacity))
        )
        for choice in product(range(len(capacity)), repeat=len(records))
    )
    if best > 1 + 1e-9:
        with pytest.raises(InputError, match="do not fit"):
            split_tenants(records=records, capacity=capacity)
    else:
        assert split_tenants(records=records, capacity=capacity).fullest_share == pytest.approx(best)


def test_the_queue_equals_people_served_one_by_one() -> None:
    """People arriving evenly within each slot, two stations, half a minute each, second by second."""
    arrivals, minutes, stations, learn = [40, 110, 180, 60, 10], 15, 2, 0.5
    times = sorted(
        slot * minutes + (number + 0.5) * minutes / count
        for slot, count in enumerate(arrivals)
        for number in range(count)
    )
    free = [0.0] * stations
    wait = 0.0
    for time in times:
        begin = max(time, min(free))
        free[free.index(min(free))] = begin + learn
        wait = max(wait, begin - time)
    queue = learning_queue(arrivals=arrivals, slot_min=[minutes] * 5, stations=stations, learn_min=learn)

    assert queue.wait_min == pytest.approx(wait, abs=1.0)
    assert queue.longest == pytest.approx(170)  # 50 too many in the second slot, 120 in the third


def test_what_does_not_fit_is_said() -> None:
    """Too many fobs for the waves; lists of different length; nobody to learn."""
    with pytest.raises(InputError, match="90 fobs do not fit into waves for 80"):
        plan_waves(fobs=[90], weights=[1], capacity=[40, 40], waits=[0, 1])
    with pytest.raises(InputError, match="Each group needs"):
        plan_waves(fobs=[1], weights=[], capacity=[1], waits=[0])
    with pytest.raises(InputError, match="somebody must learn"):
        learning_queue(arrivals=[1], slot_min=[15], stations=0, learn_min=0.5)
    with pytest.raises(InputError, match="at least one tenant"):
        split_tenants(records=[], capacity=[1])
