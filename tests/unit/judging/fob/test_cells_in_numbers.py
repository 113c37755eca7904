"""Years, doubts, volts and months of fob cells worked out by hand: arithmetic and Ohm's law.

The fob takes 12 mA while it sends and 0.3 uA at rest, the cell has 225 mAh of which 60 % can be used and
loses 1 % a year. A year of 365 days takes 8 760 h x 0.3 uA = 2.628 mAh at rest and 2.25 mAh by itself, and
each second of sending 12 mA / 3 600 = 3.333 uAh.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.domain.job import Group
from farpress.judging.fob import cells
from farpress.judging.fob.cell_plan import CellPlan, cell_plan
from helpers.findings import finding_of
from helpers.logic_case import GATE as GATE_SHEET
from helpers.logic_case import SHUTTER, a_case

GATE: dict[str, Any] = {"1": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"}}
HELD: dict[str, Any] = {"1": {"kind": "follow", "works": "shutter.up"}}
REST_AH = 8760.0 * 0.3e-6 + 0.01 * 0.225
PER_S_AH = 0.012 / 3600.0


def _case(
    outputs: dict[str, dict[str, Any]],
    group: dict[str, Any],
    *,
    cell: dict[str, Any] | None = None,
    travel_s: float | None = 24.0,
    fob: dict[str, Any] | None = None,
) -> Case:
    buttons = {number: f"f{number}" for number in outputs}
    case = a_case(
        outputs,
        groups={"some": {"people": ("Ana",), "buttons": buttons, **group}},
        devices={"shutter": {**SHUTTER, "travel_s": travel_s, "travel_worst_s": None}, "gate": GATE_SHEET},
        fob=fob,
    )
    part = case.equipment.cells["some"]
    changed = replace(part, sheet=part.sheet.model_copy(update=cell or {}))
    return replace(case, equipment=replace(case.equipment, cells={"some": changed}))


def _lasts(*words: Any, **more: Any) -> Finding:
    return finding_of(list(cells.judge(_case(*words, **more))), "FOB-04")


def _plan(group: dict[str, Any], **more: Any) -> CellPlan:
    plan = cell_plan(_case(GATE, group, **more), "some")
    assert plan is not None
    return plan


@pytest.mark.parametrize(
    ("degrees", "share"),
    [(None, 1.0), (-30.0, 0.6), (-20.0, 0.6), (-10.0, 0.735), (0.0, 0.87), (10.0, 0.935), (25.0, 1.0)],
)
def test_charge_in_the_cold_lies_on_straight_lines(degrees: float | None, share: float) -> None:
    """60 % at -20 degC, 87 % at 0 degC, all at 20 degC; halfway between them the mean of the two."""
    assert cells.cold_share(Group(fob="F4", coldest_degc=degrees)) == pytest.approx(share)


@pytest.mark.parametrize(
    ("degrees", "times", "is_times"),
    [(20.0, 5.0, 1.0), (0.0, 5.0, 3.0), (-10.0, 3.0, 2.5), (-40.0, 5.0, 5.0)],
)
def test_inner_resistance_grows_in_proportion_down_to_minus_20(
    degrees: float, times: float, is_times: float
) -> None:
    """Half of what -20 degC adds at 0 degC, three quarters at -10 degC; no more below -20 degC."""
    assert cells.inner_in_cold(degrees, times) == pytest.approx(is_times)


def test_a_press_that_is_held_takes_travel_and_a_second_at_most_to_the_cut_off() -> None:
    """Held for 24 s of travel and 1 s more, a second for the other button: 13 s on average; 30 s at most."""
    both = {**HELD, "2": GATE["1"]}
    case, slow = _case(both, {}), _case(both, {}, travel_s=60.0)

    for asked, mean_s in ((case, 13.0), (slow, 15.5)):
        length_s, held = cells.press_of(asked, asked.job.groups["some"], asked.equipment.fobs["some"].sheet)
        assert length_s == pytest.approx(mean_s)
        assert held == ["f1"]


@pytest.mark.parametrize(("travel_s", "length_s"), [(None, 30.0), (8.0, 9.0)])
def test_a_fob_that_never_stops_by_itself_is_held_to_the_end_of_a_travel(
    travel_s: float | None, length_s: float
) -> None:
    """8 s and 1 s more; 30 s where nobody has timed the travel: common practice, no source."""
    case = _case(HELD, {}, travel_s=travel_s, fob={"cut_off_s": None})
    length, held = cells.press_of(case, case.job.groups["some"], case.equipment.fobs["some"].sheet)

    assert length == pytest.approx(length_s)
    assert held == ["f1"]


def test_presses_decide_a_life_with_half_of_it_as_doubt_and_rest_with_a_tenth() -> None:
    """Ten presses of a second a day take 12.2 mAh a year, more than rest: half the life is doubt. One a day
    takes 1.2 mAh: a tenth of 22.2 years, where the cell keeps so long.
    """
    often = _lasts(GATE, {"presses_per_day": 10.0})
    seldom = _lasts(GATE, {"presses_per_day": 1.0}, cell={"shelf_s": 40.0 * 31_557_600.0})

    often_years = 0.135 / (3650.0 * PER_S_AH + REST_AH)
    seldom_years = 0.135 / (365.0 * PER_S_AH + REST_AH)
    assert often.value == pytest.approx(often_years)
    assert often.doubt == pytest.approx(often_years / 2.0)
    assert seldom.value == pytest.approx(seldom_years)
    assert seldom.doubt == pytest.approx(seldom_years / 10.0)


@pytest.mark.parametrize(("shelf_s", "years"), [(None, 10.0), (5.0 * 31_557_600.0, 5.0)])
def test_a_cell_ends_with_its_shelf_life(shelf_s: float | None, years: float) -> None:
    """22 years of charge: ten years where the sheet says nothing, five years of 365.25 days where it does."""
    finding = _lasts(GATE, {"presses_per_day": 1.0}, cell={"shelf_s": shelf_s})
    plan = _plan({"presses_per_day": 1.0}, cell={"shelf_s": shelf_s})

    assert finding.value == pytest.approx(years)
    assert "the end of its shelf life" in finding.says
    assert plan.shelf_years == pytest.approx(years)
    assert plan.limited_by == "shelf life"


@pytest.mark.parametrize(
    ("presses", "shelf_years", "doubt"),
    [
        (1.0, 10.0, 1.0),  # 22.2 years of charge, taken by rest: a tenth of the shelf life
        (1.0, 1.05, 0.105),
        (
            10.0,
            7.0,
            7.0 - 0.135 / (3650.0 * PER_S_AH + REST_AH) / 2.0,
        ),  # half of 7.9 years for who presses most
        (3.0, 5.0, 0.5),  # half of 15.8 years is later than the shelf
    ],
)
def test_a_life_that_the_shelf_ends_is_short_by_age_or_by_presses(
    presses: float, shelf_years: float, doubt: float
) -> None:
    """Who presses more often is not served longer by a cell that is old; nor less, if charge is left."""
    finding = _lasts(GATE, {"presses_per_day": presses}, cell={"shelf_s": shelf_years * 31_557_600.0})

    assert finding.value == pytest.approx(shelf_years)
    assert finding.doubt == pytest.approx(doubt)


def test_presses_that_nobody_gives_are_the_same_in_judgement_and_plan() -> None:
    """20 a day of a second: 24.3 mAh a year and 4.9 for rest, 4.6 years of 135 mAh."""
    years = 0.135 / (7300.0 * PER_S_AH + REST_AH)
    plan = _plan({})

    assert _lasts(GATE, {}).value == pytest.approx(years)
    assert plan.years == pytest.approx(years)
    assert plan.assumed == "20 presses a day taken, none are given"


def test_presses_that_nobody_gives_are_asked_for_where_the_doubt_reaches_a_year() -> None:
    """20 presses a day held 3.4 s and 1 s: 107 mAh a year and 4.9 for rest, 1.2 years; less its half, 0.6."""
    finding = _lasts(HELD, {}, travel_s=3.4)

    assert finding.verdict is Verdict.UNKNOWN
    assert finding.value == pytest.approx(0.135 / (365.0 * 20.0 * 4.4 * PER_S_AH + REST_AH))
    assert "1.2 years" in finding.says
    assert "20 presses a day" in finding.says


def test_a_press_a_week_in_the_pocket_costs_two_years() -> None:
    """Ten of a second a day and a seventh of 30 s: 14.29 s a day instead of 10; 6.1 years instead of 7.9."""
    finding = _lasts(GATE, {"presses_per_day": 10.0, "kept": "in pocket"})
    plan = _plan({"presses_per_day": 10.0, "kept": "in pocket"})

    yearly_ah = 365.0 * (10.0 + 30.0 / 7.0) * PER_S_AH
    assert "leaves 6.1 years" in finding.because
    assert plan.years == pytest.approx(0.135 / (yearly_ah + REST_AH))
    assert plan.by_charge_years == pytest.approx(plan.years)
    assert plan.presses_per_day == pytest.approx(10.0 + 1.0 / 7.0)
    assert plan.press_s == pytest.approx((10.0 + 30.0 / 7.0) / (10.0 + 1.0 / 7.0))
    assert plan.presses_share == pytest.approx(yearly_ah / (yearly_ah + REST_AH))
    assert plan.sleep_share == pytest.approx(0.002628 / (yearly_ah + REST_AH))
    assert plan.self_discharge_share == pytest.approx(0.00225 / (yearly_ah + REST_AH))
    assert plan.limited_by == "charge"


def test_a_pocket_costs_little_beside_held_presses() -> None:
    """Four of 25 s a day and a seventh of 30 s: 104.3 s a day, 126.9 mAh a year, 1.02 years."""
    finding = _lasts(HELD, {"presses_per_day": 4.0, "kept": "in pocket"})

    assert "leaves 1.0 years" in finding.because


@pytest.mark.parametrize(("degrees", "is_told"), [(9.0, True), (12.0, False)])
def test_cold_is_told_below_ten_degrees(degrees: float, is_told: bool) -> None:
    """Ninety per cent of the charge at 9 degC are worth a sentence, those at 12 degC are not."""
    finding = _lasts(GATE, {"presses_per_day": 10.0, "coldest_degc": degrees})

    assert ("degC" in finding.because) is is_told


def test_a_warm_cell_cites_no_cold() -> None:
    """Its source stands only where cold takes something away."""
    warm, cool = (_lasts(GATE, {"presses_per_day": 10.0, "coldest_degc": degc}) for degc in (20.0, 0.0))

    assert not any("cold" in str(source) for source in warm.sources)
    assert any("cold" in str(source) for source in cool.sources)


def test_held_presses_are_changed_early_or_replaced_by_short_ones() -> None:
    """Eight of 25 s a day: 243 mAh a year, half a year of life, three fifths of it are 4 months. Eight of a
    second: 9.7 mAh a year, 9.2 years.
    """
    short, swap = _lasts(HELD, {"presses_per_day": 8.0}).remedies

    assert short.effect == "9.2 years"
    assert swap.does == "Change cells every 4 months, on a fixed day"
    assert "after 0.5 years" in swap.effect


@pytest.mark.parametrize(("travel_s", "presses", "number"), [(0.3, 85.0, 1), (0.7, 65.0, 2)])
def test_shorter_presses_are_offered_from_one_and_a_half_seconds(
    travel_s: float, presses: float, number: int
) -> None:
    """Presses of 1.3 s are short already, those of 1.7 s are not; both empty the cell within a year."""
    finding = _lasts(HELD, {"presses_per_day": presses}, travel_s=travel_s)

    assert finding.verdict is Verdict.FAILS
    assert len(finding.remedies) == number


def _sags(signal: float | None, end: float | None) -> Finding:
    case = _case(
        GATE,
        {"presses_per_day": 4.0, "coldest_degc": -8.0},
        cell={"voltage_v": 3.0, "inner_ohm": 15.0, "end_v": end},
        fob={"low_cell_v": signal},
    )
    return finding_of(list(cells.judge(case)), "FOB-06")


@pytest.mark.parametrize(
    ("signal", "end", "limit", "verdict"),
    [
        (2.6, 2.0, 2.6, Verdict.THIN),
        (2.3, 2.0, 2.3, Verdict.HOLDS),
        (2.6, 2.45, 2.45, Verdict.FAILS),
        (2.4, 2.5, 2.4, Verdict.THIN),
        (None, 2.45, 2.45, Verdict.FAILS),
        (None, 2.3, 2.3, Verdict.HOLDS),
        (2.6, None, 2.6, Verdict.FAILS),
        (2.5, None, 2.5, Verdict.THIN),
    ],
)
def test_a_cell_in_the_cold_is_held_against_its_end_or_the_fob_s_signal(
    signal: float | None, end: float | None, limit: float, verdict: Verdict
) -> None:
    """15 ohm are 36 to 57 ohm at -8 degC: 2.568 to 2.316 V of 3 V at 12 mA, 2.442 V with 0.126 V of doubt.
    Below its end it carries no press, which fails; above it a low-cell signal is advice. Without an end below
    the signal, a cell surely below the signal counts as spent.
    """
    finding = _sags(signal, end)

    assert finding.value == pytest.approx(2.442)
    assert finding.doubt == pytest.approx(0.126)
    assert finding.limit == pytest.approx(limit)
    assert finding.verdict is verdict


COIN = {"voltage_v": 3.0, "end_v": 2.0}


@pytest.mark.parametrize(
    ("ohm", "degrees", "usable", "limited"),
    [
        (20.0, 20.0, 0.6, "charge"),
        (20.0, None, 0.6, "charge"),
        (100.0, None, 0.0, "voltage under load"),
        (100.0, 12.0, 0.0, "voltage under load"),
        (100.0, 9.0, 0.0, "voltage in the cold"),
        (20.0, -45.0, 0.0, "voltage in the cold"),
    ],
)
def test_a_plan_says_what_ends_a_cell(ohm: float, degrees: float | None, usable: float, limited: str) -> None:
    """3 V less 12 mA x 100 ohm are 1.8 V, below 2 V from the first press; 20 ohm are 8 times as much at -40
    degC and are not counted further: 3 V less 1.9 V.
    """
    plan = _plan({"presses_per_day": 10.0, "coldest_degc": degrees}, cell={**COIN, "inner_ohm": ohm})

    assert plan.usable_share == pytest.approx(usable)
    assert plan.limited_by == limited
    assert plan.by_charge_years == pytest.approx(
        max(usable / 0.6 * 0.135 / (3650.0 * PER_S_AH + REST_AH), 0.001)
    )


def test_a_plan_takes_the_cold_off_the_charge() -> None:
    """At -10 degC 73.5 % of the 60 %."""
    plan = _plan({"presses_per_day": 10.0, "coldest_degc": -10.0})

    assert plan.usable_share == pytest.approx(0.6 * 0.735)
    assert plan.years == pytest.approx(0.735 * 0.135 / (3650.0 * PER_S_AH + REST_AH))
