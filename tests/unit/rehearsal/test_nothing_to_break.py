"""A rule that nothing could break does not hold: it is a doubt about what the job says."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.output import pressed
from farpress.rehearsal.rules import rehearse
from helpers.logic_case import SHUTTER, a_case
from helpers.rehearsal_jobs import SHORT_GATE

PULSE: dict[str, Any] = {"kind": "pulse", "for_s": 1.0}
CLOSES = {"1": {**PULSE, "works": "gate.close"}}
UNSETS = {"1": {**PULSE, "works": "panel.unset"}}
NO_KEYPAD = {"exit_s": 0.0, "keypad": False, "entry_s": 20.0}


@pytest.mark.parametrize(
    ("outputs", "rule", "idle"),
    [
        (CLOSES, {"never": "second press within", "for_s": 5.0}, "gate opens"),
        (CLOSES, {"never": "closes while occupied"}, "gate closes"),
        (CLOSES, {"never": "works without sight"}, "gate moves"),
        (CLOSES, {"never": "toggles"}, "what house/R1/1 works is worked"),
        (CLOSES, {"never": "works after power return"}, "house/R1/1 works"),
        (
            {**CLOSES, "2": {**PULSE, "works": "garage.start"}},
            {"never": "both open", "of": ("f1", "f2")},
            "gate opens",
        ),
        (UNSETS, {"never": "state out of step"}, "panel is set"),
        (UNSETS, {"never": "alarm despite unsetting"}, "panel waits for its entry time"),
        (
            {**UNSETS, "2": {**PULSE, "works": "garage.start"}},
            {"never": "open while set", "of": ("panel", "garage")},
            "panel is set",
        ),
    ],
)
def test_what_never_happens_proves_nothing(
    outputs: dict[str, dict[str, Any]], rule: dict[str, Any], idle: str
) -> None:
    """A gate that only closes stands closed for ever; a panel that nothing sets is never set."""
    inputs = {"unset": {"reads": "unset pulse", "response_s": 0.0}}
    case = a_case(
        outputs,
        devices={"gate": SHORT_GATE | {"safeguards": ("loop",), "closes_after_power_return": False}},
        panel={**NO_KEYPAD, "inputs": inputs},
        rules=({"of": ("f1",), **rule},),
    )
    (result,) = rehearse(case, rules=(1,))

    assert result.verdict is Verdict.UNKNOWN
    assert f"in no story, whatever is pressed, {idle}" in result.says
    assert any("leave the rule as it is" in ask for ask in result.asks)


@pytest.mark.parametrize(
    ("ways", "asked"), [(("down",), "raises bollard"), (("up",), "lowers bollard"), (("up", "down"), "")]
)
def test_a_bollard_driven_one_way_only_has_no_way_back(ways: tuple[str, ...], asked: str) -> None:
    """Only down: somebody lowers it, and nothing in the job raises it again; with both nothing is asked."""
    case = a_case(
        {str(i): {"kind": "follow", "works": f"bollard.{way}"} for i, way in enumerate(ways, 1)},
        devices={"bollard": {**SHUTTER, "device": "bollard"}},
    )
    found = [finding for finding in pressed.judge(case) if finding.code == "OUT-18"]

    assert [finding.asks[0].says.split("what ")[1].split(":")[0] for finding in found] == (
        [asked] if asked else []
    )
