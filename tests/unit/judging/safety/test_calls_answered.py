"""Hours of a week counted by hand at which nobody answers, and presses that call and open."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.safety import calls_answered
from helpers.findings import finding_of
from helpers.logic_case import a_case

OUTPUTS: dict[str, Any] = {
    "1": {"kind": "pulse", "for_s": 60.0, "works": "siren.on"},
    "2": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"},
    "3": {"kind": "toggle", "works": "lamp.on"},
}
PATHS = {name: {"output": f"house/R1/{name[1]}"} for name in ("f1", "f2", "f3")}
WORKING = ("monday", "tuesday", "wednesday", "thursday", "friday")


def judged(function: dict[str, Any] | None = None, buttons: dict[str, Any] | None = None) -> list[Finding]:
    """Findings about a siren that calls, a gate and a lamp."""
    functions = {**PATHS, "f1": {**PATHS["f1"], "kind": "call", **(function or {})}}
    groups = {"residents": {"count": 4, "buttons": buttons or {"1": "f1"}}}
    return list(calls_answered.judge(a_case(OUTPUTS, functions=functions, groups=groups)))


@pytest.mark.parametrize(
    ("hours", "days", "nobody_h", "verdict"),
    [
        ("08:00-17:00", WORKING, 123.0, Verdict.FAILS),
        ("00:00-24:00", ("every day",), 0.0, Verdict.HOLDS),
        ("00:00-24:00", WORKING, 48.0, Verdict.FAILS),
        ("22:00-06:00", ("every day",), 112.0, Verdict.FAILS),
        ("00:01-00:00", ("every day",), 7 / 60, Verdict.FAILS),
    ],
)
def test_safe_25_hours_of_a_week_that_are_nobody_s(
    hours: str, days: tuple[str, ...], nobody_h: float, verdict: Verdict
) -> None:
    """168 h less 5 x 9 h are 123 h; a minute a night is seven a week."""
    finding = finding_of(judged({"answered_hours": hours, "answered_days": days}), "SAFE-25")
    assert finding.verdict is verdict
    assert finding.value == pytest.approx(nobody_h)


@pytest.mark.parametrize("given", [{}, {"answered_hours": "08:00-17:00"}, {"answered_days": ("monday",)}])
def test_safe_25_hours_or_days_that_are_not_said_are_asked(given: dict[str, Any]) -> None:
    """Every day is not taken for granted."""
    finding = finding_of(judged(given), "SAFE-25")
    assert finding.verdict is Verdict.UNKNOWN
    assert finding.asks


def test_safe_25_where_nobody_answers_at_all_another_check_refuses() -> None:
    """No second sentence about the same."""
    assert not [finding for finding in judged({"answered_by": "nobody"}) if finding.code == "SAFE-25"]


@pytest.mark.parametrize(
    ("buttons", "fails"),
    [
        ({"1": ("f1", "f2")}, True),
        ({"1": ("f1", "f3")}, False),
        ({"1": "f1", "2": "f2"}, False),
        ({"1": {"short": "f2", "long": ("f1", "f2")}}, True),
    ],
)
def test_safe_24_one_press_that_calls_and_opens(buttons: dict[str, Any], fails: bool) -> None:
    """A light with the call is welcome, the gate is not; on buttons of their own nothing is said."""
    found = [finding.verdict for finding in judged(buttons=buttons) if finding.code == "SAFE-24"]
    assert found == [Verdict.FAILS] * fails
