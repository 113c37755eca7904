"""How a lock stands after a power cut, where the output that works it keeps a state of its own."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.behaviour import after_power_return
from farpress.case.case import Case, OutputAt
from farpress.case.citations import EN_13637, GIVEN
from farpress.case.driven import Driven, driven_of, subjects_of
from farpress.domain.cautions import DUTIES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.judging.check import Answer, Check

__all__ = ["STANDS_AS_LEFT", "judge_lock_return"]

STANDS_AS_LEFT: Final = Check(
    "OUT-16",
    Link.OUTPUT,
    "Locks worked by an output that keeps its state: how they stand after a power cut, and that none locks by"
    " itself.",
    stake=Stake.HARM,
    ask="Switch the supply off three times with the door unlocked, and write how the lock stands after it.",
    who=Who.INSTALLER,
    minutes=10.0,
    mends="A door control that decides how the door stands; the fob only lets in, for seconds.",
)

_CURES: Final = (
    Remedy("Let the door's own control decide how it stands after a power cut, not the receiver"),
    Remedy("Let the fob only let in, with a pulse of seconds"),
)


def judge_lock_return(case: Case) -> Iterator[Finding]:
    """OUT-16, of each lock that an output with a state of its own works."""
    for output in case.outputs():
        if output.output.traits.keeps_state:
            for driven in driven_of(case, output):
                if driven.traits.is_lock:
                    yield _stands(case, output, driven)


def _stands(case: Case, output: OutputAt, driven: Driven) -> Finding:
    name, state, fails = driven.path.split("/")[1], after_power_return(case, output), driven.sheet.fails
    asks: tuple[Ask, ...] = ()
    locked = None if fails is None or state not in ("on", "off") else (state == "on") == (fails == "unlocked")
    if state == "as before":
        answer, says = Answer.YES, f"After the power returns {name} stands as it was left."
    elif locked is None:
        answer = Answer.UNKNOWN
        says = f"Whether {name} stands locked after the power returns is not known."
        asks = (
            Ask(
                f"Switch the supply off three times with {name} unlocked, and write how it stands after it.",
                Who.INSTALLER,
                10.0,
            ),
        )
    elif locked:
        answer = Answer.BARELY if driven.sheet.escape_route is False else Answer.NO
        says = (
            f"After the power returns {name} is locked, however it stood: one left unlocked locks by itself."
        )
    else:
        answer = Answer.BARELY
        says = (
            f"After the power returns {name} is unlocked, however it stood: a door left locked stands open."
        )
    return STANDS_AS_LEFT.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=answer,
        says=says,
        because="" if answer is Answer.YES else f"Nobody sees it happen. {DUTIES['escape']}",
        asks=asks,
        remedies=_CURES,
        sources=(*driven.cite("fails", "escape_route"), EN_13637, GIVEN),
    )
