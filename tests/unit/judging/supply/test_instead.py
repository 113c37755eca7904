"""A supply that somebody would use in place of another: kind of current and volts of what hangs there.

A glasshouse: vent motors and mist valves on 24 V alternating, "else take the tractor's battery".
"""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.supply.volts import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

HOLDS, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.UNKNOWN, Verdict.FAILS
RUN: dict[str, Any] = {"part": "twin-1.5", "length_m": 5.0}
MIST: dict[str, Any] = {
    "device": "valve",
    "supply": "ac",
    "voltage_v": 24.0,
    "current_a": 0.3,
    "coil_ohm": 20.0,
    "load": "coil ac",
}


def judged(other: dict[str, Any], **mist: Any) -> Finding:
    """SUP-31 of the transformer of the mist valve, beside which another supply is named."""
    house = {
        "supplies": {
            "winding": {"supply": "ac", "voltage_v": 24.0, "rated_va": 40.0, "instead": "battery"},
            "battery": other,
        },
        "devices": {"mist": {**MIST, **mist, "fed": {"from": "winding", "cable": RUN}}},
    }
    return finding_of(judge(wired_case(house)), "SUP-31")


@pytest.mark.parametrize(
    ("other", "mist", "verdict"),
    [
        ({"supply": "dc", "voltage_v": 12.0}, {}, FAILS),
        ({"supply": "ac", "voltage_v": 24.0}, {}, HOLDS),
        ({"supply": "ac", "voltage_v": 24.0}, {"voltage_min_v": 24.0}, HOLDS),
        ({"supply": "ac", "voltage_v": 23.9}, {"voltage_min_v": 24.0}, FAILS),
        ({"supply": "ac", "voltage_v": 33.6}, {}, HOLDS),
        ({"supply": "ac", "voltage_v": 33.7}, {}, FAILS),
        ({"voltage_v": 24.0}, {}, UNKNOWN),
        ({"supply": "ac"}, {}, UNKNOWN),
        ({"supply": "dc", "voltage_v": 24.0}, {"supply": None}, UNKNOWN),
        ({"supply": "dc", "voltage_v": 24.0}, {"supply": "dc or ac"}, HOLDS),
    ],
)
def test_sup_31_kind_and_volts(other: dict[str, Any], mist: dict[str, Any], verdict: Verdict) -> None:
    """A 24 V load on a winding stands 1.4 times that, 33.6 V."""
    found = judged(other, **mist)

    assert (found.verdict, found.stake) == (verdict, Stake.HARM)


def test_sup_31_says_what_the_coil_takes_on_direct_current_and_nobody_may_accept_it() -> None:
    """12 V over 20 ohm are 0.6 A and 7.2 W; as it is meant 0.3 A in 20 ohm are 1.8 W."""
    found = judged({"supply": "dc", "voltage_v": 12.0})

    assert found.bars
    assert "600 mA and 7.2 W" in found.because
    assert "1.8 W" in found.because


def test_without_another_supply_nothing_is_said() -> None:
    """Only what somebody wants to do is judged."""
    house = {"supplies": {"winding": {"supply": "ac", "voltage_v": 24.0}}, "devices": {"mist": MIST}}

    assert "SUP-31" not in {one.code for one in judge(wired_case(house))}
