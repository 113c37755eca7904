"""What hangs under the highest water, at the mark, within its reserve and over it; and who is asked."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.safety.high_water import judge
from helpers.wired_case import wired_case

SLUICE = {"device": "sluice", "at": [4.0, 4.0, 3.0]}


def judged(**house: Any) -> list[Finding]:
    """SAFE-65 of one house."""
    return list(judge(wired_case(house)))


@pytest.mark.parametrize(
    ("height", "verdict"),
    [(1.09, Verdict.FAILS), (1.1, Verdict.THIN), (1.39, Verdict.THIN), (1.41, Verdict.HOLDS)],
)
def test_safe_65_the_lowest_thing_against_the_mark(height: float, verdict: Verdict) -> None:
    """A flood reached 1.1 m; 0.3 m more is the reserve."""
    found = judged(high_water_m=1.1, panels={"alarm": {"at": [1.0, 1.0, height]}}, receivers={})

    assert [finding.verdict for finding in found] == [verdict]
    assert found[0].margin == pytest.approx(height - 1.1)


def test_safe_65_a_sluice_makes_it_ask_for_the_mark_and_a_valve_does_not() -> None:
    """What holds water back by power has water before it."""
    asked = judged(devices={"sluice": SLUICE}, receivers={})
    dry = judged(devices={"tap": {"device": "valve", "at": [4.0, 4.0, 3.0]}}, receivers={})

    assert [finding.verdict for finding in asked] == [Verdict.UNKNOWN]
    assert "high_water" in str(asked[0].asks)
    assert dry == []


def test_safe_65_a_height_that_nobody_measured_does_not_make_it_hold() -> None:
    """One box hangs high; how high the other hangs is asked, and one that is under fails whatever that is."""
    high, low = [1.0, 1.0, 5.0], [1.0, 1.0, 0.4]
    unsaid = {"alarm": {"at": [2.0, 2.0]}}
    unknown = judged(
        high_water_m=1.1, panels=unsaid, devices={"sluice": {**SLUICE, "at": high}}, receivers={}
    )
    under = judged(high_water_m=1.1, panels=unsaid, devices={"sluice": {**SLUICE, "at": low}}, receivers={})

    assert [finding.verdict for finding in (*unknown, *under)] == [Verdict.UNKNOWN, Verdict.FAILS]
    assert "sluice at 0.4 m" in under[0].says


def test_safe_65_a_thing_without_a_place_does_not_make_it_hold() -> None:
    """Nobody says where the pump stands: it may stand in the water."""
    high = {"sluice": {**SLUICE, "at": [1.0, 1.0, 5.0]}}

    known = judged(high_water_m=1.1, devices=high, receivers={})
    unsaid = judged(high_water_m=1.1, devices={**high, "pump": {"device": "pump"}}, receivers={})

    assert [finding.verdict for finding in (*known, *unsaid)] == [Verdict.HOLDS, Verdict.UNKNOWN]
