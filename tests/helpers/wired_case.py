"""A case for tests of wiring, from values given in place, without a catalogue or a file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from farpress.case.case import Case
from farpress.case.rectified_supplies import with_rectified
from farpress.domain.equipment import Equipment
from farpress.domain.job import Job
from farpress.domain.parts import (
    BatterySheet,
    CableSheet,
    DeviceSheet,
    PanelSheet,
    ReceiverSheet,
    RelaySheet,
    SupplySheet,
)
from helpers.invented_parts import part_of, sheet_of

__all__ = ["CABLES", "wired_case"]

CABLES: dict[str, dict[str, Any]] = {
    "alarm-6x0.22": {"area_mm2": 0.22, "resistance_ohm_per_km": 96.0, "cores": 6, "rated_a": 1.0},
    "twin-0.5": {"area_mm2": 0.5, "resistance_ohm_per_km": 39.0, "cores": 2, "rated_a": 9.0},
    "twin-1.0": {"area_mm2": 1.0, "resistance_ohm_per_km": 19.5, "cores": 2, "rated_a": 15.0},
    "twin-1.5": {"area_mm2": 1.5, "resistance_ohm_per_km": 13.3, "cores": 2, "rated_a": 18.0},
}


def wired_case(
    premises: Mapping[str, Any],
    *,
    relays: Mapping[str, dict[str, Any]] | None = None,
    cables: Mapping[str, dict[str, Any]] | None = None,
    **job: Any,
) -> Case:
    """A job of one premises "larkfen"; fields by their names in the program, numbers as floats."""
    built = Job.model_validate({"farpress": 1, "job": "test", "premises": {"larkfen": premises}, **job})
    house = built.premises["larkfen"]
    equipment = Equipment(
        receivers={
            f"larkfen/{name}": part_of(sheet_of(ReceiverSheet, one)) for name, one in house.receivers.items()
        },
        devices={
            f"larkfen/{name}": part_of(sheet_of(DeviceSheet, one)) for name, one in house.devices.items()
        },
        panels={f"larkfen/{name}": part_of(sheet_of(PanelSheet, one)) for name, one in house.panels.items()},
        supplies={
            f"larkfen/{name}": part_of(sheet_of(SupplySheet, one)) for name, one in house.supplies.items()
        },
        batteries={
            f"larkfen/{name}": part_of(sheet_of(BatterySheet, one.battery))
            for name, one in house.supplies.items()
            if one.battery
        },
        cables={
            name: part_of(CableSheet(**values))
            for name, values in (CABLES if cables is None else cables).items()
        },
        relays={name: part_of(RelaySheet(**values)) for name, values in (relays or {}).items()},
    )
    return Case(built, with_rectified(built, equipment))
