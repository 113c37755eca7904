"""The first page of a job: what must stop, what to mend, what to ask, what to watch, and every promise.

Nothing is judged here. Findings come together by what has to change, and each stands in one place; terminal,
desk and paper show the same page.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from farpress.domain.finding import Assessment, Verdict
from farpress.overview.concerns import Concern, concerns_of
from farpress.overview.promises import PromiseRow, promise_rows
from farpress.overview.questions import OpenFact, questions_of

__all__ = ["FirstPage", "first_page"]


@dataclass(frozen=True)
class FirstPage:
    """What a person must know first.

    Attributes:
        job: its name.
        promises: verdict → how many promises have it.
        stop: what can hurt somebody, or what nobody may accept; the barred first, last what nobody knows yet
            and nothing may go into service before.
        mend: what else fails, by what has to change, that which most promises wait for first.
        ask: what is not known, each question once.
        watch: what holds only just.
        rows: the promises, equal ones together.
        fingerprint, version: of the assessment.
    """

    job: str
    promises: Mapping[Verdict, int]
    stop: tuple[Concern, ...]
    mend: tuple[Concern, ...]
    ask: tuple[OpenFact, ...]
    watch: tuple[Concern, ...]
    rows: tuple[PromiseRow, ...]
    fingerprint: str
    version: str

    @property
    def concerns(self) -> tuple[Concern, ...]:
        """What to stop and what to mend, in the order of their numbers."""
        return (*self.stop, *self.mend)

    @property
    def minutes(self) -> float:
        """What all questions together take [min]."""
        return sum(question.minutes for question in self.ask)


def first_page(assessment: Assessment) -> FirstPage:
    """Gather an assessment for somebody who has one minute.

    Args:
        assessment: the findings and the chains.

    Returns:
        The page; equal for equal assessments.
    """
    findings = sorted(assessment.findings, key=lambda finding: finding.key)
    failing = [finding for finding in findings if finding.verdict is Verdict.FAILS]
    concerns = concerns_of(failing, assessment.promises, assessment.words)
    stop = sorted(
        (concern for concern in concerns if concern.stops),
        key=lambda concern: (not concern.barred, *_order(concern)),
    )
    halting = [finding for finding in findings if finding.halts]
    asked = concerns_of(halting, assessment.promises, assessment.words, by_cause=False)
    stop += sorted(asked, key=_order)
    mend = sorted(
        (concern for concern in concerns if not concern.stops),
        key=lambda concern: (concern.stake.rank, *_order(concern)),
    )
    numbered = [concern.numbered(number) for number, concern in enumerate([*stop, *mend], start=1)]
    thin = [finding for finding in findings if finding.verdict is Verdict.THIN]
    counts = Counter(chain.verdict for chain in assessment.promises)
    return FirstPage(
        assessment.job,
        {verdict: counts[verdict] for verdict in Verdict},
        tuple(numbered[: len(stop)]),
        tuple(numbered[len(stop) :]),
        questions_of(finding for finding in findings if finding.verdict is Verdict.UNKNOWN),
        tuple(sorted(concerns_of(thin, assessment.promises, assessment.words, by_remedy=False), key=_order)),
        promise_rows(assessment.promises),
        assessment.fingerprint,
        assessment.version,
    )


def _order(concern: Concern) -> tuple[int, str]:
    return (-len(concern.promises), concern.key)
