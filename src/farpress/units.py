"""Units: what a quantity may be written in, and the conversions, in one place.

`read_quantity` turns what a person wrote ("0.22 mm2", "13.6 V DC") into one float in
the canonical unit of its kind. It never guesses: no unit, an unknown unit or a unit of
another kind is refused with the likely slip named.
"""

from __future__ import annotations

import difflib
import re
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal, InvalidOperation
from functools import lru_cache
from typing import Final

from farpress.errors import InputError
from farpress.quantity_kinds import KINDS, QuantityKind

__all__ = [
    "SPEED_OF_LIGHT_M_PER_S",
    "canonical_unit",
    "db_from_ratio",
    "eirp_from_erp_dbm",
    "ratio_from_db",
    "read_quantity",
    "rounded_down",
    "rounded_up",
    "wavelength_m",
    "write_at_least",
    "write_at_most",
    "write_quantity",
    "write_share",
]

SPEED_OF_LIGHT_M_PER_S: Final = 299_792_458.0
"""Exact by definition of the metre: SI Brochure, 9th ed. (place from memory)."""

DIPOLE_GAIN_DBI: Final = 2.15
"""Half-wave dipole over isotropic; links e.r.p. and e.i.r.p. (textbook, from memory)."""


_WRITTEN = re.compile(
    r"\s*([+\-−]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+\-]?[0-9]{1,4})?)\s*(.*?)\s*\Z", re.DOTALL
)
_STRETCH = re.compile(r"(?:per|every) (\d{1,3}(?:\.\d{1,2})?) (hour|day|week|month|year)s?")
"""A rate over several of its unit: "1 per 6 weeks"."""
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
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        kind = KINDS[kind_name]
        raise InputError(f"a {kind.name} is wanted, for example '{kind.example}'")
    return _read_text(str(text).strip(), kind_name)


@lru_cache(maxsize=16_384)
def _read_text(written: str, kind_name: str) -> float:
    """The same of a text; most of a job is written as it was in the job before."""
    kind = KINDS[kind_name]
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
    stretch = _STRETCH.fullmatch(unit) if kind.name == "rate" else None
    if stretch is not None and float(stretch[1]) > 0.0:  # 1 per 6 weeks
        return read_quantity(f"{number_text} per {stretch[2]}", kind_name) / float(stretch[1])
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


def rounded_up(value: float, decimals: int) -> float:
    """To so many decimals, never below the value; for "at least".

    >>> rounded_up(0.68298, 2), rounded_up(0.3, 1)
    (0.69, 0.3)
    """
    return _rounded(value, Decimal(1).scaleb(-decimals), ROUND_CEILING)


def rounded_down(value: float, decimals: int) -> float:
    """To so many decimals, never above the value; for "at most".

    >>> rounded_down(20.459, 1), rounded_down(0.3, 1)
    (20.4, 0.3)
    """
    return _rounded(value, Decimal(1).scaleb(-decimals), ROUND_FLOOR)


def _rounded(value: float, step: Decimal, way: str) -> float:
    # what floats leave behind the twelfth digit is no reason for another step
    return float(Decimal(f"{value:.12g}").quantize(step, rounding=way))


def write_at_least(value: float, kind_name: str) -> str:
    """As `write_quantity`, rounded up: nobody who keeps to it has too little.

    >>> write_at_least(1.23441, "current")
    '1.235 A'
    """
    return write_quantity(_to_four_digits(value, ROUND_CEILING), kind_name)


def write_at_most(value: float, kind_name: str) -> str:
    """As `write_quantity`, rounded down: nobody who keeps to it has too much.

    >>> write_at_most(1.23459, "current")
    '1.234 A'
    """
    return write_quantity(_to_four_digits(value, ROUND_FLOOR), kind_name)


def _to_four_digits(value: float, way: str) -> float:
    digits = Decimal(f"{value:.12g}")
    return _rounded(value, Decimal(1).scaleb(digits.adjusted() - 3), way) if digits else value


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


def write_share(share: float, form: str = "g") -> str:
    """A share of one in per cent; what it is a share of stands beside it.

    Args:
        share: 0.95 for 95 %.
        form: how the number is formatted, as ".1f" for one decimal.

    >>> write_share(0.95), write_share(0.0973, ".1f")
    ('95 %', '9.7 %')
    """
    return f"{100.0 * share:{form}} %"


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
