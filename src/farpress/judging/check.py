"""The judging kernel: a check holds a value against a limit and makes the finding; nothing else makes one.

Every check is a row of data: code, link, unit, which side of the limit is good, where thin begins, what is at
stake. `Check.judge` computes the margin and decides the word, so that equal situations get equal words.

- A good result is `thin` where its margin is smaller than one standard uncertainty; where nobody knows the
  uncertainty, where it is smaller than a tenth of the limit. A check with a reason for another edge says so.
- A bad result `fails`, however close; where the limit is advice and no need, it is `thin`.
- A value or a limit that is missing makes the result `unknown`, with the question that settles it. A question
  that is open beside a good value makes it unknown too: a missing fact never makes a word better.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from farpress.case.reads import aside
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Verdict, Who
from farpress.domain.refs import Ref
from farpress.sources import Citation, Mark
from farpress.units import write_share

__all__ = [
    "AT_LEAST",
    "AT_MOST",
    "TENTH",
    "WITHIN",
    "Answer",
    "Bound",
    "Check",
    "Edge",
    "Estimate",
    "Limit",
    "no_edge",
    "remedies_are_wanted",
    "share_edge",
    "wide_edge",
    "without_remedies",
]

_ROUNDING: Final = 1e-9
"""A margin smaller than this share of the limit is none: sums of floats differ in their last digits."""


_remedies_wanted: Final = ContextVar("remedies wanted", default=True)


@contextmanager
def without_remedies() -> Iterator[None]:
    """Judge without looking for remedies: a copy on which one is tried needs none of its own.

    Words, figures and questions are the same; only what would mend a bad result is left out.
    """
    before = _remedies_wanted.set(False)
    try:
        yield
    finally:
        _remedies_wanted.reset(before)


def remedies_are_wanted() -> bool:
    """Whether judging looks for remedies."""
    return _remedies_wanted.get()


class Bound(StrEnum):
    """Which side of the limit is good."""

    AT_MOST = "at most"
    AT_LEAST = "at least"
    WITHIN = "within"


AT_MOST: Final = Bound.AT_MOST
AT_LEAST: Final = Bound.AT_LEAST
WITHIN: Final = Bound.WITHIN


@dataclass(frozen=True)
class Edge:
    """Where thin begins, for a check whose value has no uncertainty or that has a reason for more.

    Attributes:
        share: of the limit.
        wide: in the unit of the check.
        because: the reason; empty for the rule that holds everywhere.
    """

    share: float = 0.0
    wide: float = 0.0
    because: str = ""

    def width(self, limit: float) -> float:
        """How far from the limit thin begins."""
        return max(self.share * abs(limit), self.wide)

    @property
    def says(self) -> str:
        """For the page of a check."""
        if self.share:
            where = f"within {write_share(self.share)} of the limit"
        elif self.wide:
            where = f"within {self.wide:g} of the limit"
        else:
            where = "never"
        return f"{where}: {self.because}" if self.because else where


TENTH: Final = Edge(share=0.1)
"""The rule: one standard uncertainty, or a tenth of the limit where nobody knows it. Our choice."""


def share_edge(share: float, because: str) -> Edge:
    """Thin begins at this share of the limit, or at one standard uncertainty where that is more."""
    return Edge(share=share, because=because)


def wide_edge(width: float, because: str) -> Edge:
    """Thin begins so far from the limit, in the unit of the check, or at one standard uncertainty."""
    return Edge(wide=width, because=because)


def no_edge(because: str) -> Edge:
    """Up to the limit is well: the limit has its reserve in it. A known uncertainty still counts."""
    return Edge(because=because)


@dataclass(frozen=True)
class Estimate:
    """A value as far as it is known.

    Attributes:
        value: in the unit of the check; None where it is not known.
        doubt: its standard uncertainty, that of the limit included; None where nobody knows it, 0 where
            the value is counted.
        sources: where it comes from.
    """

    value: float | None
    doubt: float | None = None
    sources: tuple[Citation, ...] = ()


@dataclass(frozen=True)
class Limit:
    """What a value is held against.

    Attributes:
        value: in the unit of the check; the lower end where the check wants a value within; None where
            it is not known.
        sources: who says so.
        upper: the upper end of a band.
    """

    value: float | None
    sources: tuple[Citation, ...] = ()
    upper: float | None = None


class Answer(StrEnum):
    """The answer to a question of yes or no."""

    YES = "yes"
    BARELY = "yes, with a reservation"
    NO = "no"
    UNKNOWN = "not known"

    @classmethod
    def of(cls, is_so: bool | None) -> Answer:
        """Yes, no, or not known for None."""
        if is_so is None:
            return cls.UNKNOWN
        return cls.YES if is_so else cls.NO


Words = str | Callable[[Verdict], str]
"""A text, or a function that makes it once the verdict is known."""

Remedies = Sequence[Remedy] | Callable[[Verdict], Sequence[Remedy]]
"""Remedies, or a function that makes them; it is called only where the result is bad or thin."""


@dataclass(frozen=True)
class Check:
    """One kind of judgement.

    Attributes:
        code: stable, as "AIR-01".
        link: which link of the chain it is about.
        says: what is held against what, in one sentence.
        unit: of value, limit and margin; empty for a plain number or a question of yes or no.
        bound: which side of the limit is good; None for a question of yes or no.
        limit: where it is the same in every job.
        thin: where thin begins.
        stake: what is at stake if it fails.
        bars: where it fails, nobody may accept it.
        halts: where it is not known, nothing goes into service before it is.
        advice: the limit is good habit, not need.
        ask: the question where value or limit is missing and the judge has no better one.
        who, minutes: who can answer it, and how long that takes.
        mends: what mends it, in general, for its page.
    """

    code: str
    link: Link
    says: str
    unit: str = ""
    bound: Bound | None = None
    limit: Limit | None = None
    thin: Edge = TENTH
    stake: Stake = Stake.PROMISE
    bars: bool = False
    halts: bool = False
    advice: bool = False
    ask: str = "Find out what is missing, on the label or in the data sheet."
    who: Who = Who.LABEL
    minutes: float = 3.0
    mends: str = ""

    def judge(
        self,
        *,
        about: str,
        subjects: tuple[Ref, ...],
        says: Words,
        value: Estimate,
        limit: Limit | None = None,
        because: Words = "",
        asks: Sequence[str | Ask] = (),
        failure_stands: bool = True,
        remedies: Remedies = (),
        offers: Sequence[Remedy] = (),
        sources: tuple[Citation, ...] = (),
        cause: Ref | None = None,
        stake: Stake | None = None,
        bars: bool | None = None,
        halts: bool | None = None,
    ) -> Finding:
        """Hold a value against a limit.

        Args:
            about: what is judged, for eyes.
            subjects: what it touches, the thing itself first.
            says, because: the judgement and its reason.
            value: with its uncertainty.
            limit: the check's own if None.
            asks: questions that are still open; a good value is unknown until they are answered.
            failure_stands: a bad value fails whatever the answers will be; if False it is unknown too.
            remedies: what would mend it.
            offers: what would settle an open question without an answer; listed after the questions.
            sources: besides those of value and limit.
            cause: the one thing whose change would mend it; the first subject if None.
            stake, bars, halts: where this case is graver than the check in general.

        Raises:
            TypeError: the check is a question of yes or no.
        """
        if self.bound is None:
            raise TypeError(f"{self.code} is a question of yes or no; use `decide`")
        held = limit or self.limit or Limit(None)
        margin, nearest = self._margin(value.value, held)
        verdict = self.word(value.value, held, doubt=value.doubt)
        if asks and (verdict is not Verdict.FAILS or not failure_stands):
            verdict = Verdict.UNKNOWN
        return self._finding(
            verdict=verdict,
            about=about,
            subjects=subjects,
            says=says,
            because=because,
            value=_real(value.value),
            limit=nearest,
            margin=margin,
            doubt=value.doubt,
            asks=asks,
            remedies=remedies,
            offers=offers,
            sources=(*value.sources, *held.sources, *sources),
            cause=cause,
            stake=stake,
            bars=bars,
            halts=halts,
        )

    def decide(
        self,
        *,
        about: str,
        subjects: tuple[Ref, ...],
        says: Words,
        answer: Answer,
        because: Words = "",
        asks: Sequence[str | Ask] = (),
        remedies: Remedies = (),
        offers: Sequence[Remedy] = (),
        sources: tuple[Citation, ...] = (),
        cause: Ref | None = None,
        stake: Stake | None = None,
        bars: bool | None = None,
        halts: bool | None = None,
        value: float | None = None,
        limit: float | None = None,
    ) -> Finding:
        """Answer a question of yes or no: yes holds, yes with a reservation is thin, no fails.

        Args:
            answer: the answer; with open questions a yes is not known.
            value, limit: numbers that are shown beside it; they decide nothing.
            about, subjects, says, because, asks: as in `judge`.
            remedies, offers, sources, cause, stake, bars, halts: likewise.
        """
        verdict = _WORD_OF[answer]
        if asks and verdict is not Verdict.FAILS:
            verdict = Verdict.UNKNOWN
        return self._finding(
            verdict=self._advised(verdict),
            about=about,
            subjects=subjects,
            says=says,
            because=because,
            value=_real(value),
            limit=_real(limit),
            margin=None,
            doubt=None,
            asks=asks,
            remedies=remedies,
            offers=offers,
            sources=sources,
            cause=cause,
            stake=stake,
            bars=bars,
            halts=halts,
        )

    def word(self, value: float | None, limit: Limit | None = None, *, doubt: float | None = None) -> Verdict:
        """The verdict on a value alone: the rule of the whole program.

        Args:
            value: in the check's unit; None where it is not known.
            limit: the check's own if None.
            doubt: standard uncertainty of the margin; None where nobody knows it.
        """
        held = limit or self.limit or Limit(None)
        margin, nearest = self._margin(value, held)
        if margin is None or nearest is None:
            return Verdict.UNKNOWN
        if margin < 0.0:
            return self._advised(Verdict.FAILS)
        return Verdict.THIN if margin < self._edge(nearest, doubt) else Verdict.HOLDS

    def _edge(self, limit: float, doubt: float | None) -> float:
        if self.thin is TENTH or self.thin == TENTH:
            return doubt if doubt is not None else self.thin.width(limit)
        return max(self.thin.width(limit), doubt or 0.0)

    def _margin(self, value: float | None, limit: Limit) -> tuple[float | None, float | None]:
        """Margin and the limit it is to; None where one of the two is not known."""
        low, high = _real(limit.value), _real(limit.upper)
        known = _real(value)
        if self.bound is WITHIN:
            if known is None or low is None or high is None:
                return None, low
            nearest = low if known - low <= high - known else high
            margin = min(known - low, high - known)
        else:
            nearest_known = low
            if known is None or nearest_known is None:
                return None, nearest_known
            nearest = nearest_known
            margin = nearest - known if self.bound is AT_MOST else known - nearest
        if math.isnan(margin):
            return None, nearest
        return (0.0 if abs(margin) <= _ROUNDING * max(abs(nearest), _ROUNDING) else margin), nearest

    def _advised(self, verdict: Verdict) -> Verdict:
        return Verdict.THIN if self.advice and verdict is Verdict.FAILS else verdict

    def _finding(
        self,
        *,
        verdict: Verdict,
        about: str,
        subjects: tuple[Ref, ...],
        says: Words,
        because: Words,
        value: float | None,
        limit: float | None,
        margin: float | None,
        doubt: float | None,
        asks: Sequence[str | Ask],
        remedies: Remedies,
        sources: tuple[Citation, ...],
        cause: Ref | None,
        stake: Stake | None,
        bars: bool | None,
        halts: bool | None,
        offers: Sequence[Remedy] = (),
    ) -> Finding:
        questions = tuple(self._asked(ask) for ask in asks)
        if verdict is Verdict.UNKNOWN and not questions:
            questions = (self._asked(self.ask),)
        if verdict is Verdict.UNKNOWN:
            mends: tuple[Remedy, ...] = (*(Remedy(question.says) for question in questions), *offers)
        elif verdict is Verdict.HOLDS or not remedies_are_wanted():
            mends = ()
        else:
            with aside():
                mends = tuple(remedies(verdict) if callable(remedies) else remedies)
        is_barred = self.bars if bars is None else bars
        is_halting = self.halts if halts is None else halts
        return Finding(
            code=self.code,
            link=self.link,
            verdict=verdict,
            about=about,
            says=_text(says, verdict),
            because=_text(because, verdict),
            value=value,
            limit=limit,
            unit=self.unit,
            margin=margin,
            doubt=doubt,
            remedies=mends,
            asks=questions,
            sources=tuple(dict.fromkeys(sources)),
            subjects=tuple(dict.fromkeys(subjects)),
            cause=cause or (subjects[0] if subjects else None),
            stake=stake or self.stake,
            bars=is_barred and verdict is Verdict.FAILS,
            halts=is_halting and verdict is Verdict.UNKNOWN,
            advice=self.advice,
        )

    def _asked(self, ask: str | Ask) -> Ask:
        return Ask(ask, self.who, self.minutes) if isinstance(ask, str) else ask

    @property
    def limit_says(self) -> str:
        """The limit for the page of the check, where it is the same in every job."""
        if self.bound is None:
            return "a question of yes or no"
        if self.limit is None:
            return f"{self.bound} what the job or the part gives"
        upper = f" to {self.limit.upper:g}" if self.limit.upper is not None else ""
        return f"{self.bound} {self.limit.value:g}{upper} {self.unit}".rstrip()


_WORD_OF: Final = {
    Answer.YES: Verdict.HOLDS,
    Answer.BARELY: Verdict.THIN,
    Answer.NO: Verdict.FAILS,
    Answer.UNKNOWN: Verdict.UNKNOWN,
}

CHOSEN: Final = Citation("limit chosen for this program", mark=Mark.CHOICE)


def _real(value: float | None) -> float | None:
    """A value that can be computed with; one that is no number is not known."""
    return None if value is None or math.isnan(value) else value


def _text(words: Words, verdict: Verdict) -> str:
    return words if isinstance(words, str) else words(verdict)
