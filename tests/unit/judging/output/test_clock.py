"""Hours of a press: what keeps them, and who is shut in when they are over."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.output.clock import judge_clock
from helpers.logic_case import GARAGE, LAMP, a_case

HOLDS, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.UNKNOWN, Verdict.FAILS
START: dict[str, Any] = {"1": {"kind": "pulse", "for_s": 0.5, "works": "hall.start"}}


def judged(*, device: dict[str, Any] = GARAGE, **function: Any) -> dict[str, Finding]:
    """Code → finding, of a boat hall whose door a fob opens in the day."""
    hours: dict[str, Any] = {"output": "house/R1/1", "hours": "07:00-21:00", **function}
    found = judge_clock(a_case(START, functions={"boats": hours}, devices={"hall": device}))
    return {finding.code: finding for finding in found}


@pytest.mark.parametrize(
    ("by", "verdict"), [(None, UNKNOWN), ("people", FAILS), ("time switch", HOLDS), ("panel", HOLDS)]
)
def test_out_15_a_receiver_has_no_clock(by: str | None, verdict: Verdict) -> None:
    """Something else keeps the hours; people are nothing."""
    finding = judged(hours_by=by)["OUT-15"]

    assert finding.verdict is verdict
    assert ("no clock" in finding.because) is (verdict is not HOLDS)
    assert any("time switch" in remedy.does for remedy in finding.remedies) is (verdict is not HOLDS)


@pytest.mark.parametrize(("by_hand", "verdict"), [(None, FAILS), (False, FAILS), (True, HOLDS)])
def test_dev_07_who_is_still_inside_gets_out_by_hand(by_hand: bool | None, verdict: Verdict) -> None:
    """A way out that nobody wrote down is none; nobody may accept it."""
    finding = judged(device={**GARAGE, "opens_by_hand": by_hand})["DEV-07"]

    assert (finding.verdict, finding.bars, finding.stake) == (verdict, verdict is FAILS, Stake.HARM)
    assert bool(finding.asks) is (by_hand is None)


def test_dev_07_is_about_ways_and_about_nothing_else() -> None:
    """A lamp with hours shuts nobody in."""
    lamp = {**LAMP, "inputs": {"start": {"logic": "on", "wants": "pulse"}}}

    assert set(judged(device=lamp)) == {"OUT-15"}


def test_dev_07_nobody_on_foot_is_shut_in_by_a_bollard() -> None:
    """A post for vehicles leaves room beside it; its hours have to be kept all the same."""
    bollard = {**GARAGE, "device": "bollard"}

    assert set(judged(device=bollard)) == {"OUT-15"}


def test_dev_07_is_silent_where_another_press_opens_at_any_hour() -> None:
    """Of two functions one has no hours."""
    both = {
        name: {"output": "house/R1/1", "hours": hours} for name, hours in (("a", "07:00-21:00"), ("b", None))
    }
    found = judge_clock(a_case(START, functions=both, devices={"hall": GARAGE}))

    assert {finding.code for finding in found} == {"OUT-15"}


def test_without_hours_nothing_is_said() -> None:
    """Neither about the clock nor about the way out."""
    assert not judged(hours=None)


@pytest.mark.parametrize(
    ("said", "is_asked"),
    [
        ("from 8:00 to 18:00", True),
        ("after 20:00 everybody must be out", True),
        ("07:30-19:00", True),
        ("not at night", True),
        ("between 9 am and 5 pm", True),
        ("opens within 4 s, 12 times a day", False),
        ("at the gate", False),
        ("version 2.15", False),
        ("", False),
    ],
)
def test_out_15_hours_in_words_alone_are_asked(said: str, is_asked: bool) -> None:
    """Nothing in the receiver reads a remark; given hours are judged, not asked."""
    functions = {"f1": {"output": "house/R1/1", "kind": "open", "says": said}}
    gate: dict[str, dict[str, Any]] = {"1": {"kind": "pulse", "for_s": 0.5, "works": "gate.start"}}
    asked = [one for one in judge_clock(a_case(gate, functions=functions)) if one.code == "OUT-15"]
    given = {"f1": functions["f1"] | {"hours": "08:00-18:00", "hours_by": "time switch"}}

    assert bool(asked) is is_asked
    assert all(finding.verdict is Verdict.UNKNOWN for finding in asked)
    hours = [one for one in judge_clock(a_case(gate, functions=given)) if one.code == "OUT-15"]
    assert [one.verdict for one in hours] == [HOLDS]
