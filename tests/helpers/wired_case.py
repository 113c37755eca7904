"""A case for tests of wiring, from values given in place, without a catalogue or a file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, TypeVar

from farpress.case.case import Case
from farpress.domain.equipment import Equipment
from farpress.domain.finding import Finding
from farpress.domain.job import Job
from farpress.domain.parts import (
    BatterySheet,
    CableSheet,
    DeviceSheet,
    PanelSheet,
    Part,
    ReceiverSheet,
    RelaySheet,
    SupplySheet,
)
from farpress.domain.quantity import Model
from farpress.sources import Citation, Mark

__all__ = ["CABLES", "found", "wired_case"]

CABLES: dict[str, dict[str, Any]] = {
    "alarm-6x0.22": {"area_mm2": 0.22, "resistance_ohm_per_km": 96.0, "cores": 6, "rated_a": 1.0},
    "twin-0.5": {"area_mm2": 0.5, "resistance_ohm_per_km": 39.0, "cores": 2, "rated_a": 9.0},
    "twin-1.0": {"area_mm2": 1.0, "resistance_ohm_per_km": 19.5, "cores": 2, "rated_a": 15.0},
    "twin-1.5": {"area_mm2": 1.5, "resistance_ohm_per_km": 13.3, "cores": 2, "rated_a": 18.0},
}
_SOURCE = Citation("test value", mark=Mark.INVENTED)
_S = TypeVar("_S", bound=Model)


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
        receivers={f"larkfen/{name}": _part(ReceiverSheet, one) for name, one in house.receivers.items()},
        devices={f"larkfen/{name}": _part(DeviceSheet, one) for name, one in house.devices.items()},
        panels={f"larkfen/{name}": _part(PanelSheet, one) for name, one in house.panels.items()},
        supplies={f"larkfen/{name}": _part(SupplySheet, one) for name, one in house.supplies.items()},
        batteries={
            f"larkfen/{name}": _part(BatterySheet, one.battery)
            for name, one in house.supplies.items()
            if one.battery
        },
        cables={
            name: _part(CableSheet, CableSheet(**values))
            for name, values in (CABLES if cables is None else cables).items()
        },
        relays={name: _part(RelaySheet, RelaySheet(**values)) for name, values in (relays or {}).items()},
    )
    return Case(built, equipment)


def found(findings: Iterable[Finding], code: str, about: str = "") -> Finding:
    """The one finding of a code whose subject text contains `about`."""
    hits = [finding for finding in findings if finding.code == code and about in finding.about]
    assert len(hits) == 1, [hit.key for hit in hits]
    return hits[0]


def _part(kind: type[_S], values: Model) -> Part[_S]:
    sheet = kind(**{name: getattr(values, name) for name in kind.model_fields})
    return Part(
        "", "", sheet, {name: _SOURCE for name in kind.model_fields if getattr(sheet, name) is not None}
    )
