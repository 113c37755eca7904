"""What a relay contact may switch: steadily, at the moment of making, and how often.

The rating in large print is for a resistive load at moderate voltage. Coils, lamps and
electronic gear need far less current for the same wear, or weld the contact at once.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, Literal, NamedTuple

from farpress.errors import InputError, require_range
from farpress.sources import Mark, cites

__all__ = [
    "LIFE_EXPONENT",
    "MECHANICAL_LIFE",
    "PEAK_MULTIPLES",
    "USUAL_MAKE_MULTIPLE",
    "LifeFit",
    "LoadKind",
    "allowed_share",
    "expected_operations",
    "fit_life",
    "leak_a",
    "making_peak_a",
    "pieces_per_contact",
    "wetting_resistor_ohm",
]

LoadKind = Literal[
    "resistive", "inductive dc", "coil ac", "lamp", "led", "motor", "capacitive", "input", "constant power"
]

PEAK_MULTIPLES: Final[dict[str, tuple[float, float]]] = {
    "resistive": (1.0, 1.0),
    "input": (1.0, 1.0),
    "inductive dc": (1.0, 1.0),
    "coil ac": (5.0, 20.0),
    "lamp": (10.0, 15.0),
    "motor": (5.0, 10.0),
    "capacitive": (20.0, 40.0),
    "constant power": (20.0, 40.0),
    "led": (20.0, 100.0),
}
"""Least and greatest usual peak at switching on, as a multiple of the steady current.

Instrument-module and switch manuals; Lighting Research Center technical note 2011-03-02 (led);
the DC coil rises slowly and has no peak. Read in copies.
"""

USUAL_MAKE_MULTIPLE: Final = 10.0
"""What many relays may make, as a multiple of their rating: Lighting Research Center note, read in a copy."""

LIFE_EXPONENT: Final = 0.992
"""Wear grows with this power of the current: least squares over four points of a relay module's life table
(`fit_life`)."""

MECHANICAL_LIFE: Final = 10_000_000
"""Operations without load; relay-module appendix, read in a copy."""

_LEAST_LIFE_SHARE: Final = 0.05
"""Below this share of the rated current life is not extrapolated: the range of the table behind the
exponent."""

_DC_VOLTAGE_LIMIT_V: Final = 30.0


class LifeFit(NamedTuple):
    """N = `at_1_a` / I to the power `exponent`; currents in A, valid from `low_a` to `high_a`."""

    exponent: float
    at_1_a: float
    low_a: float
    high_a: float


@cites(
    "contact derating by kind of load: relay-module appendix (24 V DC, L/R 7 ms) and instrument-module"
    " manual",
    mark=Mark.COPY,
)
def allowed_share(*, kind: LoadKind, voltage_v: float, alternating: bool, suppressed: bool) -> float:
    """Share of the resistive rating that a contact may carry and break of a kind of load.

    Args:
        kind: of the load.
        voltage_v: switched voltage [V].
        alternating: alternating current.
        suppressed: a diode, zener, RC element or varistor catches the coil's energy.

    Returns:
        0 to 1. Above 30 V DC 0.1 for loads without a coil, and 0 (not rated) for coils.
        For led, capacitive and constant-power loads it is 1: their peak decides, not this.
    """
    require_range("voltage_v", voltage_v, "V", low=0.0, because="a voltage")
    if not alternating and voltage_v > _DC_VOLTAGE_LIMIT_V:
        return 0.0 if kind in ("inductive dc", "motor", "coil ac") else 0.1
    if kind == "inductive dc":
        return 0.5 if suppressed else 0.35
    return {"coil ac": 0.175, "lamp": 0.1, "motor": 1 / 6}.get(kind, 1.0)


@cites("Ohm's law at the moment of making", mark=Mark.COMPUTED)
def making_peak_a(
    *, piece_peak_a: float, pieces: int, voltage_v: float | None = None, loop_ohm: float | None = None
) -> float:
    """Peak of several pieces switched together, held down by the cable's resistance if known [A].

    Args:
        piece_peak_a: of one piece [A].
        pieces: switched at the same moment; their peaks add.
        voltage_v, loop_ohm: highest instantaneous voltage [V] and resistance of source and
            cable [ohm]; together they bound the peak.

    >>> making_peak_a(piece_peak_a=22.0, pieces=8)
    176.0
    """
    require_range("piece_peak_a", piece_peak_a, "A", low=0.0, because="a peak")
    require_range("pieces", pieces, "", low=1, because="a load has at least one piece")
    together = piece_peak_a * pieces
    return min(together, voltage_v / loop_ohm) if voltage_v is not None and loop_ohm else together


@cites("peaks add up", mark=Mark.COMPUTED)
def pieces_per_contact(*, piece_peak_a: float, make_a: float) -> int:
    """How many pieces one contact may switch on together; 0 if not even one.

    Args:
        piece_peak_a: peak of one piece [A].
        make_a: what the contact may make [A].
    """
    require_range("piece_peak_a", piece_peak_a, "A", low=1e-9, because="a peak")
    require_range("make_a", make_a, "A", low=0.0, because="a rating")
    return math.floor(make_a / piece_peak_a * (1 + 1e-12))


@cites("wear as a power of the current, least squares in logarithms", mark=Mark.COMPUTED)
def fit_life(points: Sequence[tuple[float, float]]) -> LifeFit:
    """Law of contact life through measured points.

    Args:
        points: (current [A], operations), at least two different currents.
    """
    if len({current for current, _ in points}) < 2:
        raise InputError("A life law needs points at two or more different currents.")
    for current, operations in points:
        require_range("current", current, "A", low=1e-6, because="a logarithm is taken")
        require_range("operations", operations, "", low=1.0, because="a logarithm is taken")
    x = [math.log(current) for current, _ in points]
    y = [math.log(operations) for _, operations in points]
    mean_x, mean_y = math.fsum(x) / len(x), math.fsum(y) / len(y)
    slope = math.fsum((a - mean_x) * (b - mean_y) for a, b in zip(x, y)) / math.fsum(
        (a - mean_x) ** 2 for a in x
    )
    currents = [current for current, _ in points]
    return LifeFit(-slope, math.exp(mean_y - slope * mean_x), min(currents), max(currents))


@cites("N = N0 (I0/I)^n; exponent from a relay-module life table", mark=Mark.COPY)
def expected_operations(
    *, rated_operations: float, rated_a: float, current_a: float, exponent: float = LIFE_EXPONENT
) -> float:
    """Operations a contact lasts at a current, from its life at rated load.

    Never extrapolated below 5 % of the rated current, and never above the mechanical life.

    Args:
        rated_operations: at the rated current of the same kind of load.
        rated_a: that current, derated for the kind of load [A].
        current_a: switched current [A].
        exponent: of the law.
    """
    require_range("rated_operations", rated_operations, "", low=1.0, because="a life")
    require_range("rated_a", rated_a, "A", low=1e-6, because="a rating")
    require_range("current_a", current_a, "A", low=0.0, because="a current")
    share = max(current_a / rated_a, _LEAST_LIFE_SHARE)
    return float(min(rated_operations * share**-exponent, max(MECHANICAL_LIFE, rated_operations)))


@cites("Ohm's law", mark=Mark.COMPUTED)
def wetting_resistor_ohm(*, voltage_v: float, current_a: float, wanted_a: float) -> float:
    """Resistor across an input that raises the contact's current to a wanted value [ohm].

    Args:
        voltage_v: that drives the input [V].
        current_a: of the input alone [A].
        wanted_a: that the contact is to carry [A].

    >>> wetting_resistor_ohm(voltage_v=24.0, current_a=0.004, wanted_a=0.010)
    4000.0
    """
    require_range("voltage_v", voltage_v, "V", low=1e-3, because="something must drive the current")
    require_range(
        "wanted_a - current_a",
        wanted_a - current_a,
        "A",
        low=1e-9,
        because="the contact has its current already",
    )
    return voltage_v / (wanted_a - current_a)


@cites("alternating current through a capacitor, I = 2 pi f C U", mark=Mark.MEMORY)
def leak_a(*, capacitance_f: float, volts: float, frequency_hz: float) -> float:
    """Current through an RC element across an open contact, its small resistance left out [A].

    Args:
        capacitance_f: of it [F].
        volts: across the open contact, effective [V].
        frequency_hz: of the mains [Hz].

    >>> round(leak_a(capacitance_f=0.1e-6, volts=230.0, frequency_hz=50.0), 5)
    0.00723
    """
    return 2.0 * math.pi * frequency_hz * capacitance_f * volts
