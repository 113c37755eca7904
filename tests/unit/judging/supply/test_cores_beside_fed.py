"""A thing that is said to be fed, and whose cores are drawn as a cable of its own."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.supply import volts
from helpers.findings import finding_of
from helpers.wired_case import wired_case

SUPPLY: dict[str, Any] = {
    "supply": "dc",
    "voltage_v": 24.0,
    "voltage_min_v": 24.0,
    "voltage_max_v": 24.0,
    "rated_a": 5.0,
    "source_ohm": 0.0,
    "fuse_a": 3.15,
}
BELL: dict[str, Any] = {"device": "sounder", "supply": "dc", "voltage_v": 24.0, "current_a": 0.12}


def _house(*, fed: bool, cores: bool) -> dict[str, Any]:
    """A bell after 120 m of 0.5 mm2, by its 'fed', by its cores, by both or by none."""
    drawn = {
        "part": "twin-0.5",
        "length": 120.0,
        "cores": {"1": ["main.+", "bell.+"], "2": ["main.0", "bell.0"]},
    }
    return {
        "supplies": {"main": SUPPLY},
        "devices": {"bell": BELL | ({"fed": {"from": "main"}} if fed else {})},
        "cables": {"C1": drawn} if cores else {},
    }


@pytest.mark.parametrize("fed", [True, False])
def test_sup_05_a_short_is_seen_over_drawn_cores(fed: bool) -> None:
    """24 V over 120 m there and back at 39 ohm/km and at its warmest: at most 24 / 9.36 = 2.56 A, by hand."""
    finding = finding_of(volts.judge(wired_case(_house(fed=fed, cores=True))), "SUP-05")

    assert finding.verdict is Verdict.FAILS
    assert finding.value is not None
    assert 0.75 * 24.0 / 9.36 < finding.value <= 24.0 / 9.36


def test_sup_05_without_a_cable_it_is_asked() -> None:
    """Neither named nor drawn."""
    finding = finding_of(volts.judge(wired_case(_house(fed=True, cores=False))), "SUP-05")

    assert finding.verdict is Verdict.UNKNOWN


def test_sup_05_a_load_behind_a_contact_without_a_cable_is_asked() -> None:
    """No wire that anybody named comes there, and the other side of its contact feeds a light elsewhere."""
    output = {"kind": "toggle", "works": "bell.on", "load_from": "main"}
    house = {
        "supplies": {"main": SUPPLY, "other": SUPPLY},
        "devices": {"bell": BELL, "light": BELL},
        "receivers": {"R1": {"at": [0, 0, 2], "fed": {"from": "main"}, "outputs": {"1": output}}},
        "cables": {
            "C1": {
                "part": "twin-0.5",
                "length": 86.0,
                "cores": {"1": ["R1.1.break", "light.+"], "2": ["other.0", "light.0"]},
            }
        },
    }
    found = {
        finding.about: finding.verdict
        for finding in volts.judge(wired_case(house))
        if finding.code == "SUP-05"
    }

    assert Verdict.UNKNOWN in {verdict for about, verdict in found.items() if "bell" in about}
