"""The button plan as a 0-1 programme: variables, rules and cost of one problem, and how its answer is
read.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from farpress.core.keys.layout_problem import SCALE, Costs, Holders, PlacedFunction, Rules

__all__ = ["PlacingModel"]


class PlacingModel:
    """Variables and cost of one problem; see `layout.best_layout` for the meaning."""

    def __init__(self, model: Any, groups: Sequence[Holders], rules: Rules, costs: Costs) -> None:
        self.model, self.groups, self.rules, self.costs = model, groups, rules, costs
        self.most = max(rules.types.values())
        self.every: list[Any] = []
        self.terms: list[Any] = []
        kinds = sorted({want.kind for group in groups for want in group.wanted})
        weight = {
            kind: sum(want.use * group.fobs for group in groups for want in group.wanted if want.kind == kind)
            for kind in kinds
        }
        self.home = {
            (kind, b): self._bool(f"{kind} at {b}") for kind in kinds for b in range(1, self.most + 1)
        }
        for kind in kinds:
            model.add_exactly_one(self.home[kind, b] for b in range(1, self.most + 1))
        self.used = {name: self._bool(f"type {name}") for name in rules.types}
        self.type: dict[tuple[str, str], Any] = {}
        self.x: dict[tuple[str, str, str, int, bool], Any] = {}
        for group in groups:
            self._group(group)
        self.terms += [round(SCALE * costs.type) * used for used in self.used.values()]
        self.total = sum(self.terms)
        order = sorted(kinds, key=lambda kind: (-weight[kind], kind))
        self.tidy = sum(
            (len(order) - rank) * 4 * b * self.home[kind, b]
            for rank, kind in enumerate(order)
            for b in range(1, self.most + 1)
        )
        self.tidy += sum(b * placed for (_, _, _, b, _), placed in self.x.items())

    def _bool(self, name: str) -> Any:
        variable = self.model.new_bool_var(name)
        self.every.append(variable)
        return variable

    def _group(self, group: Holders) -> None:
        model, rules, costs, count = self.model, self.rules, self.costs, group.fobs
        allowed = group.types or tuple(rules.types)
        for name in allowed:
            self.type[group.name, name] = self._bool(f"{group.name} has {name}")
            model.add_implication(self.type[group.name, name], self.used[name])
        model.add_exactly_one(self.type[group.name, name] for name in allowed)
        kept: Any = self.type.get((group.name, group.type_today), 0) if group.type_today else 1
        most = max(rules.types[name] for name in allowed)
        buttons = range(1, most + 1)
        lies: dict[tuple[str, str, int], Any] = {}
        for want in group.wanted:
            choices, moved = [], []
            for b in buttons:
                for is_long in (False, True):
                    if (
                        (is_long and want.kind in rules.never_long)
                        or (not is_long and want.kind in rules.only_long)
                        or want.kind in group.barred
                    ):
                        continue
                    placed = self.x[group.name, want.site, want.kind, b, is_long] = self._bool(
                        f"{group.name} {want.site} {want.kind} {b} {is_long}"
                    )
                    choices.append(placed)
                    for name in allowed:
                        if b > rules.types[name]:
                            model.add_implication(placed, ~self.type[group.name, name])
                    if is_long and want.kind not in rules.only_long:
                        self.terms.append(round(SCALE * costs.long * want.use * count) * placed)
                    if want.today is not None and want.today != (b, is_long):
                        moved.append(placed)
                here = sum(
                    self.x[key]
                    for is_long in (False, True)
                    if (key := (group.name, want.site, want.kind, b, is_long)) in self.x
                )
                lies[want.site, want.kind, b] = here
            model.add_exactly_one(choices) if choices else model.add_bool_or([])
            if want.today is not None:
                anew = self._bool("anew")
                model.add(anew >= sum(moved))
                model.add(anew >= 1 - kept)
                self.terms.append(want.receivers * round(SCALE * costs.relearn * count) * anew)
            away = self._bool("away")
            for b in buttons:
                model.add(lies[want.site, want.kind, b] <= self.home[want.kind, b] + away)
            self.terms.append(round(SCALE * costs.elsewhere * want.use * count) * away)
        for site in dict.fromkeys(want.site for want in group.wanted):
            self._site(group, site, buttons, lies, allowed)
        for want in group.wanted:
            if want.kind in rules.alone:
                for b in buttons:
                    others = [
                        lies[other.site, other.kind, b] for other in group.wanted if other.kind != want.kind
                    ]
                    for other in others:
                        model.add(lies[want.site, want.kind, b] + other <= 1)

    def _site(
        self,
        group: Holders,
        site: str,
        buttons: range,
        lies: dict[tuple[str, str, int], Any],
        allowed: Sequence[str],
    ) -> None:
        model, costs = self.model, self.costs
        kinds = [want.kind for want in group.wanted if want.site == site]
        shared = []
        for b in buttons:
            presses = []
            for is_long in (False, True):
                here = [
                    self.x[key] for kind in kinds if (key := (group.name, site, kind, b, is_long)) in self.x
                ]
                model.add_at_most_one(here)
                presses.append(sum(here))
            both = self._bool("both")
            model.add(both >= presses[0] + presses[1] - 1)
            shared.append(both)
            self.terms.append(round(SCALE * costs.share * group.fobs) * both)
        needless = model.new_int_var(0, len(kinds), "shared beside a spare")
        self.every.append(needless)
        must = sum(
            max(len(kinds) - self.rules.types[name], 0) * self.type[group.name, name] for name in allowed
        )
        model.add(needless >= sum(shared) - must)
        self.terms.append(round(SCALE * costs.spare * group.fobs) * needless)
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

    def read(self, solver: Any) -> tuple[tuple[PlacedFunction, ...], dict[str, int], dict[str, str]]:
        """What a solver found: where everything lies, the home of each kind, the fob type of each group."""
        placed = tuple(PlacedFunction(*key) for key, chosen in self.x.items() if solver.value(chosen))
        home = {kind: b for (kind, b), chosen in self.home.items() if solver.value(chosen)}
        return (
            placed,
            home,
            {group: name for (group, name), chosen in self.type.items() if solver.value(chosen)},
        )
