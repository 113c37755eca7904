"""Supplies over diodes, each of which must do alone, and supplies that limit their current."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from farpress.case.case import Case
from farpress.case.circuit.arriving import given_a, least_at, loop_ohm_at, most_in_cores
from farpress.case.circuit.electrics import electrics_of
from farpress.case.circuit.states import AS_READ, LOWEST
from farpress.case.drawn_wires import drawn_feeds
from farpress.case.supply_ends import ends_of
from farpress.core.wiring.elements import Diode
from farpress.judging.supply.volts import judge
from helpers.circuit_jobs import JOBS, small_job
from helpers.wired_case import wired_case


@pytest.fixture(scope="module")
def both() -> Case:
    """A receiver, a camera and a lock on two supplies, each over a diode."""
    return small_job("two supplies over diodes")


def changed(name: str, **diodes: Any) -> Case:
    """The same with other diodes."""
    house = copy.deepcopy(JOBS[name])
    house["diodes"] = diodes
    return wired_case(house)


def test_what_two_supplies_feed_hangs_on_both(both: Case) -> None:
    """The receiver on each of them, and the lock over its contact."""
    found = {(feed.supply, feed.thing) for feed in drawn_feeds(both, "larkfen")}

    assert found == {(supply, thing) for supply in ("main", "reserve") for thing in ("R1", "camera", "lock")}


def test_against_its_diode_nothing_is_fed() -> None:
    """With D2 the other way round the reserve feeds nothing."""
    turned = changed(
        "two supplies over diodes",
        D1={"from": "main.+", "to": "J1.1"},
        D2={"from": "J1.1", "to": "reserve.+"},
    )

    assert {feed.supply for feed in drawn_feeds(turned, "larkfen")} == {"main"}


def test_each_supply_is_asked_alone(both: Case) -> None:
    """The reserve at 11.2 V would keep the receiver up; alone at 10.8 V over its diode the main supply does
    with fewer volts than 10.8 less half a volt and the drop of the trunk.
    """
    electrics = electrics_of(both, "larkfen")
    box = next(end for end in ends_of(both, "larkfen", "main") if end.is_receiver)
    main, reserve = (least_at(electrics, supply, box) for supply in ("main", "reserve"))

    assert main is not None
    assert reserve is not None
    assert main.volts is not None
    assert reserve.volts is not None
    assert main.volts < 10.8 - 0.5 - 2 * 0.5 * 0.68
    assert reserve.volts > main.volts + 0.4
    assert given_a(electrics, "reserve", electrics.at_rest) == pytest.approx(
        given_a(electrics, "main", electrics.at_rest)
    )


def test_the_finding_of_the_worse_supply_says_so(both: Case) -> None:
    """SUP-01 of the receiver on the main supply fails by its 9 V and the cold: by the circuit's figure."""
    electrics = electrics_of(both, "larkfen")
    box = next(end for end in ends_of(both, "larkfen", "main") if end.is_receiver)
    alone = least_at(electrics, "main", box)
    found = next(
        finding
        for finding in judge(both)
        if finding.code == "SUP-01" and finding.about == "R1 on larkfen/main"
    )

    assert alone is not None
    assert found.value == alone.volts


def test_a_way_over_a_diode_is_measured_without_it(both: Case) -> None:
    """35 m of 19.5 ohm a kilometre and 50 degC, there and back."""
    electrics = electrics_of(both, "larkfen")
    box = next(end for end in ends_of(both, "larkfen", "main") if end.is_receiver)

    assert loop_ohm_at(electrics, "main", box) == pytest.approx(2 * 0.035 * 19.5 * (1 + 0.00393 * 30))


def test_a_core_is_loaded_by_the_worse_of_the_two(both: Case) -> None:
    """All the lock, camera and receiver draw comes through the trunk, from whichever supply."""
    electrics = electrics_of(both, "larkfen")

    assert most_in_cores(electrics, ("premises", "larkfen", "cables", "W1")) == pytest.approx(
        0.018 + 0.022 + 0.48 + 4 / 12
    )


def test_a_diode_across_a_coil_blocks(both: Case) -> None:
    """It is in the circuit, cathode on the live side, and carries nothing."""
    electrics = electrics_of(both, "larkfen")
    solved = electrics.in_moment(electrics.everything[0], LOWEST)
    across = next(
        part
        for net in solved.nets
        for part in net.written.elements
        if isinstance(part, Diode) and "across" in part.name
    )

    assert (across.a, across.b) == ("lock.0", "lock.+")
    assert solved.through(across.name) == pytest.approx(0.0, abs=1e-7)


def test_a_supply_that_folds_back_is_pulled_down() -> None:
    """Two strikes want 0.96 A of one that lets 0.8 A through and 0.2 A into a short: on the straight line
    from 0.8 A at 13.6 V to 0.2 A at none; and SUP-03 says what is left.
    """
    case = small_job("a supply that folds back")
    electrics = electrics_of(case, "larkfen")
    solved = electrics.in_moment(electrics.everything[0], AS_READ)
    volts, amperes = solved.across("main.+", "main.0"), solved.given_a("main")
    found = next(finding for finding in judge(case) if finding.code == "SUP-03")

    assert volts is not None
    assert volts < 8.0
    assert amperes == pytest.approx(0.2 + 0.6 * volts / 13.6)
    assert f"{volts:.3g} V are left" in found.because
    assert "folds back from 800 mA" in found.because


def test_one_press_does_not_reach_the_limit() -> None:
    """0.48 A and the receiver: the volts stand."""
    electrics = electrics_of(small_job("a supply that folds back"), "larkfen")
    solved = electrics.in_moment(electrics.pressed[0], AS_READ)

    assert solved.across("main.+", "main.0") == pytest.approx(13.6 - 0.05 * (solved.given_a("main") or 0.0))
    assert not solved.limited
