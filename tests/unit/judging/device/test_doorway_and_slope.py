"""Leaves overhead with a small door in them, and leaves that roll on ground that is not level."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.device.doorway import judge_doorway
from farpress.judging.device.slope import judge_slope
from helpers.findings import finding_of
from helpers.logic_case import GARAGE, GATE, a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
BAY: dict[str, Any] = {**GARAGE, "doorway": None, "leaf_m": 4.0, "travel_s": 20.0, "travel_worst_s": 20.0}


def _bay(code: str, doorway: dict[str, Any] | None, **sheet: Any) -> Finding:
    bay = {**BAY, **sheet} | ({} if doorway is None else {"doorway": doorway})
    case = a_case({"1": {"kind": "pulse", "works": "bay.start"}}, devices={"bay": bay})
    return finding_of(judge_doorway(case), code)


@pytest.mark.parametrize(
    ("doorway", "name", "verdict"),
    [
        (None, "bay", UNKNOWN),
        ({}, "bay", UNKNOWN),
        ({"wicket": "none"}, "bay", HOLDS),
        ({"wicket": "stops the drive"}, "bay", HOLDS),
        ({"wicket": "no contact"}, "bay", FAILS),
        ({"wicket": "none"}, "bay with pass-door", UNKNOWN),
        (None, "bay with pass-door", UNKNOWN),
    ],
)
def test_dev_70_a_leaf_does_not_start_while_the_small_door_in_it_is_open(
    doorway: dict[str, Any] | None, name: str, verdict: Verdict
) -> None:
    """Asked of each leaf overhead; a word about such a door stands against 'none'."""
    bay = BAY | ({} if doorway is None else {"doorway": doorway})
    case = a_case({"1": {"kind": "pulse", "works": f"{name}.start"}}, devices={name: bay})
    finding = finding_of(judge_doorway(case), "DEV-70")

    assert finding.verdict is verdict
    assert finding.bars is (verdict is FAILS)
    assert finding.halts is (name != "bay")


@pytest.mark.parametrize(
    ("tallest", "verdict"), [(3.8, HOLDS), (3.95, THIN), (4.0, THIN), (4.01, FAILS), (None, UNKNOWN)]
)
def test_dev_71_what_drives_through_is_lower_than_the_leaf(tallest: float | None, verdict: Verdict) -> None:
    """4.0 m free; a decimetre is what nobody measures."""
    assert _bay("DEV-71", {"tallest_m": tallest}).verdict is verdict


@pytest.mark.parametrize(
    ("change", "told", "verdict"),
    [
        ({"travel_worst_s": 40.0}, None, FAILS),
        ({"travel_worst_s": 40.0}, "nothing", FAILS),
        ({"travel_worst_s": 40.0}, "light at the end of travel", HOLDS),
        ({"travel_worst_s": None}, None, UNKNOWN),
        ({"travel_worst_s": None}, "nothing", UNKNOWN),
        ({"travel_worst_s": None}, "light at the end of travel", HOLDS),
        ({"leaf_m": None}, "light at the end of travel", UNKNOWN),
    ],
)
def test_dev_71_who_drives_as_usual_on_a_slow_day_meets_the_leaf(
    change: dict[str, Any], told: str | None, verdict: Verdict
) -> None:
    """Twice as slow: 2 m free after the usual time, by hand; a light at the end is waited for."""
    finding = _bay("DEV-71", {"tallest_m": 3.0, "told_open": told}, **change)

    assert finding.verdict is verdict
    if verdict is FAILS:
        assert finding.value == pytest.approx(2.0)


def _gate(code: str, slope: dict[str, Any] | None, leaf_m: float | None = 5.0) -> Finding:
    gate = {**GATE, "leaf_m": leaf_m, "slope": slope}
    case = a_case({"1": {"kind": "pulse", "works": "gate.open"}}, devices={"gate": gate})
    return finding_of(judge_slope(case), code)


@pytest.mark.parametrize(
    ("slope", "leaf_m", "verdict"),
    [
        (None, 5.0, UNKNOWN),
        ({}, 5.0, UNKNOWN),
        ({"climbs_m": 0.0}, None, HOLDS),
        ({"climbs_m": 0.09}, 5.0, HOLDS),
        ({"climbs_m": 0.11}, 5.0, FAILS),
        ({"climbs_m": 0.09}, None, FAILS),
        ({"climbs_m": 0.3, "held_by": "brake"}, 5.0, HOLDS),
        ({"climbs_m": 0.3, "held_by": "drive alone"}, 5.0, FAILS),
        ({"held_by": "nothing"}, 5.0, UNKNOWN),
        ({"climbs_m": 5.0, "held_by": "brake"}, 5.0, HOLDS),
        ({"climbs_m": 5.1, "held_by": "brake"}, 5.0, UNKNOWN),
    ],
)
def test_dev_72_a_leaf_stays_where_a_hand_lets_it_go(
    slope: dict[str, Any] | None, leaf_m: float | None, verdict: Verdict
) -> None:
    """Friction of two per cent holds 0.1 m on 5 m, by hand; asked of each leaf that rolls."""
    finding = _gate("DEV-72", slope, leaf_m)

    assert finding.verdict is verdict
    assert finding.bars is (verdict is FAILS)


@pytest.mark.parametrize(
    ("thrust", "verdict"), [(308.0, HOLDS), (307.0, THIN), (206.0, THIN), (205.0, FAILS), (None, UNKNOWN)]
)
def test_dev_73_the_drive_pushes_the_leaf_up(thrust: float | None, verdict: Verdict) -> None:
    """300 kg, 0.25 m on 5 m: 2942 N x (0.05 + 0.02) = 205.9 N, by hand; half as much again."""
    slope = {"climbs_m": 0.25, "leaf_kg": 300.0, "thrust_n": thrust}

    finding = _gate("DEV-73", slope)
    assert finding.verdict is verdict
    assert _gate("DEV-73", {**slope, "leaf_kg": None}).verdict is UNKNOWN
    assert finding.value == pytest.approx(205.9, abs=0.1)
    assert _gate("DEV-73", {**slope, "climbs_m": 5.1}).verdict is UNKNOWN
