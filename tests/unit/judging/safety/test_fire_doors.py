"""Contacts that an output would bridge, and doors that a magnet holds open until the fire alarm calls."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.safety import fire_doors
from helpers.findings import finding_of
from helpers.logic_case import a_case

HOLDER: dict[str, Any] = {
    "device": "hold-open magnet",
    "supply": "dc",
    "inputs": {"hold": {"logic": "on", "wants": "maintained"}},
}
HELD: dict[str, Any] = {"kind": "toggle", "works": "holder.hold", "contact": "normally closed"}


def judged(output: dict[str, Any], sheet: dict[str, Any] | None = None) -> list[Finding]:
    """Findings about one output, and a door holder beside the usual things."""
    return list(fire_doors.judge(a_case({"1": output}, devices={"holder": {**HOLDER, **(sheet or {})}})))


@pytest.mark.parametrize(
    ("across", "verdict"),
    [
        (("fire alarm",), Verdict.FAILS),
        (("emergency stop", "something else"), Verdict.FAILS),
        (("something else",), Verdict.UNKNOWN),
        ((), Verdict.HOLDS),
        (None, Verdict.UNKNOWN),
    ],
)
def test_safe_60_no_output_lies_across_a_contact_that_somebody_relies_on(
    across: tuple[str, ...] | None, verdict: Verdict
) -> None:
    """Where a door holder hangs on the output it is asked; common practice, no source."""
    finding = finding_of(judged({**HELD, "across": across}), "SAFE-60")
    assert (finding.verdict, finding.bars) == (verdict, verdict is Verdict.FAILS)
    assert bool(finding.asks) is (verdict is Verdict.UNKNOWN)


def test_safe_60_a_bridge_that_comes_back_after_a_power_cut_says_so() -> None:
    """A pulse ends by itself; a toggle may come back as it was."""
    kept = finding_of(judged({**HELD, "across": ("fire alarm",)}), "SAFE-60")
    pulse = {"kind": "pulse", "for_s": 5.0, "works": "lamp.on", "across": ("limit switch",)}
    assert "after a power cut" in kept.because
    assert "after a power cut" not in finding_of(judged(pulse), "SAFE-60").because


def test_safe_60_is_not_asked_of_everything() -> None:
    """A lamp far from any fire alarm has nothing to be bridged, as long as nobody says so."""
    assert not judged({"kind": "toggle", "works": "lamp.on"})


@pytest.mark.parametrize(
    ("released_by", "verdict"),
    [
        (("fire alarm",), Verdict.HOLDS),
        (("fire alarm", "handle"), Verdict.HOLDS),
        (("handle",), Verdict.FAILS),
        ((), Verdict.FAILS),
        (None, Verdict.UNKNOWN),
    ],
)
def test_safe_61_the_fire_alarm_lets_a_held_door_go(
    released_by: tuple[str, ...] | None, verdict: Verdict
) -> None:
    """A hand at the door is not enough; EN 1155 from memory."""
    finding = finding_of(judged(HELD, {"released_by": released_by}), "SAFE-61")
    assert (finding.verdict, finding.bars) == (verdict, verdict is Verdict.FAILS)
