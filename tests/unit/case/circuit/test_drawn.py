"""Cables that are drawn core by core are the circuit: the same as the short form where both say the same."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from farpress.case.circuit.build import circuit_of
from farpress.case.circuit.electrics import electrics_of
from farpress.case.circuit.states import AS_READ
from farpress.case.drawn_wires import drawn_feeds
from farpress.case.supply_ends import ends_of
from farpress.domain.finding import Verdict
from farpress.judging import needs
from farpress.judging.supply.fed import judge_fed
from farpress.judging.supply.volts import judge
from helpers.circuit_jobs import JOBS, small_job
from helpers.drawn_case import drawn_case
from helpers.findings import finding_of
from helpers.wired_case import wired_case

FED: dict[str, Any] = {"red": ["main.+", "R1.+"], "black": ["main.0", "R1.0"]}


def test_a_drawn_daisy_chain_starves_its_receiver_as_one_in_the_short_form_does() -> None:
    """Two cores of 68 m of 96 ohm/km, a source of 0.05 ohm, a lock of 25 ohm: by hand 8.77 V."""
    r = 2 * 96.0 * 68 / 1000 + 0.05
    for name in ("daisy chain", "daisy chain, drawn"):
        finding = finding_of(judge(small_job(name)), "SUP-15")

        assert finding.verdict is Verdict.FAILS
        assert finding.value == pytest.approx((13.6 - 0.018 * r) / (1 + r / 25))


def test_volts_at_every_terminal_are_those_of_the_short_form() -> None:
    """In every moment, at the receiver and at the lock."""
    short, drawn = (
        electrics_of(small_job(name), "larkfen") for name in ("daisy chain", "daisy chain, drawn")
    )
    for mine, theirs in zip(drawn.pressed, short.pressed, strict=True):
        here, there = drawn.in_moment(mine), short.in_moment(theirs)
        for a, b in (("R1.+", "R1.0"), ("lock.+", "lock.0"), ("R1.0", "main.0")):
            assert here.across(a, b) == pytest.approx(there.across(a, b))


def test_what_is_drawn_is_known_and_fed() -> None:
    """Nobody is asked for a cable that is drawn, nor for the supply behind it."""
    case = small_job("junction and branch, drawn")

    circuit = circuit_of(case, "larkfen")
    assert not [unknown for unknown in circuit.unknown if "cable" in unknown.says]
    ends = {end.who: (end.branch, end.at.path if end.at else "") for end in ends_of(case, "larkfen", "main")}
    assert ends == {"panel": ("", ""), "R1": ("1", ""), "front": ("1", "larkfen/R1/1"), "lamp": ("1", "")}
    assert not list(judge_fed(case))
    fed = next(finding for finding in needs.judge(case) if "R1: what feeds it" in finding.about)
    assert fed.verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    ("cores", "feeds"),
    [
        (FED, [("R1", "")]),
        ({"red": ["main.+", "R1.+"]}, []),  # no way back
        ({**FED, "red": {"ends": ["main.+", "R1.+"], "broken": True}}, []),
        ({"red": ["main.+", "R1.1.common"], "white": ["R1.1.make", "R1.+"], "black": ["main.0", "R1.0"]}, []),
        (
            {"red": ["main.+", "R2.1.common"], "white": ["R2.1.break", "R1.+"], "black": ["main.0", "R1.0"]},
            [],
        ),
        (
            {"1": ["main.+", "lock.+"], "2": ["R1.1.make", "lock.0"], "3": ["main.0", "R1.1.common"]},
            [("lock", "1")],
        ),
    ],
)
def test_a_supply_comes_over_wires_and_one_contact(cores: Any, feeds: list[tuple[str, str]]) -> None:
    """Both sides must be joined; the contact may lie in either; a receiver's own contact feeds it nothing."""
    outputs = {"1": {"kind": "pulse", "for_s": 1.0, "works": "lock.release"}}
    box = {"at": [0, 0], "supply": "dc", "relays": 2, "contact_form": "changeover", "outputs": outputs}
    found = drawn_feeds(drawn_case(cores, receivers={"R1": box}), "larkfen")

    assert [(feed.thing, feed.output.number if feed.output else "") for feed in found] == feeds


def test_an_input_and_an_output_of_one_name_are_two_nodes() -> None:
    """A panel that is set over one and tells it over the other: its relay does not lie on the input."""
    panel = {"inputs": {"set": {}}, "outputs": {"set": {"form": "relay"}}}
    box = {
        "at": [0, 0],
        "relays": 1,
        "contact_form": "changeover",
        "outputs": {"1": {"kind": "pulse", "for_s": 1.0, "works": "alarm.set"}},
        "inputs": {"1": {"reads": "alarm.set"}},
    }
    circuit = circuit_of(drawn_case(None, receivers={"R1": box}, panels={"alarm": panel}), "larkfen")
    joints = {frozenset((joint.a, joint.b)) for joint in circuit.joints}

    assert frozenset(("R1.1.make", "alarm.set in")) in joints
    assert frozenset(("R1.in1", "alarm.set out")) in joints
    assert next(contact.a for contact in circuit.contacts if contact.works == "alarm.set") == "alarm.set out"


def test_a_contact_whose_break_side_alone_is_drawn_is_a_break_contact() -> None:
    """Nobody names the side: the lock at R1.1.break is held at rest, as where the job says so."""
    house = deepcopy(JOBS["daisy chain, drawn"])
    del house["receivers"]["R1"]["outputs"]["1"]["contact"]
    built = wired_case(house)
    named = small_job("daisy chain, drawn")

    assert built.job.premises["larkfen"].receivers["R1"].outputs["1"].contact == "normally closed"
    volts = [
        electrics_of(case, "larkfen")
        .in_moment(electrics_of(case, "larkfen").at_rest, AS_READ)
        .at("main", "R1")
        for case in (built, named)
    ]
    assert volts[0] == volts[1]
