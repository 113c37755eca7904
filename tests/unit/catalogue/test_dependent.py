"""Values that go together: stating one anew withdraws the others."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.catalogue.dependent import DEPENDENTS, laid_over
from farpress.catalogue.equip import equip
from farpress.catalogue.store import load_catalogue
from farpress.domain.job import Job
from farpress.domain.parts import PART_KINDS, DeviceSheet, PanelSheet

CATALOGUE = load_catalogue()


def device(**given: Any) -> DeviceSheet:
    """A device with some values in place."""
    job = Job.model_validate({"farpress": 1, "job": "x", "premises": {"p": {"devices": {"d": given}}}})
    return equip(job, CATALOGUE).devices["p/d"].sheet


def test_another_current_takes_the_peak_of_the_old_one_away() -> None:
    """380 mA do not have the inrush of 450 mA."""
    sheet = device(part="strike-12v", current="380 mA")

    assert (sheet.current_a, sheet.voltage_v, sheet.peak_a) == (0.38, 12.0, None)


def test_a_power_stated_in_place_is_not_outvoted_by_the_catalogue_s_current() -> None:
    """Else the wiring would be computed with the 9 W lamp's current."""
    sheet = device(part="led-12v", power="20 W")

    assert (sheet.power_w, sheet.current_a, sheet.voltage_v) == (20.0, None, 12.0)


def test_what_is_stated_together_stays_together() -> None:
    """Nothing that the job says itself is withdrawn."""
    sheet = device(part="led-230v", current="0.33 A", power="72 W", peak="22 A", peak_time="80 us")

    assert (sheet.current_a, sheet.power_w, sheet.peak_a, sheet.peak_s) == (0.33, 72.0, 22.0, 8e-5)


def test_the_same_value_again_withdraws_nothing() -> None:
    """Writing the label's value down does no harm."""
    assert device(part="strike-12v", current="0.45 A").peak_a == 0.45


def test_a_battery_s_13_6_volts_are_still_12_volts() -> None:
    """A nominal voltage within a fifth is the same one; 24 V is another part."""
    assert device(part="siren-12v", voltage="13.6 V").current_a == 0.45
    assert device(part="siren-12v", voltage="24 V").current_a is None


def test_a_cold_place_withdraws_the_share_that_a_battery_gives_in_the_warm() -> None:
    """A catalogue battery that is said to stand in frost is reckoned by the cold, not by its 60 %."""

    def usable(**given: Any) -> float | None:
        battery = {"part": "lead-7ah", **given}
        supplies = {"s": {"part": "supply-12v-1a", "battery": battery}}
        job = Job.model_validate({"farpress": 1, "job": "x", "premises": {"p": {"supplies": supplies}}})
        return equip(job, CATALOGUE).batteries["p/s"].sheet.usable_share

    assert usable() == 0.6
    assert usable(coldest="-3 degC") is None


def test_a_diameter_in_place_of_an_area_withdraws_the_resistance_too() -> None:
    """The classic slip: 0.5 mm is not 0.5 mm2."""
    own = {"bell wire": {"kind": "cable", "like": "solid-2x0.5", "diameter": "0.5 mm"}}
    job = Job.model_validate({"farpress": 1, "job": "x", "parts": own, "premises": {"p": {}}})
    sheet = equip(job, CATALOGUE).cables["bell wire"].sheet

    assert (sheet.diameter_m, sheet.area_mm2, sheet.resistance_ohm_per_km, sheet.cores) == (
        0.0005,
        None,
        None,
        2,
    )


@pytest.mark.parametrize(
    ("scheme", "normal_ohm"), [("double end-of-line", 2200.0), ("single end-of-line", None)]
)
def test_another_scheme_of_a_loop_withdraws_its_resistors(scheme: str, normal_ohm: float | None) -> None:
    """The pull-up belongs to the panel and stays."""
    alarm = {"part": "panel-double-eol", "inputs": {"zone": {"loop": {"scheme": scheme}}}}
    job = Job.model_validate({"farpress": 1, "job": "x", "premises": {"p": {"panels": {"alarm": alarm}}}})
    sheet: PanelSheet = equip(job, CATALOGUE).panels["p/alarm"].sheet

    assert sheet.inputs is not None
    loop = sheet.inputs["zone"].loop
    assert loop is not None
    assert loop.scheme == scheme
    assert loop.normal_ohm == normal_ohm
    assert loop.pull_up_ohm == 2200.0


def test_another_kind_of_device_does_not_keep_the_inputs() -> None:
    """All inputs of the gate are withdrawn, with every value in them."""
    assert device(part="sliding-drive", device="lamp").inputs is None


def test_every_field_in_the_table_exists() -> None:
    """A renamed field would silently withdraw nothing."""
    for kind, table in DEPENDENTS.items():
        fields = PART_KINDS[kind].model_fields
        for one, others in table.items():
            assert {one, *others} <= set(fields)
            assert one not in others


def test_nothing_over_something_changes_nothing() -> None:
    """And something over nothing is itself."""
    citation = CATALOGUE.part("cell", "CR2032").origins["voltage_v"]
    flat = {("voltage_v",): (3.0, citation)}

    assert laid_over("cell", flat, {}) == flat
    assert laid_over("cell", {}, flat) == flat
