"""Quantity fields of the job file: written with their units, kept as plain floats.

The Python name of a field carries the unit (`length_m`); in the job file the unit stands
in the value and the key is short (`length: 31 m`). `key_in_file` drops the suffix.
"""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, WithJsonSchema
from pydantic_core import PydanticCustomError

from farpress.errors import InputError
from farpress.units import KINDS, read_quantity

__all__ = [
    "AmpereHours",
    "Amperes",
    "Angle",
    "Area",
    "Bandwidth",
    "Dbm",
    "Decibels",
    "DecibelsIsotropic",
    "Farads",
    "Force",
    "Henries",
    "Hertz",
    "LossPerLength",
    "Metres",
    "Model",
    "Ohms",
    "OhmsPerKilometre",
    "Point",
    "Presses",
    "Rate",
    "Seconds",
    "Share",
    "Speed",
    "Temperature",
    "VoltAmperes",
    "Volts",
    "Watts",
    "key_in_file",
]

_SUFFIXES = ("_db_per_100m", "_ohm_per_km", "_m_per_s", "_per_day", "_degc", "_share", "_presses", "_mm2", "_ohm", "_dbm",
             "_dbi", "_db", "_hz", "_deg", "_va", "_ah", "_m", "_v", "_a", "_s", "_w", "_f", "_h", "_n")


def key_in_file(name: str) -> str:
    """The key of a field as it stands in the job file: without the unit's suffix."""
    for suffix in _SUFFIXES:
        if name.endswith(suffix) and len(name) > len(suffix):
            return name.removesuffix(suffix)
    return name.removesuffix("_")


class Model(BaseModel):
    """Base of everything in a job: frozen, no unknown keys, file keys without units."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", alias_generator=key_in_file, populate_by_name=True, allow_inf_nan=False
    )


def _quantity(kind_name: str, *, low: float | None = None, high: float | None = None, above: float | None = None) -> Any:
    kind = KINDS[kind_name]

    def read(value: object) -> float:
        if isinstance(value, float):  # already read, as in a model built by a program
            number = value
        else:
            try:
                number = read_quantity(value, kind_name)
            except InputError as error:
                raise PydanticCustomError("quantity", "{text}", {"text": str(error)}) from error
        unit = f" {kind.unit}".rstrip()
        scale, shown = (100.0, " %") if kind_name == "share" else (1.0, unit)
        if (low is not None and number < low) or (high is not None and number > high) or (above is not None and number <= above):
            bounds = [f"more than {above * scale:g}" for above in [above] if above is not None]
            bounds += [f"at least {low * scale:g}" for low in [low] if low is not None]
            bounds += [f"at most {high * scale:g}" for high in [high] if high is not None]
            text = f"'{value}' is out of range: must be {' and '.join(bounds)}{shown}"
            raise PydanticCustomError("quantity", "{text}", {"text": text})
        return number

    units = "|".join(re.escape(unit) for unit in kind.factors)
    pattern = rf"^[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?\s*({units})$"
    schema = {"type": "string", "pattern": pattern, "examples": [kind.example], "x-kind": kind_name}
    return Annotated[float, BeforeValidator(read), WithJsonSchema(schema)]


Metres = _quantity("length", low=-10_000.0, high=10_000.0)
Area = _quantity("area", above=0.0, high=1000.0)
Seconds = _quantity("time", low=0.0, high=3.2e9)
Volts = _quantity("voltage", low=0.0, high=1000.0)
Amperes = _quantity("current", low=0.0, high=10_000.0)
AmpereHours = _quantity("charge", above=0.0, high=10_000.0)
Watts = _quantity("power", low=0.0, high=1e6)
VoltAmperes = _quantity("apparent power", above=0.0, high=1e6)
Ohms = _quantity("resistance", low=0.0, high=1e9)
OhmsPerKilometre = _quantity("resistance per length", above=0.0, high=1e5)
Farads = _quantity("capacitance", low=0.0, high=10.0)
Henries = _quantity("inductance", low=0.0, high=1000.0)
Hertz = _quantity("frequency", above=0.0, high=1e11)
Bandwidth = _quantity("bandwidth", above=0.0, high=1e9)
Dbm = _quantity("level", low=-200.0, high=60.0)
Decibels = _quantity("loss", low=0.0, high=200.0)
DecibelsIsotropic = _quantity("gain", low=-60.0, high=40.0)
LossPerLength = _quantity("loss per length", low=0.0, high=1000.0)
Temperature = _quantity("temperature", low=-60.0, high=120.0)
Speed = _quantity("speed", low=0.0, high=50.0)
Share = _quantity("share", low=0.0, high=1.0)
Rate = _quantity("rate", low=0.0, high=1e7)
Presses = _quantity("presses", low=1.0, high=20.0)
Angle = _quantity("angle", low=-360.0, high=360.0)
Force = _quantity("force", low=0.0, high=1e6)


def _point(value: object) -> object:
    if not isinstance(value, list | tuple) or len(value) not in (2, 3):
        text = "a point is wanted: [x, y] or [x, y, height], in metres on the premises' plan, for example [14, -25]"
        raise PydanticCustomError("point", "{text}", {"text": text})
    for number in value:
        if isinstance(number, bool) or not isinstance(number, int | float):
            text = f"'{number}' is not a coordinate; points are plain numbers in metres, for example [14, -25]"
            raise PydanticCustomError("point", "{text}", {"text": text})
        if not abs(number) <= 10_000:
            text = f"{number} m lies more than 10 km from the plan's origin; points are in metres"
            raise PydanticCustomError("point", "{text}", {"text": text})
    return tuple(float(number) for number in value)


Point = Annotated[
    tuple[float, ...],
    BeforeValidator(_point),
    WithJsonSchema({"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 3, "examples": [[14, -25]]}),
]
