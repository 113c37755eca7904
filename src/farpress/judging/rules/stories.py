"""Stories kept in the job: each ends as it says it shall."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN
from farpress.domain.finding import Finding, Link, Stake, Verdict, Who
from farpress.domain.refs import RuleRef
from farpress.judging.check import Answer, Check
from farpress.rehearsal.kept_stories import story_ends
from farpress.rehearsal.rules import SEMANTICS

__all__ = ["ENDS_AS_SAID", "judge"]

ENDS_AS_SAID: Final = Check(
    "RULE-25",
    Link.RULE,
    "A story of presses kept in the job: it ends as it says it shall.",
    stake=Stake.PROMISE,
    ask="Correct the story, or say what is missing of the things in it.",
    who=Who.INSTALLER,
    minutes=5.0,
    mends="The installation, or the story where the customer wants it otherwise now.",
)

_ANSWERS: Final = {Verdict.HOLDS: Answer.YES, Verdict.FAILS: Answer.NO, Verdict.UNKNOWN: Answer.UNKNOWN}


def judge(case: Case) -> Iterator[Finding]:
    """RULE-25 of each story of the job."""
    for end in story_ends(case):
        yield ENDS_AS_SAID.decide(
            about=f"story {end.name}",
            subjects=(RuleRef(f"story {end.name}"),),
            answer=_ANSWERS[end.verdict],
            says=end.says,
            because=f"{end.because} Played: {case.job.stories[end.name].text}.".strip(),
            asks=end.asks,
            sources=(SEMANTICS, GIVEN),
        )
