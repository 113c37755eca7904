"""Supervised lines in the circuit: resistors where they sit, contacts in series, and what was found."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from farpress.case.case import Case
from farpress.case.circuit.electrics import electrics_of
from farpress.case.circuit.states import AS_READ, Moment
from farpress.core.wiring.zones import ZoneChain, zone_ohm
from helpers.circuit_jobs import JOBS, PANEL, run, small_job
from helpers.wired_case import wired_case

LOOP = {
    "scheme": "double end-of-line",
    "normal_ohm": 1500.0,
    "alarm_ohm": 3300.0,
    "pull_up_ohm": 2200.0,
    "supply_v": 12.0,
}
CABLE = 2 * 0.145 * 96.0


def house(**zone: Any) -> dict[str, Any]:
    """A panel with one zone of 145 m."""
    plain = {"loop": LOOP, "cable": run(145.0), "contacts": 1}
    return {"panels": {"alarm": PANEL | {"zones": {"3": plain | zone}}}}


def read_ohm(
    case: Case, moment: Moment, terminal: str = "alarm.zone 3", pull_up_ohm: float = 2200.0
) -> float:
    """Ohms at the panel's terminals, from its own divider; 20 degC."""
    volts = electrics_of(case, "larkfen").in_moment(moment, AS_READ).across(terminal, f"{terminal} common")
    supply_v = 12.0 if terminal == "alarm.zone 3" else 5.0
    assert volts is not None
    share = volts / supply_v
    return pull_up_ohm * share / (1 - share)


REST = Moment("at rest", signals=False)
OPEN = Moment("open", signals=False, opened=True)


@pytest.mark.parametrize(
    ("zone", "chain"),
    [
        ({}, ZoneChain(1500.0, 3300.0)),
        ({"resistor": "panel"}, ZoneChain(1500.0, 3300.0)),
        (
            {"contacts": 25, "contact_ohm": 0.2, "each_resistor": True},
            ZoneChain(1500.0, 3300.0, 25, 0.2, each=True),
        ),
        ({"contacts": 8, "contact_ohm": 0.5}, ZoneChain(1500.0, 3300.0, 8, 0.5)),
        ({"found": {"swapped": True}}, ZoneChain(3300.0, 1500.0)),
        ({"found": {"missing": "normal"}}, ZoneChain(0.0, 3300.0)),
        ({"found": {"bridged": True}}, ZoneChain(1500.0, 3300.0, bridged=True)),
        ({"found": {"leak_ohm": 5000.0}}, ZoneChain(1500.0, 3300.0, leak_ohm=5000.0)),
    ],
)
def test_the_circuit_reads_what_the_judge_reckons(zone: dict[str, Any], chain: ZoneChain) -> None:
    """One figure for one loop: at the panel's terminals of the circuit, and by resistors in series."""
    case = wired_case(house(**zone))

    for moment, opened in ((REST, 0), (OPEN, 1)):
        assert read_ohm(case, moment) == pytest.approx(
            zone_ohm(chain=chain, worked=opened, loop_ohm=CABLE), rel=1e-6
        )


@pytest.mark.parametrize(
    ("zone", "chain"),
    [
        ({"contacts": 10}, ZoneChain(5600.0, 2200.0, 10, makes=True)),
        ({"contacts": 10, "contact_ohm": 3.0}, ZoneChain(5600.0, 2200.0, 10, 3.0, makes=True)),
        ({"found": {"bridged": True}}, ZoneChain(5600.0, 2200.0, makes=True, bridged=True)),
        ({"found": {"leak_ohm": 5000.0}}, ZoneChain(5600.0, 2200.0, makes=True, leak_ohm=5000.0)),
    ],
)
def test_a_contact_that_makes_switches_its_resistor_in(zone: dict[str, Any], chain: ZoneChain) -> None:
    """Pull-cords side by side across the line: the circuit and resistors in parallel say the same."""
    loop = LOOP | {"scheme": "two-resistor", "normal_ohm": 5600.0, "alarm_ohm": 2200.0}
    case = wired_case(house(loop=loop, **zone))

    for moment, worked in ((REST, 0), (OPEN, 1)):
        assert read_ohm(case, moment) == pytest.approx(
            zone_ohm(chain=chain, worked=worked, loop_ohm=CABLE), rel=1e-6
        )


def test_a_resistor_in_the_panel_does_not_watch_the_cable() -> None:
    """The cable is not behind it: at the first terminal of the cable 1.5 kohm less are seen."""
    for place, before in (("panel", 0.0), ("far end", 1500.0)):
        electrics = electrics_of(wired_case(house(resistor=place)), "larkfen")
        circuit = electrics.circuit
        core = next(core for core in circuit.conductors if core.name.endswith("out"))
        solved = electrics.in_moment(REST, AS_READ)
        amperes = solved.through(core.name)
        behind = solved.across(core.a, "alarm.zone 3 common")

        assert amperes is not None
        assert behind is not None
        assert behind / amperes == pytest.approx(before + CABLE)


def test_a_reading_is_put_into_the_circuit_as_the_leak_that_it_shows() -> None:
    """1256.76 ohm read where 1527.84 are drawn: 6.8 kohm lie between the cores, and the panel reads them."""
    case = wired_case(house(found={"read_ohm": 1256.76}))

    assert read_ohm(case, REST) == pytest.approx(1256.76, rel=1e-6)


def test_a_zone_that_is_not_supervised_is_cut_by_its_contact() -> None:
    """A loop of no resistors: the cable, then nothing."""
    loop = LOOP | {"scheme": "closed", "normal_ohm": None, "alarm_ohm": None}
    case = wired_case(house(loop=loop))
    volts = (
        electrics_of(case, "larkfen").in_moment(OPEN, AS_READ).across("alarm.zone 3", "alarm.zone 3 common")
    )

    assert read_ohm(case, REST) == pytest.approx(CABLE)
    assert volts == pytest.approx(12.0)


def test_the_resistor_of_a_drawn_line_lies_in_it() -> None:
    """Cores drawn from the contact to the panel: 1 kohm with the contact closed, 2 kohm with it open, and
    40 m of cable either time.
    """
    case = small_job("junction and branch, drawn")
    cable = 2 * 0.040 * 96.0

    assert read_ohm(case, REST, "panel.zone", 5100.0) == pytest.approx(2000.0 + cable)
    pressed = Moment("on", frozenset({"larkfen/R1/2"}), signals=False)
    assert read_ohm(case, pressed, "panel.zone", 5100.0) == pytest.approx(1000.0 + cable)


def test_what_was_measured_of_a_core_counts_in_the_circuit() -> None:
    """14 ohm found on the red core in place of 6.53: the receiver at its end has that many volts fewer."""
    job = copy.deepcopy(JOBS["daisy chain, drawn"])
    job["cables"]["W1"]["cores"]["1"] = {"ends": ["main.+", "R1.+"], "found_ohm": 14.0}
    solved = electrics_of(wired_case(job), "larkfen").in_moment(REST, AS_READ)
    core = next(core for core in solved.circuit.conductors if core.core == "1")

    assert core.ohm(20.0) == pytest.approx(14.0)
    assert solved.across("main.+", "R1.+") == pytest.approx(14.0 * (solved.given_a("main") or 0.0))


def test_a_core_found_to_be_copper_clad_has_its_resistance() -> None:
    """1.7 times that of copper, the most it has."""
    job = copy.deepcopy(JOBS["daisy chain, drawn"])
    job["cables"]["W1"]["cores"]["1"] = {"ends": ["main.+", "R1.+"], "metal": "copper-clad aluminium"}
    cores = {core.core: core for core in electrics_of(wired_case(job), "larkfen").circuit.conductors}

    assert cores["1"].ohm(20.0) == pytest.approx(1.7 * cores["2"].ohm(20.0))
