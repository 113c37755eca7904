"""What a battery must carry, worked out by hand: amperes by shares of an hour, ampere hours of one alarm."""

from __future__ import annotations

import pytest

from farpress.case.cabling import ends_of
from farpress.domain.finding import Verdict
from farpress.judging.supply.standby import judge_standby
from farpress.judging.supply.standby_draw import StandbyDraw, standby_draw
from helpers.findings import finding_of
from helpers.wired_case import wired_case


def test_an_alarm_of_a_quarter_of_an_hour_adds_its_charge() -> None:
    """100 + 200 + 50 mA flow anyway; 1.35 A for 15 min more than that are 1 A x 0.25 h."""
    draw = StandbyDraw(0.1, 0.2, 0.05, 1.35)

    assert draw.mean_a == pytest.approx(0.35)
    assert draw.alarm_ah == pytest.approx(0.25)
    assert "it is 350 mA" in draw.says
    assert "An alarm of 15 min at 1.35 A" in draw.says


@pytest.mark.parametrize(("per_day", "timed_a"), [(8640.0, 0.2), (43_200.0, 0.5), (0.0, 0.0)])
def test_what_is_on_for_a_while_counts_for_its_share_of_the_hour(per_day: float, timed_a: float) -> None:
    """0.5 A for 4 s, 360 times an hour, are on for 1 440 s of 3 600; never more than all the time."""
    case = wired_case(
        {
            "supplies": {"main": {"supply": "dc", "voltage_v": 12.0, "rated_a": 2.0}},
            "receivers": {
                "R1": {
                    "at": [0, 0],
                    "current_idle_a": 0.0,
                    "current_per_relay_a": 0.0,
                    "fed": {"from": "main"},
                    "outputs": {
                        "1": {
                            "kind": "pulse",
                            "for_s": 4.0,
                            "works": "lamp.on",
                            "load_from": "main",
                            "operations_per_day": per_day,
                        }
                    },
                }
            },
            "devices": {"lamp": {"device": "lamp", "supply": "dc", "voltage_v": 12.0, "current_a": 0.5}},
        }
    )

    assert standby_draw(case, "larkfen", "main").timed_a == pytest.approx(timed_a)


@pytest.mark.parametrize(
    ("daily_s", "kept_a", "timed_a"),
    [(None, 0.5, 0.0), (6 * 3600.0, 0.0, 0.125), (24 * 3600.0, 0.0, 0.5), (0.0, 0.0, 0.0)],
)
def test_what_keeps_a_state_is_on_all_day_unless_its_hours_are_given(
    daily_s: float | None, kept_a: float, timed_a: float
) -> None:
    """Six of 24 hours of 0.5 A are 0.125 A on the average; without hours a battery has to carry all of it."""
    output = {"kind": "toggle", "works": "lamp.on", "load_from": "main", "daily_s": daily_s}
    case = wired_case(
        {
            "supplies": {"main": {"supply": "dc", "voltage_v": 12.0, "rated_a": 2.0}},
            "receivers": {
                "R1": {
                    "at": [0, 0],
                    "current_idle_a": 0.0,
                    "current_per_relay_a": 0.0,
                    "fed": {"from": "main"},
                    "outputs": {"1": output},
                }
            },
            "devices": {"lamp": {"device": "lamp", "supply": "dc", "voltage_v": 12.0, "current_a": 0.5}},
        }
    )
    draw = standby_draw(case, "larkfen", "main")

    assert (draw.kept_a, draw.timed_a) == (pytest.approx(kept_a), pytest.approx(timed_a))


@pytest.mark.parametrize(("coldest", "told"), [(None, True), (25.0, False), (0.0, False)])
def test_a_battery_of_which_nobody_says_how_cold_it_gets_tells_what_a_warm_room_gives(
    coldest: float | None, told: bool
) -> None:
    """671 mA for 12 h by 1.25 for wear and 1.1 for a fast discharge are 11.07 Ah, and 7 Ah last 7.59 h."""
    battery = {"capacity_ah": 7.0, "voltage_v": 12.0, "end_v": 10.8, "coldest_degc": coldest}
    lamp = {"device": "other", "supply": "dc", "current_a": 0.671, "current_rest_a": 0.671}
    supply = {"supply": "dc", "voltage_v": 13.6, "rated_a": 2.0, "standby_s": 43_200.0, "battery": battery}
    case = wired_case({"supplies": {"main": supply}, "devices": {"lamp": {**lamp, "fed": {"from": "main"}}}})
    part, battery_part = case.equipment.supplies["larkfen/main"], case.equipment.batteries["larkfen/main"]
    ends = ends_of(case, "larkfen", "main")
    findings = list(judge_standby(case, "larkfen", "main", part, battery_part, ends))
    finding = finding_of(findings, "SUP-04")

    assert finding.verdict is Verdict.FAILS
    assert ("7.6 h, and 11.1 Ah would carry what waits" in finding.because) is told, finding.because
