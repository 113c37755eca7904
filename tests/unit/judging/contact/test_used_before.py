"""Contacts that have switched power before are no longer fit for small currents."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.contact.load import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case


def codes(used: str | None, amperes: float | None = 0.004, *, stands: bool = False) -> list[Any]:
    """Findings about an input of a drive over one contact."""
    premises = {
        "supplies": {"main": {"supply": "dc", "voltage_v": 12.0}},
        "receivers": {
            "R1": {
                "at": [0, 0],
                "contact_rated_a": 5.0,
                "contact_rated_v": 250.0,
                "contact_min_a": 0.001,
                "fed": {"from": "main"},
                "outputs": {"1": {"kind": "pulse", "works": "it.open", "used_before": used}},
            }
        },
        "devices": {
            "it": {
                "device": "sliding gate",
                "supply": "potential-free",
                "inputs": {"open": {"logic": "open only", "voltage_v": 24.0, "current_a": amperes}},
            }
        },
    }
    delivery = {"stands": ["larkfen/R1"]} if stands else {}
    found = judge(wired_case(premises, delivery=delivery))
    return [finding for finding in found if finding.code == "CON-60"]


@pytest.mark.parametrize(
    ("amperes", "verdict"),
    [(0.0099, Verdict.FAILS), (0.010, Verdict.HOLDS), (0.012, Verdict.HOLDS), (None, Verdict.UNKNOWN)],
)
def test_con_60_ten_milliamperes_after_power(amperes: float | None, verdict: Verdict) -> None:
    """A sheet's 1 mA holds for a new contact; 10 mA at 5 V for silver, from the sheet of a power relay."""
    assert finding_of(codes("power", amperes), "CON-60").verdict is verdict


def test_con_60_what_stands_there_is_asked_and_what_is_new_is_not() -> None:
    """A receiver that the firm delivers has switched nothing yet."""
    assert not codes(None)
    assert finding_of(codes(None, stands=True), "CON-60").verdict is Verdict.UNKNOWN
    assert finding_of(codes("signals", stands=True), "CON-60").verdict is Verdict.HOLDS
