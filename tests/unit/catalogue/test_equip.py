"""Filling in a job's parts: who wins, what is merged, what is refused."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.catalogue.equip import equip
from farpress.catalogue.flat import flatten, part_from_flat
from farpress.catalogue.store import load_catalogue
from farpress.domain.equipment import Equipment
from farpress.domain.job import Job
from farpress.domain.parts import DeviceSheet
from farpress.errors import InputError
from farpress.sources import Citation, Mark

CATALOGUE = load_catalogue()


def job_of(*, parts: dict[str, Any] | None = None, groups: dict[str, Any] | None = None, **house: Any) -> Job:
    """A job with one premises, "fenwick"."""
    return Job.model_validate(
        {
            "farpress": 1,
            "job": "Fenwick Row",
            "parts": parts or {},
            "groups": groups or {},
            "premises": {"fenwick": house},
        }
    )


def filled(**job: Any) -> Equipment:
    """The equipment of such a job."""
    return equip(job_of(**job), CATALOGUE)


R1 = {"part": "receiver-4", "at": [0, 0]}


def test_a_part_of_the_catalogue_brings_its_values_and_their_sources() -> None:
    """Nothing is changed on the way."""
    part = filled(receivers={"R1": R1}).receivers["fenwick/R1"]

    assert part.name == "receiver-4"
    assert part.sheet == CATALOGUE.part("receiver", "receiver-4").sheet
    assert part.origins == CATALOGUE.part("receiver", "receiver-4").origins
    assert part.says == "receiver with four changeover outputs, aerial inside"


def test_a_value_in_place_wins_and_is_cited_with_its_line() -> None:
    """The other values keep their sources."""
    job = job_of(receivers={"R1": {**R1, "sensitivity": "-108 dBm"}})
    part = equip(job, CATALOGUE, where=lambda path: f"line {len(path)}").receivers["fenwick/R1"]

    assert part.sheet.sensitivity_dbm == -108.0
    assert part.origins["sensitivity_dbm"] == Citation("job.yaml", place="line 5", mark=Mark.GIVEN)
    assert part.sheet.relays == 4
    assert part.origins["relays"].mark is Mark.PRACTICE


def test_a_place_may_bring_the_name_of_its_file() -> None:
    """The text "yard.yaml line 31" becomes document and place."""
    job = job_of(receivers={"R1": {**R1, "sensitivity": "-108 dBm"}})
    part = equip(job, CATALOGUE, where=lambda path: "yard.yaml line 31").receivers["fenwick/R1"]

    assert part.origins["sensitivity_dbm"] == Citation("yard.yaml", place="line 31", mark=Mark.GIVEN)


def test_without_line_numbers_the_keys_are_the_place() -> None:
    """Keys are those of the file, without units."""
    part = filled(receivers={"R1": {**R1, "contact_rated_voltage": "24 V"}}).receivers["fenwick/R1"]

    assert part.origins["contact_rated_v"].place == "premises.fenwick.receivers.R1.contact_rated_voltage"


def test_an_own_part_wins_over_what_it_is_like_and_cites_its_data_sheet() -> None:
    """In place, own, like, catalogue: in this order."""
    own = {
        "RX": {
            "kind": "receiver",
            "like": "RY",
            "source": "data sheet, page 3",
            "dropout": "300 ms",
            "capacity": 500,
        },
        "RY": {"kind": "receiver", "like": "receiver-2", "dropout": "250 ms", "sensitivity": "-100 dBm"},
    }
    part = filled(parts=own, receivers={"R1": {"part": "RX", "at": [0, 0], "capacity": 400}}).receivers[
        "fenwick/R1"
    ]

    assert (part.sheet.capacity, part.sheet.dropout_s, part.sheet.sensitivity_dbm, part.sheet.relays) == (
        400,
        0.3,
        -100.0,
        2,
    )
    assert part.origins["capacity"].document == "job.yaml"
    assert part.origins["dropout_s"] == Citation(
        "data sheet, page 3", place="job.yaml, parts.RX.dropout", mark=Mark.GIVEN
    )
    assert part.origins["sensitivity_dbm"] == Citation(
        "job.yaml", place="parts.RY.sensitivity, no source named", mark=Mark.GIVEN
    )
    assert part.origins["relays"].mark is Mark.PRACTICE


def test_an_own_part_may_take_the_name_of_a_part_of_the_catalogue() -> None:
    """It stands before it, and may be like it."""
    own = {
        "receiver-4": {"kind": "receiver", "like": "receiver-4", "says": "the old grey box", "capacity": 500}
    }
    part = filled(parts=own, receivers={"R1": R1}).receivers["fenwick/R1"]

    assert part.says == "the old grey box"
    assert part.sheet.capacity == 500
    assert part.sheet.relays == 4


def test_an_own_part_without_words_takes_those_of_the_one_it_is_like() -> None:
    """So that papers have something to print."""
    part = filled(
        parts={"RX": {"kind": "receiver", "like": "receiver-1"}},
        receivers={"R1": {"part": "RX", "at": [0, 0]}},
    ).receivers["fenwick/R1"]

    assert part.says == "receiver with one changeover output, aerial inside"


def test_a_thing_without_part_and_values_is_still_there() -> None:
    """All of it is unknown, and nothing is guessed."""
    equipment = filled(
        receivers={"R1": {"at": [0, 0]}}, devices={"gate": {}}, panels={"alarm": {}}, supplies={"main": {}}
    )
    things = [
        equipment.receivers["fenwick/R1"],
        equipment.devices["fenwick/gate"],
        equipment.panels["fenwick/alarm"],
        equipment.supplies["fenwick/main"],
    ]

    for part in things:
        assert part.name == ""
        assert not part.origins
        assert all(getattr(part.sheet, name) is None for name in type(part.sheet).model_fields)
    assert not equipment.batteries


def test_inputs_are_merged_by_name_and_by_field() -> None:
    """The job's pulse, the catalogue's voltage, and an input that only the job has."""
    gate = {
        "part": "sliding-drive",
        "inputs": {"open": {"min_pulse": "700 ms"}, "lamp": {"logic": "on"}, "spare": {}},
    }
    part = filled(devices={"gate": gate}).devices["fenwick/gate"]
    inputs = part.sheet.inputs

    assert inputs is not None
    assert (inputs["open"].logic, inputs["open"].min_pulse_s, inputs["open"].voltage_v) == (
        "open only",
        0.7,
        24.0,
    )
    assert inputs["lamp"].logic == "on"
    assert inputs["spare"].logic is None
    assert {"start", "stop", "partial", "close"} <= set(inputs)
    assert (
        part.origins["inputs.open.min_pulse_s"].place == "premises.fenwick.devices.gate.inputs.open.min_pulse"
    )
    assert part.origins["inputs.open.voltage_v"].mark is Mark.MEMORY
    assert part.cite("inputs.open.min_pulse_s", "inputs.nothing") == (
        part.origins["inputs.open.min_pulse_s"],
    )


def test_a_panel_s_loop_and_outputs_are_merged_too() -> None:
    """As deep as the resistor of a zone."""
    alarm = {
        "part": "panel-double-eol",
        "inputs": {"zone": {"loop": {"scheme": "double end-of-line", "alarm": "6.8 kohm"}}},
        "outputs": {"set": {"current_max": "50 mA"}},
    }
    part = filled(panels={"alarm": alarm}).panels["fenwick/alarm"]

    assert part.sheet.inputs is not None
    loop = part.sheet.inputs["zone"].loop
    assert loop is not None
    assert (loop.normal_ohm, loop.alarm_ohm) == (2200.0, 6800.0)
    assert (
        part.origins["inputs.zone.loop.alarm_ohm"].place
        == "premises.fenwick.panels.alarm.inputs.zone.loop.alarm"
    )
    assert part.sheet.outputs is not None
    assert (part.sheet.outputs["set"].current_max_a, part.sheet.outputs["set"].form) == (
        0.05,
        "open collector",
    )


def test_a_zone_that_says_nothing_has_the_loop_of_all_zones() -> None:
    """Only inputs that are read as zones; one with a loop of its own keeps it."""
    inputs = {
        "window": {"reads": "zone"},
        "door": {"reads": "zone", "loop": {"scheme": "open"}},
        "set": {"reads": "set pulse"},
    }
    panel = {"inputs": inputs, "zone_loop": {"scheme": "closed"}}
    filled_in = filled(panels={"alarm": panel}).panels["fenwick/alarm"].sheet.inputs or {}
    loops = {name: entry.loop and entry.loop.scheme for name, entry in filled_in.items()}

    assert loops == {"window": "closed", "door": "open", "set": None}


def test_batteries_fobs_cells_aerials_and_coaxes_are_found_under_their_keys() -> None:
    """Each under the key that its page of the contract names."""
    equipment = filled(
        supplies={
            "main": {"part": "supply-12v-1a5", "battery": {"part": "lead-7ah", "usable": "55 %"}},
            "aux": {"part": "supply-24v-2a"},
        },
        receivers={
            "R1": {
                **R1,
                "antenna": {
                    "part": "whip",
                    "at": [1, 1],
                    "tilt": "0 deg",
                    "coax": {"part": "rg58", "length": "9 m"},
                },
            },
            "R2": {**R1, "antenna": {"part": "dipole", "at": [1, 1], "tilt": "0 deg"}},
            "R3": R1,
        },
        groups={"family": {"fob": "fob-4"}, "old": {"fob": "F0"}},
        parts={"F0": {"kind": "fob", "buttons": 1}},
    )

    assert equipment.batteries["fenwick/main"].sheet.usable_share == pytest.approx(0.55)
    assert (
        equipment.batteries["fenwick/main"].origins["usable_share"].place
        == "premises.fenwick.supplies.main.battery.usable"
    )
    assert set(equipment.batteries) == {"fenwick/main"}
    assert set(equipment.aerials) == {"fenwick/R1", "fenwick/R2"}
    assert set(equipment.coaxes) == {"fenwick/R1"}
    assert equipment.coaxes["fenwick/R1"].sheet.loss_db_per_100m == pytest.approx(34.9)
    assert equipment.fobs["family"].sheet.buttons == 4
    assert equipment.cells["family"].name == "CR2032"
    assert equipment.cells["old"].sheet.voltage_v is None


def test_own_cables_stand_beside_those_of_the_catalogue() -> None:
    """A remedy may look through all of them."""
    own = {
        "yard cable": {"kind": "cable", "like": "flex-2x1.5", "resistance": "12.9 ohm/km"},
        "my whip": {"kind": "aerial", "like": "whip"},
    }
    equipment = filled(parts=own)

    assert equipment.cables["yard cable"].sheet.resistance_ohm_per_km == 12.9
    assert equipment.cables["yard cable"].sheet.cores == 2
    assert equipment.cables["alarm-6x0.22"] is CATALOGUE.part("cable", "alarm-6x0.22")
    assert equipment.aerial_parts["my whip"].sheet.polarisation == "vertical"
    assert "my whip" not in equipment.cables
    assert equipment.builds is CATALOGUE.builds


def test_all_unknown_names_are_listed_at_once() -> None:
    """Each with its place, its kind and what to do."""
    cable = {"part": "alarm-6x02", "length": "3 m"}
    job = job_of(
        levels={"ground": {"floor": "0 m", "clear": "2.5 m", "slab": "concret 180 mm"}},
        walls=[
            {
                "build": "brik 365 mm",
                "along": [[0, 0], [1, 0]],
                "openings": [{"from": "0 m", "width": "1 m", "build": "glas"}],
            }
        ],
        supplies={"main": {"part": "supply-12v-1a5", "battery": {"part": "lead-8ah"}}},
        receivers={
            "R1": {
                "part": "receiver-5",
                "at": [0, 0],
                "antenna_places": [{"part": "wip", "at": [0, 0], "coax": {"part": "rg-58", "length": "2 m"}}],
                "fed": {"from": "main", "cable": cable},
                "outputs": {"1": {"kind": "pulse", "via": "relay-13v", "cable": cable}},
                "inputs": {"1": {"reads": "alarm.set", "cable": cable}},
            }
        },
        devices={"gate": {"part": "slide", "fed": {"from": "main", "cable": cable}}},
        panels={"alarm": {"part": "panel", "fed": {"from": "main", "cable": cable}}},
        groups={"family": {"fob": "fob-5"}},
        parts={"F9": {"kind": "fob", "cell": "CR9999"}, "X": {"kind": "relay", "like": "relay-13v"}},
    )
    with pytest.raises(InputError) as raised:
        equip(job, CATALOGUE)
    lines = str(raised.value).splitlines()

    assert lines[0] == "18 faults in the parts of this job; nothing was calculated."
    assert len(lines) == 19
    told = {line.split(":")[0] for line in lines[1:]}
    assert {
        "parts.F9.cell",
        "parts.X.like",
        "groups.family.fob",
        "premises.fenwick.walls.0.build",
        "premises.fenwick.walls.0.openings.0.build",
        "premises.fenwick.levels.ground.slab",
        "premises.fenwick.supplies.main.battery.part",
        "premises.fenwick.receivers.R1.part",
        "premises.fenwick.receivers.R1.antenna_places.0.part",
        "premises.fenwick.receivers.R1.antenna_places.0.coax.part",
        "premises.fenwick.receivers.R1.fed.cable.part",
        "premises.fenwick.receivers.R1.outputs.1.via",
        "premises.fenwick.receivers.R1.outputs.1.cable.part",
        "premises.fenwick.receivers.R1.inputs.1.cable.part",
        "premises.fenwick.devices.gate.part",
        "premises.fenwick.devices.gate.fed.cable.part",
        "premises.fenwick.panels.alarm.part",
        "premises.fenwick.panels.alarm.fed.cable.part",
    } == told
    assert "closest: 'alarm-6x0.22'" in str(raised.value)
    assert "'brick 365 mm'" in str(raised.value)


def test_a_part_of_another_kind_is_named_as_what_it_is() -> None:
    """A cable is no receiver."""
    with pytest.raises(InputError, match="'X' is a cable, but a receiver is wanted here"):
        filled(parts={"X": {"kind": "cable"}}, receivers={"R1": {"part": "X", "at": [0, 0]}})


def test_a_fault_names_its_line() -> None:
    """Keys and line, so that it is found."""
    job = job_of(receivers={"R1": {"part": "receiver-9", "at": [0, 0]}})
    with pytest.raises(
        InputError, match=r"premises\.fenwick\.receivers\.R1\.part \(line 12\): there is no receiver"
    ):
        equip(job, CATALOGUE, where=lambda path: "line 12")


@pytest.mark.parametrize(
    ("likes", "says"),
    [
        ({"A": "A"}, "'A' is like itself."),
        ({"A": "B", "B": "C", "C": "A"}, "'A' is like itself by way of 'B', 'C'."),
    ],
    ids=["alone", "three"],
)
def test_parts_that_are_like_each_other_in_a_circle_are_refused(likes: dict[str, str], says: str) -> None:
    """No endless loop, and the circle is shown."""
    with pytest.raises(InputError) as raised:
        filled(parts={name: {"kind": "relay", "like": other} for name, other in likes.items()})

    assert says in str(raised.value)
    assert len(str(raised.value).splitlines()) == len(likes) + 1


def test_a_part_that_leads_into_a_circle_does_not_hang() -> None:
    """Only the members of the circle are told."""
    with pytest.raises(InputError) as raised:
        filled(
            parts={
                "X": {"kind": "relay", "like": "A"},
                "A": {"kind": "relay", "like": "B"},
                "B": {"kind": "relay", "like": "A"},
            }
        )

    assert "'X'" not in str(raised.value)


@given(st.sampled_from(sorted(CATALOGUE.parts["device"])))
def test_flat_and_back_is_the_same_part(name: str) -> None:
    """Nothing is lost between a sheet and its flat list."""
    part = CATALOGUE.part("device", name)
    flat = flatten(part.sheet, DeviceSheet, lambda path: part.origins[".".join(path)])

    assert part_from_flat(part.name, part.says, DeviceSheet, flat) == part
