"""A motor that runs too long in a row stops by its thermal switch: judged by runs and by the busiest hour."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.device.warming import judge_warming
from helpers.findings import finding_of
from helpers.logic_case import SHUTTER, a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
BLIND: dict[str, Any] = SHUTTER | {"load": "motor", "travel_s": 40.0, "travel_worst_s": 42.0}


def _found(per_day: float | None = None, **sheet: Any) -> list[Finding]:
    outputs: dict[str, dict[str, Any]] = {
        number: {"kind": "follow", "works": f"shutter.{way}", "operations_per_day": per_day}
        for number, way in (("1", "up"), ("2", "down"))
    }
    return list(judge_warming(a_case(outputs, devices={"shutter": BLIND | sheet})))


@pytest.mark.parametrize(("runs", "verdict"), [(6, FAILS), (5, HOLDS), (1, HOLDS)])
def test_dev_08_runs_in_a_row_against_four_minutes(runs: int, verdict: Verdict) -> None:
    """By hand: 6 x 42 s = 252 s, 5 x 42 s = 210 s, of 240 s that a tubular motor may run."""
    finding = finding_of(_found(longest_run_s=240.0, runs_in_a_row=runs), "DEV-08")

    assert finding.verdict is verdict
    assert finding.value == pytest.approx(42.0 * runs)


@pytest.mark.parametrize(
    ("longest", "verdict"), [(209.9, FAILS), (210.0, THIN), (233.0, THIN), (234.0, HOLDS)]
)
def test_dev_08_at_its_limit(longest: float, verdict: Verdict) -> None:
    """Thin within a tenth of what it may run."""
    finding = finding_of(_found(longest_run_s=longest, runs_in_a_row=5), "DEV-08")

    assert finding.verdict is verdict
    assert finding.margin == pytest.approx(longest - 210.0)


@pytest.mark.parametrize(
    ("per_day", "cools", "limit", "verdict"),
    [
        (20.0, None, 240.0, HOLDS),  # 4 runs of 42 s in the busiest hour, below 240 s even in one row
        (40.0, None, 240.0, UNKNOWN),  # 8 do not; how it cools is asked
        (40.0, 1200.0, 600.0, HOLDS),  # 240 s of each 1440 s
        (40.0, 7200.0, 116.13, FAILS),  # 240 s of each 7440 s
    ],
)
def test_dev_08_the_busiest_hour_counts_where_nobody_says_how_many_follow_each_other(
    per_day: float, cools: float | None, limit: float, verdict: Verdict
) -> None:
    """A day's runs fall into ten hours."""
    finding = finding_of(_found(per_day, longest_run_s=240.0, cools_s=cools), "DEV-08")

    assert finding.verdict is verdict
    assert finding.limit == pytest.approx(limit, rel=1e-4)


@pytest.mark.parametrize(
    ("longest", "does"),
    [
        (41.0, "A motor made for a whole travel and more"),
        (42.0, "At most 1 run in a row"),
        (84.0, "At most 2 runs"),
    ],
)
def test_dev_08_as_many_runs_are_left_as_fit(longest: float, does: str) -> None:
    """Runs of 42 s: none, one, two of them; four follow each other today."""
    finding = finding_of(_found(longest_run_s=longest, runs_in_a_row=4), "DEV-08")

    assert finding.remedies[0].does.startswith(does)


def test_dev_08_what_is_missing_is_asked() -> None:
    """Neither how long it may run nor how often it does."""
    nothing = _found()
    finding = finding_of(nothing, "DEV-08")

    assert finding.verdict is UNKNOWN
    assert any("S2" in ask.says for ask in finding.asks)


def test_a_drive_with_its_own_control_looks_after_its_own_motor() -> None:
    """It counts its runs itself."""
    gate = a_case({"1": {"kind": "pulse", "for_s": 0.5, "works": "gate.start"}})

    assert not list(judge_warming(gate))
