"""Shutters that all hold down within the same minutes."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.air import peak
from helpers.findings import finding_of
from helpers.logic_case import a_case

SHOPS: tuple[dict[str, Any], ...] = ({"place": "here", "function": "f1", "arrivals": {"18:00-18:05": 6}},)


@pytest.mark.parametrize(("travel", "alone"), [(25.0, 0.37), (1.0, 0.96)])
def test_air_05_presses_held_for_a_travel_meet_each_other(travel: float, alone: float) -> None:
    """exp(-2 x 6/300 x 25) is 0.37, by hand."""
    sheet: dict[str, Any] = {
        "device": "shutter",
        "travel_s": travel,
        "inputs": {"down": {"logic": "down", "wants": "maintained"}},
    }
    case = a_case(
        {"1": {"kind": "follow", "works": "curtain.down"}},
        devices={"curtain": sheet},
        traffic=SHOPS,
        receiver={"telegrams_needed": 1},
    )
    finding = finding_of(peak.judge(case), "AIR-05")
    assert finding.value == pytest.approx(100 * alone, abs=0.6)
    assert (finding.verdict is Verdict.FAILS) is (alone < 0.9)


def test_air_05_a_short_press_is_played_as_before() -> None:
    """A pulse needs one telegram out of many."""
    case = a_case(
        {"1": {"kind": "pulse", "for_s": 1.0, "works": "gate.open"}},
        traffic=SHOPS,
        receiver={"telegrams_needed": 1},
    )
    assert "held" not in finding_of(peak.judge(case), "AIR-05").says
