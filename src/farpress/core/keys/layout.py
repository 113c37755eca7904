"""Which function lies on which button: the same kind on the same button everywhere.

An integer programme over groups of holders, their fobs, and the sites they go to. Hard:
everybody has every function they are to have, one function for one press at a site, what
must be kept apart is apart, a call for help has a button of its own. Soft, and weighed:
another button than elsewhere, long presses, unset beside gate, two functions on one button
(far more while another button does nothing there), what has to be learned anew at how many receivers, and
the number of fob types. Memory is no part of it: every plan
needs the same, see `core.keys.memory`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from farpress.core.keys.layout_problem import (
    MOST_BUTTONS,
    SCALE,
    USUAL,
    Costs,
    Holders,
    Layout,
    PlacedFunction,
    Rules,
)
from farpress.errors import InputError
from farpress.sources import Mark, cites

if TYPE_CHECKING:
    from farpress.core.keys.homes import Homes
    from farpress.core.keys.placing import PlacingModel

__all__ = ["best_layout", "cost_of"]


@cites(
    "0-1 programme: one button for each kind, deviations, neighbours and shared buttons weighed",
    mark=Mark.CHOICE,
)
def best_layout(
    *, groups: Sequence[Holders], rules: Rules, costs: Costs = USUAL, limit_s: float = 60.0
) -> Layout | None:
    """The cheapest plan, with a bound that proves it or says how far it may be off.

    Groups with the same functions are one; equal plans are told apart by the lowest button
    numbers for what is used most, so that the same problem gives the same paper.

    Args:
        groups: who is to have what.
        rules: what always holds.
        costs: weights.
        limit_s: time for the search [s].

    Returns:
        The plan; None if the rules cannot all be kept (ask `core.keys.conflicts` why), or if
        none was found in the time.

    Raises:
        InputError: a group twice, an unknown fob type, a function wanted twice.

    Example:
        A gate and a light at two houses, one fob with two buttons:

        >>> from farpress.core.keys.layout_problem import Wanted
        >>> plan = best_layout(
        ...     groups=[
        ...         Holders("all", 1, (Wanted("a", "gate", 5), Wanted("a", "light"), Wanted("b", "gate")))
        ...     ],
        ...     rules=Rules({"two": 2}),
        ... )
        >>> plan.home, plan.cost
        ({'gate': 1, 'light': 2}, 50.0)
    """
    _check(groups, rules)
    from ortools.sat.python import cp_model

    from farpress.core.keys.homes import best_homes
    from farpress.core.keys.placing import PlacingModel

    known = best_homes(groups=groups, rules=rules, costs=costs, scale=SCALE)
    if known is not None:
        return None if known.cost is None else _group_by_group(groups, rules, costs, known, limit_s)
    model = cp_model.CpModel()
    made = PlacingModel(model, groups, rules, costs)
    solver = _solved(model, made.total, limit_s, workers=8)
    if solver is None:
        return None
    value, bound = round(solver.objective_value), round(solver.best_objective_bound)
    solver = _tidied(model, made, solver, value, limit_s)
    placed, home, types = made.read(solver)
    return _priced(
        Layout(placed, home, types, value / SCALE, min(bound, value) / SCALE), groups, rules, costs
    )


def _group_by_group(
    groups: Sequence[Holders], rules: Rules, costs: Costs, known: Homes, limit_s: float
) -> Layout | None:
    """Once homes and fob types are known every group stands alone; the tables' least cost is the bound."""
    from ortools.sat.python import cp_model

    from farpress.core.keys.placing import PlacingModel

    some = Rules(
        {name: rules.types[name] for name in known.types},
        rules.never_long,
        rules.only_long,
        rules.apart,
        rules.alone,
    )
    value = len(known.types) * round(SCALE * costs.type)
    placed: list[PlacedFunction] = []
    types: dict[str, str] = {}
    for group in groups:
        model = cp_model.CpModel()
        made = PlacingModel(
            model,
            [group._replace(types=tuple(name for name in group.types if name in some.types))],
            some,
            costs._replace(type=0.0),
        )
        for (kind, b), variable in made.home.items():
            model.add(variable == (known.home[kind] == b))
        solver = _solved(model, made.total, limit_s, workers=1)
        if solver is None:
            return None
        mine = round(solver.objective_value)
        more, _, fobs = made.read(_tidied(model, made, solver, mine, limit_s))
        value += mine
        placed += more
        types |= fobs
    bound = value if known.cost is None else known.cost
    return _priced(
        Layout(tuple(placed), known.home, types, value / SCALE, min(bound, value) / SCALE),
        groups,
        rules,
        costs,
    )


def _solved(model: Any, objective: Any, limit_s: float, *, workers: int) -> Any | None:
    """The solver with its answer; None if there is none, or none was found in the time."""
    from ortools.sat.python import cp_model

    model.minimize(objective)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = limit_s
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = 1
    return solver if solver.solve(model) in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None


def _tidied(model: Any, made: PlacingModel, solver: Any, value: int, limit_s: float) -> Any:
    """A second search that keeps the cost and takes the lowest buttons; by one worker, so that the answer is
    the same every time.
    """
    model.add(made.total <= value)
    for variable in made.every:
        model.add_hint(variable, solver.value(variable))
    return _solved(model, made.tidy, max(limit_s / 4, 1.0), workers=1) or solver


def _priced(plan: Layout, groups: Sequence[Holders], rules: Rules, costs: Costs) -> Layout:
    return replace(plan, parts=cost_of(plan, groups, rules, costs))


@cites("the same cost, counted from a plan", mark=Mark.CHOICE)
def cost_of(
    layout: Layout, groups: Sequence[Holders], rules: Rules, costs: Costs = USUAL
) -> dict[str, float]:
    """What a plan costs, by name, counted anew from where everything lies.

    Args:
        layout: the plan.
        groups: who was to have what.
        rules: what always holds.
        costs: weights.
    """
    parts = dict.fromkeys(Costs._fields, 0.0)
    parts["type"] = costs.type * len(set(layout.types.values()))
    for group in groups:
        mine = {(placed.site, placed.kind): placed for placed in layout.placed if placed.group == group.name}
        swapped = group.type_today not in ("", layout.types[group.name])
        for want in group.wanted:
            placed = mine[want.site, want.kind]
            parts["elsewhere"] += (
                costs.elsewhere * want.use * group.fobs * (placed.button != layout.home[want.kind])
            )
            parts["long"] += (
                costs.long * want.use * group.fobs * (placed.long and want.kind not in rules.only_long)
            )
            parts["relearn"] += (
                costs.relearn
                * want.receivers
                * group.fobs
                * (want.today is not None and (swapped or want.today != (placed.button, placed.long)))
            )
        for site in dict.fromkeys(want.site for want in group.wanted):
            here = [placed for (where, _), placed in mine.items() if where == site]
            buttons = [placed.button for placed in here]
            shared = len(buttons) - len(set(buttons))
            must = max(len(buttons) - rules.types[layout.types[group.name]], 0)
            parts["share"] += costs.share * group.fobs * shared
            parts["spare"] += costs.spare * group.fobs * (shared - must)
            for a, c in rules.apart:
                at_a, at_c = ([placed.button for placed in here if placed.kind == kind] for kind in (a, c))
                parts["near"] += costs.near * group.fobs * sum(abs(i - j) == 1 for i in at_a for j in at_c)
    return parts


def _check(groups: Sequence[Holders], rules: Rules) -> None:
    names = [group.name for group in groups]
    if len(set(names)) != len(names):
        raise InputError("A group stands twice in the problem.")
    if not rules.types or not all(1 <= count <= MOST_BUTTONS for count in rules.types.values()):
        raise InputError(f"Give at least one fob type with 1 to {MOST_BUTTONS} buttons.")
    for group in groups:
        unknown = [name for name in group.types if name not in rules.types]
        if unknown:
            raise InputError(
                f"{group.name}: there is no fob type {', '.join(unknown)}; there are"
                f" {', '.join(rules.types)}."
            )
        pairs = [(want.site, want.kind) for want in group.wanted]
        if len(set(pairs)) != len(pairs):
            raise InputError(
                f"{group.name} want one kind of function twice at one site; give the kinds different names."
            )
