"""Cables as a stock of cores, and wires: what is wrong is found and named, and the rest still judged.

Conductors are counted by hand beside each case; resistances are worked out from ohm per kilometre and length.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.domain.premises import Together
from farpress.domain.refs import CableRef, CoreRef
from farpress.judging.device import mains_cables
from farpress.judging.supply import cable_stock, cables_found, wires
from helpers.circuit_jobs import JOBS
from helpers.drawn_case import drawn_case
from helpers.findings import finding_of
from helpers.wired_case import wired_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS

FED = {"red": ["main.+", "R1.+"], "black": ["main.0", "R1.0"]}
"""Two good cores."""


def judged(case: Case) -> list[Finding]:
    """Everything that is said of the wires of a case."""
    return [
        *wires.judge(case),
        *cable_stock.judge(case),
        *cables_found.judge(case),
        *mains_cables.judge(case),
    ]


def valves(count: int, part: str, *, master: bool = False) -> Case:
    """So many valves on one cable with one common way back, and a master that each of them is to open."""
    together = {"with": ["master.on"]} if master else {}
    outputs = {
        str(number): {
            "kind": "toggle",
            "works": f"zone{number}.on",
            "load_from": "main",
            "cable": {"part": part, "length_m": 140.0, **({"shares_return_with": "1"} if number > 1 else {})},
            **together,
        }
        for number in range(1, count + 1)
    }
    valve = {"device": "valve", "supply": "ac", "inputs": {"on": {}}}
    return wired_case(
        {
            "supplies": {"main": {"supply": "ac"}},
            "receivers": {
                "RT": {"at": [0, 0], "relays": 4, "contact_form": "changeover", "outputs": outputs}
            },
            "devices": {f"zone{number}": valve for number in range(1, count + 1)} | {"master": valve},
        },
        cables={
            name: {"area_mm2": 0.75, "resistance_ohm_per_km": 26.0, **more}
            for name, more in (("three", {"cores": 3}), ("seven", {"cores": 7}), ("unread", {}))
        },
    )


@pytest.mark.parametrize(
    ("count", "master", "conductors", "verdict"),
    [
        (1, False, 2, HOLDS),
        (2, False, 3, HOLDS),
        (3, False, 4, FAILS),
        (4, False, 5, FAILS),
        (4, True, 6, FAILS),
    ],
)
def test_conductors_are_counted_against_cores(
    count: int, master: bool, conductors: int, verdict: Verdict
) -> None:
    """Each valve has one core, all have one way back, a master that several open has one more: 4 + 1 + 1."""
    finding = finding_of(judged(valves(count, "three", master=master)), "SUP-20")

    assert (finding.value, finding.limit, finding.verdict) == (conductors, 3, verdict)
    assert f"{conductors} conductors and it has 3" in finding.says
    if verdict is FAILS:
        assert (finding.remedies[0].does, finding.remedies[0].effect) == (
            "Use seven",
            f"7 cores for {conductors} conductors",
        )


def test_a_cable_whose_cores_nobody_counted_is_asked_about() -> None:
    """Missing is never better."""
    finding = finding_of(judged(valves(2, "unread")), "SUP-20")

    assert finding.verdict is UNKNOWN
    assert finding.asks[0].says == "Count the cores of unread and give 'cores'."


def test_joined_cores_count_each() -> None:
    """Two cores for each of three conductors are six; none of the cables here has so many."""
    case = drawn_case(FED, part="joined", **{"cables": {}})
    joined = wired_case(
        case.job.premises["larkfen"].model_dump(by_alias=False, exclude_unset=True),
        cables={"joined": {"area_mm2": 0.5, "cores": 3, "parallel": 2, "resistance_ohm_per_km": 39.0}},
    )
    finding = finding_of(judged(joined), "SUP-20")

    assert (finding.value, finding.limit, finding.verdict) == (4, 3, FAILS)
    assert (
        finding.remedies[0].does
        == "A cable with at least 4 cores of at least 0.5 mm2 each, or a second cable beside it"
    )


def test_a_master_that_several_work_ties_their_contacts_together() -> None:
    """A link from each zone to the master joins the zones: any contact opens all of them."""
    tied = finding_of(judged(valves(4, "seven", master=True)), "SUP-27")

    assert tied.verdict is FAILS
    assert "any of them works master, zone1, zone2, zone3 and zone4, all at once" in tied.says
    assert not [one for one in judged(valves(4, "seven")) if one.code == "SUP-27"]


def test_contacts_that_turn_a_motor_round_are_not_tied_by_the_plus_they_share() -> None:
    """Their make sides lie on the supply, and so does whatever else it feeds."""
    job = JOBS["motors that turn round with their volts"]
    camera = {"device": "lamp", "supply": "dc", "voltage_v": 24.0, "current_a": 0.2, "fed": {"from": "main"}}
    case = wired_case(job | {"devices": {**job["devices"], "camera": camera}})

    assert "SUP-27" not in {finding.code for finding in judged(case)}


def test_two_contacts_on_one_input_are_well() -> None:
    """Side by side they are two buttons for one thing."""
    case = drawn_case(
        {
            "1": ["R1.1.make", "gate.open"],
            "2": ["R1.1.common", "gate.open common"],
            "3": ["R1.2.make", "gate.open"],
            "4": ["R1.2.common", "gate.open common"],
        },
        receivers={
            "R1": {
                "at": [0, 0],
                "relays": 2,
                "contact_form": "changeover",
                "outputs": {
                    "1": {"kind": "pulse", "for_s": 1.0, "works": "gate.open"},
                    "2": {"kind": "pulse", "for_s": 1.0, "works": "gate.open"},
                },
            }
        },
    )

    assert finding_of(judged(case), "SUP-27").verdict is HOLDS


def test_a_core_used_for_two_things_is_found() -> None:
    """Two runs of one label that both name core 1."""
    cable = {"part": "eight", "length_m": 41.0, "label": "W1"}
    outputs = {
        "1": {"kind": "pulse", "for_s": 1.0, "works": "gate.open", "cable": cable | {"cores": "1 and 2"}},
        "2": {"kind": "pulse", "for_s": 1.0, "works": "gate.stop", "cable": cable | {"cores": "1 and 3"}},
    }
    box = {"at": [0, 0], "relays": 2, "contact_form": "changeover", "outputs": outputs}
    finding = finding_of(judged(drawn_case(None, receivers={"R1": box})), "SUP-21")

    assert finding.verdict is FAILS
    assert "core 1 is used from R1.1.make to gate.open and again from R1.2.make to gate.stop" in finding.says


@pytest.mark.parametrize(
    ("cores", "says"),
    [
        ({**FED, "white": ["R1.1.make"]}, "core white ends at R1.1.make and nowhere else"),
        (
            {**FED, "white": ["R1.1.collector", "lock.+"]},
            "core white: 'R1.1.collector': R1, a receiver, has no",
        ),
        ({**FED, "white": ["R1.1.make", "J4.1"]}, "core white ends at J4.1, where nothing else does"),
        ({**FED, "white": ["R1.1.make", "J4.1"], "blue": ["J4.1", "lock.+"]}, ""),
        ({**FED, "white": []}, ""),
    ],
)
def test_a_core_that_ends_nowhere_is_found_and_the_rest_is_judged(cores: dict[str, Any], says: str) -> None:
    """A spare core is none; the other findings are there all the same."""
    findings = judged(drawn_case(cores))
    finding = finding_of(findings, "SUP-22", "W7")

    assert finding.verdict is (FAILS if says else HOLDS)
    assert says in finding.says
    assert finding_of(findings, "SUP-20").verdict is HOLDS
    assert finding_of(findings, "SUP-24", "R1").verdict is HOLDS


def test_a_link_to_a_terminal_that_is_not_there_is_found() -> None:
    """Told with what there is."""
    finding = finding_of(
        judged(drawn_case(FED, links=[["J4.1", "R1.9.common"], ["J4.2", "R1.+"]])), "SUP-22", "links"
    )

    assert finding.verdict is FAILS
    assert "R1, a receiver, has no terminal '9.common'" in finding.says


@pytest.mark.parametrize(
    ("core", "says"),
    [
        (["main.+", "second.+"], "main.+ is joined to second.+: two supplies tied together"),
        (
            ["main.branch 1.+", "second.+"],
            "main.branch 1.+ is joined to second.+: two supplies tied together",
        ),
        (["main.+", "second.0"], "main.+ is joined to second.0, the way back of another supply"),
        (["main.branch 2.+", "main.0"], "main.branch 2.+ is joined to main.0: a short circuit"),
        (["main.branch 1.+", "main.branch 2.+"], "main.branch 1.+ is joined to main.branch 2.+: two fuses"),
        (["main.0", "second.0"], ""),
        (["main.0", "main.branch 2.0"], ""),
    ],
)
def test_supplies_that_feed_into_each_other_are_found(core: list[str], says: str) -> None:
    """Straight, or over a junction; a common 0 V is no fault."""
    for cores, links in (({"red": core}, []), ({"red": [core[0], "J4.1"]}, [["J4.1", core[1]]])):
        finding = finding_of(judged(drawn_case(cores, links=links)), "SUP-23", "main")

        assert finding.verdict is (FAILS if says else HOLDS), finding.says
        assert says in finding.says
        assert finding.bars is bool(says)


@pytest.mark.parametrize(
    ("cores", "verdict"),
    [
        ({"red": ["main.+", "R1.1.common"], "white": ["R1.1.break", "R1.+"]}, FAILS),
        ({"red": ["main.+", "R1.1.common"], "white": ["R1.1.make", "R1.+"]}, FAILS),
        ({"red": ["main.+", "R2.1.common"], "white": ["R2.1.break", "R1.+"]}, HOLDS),
        ({"red": ["main.+", "R1.1.common", "R1.+"], "white": ["R1.1.make", "lock.+"]}, HOLDS),
    ],
)
def test_a_contact_that_feeds_its_own_receiver_is_found(cores: dict[str, Any], verdict: Verdict) -> None:
    """Over its break contact it chatters, over its make contact it never starts; another's is well."""
    finding = finding_of(judged(drawn_case(cores)), "SUP-24", "R1")

    assert finding.verdict is verdict
    if verdict is FAILS:
        assert finding.says == "R1 gets current from main.+ only over a contact of its own."


@pytest.mark.parametrize(
    ("found", "verdict"),
    # 41 m of 96 ohm/km are 3.936 ohm; three quarters 2.952, eleven tenths 4.3296.
    [(2.9, FAILS), (2.96, HOLDS), (3.9, HOLDS), (4.32, HOLDS), (4.34, FAILS)],
)
def test_a_measured_core_is_held_against_its_length(found: float, verdict: Verdict) -> None:
    """Less is a touch or a shorter way, more a joint or a thinner core."""
    case = drawn_case({"red": {"ends": ["main.+", "R1.+"], "found_ohm": found}, "black": ["main.0", "R1.0"]})
    finding = finding_of(judged(case), "SUP-25")

    assert finding.verdict is verdict
    assert finding.subjects == (CoreRef("larkfen/W7/red"), CableRef("larkfen/W7"))
    assert finding.limit == pytest.approx(2.952 if found < 3.6 else 4.3296)


def test_a_core_found_to_be_aluminium_under_copper_may_measure_more() -> None:
    """1.7 times as much: 6.6912 ohm and a tenth; and the metal itself is told."""
    core = {"ends": ["main.+", "R1.+"], "found_ohm": 7.3, "metal": "copper-clad aluminium"}
    findings = judged(drawn_case({"red": core}))

    assert finding_of(findings, "SUP-25").verdict is HOLDS
    assert finding_of(findings, "SUP-26").verdict is THIN


@pytest.mark.parametrize(("ends", "verdict"), [(["main.+", "R1.+"], FAILS), ([], HOLDS)])
def test_a_broken_core_matters_where_it_is_used(ends: list[str], verdict: Verdict) -> None:
    """A broken spare core is only told; a broken one in use joins nothing any more."""
    case = drawn_case({"red": {"ends": ends, "broken": True}, "black": ["main.0", "R1.0"]})

    assert finding_of(judged(case), "SUP-26").verdict is verdict


def test_mains_and_extra_low_voltage_in_one_drawn_cable_are_refused() -> None:
    """Straight or over a contact; nobody may accept it."""
    lamp = {"brown": ["R1.2.make", "lamp.L"], "blue": ["J4.9", "lamp.N"]}
    together = finding_of(judged(drawn_case({**FED, **lamp}, part="seven")), "SAFE-11", "beside others")

    assert (together.verdict, together.bars) == (FAILS, True)
    assert "mains on cores brown and blue and extra-low voltage on cores red and black" in together.says
    assert not [one for one in judged(drawn_case(lamp, part="three")) if "beside" in one.about]
    assert not [one for one in judged(drawn_case(FED)) if one.code == "SAFE-11"]


@pytest.mark.parametrize(("part", "verdict"), [("eight", FAILS), ("three", HOLDS), ("unread", UNKNOWN)])
def test_mains_in_a_drawn_cable_wants_one_made_for_it(part: str, verdict: Verdict) -> None:
    """Alarm cable is refused."""
    case = drawn_case({"brown": ["R1.2.make", "lamp.L"]}, part=part)
    finding = finding_of(judged(case), "SAFE-11", "W7 at larkfen")

    assert finding.verdict is verdict
    assert finding.bars is (verdict is FAILS)


def test_a_wire_from_mains_to_extra_low_voltage_is_refused() -> None:
    """Whichever way round it is drawn."""
    finding = finding_of(
        judged(drawn_case({"red": ["main.+", "J4.1"]}, links=[["J4.1", "lamp.L"]])), "SAFE-11", "wires"
    )

    assert (finding.verdict, finding.bars) == (FAILS, True)
    assert "lamp.L carries mains and is joined to main.+" in finding.says


@pytest.mark.parametrize(
    ("way", "mains", "verdict"),
    [
        ({"divided": True}, True, HOLDS),
        ({"divided": False}, True, FAILS),
        ({}, True, UNKNOWN),
        ({"mains": True, "divided": False}, False, FAILS),
        ({"mains": True, "divided": True}, False, HOLDS),
        ({"mains": False}, False, HOLDS),
        ({}, False, UNKNOWN),
    ],
)
def test_mains_in_the_same_way_is_told(way: dict[str, Any], mains: bool, verdict: Verdict) -> None:
    """A partition keeps them apart; sheaths alone are a narrow thing; what nobody looked at is asked."""
    cables = {
        "W8": {"part": "three", "length_m": 9.0, "way": "duct", "cores": {"1": ["R1.2.make", "lamp.L"]}}
    }
    case = drawn_case(
        None,
        cables={
            "W7": {"part": "eight", "length_m": 41.0, "way": "duct", "cores": FED},
            **(cables if mains else {}),
        },
        ways={"duct": way},
    )

    assert finding_of(judged(case), "SAFE-20").verdict is verdict


@pytest.mark.parametrize(("made", "verdict"), [(True, THIN), (False, FAILS), (None, UNKNOWN)])
def test_what_lies_against_mains_without_a_partition_must_be_made_for_it(
    made: bool | None, verdict: Verdict
) -> None:
    """The duct is shared with mains that is not drawn; sheaths alone keep them apart."""
    lying = {"W7": {"part": "eight", "length_m": 41.0, "way": "duct", "cores": FED}}
    case = drawn_case(None, cables=lying, ways={"duct": {"mains": True, "divided": False}})
    part = case.equipment.cables["eight"]
    sheet = part.sheet.model_copy(update={"mains_rated": made})
    cables = {**case.equipment.cables, "eight": replace(part, sheet=sheet)}
    case = replace(case, equipment=replace(case.equipment, cables=cables))

    finding = finding_of(judged(case), "SAFE-20")
    assert finding.verdict is verdict
    assert bool(finding.asks) is (verdict is UNKNOWN)


def test_a_core_that_meets_at_one_end_is_shared_on_purpose() -> None:
    """Two contacts whose ways back come from one common of the drive use one core for both."""
    cable = {"part": "eight", "length_m": 41.0, "label": "W1"}
    outputs = {
        "1": {"kind": "pulse", "for_s": 1.0, "works": "gate.open", "cable": cable | {"cores": "1 and 2"}},
        "2": {"kind": "pulse", "for_s": 1.0, "works": "gate.open", "cable": cable | {"cores": "3 and 2"}},
    }
    box = {"at": [0, 0], "relays": 2, "contact_form": "changeover", "outputs": outputs}
    findings = judged(drawn_case(None, receivers={"R1": box}))

    assert finding_of(findings, "SUP-21").verdict is HOLDS
    assert finding_of(findings, "SUP-20").value == 3


def test_a_master_that_follows_what_takes_turns_wants_a_core() -> None:
    """Four valves, their way back, and the master that no output works."""
    case = valves(4, "three")
    house = case.job.premises["larkfen"].model_copy(
        update={"together": (Together(of=("zone1", "zone2", "zone3", "zone4"), **{"with": ("master",)}),)}
    )
    following = replace(case, job=case.job.model_copy(update={"premises": {"larkfen": house}}))
    finding = finding_of(judged(following), "SUP-20")

    assert (finding.value, finding.verdict) == (6, FAILS)
