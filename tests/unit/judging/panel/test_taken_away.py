"""Zones whose watched thing leaves at times, and zones measured wet."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.panel import zones
from helpers.findings import finding_of
from helpers.logic_case import a_case

LOOP = {
    "scheme": "double end-of-line",
    "normal_ohm": 4700.0,
    "alarm_ohm": 4700.0,
    "tolerance_share": 0.0,
    "bands": (
        {"reads": "short", "to_ohm": 1000.0},
        {"reads": "normal", "from_ohm": 3800.0, "to_ohm": 5600.0},
        {"reads": "alarm", "from_ohm": 7500.0, "to_ohm": 11000.0},
        {"reads": "open", "from_ohm": 15000.0},
    ),
}


def _found(areas: dict[str, Any] | None = None, **zone: Any) -> list[Finding]:
    mounted = {"zones": {"boat": {"loop": LOOP, "contacts": 1, **zone}}, "areas": areas or {}}
    return list(zones.judge(a_case({}, mounted_panel=mounted)))


@pytest.mark.parametrize(
    ("by", "areas", "verdict"),
    [
        (None, {}, Verdict.UNKNOWN),
        ("nobody", {}, Verdict.FAILS),
        ("a bridge", {"boat": {"zones": ("boat",)}}, Verdict.FAILS),
        ("a user by code", {"all": {"zones": ("boat", "hall")}}, Verdict.THIN),
        ("a user by code", {"boat": {"zones": ("boat",)}}, Verdict.HOLDS),
    ],
)
def test_pan_50_what_leaves_is_taken_out_by_somebody_who_may(
    by: str | None, areas: dict[str, Any], verdict: Verdict
) -> None:
    """Never bridged; best as an area of its own."""
    found = finding_of(_found(areas, taken_away_per_day=4 / 365.25, isolated_by=by), "PAN-50")

    assert found.verdict is verdict
    assert "leaves 4 times a year" in found.says


def test_pan_50_is_of_what_leaves() -> None:
    """Of nothing else it is asked."""
    assert "PAN-50" not in {finding.code for finding in _found()}


@pytest.mark.parametrize(
    ("wet_ohm", "verdict", "says"),
    [
        (8200.0, Verdict.FAILS, "2.988 kohm (no state: a fault); 1 open 4.38 kohm (normal)"),
        (1e6, Verdict.UNKNOWN, "1 open 9.312 kohm (alarm)"),
    ],
)
def test_pan_51_a_zone_is_judged_wet_as_well(wet_ohm: float, verdict: Verdict, says: str) -> None:
    """4.7 k and 9.4 k beside 8.2 k are 2.988 k and 4.380 k, by hand; else its cable is asked."""
    found = _found(found={"leak_ohm": 1e7, "leak_wet_ohm": wet_ohm})

    assert finding_of(found, "PAN-51").verdict is verdict
    assert says in finding_of(found, "PAN-51").says
    assert finding_of(found, "PAN-23").verdict is Verdict.UNKNOWN
