"""What a lane's light shows while the relay is off: without power, with a dead receiver, before any press."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, driven_at, driven_of, subjects_of
from farpress.case.wire_nets import nets_of
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.terminals import Terminal
from farpress.judging.check import Answer, Check

__all__ = ["SHOWN_AT_REST", "judge_at_rest"]

SHOWN_AT_REST: Final = Check(
    "OUT-32",
    Link.OUTPUT,
    "What a light for drivers shows while its relay is off: never that the way is free.",
    stake=Stake.HARM,
    bars=True,
    ask="Look which light is lit while the receiver has no power.",
    who=Who.INSTALLER,
    minutes=5.0,
    mends="Red on the side that is closed at rest; the lights driven by the end contacts of what they guard.",
)


def judge_at_rest(case: Case) -> Iterator[Finding]:
    """OUT-32 of each light for drivers on the break side of a contact, named so or joined by drawn cores."""
    for output in case.outputs():
        named = [driven for driven in driven_of(case, output) if output.output.contact == "normally closed"]
        seen = {driven.path for driven in named}
        for driven in (*named, *(it for it in _on_break_side(case, output) if it.path not in seen)):
            if driven.traits.directs:
                yield _shown(output, driven)


def _on_break_side(case: Case, output: OutputAt) -> tuple[Driven, ...]:
    """Devices that drawn wires join to the break side of an output's contact."""
    side = Terminal(output.receiver, f"{output.number}.break")
    there = nets_of(case, output.premises).joined(side)
    names = dict.fromkeys(terminal.thing for terminal in there if terminal.thing in output.house.devices)
    return tuple(driven_at(case, output.premises, name) for name in names)


def _shown(output: OutputAt, driven: Driven) -> Finding:
    shows, name = driven.sheet.shows, driven.path.split("/")[1]
    asks: tuple[Ask, ...] = ()
    if shows is None:
        answer = Answer.UNKNOWN
        says = f"{name} is lit while the relay of {output.path} is off; what it tells drivers is not said."
        asks = (
            Ask(f"Say whether {name} tells drivers to go or to stop, and write 'shows'.", Who.CUSTOMER, 1.0),
        )
    elif shows == "go":
        answer = Answer.NO
        says = (
            f"{name} tells drivers to go while the relay of {output.path} is off: without power at"
            f" {output.receiver}, with a core cut, and after each power cut."
        )
    else:
        answer, says = Answer.YES, f"{name} tells drivers to stop while the relay of {output.path} is off."
    return SHOWN_AT_REST.decide(
        about=f"{output.path}: {name}",
        subjects=subjects_of(output, driven),
        answer=answer,
        says=says,
        because=""
        if answer is Answer.YES
        else "What it guards may rise or come down in that moment. A light believed is worse than none.",
        asks=asks,
        remedies=(
            Remedy("Red on the side that is closed at rest, and green only from the end contact 'way free'"),
            Remedy("Let the control of what it guards work the lights; the fob works none"),
        ),
        sources=(*driven.cite("shows"), PRACTICE, GIVEN),
        cause=driven.subject,
    )
