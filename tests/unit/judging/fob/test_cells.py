"""Years of fob cells for groups of holders."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.fob import cells
from helpers.findings import finding_of
from helpers.logic_case import SHUTTER, a_case

GATE = {"1": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"}}
HELD = {"1": {"kind": "follow", "works": "shutter.up"}}


def _cell(outputs: dict[str, dict[str, Any]], group: dict[str, Any], **more: Any) -> Finding:
    return finding_of(
        list(
            cells.judge(
                a_case(
                    outputs, groups={"some": {"people": ("Ana",), "buttons": {"1": "f1"}, **group}}, **more
                )
            )
        ),
        "FOB-04",
    )


@pytest.mark.parametrize(
    ("outputs", "group", "verdict", "years"),
    [
        (GATE, {"presses_per_day": 10.0}, Verdict.HOLDS, 7.9),
        (HELD, {"presses_per_day": 8.0}, Verdict.FAILS, 0.5),
        (HELD, {"presses_per_day": 4.0}, Verdict.THIN, 1.1),
        (GATE, {}, Verdict.HOLDS, 4.6),
        (HELD, {}, Verdict.UNKNOWN, 0.2),
    ],
)
def test_held_presses_empty_a_cell(
    outputs: dict[str, Any], group: dict[str, Any], verdict: Verdict, years: float
) -> None:
    """Ten short presses a day last 7.9 years, eight of 25 s half a year; unknown presses matter only where
    many would.
    """
    finding = _cell(
        outputs, group, devices={"shutter": {**SHUTTER, "travel_s": 24.0, "travel_worst_s": None}}
    )

    assert finding.verdict is verdict
    assert finding.value == pytest.approx(years, abs=0.06)


def test_cold_and_pocket_are_counted() -> None:
    """60 % of the charge at -20 degC; one accidental press a week is told beside the planned life."""
    warm, cold = (_cell(GATE, {"presses_per_day": 10.0, **more}) for more in ({}, {"coldest_degc": -20.0}))
    pocket = _cell(GATE, {"presses_per_day": 10.0, "kept": "in pocket"})

    assert warm.value is not None
    assert cold.value == pytest.approx(0.6 * warm.value)
    assert "in the pocket" in pocket.because


def test_a_sheet_that_says_too_little_is_asked() -> None:
    """Not guessed."""
    finding = _cell(GATE, {"presses_per_day": 10.0}, fob={"current_send_a": None})

    assert finding.verdict is Verdict.UNKNOWN
    assert "current while sending" in finding.says


def test_a_fob_without_buttons_is_not_judged() -> None:
    """Nothing to press."""
    assert list(cells.judge(a_case(GATE, groups={"none": {"people": ("Ana",)}}))) == []


@pytest.mark.parametrize(
    ("degrees", "inner", "verdict"),
    [
        (-8.0, 15.0, Verdict.THIN),
        (-8.0, 5.0, Verdict.HOLDS),
        (-20.0, 25.0, Verdict.FAILS),
        (-8.0, None, Verdict.UNKNOWN),
    ],
)
def test_a_cold_cell_sags_while_the_fob_sends(degrees: float, inner: float | None, verdict: Verdict) -> None:
    """15 ohm become 36 to 57 ohm at -8 degC: 2.57 to 2.32 V of 3.0 V at 12 mA, against 2.5 V."""
    case = a_case(
        GATE,
        groups={
            "some": {
                "people": ("Ana",),
                "buttons": {"1": "f1"},
                "presses_per_day": 4.0,
                "coldest_degc": degrees,
            }
        },
        fob={"low_cell_v": 2.5},
    )
    sheet = case.equipment.cells["some"].sheet.model_copy(update={"voltage_v": 3.0, "inner_ohm": inner})
    warm = replace(
        case,
        equipment=replace(case.equipment, cells={"some": replace(case.equipment.cells["some"], sheet=sheet)}),
    )
    finding = finding_of(list(cells.judge(warm)), "FOB-06")

    assert finding.verdict is verdict
    assert verdict is not Verdict.THIN or "2.32 to 2.57 V" in finding.says


@pytest.mark.parametrize("left_out", ["travel_s", "device"])
def test_a_held_travel_that_nobody_timed_does_not_spare_the_cell(left_out: str) -> None:
    """With 24 s the cell is short of a year; left out, it is asked for and not taken for a short press."""
    sheet = {**SHUTTER, "travel_s": 24.0, "travel_worst_s": None, left_out: None}
    finding = _cell(HELD, {"presses_per_day": 8.0}, devices={"shutter": sheet})

    assert finding.verdict in (Verdict.UNKNOWN, Verdict.FAILS)
    assert (finding.verdict is Verdict.UNKNOWN) == bool(finding.asks)
