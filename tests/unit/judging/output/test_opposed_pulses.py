"""A pulse that goes on while somebody presses the other direction."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.output import opposed_pulses
from helpers.findings import finding_of
from helpers.logic_case import a_case


def judged(length: float | None, wants: str = "pulse", least: float = 0.3) -> list[Finding]:
    """Up and down of shutters behind a relay that takes pulses; both outputs pulse."""
    relay: dict[str, Any] = {
        "device": "shutter",
        "travel_s": 22.0,
        "inputs": {way: {"logic": way, "wants": wants, "min_pulse_s": least} for way in ("up", "down")},
    }
    outputs: dict[str, dict[str, Any]] = {
        "1": {"kind": "pulse", "for_s": length, "works": "relay.up"},
        "2": {"kind": "pulse", "for_s": 0.5, "works": "relay.down"},
    }
    return list(opposed_pulses.judge(a_case(outputs, devices={"relay": relay})))


@pytest.mark.parametrize(
    ("length", "verdict"),
    [(0.9, Verdict.HOLDS), (1.0, Verdict.HOLDS), (1.1, Verdict.FAILS), (30.0, Verdict.FAILS)],
)
def test_out_61_a_pulse_ends_before_somebody_wants_the_other_way(length: float, verdict: Verdict) -> None:
    """A second is our choice; the drive goes on by itself."""
    finding = finding_of(judged(length), "OUT-61", "R1/1")
    assert finding.verdict is verdict
    assert (finding.value, finding.limit) == (length, 1.0)


def test_out_61_an_input_that_needs_longer_pulses_may_have_them() -> None:
    """Twice the least of 2 s are 4 s; a length that nobody gives is asked."""
    assert finding_of(judged(3.9, least=2.0), "OUT-61", "R1/1").verdict is Verdict.HOLDS
    assert finding_of(judged(None), "OUT-61", "R1/1").verdict is Verdict.UNKNOWN


def test_out_61_what_is_to_be_held_is_another_matter() -> None:
    """A motor that runs as long as its contact is closed wants its travel as a pulse."""
    assert not judged(30.0, wants="maintained")
