"""The data files: complete, sourced, and refused when they are not."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.util import module_from_spec, spec_from_file_location

import numpy as np
import pytest
import tmm
import yaml

from farpress.catalogue.files import MARKS, data_text, read_builds, read_materials, read_parts
from farpress.catalogue.flat import fields_by_key, inner_model
from farpress.catalogue.store import load_catalogue
from farpress.domain.equipment import Build
from farpress.domain.own_parts import (
    OwnAerial,
    OwnBattery,
    OwnCable,
    OwnCell,
    OwnCoax,
    OwnDevice,
    OwnFob,
    OwnPanel,
    OwnReceiver,
    OwnRelay,
    OwnSupply,
)
from farpress.domain.parts import PART_KINDS
from farpress.domain.premises import Battery, Device, Panel, Receiver, Supply
from farpress.domain.quantity import Model
from farpress.errors import InputError
from helpers.project import ROOT

CATALOGUE = load_catalogue()
EVERY_PART = [
    pytest.param(kind, name, id=f"{kind}-{name}") for kind, parts in CATALOGUE.parts.items() for name in parts
]
ONE_SOURCE = "sources: {s: {document: a page, mark: memory}}\n"


def leaves(sheet: Model, before: str = "") -> Iterator[str]:
    """Dotted names of every known value of a sheet."""
    for name in type(sheet).model_fields:
        value = getattr(sheet, name)
        if isinstance(value, Model):
            yield from leaves(value, f"{before}{name}.")
        elif isinstance(value, dict):
            for key, inner in value.items():
                yield from leaves(inner, f"{before}{name}.{key}.")
        elif value is not None:
            yield f"{before}{name}"


@pytest.mark.parametrize(("kind", "name"), EVERY_PART)
def test_every_value_has_a_source_and_a_mark(kind: str, name: str) -> None:
    """No number of the catalogue stands without its document and how it came to us."""
    part = CATALOGUE.part(kind, name)
    known = list(leaves(part.sheet))

    assert known
    assert part.says
    for value in known:
        citation = part.origins[value]
        assert citation.document.strip()
        assert citation.mark in MARKS.values()


def test_every_kind_of_part_has_several() -> None:
    """A job finds something of each kind to start from."""
    assert set(CATALOGUE.parts) == set(PART_KINDS)
    assert all(len(parts) >= 3 for parts in CATALOGUE.parts.values())


@pytest.mark.parametrize(
    ("kind", "name"),
    [
        ("receiver", "receiver-1"),
        ("receiver", "receiver-2"),
        ("receiver", "receiver-4"),
        ("receiver", "receiver-4-socket"),
        ("fob", "fob-1"),
        ("fob", "fob-2"),
        ("fob", "fob-4"),
        ("supply", "supply-12v-1a5"),
        ("battery", "lead-7ah"),
        ("cable", "alarm-6x0.22"),
        ("coax", "rg58"),
        ("aerial", "whip"),
        ("device", "sliding-drive"),
    ],
)
def test_the_names_that_job_files_lean_on_are_there(kind: str, name: str) -> None:
    """These names stand in the tutorial; they never go away."""
    assert name in CATALOGUE.known_names()[kind]


def test_the_cell_of_every_fob_is_in_the_catalogue() -> None:
    """A fob names a cell that can be looked up."""
    for fob in CATALOGUE.parts["fob"].values():
        assert fob.sheet.cell in CATALOGUE.parts["cell"]


def test_a_receiver_with_a_connector_has_no_gain_of_an_aerial_inside() -> None:
    """The gain belongs to the outside aerial then."""
    assert CATALOGUE.part("receiver", "receiver-4-socket").sheet.gain_dbi is None
    assert CATALOGUE.part("receiver", "receiver-4").sheet.gain_dbi == -4.5


def test_safeguards_and_travel_of_a_drive_are_asked_for_not_assumed() -> None:
    """No catalogue part claims a safeguard, an escape route or a travel time."""
    for device in CATALOGUE.parts["device"].values():
        assert device.sheet.safeguards is None
        assert device.sheet.safeguards_tested is None
        assert device.sheet.escape_route is None
        assert device.sheet.travel_s is None


@pytest.mark.parametrize("name", [*PART_KINDS, "builds", "materials"])
def test_no_key_stands_twice_in_a_data_file(name: str) -> None:
    """A second value under the same key would silently win."""
    waiting = [yaml.compose(data_text(name))]
    while waiting:
        node = waiting.pop()
        if isinstance(node, yaml.MappingNode):
            keys = [key.value for key, _ in node.value]
            assert len(keys) == len(set(keys)), keys
            waiting += [value for _, value in node.value]
        elif isinstance(node, yaml.SequenceNode):
            waiting += node.value


@pytest.mark.parametrize(
    "model",
    [
        *PART_KINDS.values(),
        OwnAerial,
        OwnBattery,
        OwnCable,
        OwnCell,
        OwnCoax,
        OwnDevice,
        OwnFob,
        OwnPanel,
        OwnReceiver,
        OwnRelay,
        OwnSupply,
        Receiver,
        Supply,
        Battery,
        Device,
        Panel,
    ],
)
def test_no_two_fields_of_a_table_share_a_key(model: type[Model]) -> None:
    """Amperes and volts of one thing need two keys, here and in the tables inside."""
    assert len(fields_by_key(model)) == len(model.model_fields)
    for name in model.model_fields:
        inner = inner_model(model, name)
        if inner is not None:
            assert len(fields_by_key(inner)) == len(inner.model_fields)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("parts: {x: {kind: coax, says: it, values: {loss: 3 dB/100m}}}", "'source'"),
        ("parts: {x: {kind: coax, says: it, source: t, values: {loss: 3 dB/100m}}}", "'t'"),
        ("parts: {x: {kind: coax, says: it, source: s, values: {loss: [3 dB/100m, t]}}}", "'t'"),
        ("parts: {x: {kind: coax, says: it, source: s, values: {lost: 3 dB/100m}}}", "'lost'"),
        ("parts: {x: {kind: coax, says: it, source: s, values: {loss: 3 dB}}}", "dB/100m"),
        ("parts: {x: {kind: coax, says: it, source: s, color: red, values: {}}}", "color"),
        ("parts: {x: {kind: cable, says: it, source: s, values: {}}}", "kind coax"),
        ("parts: {x: {kind: coax, says: it, like: y, source: s, values: {}}}", "'y'"),
    ],
    ids=[
        "no source",
        "source unknown",
        "own source unknown",
        "key unknown",
        "unit of another kind",
        "entry unknown",
        "kind",
        "like unknown",
    ],
)
def test_a_slip_in_a_data_file_is_refused(text: str, says: str) -> None:
    """The message names the part and the slip."""
    with pytest.raises(InputError, match=r"coax x: ") as raised:
        read_parts("coax", ONE_SOURCE + text)

    assert says in str(raised.value)


def test_a_source_without_a_known_mark_is_refused() -> None:
    """A mark that belongs to jobs, or none at all, is no mark for the catalogue."""
    with pytest.raises(InputError, match="given"):
        read_parts("coax", "sources: {s: {document: a page, mark: given}}\nparts: {}")
    with pytest.raises(InputError, match="mark"):
        read_builds("sources: {s: {document: a page}}\nbuilds: {}")


def test_a_part_takes_over_what_it_does_not_say_itself() -> None:
    """`like` brings values and sources, `without` leaves some out."""
    text = (
        ONE_SOURCE.replace("memory}", "memory}, r: {document: another, mark: read}") + "parts:\n"
        "  a: {kind: coax, says: it, source: s, values: {loss: 3 dB/100m, connectors: 0.5 dB}}\n"
        "  b: {kind: coax, says: it, like: a, source: r, values: {loss: 5 dB/100m}}\n"
        "  c: {kind: coax, says: it, like: b, source: s, without: [connectors], values: {}}\n"
    )
    parts = read_parts("coax", text)

    assert parts["b"].sheet.loss_db_per_100m == 5.0
    assert parts["b"].origins["loss_db_per_100m"].document == "another"
    assert parts["b"].origins["connectors_db"].document == "a page"
    assert parts["c"].sheet.connectors_db is None
    assert "connectors_db" not in parts["c"].origins


def test_an_unknown_part_is_answered_with_the_closest_names() -> None:
    """A slip of the pen is named."""
    with pytest.raises(InputError, match=r"closest: 'alarm-6x0\.22'"):
        CATALOGUE.part("cable", "alarm-6x022")
    with pytest.raises(InputError, match="no kind of part 'horse'"):
        CATALOGUE.part("horse", "x")


def test_known_names_hold_every_kind_and_the_builds() -> None:
    """What the reader of job files checks names against."""
    known = CATALOGUE.known_names()

    assert set(known) == {*PART_KINDS, "build"}
    assert {
        "brick 365 mm",
        "brick 115 mm",
        "coated glazing",
        "concrete 180 mm",
        "steel door",
        "timber door",
    } <= known["build"]


def test_layers_are_of_known_materials() -> None:
    """Every layer of a build can be computed."""
    for build in CATALOGUE.builds.values():
        assert build.sources
        assert build.loss_sd_db > 0
        assert {layer.material for layer in build.layers} <= set(CATALOGUE.materials)


def test_only_wood_glass_and_water_are_in_range_at_433_megahertz() -> None:
    """All other solid rows are extrapolated there, and say so."""
    inside = {name for name, one in CATALOGUE.materials.items() if not one.is_extrapolated_at(433.92e6)}

    assert inside == {"air", "wood", "glass", "fresh water", "sea water"}
    assert CATALOGUE.materials["floorboard"].is_extrapolated_at(49e9)
    assert not CATALOGUE.materials["floorboard"].is_extrapolated_at(60e9)


def layer_loss_db(build: Build) -> float:
    """Loss of the layers at right angles, by the transfer-matrix package tmm."""
    wavelength_m, f_ghz = 299_792_458.0 / 433.92e6, 0.43392
    index, thickness = [1.0 + 0j], [np.inf]
    for layer in build.layers:
        row = CATALOGUE.materials[layer.material]
        index.append(np.sqrt(row.a * f_ghz**row.b + 17.98j * row.c * f_ghz**row.d / f_ghz))
        thickness.append(layer.thickness_m)
    result = tmm.coh_tmm("s", [*index, 1.0 + 0j], [*thickness, np.inf], 0.0, wavelength_m)
    return float(-10.0 * np.log10(result["T"]))


@pytest.mark.parametrize(
    "build", [pytest.param(one, id=name) for name, one in CATALOGUE.builds.items() if one.layers]
)
def test_the_planning_loss_is_not_below_what_the_layers_cost(build: Build) -> None:
    """An independent package computes the bare layers; joints, pipes and damp only add to it.

    One spread is left for what the layers cannot know.
    """
    assert build.loss_db >= layer_loss_db(build) - build.loss_sd_db


def test_materials_are_read_with_their_range() -> None:
    """One row, all its numbers."""
    text = ONE_SOURCE + "materials: {felt: {a: 2, b: -0.1, c: 1e-3, d: 0.5, ghz: [1, 10], source: s}}"
    felt = read_materials(text)["felt"]

    assert (felt.a, felt.b, felt.c, felt.d, felt.lowest_ghz, felt.highest_ghz) == (
        2.0,
        -0.1,
        0.001,
        0.5,
        1.0,
        10.0,
    )


def test_the_reference_page_is_current() -> None:
    """docs/reference/catalogue.md is what `python tools/write_catalogue.py` writes today."""
    spec = spec_from_file_location("write_catalogue", ROOT / "tools" / "write_catalogue.py")
    assert spec is not None
    assert spec.loader is not None
    tool = module_from_spec(spec)
    spec.loader.exec_module(tool)

    assert tool.PAGE.read_text(encoding="utf-8") == tool.page(), "run: python tools/write_catalogue.py"
