"""What is fed in the short form beside cables that are drawn, and coils that a meter has read.

A cold store: an alarm supply, a receiver beside it, another 41 m away on a drawn cable with a magnet.
"""

from __future__ import annotations

import pytest

from farpress.case.case import Case
from farpress.case.circuit.electrics import electrics_of
from farpress.case.circuit.states import AS_READ, LOWEST, REST, CircuitState, Moment
from farpress.case.drawn_wires import drawn_feed, drawn_run, supply_of
from helpers.drawn_case import drawn_case

CORES = {"red": ["main.+", "R2.+"], "black": ["main.0", "R2.0", "magnet.0"], "white": ["lamp.x", "R2.in1"]}
IDLE = {"at": [0, 0], "supply": "dc", "relays": 2, "contact_form": "changeover", "current_idle_a": 0.02}
MAGNET = {"device": "magnetic lock", "supply": "dc", "voltage_v": 12.0, "current_a": 0.5}
OVER_BREAK = {"1": {"kind": "pulse", "for_s": 5.0, "works": "magnet.release", "contact": "normally closed"}}


def store(coil_ohm: float | None = None, load: str | None = "inductive dc") -> Case:
    """R1 beside the supply, in the short form without a cable; R2 and the magnet over W7, which is drawn."""
    return drawn_case(
        CORES,
        receivers={
            "R1": {**IDLE, "fed": {"from": "main"}},
            "R2": {**IDLE, "outputs": OVER_BREAK, "inputs": {"1": {"reads": "alarm.set"}}},
        },
        devices={"magnet": {**MAGNET, "coil_ohm": coil_ohm, "load": load}},
        links=[["R2.+", "R2.1.common"], ["R2.1.break", "magnet.+"]],
    )


def test_a_thing_without_a_cable_is_fed_though_another_cable_is_drawn_at_its_supply() -> None:
    """That main.+ has a drawn core says nothing of the wires to R1."""
    solved = electrics_of(store(), "larkfen").in_moment(Moment(REST), AS_READ)

    assert solved.across("R1.+", "R1.0") == pytest.approx(12.0)
    assert solved.across("R2.+", "R2.0") is not None


def test_a_coil_that_a_meter_has_read_draws_less_where_fewer_volts_arrive() -> None:
    """24 ohm behind 2 x 41 m of 96 ohm/km, R2 taking 20 mA there, at 50 °C (1 + 0.00393 x 30), by hand:
    V = (12 - 0.02 R) 24 / (24 + R). By its label alone the magnet takes 0.5 A, whatever arrives.
    """
    hot = 2 * 0.041 * 96 * 1.1179
    by_hand = (12 - 0.02 * hot) * 24 / (24 + hot)

    def volts(case: Case) -> float | None:
        state = CircuitState(Moment(REST), LOWEST)
        return electrics_of(case, "larkfen").solve(state).across("magnet.+", "magnet.0")

    assert volts(store(coil_ohm=24.0)) == pytest.approx(by_hand, rel=1e-3)
    assert volts(store(coil_ohm=24.0, load=None)) == pytest.approx(by_hand, rel=1e-3)
    assert volts(store()) == pytest.approx(12 - 0.52 * hot, rel=1e-3)
    assert volts(store(coil_ohm=30.0)) == pytest.approx(by_hand, rel=1e-3)
    """The label says 24 ohm: a reading that would draw less is not taken."""


def test_what_lies_behind_a_contact_has_the_cable_that_feeds_the_contact() -> None:
    """The magnet hangs on a link; its way from the supply is W7."""
    case = store()
    feed = drawn_feed(case, "larkfen", "magnet")

    assert feed is not None
    assert (feed.label, feed.supply) == ("W7", "main")
    assert feed.run is not None
    assert feed.run.length_m == 41.0


def test_the_supply_and_the_cable_of_a_terminal_are_found_in_either_form() -> None:
    """R1 in the short form, R2 drawn; a terminal without a core has no cable."""
    case = store()

    assert supply_of(case, "larkfen", "R1") == supply_of(case, "larkfen", "R2") == "main"
    assert supply_of(case, "larkfen", "gate") is None
    run = drawn_run(case, "larkfen", "R2.in1")
    assert run is not None
    assert run.label == "W7"
    assert drawn_run(case, "larkfen", "R1.in1") is None
