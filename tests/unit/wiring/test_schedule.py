"""The wiring schedule and its drawings: figures by hand, every end of every core, every example drawn."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.errors import InputError
from farpress.papers.builders.words import loop_ohm_cell
from farpress.papers.drawings.svg import fitted, text_width
from farpress.papers.drawings.terminal_plan import Lane, TerminalPlan
from farpress.papers.drawings.terminals import terminal_drawing as draw
from farpress.units import write_quantity
from farpress.wiring.drawings import block_diagrams, block_sheets, terminal_drawings
from farpress.wiring.schedule import block_diagram, terminal_drawing, wiring_schedule
from farpress.wiring.sheets import schedule_json, schedule_sheets
from helpers.project import EXAMPLES
from helpers.wired_case import wired_case

SUPPLY: dict[str, Any] = {
    "supply": "dc",
    "voltage_v": 12.0,
    "voltage_min_v": 11.0,
    "voltage_max_v": 13.8,
    "rated_a": 1.0,
    "fuse_a": 1.6,
}
LOOP: dict[str, Any] = {
    "scheme": "double end-of-line",
    "normal_ohm": 2200.0,
    "alarm_ohm": 4700.0,
    "tolerance_share": 0.01,
    "window_share": 0.15,
}
LEG = 0.05
"""What the schedule counts for each terminal."""


def house(**outputs: Any) -> dict[str, Any]:
    """A strike over a contact, a zone on a loop, a relay to a mains lamp, a status line and a tamper
    circuit.
    """
    return {
        "supplies": {"main": SUPPLY},
        "receivers": {
            "R1": {
                "at": [0, 0],
                "contact_form": "changeover",
                "current_idle_a": 0.02,
                "current_per_relay_a": 0.018,
                "fed": {"from": "main", "cable": {"part": "twin-1.0", "length_m": 2.0}},
                "tamper": "panel.tamper",
                "outputs": {
                    "1": {
                        "kind": "pulse",
                        "for_s": 4.0,
                        "works": "door.release",
                        "load_from": "main",
                        "suppression": "diode",
                        "cable": {"part": "alarm-6x0.22", "length_m": 25.0, "cores": "white and green"},
                    },
                    "2": {
                        "kind": "pulse",
                        "for_s": 1.0,
                        "works": "panel.zone",
                        "contact": "normally closed",
                        "cable": {"part": "alarm-6x0.22", "length_m": 10.0},
                    },
                    "3": {"kind": "toggle", "works": "porch.on", "via": "helper"},
                    **outputs,
                },
                "inputs": {
                    "1": {
                        "reads": "panel.set",
                        "cable": {"part": "alarm-6x0.22", "length_m": 10.0, "cores": "3, 4"},
                    }
                },
            }
        },
        "devices": {
            "door": {
                "device": "strike",
                "supply": "dc",
                "voltage_v": 12.0,
                "voltage_min_v": 9.0,
                "voltage_max_v": 15.0,
                "current_a": 0.35,
                "load": "inductive dc",
            },
            "porch": {
                "device": "lamp",
                "supply": "mains",
                "voltage_v": 230.0,
                "current_a": 0.1,
                "load": "led",
            },
        },
        "panels": {
            "panel": {
                "inputs": {"zone": {"reads": "zone", "loop": LOOP}, "tamper": {"reads": "tamper"}},
                "outputs": {"set": {"form": "open collector"}},
            }
        },
    }


def case(**outputs: Any) -> Case:
    """That house as a case."""
    return wired_case(
        house(**outputs),
        relays={"helper": {"coil_v": 12.0, "coil_a": 0.04, "coil_min_v": 9.6, "coil_supply": "dc"}},
        functions={"door": {"output": "larkfen/R1/1"}},
    )


def test_every_core_of_a_strike_has_its_two_ends() -> None:
    """Live side to the contact, switched core to plus, way back from minus to the supply."""
    rows = [
        (row.start, row.start_terminal, row.core, row.target, row.target_terminal)
        for row in wiring_schedule(case()).cores
        if row.cable_no == "W2"
    ]

    assert rows == [
        ("main", "+", "link", "R1", "11"),
        ("R1", "14", "white", "door", "+"),
        ("main", "0 V", "green", "door", "−"),
    ]


def test_its_figures_are_those_of_the_judging() -> None:
    """25 m of 96 ohm/km: 2.4 ohm a core; 11 V less 0.35 A in both, hot; 13.8 V at rest; fuse and current."""
    row = next(row for row in wiring_schedule(case()).cores if row.core == "white")

    assert row.core_ohm == pytest.approx(2.4)
    assert row.lowest_v == pytest.approx(11.0 - 0.35 * 2 * 2.4 * (1 + 0.00393 * 30))
    assert row.highest_v == pytest.approx(13.8)
    assert (row.amperes, row.fuse_a, row.core_is_named, row.note) == (
        0.35,
        1.6,
        True,
        "diode across the load",
    )


def test_a_break_contact_leads_from_its_own_terminal() -> None:
    """Output 2 rests closed: 22 and 21."""
    rows = [
        (row.start_terminal, row.target, row.target_terminal)
        for row in wiring_schedule(case()).cores
        if row.cable_no == "W3"
    ]

    assert rows == [("22", "panel", "zone"), ("21", "panel", "zone common")]


def test_a_relay_has_its_coil_and_its_mains_side_is_left_to_a_licensed_electrician() -> None:
    """A1 from the contact, A2 to 0 V; of mains one line and no core."""
    rows = [
        (row.start, row.start_terminal, row.target, row.target_terminal, row.note)
        for row in wiring_schedule(case()).cores
        if row.cable_no in ("W4", "W5")
    ]

    assert ("R1", "34", "helper at R1/3", "A1", "") in rows
    assert ("main", "0 V", "helper at R1/3", "A2", "") in rows
    mains = [row for row in rows if row[2] == "porch"]
    assert len(mains) == 1
    assert "licensed electrician" in mains[0][4]


def test_readings_of_a_loop_count_cable_and_tolerance() -> None:
    """10 m of 0.22 mm2: 1.92 ohm and two terminals; 2.2 kohm at rest, 6.9 worked."""
    readings = {row.state: row for row in wiring_schedule(case()).loops if row.cable_no == "W3"}
    cable = 2 * 10 * 0.096 + 2 * LEG

    assert readings["far end joined"].expected_ohm == pytest.approx(cable)
    assert readings["at rest"].expected_ohm == pytest.approx(2200 + cable)
    assert readings["worked"].expected_ohm == pytest.approx(6900 + cable)
    assert readings["worked"].low_ohm == pytest.approx(6900 * 0.99)
    assert readings["worked"].high_ohm == pytest.approx(6900 * 1.01 + cable)


def test_slips_of_the_loop_follow_its_contact() -> None:
    """The right wiring is not among them."""
    slips = [row.slip for row in wiring_schedule(case()).slips if row.loop == "panel.zone"]

    assert len(slips) == 12
    assert all(slip.cause != "wired right" for slip in slips)
    assert any(slip.cause == "make contact used instead of the break contact" for slip in slips)


def test_tamper_contacts_of_all_housings_lie_in_series() -> None:
    """Two housings: one core alone begins at the panel's live terminal, one alone ends at its common; a meter
    shows the legs one after the other, and an open line with any lid open.
    """
    premises = house()
    premises["receivers"]["R2"] = premises["receivers"]["R1"] | {"outputs": {}, "inputs": {}}
    premises["tamper_loops"] = {"lids": {"panel": "panel", "legs": {"R1": 0.9, "R2": 1.4}}}
    relays = {"helper": {"coil_v": 12.0, "coil_a": 0.04, "coil_min_v": 9.6, "coil_supply": "dc"}}
    schedule = wiring_schedule(wired_case(premises, relays=relays))
    ends = [row.start_terminal for row in schedule.cores if "tamper" in row.start_terminal]
    readings = {row.state: row.expected_ohm for row in schedule.loops if row.start == "panel.tamper"}

    assert ends == ["tamper", "tamper joint 1", "tamper joint 1", "tamper common"]
    assert readings == {"all lids shut": pytest.approx(2.3), "any one lid open": math.inf}
    assert "side by side" in next(row for row in schedule.slips if row.loop == "panel.tamper").slip.cause


def test_one_loop_has_one_figure_in_schedule_and_paper() -> None:
    """A meter shows the cable with its terminals; so does the paper."""
    job = case()
    run = job.job.premises["larkfen"].receivers["R1"].fed
    cell = loop_ohm_cell(job, run.cable if run is not None else None)
    shown = next(row for row in wiring_schedule(job).loops if row.target == "R1").expected_ohm

    assert cell is not None
    assert cell.text == write_quantity(shown, "resistance")


def test_devices_side_by_side_share_a_cable_number() -> None:
    """The second hangs on the first, not on a cable of its own."""
    more = {
        "1": {
            "kind": "pulse",
            "works": "door.release",
            "with_": ["bell.on"],
            "load_from": "main",
            "cable": {"part": "twin-1.0", "length_m": 5.0},
        }
    }
    premises = house(**more)
    premises["devices"]["bell"] = premises["devices"]["door"] | {"device": "sounder"}
    rows = [
        row
        for row in wiring_schedule(wired_case(premises, relays={"helper": {"coil_supply": "dc"}})).cores
        if row.target == "bell"
    ]

    assert [(row.cable_no, row.start, row.core) for row in rows] == [
        ("W2", "door", "link"),
        ("W2", "door", "link"),
    ]


def test_an_undescribed_job_keeps_its_rows_empty_and_loses_nothing() -> None:
    """No cable, no supply sheet, no panel data."""
    bare = {
        "receivers": {
            "R1": {
                "at": [0, 0],
                "outputs": {"1": {"kind": "pulse", "works": "gate.open"}, "2": {"kind": "pulse"}},
            }
        },
        "devices": {"gate": {}},
    }
    schedule = wiring_schedule(wired_case(bare))

    assert len(schedule.cores) == 2
    assert all(
        row.core_ohm is None and row.lowest_v is None and row.note in ("cable not described", "")
        for row in schedule.cores
    )
    assert "gate" in terminal_drawing(wired_case(bare), "larkfen/R1")


def test_tables_carry_numbers_and_open_lines() -> None:
    """Three tables; an open line is a word, every row as wide as its titles."""
    schedule = wiring_schedule(case())
    sheets = schedule_sheets(schedule)

    assert [sheet.name for sheet in sheets] == ["cores", "readings", "wrong wiring"]
    assert all(len(row) == len(sheet.titles) for sheet in sheets for row in sheet.rows)
    assert "open" in {cell for row in sheets[2].rows for cell in row}
    assert not any(
        isinstance(cell, float) and math.isinf(cell) for sheet in sheets for row in sheet.rows for cell in row
    )
    assert schedule_json(schedule, [])["cores"][0]["core_ohm"] == schedule.cores[0].core_ohm


@pytest.mark.parametrize("job", ["larkfen-house", "tallowmere-court", "brindlemark"])
def test_every_example_is_drawn_whole_and_the_same_each_time(job: str) -> None:
    """Well-formed, with title and description, every number of a terminal and every device in it."""
    opened = open_job(EXAMPLES / job)
    drawn = terminal_drawings(opened)

    assert set(drawn) == set(opened.equipment.receivers)
    for path, svg in drawn.items():
        root = ElementTree.fromstring(svg)
        assert [child.tag.rsplit("}", 1)[1] for child in root][:2] == ["title", "desc"]
        words = " ".join(root.itertext())
        for at in opened.outputs():
            if at.receiver_path == path and at.works:
                assert f"Output {at.number} (" in words
                assert at.works[0].split(".")[0] in words
        assert svg == terminal_drawing(opened, path)
    for premises, svg in block_diagrams(opened).items():
        words = " ".join(ElementTree.fromstring(svg).itertext())
        assert all(
            name in words
            for name in (*opened.job.premises[premises].devices, *opened.job.premises[premises].receivers)
        )
    ElementTree.fromstring(block_diagram(opened))


@pytest.mark.parametrize("job", ["larkfen-house", "tallowmere-court", "brindlemark"])
def test_block_diagrams_for_paper_show_every_wire_on_sheets_that_can_be_read(job: str) -> None:
    """Together the sheets have every receiver and device, none is wider or higher than keeps its letters at
    seven points on Letter across.
    """
    opened = open_job(EXAMPLES / job)
    for premises, sheets in block_sheets(opened).items():
        house = opened.job.premises[premises]
        worked = {
            works.split(".")[0]
            for box in house.receivers.values()
            for one in box.outputs.values()
            for works in ((one.works,) if one.works else ()) + one.with_
        }
        assert all(f">{name}<" in "".join(sheets) for name in (*house.receivers, *worked))
        for svg in sheets:
            width, height = map(float, re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg).groups())  # type: ignore[union-attr]
            scale = min(243.0 / width, 138.0 / height)
            assert min(map(float, re.findall(r'font-size="([\d.]+)"', svg))) * scale / 25.4 * 72 >= 7.0


@pytest.mark.parametrize("closed", [True, False])
def test_the_third_resistor_of_a_masked_loop_is_drawn(closed: bool) -> None:
    """Three boxes of resistors, each with its ohms, the third across a contact of its own; without a mask
    there are two.
    """
    lane = Lane(
        "1",
        "pulse 1 s",
        "changeover",
        ("11", "12", "14"),
        closed,
        "panel",
        "(masked)",
        "input",
        ("zone", "common"),
        scheme="masked",
        resistors=("1 kohm", "2 kohm", "5 kohm"),
    )
    masked, plain = (
        draw(TerminalPlan("R1", "a receiver", None, (one,)))
        for one in (lane, replace(lane, resistors=lane.resistors[:2]))
    )

    assert all(f">{ohm}" in masked for ohm in lane.resistors)
    assert masked.count("<rect") == plain.count("<rect") + 1
    assert "mask contact" in masked
    assert "mask contact" not in plain


def test_lines_of_a_block_diagram_do_not_lie_on_one_another() -> None:
    """No two wires share an upright stretch."""
    svg = block_diagram(open_job(EXAMPLES / "larkfen-house"))
    uprights: list[tuple[float, float, float]] = []
    for points in re.findall(r'polyline points="([^"]+)"', svg):
        path = [tuple(map(float, point.split(","))) for point in points.split()]
        if len(path) == 4:
            uprights += [
                (a[0], min(a[1], b[1]), max(a[1], b[1]))
                for a, b in pairwise(path)
                if a[0] == b[0] and a[1] != b[1]
            ]

    assert len(uprights) > 15
    for number, one in enumerate(uprights):
        for other in uprights[number + 1 :]:
            assert one[0] != other[0] or one[2] <= other[1] or other[2] <= one[1], (one, other)


@pytest.mark.parametrize("name", ["<b>&\"'", "x" * 300, "\x00\x1b[31m", "門", "]]>"])
def test_a_hostile_name_stays_text(name: str) -> None:
    """Escaped, shortened, control characters gone."""
    premises = house()
    premises["devices"][name] = premises["devices"].pop("door")
    premises["receivers"]["R1"]["outputs"]["1"]["works"] = f"{name}.release"
    hostile = wired_case(premises, relays={"helper": {}})

    for svg in (terminal_drawing(hostile, "larkfen/R1"), block_diagram(hostile)):
        ElementTree.fromstring(svg)
        assert "\x1b" not in svg


def test_an_unknown_receiver_or_premises_is_refused_with_the_known_ones() -> None:
    """No traceback of a look-up."""
    with pytest.raises(InputError, match="larkfen/R1"):
        terminal_drawing(case(), "larkfen/R9")
    with pytest.raises(InputError, match="there are larkfen"):
        block_diagram(case(), "nowhere")


def test_a_text_is_shortened_to_its_room() -> None:
    """With dots, and never wider than asked."""
    assert fitted("gate", 10.0, 100.0) == "gate"
    short = fitted("a very long name of a device", 10.0, 60.0)
    assert short.endswith("…")
    assert text_width(short, 10.0) <= 60.0


@pytest.mark.parametrize(
    ("contact", "terminal", "rest_ohm", "worked_ohm"),
    # 2.2 kohm at the end of the line, 4.7 kohm across the contact; 10 m of 96 ohm/km there and back with two
    # terminals are 2.02 ohm.
    [
        ("normally closed", "low cell break", 2202.02, 6902.02),
        ("normally open", "low cell make", 6902.02, 2202.02),
    ],
)
def test_a_signal_of_a_receivers_own_has_its_slips_and_readings(
    contact: str, terminal: str, rest_ohm: float, worked_ohm: float
) -> None:
    """A relay for weak cells on a zone: its terminals, what a meter reads of it, and what a slip shows."""
    signal = {
        "works": "panel.zone",
        "contact": contact,
        "cable": {"part": "alarm-6x0.22", "length_m": 10.0, "cores": "white and green"},
    }
    case = wired_case(
        {
            "receivers": {
                "R1": {"at": [0, 0], "low_cell": {"form": "relay"}, "signals": {"low cell": signal}}
            },
            "panels": {"panel": {"inputs": {"zone": {"reads": "zone", "loop": LOOP}}}},
        }
    )
    table = wiring_schedule(case)
    readings = {row.state: row.expected_ohm for row in table.loops if row.state in ("at rest", "worked")}
    slips = {row.slip.cause: row.slip for row in table.slips}
    other = "break" if contact == "normally open" else "make"

    assert {terminal, "low cell common"} <= {row.start_terminal for row in table.cores}
    assert readings == pytest.approx({"at rest": rest_ohm, "worked": worked_ohm})
    assert {row.loop for row in table.slips} == {"panel.zone"}
    assert "the contact is bridged: it sits on the wrong terminals" in slips
    (wrong,) = [slip for cause, slip in slips.items() if cause.startswith(f"{other} contact used")]
    assert (wrong.rest_ohm, wrong.worked_ohm) == ((6900.0, 2200.0) if other == "make" else (2200.0, 6900.0))
