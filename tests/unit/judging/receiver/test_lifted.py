"""A door contact that comes back on the strike's core is read as open while the strike is on."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.receiver.lifted import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

HOLDS, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.UNKNOWN, Verdict.FAILS
CABLES: dict[str, dict[str, Any]] = {
    "four": {"area_mm2": 0.5, "resistance_ohm_per_km": 39.0, "cores": 4, "rated_a": 9.0}
}


def _found(amperes: float | None, low_v: float | None, sharer: str | None = "1") -> list[Finding]:
    run = {"part": "four", "length_m": 55.0, "label": "W5"}
    back = {"shares_return_with": sharer} if sharer else {}
    strike = {"device": "strike", "supply": "dc", "current_a": amperes}
    house = {
        "supplies": {"main": {"supply": "dc", "voltage_v": 13.6}},
        "devices": {"door": {**strike, "inputs": {"release": {"logic": "release"}}}},
        "receivers": {
            "R1": {
                "at": (0.0, 0.0),
                "input_low_v": low_v,
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
    return list(judge(wired_case(house, cables=CABLES)))


@pytest.mark.parametrize(
    ("amperes", "low_v", "verdict"),
    [
        (0.6, 0.8, FAILS),
        (0.6, 1.43, FAILS),
        (0.6, 3.0, HOLDS),
        (0.1, 0.8, HOLDS),
        (None, 0.8, UNKNOWN),
        (0.6, None, UNKNOWN),
    ],
)
def test_rcv_08_the_load_lifts_the_contact(
    amperes: float | None, low_v: float | None, verdict: Verdict
) -> None:
    """By hand: 55 m of 39 ohm/km are 2.145 ohm, 0.6 A leave 1.29 V; at 50 degC 11.8 % more, 1.44 V."""
    found = finding_of(_found(amperes, low_v), "RCV-08")

    assert found.verdict is verdict
    if amperes == 0.6:
        assert found.value == pytest.approx(0.6 * 2.145 * 1.118, rel=0.01)


def test_a_contact_with_a_core_of_its_own_is_not_asked() -> None:
    """Only where the job says whose core it is."""
    assert _found(0.6, 0.8, None) == []
