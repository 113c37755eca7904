"""A receiver's own signals in its circuit: what they load, and what a panel makes of them."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from farpress.case.case import Case
from farpress.case.circuit.arriving import given_a
from farpress.case.circuit.electrics import Electrics, electrics_of
from farpress.case.circuit.states import AS_READ, Moment
from farpress.domain.finding import Verdict
from farpress.judging.receiver.signals import judge
from farpress.judging.supply.volts import judge as judge_supplies
from farpress.wiring.schedule import wiring_schedule
from helpers.circuit_jobs import JOBS, small_job
from helpers.wired_case import wired_case

CELL, ANSWER = "larkfen/R1/low cell", "larkfen/R1/acknowledge"


@pytest.fixture(scope="module")
def own() -> Electrics:
    """A lamp on the transistor for a weak cell, a sounder on the relay for the answer."""
    return electrics_of(small_job("a receiver's own signals"), "larkfen")


def test_a_lamp_on_a_transistor_hangs_on_the_receivers_own_0_v(own: Electrics) -> None:
    """20 mA over 12 m of it, and with them over the 40 m of the receiver's 0 V core; 0.3 V are left."""
    solved = own.in_moment(Moment("weak", frozenset({CELL})), AS_READ)
    core = 96.0 / 1000

    assert solved.through("load cell lamp.+") == pytest.approx(0.02)
    assert solved.across("R1.0", "main.0") == pytest.approx((0.018 + 0.02) * 40 * core)
    assert solved.across("cell lamp.+", "cell lamp.0") == pytest.approx(
        13.6 - 0.05 * 0.038 - 0.3 - 0.02 * 2 * 12 * core - 0.038 * 40 * core
    )


def test_a_relay_for_the_answer_pulls_in_and_feeds_its_sounder(own: Electrics) -> None:
    """22 mA of coil beside 18 mA, and 60 mA of sounder."""
    assert given_a(own, "main", Moment("answer", frozenset({ANSWER}))) == pytest.approx(0.018 + 0.022 + 0.06)


def test_at_rest_no_signal_draws(own: Electrics) -> None:
    """The receiver alone."""
    assert given_a(own, "main", own.at_rest) == pytest.approx(0.018)


def test_everything_on_has_the_signals_on_and_a_press_may_meet_a_weak_cell(own: Electrics) -> None:
    """The lamp stays on until the next good press; the answer comes after it."""
    assert {CELL, ANSWER} <= own.everything[0].on
    assert CELL in own.pressed[0].on
    assert ANSWER not in own.pressed[0].on


def test_what_arrives_at_the_lamp_is_judged() -> None:
    """SUP-01 of it and of the sounder, and no question what feeds them."""
    findings = list(judge_supplies(small_job("a receiver's own signals")))

    assert {"cell lamp on larkfen/main", "chirp on larkfen/main"} <= {
        finding.about for finding in findings if finding.code == "SUP-01"
    }
    assert not [finding for finding in findings if finding.code == "SUP-12"]


def test_a_signal_fed_from_a_branch_lies_behind_its_fuse() -> None:
    """The lamp's 20 mA flow over the branch; its schedule names the branch's fuse."""
    job = copy.deepcopy(JOBS["a receiver's own signals"])
    job["supplies"]["main"] = job["supplies"]["main"] | {"branches": {"2": {"fuse_a": 0.5}}}
    for signal in job["receivers"]["R1"]["signals"].values():
        signal["load_from"] = "main.branch 2"
    case = wired_case(job)
    electrics = electrics_of(case, "larkfen")
    on = Moment("both", frozenset({CELL, ANSWER}))
    rows = [row for row in wiring_schedule(case).cores if row.target in ("cell lamp", "chirp")]

    assert given_a(electrics, "main", on, "2") == pytest.approx(0.02 + 0.06)
    assert {row.fuse_a for row in rows} == {0.5}


def told(case: Case) -> Any:
    """RCV-07 of the weak cell."""
    return next(finding for finding in judge(case) if finding.code == "RCV-07")


def test_a_strike_in_the_shared_0_v_hides_a_weak_cell_from_the_panel() -> None:
    """0.3 V and 38 m alone are read as closed; with the strike the receiver's 0 V stands 2.2 V above."""
    finding = told(small_job("a weak cell told to a panel"))

    assert finding.verdict is Verdict.THIN
    assert "(normal), and as" in finding.says
    assert "while more is on" in finding.says


def test_with_a_0_v_of_its_own_for_the_strike_the_panel_is_told() -> None:
    """What is left to say is who sees to it."""
    house = copy.deepcopy(JOBS["a weak cell told to a panel"])
    del house["receivers"]["R1"]["outputs"]["1"]["cable"]["shares_return_with"]
    house["receivers"]["R1"]["signals"]["low cell"]["tells"] = "Alda Quern"

    assert told(wired_case(house)).verdict is Verdict.HOLDS


def test_volts_left_across_the_transistor_that_nobody_says_are_asked_for() -> None:
    """Missing is never better."""
    house = copy.deepcopy(JOBS["a weak cell told to a panel"])
    del house["receivers"]["R1"]["outputs"]["1"]["cable"]["shares_return_with"]
    del house["receivers"]["R1"]["saturation_v"]
    house["receivers"]["R1"]["signals"]["low cell"]["tells"] = "Alda Quern"

    assert told(wired_case(house)).verdict is Verdict.UNKNOWN


def test_the_lines_of_the_signals_stand_in_the_schedule() -> None:
    """The transistor in the way back of its lamp, the contact in the plus of its sounder."""
    rows = [
        f"{row.start} {row.start_terminal} > {row.target} {row.target_terminal}"
        for name in ("a receiver's own signals", "a weak cell told to a panel")
        for row in wiring_schedule(small_job(name)).cores
    ]

    assert {
        "main + > cell lamp +",
        "R1 low cell > cell lamp −",
        "main + > R1 acknowledge common",
        "R1 acknowledge make > chirp +",
        "main 0 V > chirp −",
        "R1 low cell > panel weak",
        "R1 0 V > panel weak common",
    } <= set(rows)
