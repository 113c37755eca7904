"""Which receivers hang where, and which of them works what, by integer programming.

A load is what one receiver has to work together: one output, or a pair that is kept apart. A box is a
receiver of some kind at some place that could be bought, or one that hangs there already. What it costs to
work a load from a box, and how far from surely its promises are heard there, the caller knows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from farpress.errors import InputError
from farpress.sources import Mark, cites

__all__ = ["Box", "BoxLoad", "Placing", "Weights", "best_placing", "placing_cost"]


@dataclass(frozen=True)
class Box:
    """A receiver that could be used.

    Attributes:
        cost: of having it, in whole units of the caller's; 0 for one that is there.
        outputs: free ones.
        capacity: records that its memory holds; None where nobody says.
        counts_buttons: a record for each function of a fob, instead of one for each fob.
        is_new: counts as a box more.
        like: a number; of two boxes with the same number the first is used first. None for none.
    """

    cost: int
    outputs: int
    capacity: int | None = None
    counts_buttons: bool = False
    is_new: bool = True
    like: int | None = None


@dataclass(frozen=True)
class BoxLoad:
    """What one box has to work.

    Attributes:
        outputs: so many it takes.
        costs: by box, in the same units; None where it cannot be worked from there.
        misses: by box, what its promises lack there: 0 where each is kept, more the worse.
        risks: by box, how much of the allowed failures its worst promise uses up there, in thousandths.
        holders: group → fobs that press it.
    """

    outputs: int
    costs: tuple[int | None, ...]
    misses: tuple[int, ...]
    risks: tuple[int, ...]
    holders: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True)
class Weights:
    """What counts how much, in units of cost.

    Attributes:
        box: of a new box, beside its cost.
        miss: of one unit of misses; far more than anything else.
        risk: of one thousandth of the worst risk of all loads.
    """

    box: int = 0
    miss: int = 1_000_000
    risk: int = 0


@dataclass(frozen=True)
class Placing:
    """An answer.

    Attributes:
        boxes: number of the box of each load.
        cost: weighted, as `placing_cost` counts it.
    """

    boxes: tuple[int, ...]
    cost: int


@cites(
    "facility location with capacities as an integer programme, Wolsey, Integer Programming, chapter 1",
    edition="1998",
    mark=Mark.MEMORY,
)
def best_placing(
    *, boxes: Sequence[Box], loads: Sequence[BoxLoad], weights: Weights = Weights(), limit_s: float = 10.0
) -> Placing | None:
    """The choice with the least weighted cost.

    Args:
        boxes: what could be used.
        loads: what has to be worked.
        weights: what counts how much.
        limit_s: processor time of the solver's search [s].

    Returns:
        None where not every load can be worked.

    Raises:
        InputError: a load that does not say something of every box.

    Example:
        One box of two outputs is cheaper than two of one:

        >>> boxes = [Box(10, 1), Box(10, 1), Box(15, 2)]
        >>> load = BoxLoad(1, (1, 1, 1), (0, 0, 0), (0, 0, 0))
        >>> best_placing(boxes=boxes, loads=[load, load])
        Placing(boxes=(2, 2), cost=17)
    """
    for load in loads:
        if not len(load.costs) == len(load.misses) == len(load.risks) == len(boxes):
            raise InputError(f"A load says something of {len(load.costs)} boxes; there are {len(boxes)}.")
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    used = [model.new_bool_var(f"box {j}") for j in range(len(boxes))]
    worked_by = [
        {j: model.new_bool_var(f"load {i} at {j}") for j, cost in enumerate(load.costs) if cost is not None}
        for i, load in enumerate(loads)
    ]
    for choices in worked_by:
        if not choices:
            return None
        model.add_exactly_one(choices.values())
    for j, box in enumerate(boxes):
        here = [(loads[i], choices[j]) for i, choices in enumerate(worked_by) if j in choices]
        model.add(sum(load.outputs * chosen for load, chosen in here) <= box.outputs * used[j])
        if box.capacity is not None:
            model.add(_records(model, j, box, here) <= box.capacity)
    for choices in worked_by:
        for j, chosen in choices.items():
            model.add_implication(chosen, used[j])
    model.add(sum(used) >= _fewest(boxes, loads))
    last: dict[int, int] = {}
    for j, box in enumerate(boxes):
        if box.like is not None and box.like in last:
            model.add_implication(used[j], used[last[box.like]])
        if box.like is not None:
            last[box.like] = j
    most = max((risk for load in loads for risk in load.risks), default=0)
    worst = model.new_int_var(0, most, "worst risk")
    for load, choices in zip(loads, worked_by, strict=True):
        for j, chosen in choices.items():
            if load.risks[j]:
                model.add(worst >= load.risks[j]).only_enforce_if(chosen)
    spent = sum((box.cost + weights.box * box.is_new) * used[j] for j, box in enumerate(boxes))
    worked = sum(
        ((load.costs[j] or 0) + weights.miss * load.misses[j]) * chosen
        for load, choices in zip(loads, worked_by, strict=True)
        for j, chosen in choices.items()
    )
    model.minimize(spent + worked + weights.risk * worst)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = limit_s
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    chosen_boxes = tuple(
        next(j for j, chosen in choices.items() if solver.value(chosen)) for choices in worked_by
    )
    cost = placing_cost(boxes=boxes, loads=loads, chosen=chosen_boxes, weights=weights)
    return None if cost is None else Placing(chosen_boxes, cost)


@cites("boxes, cables and what is missed added up", mark=Mark.CHOICE)
def placing_cost(
    *, boxes: Sequence[Box], loads: Sequence[BoxLoad], chosen: Sequence[int], weights: Weights = Weights()
) -> int | None:
    """The weighted cost of a choice; None where it does not fit.

    Args:
        boxes, loads, weights: as in `best_placing`.
        chosen: number of the box of each load.

    Example:
        >>> load = BoxLoad(1, (5,), (0,), (200,))
        >>> placing_cost(boxes=[Box(10, 1)], loads=[load], chosen=[0], weights=Weights(risk=2))
        415
    """
    cost, worst = 0, 0
    for j, box in enumerate(boxes):
        here = [load for load, choice in zip(loads, chosen, strict=True) if choice == j]
        if not here:
            continue
        fobs: dict[str, int] = {}
        for load in here:
            for group, count in load.holders:
                fobs[group] = count if not box.counts_buttons else fobs.get(group, 0) + count
        if sum(load.outputs for load in here) > box.outputs:
            return None
        if box.capacity is not None and sum(fobs.values()) > box.capacity:
            return None
        cost += box.cost + weights.box * box.is_new
    for load, j in zip(loads, chosen, strict=True):
        each = load.costs[j]
        if each is None:
            return None
        cost += each + weights.miss * load.misses[j]
        worst = max(worst, load.risks[j])
    return cost + weights.risk * worst


def _fewest(boxes: Sequence[Box], loads: Sequence[BoxLoad]) -> int:
    """No choice has fewer boxes: so many are needed if each were one with the most outputs there are."""
    wanted, count = sum(load.outputs for load in loads), 0
    for outputs in sorted((box.outputs for box in boxes), reverse=True):
        if wanted <= 0:
            break
        wanted -= outputs
        count += 1
    return count


def _records(model, j: int, box: Box, here):  # type: ignore[no-untyped-def]
    """Records in a box's memory, as a sum of the solver's."""
    if box.counts_buttons:
        return sum(count * chosen for load, chosen in here for _, count in load.holders)
    groups = dict(pair for load, _ in here for pair in load.holders)
    total = 0
    for group, count in groups.items():
        known = model.new_bool_var(f"{group} in {j}")
        for load, chosen in here:
            if any(name == group for name, _ in load.holders):
                model.add_implication(chosen, known)
        total += count * known
    return total
