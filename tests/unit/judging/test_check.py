"""The judging kernel: one rule for every word, at the limit, just beside it, and at the edge of thin."""

from __future__ import annotations

import ast
import math

import pytest

from farpress.domain.finding import Finding, Link, Remedy, Stake, Verdict
from farpress.domain.refs import DeviceRef, SupplyRef
from farpress.judging.check import (
    AT_LEAST,
    AT_MOST,
    TENTH,
    WITHIN,
    Answer,
    Bound,
    Check,
    Edge,
    Estimate,
    Limit,
    no_edge,
    share_edge,
    wide_edge,
)
from farpress.judging.registry import all_checks
from farpress.sources import Citation
from helpers.source_trees import SOURCE as SOURCE_ROOM
from helpers.source_trees import nodes_of, source_files

HOLDS, THIN, FAILS, UNKNOWN = Verdict.HOLDS, Verdict.THIN, Verdict.FAILS, Verdict.UNKNOWN
REF = DeviceRef("larkfen/gate")
SOURCE, LIMIT_SOURCE = Citation("sheet"), Citation("standard")


def _check(bound: Bound, *, thin: Edge = TENTH, advice: bool = False) -> Check:
    return Check(
        "DEV-99", Link.DEVICE, "A value against its limit.", unit="V", bound=bound, thin=thin, advice=advice
    )


def _judged(
    check: Check, value: float | None, limit: Limit, doubt: float | None = None, **more: object
) -> Finding:
    return check.judge(  # type: ignore[arg-type]
        about="gate",
        subjects=(REF,),
        says="It is so.",
        value=Estimate(value, doubt, (SOURCE,)),
        limit=limit,
        **more,
    )


@pytest.mark.parametrize(
    ("bound", "value", "doubt", "word"),
    [
        (AT_MOST, 10.1, None, FAILS),
        (AT_MOST, 10.0, None, THIN),
        (AT_MOST, 9.01, None, THIN),
        (AT_MOST, 8.99, None, HOLDS),
        (AT_MOST, 10.0001, 2.0, FAILS),
        (AT_MOST, 8.01, 2.0, THIN),
        (AT_MOST, 7.99, 2.0, HOLDS),
        (AT_MOST, 9.91, 0.1, THIN),
        (AT_MOST, 9.89, 0.1, HOLDS),
        (AT_MOST, 10.0, 0.0, HOLDS),
        (AT_LEAST, 9.9, None, FAILS),
        (AT_LEAST, 10.0, None, THIN),
        (AT_LEAST, 10.99, None, THIN),
        (AT_LEAST, 11.01, None, HOLDS),
        (AT_LEAST, 9.9999, 5.0, FAILS),
        (AT_LEAST, 14.99, 5.0, THIN),
        (AT_LEAST, math.inf, 5.0, HOLDS),
        (AT_LEAST, math.nan, 5.0, UNKNOWN),
        (AT_LEAST, None, None, UNKNOWN),
    ],
)
def test_the_word_at_and_beside_the_limit(
    bound: Bound, value: float | None, doubt: float | None, word: Verdict
) -> None:
    """Good within one standard uncertainty, or a tenth of the limit, is thin; bad fails however close."""
    assert _judged(_check(bound), value, Limit(10.0), doubt).verdict is word


@pytest.mark.parametrize(
    ("thin", "value", "doubt", "word"),
    [
        (share_edge(0.25, "a reason"), 7.51, None, THIN),
        (share_edge(0.25, "a reason"), 7.49, None, HOLDS),
        (share_edge(0.25, "a reason"), 7.49, 3.0, THIN),
        (wide_edge(0.5, "a reason"), 9.51, None, THIN),
        (wide_edge(0.5, "a reason"), 9.49, None, HOLDS),
        (no_edge("a reason"), 10.0, None, HOLDS),
        (no_edge("a reason"), 9.99, 0.1, THIN),
        (no_edge("a reason"), 10.01, None, FAILS),
    ],
)
def test_a_check_with_a_reason_has_an_edge_of_its_own(
    thin: Edge, value: float, doubt: float | None, word: Verdict
) -> None:
    """Its own edge, or the uncertainty where that is wider."""
    assert _judged(_check(AT_MOST, thin=thin), value, Limit(10.0), doubt).verdict is word
    assert "a reason" in thin.says


@pytest.mark.parametrize(
    ("value", "word", "nearest", "margin"),
    [(4.9, FAILS, 5.0, -0.1), (5.1, THIN, 5.0, 0.1), (7.0, HOLDS, 5.0, 2.0), (9.5, THIN, 10.0, 0.5)],
)
def test_a_band_is_held_at_its_nearer_end(value: float, word: Verdict, nearest: float, margin: float) -> None:
    """Margin and limit shown are those of the nearer end; a band with one end unknown is unknown."""
    finding = _judged(_check(WITHIN), value, Limit(5.0, upper=10.0))

    assert (finding.verdict, finding.limit) == (word, nearest)
    assert finding.margin == pytest.approx(margin)
    assert _judged(_check(WITHIN), value, Limit(5.0)).verdict is UNKNOWN


def test_advice_is_thin_at_worst() -> None:
    """A good habit that is not kept never fails, and the finding says it is advice."""
    finding = _judged(_check(AT_MOST, advice=True), 12.0, Limit(10.0))

    assert (finding.verdict, finding.advice) == (THIN, True)
    assert finding.margin == -2.0


def test_a_missing_fact_never_makes_a_word_better() -> None:
    """An open question beside a good value makes it unknown; a bad one fails all the same."""
    check, limit, asks = _check(AT_MOST), Limit(10.0), ("Read the label.",)

    assert _judged(check, 1.0, limit, asks=asks).verdict is UNKNOWN
    assert _judged(check, 11.0, limit, asks=asks).verdict is FAILS
    assert _judged(check, 11.0, limit, asks=asks, failure_stands=False).verdict is UNKNOWN
    assert _judged(check, 1.0, Limit(None)).verdict is UNKNOWN
    assert _judged(check, None, limit).asks[0].says == check.ask


def test_remedies_are_made_only_where_something_is_to_mend() -> None:
    """A good result has none; an unknown one asks instead."""
    made: list[Verdict] = []

    def remedies(verdict: Verdict) -> tuple[Remedy, ...]:
        made.append(verdict)
        return (Remedy("Mend it."),)

    words = [
        _judged(_check(AT_MOST), value, Limit(10.0), remedies=remedies) for value in (1.0, None, 9.5, 11.0)
    ]

    assert made == [THIN, FAILS]
    assert [len(finding.remedies) for finding in words] == [0, 1, 1, 1]
    assert words[1].remedies[0].does == words[1].asks[0].says


def test_a_finding_carries_sources_cause_stake_and_bars() -> None:
    """Sources of value and limit are added; barred is only what fails."""
    check = Check("DEV-99", Link.DEVICE, "Whether it is so.", stake=Stake.HARM, bars=True)
    answers = {
        answer: check.decide(
            about="gate", subjects=(REF, REF), says="So.", answer=answer, cause=SupplyRef("larkfen/main")
        )
        for answer in Answer
    }

    assert [answers[answer].verdict for answer in Answer] == [HOLDS, THIN, FAILS, UNKNOWN]
    assert [finding.bars for finding in answers.values()] == [False, False, True, False]
    assert answers[Answer.NO].cause == SupplyRef("larkfen/main")
    assert answers[Answer.NO].subjects == (REF,)
    assert answers[Answer.NO].stake is Stake.HARM
    assert _judged(_check(AT_MOST), 1.0, Limit(10.0, (LIMIT_SOURCE,))).sources == (SOURCE, LIMIT_SOURCE)
    assert _judged(_check(AT_MOST), 1.0, Limit(10.0)).cause == REF


def test_rounding_is_no_margin() -> None:
    """Sums of floats that differ in their last digits lie at the limit, on its good side."""
    finding = _judged(_check(AT_MOST, thin=no_edge("a reason")), 0.1 + 0.2, Limit(0.3))

    assert (finding.verdict, finding.margin) == (HOLDS, 0.0)


def test_a_question_of_yes_or_no_is_not_held_against_a_number() -> None:
    """A check without a bound cannot judge a number."""
    with pytest.raises(TypeError, match="yes or no"):
        _judged(Check("DEV-99", Link.DEVICE, "Whether it is so."), 1.0, Limit(1.0))


@pytest.mark.parametrize("check", [pytest.param(check, id=code) for code, check in all_checks().items()])
def test_every_check_says_what_it_needs(check: Check) -> None:
    """Sentence, question, what mends it; an edge of its own has a reason; a barred one is harm."""
    assert len(check.says.split()) >= 4
    assert len(check.ask.split()) >= 3
    assert check.thin == TENTH or check.thin.because
    assert not check.bars or check.stake is Stake.HARM
    if check.limit is not None:
        assert check.limit.sources, "a limit has a source"


@pytest.mark.parametrize(
    "check",
    [
        pytest.param(check, id=code)
        for code, check in all_checks().items()
        if check.bound not in (None, WITHIN)
    ],
)
def test_every_check_holds_its_limit(check: Check) -> None:
    """At limit less e, limit, limit and e, and on both sides of its thin edge."""
    limit = check.limit or Limit(20.0)
    assert limit.value is not None
    edge, sign = check.thin.width(limit.value), 1.0 if check.bound is AT_LEAST else -1.0
    step = 1e-6 * max(abs(limit.value), 1.0)
    bad = THIN if check.advice else FAILS

    assert check.word(limit.value - sign * step, limit) is bad
    assert check.word(limit.value, limit) is (THIN if edge > 0 else HOLDS)
    assert check.word(limit.value + sign * (edge + step), limit) is HOLDS
    if edge > step:
        assert check.word(limit.value + sign * (edge - step), limit) is THIN
    assert check.word(limit.value + sign * (edge + step), limit, doubt=edge + 2 * step) is THIN


@pytest.mark.long
def test_nobody_else_makes_a_finding() -> None:
    """`Finding(...)` stands in the kernel alone, and where one that was kept is read back; nobody writes a
    verdict over another.
    """
    makers = {
        str(path.relative_to(SOURCE_ROOM))
        for path in source_files()
        for node in nodes_of(path)
        if isinstance(node, ast.Call)
        and (
            (isinstance(node.func, ast.Name) and node.func.id == "Finding")
            or (
                isinstance(node.func, ast.Name)
                and node.func.id == "replace"
                and any(word.arg in ("verdict", "margin") for word in node.keywords)
            )
        )
    }

    assert makers == {"judging/check.py", "judging/as_kept.py"}


@pytest.mark.parametrize(("beyond", "verdict"), [(0.8e-9, THIN), (1.2e-9, FAILS)])
def test_a_billionth_of_the_limit_is_no_margin(beyond: float, verdict: Verdict) -> None:
    """Sums of floats differ in their last digits; more than that is a difference."""
    check = _check(AT_MOST)

    assert check.word(10.0 * (1.0 + beyond), Limit(10.0)) is verdict
