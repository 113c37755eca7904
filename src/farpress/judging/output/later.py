"""Outputs that begin or end later than the press: what moves or hurts begins and ends with the thumb.

Part of the judgements on output logic.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import CHOICE, GIVEN, PRACTICE
from farpress.case.driven import Driven, change, driven_of, subjects_of
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit
from farpress.judging.hurting import ask_what_it_is, may_hurt, surely_hurts
from farpress.units import write_quantity

__all__ = ["ENDS_LATER", "STARTS_LATER", "judge_later"]

LOOKS_S: Final = 2.0
"""So long whoever pressed still looks, and nobody else steps in; our choice."""

STARTS_LATER: Final = Check(
    "OUT-51",
    Link.OUTPUT,
    "What moves or hurts and starts some time after the press: while whoever pressed looks, or warned of.",
    unit="s",
    bound=AT_MOST,
    limit=Limit(LOOKS_S, (CHOICE,)),
    stake=Stake.HARM,
    mends="No delay, or a lamp and a sounder at it that warn from the press until it starts.",
)
ENDS_LATER: Final = Check(
    "OUT-52",
    Link.OUTPUT,
    "What moves or hurts while a button is held: it ends with the button, not some time after.",
    stake=Stake.HARM,
    bars=True,
    mends="No time after letting go.",
)


def judge_later(case: Case) -> Iterator[Finding]:
    """OUT-51 and OUT-52, of each thing that moves or can hurt and is worked later than the press."""
    for output in case.outputs():
        delay, stays = output.output.delay_s or 0.0, output.output.stays_s or 0.0
        for driven in driven_of(case, output):
            if driven.device is None or driven.logic in ("stop", "safety"):
                continue
            hurts = driven.traits.moves or surely_hurts(driven)
            if not hurts and not may_hurt(driven):
                continue
            if delay > 0.0:
                yield _starts(output, driven, delay, is_asked=not hurts)
            if stays > 0.0 and output.output.traits.while_held:
                yield _ends(output, driven, stays, is_asked=not hurts)


def _starts(output: OutputAt, driven: Driven, delay_s: float, *, is_asked: bool) -> Finding:
    """OUT-51."""
    name, much = driven.path.split("/")[1], write_quantity(delay_s, "time")
    about, subjects = f"{output.path}: {driven.works}", subjects_of(output, driven)
    says = f"{name} starts {much} after the press on {output.path}"
    sources = (PRACTICE, GIVEN)
    remedies = (
        Remedy("No delay", "", (change(output, "delay", None),)),
        Remedy("A lamp and a sounder at it that warn from the press until it starts"),
    )
    because = "Whoever pressed has turned away by then, and somebody else has stepped in."
    if output.output.warns:
        return STARTS_LATER.decide(
            about=about,
            subjects=subjects,
            answer=Answer.BARELY,
            says=f"{says}; it is warned of from the press on.",
            because=because,
            remedies=remedies,
            sources=sources,
            value=delay_s,
        )
    asks = [ask_what_it_is(driven)] if is_asked else []
    if output.output.warns is None and not is_asked and delay_s > LOOKS_S:
        says += "; whether anything warns of it is not said"
        asks.append(Ask(f"Look whether a lamp or sounder at {name} warns from the press on.", Who.INSTALLER))
    return STARTS_LATER.judge(
        about=about,
        subjects=subjects,
        value=Estimate(delay_s, 0.0, sources),
        says=f"{says}.",
        because=because,
        asks=asks,
        failure_stands=not asks,
        remedies=remedies,
    )


def _ends(output: OutputAt, driven: Driven, stays_s: float, *, is_asked: bool) -> Finding:
    """OUT-52."""
    name, much = driven.path.split("/")[1], write_quantity(stays_s, "time")
    return ENDS_LATER.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=Answer.UNKNOWN if is_asked else Answer.NO,
        says=f"{name} goes on for {much} after the button of {output.path} is let go: letting go stops"
        " nothing.",
        because="A held button guards only as long as letting go stops at once.",
        asks=(ask_what_it_is(driven),) if is_asked else (),
        remedies=(Remedy("No time after letting go", "", (change(output, "stays", None),)),),
        sources=(PRACTICE, GIVEN),
    )
