"""Why a group's functions cannot all lie on its fob: the smallest set of demands that contradict.

Also what could be given up: every smallest choice of demands without which it works.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Final, NamedTuple

from farpress.core.keys.layout_problem import MOST_BUTTONS, Holders, Rules
from farpress.sources import Mark, cites

__all__ = ["Conflict", "Demand", "conflicts", "is_possible"]

MOST_WAYS: Final = 12
"""Ways out that are listed at most; our choice."""


class Demand(NamedTuple):
    """One thing that is asked for.

    Attributes:
        what: "has", "short", "long", "apart", "alone", "barred" or "buttons".
        about: what it is about, as (site, kind), (kind,), (kind, kind) or (number,).
    """

    what: str
    about: tuple[str, ...]


class Conflict(NamedTuple):
    """Demands of one group that cannot all be met.

    Attributes:
        group: its name.
        demands: the smallest set that contradicts.
        ways: what to give up, each a smallest choice of demands; meeting all others is then possible.
    """

    group: str
    demands: tuple[Demand, ...]
    ways: tuple[tuple[Demand, ...], ...]


@cites(
    "smallest unsatisfiable subset by minimum hitting sets of correction sets (Ignatiev, Previti, Liffiton,"
    " Marques-Silva 2015)",
    mark=Mark.MEMORY,
)
def conflicts(*, groups: Sequence[Holders], rules: Rules) -> tuple[Conflict, ...]:
    """For each group whose demands contradict: the smallest contradiction, and the ways out.

    Args:
        groups: who is to have what.
        rules: what always holds.

    Example:
        Three short functions on a fob with two buttons:

        >>> from farpress.core.keys.layout_problem import Wanted
        >>> three = Holders("crew", 1, tuple(Wanted("a", kind) for kind in ("up", "down", "stop")))
        >>> (conflict,) = conflicts(
        ...     groups=[three], rules=Rules({"two": 2}, never_long=frozenset(("up", "down", "stop")))
        ... )
        >>> len(conflict.demands), len(conflict.ways)
        (7, 7)
    """
    found = []
    for group in groups:
        if not is_possible(group=group, rules=rules):
            demands = _demands(group, rules)
            found.append(Conflict(group.name, _smallest(group, rules, demands), _ways(group, rules, demands)))
    return tuple(found)


@cites("the same demands, all of them", mark=Mark.CHOICE)
def is_possible(*, group: Holders, rules: Rules) -> bool:
    """Whether all functions of a group can lie on its fob.

    Args:
        group: who is to have what.
        rules: what always holds.

    Example:
        >>> from farpress.core.keys.layout_problem import Wanted
        >>> is_possible(group=Holders("crew", 1, (Wanted("a", "up"),)), rules=Rules({"one": 1}))
        True
    """
    demands = _demands(group, rules)
    return _possible(group, rules, demands, demands) is not None


def _demands(group: Holders, rules: Rules) -> tuple[Demand, ...]:
    kinds = sorted({want.kind for want in group.wanted})
    demands = [Demand("has", (want.site, want.kind)) for want in group.wanted]
    demands += [Demand("short", (kind,)) for kind in kinds if kind in rules.never_long]
    demands += [Demand("long", (kind,)) for kind in kinds if kind in rules.only_long]
    demands += [Demand("apart", pair) for pair in rules.apart if set(pair) <= set(kinds)]
    demands += [Demand("alone", (kind,)) for kind in kinds if kind in rules.alone]
    demands += [Demand("barred", (kind,)) for kind in kinds if kind in group.barred]
    most = max(rules.types[name] for name in group.types or tuple(rules.types))
    return (*demands, Demand("buttons", (str(most),)))


def _model(group: Holders, rules: Rules, demands: Sequence[Demand]) -> tuple[Any, dict[Demand, Any]]:
    """A model in which each demand holds if its literal is true."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    on = {demand: model.new_bool_var(f"{demand.what} {demand.about}") for demand in demands}
    most = max(int(demand.about[0]) for demand in demands if demand.what == "buttons")
    # enough buttons that without the limit everything fits side by side
    buttons = range(1, max(most, min(len(group.wanted) + 1, MOST_BUTTONS)) + 1)
    x = {
        (w.site, w.kind, b, long): model.new_bool_var("")
        for w in group.wanted
        for b in buttons
        for long in (False, True)
    }
    for want in group.wanted:
        choices = [x[want.site, want.kind, b, long] for b in buttons for long in (False, True)]
        model.add_at_most_one(choices)
        model.add_bool_or(choices).only_enforce_if(on[Demand("has", (want.site, want.kind))])
    for site in dict.fromkeys(want.site for want in group.wanted):
        for b in buttons:
            for long in (False, True):
                model.add_at_most_one(x[w.site, w.kind, b, long] for w in group.wanted if w.site == site)
    for demand, literal in on.items():
        if demand.what == "has":
            continue
        for key in _forbidden(demand, x):
            model.add_bool_or([~x[part] for part in key] + [~literal])
    return model, on


def _forbidden(
    demand: Demand, x: Iterable[tuple[str, str, int, bool]]
) -> Iterable[tuple[tuple[str, str, int, bool], ...]]:
    """Places, alone or in pairs, that a demand does not allow."""
    keys = list(x)
    match demand.what:
        case "short" | "long":
            return [
                (key,) for key in keys if key[1] == demand.about[0] and key[3] == (demand.what == "short")
            ]
        case "barred":
            return [(key,) for key in keys if key[1] == demand.about[0]]
        case "buttons":
            return [(key,) for key in keys if key[2] > int(demand.about[0])]
        case "apart":
            a, c = demand.about
            return [
                (key, other)
                for key in keys
                if key[1] == a
                for other in keys
                if other[1] == c and other[0] == key[0] and other[2] == key[2]
            ]
    return [
        (key, other)
        for key in keys
        if key[1] == demand.about[0]
        for other in keys
        if other[1] != key[1] and other[2] == key[2]
    ]


def _solve(model: Any) -> Any | None:
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    return solver if solver.solve(model) in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None


def _possible(
    group: Holders, rules: Rules, demands: Sequence[Demand], kept: Iterable[Demand]
) -> set[Demand] | None:
    """Demands that can be met together with those kept, as many as possible; None if those kept
    contradict.
    """
    model, on = _model(group, rules, demands)
    for demand in kept:
        model.add(on[demand] == 1)
    model.maximize(sum(on.values()))
    solver = _solve(model)
    return None if solver is None else {demand for demand, literal in on.items() if solver.value(literal)}


def _smallest(group: Holders, rules: Rules, demands: Sequence[Demand]) -> tuple[Demand, ...]:
    from ortools.sat.python import cp_model

    corrections: list[set[Demand]] = []
    while True:
        model = cp_model.CpModel()
        chosen = {demand: model.new_bool_var("") for demand in demands}
        for correction in corrections:
            model.add_bool_or([chosen[demand] for demand in correction])
        model.minimize(sum(chosen.values()))
        solver = _solve(model)
        hitting = [demand for demand in demands if solver is not None and solver.value(chosen[demand])]
        met = _possible(group, rules, demands, hitting)
        if met is None:
            return tuple(hitting)
        corrections.append(set(demands) - met)


def _ways(group: Holders, rules: Rules, demands: Sequence[Demand]) -> tuple[tuple[Demand, ...], ...]:
    model, on = _model(group, rules, demands)
    model.maximize(sum(on.values()))
    solver = _solve(model)
    if solver is None:
        return ()
    fewest = sum(1 - solver.value(literal) for literal in on.values())
    ways: list[tuple[Demand, ...]] = []
    model.clear_objective()
    model.add(sum(on.values()) == len(on) - fewest)
    while len(ways) < MOST_WAYS:
        solver = _solve(model)
        if solver is None:
            break
        dropped = tuple(demand for demand, literal in on.items() if not solver.value(literal))
        ways.append(dropped)
        model.add_bool_or([on[demand] for demand in dropped])
    return tuple(sorted(ways))
