"""A pole of a supply joined to steel in water or in the ground."""

from __future__ import annotations

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.supply import bonded
from helpers.wired_case import wired_case


@pytest.mark.parametrize(
    ("water", "to", "kind", "verdict"),
    [
        (None, None, "dc", None),
        ("salt", None, "dc", Verdict.UNKNOWN),
        ("fresh", "nothing", "dc", Verdict.HOLDS),
        ("salt", "the building's earth", "dc", Verdict.HOLDS),
        ("salt", "steel in water", "dc", Verdict.FAILS),
        (None, "steel in the ground", "dc", Verdict.FAILS),
        ("salt", "steel in water", "ac", None),
        ("salt", None, None, Verdict.UNKNOWN),
    ],
)
def test_sup_50_stray_current_eats_steel(
    water: str | None, to: str | None, kind: str | None, verdict: Verdict | None
) -> None:
    """By the water it is asked of each supply for direct current, and of one whose kind nobody says."""
    case = wired_case({"water": water, "supplies": {"main": {"supply": kind, "bonded_to": to}}})
    assert [finding.verdict for finding in bonded.judge(case)] == [verdict] * (verdict is not None)
