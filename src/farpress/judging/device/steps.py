"""Judges what is moved by steps, by feel: that whoever presses knows where it stands after many of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, driven_of, moves, promises_of, subjects_of
from farpress.core.rehearsal.left import lost_steps
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.judging.check import Answer, Check
from farpress.judging.device.safeguards import blind_places
from farpress.phrases import listed
from farpress.sources import Citation, cited
from farpress.units import write_quantity

__all__ = ["KNOWN_POSITION", "judge_steps"]

KNOWN_POSITION: Final = Check(
    "DEV-50",
    Link.DEVICE,
    "What is moved by steps: whether whoever presses knows how far it is, with presses that are not heard.",
    stake=Stake.PROMISE,
    ask="Ask how whoever presses knows how far it is open.",
    who=Who.CUSTOMER,
    minutes=3.0,
    mends="Its position read back where is pressed, or steps only from where it is seen.",
)

_PRESSES: Final = 20
"""Steps of which the lost ones are told; our choice."""


def judge_steps(case: Case) -> Iterator[Finding]:
    """DEV-50 of each output that moves something by steps."""
    for output in case.outputs():
        if output.output.steps and output.output.traits.wants_length:
            for driven in driven_of(case, output):
                if moves(driven):
                    yield _judged(case, output, driven)


def _judged(case: Case, output: OutputAt, driven: Driven) -> Finding:
    name, told = driven.path.split("/")[1], driven.sheet.position_told
    lost, sources = _lost(case, output)
    blind = blind_places(case, output, driven)
    asks: tuple[Ask, ...] = ()
    step = "" if output.output.for_s is None else f" of {write_quantity(output.output.for_s, 'time')}"
    head = f"{output.path} moves {name} by steps{step}"
    if told == "read back":
        answer, says = Answer.YES, f"{head}; where it stands is read back where is pressed."
    elif told == "in sight" and not blind:
        answer, says = Answer.YES, f"{head}, from where it is seen how far it is."
    elif told == "in sight":
        answer, says = (
            Answer.NO,
            f"{head}, from {listed(blind)} too, where it is not seen how far it is.{lost}",
        )
    elif told == "nothing":
        answer, says = Answer.NO, f"{head}, and nobody knows how far it is.{lost}"
    else:
        answer, says = Answer.UNKNOWN, f"{head}; how whoever presses knows how far it is, is not said.{lost}"
        asks = (Ask(f"Ask how whoever presses for {name} knows how far it is.", Who.CUSTOMER),)
    return KNOWN_POSITION.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=answer,
        says=says,
        because="End switches tell of the ends alone; a press that is not heard is a step less than was"
        " counted."
        if answer is not Answer.YES
        else "",
        asks=asks,
        remedies=(
            Remedy(
                "Its position read back where is pressed, and a control that goes to a position asked for"
            ),
            Remedy("Steps only from where it is seen how far it is"),
        ),
        sources=(*driven.cite("position_told", "travel_s"), *sources, PRACTICE, GIVEN),
    )


def _lost(case: Case, output: OutputAt) -> tuple[str, tuple[Citation, ...]]:
    """Steps lost on average, by the worst count taken at a promised place, in words; empty without one."""
    places = {
        where
        for promise in promises_of(case, output.functions)
        if (where := case.place(promise.from_, output.premises)) is not None
    }
    counted = [
        reading.heard / reading.of
        for reading in case.job.readings
        if reading.receiver == output.receiver_path
        and reading.heard is not None
        and reading.of
        and case.place(reading.place, output.premises) in places
    ]
    if not counted:
        return "", ()
    heard = min(1.0, *counted)
    mean, sd = lost_steps(presses=_PRESSES, heard_share=heard)
    return (
        f" Of {_PRESSES} presses {mean:.1f} are lost on average, give or take {sd:.1f}, as {heard:.0%} were"
        " heard when counted.",
        cited(lost_steps),
    )
