"""Doors that close by themselves, walked to by hand arithmetic; locks freed before a drive pushes."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.device.on_foot import judge_on_foot
from helpers.logic_case import STRIKE, a_case

DOOR: dict[str, Any] = {
    "device": "door",
    "travel_s": 4.0,
    "closes_after_s": 5.0,
    "safeguards": (),
    "inputs": {"start": {"logic": "open only", "wants": "pulse"}},
    "at": (5.0, 11.5),
}
OUTPUTS: dict[str, Any] = {"1": {"kind": "pulse", "for_s": 0.5, "works": "door.start"}}
PROMISE: dict[str, Any] = {"to": "residents", "function": "f1", "from": "here"}


def walked(
    pace: float | None,
    door: dict[str, Any] | None = None,
    *,
    sees: tuple[str, ...] = ("door",),
    outputs: dict[str, Any] | None = None,
) -> list[Finding]:
    """Findings about a press from "here", at 5, 5 on the plan, to a door 6.5 m away."""
    group = {"count": 4, "buttons": {"1": "f1"}, "walks_m_per_s": pace}
    devices = {"door": {**DOOR, **(door or {})}, "bolt": STRIKE}
    case = a_case(
        outputs or OUTPUTS,
        devices=devices,
        groups={"residents": group},
        promises=(PROMISE,),
        sees=sees,
        functions={"f1": {"outputs": tuple(f"house/R1/{number}" for number in outputs or OUTPUTS)}},
    )
    return list(judge_on_foot(case))


@pytest.mark.parametrize(
    ("pace", "stays_s", "verdict", "needed_s"),
    [
        (0.4, 5.0, Verdict.FAILS, 18.25),
        (0.4, 14.25, Verdict.THIN, 18.25),
        (0.4, 14.24, Verdict.FAILS, 18.25),
        (0.4, 17.0, Verdict.HOLDS, 18.25),
        (None, 17.0, Verdict.HOLDS, 18.25),
        (None, 5.0, Verdict.UNKNOWN, None),
        (None, 3.0, Verdict.FAILS, 7.42),
    ],
)
def test_dev_13_through_before_it_begins_to_close(
    pace: float | None, stays_s: float, verdict: Verdict, needed_s: float | None
) -> None:
    """6.5 m at 0.4 m/s are 16.25 s, and 2 s to pass: 18.25 s against 4 s of travel and the time it stays."""
    (finding,) = walked(pace, {"closes_after_s": stays_s})
    assert finding.verdict is verdict
    assert finding.value == (None if needed_s is None else pytest.approx(needed_s, abs=0.01))


@pytest.mark.parametrize("missing", [{"travel_s": None}, {"at": None}])
def test_dev_13_what_is_missing_is_asked(missing: dict[str, Any]) -> None:
    """Without the travel, or the door's place on the plan, nothing is said to be in time."""
    (finding,) = walked(1.2, missing)
    assert finding.verdict is Verdict.UNKNOWN
    assert finding.asks


def test_dev_13_something_that_notices_people_makes_it_advice() -> None:
    """Presence detection holds the leaf: who is late waits, and is not hit."""
    (finding,) = walked(0.4, {"safeguards": ("presence",)})
    assert finding.verdict is Verdict.THIN


@pytest.mark.parametrize(
    ("door", "sees"), [({"closes_after_s": None}, ("door",)), ({}, ()), ({"device": "barrier"}, ("door",))]
)
def test_dev_13_only_who_walks_to_a_door_that_closes_by_itself(
    door: dict[str, Any], sees: tuple[str, ...]
) -> None:
    """Who presses out of sight lets another in; a barrier is driven through."""
    assert not walked(0.4, door, sees=sees)


@pytest.mark.parametrize(
    ("waits_s", "lead_s", "verdict"),
    [
        (0.2, 0.5, Verdict.FAILS),
        (0.5, 0.5, Verdict.THIN),
        (0.56, 0.5, Verdict.HOLDS),
        (None, 0.5, Verdict.UNKNOWN),
        (0.5, None, Verdict.UNKNOWN),
    ],
)
def test_dev_14_the_lock_is_free_before_the_drive_pushes(
    waits_s: float | None, lead_s: float | None, verdict: Verdict
) -> None:
    """Both get their command at once, so that the drive's own wait is all the lock has."""
    outputs = {**OUTPUTS, "2": {"kind": "pulse", "for_s": 3.0, "works": "bolt.release"}}
    door = {"pushes_after_s": waits_s, "lock_free_before_s": lead_s}
    (finding,) = [found for found in walked(1.2, door, outputs=outputs) if found.code == "DEV-14"]
    assert finding.verdict is verdict
