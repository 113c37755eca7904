"""Short pulses of a panel at a receiver's input, and calls for help on a zone of the panel."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.panel.coupling import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS


def judged(
    *,
    pulse_s: float | None = 0.1,
    input_min_s: float | None = 0.15,
    told: str | None = None,
    kind: str = "call",
    reads: str = "zone",
) -> list[Finding]:
    """A warden's panel with a help zone, and its acknowledgement on the receiver."""
    output = {"kind": "toggle", "works": "panel.help"}
    box = {
        "at": [0, 0],
        "outputs": {"1": output},
        "inputs": {"1": {"reads": "panel.ack"}},
        "input_min_s": input_min_s,
    }
    panel: dict[str, Any] = {
        "inputs": {"help": {"reads": reads}},
        "outputs": {"ack": {"form": "relay", "pulse_s": pulse_s}},
        "zones": {"help": {"told": told}},
    }
    premises = {"receivers": {"R1": box}, "panels": {"panel": panel}}
    return list(judge(wired_case(premises, functions={"help": {"output": "larkfen/R1/1", "kind": kind}})))


@pytest.mark.parametrize(
    ("pulse_s", "verdict"), [(0.149, FAILS), (0.15, THIN), (0.224, THIN), (0.226, HOLDS), (0.5, HOLDS)]
)
def test_pan_28_a_pulse_is_as_long_as_the_input_needs_and_half_as_long_again(
    pulse_s: float, verdict: Verdict
) -> None:
    """The input reads 150 ms."""
    assert finding_of(judged(pulse_s=pulse_s), "PAN-28").verdict is verdict


def test_pan_28_an_output_that_stays_on_is_read_and_an_unknown_input_asked() -> None:
    """No word where nothing is short."""
    assert "PAN-28" not in {found.code for found in judged(pulse_s=None)}
    finding = finding_of(judged(input_min_s=None), "PAN-28")
    assert finding.verdict is UNKNOWN
    assert finding.asks


@pytest.mark.parametrize(
    ("told", "verdict"),
    [("at any time", HOLDS), ("while set", FAILS), ("after the entry time", FAILS), (None, UNKNOWN)],
)
def test_pan_27_a_call_for_help_is_told_at_any_time(told: str | None, verdict: Verdict) -> None:
    """By day the system is unset: a zone that is told only while set tells nobody of a call."""
    finding = finding_of(judged(told=told), "PAN-27")

    assert finding.verdict is verdict
    assert bool(finding.asks) is (verdict is UNKNOWN)


@pytest.mark.parametrize(("kind", "reads"), [("light", "zone"), ("call", "level")])
def test_pan_27_is_about_calls_on_zones(kind: str, reads: str) -> None:
    """Nothing else is asked for its kind of zone."""
    assert "PAN-27" not in {found.code for found in judged(kind=kind, reads=reads)}
