"""What a circuit is made of: resistors, coils, capacitors, sources, diodes and three kinds of load.

Plain values; what they do together is solved in `network` (direct current) and `phasors`
(alternating current).
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = [
    "Capacitor",
    "CurrentLoad",
    "Diode",
    "Element",
    "Inductor",
    "PowerLoad",
    "Resistor",
    "VoltageSource",
    "ends_of",
]


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

    With alternating current `volts` is the effective value and `phase_deg` its angle.
    """

    name: str
    plus: str
    minus: str
    volts: float
    ohm: float = 0.0
    phase_deg: float = 0.0


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


Element = Resistor | Inductor | Capacitor | VoltageSource | CurrentLoad | PowerLoad | Diode


def ends_of(part: Element) -> tuple[str, str]:
    """Its two nodes; of a source plus and minus."""
    return (part.plus, part.minus) if isinstance(part, VoltageSource) else (part.a, part.b)
