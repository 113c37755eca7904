"""Buttons that a group needs, against those its fob has."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.domain.finding import Finding, Link, Remedy
from farpress.domain.job import Group
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
        yield ENOUGH_BUTTONS.judge(
            about=f"{name}: buttons",
            subjects=(GroupRef(name), *(FunctionRef(function) for function in too_many)),
            value=Estimate(float(needed), 0.0),
            limit=Limit(
                None if most is None else float(most), part.cite("buttons") if part is not None else ()
            ),
            says=f"{wanted}; {has}.",
            remedies=(
                Remedy("A second fob for what is seldom pressed or must not be mixed up, as a call for help"),
                Remedy("A fob with more buttons, or a long press where the receiver tells it apart"),
            ),
        )


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
