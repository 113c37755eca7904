"""What a circuit is made of: resistors, coils, capacitors, sources, diodes and three kinds of load.

Plain values; what they do together is solved in `network` (direct current) and `phasors`
(alternating current).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = [
    "THERMAL_V",
    "Capacitor",
    "CurrentLoad",
    "Diode",
    "Element",
    "Inductor",
    "PowerLoad",
    "Resistor",
    "VoltageSource",
    "diode_that_leaves",
    "ends_of",
]

THERMAL_V: Final = 0.025864925
"""Thermal voltage kT/q at 27 degC [V], k and q exact since the SI of 2019; the temperature is that which
circuit simulators take."""


@dataclass(frozen=True)
class Resistor:
    """A resistance between two nodes [ohm]; 0 ohm joins them."""

    name: str
    a: str
    b: str
    ohm: float


@dataclass(frozen=True)
class Inductor:
    """A coil: resistance [ohm] and inductance [H] in series; for direct current only the resistance
    counts.
    """

    name: str
    a: str
    b: str
    henry: float
    ohm: float = 0.0


@dataclass(frozen=True)
class Capacitor:
    """A capacitance between two nodes [F]; an open end for direct current."""

    name: str
    a: str
    b: str
    farad: float


@dataclass(frozen=True)
class VoltageSource:
    """A voltage of `plus` over `minus` [V], behind a resistance of its own [ohm].

    With alternating current `volts` is the effective value and `phase_deg` its angle; a limit is one of
    direct current.

    Attributes:
        name: unlike any other.
        plus, minus: its nodes.
        volts: up to its limit [V].
        ohm: in series [ohm].
        phase_deg: of alternating current [deg].
        limit_a: the most it gives; None for no limit [A].
        fold_a: what it gives into a short, in a straight line from its limit; None: its limit all the way
            down [A].
    """

    name: str
    plus: str
    minus: str
    volts: float
    ohm: float = 0.0
    phase_deg: float = 0.0
    limit_a: float | None = None
    fold_a: float | None = None


@dataclass(frozen=True)
class CurrentLoad:
    """A load that draws the same current at any voltage, from `a` to `b` through itself [A].

    With alternating current it lags its own voltage by the angle of `power_factor`.
    """

    name: str
    a: str
    b: str
    amperes: float
    power_factor: float = 1.0


@dataclass(frozen=True)
class PowerLoad:
    """A load that draws the same power at any voltage, as a switching converter does [W]."""

    name: str
    a: str
    b: str
    watts: float
    power_factor: float = 1.0


@dataclass(frozen=True)
class Diode:
    """A junction diode: I = Is (exp(V / n Vt) - 1), with a resistance in series.

    The values are those of a 1 A silicon rectifier of no maker in particular: our choice.

    Attributes:
        name: unlike any other.
        a: anode.
        b: cathode.
        saturation_a: Is [A].
        emission: n.
        ohm: in series [ohm].
    """

    name: str
    a: str
    b: str
    saturation_a: float = 1e-9
    emission: float = 1.5
    ohm: float = 0.05


@cites("junction diode with its saturation current set by the volts at 1 A", mark=Mark.CHOICE)
def diode_that_leaves(name: str, a: str, b: str, volts: float) -> Diode:
    """A diode with so many volts across it at 1 A: our silicon rectifier with another saturation current.

    Args:
        name: unlike any other.
        a, b: anode and cathode.
        volts: at 1 A, 0.1 to 2 [V].

    Raises:
        InputError: no diode leaves so few or so many.

    >>> diode_that_leaves("d", "a", "b", 0.45).saturation_a
    3.34e-05
    """
    require_range("volts", volts, "V", low=0.1, high=2.0, because="what diodes leave at 1 A")
    plain = Diode(name, a, b)
    grown = math.exp((volts - plain.ohm) / (plain.emission * THERMAL_V))
    return Diode(name, a, b, saturation_a=1 / (grown - 1))


Element = Resistor | Inductor | Capacitor | VoltageSource | CurrentLoad | PowerLoad | Diode


def ends_of(part: Element) -> tuple[str, str]:
    """Its two nodes; of a source plus and minus."""
    return (part.plus, part.minus) if isinstance(part, VoltageSource) else (part.a, part.b)
