"""Lights for a time: a press while they are on prolongs it, or they go out under whoever pressed.

Part of the judgements on output logic.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, change, driven_of, function_kinds, subjects_of
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.judging.check import Answer, Check
from farpress.units import write_quantity

__all__ = ["PROLONGED", "judge_lights"]

PROLONGED: Final = Check(
    "OUT-21",
    Link.OUTPUT,
    "A light for a time: whether a press while it is on begins the time anew.",
    stake=Stake.PROMISE,
    advice=True,
    mends="A pulse that starts anew with each press.",
)


def judge_lights(case: Case) -> Iterator[Finding]:
    """OUT-21 of each light on a pulse that somebody presses for light."""
    for output in case.outputs():
        kinds = function_kinds(case, output)
        if output.output.traits.wants_length and ("light" in kinds or not kinds):
            for driven in driven_of(case, output):
                if driven.traits.gives_light or driven.traits.feeds_more:
                    yield _judged(output, driven)


def _judged(output: OutputAt, driven: Driven) -> Finding:
    is_prolonged = output.output.retrigger
    lasts = "" if output.output.for_s is None else f" of {write_quantity(output.output.for_s, 'time')}"
    if is_prolonged:
        says = f"A press while {driven.works} is on begins its time{lasts} anew."
    else:
        says = (
            f"A press while {driven.works} is on does nothing: it goes out after its time{lasts}, under"
            " whoever has just pressed."
        )
    return PROLONGED.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=Answer.YES if is_prolonged else Answer.NO,
        says=says,
        because=""
        if is_prolonged
        else "Somebody on a stair or a jetty presses early, and stands in the dark.",
        remedies=(
            Remedy("Let each press begin the time anew", "", (change(output, "retrigger", True),)),
            Remedy("A longer time, and a dim light before it goes out"),
        ),
        sources=(PRACTICE, GIVEN),
    )
