"""A safeguard that was read and does not work counts for nothing; mains that leaks to earth is barred."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.device.safeguards import judge_safeguards
from farpress.judging.safety import read
from helpers.findings import finding_of
from helpers.logic_case import GATE, a_case

HOLDS, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.UNKNOWN, Verdict.FAILS
OPEN: dict[str, Any] = {"1": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"}}
EDGE: dict[str, Any] = {"of": "edge", "at_rest_ohm": 8200.0, "sound_to_ohm": 20_000.0}


def _found(**sheet: Any) -> list[Finding]:
    case = a_case(OPEN, devices={"gate": {**GATE, **sheet}})
    return [*read.judge(case), *judge_safeguards(case)]


@pytest.mark.parametrize(
    ("values", "verdict"),
    [
        ({"pressed_ohm": 1000.0, "pressed_to_ohm": 1000.0}, HOLDS),
        ({"pressed_ohm": 1001.0, "pressed_to_ohm": 1000.0}, FAILS),
        ({"pressed_ohm": 8200.0}, FAILS),
        ({"pressed_ohm": 7800.0}, FAILS),
        ({"pressed_ohm": 7700.0}, HOLDS),
        ({}, UNKNOWN),
        ({"pressed_ohm": 500.0, "at_rest_ohm": 20_001.0}, FAILS),
        ({"pressed_ohm": 500.0, "at_rest_ohm": 20_000.0}, HOLDS),
        ({"pressed_ohm": 500.0, "sound_from_ohm": 8201.0}, FAILS),
        ({"pressed_ohm": 500.0, "sound_from_ohm": 8200.0}, HOLDS),
    ],
)
def test_safe_22_an_edge_must_be_seen_when_it_is_pressed(values: dict[str, Any], verdict: Verdict) -> None:
    """8.2 kohm at rest look healthy; 8.2 pressed are a resistor across the terminals."""
    found = finding_of(_found(safeguard_readings=({**EDGE, **values},)), "SAFE-22")

    assert found.verdict is verdict
    assert bool(found.asks) is (verdict is UNKNOWN)


@pytest.mark.parametrize(("ohm", "verdict"), [(4.9, HOLDS), (5.0, HOLDS), (5.1, FAILS), (None, UNKNOWN)])
def test_safe_22_a_loop_in_the_ground_is_read_at_rest(ohm: float | None, verdict: Verdict) -> None:
    """A broken wire in the ground reads open."""
    reading = {"of": "loop", "at_rest_ohm": ohm, "sound_to_ohm": 5.0}
    assert finding_of(_found(safeguard_readings=(reading,)), "SAFE-22").verdict is verdict


def test_dev_03_a_safeguard_that_was_read_and_does_not_work_counts_for_nothing() -> None:
    """Beams and an edge are enough; with the edge bridged, whatever was written of a test, they are not."""
    sound = {**EDGE, "pressed_ohm": 500.0}
    assert finding_of(_found(safeguard_readings=(sound,)), "DEV-03").verdict is HOLDS
    broken = finding_of(_found(safeguard_readings=({**EDGE, "pressed_ohm": 8200.0},)), "DEV-03")
    assert broken.verdict is FAILS
    assert "edge read and found not to work" in broken.says


@pytest.mark.parametrize(("ohm", "verdict"), [(2e5, FAILS), (9.99e5, FAILS), (1e6, HOLDS), (1e8, HOLDS)])
def test_safe_23_insulation_to_earth_is_at_least_a_megohm(ohm: float, verdict: Verdict) -> None:
    """IEC 60364-6, Table 6A, from memory: 1.0 Mohm up to 500 V."""
    found = finding_of(_found(insulation_ohm=ohm), "SAFE-23")

    assert found.verdict is verdict
    assert found.bars is (verdict is FAILS)


def test_what_nobody_measured_is_not_judged() -> None:
    """A reading is an observation, like a defect: its absence says nothing of the thing."""
    assert {one.code for one in _found()} == {"DEV-03"}
