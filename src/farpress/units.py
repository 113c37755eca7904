"""Units: what a quantity may be written in, and the conversions, in one place.

`read_quantity` turns what a person wrote ("0.22 mm2", "13.6 V DC") into one float in
the canonical unit of its kind. It never guesses: no unit, an unknown unit or a unit of
another kind is refused with the likely slip named.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from typing import Final

from farpress.errors import InputError

__all__ = [
    "KINDS",
    "SPEED_OF_LIGHT_M_PER_S",
    "QuantityKind",
    "canonical_unit",
    "db_from_ratio",
    "eirp_from_erp_dbm",
    "ratio_from_db",
    "read_quantity",
    "wavelength_m",
    "write_quantity",
]

SPEED_OF_LIGHT_M_PER_S: Final = 299_792_458.0
"""Exact by definition of the metre: SI Brochure, 9th ed. (place from memory)."""

DIPOLE_GAIN_DBI: Final = 2.15
"""Half-wave dipole over isotropic; links e.r.p. and e.i.r.p. (textbook, from memory)."""


@dataclass(frozen=True)
class QuantityKind:
    """One kind of quantity: its canonical unit, the others as factors, and the slips.

    Attributes:
        name: the kind in words.
        unit: canonical unit, the one used inside.
        factors: unit as written → factor to the canonical unit, as decimal text.
        example: how it may be written.
        slips: unit of another kind → what the person probably meant.
    """

    name: str
    unit: str
    factors: dict[str, str]
    example: str
    slips: dict[str, str] = field(default_factory=dict)


def _spelt(unit: str, *others: str) -> dict[str, str]:
    return dict.fromkeys(others, f"the unit is written '{unit}'")


def _kinds(*kinds: QuantityKind) -> dict[str, QuantityKind]:
    return {kind.name: kind for kind in kinds}


_DAY_S = "86400"
KINDS: Final[dict[str, QuantityKind]] = _kinds(
    QuantityKind(
        "length",
        "m",
        {"m": "1", "cm": "0.01", "mm": "0.001", "km": "1000"},
        "4.2 m",
        {
            "mm2": "an area was given where a length is wanted; is this the core's section?",
            **_spelt("m", "metre", "metres", "meter", "meters"),
        },
    ),
    QuantityKind(
        "area",
        "mm2",
        {"mm2": "1", "mm²": "1"},
        "0.22 mm2",
        {"mm": "'mm' is a diameter, 'mm2' an area", **_spelt("mm2", "mm^2", "sqmm", "sq mm", "qmm")},
    ),
    QuantityKind(
        "time",
        "s",
        {
            "s": "1",
            "ms": "0.001",
            "us": "0.000001",
            "µs": "0.000001",
            "min": "60",
            "h": "3600",
            "d": _DAY_S,
            "days": _DAY_S,
            "day": _DAY_S,
            "weeks": "604800",
            "y": "31557600",
            "years": "31557600",
        },
        "300 ms",
        {
            "m": "'m' is metres; minutes are written 'min'",
            "M": "minutes are written 'min'",
            "S": "'S' is siemens; seconds are written 's'",
            **_spelt("s", "sec", "secs", "second", "seconds"),
            **_spelt("min", "minute", "minutes", "mins"),
            **_spelt("h", "hour", "hours"),
            **_spelt("ms", "msec", "millisecond", "milliseconds"),
        },
    ),
    QuantityKind(
        "voltage",
        "V",
        {"V": "1", "V DC": "1", "V AC": "1", "mV": "0.001", "kV": "1000"},
        "13.6 V DC",
        {
            "A": "amperes were given where volts are wanted",
            "mA": "milliamperes were given where volts are wanted",
            "VA": "'VA' is apparent power; volts are written 'V'",
            **_spelt("V", "volt", "volts", "v"),
            **_spelt("V DC", "Vdc", "VDC", "V dc"),
            **_spelt("V AC", "Vac", "VAC", "V ac"),
        },
    ),
    QuantityKind(
        "current",
        "A",
        {"A": "1", "mA": "0.001", "uA": "0.000001", "µA": "0.000001"},
        "350 mA",
        {
            "Ah": "'Ah' is a battery's charge; a current is written in 'A' or 'mA'",
            "V": "volts were given where amperes are wanted",
            **_spelt("A", "amp", "amps", "ampere", "amperes", "a"),
            **_spelt("mA", "MA", "ma"),
        },
    ),
    QuantityKind(
        "charge",
        "Ah",
        {"Ah": "1", "mAh": "0.001"},
        "7 Ah",
        {
            "A": "'A' is a current; a battery's capacity is written in 'Ah'",
            "mA": "'mA' is a current; a cell's capacity is written in 'mAh'",
        },
    ),
    QuantityKind(
        "power",
        "W",
        {"W": "1", "mW": "0.001", "kW": "1000"},
        "9 W",
        {"VA": "apparent power was given; write watts"},
    ),
    QuantityKind(
        "apparent power",
        "VA",
        {"VA": "1", "kVA": "1000"},
        "40 VA",
        {"W": "'W' is real power; a transformer is rated in 'VA'"},
    ),
    QuantityKind(
        "resistance",
        "ohm",
        {
            "ohm": "1",
            "Ohm": "1",
            "Ω": "1",
            "mohm": "0.001",
            "kohm": "1000",
            "kOhm": "1000",
            "kΩ": "1000",
            "Mohm": "1000000",
            "MΩ": "1000000",
        },
        "4.7 kohm",
        {"k": "write 'kohm'", "R": "write 'ohm'"},
    ),
    QuantityKind(
        "resistance per length",
        "ohm/km",
        {"ohm/km": "1", "Ω/km": "1"},
        "96 ohm/km",
        {"ohm": "a resistance per length is wanted: 'ohm/km'"},
    ),
    QuantityKind(
        "capacitance",
        "F",
        {"F": "1", "uF": "0.000001", "µF": "0.000001", "nF": "1e-9", "pF": "1e-12"},
        "100 nF",
    ),
    QuantityKind("inductance", "H", {"H": "1", "mH": "0.001", "uH": "0.000001", "µH": "0.000001"}, "0.5 H"),
    QuantityKind(
        "frequency",
        "Hz",
        {"Hz": "1", "kHz": "1000", "MHz": "1000000", "GHz": "1000000000"},
        "433.92 MHz",
        {"mHz": "'mHz' is a thousandth of a hertz; megahertz is written 'MHz'"},
    ),
    QuantityKind(
        "level",
        "dBm",
        {"dBm": "1"},
        "-103 dBm",
        {
            "dB": "'dB' is a ratio; a received or sent level is written in 'dBm'",
            "mW": "a level is written in 'dBm': 1 mW is 0 dBm, 10 mW are 10 dBm",
        },
    ),
    QuantityKind(
        "loss", "dB", {"dB": "1"}, "9 dB", {"dBm": "'dBm' is a level; a loss or a spread is written in 'dB'"}
    ),
    QuantityKind(
        "gain",
        "dBi",
        {"dBi": "1"},
        "-3 dBi",
        {
            "dB": "an aerial's gain is written in 'dBi' (against an isotropic one)",
            "dBd": "this is against a dipole; add 2.15 and write 'dBi'",
        },
    ),
    QuantityKind(
        "loss per length",
        "dB/100m",
        {"dB/100m": "1", "dB/100 m": "1", "dB/m": "100"},
        "35 dB/100m",
        {"dB": "a loss per length is wanted: 'dB/100m'"},
    ),
    QuantityKind(
        "temperature",
        "degC",
        {"degC": "1", "°C": "1"},
        "-8 °C",
        {"C": "'C' is coulomb; degrees are written '°C' or 'degC'"},
    ),
    QuantityKind("speed", "m/s", {"m/s": "1", "mm/s": "0.001", "cm/s": "0.01"}, "0.18 m/s"),
    QuantityKind("share", "", {"%": "0.01"}, "95 %", {"": "a share is written in per cent: '95 %'"}),
    QuantityKind(
        "rate",
        "1/d",
        {
            "per day": "1",
            "/d": "1",
            "/day": "1",
            "/week": "0.14285714285714285714",
            "per week": "0.14285714285714285714",
            "/h": "24",
            "per hour": "24",
            "per year": "0.00273790925",
            "/y": "0.00273790925",
        },
        "6 per day",
    ),
    QuantityKind(
        "presses", "presses", {"presses": "1", "press": "1"}, "2 presses", {"": "write '2 presses'"}
    ),
    QuantityKind("angle", "deg", {"deg": "1", "°": "1"}, "30 deg"),
    QuantityKind("force", "N", {"N": "1"}, "400 N"),
    QuantityKind("bandwidth", "Hz", {"Hz": "1", "kHz": "1000", "MHz": "1000000"}, "50 kHz"),
)
"""Every kind of quantity that a job file or a catalogue may hold."""

_WRITTEN = re.compile(
    r"\s*([+\-−]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+\-]?[0-9]{1,4})?)\s*(.*?)\s*\Z", re.DOTALL
)
_LONGEST = 60


def read_quantity(text: object, kind_name: str) -> float:
    """Turn a written quantity into a float in the canonical unit of its kind.

    Args:
        text: what stands in the file, number and unit, as "300 ms".
        kind_name: one of `KINDS`.

    Returns:
        The number in the canonical unit of the kind.

    Raises:
        InputError: no text, no number, no unit, or a unit of another kind; the
            message names what is allowed and the likely slip.
    """
    kind = KINDS[kind_name]
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise InputError(f"a {kind.name} is wanted, for example '{kind.example}'")
    written = str(text).strip()
    if len(written) > _LONGEST:
        raise InputError(
            f"a {kind.name} is wanted, for example '{kind.example}'; this text is {len(written)} characters"
            " long"
        )
    found = _WRITTEN.match(written)
    if not found:
        if re.match(r"[+\-−]?\d+,\d", written):
            raise InputError(f"use a point, not a comma: '{written.replace(',', '.', 1)}'")
        raise InputError(f"'{written}' has no number; a {kind.name} is written like '{kind.example}'")
    number_text, unit = found[1].replace("−", "-"), " ".join(found[2].split())
    if unit.startswith(",") and unit[1:2].isdigit():
        raise InputError(f"use a point, not a comma: '{written.replace(',', '.', 1)}'")
    if unit not in kind.factors:
        raise InputError(_unit_fault(kind, number_text, unit))
    try:
        number = float(Decimal(number_text) * Decimal(kind.factors[unit]))
    except (InvalidOperation, OverflowError) as error:
        raise InputError(f"'{written}' is not a number that can be used") from error
    if abs(number) > 1e12:
        raise InputError(f"'{written}' is larger than anything this tool computes with")
    return number


def _unit_fault(kind: QuantityKind, number: str, unit: str) -> str:
    allowed = ", ".join(name for name in kind.factors if name.isascii())
    if kind.name == "area" and unit == "mm" and len(number) < 8:
        return (
            f"'{number} mm': 'mm' is a diameter, 'mm2' an area: a core of {number} mm has"
            f" {0.7853982 * float(number) ** 2:.3g} mm2. Which one is it? Write 'area: {number} mm2' or"
            f" 'diameter: {number} mm'"
        )
    if not unit and kind.name == "share":
        return f"'{number}': {kind.slips['']}{'; is 1 the whole, or 1 %?' if float(number) == 1 else ''}"
    if not unit and kind.name == "presses":
        return f"write the unit too: '{number} presses'"
    if unit in kind.slips:
        return f"'{f'{number} {unit}'.strip()}': {kind.slips[unit]}"
    if not unit:
        return f"'{number}' has no unit: write the unit too ({allowed}), for example '{kind.example}'"
    close = difflib.get_close_matches(unit, kind.factors, n=1, cutoff=0.4)
    folded = [name for name in kind.factors if name.lower() == unit.lower()]
    meant = (folded or close)[:1]
    other = next((k for k in KINDS.values() if unit in k.factors), None)
    hint = f"; did you mean '{meant[0]}'?" if meant else ""
    if other is not None and not folded:
        return f"'{unit}' is a unit of {other.name}, but a {kind.name} is wanted: use {allowed}"
    return f"unknown unit '{unit[:20]}' for {kind.name}: use {allowed}{hint}"


def write_quantity(value: float, kind_name: str) -> str:
    """A quantity as a person would write it, at most four digits, in a handy unit.

    Args:
        value: number in the canonical unit of the kind.
        kind_name: one of `KINDS`.
    """
    kind = KINDS[kind_name]
    unit = next(iter(kind.factors))
    handy = _HANDY.get(kind_name)
    if handy is not None:
        unit = (
            next((name for name, least in handy if abs(value) >= least), handy[-1][0])
            if value
            else _AT_ZERO.get(kind_name, handy[0][0])
        )
    number = value / float(Decimal(kind.factors[unit]))
    short = f"{number:.4g}"
    if "e" in short and 1e-6 <= abs(number) < 1e13:
        short = f"{Decimal(short):f}"
    return f"{short} {unit}".strip()


_HANDY: Final[dict[str, list[tuple[str, float]]]] = {
    "time": [("d", 172800.0), ("h", 7200.0), ("min", 120.0), ("s", 1.0), ("ms", 0.001), ("us", 0.0)],
    "current": [("A", 1.0), ("mA", 0.001), ("uA", 0.0)],
    "charge": [("Ah", 1.0), ("mAh", 0.0)],
    "resistance": [("Mohm", 1e6), ("kohm", 1000.0), ("ohm", 0.0)],
    "length": [("km", 10_000.0), ("m", 0.3), ("mm", 0.0)],
    "frequency": [("GHz", 1e10), ("MHz", 1e6), ("kHz", 1e3), ("Hz", 0.0)],
    "bandwidth": [("MHz", 1e6), ("kHz", 1e3), ("Hz", 0.0)],
    "capacitance": [("F", 0.1), ("uF", 1e-6), ("nF", 1e-9), ("pF", 0.0)],
    "inductance": [("H", 0.1), ("mH", 1e-3), ("uH", 0.0)],
    "power": [("kW", 1e4), ("W", 0.1), ("mW", 0.0)],
    "share": [("%", 0.0)],
}
"""Units to write in, each from a magnitude on; our choice."""
_AT_ZERO: Final = {
    "time": "s",
    "length": "m",
    "resistance": "ohm",
    "frequency": "Hz",
    "bandwidth": "Hz",
    "power": "W",
}


def canonical_unit(kind_name: str) -> str:
    """The unit a kind of quantity has inside the program; empty for a share."""
    return KINDS[kind_name].unit


def wavelength_m(frequency_hz: float) -> float:
    """Wavelength in free space [m] of a frequency [Hz]."""
    return SPEED_OF_LIGHT_M_PER_S / frequency_hz


def db_from_ratio(ratio: float) -> float:
    """Ten times the decimal logarithm of a power ratio [dB]."""
    import math

    return 10.0 * math.log10(ratio)


def ratio_from_db(level_db: float) -> float:
    """Power ratio of a number of decibels."""
    return float(10.0 ** (level_db / 10.0))


def eirp_from_erp_dbm(erp_dbm: float) -> float:
    """Equivalent isotropic power [dBm] from effective power over a dipole [dBm]."""
    return erp_dbm + DIPOLE_GAIN_DBI
