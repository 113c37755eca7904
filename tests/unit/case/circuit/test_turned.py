"""Motors that turn round with their volts: two cores, two changeover contacts, one motor."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from farpress.case.cables import cables_of, links_of
from farpress.case.case import Case
from farpress.case.circuit.electrics import electrics_of
from farpress.case.circuit.states import AS_READ, CircuitState, Moment
from farpress.case.turned import turned_pair
from farpress.domain.finding import Verdict
from farpress.judging.contact.load import judge as judge_contacts
from farpress.judging.output.pairs import judge_pairs
from farpress.judging.output.turning import judge_turning
from farpress.wiring.schedule import wiring_schedule
from helpers.circuit_jobs import JOBS, VENT, run, small_job
from helpers.findings import finding_of

JOB = JOBS["motors that turn round with their volts"]
OHM_PER_KM = 13.3  # of the cable of the job at 20 °C


def _job(**outputs: dict[str, Any]) -> Case:
    """The job with keys of its outputs changed, as one={"via": "relay"}."""
    from helpers.wired_case import wired_case

    box = JOB["receivers"]["R1"]
    numbers = {"one": "1", "two": "2"}
    changed = box["outputs"] | {
        numbers[name]: box["outputs"][numbers[name]] | more for name, more in outputs.items()
    }
    return wired_case(JOB | {"receivers": {"R1": box | {"outputs": changed}}})


def _across(case: Case, *on: str) -> float:
    """Volts of the motor's + over its 0 with some outputs on."""
    electrics = electrics_of(case, "larkfen")
    moment = Moment("tried", frozenset(f"larkfen/R1/{number}" for number in on), signals=False)
    volts = electrics.solve(CircuitState(moment, AS_READ)).across("north.+", "north.0")
    assert volts is not None
    return volts


def test_each_output_runs_it_the_other_way_at_the_same_volts() -> None:
    """By hand: 1.1 A of the motor and 24 V over 26.67 ohm of the other, over 18 m there and back."""
    case = small_job("motors that turn round with their volts")
    loop = 2 * OHM_PER_KM * 0.018 + 0.05
    feeding = 24.0 - 0.05 * 0.040  # the receiver with one relay, at the supply
    volts = (feeding - 1.1 * loop) / (1 + loop / (24.0 / 0.9))

    assert _across(case, "1") == pytest.approx(volts, rel=1e-3)
    assert _across(case, "2") == pytest.approx(-_across(case, "1"), rel=1e-9)
    assert _across(case) == pytest.approx(0.0, abs=1e-9)


def test_its_cable_has_two_cores_and_each_contact_three_wires() -> None:
    """Not two cores for each direction: that would run it one way with either button."""
    case = small_job("motors that turn round with their volts")
    body = next(body for body in cables_of(case, "larkfen") if body.part == "twin-1.5")
    ends = [tuple(map(str, (*core.near, *core.far))) for core in body.cores]
    links = {tuple(map(str, link.terminals)) for link in links_of(case, "larkfen")}

    assert ends == [("R1.1.common", "north.+"), ("R1.2.common", "north.0")]
    assert ("main.+", "R1.1.make", "R1.2.make") in links
    assert ("main.0", "R1.1.break", "R1.2.break") in links
    assert len([body for body in cables_of(case, "larkfen") if body.part == "twin-1.5"]) == 1


def test_the_schedule_says_plus_and_0_v_of_each_contact() -> None:
    """Terminals after EN 50005: 11 and 21 to the motor, 14 and 24 on plus, 12 and 22 on 0 V."""
    rows = wiring_schedule(small_job("motors that turn round with their volts")).cores
    links = {(row.start_terminal, row.target_terminal) for row in rows if row.core == "link"}

    assert {("+", "14"), ("+", "24"), ("0 V", "12"), ("0 V", "22")} <= links
    assert [(row.start_terminal, row.target_terminal) for row in rows if row.target == "north"] == [
        ("11", "+"),
        ("21", "−"),
    ]


def test_volts_over_all_corners_are_those_while_it_is_fed() -> None:
    """Neither turned round, nor none at all while the other contact is closed."""
    rows = wiring_schedule(small_job("motors that turn round with their volts")).cores
    lowest = {row.lowest_v for row in rows if row.target == "north"}

    assert all(volts is not None and volts > 20.0 for volts in lowest)


@pytest.mark.parametrize(
    ("outputs", "says"),
    [
        ({"one": {"via": "k"}}, "one works a relay"),
        ({"one": {"contact": "normally closed"}}, "by its break contact"),
        ({"two": {"load_from": "other"}}, "different supplies"),
        ({"two": {"works": "north.open"}}, "nobody says which opens"),
    ],
)
def test_outputs_that_cannot_turn_it_are_told(outputs: dict[str, Any], says: str) -> None:
    """And they are no pair, so that nothing is drawn as one."""
    case = _job(**outputs)
    found = [finding for finding in judge_turning(case) if finding.about.startswith("north")]

    assert [finding.verdict for finding in found] == [Verdict.FAILS]
    assert says in found[0].says
    pair = turned_pair(case, next(case.outputs()))
    assert pair is None or "north" not in pair.devices


def test_relays_behind_both_are_asked_whether_they_change_over_or_bar_each_other() -> None:
    """Both on, reversing relays that nothing bars short the supply; nobody says what these are."""
    found = list(judge_turning(_job(one={"via": "k"}, two={"via": "k"})))

    assert {finding.verdict for finding in found} == {Verdict.UNKNOWN}
    assert all("short the supply" in finding.because for finding in found)
    assert all("interlocked" in finding.asks[0].says for finding in found)


def test_make_contacts_alone_cannot_turn_it() -> None:
    """A receiver whose contacts only make."""
    case = _job()
    part = case.equipment.receivers["larkfen/R1"]
    sheet = part.sheet.model_copy(update={"contact_form": "normally open"})
    receivers = {"larkfen/R1": replace(part, sheet=sheet)}
    case = replace(case, equipment=replace(case.equipment, receivers=receivers))

    assert {finding.verdict for finding in judge_turning(case)} == {Verdict.FAILS}


def _words(case: Case) -> set[Verdict]:
    return {finding.verdict for finding in judge_contacts(case) if finding.code == "CON-07"}


def test_both_on_is_no_danger_to_it_and_motors_side_by_side_are_none_either() -> None:
    """With a winding for each direction, or where nobody says, both fail."""
    turned = _job()
    windings = [
        replace(
            turned,
            equipment=replace(
                turned.equipment,
                devices={
                    name: replace(part, sheet=part.sheet.model_copy(update={"reverses": how}))
                    for name, part in turned.equipment.devices.items()
                },
            ),
        )
        for how in ("windings", None)
    ]

    assert {finding.verdict for finding in judge_turning(turned)} == {Verdict.HOLDS}
    assert {finding.verdict for finding in judge_pairs(turned)} == {Verdict.THIN}
    assert _words(turned) == {Verdict.HOLDS}
    for other in windings:
        assert not list(judge_turning(other))
        assert {finding.verdict for finding in judge_pairs(other)} == {Verdict.FAILS}
        assert _words(other) == {Verdict.FAILS}
    asked = [ask.says for finding in judge_contacts(windings[1]) for ask in finding.asks]
    assert any("reverses" in says for says in asked)


def test_one_output_alone_runs_it_one_way_only() -> None:
    """Asked, as the other way may be worked by something that is not drawn."""
    from helpers.wired_case import wired_case

    box = JOB["receivers"]["R1"]
    only = wired_case(
        JOB
        | {
            "receivers": {
                "R1": box
                | {
                    "outputs": {
                        "1": {"kind": "pulse", "works": "north.open", "load_from": "main", "cable": run(9.0)}
                    }
                }
            },
            "devices": {"north": VENT},
        }
    )

    assert finding_of(list(judge_turning(only)), "OUT-19").verdict is Verdict.UNKNOWN
