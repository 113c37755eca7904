"""A job with anything missing or odd is still judged, tabled and drawn: never an exception, never a lost
finding.
"""

from __future__ import annotations

import random
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farpress.domain.finding import Verdict
from farpress.wiring.schedule import block_diagram, terminal_drawing, wiring_findings, wiring_schedule
from farpress.wiring.sheets import schedule_sheets
from helpers.wired_case import wired_case

NEEDED = {"at", "kind", "part", "length_m", "from", "reads", "scheme", "panel", "legs"}
ODD: dict[str, list[Any]] = {
    "voltage_v": [0.0, 230.0, 1000.0],
    "voltage_min_v": [0.0, 400.0],
    "current_a": [0.0, 500.0],
    "source_ohm": [0.0, 50.0],
    "normal_ohm": [0.0, 1e9],
    "alarm_ohm": [0.0],
    "pull_up_ohm": [0.0, 1e9],
    "tolerance_share": [0.0, 1.0],
    "window_share": [0.0, 1.0],
    "length_m": [0.001, 9999.0],
    "shares_return_with": ["1", "2", "R1/1", "nobody"],
    "via": ["helper", "nobody"],
    "contact": ["normally open", "normally closed"],
    "power_w": [0.0, 5000.0],
    "for_s": [0.0, 1e6],
    "suppression": ["none", "diode", "zener", "rc", "varistor"],
    "interlock": ["1", "2", "9"],
    "load_from": ["main", "second", "nowhere"],
    "capacity_ah": [0.001, 9999.0],
    "warmest_degc": [-40.0, 80.0],
    "coldest_degc": [-30.0, 70.0],
    "pieces": [1, 10_000],
    "coil_h": [0.0, 100.0],
    "scheme": ["closed", "open", "single end-of-line", "double end-of-line", "two-resistor", "masked"],
}

RUN: dict[str, Any] = {
    "part": "alarm-6x0.22",
    "length_m": 30.0,
    "cores": "red, blue",
    "shares_return_with": None,
    "warmest_degc": 30.0,
}
LOOP: dict[str, Any] = {
    "scheme": "double end-of-line",
    "normal_ohm": 2200.0,
    "alarm_ohm": 4700.0,
    "mask_ohm": 10_000.0,
    "tolerance_share": 0.01,
    "window_share": 0.15,
    "pull_up_ohm": 2200.0,
    "supply_v": 13.8,
}
WHOLE: dict[str, Any] = {
    "supplies": {
        "main": {
            "supply": "dc",
            "voltage_v": 13.6,
            "voltage_min_v": 12.0,
            "voltage_max_v": 13.8,
            "rated_a": 2.0,
            "source_ohm": 0.2,
            "charge_a": 0.3,
            "fuse_a": 1.6,
            "standby_s": 43200.0,
            "battery": {
                "capacity_ah": 7.0,
                "voltage_v": 12.0,
                "end_v": 10.5,
                "usable_share": 0.6,
                "inner_ohm": 0.05,
                "coldest_degc": 5.0,
            },
        },
        "second": {
            "supply": "ac",
            "voltage_v": 24.0,
            "voltage_min_v": 22.0,
            "voltage_max_v": 30.0,
            "rated_va": 40.0,
            "source_ohm": 2.0,
            "fuse_a": 2.0,
        },
    },
    "receivers": {
        "R1": {
            "at": [0, 0],
            "supply": "dc or ac",
            "voltage_min_v": 10.5,
            "voltage_max_v": 28.0,
            "peak_max_v": 45.0,
            "rectifies": "bridge",
            "current_idle_a": 0.02,
            "current_per_relay_a": 0.018,
            "contact_form": "changeover",
            "contact_rated_a": 2.0,
            "contact_rated_v": 24.0,
            "contact_make_a": 10.0,
            "contact_min_a": 0.01,
            "contact_life": 100_000,
            "mains_rated": False,
            "grade": 2,
            "input_voltage_v": 5.0,
            "input_current_a": 0.001,
            "input_low_v": 1.5,
            "fed": {"from": "main", "cable": RUN},
            "tamper": "panel.tamper",
            "outputs": {
                "1": {
                    "kind": "pulse",
                    "for_s": 4.0,
                    "works": "door.release",
                    "load_from": "main",
                    "suppression": "diode",
                    "interlock": "2",
                    "cable": RUN,
                    "operations_per_day": 20.0,
                },
                "2": {
                    "kind": "follow",
                    "works": "motor.up",
                    "load_from": "main",
                    "cable": RUN | {"shares_return_with": "1", "shared_m": 12.0},
                },
                "3": {
                    "kind": "toggle",
                    "works": "lamps.on",
                    "via": "helper",
                    "suppression": "rc",
                    "cable": RUN,
                },
                "4": {
                    "kind": "pulse",
                    "for_s": 1.0,
                    "works": "panel.zone",
                    "with_": ["panel.other"],
                    "contact": "normally closed",
                    "cable": RUN,
                },
                "5": {
                    "kind": "pulse",
                    "for_s": 600.0,
                    "works": "valve.on",
                    "load_from": "second",
                    "suppression": "varistor",
                    "cable": RUN,
                },
            },
            "inputs": {"1": {"reads": "panel.set", "cable": RUN}},
        },
        "R2": {
            "at": [0, 0],
            "fed": {"from": "second", "cable": RUN},
            "supply": "dc or ac",
            "rectifies": "half-wave",
            "outputs": {"1": {"kind": "pulse", "works": "camera.on"}},
        },
    },
    "devices": {
        "door": {
            "device": "magnetic lock",
            "supply": "dc",
            "voltage_v": 12.0,
            "voltage_min_v": 10.0,
            "voltage_max_v": 15.0,
            "current_a": 0.35,
            "load": "inductive dc",
            "coil_h": 2.0,
        },
        "motor": {
            "device": "shutter",
            "supply": "dc",
            "voltage_v": 12.0,
            "voltage_min_v": 9.0,
            "current_a": 0.8,
            "peak_a": 5.0,
            "peak_s": 0.2,
            "load": "motor",
            "inputs": {"up": {"logic": "up"}},
        },
        "lamps": {
            "device": "lamp",
            "supply": "mains",
            "voltage_v": 230.0,
            "current_a": 0.3,
            "peak_a": 20.0,
            "pieces": 4,
            "load": "led",
        },
        "valve": {
            "device": "valve",
            "supply": "ac",
            "voltage_v": 24.0,
            "voltage_min_v": 22.0,
            "voltage_max_v": 28.0,
            "current_a": 0.25,
            "peak_a": 0.45,
            "load": "coil ac",
            "power_factor": 0.4,
        },
        "camera": {
            "device": "call",
            "supply": "dc",
            "voltage_v": 12.0,
            "voltage_min_v": 9.0,
            "power_w": 3.0,
            "load": "constant power",
            "current_rest_a": 0.1,
            "fed": {"from": "main", "cable": RUN},
        },
    },
    "panels": {
        "panel": {
            "grade": 2,
            "fed": {"from": "main", "cable": RUN},
            "current_a": 0.1,
            "keypad": True,
            "inputs": {
                "zone": {"reads": "zone", "response_s": 0.4, "loop": LOOP},
                "other": {"reads": "level", "voltage_v": 12.0, "current_a": 0.012},
                "tamper": {"reads": "tamper"},
            },
            "outputs": {"set": {"form": "open collector", "current_max_a": 0.05, "saturation_v": 0.8}},
        }
    },
    "tamper_loops": {"housings": {"panel": "panel", "legs": {"R1": 1.0, "R2": 8.0}, "later": {"R1": 1.2}}},
}
RELAYS: dict[str, dict[str, Any]] = {
    "helper": {
        "coil_v": 12.0,
        "coil_min_v": 9.6,
        "coil_a": 0.04,
        "coil_supply": "dc",
        "contact_rated_a": 10.0,
        "contact_rated_v": 250.0,
        "contact_make_a": 100.0,
        "mains_rated": True,
    }
}


def worn(whole: Any, dice: random.Random, *, drops: float, odds: float) -> Any:
    """A copy from which values are missing and in which some are odd."""
    if not isinstance(whole, dict):
        return whole
    kept = {}
    for key, value in whole.items():
        if key not in NEEDED and dice.random() < drops:
            continue
        kept[key] = (
            dice.choice(ODD[key])
            if key in ODD and dice.random() < odds
            else worn(value, dice, drops=drops, odds=odds)
        )
    return kept


@pytest.mark.long
@settings(max_examples=40, deadline=None)
@given(
    seed=st.integers(0, 1_000_000),
    drops=st.sampled_from([0.0, 0.05, 0.2, 0.5]),
    odds=st.sampled_from([0.0, 0.1, 0.4]),
    region=st.sampled_from([None, "europe", "north america"]),
)
def test_any_job_is_judged_tabled_and_drawn(seed: int, drops: float, odds: float, region: str | None) -> None:
    """Findings have text and finite numbers, keys are unique, remedies say what to do; drawings are
    well-formed.
    """
    dice = random.Random(seed)
    functions = {"open": {"output": "larkfen/R1/1"}, "light": {"outputs": ["larkfen/R1/3", "larkfen/R1/5"]}}
    case = wired_case(
        worn(WHOLE, dice, drops=drops, odds=odds),
        relays={name: worn(values, dice, drops=drops, odds=0.0) for name, values in RELAYS.items()},
        functions=functions,
        region=region,
        grade=2,
    )

    findings = list(wiring_findings(case))
    assert len({one.key for one in findings}) == len(findings)
    for one in findings:
        assert one.says.strip()
        assert "None" not in one.says + one.because
        assert "nan" not in one.says + one.because
        assert one.verdict is not Verdict.UNKNOWN or one.remedies, one.key
        assert all(remedy.does for remedy in one.remedies)
    schedule = wiring_schedule(case)
    assert all(len(row) == len(sheet.titles) for sheet in schedule_sheets(schedule) for row in sheet.rows)
    for svg in (*(terminal_drawing(case, path) for path in case.equipment.receivers), block_diagram(case)):
        ElementTree.fromstring(svg)
