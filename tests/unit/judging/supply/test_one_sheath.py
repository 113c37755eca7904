"""A larger cable for several runs in one sheath: all of them change, and it must have cores enough.

Three path lamps of a park, 90 m away, on one cable with a common way back.
"""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.supply.cable_stock import judge as stock
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


@pytest.mark.parametrize(
    ("sharer", "verdict"), [("1", Verdict.HOLDS), ("R1/1", Verdict.HOLDS), (None, Verdict.FAILS)]
)
def test_sup_21_an_input_that_shares_the_return_of_an_output_on_purpose_is_no_clash(
    sharer: str | None, verdict: Verdict
) -> None:
    """A door contact beside its strike in one cable; by the number alone an output of the same receiver."""
    run = {"part": "thin-4", "length_m": 55.0, "label": "W5"}
    strike = {"device": "strike", "supply": "dc", "inputs": {"release": {"logic": "release"}}}
    back = {"shares_return_with": sharer} if sharer else {}
    house = {
        "supplies": {"main": {"supply": "dc", "voltage_v": 12.0}},
        "devices": {"door": {**strike, "at": (1.0, 1.0)}},
        "receivers": {
            "R1": {
                "at": (0.0, 0.0),
                "fed": {"from": "main"},
                "outputs": {
                    "1": {
                        "kind": "pulse",
                        "for_s": 6.0,
                        "works": "door.release",
                        "load_from": "main",
                        "cable": {**run, "cores": "1 and 2"},
                    }
                },
                "inputs": {"2": {"reads": "door.contact", "cable": {**run, **back, "cores": "3 and 2"}}},
            }
        },
    }

    assert finding_of(stock(wired_case(house, cables=CABLES)), "SUP-21").verdict is verdict
