"""The rule that no fob unsets an alarm alone."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.rules import built
from helpers.findings import finding_of
from helpers.logic_case import a_case


@pytest.mark.parametrize(
    ("given", "verdict"),
    [
        ({"reads": "unset pulse"}, Verdict.FAILS),
        ({"reads": "toggling pulse", "with_code": False}, Verdict.FAILS),
        ({"reads": "unset pulse", "with_code": True}, Verdict.HOLDS),
        ({"reads": "set pulse"}, Verdict.HOLDS),
        ({"reads": "entry pulse"}, Verdict.HOLDS),
    ],
)
def test_rule_50_a_found_fob_unsets_nothing_by_itself(given: dict[str, Any], verdict: Verdict) -> None:
    """A code at the panel besides, or a fob that only begins the entry time."""
    case = a_case(
        {"1": {"kind": "pulse", "for_s": 1.0, "works": "panel.x"}},
        panel={"inputs": {"x": given}},
        rules=({"never": "unset by a fob alone", "of": ("f1",)},),
    )
    assert finding_of(built.judge(case), "RULE-50").verdict is verdict
