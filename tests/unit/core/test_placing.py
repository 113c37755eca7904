"""Which boxes work what: the solver's choice against every choice, tried one by one."""

from __future__ import annotations

import random
from itertools import product

import pytest

from farpress.core.design.placing import Box, BoxLoad, Weights, best_placing
from farpress.errors import InputError


def problem(seed: int) -> tuple[list[Box], list[BoxLoad], Weights]:
    """A few boxes and loads by chance, tight enough that many choices do not fit."""
    rng = random.Random(seed)
    boxes = [
        Box(
            rng.randint(0, 60),
            rng.randint(1, 4),
            rng.choice((None, rng.randint(5, 60))),
            counts_buttons=rng.random() < 0.5,
            is_new=rng.random() < 0.8,
        )
        for _ in range(rng.randint(2, 4))
    ]
    fobs = {name: rng.randint(1, 20) for name in ("a", "b", "c")}
    loads = [
        BoxLoad(
            rng.randint(1, 2),
            tuple(rng.choice((None, *[rng.randint(0, 40)] * 5)) for _ in boxes),
            tuple(rng.choice((0, 0, 0, rng.randint(1, 9))) for _ in boxes),
            tuple(rng.randint(0, 1500) for _ in boxes),
            tuple((name, count) for name, count in fobs.items() if rng.random() < 0.5),
        )
        for _ in range(rng.randint(1, 5))
    ]
    weights = Weights(rng.choice((0, 50, 1000)), rng.choice((10, 1_000_000)), rng.choice((0, 1, 10)))
    return boxes, loads, weights


def cost_of(boxes: list[Box], loads: list[BoxLoad], weights: Weights, chosen: tuple[int, ...]) -> int | None:
    """What a choice costs, added up here once more; None where it does not fit."""
    total = 0
    for number, box in enumerate(boxes):
        mine = [load for load, choice in zip(loads, chosen, strict=True) if choice == number]
        every = [holder for load in mine for holder in load.holders]
        records = sum(count for _, count in (every if box.counts_buttons else set(every)))
        if sum(load.outputs for load in mine) > box.outputs:
            return None
        if box.capacity is not None and records > box.capacity:
            return None
        total += (box.cost + (weights.box if box.is_new else 0)) if mine else 0
    for load, choice in zip(loads, chosen, strict=True):
        cable = load.costs[choice]
        if cable is None:
            return None
        total += cable + weights.miss * load.misses[choice]
    return total + weights.risk * max(load.risks[n] for load, n in zip(loads, chosen, strict=True))


def test_no_choice_of_sixty_small_problems_is_cheaper() -> None:
    """Every way to give loads to boxes, counted one by one: none costs less than the solver's, and where none
    fits it says so.
    """
    fitting = 0
    for seed in range(60):
        boxes, loads, weights = problem(seed)
        costs = [
            cost
            for chosen in product(range(len(boxes)), repeat=len(loads))
            if (cost := cost_of(boxes, loads, weights, chosen)) is not None
        ]
        found = best_placing(boxes=boxes, loads=loads, weights=weights)

        assert (found.cost if found is not None else None) == min(costs, default=None), seed
        fitting += bool(costs)
    assert 20 < fitting < 60  # both kinds were there


def test_a_box_more_is_worth_what_it_is_weighed() -> None:
    """With boxes weighed heavily one far box works both loads; without, each has the near one."""
    boxes = [Box(10, 2), Box(10, 2)]
    near, far = (1, 40), (40, 1)
    loads = [BoxLoad(1, costs, (0, 0), (0, 0)) for costs in (near, far)]

    apart, together = (best_placing(boxes=boxes, loads=loads, weights=Weights(box=w)) for w in (0, 1000))

    assert apart is not None
    assert together is not None
    assert apart.boxes == (0, 1)
    assert len(set(together.boxes)) == 1


def test_a_load_that_forgets_a_box_is_refused() -> None:
    """How many boxes it speaks of, and how many there are."""
    with pytest.raises(InputError, match="of 1 boxes; there are 2"):
        best_placing(boxes=[Box(1, 1), Box(1, 1)], loads=[BoxLoad(1, (1,), (0,), (0,))])
