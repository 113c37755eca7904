"""A hanging load held from a fob that runs on too far, or gives up on the way, is refused."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.device.moves import judge as judge_moves
from farpress.judging.output.lasting import judge as judge_lasting
from farpress.judging.output.toggling import judge_toggling
from farpress.judging.safety.machines import judge as judge_machines
from helpers.findings import finding_of
from helpers.logic_case import GATE, a_case

THIN, FAILS = Verdict.THIN, Verdict.FAILS
WINCH: dict[str, Any] = {
    "device": "winch",
    "travel_s": 20.0,
    "stops_after_s": 0.6,
    "inputs": {"haul": {"logic": "up", "wants": "maintained"}},
}
GROUP: dict[str, Any] = {"all": {"people": ("Ana",), "buttons": {"1": "f1"}}}
PROMISES = ({"to": "all", "function": "f1", "from": "here"},)
HELD: dict[str, Any] = {"1": {"kind": "follow", "works": "winch.haul"}}


def _case(speed: float, travel_s: float = 20.0) -> Any:
    sheet = {**WINCH, "speed_m_per_s": speed, "travel_s": travel_s}
    return a_case(HELD, devices={"winch": sheet}, groups=GROUP, promises=PROMISES, sees=("winch",))


@pytest.mark.parametrize(
    ("speed", "travel_s", "verdict"),
    [(0.09, 20.0, THIN), (0.1, 20.0, THIN), (0.101, 20.0, FAILS), (0.09, 30.0, THIN), (0.09, 30.5, FAILS)],
)
def test_safe_12_a_load_that_only_a_thumb_stops(speed: float, travel_s: float, verdict: Verdict) -> None:
    """Drop-out 0.4 s and 0.6 s to stop are 100 mm at 0.1 m/s; the fob gives up after 30 s."""
    assert finding_of(judge_machines(_case(speed, travel_s)), "SAFE-12").verdict is verdict


def test_dev_02_no_slower_leaf_is_advised_for_a_hanging_load() -> None:
    """A winch has no leaf: a fixed control is offered."""
    found = finding_of(judge_moves(_case(0.2)), "DEV-02")

    assert found.verdict is FAILS
    assert [one.does.startswith("A fixed push-and-hold control") for one in found.remedies] == [True]


def _lasting(works: str, **devices: Any) -> Finding:
    outputs: dict[str, Any] = {"1": {"kind": "pulse", "for_s": 140.0, "works": works}}
    functions = {"f1": {"output": "house/R1/1", "lasts_s": 21_600.0}}
    case = a_case(outputs, functions=functions, receiver={"pulse_max_s": 600.0}, devices=devices)
    return finding_of(judge_lasting(case), "OUT-14")


def test_out_14_what_is_offered_fits_the_thing() -> None:
    """A sluice waits for water, beams wait for whoever stands there; neither for a rope."""
    sluice = {"device": "sluice", "inputs": {"open": {"logic": "open only", "wants": "maintained"}}}
    assert "a level" in _lasting("sluice.open", sluice=sluice).remedies[0].does
    beams = {**GATE, "inputs": {"beams": {"logic": "safety"}}}
    assert "No fob on a safety input" in _lasting("gate.beams", gate=beams).remedies[0].does


def test_out_02_no_pulse_is_advised_for_a_traffic_light() -> None:
    """Neither a time nor two buttons keep two ways apart."""
    light = {"device": "traffic light", "inputs": {"on": {"logic": "on", "wants": "maintained"}}}
    case = a_case({"1": {"kind": "toggle", "works": "light.on"}}, devices={"light": light})
    found = [one for output in case.outputs() for one in judge_toggling(case, output)]

    assert found[0].verdict is FAILS
    assert ["both sides are red" in one.does for one in found[0].remedies] == [True]
