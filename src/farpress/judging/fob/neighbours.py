"""Buttons that lie beside each other: unsetting beside what is pressed without looking."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from farpress.case.access import opens, short_press, unsets
from farpress.case.case import Case
from farpress.case.citations import PRACTICE
from farpress.case.driven import driven_of
from farpress.domain.finding import Change, Finding, Link, Remedy, Stake
from farpress.domain.job import Group
from farpress.domain.refs import FunctionRef, GroupRef
from farpress.judging.check import Answer, Check
from farpress.phrases import listed

__all__ = ["APART", "judge"]

APART: Final = Check(
    "FOB-08",
    Link.FOB,
    "The button that unsets an alarm: not beside one that opens, which is pressed without looking.",
    stake=Stake.PROMISE,
    advice=True,
    ask="Look which buttons of the fob lie beside each other.",
    mends="Another button between the two, a recessed button, or a long press for unsetting.",
)


def judge(case: Case) -> Iterator[Finding]:
    """FOB-08, of each group with a short press that unsets and another one that opens."""
    for name, group in case.job.groups.items():
        pressed = {
            int(number): short_press(button) for number, button in group.buttons.items() if number.isdigit()
        }
        unset = [number for number, functions in pressed.items() if _unsets(case, functions)]
        opened = [number for number, functions in pressed.items() if _opens(case, functions)]
        if unset and set(opened) - set(unset):
            yield _neighbours(case, name, group, pressed, unset, opened)


def _unsets(case: Case, functions: Iterable[str]) -> bool:
    return any(
        unsets(case, output, driven)
        for function in functions
        for output in case.outputs_of(function)
        for driven in driven_of(case, output)
    )


def _opens(case: Case, functions: Iterable[str]) -> bool:
    return any(
        opens(driven)
        for function in functions
        for output in case.outputs_of(function)
        for driven in driven_of(case, output)
    )


def _neighbours(
    case: Case,
    name: str,
    group: Group,
    pressed: dict[int, tuple[str, ...]],
    unset: list[int],
    opened: list[int],
) -> Finding:
    part = case.equipment.fobs.get(name)
    most = part.sheet.buttons if part is not None else None
    pairs = [(u, o) for u in unset for o in opened if abs(u - o) == 1]
    spare = None if most is None else max(most - len(group.buttons), 0)
    left = {None: "", 0: "; no button is spare"}.get(spare, f"; {spare} spare")
    says = f"No button of {name} that unsets lies beside one that opens."
    remedies: list[Remedy] = []
    if pairs:
        u, o = pairs[0]
        says = (
            f"Button {u} of {name} unsets ({listed(pressed[u])}) and lies beside button {o}"
            f" ({listed(pressed[o])}): {len(group.buttons)} buttons in use{left}."
        )
        away = _further_away(group, pressed, u, opened, most)
        if away is not None:
            where = f"button {away}"
            if away in pressed:
                where += f", and {listed(pressed[away])} on button {u}"
            remedies.append(
                Remedy(f"Learn {listed(pressed[u])} on {where}", "", _exchanged(name, group, u, away))
            )
        remedies.append(Remedy("A fob whose button for unsetting is recessed, or a long press for it"))
    return APART.decide(
        about=f"{name}: unsetting beside opening",
        subjects=(GroupRef(name), *(FunctionRef(f) for u in unset for f in pressed[u])),
        answer=Answer.of(not pairs),
        says=says,
        because="Buttons with numbers that follow each other are taken as neighbours. Who opens with a cold"
        " thumb unsets by chance."
        if pairs
        else "",
        remedies=remedies,
        sources=(PRACTICE,),
    )


def _further_away(
    group: Group, pressed: dict[int, tuple[str, ...]], unset: int, opened: list[int], most: int | None
) -> int | None:
    """A button that is beside none that opens, and opens nothing itself: a spare one first."""
    free = [number for number in range(1, (most or 0) + 1) if str(number) not in group.buttons]
    taken = [number for number in pressed if number != unset and number not in opened]
    return next(
        (number for number in (*free, *reversed(taken)) if all(abs(number - o) > 1 for o in opened)), None
    )


def _exchanged(name: str, group: Group, first: int, second: int) -> tuple[Change, ...]:
    """The edit that lets two buttons change places; none where one of them tells short from long."""
    buttons = [group.buttons.get(str(number)) for number in (first, second)]
    if not all(button is None or isinstance(button, str | tuple) for button in buttons):
        return ()
    values = [list(button) if isinstance(button, tuple) else button for button in buttons]
    return (
        Change(("groups", name, "buttons", str(second)), values[0]),
        Change(("groups", name, "buttons", str(first)), values[1]),
    )
