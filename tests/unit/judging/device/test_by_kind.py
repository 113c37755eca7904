"""What is feared of a thing though nobody entered the fact for it: its way by its name, its travel by its
speed, its hold by its kind.
"""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.device import moves as device
from farpress.judging.output import times
from helpers.findings import finding_of
from helpers.logic_case import a_case

PULSE = {"kind": "pulse", "for_s": 0.5}
MOTOR = {"device": "garage door", "load": "motor", "current_a": 0.9, "travel_s": 26.0, "safeguards": ()}
HOIST = {"device": "winch", "way_m": 6.0, "speed_m_per_s": 0.25, "stops_after_s": 0.1}
HELD = {"device": "magnetic lock", "escape_route": True, "fails": "unlocked"}


def _runs(for_s: float, **changed: Any) -> list[Finding]:
    outputs = {"1": {"kind": "pulse", "for_s": for_s, "works": "door.down"}}
    return list(device.judge(a_case(outputs, devices={"door": {**MOTOR, **changed}})))


@pytest.mark.parametrize(
    ("for_s", "verdict"), [(26.0 * 1.15 - 0.1, Verdict.FAILS), (26.0 * 1.15 + 2.0, Verdict.UNKNOWN)]
)
def test_a_motor_on_the_contact_stops_when_the_pulse_ends(for_s: float, verdict: Verdict) -> None:
    """Whatever its input does: too short stays too short, and long enough is not yet said to be right."""
    assert finding_of(_runs(for_s), "DEV-01").verdict is verdict


def test_an_input_called_down_closes_until_somebody_reads_what_it_does() -> None:
    """No safeguards, and nobody wrote the logic of the input: the same refusal as where it is written."""
    named = finding_of(_runs(30.0), "DEV-03")
    said = finding_of(_runs(30.0, inputs={"down": {"logic": "down"}}), "DEV-03")

    assert named.verdict is said.verdict is Verdict.FAILS


@pytest.mark.parametrize(
    ("speed", "verdict"), [(0.19, Verdict.FAILS), (0.4, Verdict.HOLDS), (None, Verdict.UNKNOWN)]
)
def test_the_way_over_the_speed_is_a_travel(speed: float | None, verdict: Verdict) -> None:
    """6 m at 0.19 m/s take 31.6 s and 15 % more, and the fob stops after 30 s; 15 s are well within."""
    hoist = {**HOIST, "speed_m_per_s": speed, "inputs": {"up": {"logic": "up"}}}
    case = a_case(
        {"1": {"kind": "follow", "works": "hoist.up"}}, devices={"hoist": hoist}, fob={"cut_off_s": 30.0}
    )

    assert finding_of(list(times.judge_times(case)), "OUT-03").verdict is verdict


@pytest.mark.parametrize(
    ("ways", "verdict"),
    [
        (None, Verdict.UNKNOWN),
        ((), Verdict.FAILS),
        (("fire alarm",), Verdict.FAILS),
        (("fire alarm", "break glass"), Verdict.UNKNOWN),
        (("handle",), Verdict.UNKNOWN),
    ],
)
def test_a_magnet_on_a_way_out_is_cut_by_hand_there(ways: tuple[str, ...] | None, verdict: Verdict) -> None:
    """A magnet has no handle: where nothing at the way out cuts its current, people are held in."""
    case = a_case({"1": {**PULSE, "works": "magnet.on"}}, devices={"magnet": {**HELD, "released_by": ways}})
    finding = finding_of(list(device.judge(case)), "DEV-04", "magnet")

    assert finding.verdict is verdict
    assert ("call point" in finding.remedies[0].does) is (verdict is Verdict.FAILS)


@pytest.mark.parametrize(("come", "verdict"), [(60, Verdict.HOLDS), (95, Verdict.THIN), (101, Verdict.FAILS)])
def test_people_come_one_after_the_other_through_a_wicket(come: int, verdict: Verdict) -> None:
    """6 s each: 100 in ten minutes."""
    traffic = ({"place": "here", "function": "f1", "arrivals": {"14:50-15:00": come}, "passage_s": 6.0},)
    wicket = {"wicket": {"device": "wicket", "escape_route": False, "opens_by_hand": True}}
    case = a_case({"1": {**PULSE, "works": "wicket.on"}}, devices=wicket, traffic=traffic)
    finding = finding_of(list(device.judge(case)), "DEV-05")

    assert finding.verdict is verdict
    assert f"{come} people come" in finding.says
