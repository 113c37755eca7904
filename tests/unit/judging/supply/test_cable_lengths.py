"""Cables against the straight line between what they join: a length that cannot be is asked about."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.supply.cable_lengths import judge
from helpers.circuit_jobs import PANEL, SUPPLY, run
from helpers.wired_case import wired_case

HOLDS, UNKNOWN = Verdict.HOLDS, Verdict.UNKNOWN


def judged(length_m: float, supply_at: Any, panel_at: Any) -> list[Finding]:
    """A panel fed from a supply."""
    house = {
        "supplies": {"main": SUPPLY | {"at": supply_at}},
        "panels": {"panel": PANEL | {"at": panel_at, "fed": {"from": "main", "cable": run(length_m)}}},
    }
    return list(judge(wired_case(house)))


@pytest.mark.parametrize(
    ("length_m", "verdict"), [(47.9, UNKNOWN), (48.0, HOLDS), (48.1, HOLDS), (50.0, HOLDS), (0.5, UNKNOWN)]
)
def test_sup_33_a_cable_is_no_shorter_than_the_straight_line(length_m: float, verdict: Verdict) -> None:
    """30 and 40 m are 50 m straight across (Pythagoras); a metre at each end is how a plan is read off."""
    (finding,) = judged(length_m, [0.0, 0.0], [30.0, 40.0])

    assert finding.verdict is verdict
    assert (finding.value, finding.limit) == (length_m, pytest.approx(50.0))
    assert bool(finding.asks) is (verdict is UNKNOWN)


@pytest.mark.parametrize(("panel_at", "apart_m"), [([3.0, 4.0, 14.0], 13.0), ([3.0, 4.0], 5.0)])
def test_heights_count_where_both_are_known(panel_at: list[float], apart_m: float) -> None:
    """5 m over the ground and 12 m up are 13 m."""
    (finding,) = judged(20.0, [0.0, 0.0, 2.0], panel_at)

    assert finding.limit == pytest.approx(apart_m)


def test_what_is_on_no_plan_is_not_measured() -> None:
    """No line to hold it against."""
    assert judged(20.0, None, [3.0, 4.0]) == []
