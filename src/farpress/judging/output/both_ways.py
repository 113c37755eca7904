"""Judges one input that opens, stops and shuts by turns: the same press means another thing each time."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import EN_12453_TABLE, PRACTICE
from farpress.case.driven import Driven, change, driven_of, subjects_of
from farpress.case.found_on_site import working_safeguards
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import DeviceRef
from farpress.judging.check import Answer, Check
from farpress.judging.device.safeguards import in_sight, is_guarded, protection

__all__ = ["BOTH_WAYS", "judge"]

BOTH_WAYS: Final = Check(
    "OUT-13",
    Link.OUTPUT,
    "One input that opens and shuts by turns: what a second press of the same button does to whoever is"
    " in the way.",
    stake=Stake.HARM,
    ask="Ask what a second press does at this input: nothing, stop, or turn round.",
    who=Who.INSTALLER,
    minutes=3.0,
    mends="The output on an input that only opens; shutting by a press of its own, in sight, or by a timer"
    " behind safeguards.",
)


def judge(case: Case) -> Iterator[Finding]:
    """OUT-13 of every output on a step-by-step input of a leaf that can crush."""
    for output in case.outputs():
        for driven in driven_of(case, output):
            if driven.logic == "start" and driven.traits.can_crush and driven.traits.moves:
                yield _judged(case, output, driven)


def _judged(case: Case, output: OutputAt, driven: Driven) -> Finding:
    turns = driven.input.closes_by_second_press if driven.input is not None else None
    guarded, is_seen = protection(driven), in_sight(case, output, driven)
    name = driven.path.split("/")[1]
    shuts = f"{driven.works} opens and shuts by turns: the next press of the same button stops it or shuts it"
    itself = driven.sheet.closes_after_s
    also = f", and it closes by itself after {itself:g} s as well" if itself is not None else ""
    asks: tuple[Ask, ...] = ()
    if turns is False:
        answer, says = Answer.YES, f"A second press at {driven.works} shuts nothing."
    elif turns is None:
        answer, says = Answer.UNKNOWN, f"What a second press does at {driven.works} is not known."
        asks = (
            Ask(
                f"Ask what a second press does at {driven.works}: nothing, stop, or turn round.",
                Who.INSTALLER,
            ),
        )
    elif is_guarded(driven):
        answer, says = Answer.YES, f"{shuts}{also}; its safeguards are recorded."
    elif guarded == "unknown":
        answer, says = Answer.UNKNOWN, f"{shuts}{also}; its safeguards are not recorded."
        asks = (
            Ask(
                f"Look at {name} for beams, edge, force limit, loop or presence detection.",
                Who.INSTALLER,
                15.0,
            ),
        )
    else:
        where = "" if is_seen else ", pressed from where it is not all seen"
        has = ", ".join(working_safeguards(driven.sheet) or ()) or "none"
        answer, says = Answer.NO, f"{shuts}{also}{where}; recorded safeguards: {has}."
    return BOTH_WAYS.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        cause=DeviceRef(driven.path),
        answer=answer,
        says=says,
        because="Who presses again as nothing moved yet, or a second one who comes, shuts it on the first."
        if answer is Answer.NO
        else "",
        asks=asks,
        remedies=_remedies(output, driven),
        sources=(*driven.cite("inputs", "closes_after_s", "safeguards"), EN_12453_TABLE, PRACTICE),
    )


def _remedies(output: OutputAt, driven: Driven) -> tuple[Remedy, ...]:
    inputs = driven.sheet.inputs or {}
    opens = next((name for name, entry in inputs.items() if entry.logic == "open only"), None)
    device = driven.works.partition(".")[0]
    changes: tuple[Change, ...] = ()
    if opens is not None and output.output.works == driven.works:
        changes = (change(output, "works", f"{device}.{opens}"),)
    onto = f"{device}.{opens}" if opens is not None else "an input that only opens"
    return (
        Remedy(f"Lead the output to {onto}", changes=changes),
        Remedy("Let it shut by a button of its own, in sight, or by its timer only behind tested safeguards"),
    )
