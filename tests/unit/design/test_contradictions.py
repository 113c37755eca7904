"""A wish that a rule contradicts: one sentence with the line of each."""

from __future__ import annotations

from pathlib import Path

import pytest

from farpress.design.contradictions import contradictions
from farpress.judging.assess import assess
from farpress.mending.result import MendingPlan
from helpers.wished_jobs import CHURCH, opened

RULE = "  - {never: on longer than, of: [lights], for: FOR, says: candles only}\n"


@pytest.mark.parametrize(("allowed", "is_told"), [("5 min", True), ("10 min", False), ("15 min", False)])
def test_longer_than_a_rule_allows(tmp_path: Path, allowed: str, is_told: bool) -> None:
    """Ten minutes wished: against five, ten and fifteen allowed."""
    text = CHURCH + RULE.replace("FOR", allowed)
    case = opened(tmp_path / "job", text)
    before = assess(case)
    told = contradictions(case, case, MendingPlan(before, before, (), (), (), 0))
    lines = text.splitlines()
    rule, light = (
        next(n for n, line in enumerate(lines, 1) if what in line) for what in ("candles", "lasts: 10")
    )

    says = f"Not both: rule 2 (candles only; line {rule}) allows {allowed}, and 'lights' shall last 10 min"

    assert told == ((f"{says} (line {light}).",) if is_told else ())
