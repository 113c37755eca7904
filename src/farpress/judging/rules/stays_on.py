"""What a pulse leaves on: a leaf that stands open, a valve that latches; the contact has long let go."""

from __future__ import annotations

from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.driven import seconds
from farpress.case.left_on import left_on_by_pulse
from farpress.domain.finding import Remedy
from farpress.domain.job import Rule
from farpress.domain.refs import Ref
from farpress.judging.check import Answer
from farpress.judging.rules.ruling import Ruling
from farpress.sources import Citation, Mark

__all__ = ["stays_on"]

_BY_ITSELF: Final = Remedy(
    "Something that goes off or shuts by itself with no contact holding it, or a limit of its own there",
    "a press to end it may be forgotten, or not be heard",
)

_AS_TOLD: Final = Citation("a pulse ends, what it told stays", mark=Mark.PRACTICE)


def stays_on(
    case: Case, rule: Rule, output: OutputAt, limit_s: float, subjects: tuple[Ref, ...]
) -> Ruling | None:
    """How long the device itself stays on after a pulse; None where it is on with the contact alone, or where
    the rule speaks of the output and not of what it works.
    """
    kept = left_on_by_pulse(case, rule, output)
    if kept is None:
        return None
    name = kept.path.partition("/")[2]
    closes_s = kept.sheet.closes_after_s
    how = "nothing ends it but another press"
    because = "A press to end it may be forgotten, or not be heard."
    if closes_s is not None:
        how = f"it shuts by itself after {seconds(closes_s)}, and a further press begins that time anew"
        because = "Nothing ends a time that is started anew again and again."
        if kept.logic == "start":
            how = f"it shuts by itself {seconds(closes_s)} after it is open, and a press on the way stops it"
            because = "A leaf that was stopped half way stands there until somebody presses again."
    return Ruling(
        Answer.NO,
        f"A press of {output.path} is over, and {name} stays as it was told: {how}; {seconds(limit_s)} is"
        " allowed.",
        because,
        output.path,
        limit=limit_s,
        remedies=(_BY_ITSELF,),
        sources=(*kept.cite("device", f"inputs.{kept.works.partition('.')[2]}", "closes_after_s"), _AS_TOLD),
        subjects=subjects,
    )
