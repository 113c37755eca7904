"""Status inputs: what they read works an output, is told, or does nothing; each is said, or asked."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.receiver.status_inputs import judge
from farpress.judging.safety.way_out import judge as judge_way_out
from helpers.findings import finding_of
from helpers.wired_case import wired_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS


def house(entry: dict[str, Any], **box: Any) -> dict[str, Any]:
    """A receiver with one output on a lock, and one status input."""
    output = {"kind": "pulse", "for_s": 4.0, "works": "lock.release"}
    return {
        "receivers": {"R1": {"at": [0, 0], "outputs": {"1": output}, "inputs": {"2": entry}, **box}},
        "devices": {
            "lock": {"device": "magnetic lock", "escape_route": True},
            "gate": {"device": "sliding gate"},
            "bell": {"device": "sounder"},
        },
        "panels": {"alarm": {"outputs": {"set": {"form": "relay"}}}},
    }


def judged(entry: dict[str, Any], **box: Any) -> list[Finding]:
    """What is said of it."""
    return list(judge(wired_case(house(entry, **box))))


@pytest.mark.parametrize(
    ("entry", "verdict"),
    [
        ({"reads": "gate.closed", "works": "1"}, HOLDS),
        ({"reads": "gate.closed", "works": "nothing"}, THIN),
        ({"reads": "gate.closed"}, UNKNOWN),
        ({"reads": "alarm.set", "works": "1"}, HOLDS),
        ({"reads": "alarm.set", "works": "nothing"}, UNKNOWN),
        ({"reads": "alarm.set"}, UNKNOWN),
    ],
)
def test_rcv_09_what_an_input_works_is_said_or_asked(entry: dict[str, Any], verdict: Verdict) -> None:
    """A wire that works nothing may be there for later; one of which nobody says it is asked."""
    finding = finding_of(judged(entry), "RCV-09")

    assert finding.verdict is verdict
    assert bool(finding.asks) is (verdict is UNKNOWN)


@pytest.mark.parametrize(
    ("box", "verdict"),
    [
        ({"acknowledges_by": "sounder of its own"}, HOLDS),
        ({"acknowledges_by": "nothing"}, THIN),
        ({"acknowledges_by": "output"}, THIN),
        ({"acknowledges_by": "output", "signals": {"acknowledge": {"works": "bell.on"}}}, HOLDS),
    ],
)
def test_rcv_09_a_state_that_is_read_must_be_told(box: dict[str, Any], verdict: Verdict) -> None:
    """Its remedy writes the way from the output to the only sounder there is."""
    finding = finding_of(judged({"reads": "alarm.set"}, **box), "RCV-09")

    assert finding.verdict is verdict
    if verdict is THIN:
        change = finding.remedies[0].changes[0]
        assert change.value == {"works": "bell.on"}
        assert (
            finding_of(
                judged({"reads": "alarm.set"}, **box, signals={"acknowledge": change.value}), "RCV-09"
            ).verdict
            is HOLDS
        )


def test_an_exit_button_that_works_nothing_is_no_way_through_the_receiver() -> None:
    """Said so, SAFE-14 has nothing to ask; RCV-09 tells that it does nothing."""
    entry = {"reads": "lock.exit button"}

    assert [finding.verdict for finding in judge_way_out(wired_case(house(entry)))] == [UNKNOWN]
    assert not list(judge_way_out(wired_case(house(entry | {"works": "nothing"}))))
    assert finding_of(judged(entry | {"works": "nothing"}), "RCV-09").verdict is THIN
