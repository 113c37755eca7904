"""Which function lies on which button: the same kind on the same button everywhere.

An integer programme over groups of holders, their fobs, and the sites they go to. Hard:
everybody has every function they are to have, one function for one press at a site, what
must be kept apart is apart, a call for help has a button of its own. Soft, and weighed:
another button than elsewhere, long presses, unset beside gate, two functions on one button,
what has to be learned anew, and the number of fob types.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final, NamedTuple

from farpress.errors import InputError
from farpress.sources import Mark, cites

__all__ = ["USUAL", "Costs", "Holders", "Layout", "Placed", "Rules", "Wanted", "best_layout", "cost_of"]

MOST_BUTTONS: Final = 16
"""More buttons than any fob of the catalogue has."""

SCALE: Final = 100
"""Costs are whole numbers of hundredths inside."""


class Wanted(NamedTuple):
    """One function that a group is to have.

    Attributes:
        site: where; one press does one thing at one site.
        kind: what for: "open", "light"; the same kind lies on the same button everywhere.
        use: how often a holder presses it, any unit; weighs being elsewhere, and long.
        today: button and whether long, where it lies now; None for nowhere.
    """

    site: str
    kind: str
    use: float = 1.0
    today: tuple[int, bool] | None = None


class Holders(NamedTuple):
    """People with the same functions.

    Attributes:
        name: of the group.
        fobs: how many.
        wanted: their functions.
        types: names of the fob types they may have; empty for any.
        barred: kinds they may never have.
    """

    name: str
    fobs: int
    wanted: tuple[Wanted, ...]
    types: tuple[str, ...] = ()
    barred: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Rules:
    """What holds for every fob.

    Attributes:
        types: fob type → its number of buttons.
        never_long: kinds that are pressed short, as whatever moves while held.
        only_long: kinds that are pressed long, as unsetting.
        apart: pairs of kinds that never share a button at a site, and better lie not side by side.
        alone: kinds with a button of their own over all sites, as a call for help.
    """

    types: Mapping[str, int]
    never_long: frozenset[str] = frozenset()
    only_long: frozenset[str] = frozenset()
    apart: tuple[tuple[str, str], ...] = ()
    alone: frozenset[str] = frozenset()


class Costs(NamedTuple):
    """Weights of what is better avoided, for one holder; our choice, only the ratios matter."""

    elsewhere: float = 5.0
    long: float = 1.0
    near: float = 2.0
    share: float = 3.0
    relearn: float = 1.0
    type: float = 50.0


USUAL: Final = Costs()


class Placed(NamedTuple):
    """Where one function lies."""

    group: str
    site: str
    kind: str
    button: int
    long: bool


@dataclass(frozen=True)
class Layout:
    """A plan for every group.

    Attributes:
        placed: every function of every group.
        home: kind → the button it lies on everywhere but in exceptions.
        types: group → fob type.
        cost, bound: weighed cost, and what no plan can be cheaper than; equal if proven best.
        parts: what the cost is made of, by name.
    """

    placed: tuple[Placed, ...]
    home: Mapping[str, int]
    types: Mapping[str, str]
    cost: float
    bound: float
    parts: Mapping[str, float] = field(default_factory=dict)

    @property
    def is_proven(self) -> bool:
        """Whether no plan can be better."""
        return self.cost <= self.bound + 1e-6


@cites("0-1 programme: one button for each kind, deviations, neighbours and shared buttons weighed", mark=Mark.CHOICE)
def best_layout(*, groups: Sequence[Holders], rules: Rules, costs: Costs = USUAL, limit_s: float = 60.0) -> Layout | None:
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

        >>> plan = best_layout(groups=[Holders("all", 1, (Wanted("a", "gate", 5), Wanted("a", "light"), Wanted("b", "gate")))], rules=Rules({"two": 2}))
        >>> plan.home, plan.cost
        ({'gate': 1, 'light': 2}, 50.0)
    """
    _check(groups, rules)
    from ortools.sat.python import cp_model

    from farpress.core.keys.homes import best_homes

    known = best_homes(groups=groups, rules=rules, costs=costs, scale=SCALE)
    if known is not None and known.cost is None:
        return None
    model = cp_model.CpModel()
    made = _Model(model, groups, rules, costs)
    model.minimize(made.total)
    if known is not None and known.cost is not None:
        # the least cost is known, and homes that have it; what is left is easy
        for kind, button in known.home.items():
            model.add(made.home[kind, button] == 1)
        model.add(made.total >= known.cost)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = limit_s
    solver.parameters.num_workers = 8
    solver.parameters.random_seed = 1
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    value, bound = round(solver.objective_value), known.cost if known is not None and known.cost is not None else round(solver.best_objective_bound)
    # the second search keeps the cost and takes the lowest buttons
    model.add(made.total <= value)
    for variable in made.every:
        model.add_hint(variable, solver.value(variable))
    model.minimize(made.tidy)
    second = cp_model.CpSolver()
    second.parameters.max_time_in_seconds = max(limit_s / 4, 1.0)
    second.parameters.num_workers = 8
    second.parameters.interleave_search = True  # the same answer every time
    second.parameters.random_seed = 1
    if second.solve(model) in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        solver = second
    return made.read(solver, value, bound)


@cites("the same cost, counted from a plan", mark=Mark.CHOICE)
def cost_of(layout: Layout, groups: Sequence[Holders], rules: Rules, costs: Costs = USUAL) -> dict[str, float]:
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
        mine = {(one.site, one.kind): one for one in layout.placed if one.group == group.name}
        for want in group.wanted:
            one = mine[want.site, want.kind]
            parts["elsewhere"] += costs.elsewhere * want.use * group.fobs * (one.button != layout.home[want.kind])
            parts["long"] += costs.long * want.use * group.fobs * (one.long and want.kind not in rules.only_long)
            parts["relearn"] += costs.relearn * group.fobs * (want.today is not None and want.today != (one.button, one.long))
        for site in dict.fromkeys(want.site for want in group.wanted):
            here = [one for (where, _), one in mine.items() if where == site]
            buttons = [one.button for one in here]
            parts["share"] += costs.share * group.fobs * sum(buttons.count(button) - 1 for button in set(buttons))
            for a, c in rules.apart:
                at_a, at_c = ([one.button for one in here if one.kind == kind] for kind in (a, c))
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
            raise InputError(f"{group.name}: there is no fob type {', '.join(unknown)}; there are {', '.join(rules.types)}.")
        pairs = [(want.site, want.kind) for want in group.wanted]
        if len(set(pairs)) != len(pairs):
            raise InputError(f"{group.name} want one kind of function twice at one site; give the kinds different names.")


class _Model:
    """Variables and cost of one problem; see `best_layout` for the meaning."""

    def __init__(self, model: Any, groups: Sequence[Holders], rules: Rules, costs: Costs) -> None:
        self.model, self.groups, self.rules, self.costs = model, groups, rules, costs
        self.most = max(rules.types.values())
        self.every: list[Any] = []
        self.terms: list[Any] = []
        kinds = sorted({want.kind for group in groups for want in group.wanted})
        weight = {kind: sum(want.use * group.fobs for group in groups for want in group.wanted if want.kind == kind) for kind in kinds}
        self.home = {(kind, b): self._bool(f"{kind} at {b}") for kind in kinds for b in range(1, self.most + 1)}
        for kind in kinds:
            model.add_exactly_one(self.home[kind, b] for b in range(1, self.most + 1))
        self.used = {name: self._bool(f"type {name}") for name in rules.types}
        self.type: dict[tuple[str, str], Any] = {}
        self.x: dict[tuple[str, str, str, int, bool], Any] = {}
        for group in groups:
            self._group(group)
        self.terms += [round(SCALE * costs.type) * one for one in self.used.values()]
        self.total = sum(self.terms)
        order = sorted(kinds, key=lambda kind: (-weight[kind], kind))
        self.tidy = sum((len(order) - at) * 4 * b * self.home[kind, b] for at, kind in enumerate(order) for b in range(1, self.most + 1))
        self.tidy += sum(b * one for (_, _, _, b, _), one in self.x.items())

    def _bool(self, name: str) -> Any:
        one = self.model.new_bool_var(name)
        self.every.append(one)
        return one

    def _group(self, group: Holders) -> None:
        model, rules, costs, count = self.model, self.rules, self.costs, group.fobs
        allowed = group.types or tuple(rules.types)
        for name in allowed:
            self.type[group.name, name] = self._bool(f"{group.name} has {name}")
            model.add_implication(self.type[group.name, name], self.used[name])
        model.add_exactly_one(self.type[group.name, name] for name in allowed)
        most = max(rules.types[name] for name in allowed)
        buttons = range(1, most + 1)
        lies: dict[tuple[str, str, int], Any] = {}
        for want in group.wanted:
            choices = []
            for b in buttons:
                for is_long in (False, True):
                    if (is_long and want.kind in rules.never_long) or (not is_long and want.kind in rules.only_long) or want.kind in group.barred:
                        continue
                    one = self.x[group.name, want.site, want.kind, b, is_long] = self._bool(f"{group.name} {want.site} {want.kind} {b} {is_long}")
                    choices.append(one)
                    for name in allowed:
                        if b > rules.types[name]:
                            model.add_implication(one, ~self.type[group.name, name])
                    if is_long and want.kind not in rules.only_long:
                        self.terms.append(round(SCALE * costs.long * want.use * count) * one)
                    if want.today is not None and want.today != (b, is_long):
                        self.terms.append(round(SCALE * costs.relearn * count) * one)
                here = sum(self.x[key] for is_long in (False, True) if (key := (group.name, want.site, want.kind, b, is_long)) in self.x)
                lies[want.site, want.kind, b] = here
            model.add_exactly_one(choices) if choices else model.add_bool_or([])
            away = self._bool("away")
            for b in buttons:
                model.add(lies[want.site, want.kind, b] <= self.home[want.kind, b] + away)
            self.terms.append(round(SCALE * costs.elsewhere * want.use * count) * away)
        for site in dict.fromkeys(want.site for want in group.wanted):
            self._site(group, site, buttons, lies)
        for want in group.wanted:
            if want.kind in rules.alone:
                for b in buttons:
                    others = [lies[other.site, other.kind, b] for other in group.wanted if other.kind != want.kind]
                    for other in others:
                        model.add(lies[want.site, want.kind, b] + other <= 1)

    def _site(self, group: Holders, site: str, buttons: range, lies: dict[tuple[str, str, int], Any]) -> None:
        model, costs = self.model, self.costs
        kinds = [want.kind for want in group.wanted if want.site == site]
        for b in buttons:
            presses = []
            for is_long in (False, True):
                here = [self.x[key] for kind in kinds if (key := (group.name, site, kind, b, is_long)) in self.x]
                model.add_at_most_one(here)
                presses.append(sum(here))
            both = self._bool("both")
            model.add(both >= presses[0] + presses[1] - 1)
            self.terms.append(round(SCALE * costs.share * group.fobs) * both)
        for a, c in self.rules.apart:
            if a not in kinds or c not in kinds or a == c:
                continue
            near = self._bool("near")
            for b in buttons:
                model.add(lies[site, a, b] + lies[site, c, b] <= 1)
                for beside in (b - 1, b + 1):
                    if beside in buttons:
                        model.add(near >= lies[site, a, b] + lies[site, c, beside] - 1)
            self.terms.append(round(SCALE * costs.near * group.fobs) * near)

    def read(self, solver: Any, value: int, bound: int) -> Layout:
        """The plan that a solver found."""
        placed = tuple(Placed(*key) for key, one in self.x.items() if solver.value(one))
        home = {kind: b for (kind, b), one in self.home.items() if solver.value(one)}
        types = {group: name for (group, name), one in self.type.items() if solver.value(one)}
        plan = Layout(placed, home, types, value / SCALE, min(bound, value) / SCALE)
        return Layout(placed, home, types, value / SCALE, min(bound, value) / SCALE, cost_of(plan, self.groups, self.rules, self.costs))
