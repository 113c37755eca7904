"""The cheapest set of changes that cures every fault that can be cured, by integer programming.

A change cures some faults when it is made alone. Which faults stand after several are made together, only
the judge knows: a set that he refutes is handed back, and the next cheapest is proposed.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final

from farpress.errors import InputError
from farpress.sources import Mark, cites

__all__ = ["Choice", "Option", "cheapest_choice"]


_ROUNDED: Final = 1e-3
"""The solver gives its bound on whole numbers as a float."""


@dataclass(frozen=True)
class Option:
    """One change that could be made.

    Attributes:
        cost: what it takes, in whole units of the caller's; at least 0.
        cures: faults it cures when it is made alone.
        excludes: group of options of which only one can be made; empty for none.
    """

    cost: int
    cures: frozenset[str]
    excludes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Choice:
    """A proposed set.

    Attributes:
        options: numbers of the options, ascending.
        cost: of all of them.
        left: faults that it leaves, because nothing allowed cures them or because they are not worth it.
        bound: no set has less cost and worth of what it leaves together; equal to its own where it is proven
            to be the cheapest.
    """

    options: tuple[int, ...]
    cost: int
    left: frozenset[str]
    bound: int = 0


@cites(
    "weighted set cover as an integer programme, Vazirani, Approximation Algorithms, chapter 2",
    edition="2001",
    mark=Mark.MEMORY,
)
def cheapest_choice(
    *,
    options: Sequence[Option],
    worth: dict[str, int],
    refuted: Collection[frozenset[int]] = (),
    budget: int | None = None,
    limit_s: float = 20.0,
) -> Choice | None:
    """Options whose cost and whose uncured faults' worth together are least.

    Args:
        options: what may be done.
        worth: fault → what it is worth to be cured, in the unit of the costs.
        refuted: sets of options that must not be proposed again.
        budget: most that all options together may cost; None for no limit.
        limit_s: processor time of the solver's search [s].

    Returns:
        None when every set is refuted.

    Raises:
        InputError: a negative cost or worth.

    Example:
        One change that cures both is cheaper than two:

        >>> both = Option(5, frozenset({"a", "b"}))
        >>> cheapest_choice(
        ...     options=[Option(3, frozenset({"a"})), Option(4, frozenset({"b"})), both],
        ...     worth={"a": 100, "b": 100},
        ... )
        Choice(options=(2,), cost=5, left=frozenset(), bound=5)
    """
    negative = [option.cost for option in options if option.cost < 0] + [w for w in worth.values() if w < 0]
    if negative:
        raise InputError(f"A cost or a worth of {negative[0]} was given; neither can be below 0.")
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    made = [model.new_bool_var(f"option {number}") for number in range(len(options))]
    left = {fault: model.new_bool_var(f"left {number}") for number, fault in enumerate(worth)}
    for fault, stays in left.items():
        model.add_bool_or(stays, *(made[n] for n, option in enumerate(options) if fault in option.cures))
    for group in {name for option in options for name in option.excludes}:
        model.add_at_most_one(made[n] for n, option in enumerate(options) if group in option.excludes)
    for known in refuted:
        model.add_bool_or(
            *(variable.negated() if n in known else variable for n, variable in enumerate(made))
        )
    spent = sum(option.cost * variable for option, variable in zip(options, made, strict=True))
    if budget is not None:
        model.add(spent <= budget)
    # of equal sets the one with the fewest changes, then the first ones: the same proposal on every machine
    scale = len(options) * (len(options) + 1) + 1
    order = sum((len(options) + number) * variable for number, variable in enumerate(made))
    model.minimize(scale * 2 * (spent + sum(worth[fault] * stays for fault, stays in left.items())) + order)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = limit_s
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    chosen = tuple(number for number, variable in enumerate(made) if solver.value(variable))
    cured = {fault for number in chosen for fault in options[number].cures}
    bound = math.floor(solver.best_objective_bound + _ROUNDED) // (scale * 2)  # the order is less than that
    return Choice(chosen, sum(options[n].cost for n in chosen), frozenset(set(worth) - cured), bound)
