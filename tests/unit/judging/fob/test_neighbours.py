"""Unsetting beside what opens, on a fob for a vet's practice."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.fob.neighbours import judge
from helpers.logic_case import a_case

OUTPUTS: dict[str, Any] = {
    "1": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"},
    "2": {"kind": "pulse", "for_s": 0.5, "works": "panel.unset"},
    "3": {"kind": "toggle", "works": "lamp.on"},
}


def judged(buttons: dict[str, Any], most: int | None = 4) -> list[Finding]:
    """Findings about a fob with these buttons: f1 opens, f2 unsets, f3 lights."""
    groups = {"vets": {"people": ("Ana",), "buttons": buttons}}
    return list(judge(a_case(OUTPUTS, groups=groups, fob={"buttons": most})))


@pytest.mark.parametrize(
    ("buttons", "verdict"),
    [
        ({"1": "f1", "2": "f2", "3": "f3"}, Verdict.THIN),
        ({"1": "f1", "2": "f3", "3": "f2"}, Verdict.HOLDS),
        ({"2": "f2", "3": "f1"}, Verdict.THIN),
        ({"1": "f1", "4": "f2"}, Verdict.HOLDS),
        ({"1": ("f1", "f3"), "2": {"short": "f2", "long": "f3"}}, Verdict.THIN),
        ({"1": "f1", "2": {"short": "f3", "long": "f2"}}, None),
        ({"1": "f1", "2": "f3"}, None),
        ({"1": ("f1", "f2")}, None),
    ],
)
def test_fob_08_numbers_that_follow_each_other_are_neighbours(
    buttons: dict[str, Any], verdict: Verdict | None
) -> None:
    """A long press is guarded by itself; one button for both is another matter, and refused elsewhere."""
    assert [finding.verdict for finding in judged(buttons)] == [verdict] * (verdict is not None)


def test_fob_08_offers_a_spare_button_first_then_an_exchange() -> None:
    """Button 4 is free of five; of four in use the light changes places; of two there is no other."""
    spare = judged({"1": "f1", "2": "f2", "3": "f3"}, most=5)[0].remedies[0]
    full = judged({"1": "f1", "2": "f2", "3": "f3"}, most=3)[0]
    small = judged({"1": "f1", "2": "f2"}, most=2)[0]

    assert spare.does == "Learn f2 on button 4"
    assert [(change.path[-1], change.value) for change in spare.changes] == [("4", "f2"), ("2", None)]
    assert full.remedies[0].does == "Learn f2 on button 3, and f3 on button 2"
    assert "no button is spare" in full.says
    assert [remedy.does for remedy in small.remedies] == [
        "A fob whose button for unsetting is recessed, or a long press for it"
    ]
