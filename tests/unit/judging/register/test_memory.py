"""The register: memory, growth, counters, deletion, names."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.judging.register import memory as register
from farpress.judging.registry import all_checks
from helpers.findings import codes_of, finding_of
from helpers.logic_case import a_case

OUT: dict[str, Any] = {
    "1": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"},
    "2": {"kind": "pulse", "for_s": 0.5, "works": "garage.start"},
}
MANY: dict[str, Any] = {"many": {"count": 600, "spares": 30, "buttons": {"1": "f1", "2": "f2"}}}
KEPT = {"data_kept_by": "the office", "data_kept_until": "2028"}


def _found(case: Case) -> list[Finding]:
    found = list(register.judge(case))
    assert {one.code for one in found} <= set(all_checks())
    assert len({one.key for one in found}) == len(found)
    return found


@pytest.mark.parametrize(
    ("counts", "capacity", "verdict", "need"),
    [
        ("fobs", 1000, Verdict.HOLDS, 630),
        ("buttons", 1000, Verdict.FAILS, 1260),
        ("fobs", 650, Verdict.THIN, 630),
        (None, 1000, Verdict.UNKNOWN, None),
        (None, 2000, Verdict.HOLDS, 1260),
        (None, 500, Verdict.FAILS, 630),
        ("fobs", None, Verdict.UNKNOWN, None),
    ],
)
def test_a_memory_counts_fobs_or_buttons(
    counts: str | None, capacity: int | None, verdict: Verdict, need: int | None
) -> None:
    """600 holders and 30 spares with two buttons each: 1 260 buttons do not fit where 630 fobs do."""
    finding = finding_of(
        _found(a_case(OUT, groups=MANY, receiver={"capacity": capacity, "capacity_counts": counts})), "REG-01"
    )

    assert finding.verdict is verdict
    assert finding.value == need
    is_by_buttons = (counts, capacity) == ("buttons", 1000)
    assert ("It counts buttons, not fobs; 630 fobs alone would fit." in finding.because) is is_by_buttons


def test_only_what_is_learned_at_a_receiver_counts() -> None:
    """A group without a button there does not; an old unknown record does; a button learned for two functions
    is one.
    """
    groups: dict[str, Any] = {
        "a": {"count": 10, "buttons": {"1": ("f1", "f2")}},
        "b": {"count": 50, "buttons": {"1": "elsewhere"}},
    }
    case = a_case(
        OUT,
        groups=groups,
        box={"learned_unknown": 3},
        functions={"f1": {"output": "house/R1/1"}, "f2": {"output": "house/R1/2"}, "elsewhere": {}},
    )
    learned = register.learned_at(case, "house/R1")

    assert (learned.fobs, learned.buttons) == (13, 13)


def test_a_missing_number_of_holders_is_asked() -> None:
    """Not taken as none."""
    assert (
        finding_of(_found(a_case(OUT, groups={"some": {"buttons": {"1": "f1"}}})), "REG-01").verdict
        is Verdict.UNKNOWN
    )


def test_a_small_memory_nobody_knows_is_asked_about() -> None:
    """Two fobs fit nearly anywhere; nearly is not known."""
    found = _found(a_case(OUT, receiver={"capacity": None}, details=KEPT))

    assert finding_of(found, "REG-01").verdict is Verdict.UNKNOWN


@pytest.mark.parametrize(
    ("deleted", "verdict"), [(False, Verdict.FAILS), (True, Verdict.HOLDS), (None, Verdict.UNKNOWN)]
)
def test_leavers_fill_a_memory(deleted: bool | None, verdict: Verdict) -> None:
    """One in five leaves each year: full in 3.1 years if nobody deletes them."""
    finding = finding_of(
        _found(a_case(OUT, groups=MANY, register={"churn_share": 0.2, "leavers_deleted": deleted})), "REG-02"
    )

    assert finding.verdict is verdict
    assert deleted or (finding.value == pytest.approx(370 / 120) and "2.8 and 3.4" in finding.because)


FITTERS: dict[str, Any] = {
    "fitters": {
        "count": 9,
        "presses_per_day": 14.0,
        "visits_per_day": {"home": 2.1 / 7, "branch": 0.4 / 7},
        "buttons": {"1": "f1"},
    }
}


def _away(**more: Any) -> list[Finding]:
    return [
        one
        for one in _found(a_case({"1": OUT["1"]}, premises=("home", "branch"), **{"groups": FITTERS, **more}))
        if one.code == "REG-03" and one.about.endswith("branch/R1")
    ]


def test_a_first_press_at_a_rarely_visited_branch_is_ignored() -> None:
    """0.4 of 2.5 days: the geometric sum; thin, for the second press works; fails where the first is
    promised.
    """
    finding = _away()[0]
    first = ({"to": "fitters", "function": "f1", "from_": "here", "within_presses": 1.0},)
    share = 0.4 / 2.5

    assert finding.verdict is Verdict.THIN
    assert finding.value == pytest.approx(_by_hand(share, 14.0, 16), rel=1e-6)
    assert _away(promises=first)[0].verdict is Verdict.FAILS


def _by_hand(share: float, presses: float, window: int) -> float:
    from scipy.stats import poisson

    return float(
        sum(share * (1 - share) ** gap * poisson.sf(window - 1, presses * gap) for gap in range(2000))
    )


def test_windows_and_visits_that_are_not_known_are_asked() -> None:
    """And a window of 1 000 is wide enough."""
    nowhere = {"fitters": {**FITTERS["fitters"], "visits_per_day": {}}}

    assert _away(receiver={"window_single": None})[0].verdict is Verdict.UNKNOWN
    assert _away(groups=nowhere)[0].verdict is Verdict.UNKNOWN
    assert _away(receiver={"window_double": None})[0].verdict is Verdict.UNKNOWN
    assert _away(receiver={"window_single": 1000})[0].verdict is Verdict.HOLDS


def test_a_fob_beyond_both_windows_is_dead() -> None:
    """14 a day for the longest stretch of a year against 256."""
    finding = _away(receiver={"window_double": 256})[0]

    assert finding.verdict is Verdict.FAILS
    assert "learned again" in finding.because
    assert "25 days elsewhere" in finding.says


def test_who_comes_each_week_is_never_half_a_year_away() -> None:
    """5.25 days between visits, 70 a year: 5.25 x (1 + ... + 1/70) = 25.4 days, 355 presses of the 1 000."""
    finding = _away(receiver={"window_double": 1000})[0]

    assert finding.verdict is Verdict.THIN
    assert "learned again" not in finding.because


def test_fobs_of_one_house_have_no_exposure() -> None:
    """Everything is heard at home."""
    assert "REG-03" not in {one.code for one in _found(a_case(OUT))}


@pytest.mark.parametrize(
    ("by", "verdict"),
    [
        ("slot or fob", Verdict.HOLDS),
        ("slot", Verdict.UNKNOWN),
        ("fob in hand", Verdict.FAILS),
        (None, Verdict.UNKNOWN),
    ],
)
def test_one_fob_can_be_deleted(by: str | None, verdict: Verdict) -> None:
    """By slot if the slot is written down; never if the fob must be in hand."""
    assert finding_of(_found(a_case(OUT, receiver={"deletes_by": by})), "REG-04").verdict is verdict


def test_records_and_fobs_without_a_person() -> None:
    """14 unknown records fail; a pool that opens is thin, of one that unsets is asked who answers for it."""
    pool = {"pool": {"count": 41, "pool": True, "buttons": {"1": "f1"}}}
    unset = {"1": {"kind": "pulse", "for_s": 0.5, "works": "panel.unset"}}

    assert finding_of(_found(a_case(OUT, box={"learned_unknown": 14})), "REG-05").verdict is Verdict.FAILS
    assert finding_of(_found(a_case(OUT, groups=pool)), "REG-05").verdict is Verdict.THIN
    assert finding_of(_found(a_case(unset, groups=pool)), "REG-05").verdict is Verdict.UNKNOWN
    owned = {"pool": {**pool["pool"], "owner": "the ward sister"}}
    assert finding_of(_found(a_case(unset, groups=owned)), "REG-05").verdict is Verdict.HOLDS


def test_names_need_a_keeper_and_an_end() -> None:
    """Only where there are names."""
    assert finding_of(_found(a_case(OUT)), "REG-06").verdict is Verdict.UNKNOWN
    assert finding_of(_found(a_case(OUT, details=KEPT)), "REG-06").verdict is Verdict.HOLDS
    assert "REG-06" not in {one.code for one in _found(a_case(OUT, groups=MANY))}


def test_a_sound_house_is_not_flagged() -> None:
    """Two people, room enough, deletable, names kept by somebody."""
    assert (
        codes_of(
            _found(a_case(OUT, details=KEPT, register={"churn_share": 0.1, "leavers_deleted": True})),
            "fails",
            "thin",
            "unknown",
        )
        == set()
    )


def test_a_lost_fob_is_a_round_with_rights() -> None:
    """Known at two premises: thin where it unsets, told where it only opens, nothing for one house."""
    unset = {"1": {"kind": "pulse", "for_s": 0.5, "works": "panel.unset"}}

    assert finding_of(_found(a_case(unset, premises=("home", "branch"))), "REG-07").verdict is Verdict.THIN
    assert finding_of(_found(a_case(OUT, premises=("home", "branch"))), "REG-07").verdict is Verdict.HOLDS
    assert "REG-07" not in {one.code for one in _found(a_case(unset))}


@pytest.mark.parametrize(
    ("counted", "verdict"), [(None, Verdict.HOLDS), (995, Verdict.THIN), (1001, Verdict.FAILS)]
)
def test_what_a_memory_was_read_to_hold_counts(counted: int | None, verdict: Verdict) -> None:
    """More than the groups make: somebody learned more than is written down."""
    box = {"learned": counted, "learned_unknown": 0}
    found = _found(a_case(OUT, receiver={"capacity": 1000, "capacity_counts": "fobs"}, box=box))

    assert finding_of(found, "REG-01").verdict is verdict
