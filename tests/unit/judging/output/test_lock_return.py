"""A lock behind an output that keeps its state, after a power cut: the gate of a swimming pool."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.output.lock_return import judge_lock_return
from helpers.logic_case import a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
TOGGLE: dict[str, Any] = {"kind": "toggle", "works": "pool.release"}


def judged(output: dict[str, Any], **sheet: Any) -> list[Finding]:
    """Findings about one lock."""
    lock = {
        "device": "magnetic lock",
        "inputs": {"release": {"logic": "release", "wants": "maintained"}},
        **sheet,
    }
    return list(judge_lock_return(a_case({"1": {**TOGGLE, **output}}, devices={"pool": lock})))


@pytest.mark.parametrize(
    ("contact", "after", "fails", "escape", "verdict"),
    [
        ("normally closed", "off", "unlocked", True, FAILS),
        ("normally closed", "off", "unlocked", None, FAILS),
        ("normally closed", "off", "unlocked", False, THIN),
        ("normally open", "off", "unlocked", True, THIN),
        ("normally open", "off", "locked", True, FAILS),
        ("normally closed", "off", "locked", True, THIN),
        ("normally closed", "as before", "unlocked", True, HOLDS),
        ("normally closed", "unknown", "unlocked", True, UNKNOWN),
        ("normally closed", "off", None, True, UNKNOWN),
    ],
)
def test_out_16_a_magnet_behind_a_break_contact_locks_when_the_power_returns(
    contact: str, after: str, fails: str | None, escape: bool | None, verdict: Verdict
) -> None:
    """The relay is off then, its break contact closed, the magnet holds; a strike is the other way round."""
    (finding,) = judged({"contact": contact, "after_power_return": after}, fails=fails, escape_route=escape)

    assert finding.verdict is verdict
    assert bool(finding.remedies) is (verdict is not HOLDS)


def test_out_16_a_pulse_and_a_gate_have_no_state_to_lose() -> None:
    """A strike that is released for seconds is shut again anyway; a gate has a drive of its own."""
    assert not judged({"kind": "pulse", "for_s": 5.0}, fails="locked")
    assert not list(judge_lock_return(a_case({"1": {"kind": "toggle", "works": "gate.open"}})))
