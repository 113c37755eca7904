"""One contact closes one circuit; a second one beside it gets the volts of the first."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.contact.load import judge
from helpers.wired_case import wired_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS

HORN: dict[str, Any] = {
    "device": "sounder",
    "supply": "dc",
    "voltage_v": 12.0,
    "current_a": 0.2,
    "load": "resistive",
    "inputs": {"on": {"logic": "on"}},
}
DRIVE: dict[str, Any] = {
    "device": "sliding gate",
    "supply": "potential-free",
    "inputs": {
        "open": {"logic": "open only", "voltage_v": 24.0, "current_a": 0.01},
        "partial": {"logic": "partial open", "voltage_v": 24.0, "current_a": 0.01},
    },
}
SUPPLIES = {"main": {"supply": "dc", "voltage_v": 12.0}, "other": {"supply": "dc", "voltage_v": 12.0}}


def judged(works: str, *beside: str, horn: dict[str, Any] | None = None, **output: Any) -> list[Finding]:
    """CON-09 of one output with several things on its contact."""
    outputs = {"1": {"kind": "pulse", "for_s": 5.0, "works": works, "with_": beside, **output}}
    premises = {
        "supplies": SUPPLIES,
        "receivers": {"R1": {"at": [0, 0], "fed": {"from": "main"}, "outputs": outputs}},
        "devices": {
            "horn": HORN | (horn or {}),
            "light": HORN | {"device": "lamp"},
            "gate": DRIVE,
            "side": DRIVE,
        },
        "panels": {"panel": {"inputs": {"zone": {"reads": "zone", "loop": {"scheme": "open"}}}}},
    }
    case = wired_case(premises, functions={"on": {"output": "larkfen/R1/1"}})
    return [finding for finding in judge(case) if finding.code == "CON-09"]


@pytest.mark.parametrize(
    ("works", "beside", "output", "verdict"),
    [
        ("horn.on", "light.on", {"load_from": "main"}, HOLDS),
        ("gate.open", "gate.partial", {}, HOLDS),
        ("gate.open", "side.open", {}, THIN),
        ("panel.zone", "horn.on", {"load_from": "main"}, FAILS),
        ("panel.zone", "gate.open", {}, FAILS),
        ("horn.on", "light.on", {}, UNKNOWN),
    ],
)
def test_con_09_one_contact_closes_one_circuit(
    works: str, beside: str, output: dict[str, Any], verdict: Verdict
) -> None:
    """A load, a panel's loop and a drive's input have volts of their own each."""
    (finding,) = judged(works, beside, **output)

    assert finding.verdict is verdict, finding.says
    assert bool(finding.asks) is (verdict is UNKNOWN)
    assert any("for each circuit" in remedy.does for remedy in finding.remedies) is (verdict in (FAILS, THIN))


def test_con_09_a_thing_with_a_feed_of_its_own_lies_in_the_circuit_of_that() -> None:
    """Fed by another supply than what lies beside it on the contact."""
    other = {"fed": {"from": "other"}}
    (unsaid,) = judged("panel.zone", "horn.on")
    (fed,) = judged("panel.zone", "horn.on", horn=other)

    assert unsaid.verdict is UNKNOWN
    assert fed.verdict is FAILS
    assert "horn in that of other" in fed.says


def test_con_09_is_silent_about_one_thing_on_a_contact() -> None:
    """Nothing is joined."""
    assert judged("gate.open") == []
