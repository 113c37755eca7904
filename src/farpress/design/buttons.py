"""Buttons for groups that have none yet: what is promised to a group lies on its fob, as the keys room lays
it out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from farpress.case.case import Case
from farpress.case.changed import tried_with
from farpress.design.drawing import Decision
from farpress.domain.finding import Change
from farpress.keys.layout import LayoutPlan, plan_layout
from farpress.mending.buttons import further_fob

__all__ = ["button_decisions"]

_LAYOUT_S = 10.0
"""Time for the layout [s]; our choice."""


def button_decisions(case: Case) -> tuple[Decision, ...]:
    """One decision for each group without buttons to which something is promised.

    Args:
        case: with the outputs drawn.
    """
    wanted = dict(_wanted(case))
    if not wanted:
        return ()
    first = [
        Change(("groups", group, "buttons"), {str(n): name for n, name in enumerate(names, start=1)})
        for group, names in wanted.items()
    ]
    plan = plan_layout(tried_with(case, first), limit_s=_LAYOUT_S, own_fobs=_large_enough(case, wanted))
    laid = _laid(plan, {*wanted, *plan.further})
    found = []
    for group, names in wanted.items():
        buttons = laid.get(group) or _in_order(case, group, names)
        why = "as the layout of all fobs together puts it"
        if group not in laid:
            why = _why_not(case, group, names, plan)
        told = ", ".join(f"{number} {_said(value)}" for number, value in buttons.items())
        changes = [Change(("groups", group, "buttons"), buttons)]
        fob = ""
        if group in plan.exchanged and plan.layout is not None:
            kind = plan.layout.types[group]
            changes.append(Change(("groups", group, "fob"), kind))
            fob = f", on {kind} instead of {case.job.groups[group].fob}"
        found.append(Decision(f"Buttons of {group}{fob}: {told}", why, tuple(changes), tuple(names)))
        found += _further(case, plan, group, laid)
    return tuple(found)


def _large_enough(case: Case, wanted: Mapping[str, list[str]]) -> frozenset[str]:
    """Groups whose fobs, as the customer wishes them, have a button for each function; so they stay."""
    found = []
    for group, names in wanted.items():
        fob = case.equipment.fobs.get(group)
        if fob is not None and (fob.sheet.buttons or 0) >= len(names):
            found.append(group)
    return frozenset(found)


def _further(case: Case, plan: LayoutPlan, group: str, laid: dict[str, dict[str, Any]]) -> Iterator[Decision]:
    """Fobs that a group's people carry besides, where one does not hold all that is promised to them."""
    for name, whose in plan.further.items():
        if whose != group or name not in laid:
            continue
        names = [
            function for key, functions in plan.functions.items() if key[0] == name for function in functions
        ]
        changes = tuple(further_fob(case, group, name, laid[name], names))
        told = ", ".join(f"{number} {_said(value)}" for number, value in laid[name].items())
        yield Decision(f"A second fob of {group}: {told}", "one fob does not hold all", changes, tuple(names))


def _why_not(case: Case, group: str, names: list[str], plan: LayoutPlan) -> str:
    """Why a group's buttons are not those of the layout: its own fob is too small, or what the layout says of
    it.
    """
    fob = case.equipment.fobs.get(group)
    most = fob.sheet.buttons if fob is not None else None
    if most is not None and len(names) > most:
        kind = case.job.groups[group].fob
        return f"{len(names)} functions are promised and {kind} has {most} buttons: the first {most} lie here"
    mine = [sentence for sentence in plan.why_not if sentence.startswith(f"{group}: ")]
    return " ".join(mine).rstrip(".") or "in the order of the promises"


def _laid(plan: LayoutPlan, groups: set[str]) -> dict[str, dict[str, Any]]:
    """Group → button → what lies there, as in a job file; nothing where no layout was found."""
    found: dict[str, dict[str, dict[str, list[str]]]] = {}
    for placed in plan.layout.placed if plan.layout is not None else ():
        if placed.group in groups:
            button = found.setdefault(placed.group, {}).setdefault(str(placed.button), {})
            names = button.setdefault("long" if placed.long else "short", [])
            names += plan.functions[placed.group, placed.site, placed.kind]
    return {
        group: {number: _written(entry) for number, entry in sorted(buttons.items())}
        for group, buttons in found.items()
    }


def _written(entry: dict[str, list[str]]) -> Any:
    lengths = {how: names if len(names) > 1 else names[0] for how, names in entry.items()}
    return lengths["short"] if set(lengths) == {"short"} else lengths


def _in_order(case: Case, group: str, names: list[str]) -> dict[str, Any]:
    """As many of the functions as the fob has buttons, one each; the rest is for mending."""
    fob = case.equipment.fobs.get(group)
    most = fob.sheet.buttons if fob is not None else None
    return {str(number): name for number, name in enumerate(names[:most], start=1)}


def _wanted(case: Case) -> Iterator[tuple[str, list[str]]]:
    for name, group in case.job.groups.items():
        promised = [promise.function for promise in case.job.promises if promise.to == name]
        drawn = [function for function in dict.fromkeys(promised) if case.job.functions[function].paths]
        if not group.buttons and drawn:
            yield name, drawn


def _said(value: object) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{_said(inner)} {how}" for how, inner in value.items())
    return " and ".join(value) if isinstance(value, list) else str(value)
