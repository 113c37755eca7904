"""Leave a fact out of a small job: no word about its supplies gets better, as some once did."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.supply.volts import judge
from helpers.circuit_jobs import JOBS, RECEIVER, run
from helpers.wired_case import wired_case

RELAYS = {"small relay": {"coil_v": 12.0, "coil_min_v": 9.6, "coil_a": 0.04, "coil_supply": "dc"}}
MOTOR: dict[str, Any] = {
    "supplies": {
        "main": {
            "supply": "dc",
            "voltage_v": 12.0,
            "voltage_min_v": 11.0,
            "battery": {
                "capacity_ah": 7.0,
                "voltage_v": 12.0,
                "end_v": 10.8,
                "inner_ohm": 0.05,
                "chemistry": "lead",
            },
        }
    },
    "receivers": {"R1": RECEIVER | {"fed": {"from": "main", "cable": run(4.0)}}},
    "devices": {
        "winch": {
            "device": "motor",
            "supply": "dc",
            "voltage_v": 12.0,
            "voltage_min_v": 9.0,
            "current_a": 3.0,
            "load": "motor",
            "peak_a": 20.0,
            "fed": {"from": "main", "cable": run(10.0, part="twin-1.5")},
        }
    },
}


def words(house: dict[str, Any]) -> dict[tuple[str, str], Verdict]:
    """The word of every finding about supplies."""
    return {(found.code, found.about): found.verdict for found in judge(wired_case(house, relays=RELAYS))}


def without(house: dict[str, Any], *path: str) -> dict[str, Any]:
    """The same with one fact left out."""
    left = copy.deepcopy(house)
    room = left
    for key in path[:-1]:
        room = room[key]
    del room[path[-1]]
    return left


@pytest.mark.parametrize(
    ("house", "path", "told"),
    [
        (JOBS["end of line"], "supplies main rated_a", ("SUP-05", "cable to R1 on larkfen/main")),
        (JOBS["end of line"], "supplies main supply", ("SUP-05", "cable to R1 on larkfen/main")),
        (
            JOBS["junction and branch, drawn"],
            "supplies main voltage_min_v",
            ("SUP-05", "cable to R1 on larkfen/main"),
        ),
        (
            JOBS["junction and branch, drawn"],
            "supplies main voltage_min_v",
            ("SUP-15", "R1 while front is on"),
        ),
        (JOBS["two supplies over diodes"], "devices lock current_a", ("SUP-01", "R1 on larkfen/main")),
        (
            JOBS["coil beside its receiver"],
            "receivers R1 fed cable",
            ("SUP-01", "coil of small relay at output 1 of R1 on larkfen/main"),
        ),
        (JOBS["solar gate"], "devices gate fed", ("SUP-03", "larkfen/main")),
        (JOBS["solar gate"], "devices gate fed", ("SUP-11", "larkfen/main")),
    ],
)
def test_without_a_fact_nothing_is_well(house: dict[str, Any], path: str, told: tuple[str, str]) -> None:
    """What failed or was open is no better, and what was thin does not hold."""
    before, after = words(house)[told], words(without(house, *path.split()))[told]

    assert after.rank >= min(before.rank, Verdict.UNKNOWN.rank)


@pytest.mark.parametrize(
    "fact", ["devices winch fed cable", "receivers R1 fed cable", "devices winch current_a"]
)
def test_what_a_start_leaves_is_open_without_a_cable(fact: str) -> None:
    """SUP-10 holds or fails by the volts at the receiver; without a cable it is asked for."""
    told = ("SUP-10", "winch on larkfen/main")
    house = copy.deepcopy(MOTOR)
    if fact.endswith("current_a"):
        del house["devices"]["winch"]["peak_a"]

    assert words(MOTOR)[told] is not Verdict.UNKNOWN
    assert words(without(house, *fact.split()))[told].rank >= Verdict.UNKNOWN.rank
