"""Years, shares, days and minutes about the register, worked out by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.register import memory as register
from farpress.judging.register import persons, record, spares, stock
from farpress.judging.register.memory_use import MemoryUse
from helpers.findings import finding_of
from helpers.logic_case import a_case

GATE: dict[str, Any] = {"1": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"}}
TWO: dict[str, Any] = {**GATE, "2": {"kind": "pulse", "for_s": 0.5, "works": "garage.start"}}
STAY: dict[str, Any] = {"churn_share": 0.2, "leavers_deleted": False}


def _judged(code: str, outputs: dict[str, Any] = GATE, about: str = "", **more: Any) -> Finding:
    return finding_of(register.judge(a_case(outputs, **more)), code, about)


def _group(count: int, spares: int = 0, buttons: int = 1, **more: Any) -> dict[str, Any]:
    return {
        "some": {
            "count": count,
            "spares": spares,
            "buttons": {str(n): f"f{n}" for n in range(1, buttons + 1)},
            **more,
        }
    }


@pytest.mark.parametrize(("churn", "told"), [(0.0049, False), (0.0051, True), (0.006, True)])
def test_reg_18_one_leaver_in_twenty_years_is_spoken_of(churn: float, told: bool) -> None:
    """Ten holders: 0.049 and 0.051 leavers a year."""
    case = a_case(GATE, groups=_group(10), register={"churn_share": churn, "unreturned_share": 0.5})

    assert ("REG-18" in {finding.code for finding in stock.judge(case)}) is told


def test_a_memory_of_buttons_fills_by_the_buttons_of_leavers() -> None:
    """630 fobs with two buttons take 1 260 of 2 000; 600 holders, a fifth leaves: 240 a year, 740 / 240
    years.
    """
    finding = _judged(
        "REG-02",
        TWO,
        groups=_group(600, 30, buttons=2),
        receiver={"capacity": 2000, "capacity_counts": "buttons"},
        register=STAY,
    )

    assert finding.value == pytest.approx(740.0 / 240.0)
    assert "1260 of 2000 buttons" in finding.says


def test_growth_is_compounded() -> None:
    """100 of 150; 10 % leave and 10 % are added: ln (1 + 50 x 0.1 / 20) / 0.1 years."""
    finding = _judged(
        "REG-02",
        groups=_group(100),
        receiver={"capacity": 150},
        register={"churn_share": 0.1, "growth_share": 0.1, "leavers_deleted": False},
    )

    assert finding.value == pytest.approx(math.log(1.25) / 0.1)


def test_the_last_free_record_goes_like_the_first_of_a_random_row() -> None:
    """One free and ten leavers a year: exponential, ln 20 / 10 years after which 95 % have come; 5 % within
    days.
    """
    finding = _judged(
        "REG-02",
        groups=_group(100),
        receiver={"capacity": 101},
        register={"churn_share": 0.1, "leavers_deleted": False},
    )

    assert f"between 0.0 and {math.log(20.0) / 10.0:.1f} years" in finding.because


def test_leavers_that_are_deleted_leave_growth_alone() -> None:
    """100 of 150 with a tenth added each year: ln (1 + 50 x 0.1 / 10) / 0.1 = 4.1 years, and the band is of
    growth.
    """
    finding = _judged(
        "REG-02",
        groups=_group(100),
        receiver={"capacity": 150},
        register={"churn_share": 0.3, "growth_share": 0.1, "leavers_deleted": True},
    )

    assert finding.value == pytest.approx(math.log(1.5) / 0.1)
    assert "new records at random" in finding.because


def test_deleting_leavers_is_told_with_what_it_gains() -> None:
    """Without growth a memory from which leavers are deleted never fills; with it, ln 1.5 / 0.1 years."""
    for growth_share, effect in ((0.0, "never full"), (0.1, f"full after {math.log(1.5) / 0.1:.1f} years")):
        finding = _judged(
            "REG-02",
            groups=_group(100),
            receiver={"capacity": 150},
            register={"churn_share": 0.2, "growth_share": growth_share, "leavers_deleted": False},
        )

        assert finding.remedies[0].effect == effect


@pytest.mark.parametrize(("growth_share", "deleted"), [(None, False), (0.0, False), (0.1, True)])
def test_a_memory_with_a_quarter_free_is_told_in_records(growth_share: float | None, deleted: bool) -> None:
    """100 holders and 50 spares: 150 records are three quarters of 200. Without the growth no change of the
    job shows that deleting is enough, and it is said as work for a person.
    """
    finding = _judged(
        "REG-02",
        groups=_group(100, 50),
        receiver={"capacity": 151},
        register={"churn_share": 0.2, "growth_share": growth_share, "leavers_deleted": deleted},
    )

    assert finding.remedies[-1].does.startswith("A receiver that holds 200 records or more")
    assert [bool(remedy.changes) for remedy in finding.remedies[:-1]] == (
        [] if deleted else [growth_share is not None]
    )


def test_how_full_a_memory_is_from_the_first_day_is_said() -> None:
    """100 of 125 records."""
    assert (
        "80% full from the first day"
        in _judged("REG-02", groups=_group(100), receiver={"capacity": 125}).says
    )


def _visitors(presses: float, visits: dict[str, float], **more: Any) -> Finding:
    groups = _group(9, presses_per_day=presses, visits_per_day=visits)
    return _judged("REG-03", about="branch", groups=groups, premises=("home", "branch"), **more)


@pytest.mark.parametrize(("presses", "is_offered"), [(9.0, True), (11.0, False)])
def test_a_visit_each_day_is_offered_where_it_is_enough(presses: float, is_offered: bool) -> None:
    """Sixteen presses ahead are reached in 5 % of cases at a mean of 10.04: half of 20.07, the chi-squared
    value of 5 % at 32 degrees of freedom (table of the chi-squared distribution). 1.1 days of nine presses,
    0.9 of eleven.
    """
    finding = _visitors(presses, {"home": 0.5, "branch": 0.05})

    assert (
        "One of them there at least every 1 days" in [remedy.does for remedy in finding.remedies]
    ) is is_offered


def test_what_comes_together_between_two_visits_is_said() -> None:
    """On a tenth of the days: nine days between, of seven presses each, on average."""
    finding = _visitors(7.0, {"home": 0.9, "branch": 0.1})

    assert finding.remedies[-1].effect == "63 come together between two visits on average"
    assert "on 10% of their days" in finding.says


@pytest.mark.parametrize(
    ("visits", "says"),
    [({"home": 0.3, "branch": 0.1}, "25%"), ({"branch": 0.1}, "10%"), ({"home": 2.0, "branch": 0.5}, "20%")],
)
def test_the_share_of_days_is_that_of_the_visits(visits: dict[str, float], says: str) -> None:
    """Of all visits where all are given; else the rest of every day may be spent elsewhere."""
    assert f"on {says} of their days" in _visitors(7.0, visits).says


def test_more_visits_than_days_leave_no_rest() -> None:
    """One at home and a half at the branch each day, the yard is not given: a third of them."""
    groups = _group(9, presses_per_day=7.0, visits_per_day={"home": 1.0, "branch": 0.5})
    finding = _judged("REG-03", about="branch", groups=groups, premises=("home", "branch", "yard"))

    assert "on 33% of their days" in finding.says


@pytest.mark.parametrize(
    ("presses", "verdict"), [(1.0, Verdict.FAILS), (2.0, Verdict.THIN), (3.0, Verdict.THIN)]
)
def test_a_second_press_is_comfort_unless_the_first_is_promised(presses: float, verdict: Verdict) -> None:
    """A promise within two presses is kept by the second."""
    promised = ({"to": "some", "function": "f1", "from_": "here", "within_presses": presses},)

    assert _visitors(14.0, {"home": 0.3, "branch": 0.057}, promises=promised).verdict is verdict


def test_a_receiver_out_of_reach_of_the_other_presses_has_visits_of_its_own() -> None:
    """22 days a month at the shop, once a month the vault in its cellar: one day in 22; 22 days of 30 presses
    come together, those of the day itself too.
    """
    monthly = 12.0 / 365.25
    finding = _visitors(30.0, {"branch": 22 * monthly, "branch/R1": monthly, "home": 0.01})

    assert "at branch/R1 on 5% of their days and pressed 30 times" in finding.says
    assert "about 660 come together" in finding.says
    assert finding.verdict is Verdict.THIN


def _cellar(presses: float, visits: dict[str, float] | None = None) -> list[Finding]:
    """A shop whose door and cellar have a receiver each, worked by the same people."""
    case = a_case(
        GATE,
        premises=("shop",),
        groups=_group(9, buttons=2, presses_per_day=presses, visits_per_day=visits or {}),
        functions={"f1": {"output": "shop/R1/1"}, "f2": {"output": "shop/cellar/1"}},
    )
    shop = case.job.premises["shop"]
    shop = shop.model_copy(update={"receivers": {**shop.receivers, "cellar": shop.receivers["R1"]}})
    receivers = {"shop/cellar": case.equipment.receivers["shop/R1"], **case.equipment.receivers}
    return [
        finding
        for finding in register.judge(
            replace(
                case,
                job=case.job.model_copy(update={"premises": {"shop": shop}}),
                equipment=replace(case.equipment, receivers=receivers),
            )
        )
        if finding.code == "REG-03"
    ]


def test_who_presses_more_in_a_day_than_a_receiver_accepts_is_asked_where() -> None:
    """16 presses ahead are one quiet day's; seventeen are asked about, once, unless it is said."""
    (asked,) = _cellar(17.0)

    assert asked.verdict is Verdict.UNKNOWN
    assert "how often some press for each of R1 and cellar" in asked.asks[0].says
    assert not _cellar(16.0)
    assert [finding.about for finding in _cellar(17.0, {"shop/cellar": 0.1})] == ["some at shop/cellar"]


def test_a_counter_for_each_button_is_pressed_less() -> None:
    """Twelve presses a day on two buttons are six on each."""
    groups = _group(9, buttons=2, presses_per_day=12.0, visits_per_day={"home": 0.9, "branch": 0.1})
    finding = _judged(
        "REG-03", TWO, "branch", groups=groups, premises=("home", "branch"), fob={"counter": "one per button"}
    )

    assert "pressed 6 times on each other day" in finding.says


def test_deleting_a_lost_fob_takes_six_minutes_at_each_receiver() -> None:
    """Two receivers: 12 min, and the road between them; 20 min of it."""
    alone = _judged("REG-07", groups=_group(2), premises=("home", "branch"))

    assert "12 min of work" in alone.says


@pytest.mark.parametrize(("by", "minutes"), [("slot", 300.0)])
def test_writing_slots_down_takes_half_a_minute_a_fob(by: str, minutes: float) -> None:
    """600 fobs: 300 min, 5.0 h."""
    finding = _judged("REG-04", groups=_group(600), receiver={"deletes_by": by})

    assert finding.asks[0].minutes == pytest.approx(minutes)
    assert "600 fobs at 0.5 min are 5.0 h" in finding.because


def test_old_records_are_mended_by_learning_the_known_fobs_again() -> None:
    """14 of 614 records are nobody's: 600 fobs at half a minute are 5.0 h."""
    (finding,) = persons.unknown_records("house/R1", MemoryUse({"some": (600, 1)}, (), 14))

    assert finding.remedies[0].effect == "600 fobs, 5.0 h"


def test_buttons_and_fobs_are_counted_with_the_unknown_once() -> None:
    """10 fobs with 3 buttons, 5 with 2, and 4 records of nobody: 19 fobs, 44 buttons."""
    use = MemoryUse({"a": (10, 3), "b": (5, 2)}, (), 4)

    assert (use.fobs, use.buttons) == (19, 44)


@pytest.mark.parametrize(
    ("capacity", "says"),
    [(1090, "is full after 99.0 years"), (1200, "is not full in any time that can be planned")],
)
def test_a_memory_full_in_more_than_a_century_is_never_full(capacity: int, says: str) -> None:
    """100 holders of whom ten leave a year: 990 and 1 100 free records."""
    stay = {"churn_share": 0.1, "leavers_deleted": False}

    assert says in _judged("REG-02", groups=_group(100), receiver={"capacity": capacity}, register=stay).says


@pytest.mark.parametrize(("count", "lost"), [(300, 9.0), (100, 3.0), (134, 4.0)])
def test_three_in_a_hundred_fobs_are_lost_in_a_year(count: int, lost: float) -> None:
    """Where the job does not say; whole fobs. Common practice, no source."""
    (finding,) = spares.judge(a_case(GATE, groups=_group(count)))

    assert finding.limit == pytest.approx(lost)


def test_of_seven_open_deletions_five_are_told() -> None:
    """The commands list all; two of the seven were lost."""
    matters: Any = [
        SimpleNamespace(urgent=min(n // 2, 1), about=f"A{n}", says=f"A{n} is to be deleted.")
        for n in range(7)
    ]
    known = SimpleNamespace(known_at=(SimpleNamespace(receiver="larkfen/R1"),))
    register: Any = SimpleNamespace(fobs={f"A{n}": known for n in range(7)}, unread=0)

    finding = record._deletions(register, matters, "as of 2026-11-29")

    assert "A4 is to be deleted." in finding.because
    assert "A5" not in finding.because
    assert "2 lost fobs and 5 blocked or destroyed ones" in finding.says


@pytest.mark.parametrize(("capacity", "says"), [(121, "2.1 years"), (119, "693 days")])
def test_a_memory_that_is_full_within_two_years_is_told_in_days(capacity: int, says: str) -> None:
    """100 holders of whom a tenth leaves each year: 21 free records last 2.1 years, 19 last 1.9 years of
    365.25 days, 693 whole ones.
    """
    finding = _judged(
        "REG-02",
        groups=_group(100),
        receiver={"capacity": capacity},
        register={"churn_share": 0.1, "growth_share": 0.0, "leavers_deleted": False},
    )

    assert f"is full after {says}" in finding.says
