"""Edges from leaf and angle, holding as a way round, gates that wait for each other."""

from __future__ import annotations

import math
from typing import Any

import pytest

from farpress.case.leaf import edge_speed_m_per_s
from farpress.domain.device_sheets import DeviceSheet
from farpress.domain.finding import Verdict
from farpress.judging.device import moves
from farpress.judging.output import suits
from farpress.judging.rules import built
from helpers.findings import finding_of
from helpers.logic_case import a_case
from helpers.wired_case import wired_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
SWING: dict[str, Any] = {
    "device": "swing gate",
    "leaf_m": 5.5,
    "angle_deg": 90.0,
    "travel_s": 14.0,
    "stops_after_s": 0.3,
    "safeguards": (),
}


@pytest.mark.parametrize(
    ("sheet", "speed"),
    [
        (SWING, 5.5 * math.pi / 2 / 14.0),
        ({**SWING, "angle_deg": None}, None),
        ({**SWING, "travel_back_s": 7.0}, 5.5 * math.pi / 2 / 7.0),
        ({**SWING, "speed_m_per_s": 0.2}, 0.2),
        ({**SWING, "leaf_m": None}, None),
        ({"device": "sliding gate", "leaf_m": 6.0, "travel_s": 14.0}, 6.0 / 14.0),
        ({"device": "shutter", "leaf_m": 4.5, "travel_s": 37.5}, 0.12),
    ],
)
def test_the_edge_goes_its_way_in_its_time(sheet: dict[str, Any], speed: float | None) -> None:
    """The arc of the tip, or the clear width, over the shorter travel; a measured speed wins; on hinges
    without an angle nobody knows.
    """
    assert edge_speed_m_per_s(DeviceSheet(**sheet)) == (None if speed is None else pytest.approx(speed))


@pytest.mark.parametrize(
    ("leaf_m", "verdict"), [(0.7857, FAILS), (0.7856, THIN), (0.7072, THIN), (0.7070, HOLDS)]
)
def test_dev_02_counts_with_the_speed_of_the_tip(leaf_m: float, verdict: Verdict) -> None:
    """0.4 s + 0.3 s at the tip's speed: 100 mm at 0.7856 m x pi/2 / 14 s x 0.7 s ... x 100/61.7; thin from
    nine tenths on. By hand: leaf = 0.1 x 14 / (0.7 x pi/2) x f with f the drop-out of the helper.
    """
    most = 0.1 * 7.0 / (0.7 * math.pi / 2)  # a travel of 7 s, 0.4 s of drop-out, 0.3 s to stop
    factor = leaf_m / 0.78565
    sheet = {**SWING, "leaf_m": most * factor, "travel_s": 7.0, "inputs": {"up": {"logic": "up"}}}
    case = a_case({"1": {"kind": "follow", "works": "swing.up"}}, devices={"swing": sheet})

    assert finding_of(moves.judge(case), "DEV-02").verdict is verdict


@pytest.mark.parametrize(("speed", "told"), [(0.142, False), (0.144, True)])
def test_dev_03_holding_the_button_is_no_way_round_where_the_leaf_runs_on(speed: float, told: bool) -> None:
    """0.7 s at 0.1429 m/s are 100 mm: told beyond, silent up to it."""
    sheet = {**SWING, "speed_m_per_s": speed, "closes_after_s": 20.0, "inputs": {"start": {"logic": "start"}}}
    case = a_case({"1": {"kind": "pulse", "for_s": 0.5, "works": "swing.start"}}, devices={"swing": sheet})
    finding = finding_of(moves.judge(case), "DEV-03")

    assert finding.verdict is FAILS
    assert ("would run on by 101 mm after the button is let go, more than 100 mm" in finding.because) is told


def test_dev_03_names_the_places_from_which_it_is_not_seen() -> None:
    """It closes by itself, and is worked by somebody who does not see it."""
    sheet = {**SWING, "closes_after_s": 20.0, "inputs": {"start": {"logic": "start"}}}
    promises = ({"to": "pair", "function": "f1", "from": "here"},)
    for sees, is_told in (((), True), (("swing",), False)):
        case = a_case(
            {"1": {"kind": "pulse", "for_s": 0.5, "works": "swing.start"}},
            devices={"swing": sheet},
            promises=promises,
            sees=sees,
        )
        assert ("worked from here" in finding_of(moves.judge(case), "DEV-03").says) is is_told


def test_out_03_says_how_much_of_the_door_is_left() -> None:
    """A door of 4.5 m in 37.5 s, a fob that gives up after 30 s: a fifth, 0.90 m; two presses are no cure."""
    door = {"device": "shutter", "leaf_m": 4.5, "travel_s": 37.5, "inputs": {"up": {"logic": "up"}}}
    case = a_case({"1": {"kind": "follow", "works": "door.up"}}, devices={"door": door})
    finding = finding_of(suits.judge(case), "OUT-03")

    assert finding.verdict is FAILS
    assert "0.90 m of 4.5 m" in finding.because
    assert not any("press again" in remedy.does for remedy in finding.remedies)


def lock(waits_by: str | None = None, *, one_press: bool = False, mutual: bool = True, **job: Any) -> Any:
    """Two sliding gates, each to open only while the other is closed."""
    gate = {
        "device": "sliding gate",
        "travel_s": 14.0,
        "travel_back_s": 16.0,
        "inputs": {"start": {"logic": "start", "wants": "pulse"}},
        "waits_by": waits_by,
    }
    outputs = {
        n: {"kind": "pulse", "for_s": 1.0, "works": f"{name}.start"} for n, name in (("1", "GA"), ("2", "GB"))
    }
    outputs["1"]["interlock"], outputs["2"]["interlock"] = "2", "1"
    paths = [f"larkfen/R1/{n}" for n in outputs]
    functions: dict[str, Any] = {"outer": {"output": paths[0]}, "inner": {"output": paths[1]}}
    if one_press:
        functions = {"both": {"outputs": paths}}
    return wired_case(
        {
            "receivers": {"R1": {"at": [0, 0], "outputs": outputs}},
            "devices": {
                "GA": gate | {"waits_for": ["GB"]},
                "GB": gate | ({"waits_for": ["GA"]} if mutual else {}),
            },
            "places": {"car": {"at": [0, 0]}},
        },
        functions=functions,
        **job,
    )


@pytest.mark.parametrize(
    ("waits_by", "one_press", "verdict"),
    [
        ("end contacts", True, HOLDS),
        ("drives", False, HOLDS),
        ("people", False, FAILS),
        (None, True, FAILS),
        (None, False, UNKNOWN),
    ],
)
def test_dev_06_something_makes_a_gate_wait(waits_by: str | None, one_press: bool, verdict: Verdict) -> None:
    """The drives do, people do not; a press that commands both settles it where nobody says."""
    found = [
        finding for finding in moves.judge(lock(waits_by, one_press=one_press)) if finding.code == "DEV-06"
    ]

    assert [finding.verdict for finding in found] == [verdict, verdict]


@pytest.mark.parametrize(
    ("waits_by", "mutual", "verdict"),
    [("end contacts", True, HOLDS), ("end contacts", False, FAILS), (None, True, FAILS)],
)
def test_rule_01_of_leaves_is_not_held_by_an_interlock_of_pulses(
    waits_by: str | None, mutual: bool, verdict: Verdict
) -> None:
    """The pulse of a second is over while the leaf stands open for half a minute."""
    case = lock(waits_by, mutual=mutual, rules=[{"never": "both on", "of": ["GA", "GB"]}])
    finding = finding_of(built.judge(case), "RULE-01")

    assert finding.verdict is verdict
    assert not any(change for remedy in finding.remedies for change in remedy.changes)


@pytest.mark.parametrize(("come", "verdict"), [(51, FAILS), (50, THIN), (41, THIN), (40, HOLDS)])
def test_dev_05_a_lock_passes_one_vehicle_through_both_gates_in_turn(come: int, verdict: Verdict) -> None:
    """(14 + 6 + 16) x 2 = 72 s: 50 an hour; thin within a fifth, from 40 on."""
    traffic = [{"place": "car", "function": "outer", "arrivals": {"17:00-18:00": come}, "passage_s": 6.0}]
    finding = finding_of(moves.judge(lock("drives", traffic=traffic)), "DEV-05")

    assert finding.verdict is verdict
    assert finding.limit == pytest.approx(50.0)
    assert "passes 50: 72 s for each vehicle (50 an hour)" in finding.says


@pytest.mark.parametrize(
    ("height_m", "verdict"),
    [(None, FAILS), (0.5, FAILS), (2.49, FAILS), (2.5, THIN), (2.69, THIN), (2.7, HOLDS), (3.5, HOLDS)],
)
def test_dev_03_a_window_that_nobody_reaches_needs_no_safeguard(
    height_m: float | None, verdict: Verdict
) -> None:
    """From the gallery half a metre, from the floor three and a half; EN ISO 13857, from memory."""
    window = {
        "device": "window",
        "travel_s": 36.0,
        "safeguards": (),
        "edge_height_m": height_m,
        "inputs": {"down": {"logic": "down"}},
    }
    case = a_case({"1": {"kind": "pulse", "for_s": 43.0, "works": "window.down"}}, devices={"window": window})

    assert finding_of(moves.judge(case), "DEV-03").verdict is verdict
