"""An awning is taken in before a gust tears it off, whatever a fob says; and what further kinds mean."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.domain.kinds import device_kind, kind_called
from farpress.judging.device.wind import judge_wind
from farpress.judging.output.toggling import judge_toggling
from farpress.judging.safety.machines import judge as judge_machines
from helpers.findings import finding_of
from helpers.logic_case import a_case

HOLDS, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.UNKNOWN, Verdict.FAILS


TRIED: dict[str, Any] = {
    "set_to_m_per_s": 10.0,
    "read_m_per_s": 4.0,
    "in_the_open_m_per_s": 4.0,
    "line_open": "taken in",
}


def _awning(kind: str, **sheet: Any) -> Finding:
    awning = {"device": "awning", "inputs": {"out": {"logic": "up"}, "in": {"logic": "down"}}, **sheet}
    outputs: dict[str, dict[str, Any]] = {
        "1": {"kind": kind, "works": "terrace.out"},
        "2": {"kind": "follow", "works": "terrace.in"},
    }
    return finding_of(list(judge_wind(a_case(outputs, devices={"terrace": awning}))), "DEV-09")


@pytest.mark.parametrize(("sensor", "verdict"), [(True, HOLDS), (False, FAILS), (None, UNKNOWN)])
def test_dev_09_a_wind_sensor_takes_it_in(sensor: bool | None, verdict: Verdict) -> None:
    """Where nobody looked it is asked."""
    assert _awning("follow", wind_sensor=sensor, wind=TRIED if sensor else None).verdict is verdict


@pytest.mark.parametrize(("open_mps", "verdict"), [(9.0, FAILS), (4.41, FAILS), (4.4, HOLDS), (4.0, HOLDS)])
def test_dev_09_a_sensor_in_the_lee_acts_too_late(open_mps: float, verdict: Verdict) -> None:
    """Set to 10 m/s and reading 4 where there are 9 it acts at 22.5; a tenth is left for two instruments."""
    found = _awning("follow", wind_sensor=True, wind={**TRIED, "in_the_open_m_per_s": open_mps})

    assert found.verdict is verdict
    assert ("22.5 m/s" in found.says) is (open_mps == 9.0)
    assert any("set it to 4.9 m/s" in one.does for one in found.remedies) is (open_mps == 9.0)


@pytest.mark.parametrize(("bears", "verdict"), [(22.4, FAILS), (22.5, HOLDS), (23.0, HOLDS)])
def test_dev_09_what_it_bears_counts_where_it_is_known(bears: float, verdict: Verdict) -> None:
    """The limit is what the thing stands, not what somebody turned."""
    wind = {**TRIED, "in_the_open_m_per_s": 9.0, "bears_m_per_s": bears}
    assert _awning("follow", wind_sensor=True, wind=wind).verdict is verdict


@pytest.mark.parametrize(
    ("wind", "verdict"),
    [
        ({**TRIED, "line_open": "left out"}, FAILS),
        ({**TRIED, "line_open": None}, UNKNOWN),
        ({"line_open": "taken in"}, UNKNOWN),
        (None, UNKNOWN),
    ],
)
def test_dev_09_a_sensor_that_is_lost_takes_in_and_what_is_not_tried_is_asked(
    wind: dict[str, Any] | None, verdict: Verdict
) -> None:
    """An open line that reads as no wind leaves it out; leaving the trial away is no better."""
    found = _awning("follow", wind_sensor=True, wind=wind)

    assert found.verdict is verdict
    assert bool(found.asks) is (verdict is UNKNOWN)


@pytest.mark.parametrize(("sensor", "verdict"), [(True, FAILS), (False, FAILS), (None, FAILS)])
def test_dev_09_an_output_that_stays_on_holds_it_out_against_any_sensor(
    sensor: bool | None, verdict: Verdict
) -> None:
    """A toggle or latch on the way out has the last word."""
    assert _awning("toggle", wind_sensor=sensor).verdict is verdict
    assert _awning("latch", wind_sensor=sensor).verdict is verdict


def test_dev_09_is_about_what_fears_wind_alone() -> None:
    """Neither a gate nor a shutter."""
    assert not list(judge_wind(a_case({"1": {"kind": "follow", "works": "shutter.up"}})))


@pytest.mark.parametrize("kind", ["sluice", "platform", "fan", "pool cover"])
def test_what_hurts_is_refused_where_it_is_not_seen_and_where_it_is_toggled(kind: str) -> None:
    """Each by its traits: started unseen it is refused, toggled it is refused."""
    thing = {"thing": {"device": kind, "inputs": {"on": {"logic": "on"}}}}
    group = {"all": {"people": ("Ana",), "buttons": {"1": "f1"}}}
    promises = ({"to": "all", "function": "f1", "from": "here"},)
    case = a_case(
        {"1": {"kind": "toggle", "works": "thing.on"}}, devices=thing, groups=group, promises=promises
    )

    assert finding_of(list(judge_machines(case)), "SAFE-12").verdict is FAILS
    assert [one.verdict for output in case.outputs() for one in judge_toggling(case, output)] == [FAILS]


def test_a_platform_moves_only_while_the_button_is_held_and_a_sluice_need_not() -> None:
    """One hangs on a rope or a ram, the other runs on a spindle."""
    assert device_kind("platform").lifts
    assert not device_kind("sluice").lifts
    assert device_kind("sluice").runs_water


def test_a_traffic_light_is_not_toggled_and_does_not_come_on_by_itself() -> None:
    """Drivers go by it."""
    light = {"light": {"device": "traffic light", "inputs": {"green": {"logic": "on"}}}}
    case = a_case({"1": {"kind": "toggle", "works": "light.green"}}, devices=light)

    assert device_kind("traffic light").starts_unseen
    assert [one.verdict for output in case.outputs() for one in judge_toggling(case, output)] == [FAILS]


@pytest.mark.parametrize(
    ("word", "kind"),
    [
        ("dock leveller", "platform"),
        ("flood gate", "sluice"),
        ("penstock", "sluice"),
        ("awning", "awning"),
        ("ventilator", "fan"),
        ("vertical gate", "lifting gate"),
        ("lane light", "traffic light"),
    ],
)
def test_people_call_them_otherwise(word: str, kind: str) -> None:
    """In a survey or a complaint."""
    found = kind_called(word)

    assert found is not None
    assert found.name == kind
