"""Every rule of a job with its result: by a search where a story of presses settles it, else by looking."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from farpress.case.case import Case
from farpress.core.rehearsal.search import BUDGET
from farpress.judging.rules.built import finding_of, rulings_of
from farpress.rehearsal.rules import RuleResult, rehearse

__all__ = ["every_rule"]


def every_rule(
    case: Case,
    *,
    budget: int = BUDGET,
    rules: tuple[int, ...] | None = None,
    progress: Callable[[str], None] | None = None,
) -> list[RuleResult]:
    """Results of all rules of the job, and of what must never be in any job.

    Args:
        case: the job.
        budget, rules, progress: as in `rehearse`.
    """
    return rehearse(case, budget=budget, rules=rules, progress=progress, by_looking=_seen)


def _seen(case: Case, number: int) -> Iterator[RuleResult]:
    """A rule that no story of presses settles, as it is judged from how things are built."""
    never = case.job.rules[number - 1].never
    for ruled in rulings_of(case, number):
        finding = finding_of(ruled)
        yield RuleResult(
            number,
            never,
            ruled.ruling.about,
            finding.verdict,
            f"Settled without a search. {finding.says}",
            finding.because,
            searched=False,
            code=finding.code,
            subjects=finding.subjects,
        )
