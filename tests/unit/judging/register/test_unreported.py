"""Lost fobs that nobody reports: at the limit, on both sides, and asked about where nobody says."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.judging.register.unreported import NEVER_S, YEAR_S, judge
from helpers.findings import finding_of
from helpers.logic_case import a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
GATE: dict[str, Any] = {"1": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"}}


def _case(count: int | None, **register: float) -> Case:
    groups = {"some": {"count": count, "buttons": {"1": "f1"}}}
    return a_case(GATE, groups=groups, register=register)


def _judged(count: int, **register: float) -> Finding:
    return finding_of(judge(_case(count, **register)), "REG-20")


@pytest.mark.parametrize(
    ("share", "verdict"), [(0.0899, HOLDS), (0.0901, THIN), (0.1, THIN), (0.1001, FAILS), (0.5, FAILS)]
)
def test_half_a_fob_at_any_moment_is_the_limit(share: float, verdict: Verdict) -> None:
    """Of a hundred fobs ten are lost in a year, counted every year: half of those that nobody reports."""
    finding = _judged(100, lost_share=0.1, unreported_share=share, counted_every_s=YEAR_S)

    assert finding.verdict is verdict
    assert finding.value == pytest.approx(100 * 0.1 * share / 2)


def test_where_nobody_counts_they_add_up_over_five_years() -> None:
    """Also where counts are further apart; and a count every quarter is offered, and is enough."""
    never = _judged(100, lost_share=0.04, unreported_share=0.5)
    seldom = _judged(100, lost_share=0.04, unreported_share=0.5, counted_every_s=2 * NEVER_S)

    assert never.value == seldom.value == pytest.approx(5.0)
    assert (never.verdict, never.remedies[0].changes[0].value) == (FAILS, "90 days")
    assert _judged(100, lost_share=0.04, unreported_share=0.5, counted_every_s=90 * 86400.0).verdict is HOLDS


@pytest.mark.parametrize("known", [{}, {"lost_share": 0.02}, {"unreported_share": 0.1}])
def test_what_nobody_says_is_asked_of_many_fobs(known: dict[str, float]) -> None:
    """Not to know it is no better than the worst."""
    finding = _judged(400, **known)

    assert finding.verdict is UNKNOWN
    assert len(finding.asks) == (1 if "lost_share" in known else 2)


@pytest.mark.parametrize(("count", "told"), [(2, 0), (3, 1), (None, 0)])
def test_of_few_fobs_hardly_one_is_ever_out(count: int | None, told: int) -> None:
    """Two of which a tenth is lost in a year at the worst: half a fob out at any moment, and no more."""
    assert len(list(judge(_case(count)))) == told
