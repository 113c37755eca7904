"""Doors that shut by themselves on people, and things that get into each other's way."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.judging.device.on_touch import judge_on_touch
from helpers.findings import finding_of
from helpers.logic_case import a_case

DOOR: dict[str, Any] = {
    "device": "door",
    "closes_after_s": 5.0,
    "safeguards": ("edge",),
    "safeguards_tested": True,
    "inputs": {"open": {"logic": "open only", "wants": "pulse"}},
}


def door(**sheet: Any) -> list[Finding]:
    """What is said of a front door with its own drive."""
    output = {"1": {"kind": "pulse", "for_s": 0.5, "works": "front.open"}}
    return list(judge_on_touch(a_case(output, devices={"front": {**DOOR, **sheet}})))


@pytest.mark.parametrize(
    ("force", "verdict"),
    [
        (50.0, Verdict.HOLDS),
        (66.0, Verdict.THIN),
        (67.5, Verdict.FAILS),
        (150.0, Verdict.FAILS),
        (None, Verdict.UNKNOWN),
    ],
)
def test_dev_60_a_door_that_shuts_by_itself_is_gentle(force: float | None, verdict: Verdict) -> None:
    """67 N: EN 16005, low-energy doors, from memory."""
    finding = finding_of(door(force_n=force), "DEV-60")
    assert finding.verdict is verdict
    assert bool(finding.asks) is (verdict is Verdict.UNKNOWN)


def test_dev_60_presence_detection_that_was_tested_is_enough() -> None:
    """So is a door that stays open until somebody shuts it; a gate for cars has rules of its own."""
    assert not door(safeguards=("presence",))
    assert not door(closes_after_s=None)
    assert door(safeguards=("presence",), safeguards_tested=False)
    gate = a_case({"1": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"}})
    assert not list(judge_on_touch(gate))


def front(strikes: dict[str, str] | None, far_m: float = 1.0) -> Case:
    """An awning and a shutter over one shop window, both worked."""
    inputs = {"on": {"logic": "on", "wants": "maintained"}}
    case = a_case(
        {"1": {"kind": "toggle", "works": "awning.on"}, "2": {"kind": "follow", "works": "curtain.on"}},
        devices={
            "awning": {"device": "awning", "inputs": inputs, "at": (0.0, 0.0, 3.0)},
            "curtain": {"device": "shutter", "inputs": inputs, "at": (far_m, 0.0, 3.0)},
        },
    )
    there = case.job.premises["house"].devices
    there["awning"] = there["awning"].model_copy(update={"strikes": strikes or {}})
    return case


@pytest.mark.parametrize(
    ("strikes", "verdict"),
    [
        ({"curtain": "interlock"}, Verdict.HOLDS),
        ({"curtain": "never"}, Verdict.HOLDS),
        ({"curtain": "people"}, Verdict.FAILS),
        ({"curtain": "nothing"}, Verdict.FAILS),
        (None, Verdict.UNKNOWN),
    ],
)
def test_dev_61_things_in_each_others_way(strikes: dict[str, str] | None, verdict: Verdict) -> None:
    """An order that people keep is none; common practice, no source."""
    assert finding_of(judge_on_touch(front(strikes)), "DEV-61").verdict is verdict


def test_dev_61_is_not_asked_of_things_far_apart() -> None:
    """Three metres are near."""
    assert list(judge_on_touch(front(None, 2.9)))
    assert not list(judge_on_touch(front(None, 3.1)))


@pytest.mark.parametrize(
    ("force", "verdict"),
    [(359.0, Verdict.HOLDS), (361.0, Verdict.THIN), (400.0, Verdict.THIN), (401.0, Verdict.FAILS)],
)
def test_dev_65_what_was_measured_at_a_closing_edge_is_held_against_400_n(
    force: float, verdict: Verdict
) -> None:
    """Of whatever can crush, a shutter as a gate; what can crush nobody is not asked."""
    shutter = {"device": "shutter", "force_n": force}
    pump = {"device": "pump", "force_n": force}
    case = a_case({"1": {"kind": "follow", "works": "s.down"}}, devices={"s": shutter})
    harmless = a_case({"1": {"kind": "follow", "works": "p.on"}}, devices={"p": pump})
    finding = finding_of(list(judge_on_touch(case)), "DEV-65")

    assert (finding.verdict, finding.bars) == (verdict, verdict is Verdict.FAILS)
    assert not [found for found in judge_on_touch(harmless) if found.code == "DEV-65"]


def test_dev_61_a_door_beside_a_platform_is_asked_about() -> None:
    """A leaf that swings over the landing, and a platform that comes up there."""
    devices = {
        "lift": {"device": "platform", "at": [8.0, -1.0]},
        "door": {"device": "door", "at": [8.5, 0.0]},
    }
    outputs = {
        "1": {"kind": "follow", "works": "lift.up"},
        "2": {"kind": "pulse", "for_s": 0.5, "works": "door.open"},
    }
    finding = finding_of(list(judge_on_touch(a_case(outputs, devices=devices))), "DEV-61")

    assert finding.verdict is Verdict.UNKNOWN
