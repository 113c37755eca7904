"""Rights of one fob over what belongs to several, and one fob for several people."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.access import unsets
from farpress.case.areas import own_areas
from farpress.case.behaviour import HOURS_SWITCHED
from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import driven_of
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.domain.job import Button, Group
from farpress.domain.refs import FunctionRef, GroupRef, Ref
from farpress.judging.check import Answer, Check
from farpress.phrases import listed

__all__ = ["SEVERAL_FIRMS", "SHARED_FOB", "judge"]

SHARED_FOB: Final = Check(
    "REG-30",
    Link.REGISTER,
    "One fob for several people: who pressed, and who has it now.",
    stake=Stake.DUTY,
    advice=True,
    mends="A fob for each, or a book in which each signs it out and in.",
)
SEVERAL_FIRMS: Final = Check(
    "REG-31",
    Link.REGISTER,
    "One fob that unsets what belongs to several firms: by which presses, and at which hours.",
    stake=Stake.PROMISE,
    mends="A fob for each of them, kept in a safe and signed out; or hours that the panel keeps.",
)


def judge(case: Case) -> Iterator[Finding]:
    """REG-30 of each group that shares its fobs, REG-31 of each that unsets for several firms."""
    for name, group in case.job.groups.items():
        if group.shared_by > 1:
            yield _shared(name, group)
        yield from _several(case, name, group)


def _shared(name: str, group: Group) -> Finding:
    return SHARED_FOB.decide(
        about=name,
        subjects=(GroupRef(name),),
        answer=Answer.BARELY,
        says=f"Each fob of {name} is shared by {group.shared_by} people: its presses are nobody's.",
        because="Whether it is lost is known only when the next one looks for it.",
        remedies=(
            Remedy("A fob for each of them"),
            Remedy("A book at the place where it hangs: who took it, when it came back"),
        ),
        sources=(PRACTICE, GIVEN),
    )


def _several(case: Case, name: str, group: Group) -> Iterator[Finding]:
    """REG-31: by one press it fails, by a press for each it is a risk that somebody may accept."""
    by_function = {function: _firms(case, function) for function in case.job.functions_of(group)}
    firms = set().union(*by_function.values()) if by_function else set()
    if len(firms) < 2:
        return
    worst = max(_presses(group), key=lambda functions: len(_of(by_function, functions)), default=())
    at_once = _of(by_function, worst)
    unsetting = [function for function, owners in by_function.items() if owners]
    has_hours = all(case.job.functions[function].hours_by in HOURS_SWITCHED for function in unsetting)
    if len(at_once) > 1:
        answer = Answer.NO
        says = f"One press of {name} unsets for {listed(sorted(at_once))} at once."
    elif has_hours:
        answer = Answer.YES
        says = f"{name} unsets for {listed(sorted(firms))}, at hours that are kept by themselves."
    else:
        answer = Answer.BARELY
        says = f"{name} unsets for {listed(sorted(firms))}, at any hour."
    refs: tuple[Ref, ...] = (GroupRef(name), *(FunctionRef(function) for function in unsetting))
    yield SEVERAL_FIRMS.decide(
        about=name,
        subjects=refs,
        answer=answer,
        says=says,
        because="" if answer is Answer.YES else "Whoever finds this one fob has all of them.",
        remedies=(
            Remedy("A button for each of them, or a fob for each, kept in a safe and signed out"),
            Remedy("Hours that the panel keeps for this user ('hours', 'hours_by: panel')"),
        ),
        sources=(PRACTICE, GIVEN),
        cause=GroupRef(name),
    )


def _firms(case: Case, function: str) -> set[str]:
    """Firms whose areas a function unsets; areas of which nobody says whose they are are left out."""
    found = set()
    for output in case.outputs_of(function):
        for driven in driven_of(case, output):
            pin = driven.works.partition(".")[2]
            if driven.panel is not None and unsets(case, output, driven):
                found |= {
                    area.organisation
                    for area in own_areas(case, driven.path).values()
                    if area.organisation is not None and pin in area.inputs
                }
    return found


def _of(by_function: dict[str, set[str]], functions: tuple[str, ...]) -> set[str]:
    return set().union(*(by_function.get(function, set()) for function in functions))


def _presses(group: Group) -> Iterator[tuple[str, ...]]:
    """Functions of each single press."""
    for button in group.buttons.values():
        if isinstance(button, Button):
            for learned in (button.short, button.long):
                yield (learned,) if isinstance(learned, str) else learned or ()
        else:
            yield (button,) if isinstance(button, str) else button
