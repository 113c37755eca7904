"""Quantity fields of the job file: written with their units, kept as plain floats.

The Python name of a field carries the unit (`length_m`); in the job file the unit stands
in the value and the key is short (`length: 31 m`). `key_in_file` drops the suffix.
"""

from __future__ import annotations

import math
import re
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, WithJsonSchema
from pydantic_core import PydanticCustomError

from farpress.errors import InputError
from farpress.quantity_kinds import KINDS
from farpress.units import read_quantity, write_quantity

__all__ = [
    "AmpereHours",
    "Amperes",
    "Angle",
    "Area",
    "Bandwidth",
    "CoaxLength",
    "CubicMetres",
    "Dbm",
    "Decibels",
    "DecibelsIsotropic",
    "Farads",
    "Flow",
    "Force",
    "Height",
    "Henries",
    "Hertz",
    "Length",
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
    "SignedVolts",
    "SmallAmperes",
    "Speed",
    "Temperature",
    "VoltAmperes",
    "Volts",
    "Watts",
    "WrittenFloat",
    "WrittenInt",
    "key_in_file",
]

_SUFFIXES = (
    "_db_per_100m",
    "_m3_per_h",
    "_ohm_per_km",
    "_m_per_s",
    "_per_day",
    "_degc",
    "_share",
    "_presses",
    "_mm2",
    "_m3",
    "_ohm",
    "_dbm",
    "_dbi",
    "_db",
    "_hz",
    "_deg",
    "_va",
    "_ah",
    "_m",
    "_v",
    "_a",
    "_s",
    "_w",
    "_f",
    "_h",
    "_n",
)


_SLIPS = (-1.0, 1e-3, 1e3)
"""A sign too many, a prefix forgotten, or one too many: what was likely meant is offered, never taken."""


def key_in_file(name: str) -> str:
    """The key of a field as it stands in the job file: without the unit's suffix."""
    for suffix in _SUFFIXES:
        if name.endswith(suffix) and len(name) > len(suffix):
            return name.removesuffix(suffix)
    return name.removesuffix("_")


class WrittenInt(int):
    """A whole number out of a file that remembers how it was written: `0123` as a name stays "0123"."""

    text: str

    def __new__(cls, value: int, text: str) -> WrittenInt:
        """Keep number and text."""
        made = super().__new__(cls, value)
        made.text = text
        return made

    def __str__(self) -> str:
        """The text, as written."""
        return self.text


class WrittenFloat(float):
    """A number out of a file that remembers how it was written; as a quantity it lacks its unit."""

    text: str

    def __new__(cls, value: float, text: str) -> WrittenFloat:
        """Keep number and text."""
        made = super().__new__(cls, value)
        made.text = text
        return made

    def __str__(self) -> str:
        """The text, as written."""
        return self.text


class Model(BaseModel):
    """Base of everything in a job: frozen, no unknown keys, file keys without units.

    Names may look like numbers (`output: 2`), so a number is taken as text where text is wanted.
    """

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        alias_generator=key_in_file,
        populate_by_name=True,
        allow_inf_nan=False,
        coerce_numbers_to_str=True,
        defer_build=True,  # a job uses few of the kinds; each is built when it is first read
    )


def _quantity(
    kind_name: str,
    *,
    low: float | None = None,
    high: float | None = None,
    above: float | None = None,
    hint: str = "",
) -> Any:
    kind = KINDS[kind_name]

    def read(value: object) -> float:
        if isinstance(value, float) and not isinstance(
            value, WrittenFloat
        ):  # already read, as in a model built by a program
            number = float(value)
        else:
            try:
                number = read_quantity(value, kind_name)
            except InputError as error:
                raise PydanticCustomError("quantity", "{text}", {"text": str(error)}) from error
        if not _within(number, low, high, above):
            bounds = [
                f"more than {write_quantity(above, kind_name)}" for above in [above] if above is not None
            ]
            bounds += [f"at least {write_quantity(low, kind_name)}" for low in [low] if low is not None]
            bounds += [f"at most {write_quantity(high, kind_name)}" for high in [high] if high is not None]
            given = value if isinstance(value, str) else write_quantity(number, kind_name)
            meant = next((number * slip for slip in _SLIPS if _within(number * slip, low, high, above)), None)
            was = (
                f". Was {write_quantity(meant, kind_name)} meant"
                if meant is not None and "Was that" not in hint
                else ""
            )
            text = (
                f"'{given}' is out of range: a {kind.name} here must be"
                f" {' and '.join(bounds)}{was}{'? ' * bool(was) or '. ' * bool(hint)}{hint}".strip()
            )
            raise PydanticCustomError("quantity", "{text}", {"text": text})
        return number

    units = "|".join(re.escape(unit) for unit in kind.factors)
    pattern = rf"^[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?\s*({units})$"
    schema = {"type": "string", "pattern": pattern, "examples": [kind.example], "x-kind": kind_name}
    return Annotated[float, BeforeValidator(read), WithJsonSchema(schema)]


def _within(number: float, low: float | None, high: float | None, above: float | None) -> bool:
    if not math.isfinite(number):
        return False
    return (
        (low is None or number >= low)
        and (high is None or number <= high)
        and (above is None or number > above)
    )


Metres = _quantity("length", low=-10_000.0, high=10_000.0)
Length = _quantity(
    "length", above=0.0, high=10_000.0, hint="Measure the way of the cable, bends and risers too"
)
CoaxLength = _quantity("length", low=0.0, high=1000.0)
Height = _quantity("length", above=0.0, high=1000.0, hint="Measure from the floor to the ceiling")
Area = _quantity("area", above=0.0, high=1000.0)
Seconds = _quantity("time", low=0.0, high=3.2e9)
Volts = _quantity("voltage", low=0.0, high=1000.0)
SignedVolts = _quantity("voltage", low=-1000.0, high=1000.0)
Amperes = _quantity("current", low=0.0, high=10_000.0)
SmallAmperes = _quantity(
    "current", low=0.0, high=2.0, hint="Was that mA? Currents of fobs and receivers are written like '22 mA'"
)
AmpereHours = _quantity("charge", above=0.0, high=10_000.0)
Watts = _quantity("power", low=0.0, high=1e6)
VoltAmperes = _quantity("apparent power", above=0.0, high=1e6)
Ohms = _quantity("resistance", low=0.0, high=1e9)
OhmsPerKilometre = _quantity("resistance per length", above=0.0, high=1e5)
Farads = _quantity("capacitance", low=0.0, high=10.0)
Henries = _quantity("inductance", low=0.0, high=1000.0)
Hertz = _quantity(
    "frequency", low=1e5, high=1e11, hint="Was that MHz? A carrier is written like '433.92 MHz'"
)
Bandwidth = _quantity(
    "bandwidth", low=100.0, high=1e9, hint="Was that kHz? A receiver's bandwidth is written like '50 kHz'"
)
Dbm = _quantity("level", low=-200.0, high=60.0)
Decibels = _quantity("loss", low=0.0, high=200.0)
DecibelsIsotropic = _quantity("gain", low=-60.0, high=40.0)
LossPerLength = _quantity("loss per length", low=0.0, high=1000.0)
Temperature = _quantity("temperature", low=-60.0, high=120.0)
CubicMetres = _quantity("volume", above=0.0, high=1e9)
Flow = _quantity("flow", above=0.0, high=1e7)
Speed = _quantity("speed", low=0.0, high=50.0)
Share = _quantity("share", low=0.0, high=1.0)
Rate = _quantity("rate", low=0.0, high=1e7)
Presses = _quantity("presses", low=1.0, high=20.0)
Angle = _quantity("angle", low=-360.0, high=360.0)
Force = _quantity("force", low=0.0, high=1e6)


def _point(value: object) -> object:
    if not isinstance(value, list | tuple) or len(value) not in (2, 3):
        text = (
            "a point is wanted: [x, y] or [x, y, height], in metres on the premises' plan, for example [14,"
            " -25]"
        )
        raise PydanticCustomError("point", "{text}", {"text": text})
    for number in value:
        if isinstance(number, bool) or not isinstance(number, int | float):
            text = (
                f"'{str(number)[:40]}' is not a coordinate; points are plain numbers in metres, for example"
                " [14, -25]"
            )
            raise PydanticCustomError("point", "{text}", {"text": text})
        if not abs(number) <= 10_000:
            text = f"{str(number)[:40]} m lies more than 10 km from the plan's origin; points are in metres"
            raise PydanticCustomError("point", "{text}", {"text": text})
    return tuple(float(number) for number in value)


Point = Annotated[
    tuple[float, ...],
    BeforeValidator(_point),
    WithJsonSchema(
        {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 3, "examples": [[14, -25]]}
    ),
]
