"""The schedule by cable: drawn cables core by core, runs of one cable together, links and branches."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.wiring.schedule import (
    Schedule,
    block_diagram,
    terminal_drawing,
    wiring_findings,
    wiring_schedule,
)
from helpers.drawn_case import drawn_case

CORES: dict[str, Any] = {
    "red": ["main.branch 2.+", "J4.1", "R2.+"],
    "black": {"ends": ["main.0", "R2.0"], "found_ohm": 3.9},
    "white": {"ends": ["R2.1.break", "lock.+"], "found_ohm": 4.0, "broken": False, "says": "to the strike"},
    "pink": [],
}


def rows(schedule: Schedule, label: str) -> list[tuple[str, str, str]]:
    """Rows of a cable: core, from, to."""
    return [
        (row.core, f"{row.start}.{row.start_terminal}", f"{row.target}.{row.target_terminal}")
        for row in schedule.cores
        if row.cable_no == label
    ]


def test_a_drawn_cable_stands_core_by_core() -> None:
    """A core that feeds several things has a row for each; a spare one is listed too."""
    schedule = wiring_schedule(drawn_case(CORES, links=[["J4.1", "R1.+", "R1.1.common"]]))

    assert rows(schedule, "W7") == [
        ("red", "main.branch 2.+", "J4.1"),
        ("red", "main.branch 2.+", "R2.+"),
        ("black", "main.0", "R2.0"),
        ("white", "R2.1.break", "lock.+"),
        ("pink", "main, R2.", "J4, R2, lock."),
    ]
    assert rows(schedule, "") == [("link", "J4.1", "R1.+"), ("link", "R1.+", "R1.1.common")]
    notes = {row.core: row.note for row in schedule.cores}
    assert notes["pink"] == "spare"
    assert notes["white"] == "4 ohm found, to the strike"


def test_figures_of_a_drawn_core_are_those_of_its_length_and_branch() -> None:
    """41 m of 96 ohm/km are 3.936 ohm; the fuse is that of the branch, 0.5 A, and none on the way back."""
    schedule = wiring_schedule(drawn_case(CORES))
    by_core = {row.core: row for row in schedule.cores}

    assert by_core["red"].core_ohm == pytest.approx(3.936)
    assert [by_core[core].fuse_a for core in ("red", "black", "white")] == [0.5, None, None]
    # There and back with two terminals of 0.05 ohm, and what was found on the two cores that were measured.
    reading = next(row for row in schedule.loops if row.cable_no == "W7")
    assert reading.expected_ohm == pytest.approx(2 * 3.936 + 2 * 0.05)
    assert "black with white: 7.9 ohm found" in reading.note


def test_runs_of_one_cable_stand_together_with_cores_of_their_own() -> None:
    """Whatever their order in the file; what nobody names is counted on within the cable."""
    cable = {"part": "eight", "length_m": 12.0, "label": "W3"}
    outputs = {
        "1": {"kind": "pulse", "for_s": 1.0, "works": "gate.open", "cable": cable},
        "2": {"kind": "pulse", "for_s": 1.0, "works": "lock.release", "load_from": "main"},
    }
    inputs = {"1": {"reads": "alarm.set", "cable": cable | {"cores": "blue and grey"}}}
    box = {
        "at": [0, 0],
        "supply": "dc",
        "relays": 2,
        "contact_form": "changeover",
        "outputs": outputs,
        "inputs": inputs,
        "fed": {"from": "main", "branch": "2", "cable": {"part": "three", "length_m": 3.0}},
    }
    schedule = wiring_schedule(drawn_case(None, receivers={"R1": box}))
    labels = [row.cable_no for row in schedule.cores]

    assert labels == sorted(labels, key=labels.index)  # each cable's rows stand together
    assert [row.core for row in schedule.cores if row.cable_no == "W3"] == ["1", "2", "blue", "grey"]
    feed = next(row for row in schedule.cores if row.target == "R1" and row.start == "main")
    assert feed.fuse_a == 0.5


def test_a_run_whose_wires_are_drawn_is_no_cable_of_its_own() -> None:
    """An output says what it works; the drawn cable says over which cores."""
    box = {
        "at": [0, 0],
        "supply": "dc",
        "relays": 2,
        "contact_form": "changeover",
        "outputs": {
            "1": {"kind": "pulse", "for_s": 1.0, "works": "lock.release", "contact": "normally closed"},
            "2": {"kind": "pulse", "for_s": 1.0, "works": "gate.open"},
        },
    }
    schedule = wiring_schedule(drawn_case(CORES, receivers={"R2": box}))

    assert {row.target for row in schedule.cores if row.cable_no == "W1"} == {"gate"}
    assert {row.cable_no for row in schedule.cores} == {"W1", "W7"}


def test_a_receiver_that_drawn_wires_feed_is_drawn_with_its_feed() -> None:
    """The branch, its fuse, the cable and its cores stand in the terminal plan."""
    case = drawn_case(CORES, links=[["J4.1", "R2.1.common"]])
    plan = terminal_drawing(case, "larkfen/R2")

    for shown in ("branch 2 +", "500 mA", "eight, 41 m", "core red", "core black"):
        assert shown in plan, shown
    assert "core red" not in terminal_drawing(case, "larkfen/R1")
    assert block_diagram(case) != block_diagram(drawn_case(None))


def test_what_fails_of_cables_is_told_with_the_schedule() -> None:
    """Three cores for four conductors, and a core that ends nowhere."""
    cores = {str(number): ["main.+", "J4.1"] for number in range(1, 4)} | {"4": ["R1.1.make"]}
    failing = {
        finding.code
        for finding in wiring_findings(drawn_case(cores, part="three"))
        if finding.verdict is Verdict.FAILS
    }

    assert {"SUP-20", "SUP-22"} <= failing
