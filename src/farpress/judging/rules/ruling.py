"""What is seen about one rule, as a value; `built` alone makes a finding of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from farpress.domain.finding import Ask, Remedy, Verdict
from farpress.domain.refs import Ref
from farpress.judging.check import Answer, Check, Limit
from farpress.sources import Citation

__all__ = ["Ruling", "about_text"]


@dataclass(frozen=True)
class Ruling:
    """One rule, or one output of it, judged.

    Attributes:
        answer: whether the rule is kept; None where value and limit say it.
        says, because: as in a finding.
        about: which output or thing, where a rule has several; else empty.
        value, limit: the number and what it is held against, in the unit of the rule's check.
        asks: what is not known yet.
        remedies, sources, subjects: as in a finding.
        never_matters: what the rule forbids cannot happen to this thing at all.
        is_told_elsewhere: there is a story of presses that is not told here.
        is_said: what is said of the thing, or not said, decides, whatever a model of it shows.
        is_searched: only a search of press stories settles it; its verdict, words and questions count.
    """

    answer: Answer | None
    says: str
    because: str = ""
    about: str = ""
    value: float | None = None
    limit: float | None = None
    asks: Sequence[str | Ask] = ()
    remedies: tuple[Remedy, ...] = ()
    sources: tuple[Citation, ...] = ()
    subjects: tuple[Ref, ...] = ()
    never_matters: bool = False
    is_told_elsewhere: bool = False
    is_said: bool = False
    is_searched: bool = False

    def word(self, check: Check) -> Verdict:
        """The verdict that the rule's check will give it."""
        answer = self.answer
        verdict = check.word(self.value, Limit(self.limit)) if answer is None else _WORD_OF[answer]
        return Verdict.UNKNOWN if self.asks and verdict is not Verdict.FAILS else verdict


_WORD_OF = {
    Answer.YES: Verdict.HOLDS,
    Answer.BARELY: Verdict.THIN,
    Answer.NO: Verdict.FAILS,
    Answer.UNKNOWN: Verdict.UNKNOWN,
}


def about_text(number: int, never: str, about: str) -> str:
    """What a finding about a rule is about: "rule 3, never both on: larkfen/R3/1 and larkfen/R3/2"."""
    return f"rule {number}, never {never}{f': {about}' if about else ''}"
