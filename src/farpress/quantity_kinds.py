"""Kinds of quantity: the unit used inside, the units that may be written, the slips that people make."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

__all__ = ["KINDS", "QuantityKind"]


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
        "volume",
        "m3",
        {"m3": "1", "m³": "1", "l": "0.001", "L": "0.001"},
        "2.2 m3",
        {
            "m": "'m' is a length; a volume is written in 'm3' or 'l'",
            **_spelt("m3", "m^3", "cbm", "cubic metres"),
        },
    ),
    QuantityKind(
        "flow",
        "m3/h",
        {"m3/h": "1", "m³/h": "1", "l/s": "3.6", "l/min": "0.06", "l/h": "0.001"},
        "3.0 m3/h",
        {"m3": "'m3' is a volume; what flows is written in 'm3/h', 'l/s' or 'l/min'"},
    ),
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
    QuantityKind(
        "speed",
        "m/s",
        {"m/s": "1", "mm/s": "0.001", "cm/s": "0.01", "km/h": "0.27777777777777777778"},
        "0.18 m/s",
    ),
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
            "per month": "0.032854911",
            "/month": "0.032854911",
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
