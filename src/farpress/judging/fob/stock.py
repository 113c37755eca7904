"""Buttons that a group needs, against those its fob has."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.case import Case
from farpress.domain.finding import Finding, Link, Remedy
from farpress.domain.job import Button, Group, as_names
from farpress.domain.refs import FunctionRef, GroupRef
from farpress.judging.check import AT_MOST, Check, Estimate, Limit, no_edge
from farpress.phrases import listed

__all__ = ["ENOUGH_BUTTONS", "judge"]

ENOUGH_BUTTONS: Final = Check(
    "FOB-07",
    Link.FOB,
    "Buttons that the functions of a group need, against those its fob has.",
    unit="buttons",
    bound=AT_MOST,
    thin=no_edge("buttons are counted: as many as wanted are enough"),
    ask="Count the buttons of the fob.",
    mends="A fob with more buttons, a long press, a second fob for some functions, or fewer functions.",
)

_GLADLY_WITH: Final = frozenset({"light", "sound"})
"""Kinds of function that are put on the button of another on purpose: common practice."""


def judge(case: Case) -> Iterator[Finding]:
    """FOB-07, of each group that has a button or is promised something."""
    for name, group in case.job.groups.items():
        missing = _on_no_button(case, name, group)
        needed = len(group.buttons) + len(missing)
        if not needed:
            continue
        part = case.equipment.fobs.get(name)
        most = part.sheet.buttons if part is not None else None
        too_many = _beyond(case, group, missing, most) if most is not None and needed > most else ()
        has = "how many its fob has is not known" if most is None else f"its fob has {most}"
        functions = len(dict.fromkeys(case.job.functions_of(group)))
        several = f" for {functions} functions" if functions > len(group.buttons) else ""
        wanted = f"{name} uses {len(group.buttons)} buttons{several}"
        if missing:
            wanted += f" and has no button yet for {listed(missing)}: {needed} in all"
        tied = _tied(case, group)
        apart = needed + _more_apart(tied)
        is_crammed = most is not None and needed <= most < apart
        if is_crammed:
            pairs = "; ".join(listed(names) for names in tied)
            wanted += f"; {pairs} lie on one press, and apart they need {apart} buttons"
        yield replace(ENOUGH_BUTTONS, advice=is_crammed).judge(
            about=f"{name}: buttons",
            subjects=(GroupRef(name), *(FunctionRef(function) for function in too_many)),
            value=Estimate(float(apart if is_crammed else needed), 0.0),
            limit=Limit(
                None if most is None else float(most), part.cite("buttons") if part is not None else ()
            ),
            says=f"{wanted}; {has}.",
            because="None of them can be had without the others, on a day on which only one is wanted."
            if is_crammed
            else "",
            remedies=(
                Remedy("A second fob for what is seldom pressed or must not be mixed up, as a call for help"),
                Remedy("A fob with more buttons, or a long press where the receiver tells it apart"),
            ),
        )


def _tied(case: Case, group: Group) -> list[tuple[str, ...]]:
    """Functions that can only be had together: those of each press at one address that lie on no other press.

    At several addresses only one of them hears the press.
    """
    presses = [
        names
        for button in group.buttons.values()
        for names in (
            (as_names(button.short), as_names(button.long))
            if isinstance(button, Button)
            else (as_names(button),)
        )
    ]
    times = Counter(name for names in presses for name in names)
    found: list[tuple[str, ...]] = []
    for names in presses:
        at_premises: dict[str, list[str]] = {}
        for name in names:
            function = case.job.functions.get(name)
            if times[name] > 1 or function is None or function.kind in _GLADLY_WITH:
                continue
            for premises in dict.fromkeys(path.partition("/")[0] for path in function.paths):
                at_premises.setdefault(premises, []).append(name)
        found += [tuple(tied) for tied in at_premises.values() if len(tied) > 1]
    return list(dict.fromkeys(found))


def _more_apart(tied: list[tuple[str, ...]]) -> int:
    """Buttons that they would need beside those they lie on."""
    return sum(len(names) - 1 for names in tied)


def _beyond(case: Case, group: Group, missing: list[str], most: int) -> tuple[str, ...]:
    """Functions without a button that is left: those on none yet, and those on buttons beyond the last."""
    numbers = list(group.buttons)[most:]
    behind = case.job.functions_of(
        group.model_copy(update={"buttons": {number: group.buttons[number] for number in numbers}})
    )
    return tuple(dict.fromkeys((*missing, *behind)))


def _on_no_button(case: Case, name: str, group: Group) -> list[str]:
    """Functions that are promised to a group and lie on none of its buttons."""
    has = set(case.job.functions_of(group))
    wanted = [promise.function for promise in case.job.promises if promise.to == name]
    return [function for function in dict.fromkeys(wanted) if function not in has]
