"""One press that tells one panel two things: to set, over one input, and to unset, over another."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations
from typing import Final

from farpress.case.access import SinglePress, single_presses
from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, driven_of
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.domain.refs import OutputRef, PanelRef
from farpress.judging.check import Answer, Check

__all__ = ["ONE_WAY", "judge"]

ONE_WAY: Final = Check(
    "PAN-29",
    Link.PANEL,
    "One press that sets a panel over one input and unsets it over another.",
    stake=Stake.HARM,
    mends="A button of its own for each, learned at one receiver for one panel.",
)


def judge(case: Case) -> Iterator[Finding]:
    """PAN-29 of each press that works two inputs of one panel against each other."""
    for press in single_presses(case):
        worked = [
            (output, driven)
            for function in press.functions
            for output in case.outputs_of(function)
            for driven in driven_of(case, output)
            if driven.reading.changes_state
        ]
        pair = next(
            ((first, other) for first, other in permutations(worked, 2) if _against(first, other)), None
        )
        if pair is not None:
            yield _finding(press, *pair)


def _against(first: tuple[OutputAt, Driven], other: tuple[OutputAt, Driven]) -> bool:
    """Whether the first input of a panel sets it and the other, which it is not, can unset it."""
    sets, unsets = first[1], other[1]
    same_panel = sets.path == unsets.path and sets.works != unsets.works
    return same_panel and sets.reading.sets and not sets.reading.unsets and unsets.reading.unsets


def _finding(press: SinglePress, first: tuple[OutputAt, Driven], other: tuple[OutputAt, Driven]) -> Finding:
    apart = first[0].receiver_path != other[0].receiver_path
    name = first[1].path.partition("/")[2]
    how = (
        f"Which of {first[0].receiver_path} and {other[0].receiver_path} hears it is chance: {name} is set,"
        " unset or both, and nobody knows which."
        if apart
        else f"Which of the two {name} takes last is chance."
    )
    return ONE_WAY.decide(
        about=press.name,
        subjects=(
            *press.subjects,
            PanelRef(first[1].path),
            OutputRef(first[0].path),
            OutputRef(other[0].path),
        ),
        answer=Answer.NO,
        says=(
            f"One press of {press.name} sets {name} over {first[1].works} ({first[0].path}) and can unset it"
            f" over {other[1].works} ({other[0].path})."
        ),
        because=f"{how} False alarms, or a house that stands unset.",
        remedies=(
            Remedy("A button of its own to set and to unset"),
            Remedy("One receiver for one panel: the other fobs' records of this button deleted"),
        ),
        sources=(PRACTICE, GIVEN),
    )
