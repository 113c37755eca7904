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
    if closes_s is None:
        return Ruling(
            Answer.NO,
            f"A press of {output.path} is over, and {name} stays as it was told: nothing ends it but another"
            f" press; {seconds(limit_s)} is allowed.",
            "A press to end it may be forgotten, or not be heard.",
            output.path,
            limit=limit_s,
            remedies=(_BY_ITSELF,),
            sources=(*kept.cite("device", f"inputs.{kept.works.partition('.')[2]}"), _AS_TOLD),
            subjects=subjects,
        )
    travel_s = kept.sheet.travel_worst_s or kept.sheet.travel_s or 0.0
    back_s = kept.sheet.travel_back_s or travel_s
    return Ruling(
        None,
        f"{name} shuts by itself {seconds(closes_s)} after it was opened: with its travels it is open for"
        f" {seconds(travel_s + closes_s + back_s)}; {seconds(limit_s)} is allowed.",
        "A further press, or somebody in the way, starts that time anew.",
        output.path,
        value=travel_s + closes_s + back_s,
        limit=limit_s,
        remedies=(_BY_ITSELF,),
        sources=kept.cite("closes_after_s", "travel_s", "travel_worst_s", "travel_back_s"),
        subjects=subjects,
    )
