"""A housing that is opened is told at any time, or only while the system is set."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.panel import tamper
from helpers.findings import finding_of
from helpers.logic_case import a_case


@pytest.mark.parametrize(
    ("wired", "zones", "verdict"),
    [
        ("panel.box", {}, Verdict.HOLDS),
        ("panel.door", {"door": {"told": "while set"}}, Verdict.FAILS),
        ("panel.door", {"door": {"told": "after the entry time"}}, Verdict.FAILS),
        ("panel.door", {"door": {"told": "at any time"}}, Verdict.HOLDS),
        ("panel.door", {"door": {}}, Verdict.UNKNOWN),
        ("panel.zone", {}, Verdict.UNKNOWN),
    ],
)
def test_pan_60_an_ordinary_zone_says_nothing_by_day(
    wired: str, zones: dict[str, Any], verdict: Verdict
) -> None:
    """An input that reads tamper tells always; of a zone it has to be said."""
    case = a_case(
        {"1": {"kind": "pulse", "for_s": 1.0, "works": "lamp.on"}},
        box={"tamper": wired},
        receiver={"tamper_contact": "normally closed"},
        panel={"inputs": {"box": {"reads": "tamper"}, "zone": {"reads": "zone"}}},
        mounted_panel={"zones": zones},
    )
    assert finding_of(tamper.judge(case), "PAN-60").verdict is verdict
