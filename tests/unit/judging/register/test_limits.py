"""Each limit of the register on both sides, at it, and at its thin edge."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict, Who
from farpress.domain.refs import ReceiverRef
from farpress.judging.register import memory as register
from farpress.judging.register import persons
from farpress.judging.register.counters import SWALLOWED
from farpress.judging.register.memory_use import MemoryUse
from farpress.judging.register.record import DIFFERENCES, LEAVERS, OLD_NAMES, STILL_OBEYED, SWALLOWED_NEXT
from helpers.findings import finding_of
from helpers.logic_case import a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
GATE: dict[str, Any] = {"1": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"}}


def _judged(code: str, **more: Any) -> Finding:
    return finding_of(register.judge(a_case(GATE, **more)), code)


def _codes(**more: Any) -> set[str]:
    return {finding.code for finding in register.judge(a_case(GATE, **more))}


def _group(count: int | None, spares: int = 0) -> dict[str, Any]:
    return {"some": {"count": count, "spares": spares, "buttons": {"1": "f1"}}}


@pytest.mark.parametrize(
    ("count", "verdict", "margin"), [(90, HOLDS, 10), (91, THIN, 9), (100, THIN, 0), (101, FAILS, -1)]
)
def test_a_memory_for_100_is_thin_from_91_on(count: int, verdict: Verdict, margin: float) -> None:
    """A tenth left over is well, one less is thin, one too many fails; spares count."""
    finding = _judged("REG-01", groups=_group(count - 5, 5), receiver={"capacity": 100})

    assert (finding.verdict, finding.margin, finding.limit) == (verdict, margin, 100)


@pytest.mark.parametrize("count", [1, 20, 21])
def test_a_memory_nobody_knows_is_asked_about(count: int) -> None:
    """One of 19 records fails with 20 fobs: not to know it is no better."""
    finding = _judged("REG-01", groups=_group(count), receiver={"capacity": None})

    assert _judged("REG-01", groups=_group(20), receiver={"capacity": 19}).verdict is FAILS
    assert finding.verdict is UNKNOWN


@pytest.mark.parametrize(
    ("capacity", "verdict", "years"),
    [(149, FAILS, 4.9), (150, THIN, 5.0), (199, THIN, 9.9), (200, HOLDS, 10.0)],
)
def test_a_memory_full_within_five_years_fails(capacity: int, verdict: Verdict, years: float) -> None:
    """100 holders of whom a tenth leaves: ten records a year, common arithmetic."""
    finding = _judged(
        "REG-02",
        groups=_group(100),
        receiver={"capacity": capacity},
        register={"churn_share": 0.1, "leavers_deleted": False},
    )

    assert (finding.verdict, finding.limit) == (verdict, 5.0)
    assert finding.value == pytest.approx(years)
    assert finding.margin == pytest.approx(years - 5.0)


@pytest.mark.parametrize(
    ("register_", "capacity", "verdict"),
    [
        ({}, 1099, UNKNOWN),
        ({}, 1100, HOLDS),
        ({"leavers_deleted": True}, 150, HOLDS),
        ({"churn_share": 0.1}, 150, UNKNOWN),
        ({"churn_share": 0.1}, 200, HOLDS),
        ({"growth_share": 0.2}, 150, FAILS),
        ({"churn_share": 0.1, "leavers_deleted": False}, 100, FAILS),
    ],
)
def test_growth_that_nobody_tells_is_asked_where_it_matters(
    register_: dict[str, Any], capacity: int, verdict: Verdict
) -> None:
    """100 fobs replaced every year fill 1 000 free records in ten years; 50 in two with 20 % growth."""
    finding = _judged("REG-02", groups=_group(100), receiver={"capacity": capacity}, register=register_)

    assert finding.verdict is verdict
    assert bool(finding.asks) is (verdict is UNKNOWN) or verdict is FAILS


def test_counts_that_decide_whether_it_fits_are_not_computed_with() -> None:
    """Fobs or buttons: growth is judged once that is known."""
    groups = {"some": {"count": 60, "buttons": {"1": "f1", "2": "f2"}}}
    case = a_case(
        {**GATE, "2": {"kind": "pulse", "for_s": 0.5, "works": "garage.start"}},
        groups=groups,
        receiver={"capacity": 100, "capacity_counts": None},
    )

    assert finding_of(register.judge(case), "REG-01").verdict is UNKNOWN
    assert "REG-02" not in {finding.code for finding in register.judge(case)}


@pytest.mark.parametrize(
    ("value", "verdict"), [(0.044, HOLDS), (0.046, THIN), (0.05, THIN), (0.051, THIN), (None, UNKNOWN)]
)
def test_a_swallowed_press_is_a_matter_of_comfort(value: float | None, verdict: Verdict) -> None:
    """One in twenty is tolerated; more is thin where a second press is accepted."""
    assert SWALLOWED.word(value) is verdict
    assert SWALLOWED_NEXT.word(value) is verdict


def _visitors(**more: Any) -> Finding:
    groups = {
        "fitters": {
            "count": 9,
            "presses_per_day": 14.0,
            "visits_per_day": {"home": 0.3, "branch": 0.057},
            "buttons": {"1": "f1"},
            **more.pop("group", {}),
        }
    }
    findings = register.judge(a_case(GATE, premises=("home", "branch"), groups=groups, **more))
    return finding_of(findings, "REG-03", "branch")


def test_a_press_that_is_promised_or_forgotten_is_more_than_comfort() -> None:
    """What is shown decides: the share of fobs that must be learned again, where there are any."""
    first = ({"to": "fitters", "function": "f1", "from_": "here", "within_presses": 1.0},)
    forgotten = _visitors(receiver={"window_double": 256})

    assert _visitors().verdict is THIN
    assert _visitors(promises=first).verdict is FAILS
    assert _visitors(promises=first, receiver={"window_double": None}).verdict is FAILS
    assert (forgotten.verdict, forgotten.value) == (FAILS, pytest.approx(1.0))


@pytest.mark.parametrize(("window", "verdict"), [(300, UNKNOWN), (400, HOLDS)])
def test_a_wider_window_nobody_knows_may_forget_a_fob(window: int, verdict: Verdict) -> None:
    """The longest of 69 absences of 5.26 days is 25.4 days, 355 presses: 400 are wide enough alone."""
    assert _visitors(receiver={"window_single": window, "window_double": None}).verdict is verdict


def test_how_often_somebody_presses_is_asked_once_in_the_same_words() -> None:
    """Both premises wait for the one answer."""
    groups = {"some": {"count": 2, "buttons": {"1": "f1"}}}
    findings = [
        finding
        for finding in register.judge(a_case(GATE, premises=("home", "branch"), groups=groups))
        if finding.code == "REG-03"
    ]

    assert [finding.verdict for finding in findings] == [UNKNOWN, UNKNOWN]
    assert len({finding.asks for finding in findings}) == 1


@pytest.mark.parametrize(("records", "verdict"), [(1, FAILS), (14, FAILS)])
def test_one_record_of_nobody_is_too_many(records: int, verdict: Verdict) -> None:
    """None is tolerated."""
    (finding,) = persons.unknown_records("house/R1", MemoryUse({}, (), records))

    assert (finding.verdict, finding.margin, finding.cause) == (verdict, -records, ReceiverRef("house/R1"))
    assert list(persons.unknown_records("house/R1", MemoryUse({}, (), 0))) == []


def test_whether_a_receiver_obeys_fobs_of_nobody_is_asked_where_it_is_not_said() -> None:
    """A new receiver is said to have none; silence is no better than one record."""
    (finding,) = persons.unknown_records("house/R1", MemoryUse({}, (), None))

    assert (finding.verdict, finding.asks[0].who) == (UNKNOWN, Who.INSTALLER)


@pytest.mark.parametrize(
    ("growth", "capacity", "verdict"),
    [(0.0, 15, HOLDS), (0.2, 15, FAILS), (None, 15, UNKNOWN), (None, 10**6, HOLDS)],
)
def test_growth_that_nobody_says_is_taken_at_its_worst_and_asked_where_that_matters(
    growth: float | None, capacity: int, verdict: Verdict
) -> None:
    """Ten holders that grow by as many again each year are 220 000 after ten: e to the tenth times 10."""
    finding = _judged(
        "REG-02",
        groups=_group(10),
        receiver={"capacity": capacity},
        register={"churn_share": 0.0, "leavers_deleted": True, "growth_share": growth},
    )

    assert finding.verdict is verdict
    assert ("added in a year" in finding.asks[0].says) if verdict is UNKNOWN else True


@pytest.mark.parametrize("check", [STILL_OBEYED, LEAVERS, DIFFERENCES, OLD_NAMES])
def test_one_matter_of_the_record_is_too_many(check: Any) -> None:
    """None holds, one fails: nothing here is advice."""
    assert (check.word(0.0), check.word(1.0)) == (HOLDS, FAILS)
