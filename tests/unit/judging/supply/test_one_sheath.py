"""A larger cable for several runs in one sheath: all of them change, and it must have cores enough.

Three path lamps of a park, 90 m away, on one cable with a common way back.
"""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.supply.volts import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

CABLES: dict[str, dict[str, Any]] = {
    "thin-4": {"area_mm2": 0.5, "resistance_ohm_per_km": 39.0, "cores": 4, "rated_a": 9.0},
    "thick-2": {"area_mm2": 2.5, "resistance_ohm_per_km": 7.98, "cores": 2, "rated_a": 20.0},
}
LAMP: dict[str, Any] = {
    "device": "lamp",
    "supply": "dc",
    "voltage_v": 12.0,
    "voltage_min_v": 11.0,
    "current_a": 0.3,
}


def judged(cables: dict[str, dict[str, Any]], label: str | None = "W5") -> Finding:
    """SUP-01 of the second lamp."""
    run = {"part": "thin-4", "length_m": 90.0, "label": label}
    names = ("gate", "bridge", "pond")
    house = {
        "supplies": {"main": {"supply": "dc", "voltage_v": 12.0, "voltage_min_v": 12.0, "source_ohm": 0.01}},
        "devices": {
            name: {
                **LAMP,
                "fed": {
                    "from": "main",
                    "cable": {**run, **({} if name == "gate" else {"shares_return_with": "gate"})},
                },
            }
            for name in names
        },
    }
    return finding_of(judge(wired_case(house, cables=cables)), "SUP-01", about="bridge")


def test_a_cable_with_too_few_cores_is_asked_for_by_cores_and_area() -> None:
    """Three ways out and one back are four conductors: nothing is written into the job."""
    found = judged(CABLES)

    assert found.verdict is Verdict.FAILS
    assert found.remedies[0].does == "Use a cable with 4 cores of 2.5 mm2 instead of thin-4."
    assert not found.remedies[0].changes


def test_one_with_cores_enough_is_written_at_every_run_of_the_sheath() -> None:
    """0.3 A out and 0.9 A back over 90 m of 7.98 ohm/km at 50 °C are 0.96 V: 11.04 V with 12."""
    found = judged(CABLES | {"thick-4": CABLES["thick-2"] | {"cores": 4}})
    remedy = found.remedies[0]

    assert remedy.does == "Use thick-4 (2.5 mm2) instead of thin-4."
    assert len(remedy.changes) == 3
    assert float(remedy.effect.split()[0]) == pytest.approx(12 - 1.2 * 0.09 * 7.98 * 1.1179, abs=0.02)
