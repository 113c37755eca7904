"""What a survey writes down and a practitioner acts on: fobs that must not work, room between gates, lids."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.access import opens
from farpress.case.driven import closes, driven_of
from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.device import moves
from farpress.judging.hurting import FIXED_HOLD, RUN_WHILE_HELD
from farpress.judging.output import lasting
from farpress.judging.panel import inside, unwired
from farpress.judging.register.counters import judge_counters
from farpress.judging.register.still_obeyed import judge_still_obeyed
from farpress.judging.safety import machines
from helpers.findings import finding_of
from helpers.logic_case import a_case
from helpers.wired_case import wired_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
PULSE: dict[str, Any] = {"kind": "pulse", "for_s": 0.5}


def _register(person: dict[str, Any], **group: Any) -> list[Finding]:
    house = {
        "receivers": {"R1": {"at": [0, 0], "outputs": {"1": {"kind": "pulse", "works": "door.in"}}}},
        "devices": {"door": {"device": "strike", "inputs": {"in": {"logic": "release"}}}},
    }
    functions = {"door": {"output": "larkfen/R1/1"}}
    groups = {"staff": {"fob": "F", "people": ["Ana Quill"], "buttons": {"1": "door"}, **group}}
    people = {"Ana Quill": person}
    return list(judge_still_obeyed(wired_case(house, functions=functions, groups=groups, people=people)))


@pytest.mark.parametrize("person", [{"fob_lost": "2026-04-02"}, {"left": "2026-04-30"}])
def test_reg_19_a_fob_that_must_not_work_is_deleted_today(person: dict[str, Any]) -> None:
    """At each receiver of its group; who else knows it is told."""
    finding = finding_of(_register(person, visits={"lake club": 0.4}), "REG-19")

    assert (finding.verdict, finding.stake) == (FAILS, Stake.HARM)
    assert "works at larkfen/R1 and opens door.in" in finding.says
    assert "lake club" in finding.remedies[1].does


def test_reg_19_people_who_stay_are_left_alone() -> None:
    """Nothing lost, nobody left."""
    assert not _register({"role": "owner"})


def _gates(length_m: float | None, apart_m: float | None, **gate: Any) -> list[Finding]:
    def one(x_m: float, other: str) -> dict[str, Any]:
        at = {} if apart_m is None else {"at": [x_m, 0.0]}
        return {
            "device": "barrier",
            "waits_for": [other],
            "inputs": {"start": {"logic": "start", "wants": "pulse"}},
            **at,
            **gate,
        }

    outputs = {"1": {**PULSE, "works": "outer.start"}, "2": {**PULSE, "works": "inner.start"}}
    house = {
        "receivers": {"R1": {"at": [0, 0], "outputs": outputs}},
        "devices": {"outer": one(0.0, "inner"), "inner": one(apart_m or 0.0, "outer")},
        "places": {"lane": {"at": [-9, 0]}},
    }
    traffic = {"place": "lane", "function": "in", "arrivals": {"09:00-10:00": 30}, "length_m": length_m}
    case = wired_case(house, functions={"in": {"output": "larkfen/R1/1"}}, traffic=[traffic])
    return list(moves.judge(case))


@pytest.mark.parametrize(
    ("length_m", "apart_m", "verdict"),
    [
        (8.9, 10.0, HOLDS),
        (9.1, 10.0, THIN),
        (10.0, 10.0, THIN),
        (10.1, 10.0, FAILS),
        (None, 10.0, UNKNOWN),
        (9.0, None, UNKNOWN),
    ],
)
def test_dev_12_the_longest_vehicle_fits_between(
    length_m: float | None, apart_m: float | None, verdict: Verdict
) -> None:
    """A metre is left for drivers and loops."""
    assert finding_of(_gates(length_m, apart_m), "DEV-12").verdict is verdict


@pytest.mark.parametrize(("people", "verdict"), [(False, HOLDS), (None, UNKNOWN), (True, FAILS)])
def test_dev_03_a_loop_notices_no_people(people: bool | None, verdict: Verdict) -> None:
    """With beams beside it the question is none."""
    arm = {
        "device": "barrier",
        "closes_after_s": 6.0,
        "safeguards": ("loop",),
        "safeguards_tested": True,
        "people_pass": people,
        "inputs": {"open": {"logic": "open only", "wants": "pulse"}},
    }
    promises = ({"to": "pair", "function": "f1", "from": "here"},)

    def judged(**more: Any) -> Verdict:
        devices = {"arm": {**arm, **more}}
        case = a_case(
            {"1": {**PULSE, "works": "arm.open"}}, devices=devices, promises=promises, sees=("arm",)
        )
        return finding_of(moves.judge(case), "DEV-03").verdict

    assert judged() is verdict
    assert judged(safeguards=("loop", "beams")) is HOLDS


@pytest.mark.parametrize(
    ("travel_s", "stops_after_s", "remedy"),
    [(30.0, 0.1, RUN_WHILE_HELD), (31.0, 0.1, FIXED_HOLD), (30.0, 0.5, FIXED_HOLD)],
)
def test_safe_12_a_fob_that_cannot_hold_a_load_is_not_advised(
    travel_s: float, stops_after_s: float, remedy: Any
) -> None:
    """The fob gives up after 30 s; at 0.15 m/s 0.4 s of drop-out and 0.5 s of stopping are 135 mm.

    A pulse is never advised.
    """
    winch = {
        "device": "winch",
        "travel_s": travel_s,
        "speed_m_per_s": 0.15,
        "stops_after_s": stops_after_s,
        "inputs": {"up": {"logic": "up", "wants": "maintained"}},
    }
    functions = {"f1": {"output": "house/R1/1", "kind": "up", "lasts": travel_s}}
    case = a_case(
        {"1": {"kind": "toggle", "works": "winch.up"}},
        devices={"winch": winch},
        functions=functions,
        receiver={"pulse_max_s": 600.0},
    )

    assert finding_of(machines.judge(case), "SAFE-12").remedies[0] == remedy
    assert finding_of(lasting.judge(case), "OUT-14").remedies == (remedy,)


@pytest.mark.parametrize(("count", "codes"), [(10, set()), (11, {"PAN-18"}), (None, {"PAN-18"})])
def test_pan_18_many_who_set_it_are_asked_who_stays_inside(count: int | None, codes: set[str]) -> None:
    """Ten know of each other; nothing is said of areas."""
    groups = {"all": {"count": count, "buttons": {"1": "f1"}}}
    found = list(inside.judge(a_case({"1": {**PULSE, "works": "panel.set"}}, groups=groups)))

    assert {finding.code for finding in found} == codes
    assert all(finding.verdict is UNKNOWN for finding in found)


def _unwired(*, tamper: str | None = None, lamp: bool = False) -> set[str]:
    panel = {"inputs": {"set": {"reads": "set pulse"}, "lid": {"reads": "tamper"}}, "outputs": {"fault": {}}}
    lamps = {"lamp": {"device": "lamp", "fed": {"from": "alarm.fault"}}} if lamp else {}
    box = {"at": [0, 0], "outputs": {"1": {**PULSE, "works": "alarm.set"}}, "tamper": tamper}
    house = {"receivers": {"R1": box}, "panels": {"alarm": panel}, "devices": lamps}
    found = list(unwired.judge(wired_case(house, functions={"set": {"output": "larkfen/R1/1"}})))
    assert all(finding.verdict is THIN for finding in found)
    return {finding.code for finding in found}


def test_pan_25_26_what_is_told_to_nobody_is_shown() -> None:
    """A panel's fault output without a wire, a receiver whose lid nobody watches."""
    assert _unwired() == {"PAN-25", "PAN-26"}
    assert _unwired(tamper="alarm.lid") == {"PAN-25"}
    assert _unwired(tamper="alarm.lid", lamp=True) == set()


def test_reg_03_presses_at_another_firms_receiver_count() -> None:
    """27 presses on nine days elsewhere: Poisson with mean 27 is 16 or more in 99 %, as tables have it."""
    away = {"count": 5, "presses_per_day": 3.0, "buttons": {"1": "f1"}}
    visits = {"house": 1.0 / 21.0, "lake club": 3.0 / 7.0}
    pulse = {"1": {**PULSE, "works": "gate.open"}}

    finding = finding_of(
        judge_counters(a_case(pulse, groups={"crew": {**away, "visits_per_day": visits}})), "REG-03"
    )
    assert finding.verdict is THIN
    assert "After 9 days elsewhere it is ignored in 99%" in finding.says
    assert not list(
        judge_counters(a_case(pulse, groups={"crew": {**away, "visits_per_day": {"house": 0.5}}}))
    )


@pytest.mark.parametrize(
    ("kind", "logic", "is_closing"),
    [
        ("bollard", "up", True),
        ("bollard", "down", False),
        ("shutter", "down", True),
        ("shutter", "up", False),
    ],
)
def test_a_bollard_shuts_by_going_up(kind: str, logic: str, is_closing: bool) -> None:
    """What rises lets in by going down; everything else the other way round."""
    sheet = {"device": kind, "inputs": {"in": {"logic": logic, "wants": "pulse"}}}
    case = a_case({"1": {**PULSE, "works": "it.in"}}, devices={"it": sheet})
    (driven,) = driven_of(case, next(case.outputs()))

    assert closes(driven) is is_closing
    assert opens(driven) is not is_closing
