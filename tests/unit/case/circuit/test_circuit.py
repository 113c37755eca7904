"""The circuit of small jobs, by hand: who shares a core feels it, a contact that is open feeds nothing."""

from __future__ import annotations

import pytest

from farpress.case.circuit.arriving import least_at, most_given
from farpress.case.circuit.electrics import Electrics, electrics_of
from farpress.case.circuit.states import AS_READ, LABELS, LOWEST, Moment
from farpress.case.supply_ends import ends_of
from helpers.circuit_jobs import JOBS, small_job
from helpers.wired_case import wired_case

CORE_OHM = 96.0 * 68 / 1000
HOT = 1 + 0.00393 * 30


def electrics(name: str) -> Electrics:
    """Of a small job."""
    return electrics_of(small_job(name), "larkfen")


def moment(of: Electrics, name: str) -> Moment:
    """One of its moments."""
    return next(moment for moment in of.moments if moment.name == name)


def test_a_lock_and_its_receiver_on_one_pair_of_cores_pull_each_other_down() -> None:
    """13.6 V behind 0.05 ohm, one pair of 6.528 ohm a core; 25 ohm of lock held over the break contact and
    18 mA of receiver at its end: 8.77 V for both. By hand: (13.6 - 0.018 r) / (1 + r/25), r = 13.106 ohm.
    """
    chain = electrics("daisy chain")
    solved = chain.in_moment(chain.at_rest, AS_READ)
    r = 2 * CORE_OHM + 0.05

    assert solved.at("main", "R1")[0] == pytest.approx((13.6 - 0.018 * r) / (1 + r / 25), rel=1e-12)
    assert solved.at("main", "R1")[0] == pytest.approx(8.77, abs=0.005)
    assert solved.across("lock.+", "lock.0") == pytest.approx(solved.at("main", "R1")[0])
    assert solved.across("R1.0", "main.0") == pytest.approx(2.41, abs=0.005)


def test_with_the_lock_let_go_the_receiver_has_its_volts_again() -> None:
    """40 mA through the same cores: 13.07 V."""
    chain = electrics("daisy chain")
    solved = chain.in_moment(moment(chain, "press 1"), AS_READ)

    assert solved.at("main", "R1")[0] == pytest.approx(13.6 - 0.040 * (2 * CORE_OHM + 0.05))
    assert solved.across("lock.+", "lock.0") == pytest.approx(0.0, abs=1e-12)


def test_at_the_lowest_volts_the_label_current_flows() -> None:
    """10.8 V of the supply under load, cores 12 % warmer: below half of its 12 V the lock draws its 0.48 A
    no more, and is a resistance of 6 V over 0.48 A, 12.5 ohm.
    """
    chain = electrics("daisy chain")
    case = small_job("daisy chain")
    lock = next(end for end in ends_of(case, "larkfen", "main") if end.who == "lock")
    arrived = least_at(chain, "main", lock)

    assert arrived is not None
    way = 2 * CORE_OHM * HOT
    assert arrived.volts == pytest.approx((10.8 - 0.018 * way) / (1 + way / 12.5))


def test_a_guest_joins_a_return_core_where_it_is_said() -> None:
    """12 m of the first strike's return carry both strikes, 8 m the first alone; the second comes back over
    12 m of it and 18 m of its own.
    """
    shared = electrics("shared return")
    both = moment(shared, "everything on")
    solved = shared.in_moment(both, LOWEST)
    metre = 0.096 * HOT

    front = 10.8 - 0.48 * 20 * metre - 0.96 * 12 * metre - 0.48 * 8 * metre
    back = 10.8 - 0.48 * 30 * metre - 0.96 * 12 * metre - 0.48 * 18 * metre
    assert solved.across("front.+", "front.0") == pytest.approx(front)
    assert solved.across("back.+", "back.0") == pytest.approx(back)


def test_a_zone_shows_its_resistors_to_the_panel() -> None:
    """1 kohm at rest... with the contact open both resistors: 2 kohm and the cable's 13.06 ohm."""
    zone = electrics("end of line")

    def seen(of: Moment) -> float:
        volts = zone.in_moment(of, AS_READ).across("panel.zone", "panel.zone common")
        assert volts is not None
        return 5100.0 * volts / (5.0 - volts)

    assert seen(zone.at_rest) == pytest.approx(2000 + 2 * CORE_OHM)
    assert seen(moment(zone, "press 1")) == pytest.approx(1000 + 2 * CORE_OHM)


def test_what_the_panel_works_is_on_in_alarm() -> None:
    """Two sirens of 0.35 A, and nothing of them at rest."""
    sirens = electrics("sirens in alarm")

    assert sirens.in_moment(sirens.at_rest, LABELS).given_a("main") == pytest.approx(0.018)
    assert sirens.in_moment(moment(sirens, "alarm"), LABELS).given_a("main") == pytest.approx(0.718)
    assert most_given(sirens, "main") == (sirens.everything[0], pytest.approx(0.718))


def test_tamper_contacts_of_two_housings_lie_in_series() -> None:
    """One of two housings opened opens the whole circuit."""
    house = JOBS["coil beside its receiver"]
    second = house["receivers"]["R1"] | {"outputs": {}, "tamper": "panel.tamper"}
    case = wired_case(house | {"receivers": house["receivers"] | {"R2": second}})
    circuit = electrics_of(case, "larkfen").circuit
    contacts = {contact.name: contact for contact in circuit.contacts if "tamper" in contact.name}
    node = circuit.node_of

    assert node["panel.tamper"] == node["R1.tamper 1"]
    assert node["R1.tamper 2"] == node["R2.tamper 1"] != node["R1.tamper 1"]
    assert node["R2.tamper 2"] == node["panel.tamper common"]
    assert len(contacts) == 2


def test_what_nobody_says_is_listed() -> None:
    """A cable that is not described joins its ends, and stands on the list."""
    house = JOBS["shared return"]
    box = {key: value for key, value in house["receivers"]["R1"].items() if key != "fed"}
    circuit = electrics_of(
        wired_case(house | {"receivers": {"R1": box | {"fed": {"from": "main"}}}}), "larkfen"
    ).circuit

    assert circuit.node_of["R1.+"] == circuit.node_of["main.+"]
    assert "its cable" in {unknown.says for unknown in circuit.unknown}


def test_cores_that_are_drawn_carry_everybody_on_them() -> None:
    """41 m of one pair to a junction for receiver and lock, then 9 m of a thicker one to the lock."""
    drawn = electrics("cables core by core")
    solved = drawn.in_moment(moment(drawn, "press 1"), LOWEST)
    thin, thick = 0.096 * HOT * 41, 0.0195 * HOT * 9

    at_junction = 10.8 - (0.48 + 0.040) * 2 * thin
    assert solved.across("J4.1", "J4.2") == pytest.approx(at_junction)
    assert solved.across("lock.+", "lock.0") == pytest.approx(at_junction - 0.48 * 2 * thick)
    assert solved.through("fuse of main.branch 2") == pytest.approx(0.520)
