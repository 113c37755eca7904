"""Long presses: only a receiver that tells them from short ones can keep two functions on one button."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.domain.finding import Finding, Link, Remedy, Who
from farpress.domain.job import Button
from farpress.domain.refs import FunctionRef, GroupRef, ReceiverRef
from farpress.judging.check import Answer, Check
from farpress.phrases import listed

__all__ = ["TELLS_LONG", "judge", "long_functions"]

TELLS_LONG: Final = Check(
    "FOB-09",
    Link.FOB,
    "A function of a long press: its receiver tells a long press from a short one.",
    ask="Ask the maker, or try it: learn two functions on one button, one for each length.",
    who=Who.LABEL,
    minutes=10.0,
    mends="A button for each function, a fob with more buttons, or a receiver that tells long presses.",
)

KNOWN: Final = {
    True: "it tells a long press from a short one",
    False: "it knows no long press",
    None: "whether it tells a long press from a short one is not known",
}


def judge(case: Case) -> Iterator[Finding]:
    """FOB-09, of each receiver at which a long press is to do something of its own."""
    wanted: dict[str, dict[str, list[str]]] = {}
    for name, group in case.job.groups.items():
        for function in long_functions(group.buttons):
            for output in case.outputs_of(function):
                groups = wanted.setdefault(output.receiver_path, {}).setdefault(function, [])
                if name not in groups:
                    groups.append(name)
    for path, functions in wanted.items():
        part = case.equipment.receivers.get(path)
        tells = part.sheet.tells_long if part is not None else None
        groups = list(dict.fromkeys(name for names in functions.values() for name in names))
        where = f"{listed(list(functions))} of {listed(groups)}"
        yield TELLS_LONG.decide(
            about=f"{path}: long presses",
            subjects=(
                ReceiverRef(path),
                *(FunctionRef(function) for function in functions),
                *(GroupRef(name) for name in groups),
            ),
            answer=Answer.of(tells),
            says=f"A long press works {where} at {path}; {KNOWN[tells]}.",
            because="" if tells else "A receiver that does not tell them apart does the same at either.",
            remedies=()
            if tells
            else (
                Remedy("A button of its own for each of them"),
                Remedy("A receiver that tells long presses from short ones"),
            ),
            sources=part.cite("tells_long") if part is not None and tells is not None else (),
        )


def long_functions(buttons: object) -> tuple[str, ...]:
    """Functions that buttons of a group work when pressed long."""
    found: list[str] = []
    for button in buttons.values() if isinstance(buttons, dict) else ():
        if isinstance(button, Button) and button.long:
            found += [button.long] if isinstance(button.long, str) else button.long
    return tuple(dict.fromkeys(found))
