"""A circuit on direct current, solved for every voltage and current at once.

Where loads share a supply, a feeder or a return core, the drop of one is felt by all; adding
up single drops is wrong then. This is the steady state by modified nodal analysis: resistors,
sources and loads of constant current are linear; loads of constant power and diodes are
brought in by Newton's method. Alternating current is solved in `phasors`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import Enum, auto
from typing import Final

import numpy as np
from numpy.typing import NDArray

from farpress.core.wiring.circuit_checks import check_circuit, check_stiff, nodes_of
from farpress.core.wiring.elements import (
    Capacitor,
    CurrentLoad,
    Diode,
    Element,
    Inductor,
    PowerLoad,
    Resistor,
    VoltageSource,
    ends_of,
)
from farpress.core.wiring.matrix import solve_entries
from farpress.errors import CircuitError, NoOperatingPoint
from farpress.sources import Mark, cites

__all__ = [
    "Capacitor",
    "CurrentLoad",
    "Diode",
    "Element",
    "Inductor",
    "PowerLoad",
    "Resistor",
    "Solution",
    "VoltageSource",
    "solve",
]

THERMAL_V: Final = 0.025864925
"""Thermal voltage kT/q at 27 degC [V], k and q exact since the SI of 2019; the temperature is that which
circuit simulators take."""

_LEAK_S: Final = 1e-12
"""Conductance across every diode that keeps the equations solvable when it blocks [S]; our choice, as
simulators do."""

_STEPS: Final = 200
_CLOSE: Final = 1e-10

_NEAR: Final = 1e-3
"""Volts that diodes still move when the power loads behind them are brought in; our choice."""

_BLOCKED_SHARE: Final = 0.05
"""Of its open voltage: a load with less left is not fed at all; our choice. At the most power that comes through
a resistance half of it is left."""


class _Power(Enum):
    """How loads of constant power stand in a step."""

    NONE = auto()
    AS_RESISTORS = auto()
    WHOLE = auto()


@dataclass(frozen=True)
class Solution:
    """A solved circuit.

    Attributes:
        volts: node → voltage over ground [V].
        amperes: element → current; through a resistor, diode or load from a to b, out of a
            source's plus terminal [A].
    """

    volts: Mapping[str, float]
    amperes: Mapping[str, float] = field(default_factory=dict)

    def across(self, a: str, b: str) -> float:
        """Voltage of node a over node b [V]."""
        return self.volts[a] - self.volts[b]


@cites(
    "modified nodal analysis, Ho, Ruehli and Brennan, IEEE Trans. Circuits and Systems 22 (6)",
    edition="1975",
    mark=Mark.MEMORY,
)
def solve(elements: Iterable[Element], *, ground: str = "0") -> Solution:
    """Voltages of all nodes and currents of all elements.

    Of the two voltages at which a load of constant power could run, the higher one is found:
    it is the one a supply comes to when it is switched on.

    Args:
        elements: with names that differ.
        ground: the node that counts as 0 V.

    Raises:
        CircuitError: two elements with one name, a negative or non-finite value, a node
            that is joined to ground by no resistor and no source, sources that contradict
            each other, or loads of constant power that find no operating point; the text
            names them.

    Example:
        12 V over two equal resistors:

        >>> halves = solve(
        ...     [
        ...         VoltageSource("battery", "top", "0", 12.0),
        ...         Resistor("r1", "top", "tap", 100.0),
        ...         Resistor("r2", "tap", "0", 100.0),
        ...     ]
        ... )
        >>> halves.volts["tap"]
        6.0
    """
    parts = tuple(elements)
    check_circuit(parts, ground=ground, alternating=False)
    return _DirectNet(parts, ground).solution()


class _DirectNet:
    """The equations of one circuit; unknowns are node voltages, then currents of elements without
    resistance.
    """

    def __init__(self, parts: tuple[Element, ...], ground: str) -> None:
        self.parts, self.ground = parts, ground
        self.inner = {
            part.name: f"{part.name} behind its resistance"
            for part in parts
            if isinstance(part, Diode) and part.ohm > 0
        }
        self.index = {
            node: number for number, node in enumerate([*nodes_of(parts, ground), *self.inner.values()])
        }
        self.stiff = [
            part for part in parts if isinstance(part, Resistor | Inductor | VoltageSource) and part.ohm == 0
        ]
        check_stiff(self.stiff)
        self.bent = [
            part
            for part in parts
            if isinstance(part, Diode) or (isinstance(part, PowerLoad) and part.watts > 0)
        ]
        self.size = len(self.index) + len(self.stiff)
        self.rows: list[int] = []
        self.columns: list[int] = []
        self.values: list[float] = []
        self.right = np.zeros(self.size)
        self._assemble()

    def solution(self) -> Solution:
        unknowns = self._linear() if not self.bent else self._newton()
        volts = {self.ground: 0.0, **{node: float(unknowns[number]) for node, number in self.index.items()}}
        amperes = self._currents(volts, unknowns[len(self.index) :])
        for hidden in self.inner.values():
            del volts[hidden]
        return Solution(volts, amperes)

    def _assemble(self) -> None:
        for part in self.parts:
            a, b = ends_of(part)
            if isinstance(part, CurrentLoad):
                self._inject(a, b, -part.amperes, self.right)
            elif isinstance(part, Diode) and part.ohm > 0:
                self._conduct(a, self.inner[part.name], 1 / part.ohm)
            elif isinstance(part, Resistor | Inductor | VoltageSource) and part.ohm > 0:
                self._conduct(a, b, 1 / part.ohm)
                if isinstance(part, VoltageSource):
                    self._inject(a, b, part.volts / part.ohm, self.right)
        for number, joint in enumerate(self.stiff, start=len(self.index)):
            for node, side in zip(ends_of(joint), (1.0, -1.0)):
                if node != self.ground:
                    self._entry(number, self.index[node], side)
                    self._entry(self.index[node], number, side)
            self.right[number] = joint.volts if isinstance(joint, VoltageSource) else 0.0

    def _entry(self, row: int, column: int, value: float) -> None:
        self.rows.append(row)
        self.columns.append(column)
        self.values.append(value)

    def _conduct(self, a: str, b: str, siemens: float) -> None:
        first, other = self.index.get(a), self.index.get(b)
        if first is not None:
            self._entry(first, first, siemens)
        if other is not None:
            self._entry(other, other, siemens)
        if first is not None and other is not None:
            self._entry(first, other, -siemens)
            self._entry(other, first, -siemens)

    def _inject(self, a: str, b: str, amperes: float, right: NDArray[np.float64]) -> None:
        first, other = self.index.get(a), self.index.get(b)
        if first is not None:
            right[first] += amperes
        if other is not None:
            right[other] -= amperes

    def _linear(self) -> NDArray[np.float64]:
        found = solve_entries(self.rows, self.columns, self.values, self.right)
        if found is None:
            raise CircuitError(
                "The circuit has no single solution: a current source has no way back, or two sources"
                " contradict each other."
            )
        return found

    def _across(self, part: Element, unknowns: NDArray[np.float64]) -> float:
        a, b = ends_of(part)
        first, other = self.index.get(self.inner.get(part.name, a)), self.index.get(b)
        return float(
            (unknowns[first] if first is not None else 0.0) - (unknowns[other] if other is not None else 0.0)
        )

    def _step(self, at_v: list[float], power: _Power) -> NDArray[np.float64] | None:
        """One linear solution with every bent part replaced by its tangent, or a power load by a resistor."""
        kept = len(self.values)
        right = self.right.copy()
        for part, volts in zip(self.bent, at_v):
            a, b = ends_of(part)
            if isinstance(part, PowerLoad):
                if power is _Power.NONE:
                    continue
                slope, current = part.watts / volts**2, part.watts / volts
                if power is _Power.WHOLE:
                    slope = -slope
            else:
                a = self.inner.get(part.name, a)
                slope, current = _diode(part, volts)
            self._conduct(a, b, slope)
            self._inject(a, b, -(current - slope * volts), right)
        found = solve_entries(self.rows, self.columns, self.values, right)
        del self.rows[kept:], self.columns[kept:], self.values[kept:]
        return found

    def _newton(self) -> NDArray[np.float64]:
        """Diodes first, without the power loads; then with resistors in their place, so that the diodes that
        feed them conduct; then with the loads themselves.
        """
        at_v = [_critical_v(part) if isinstance(part, Diode) else 0.0 for part in self.bent]
        has_diodes = any(isinstance(part, Diode) for part in self.bent)
        open_v = dict[str, float]()
        power, worst = _Power.NONE, self.bent[0].name
        for _ in range(_STEPS):
            found = self._step(at_v, power)
            if found is None:
                break
            is_settled, moved = True, 0.0
            wanted_v = [self._across(part, found) for part in self.bent]
            for number, (part, wanted) in enumerate(zip(self.bent, wanted_v)):
                if isinstance(part, PowerLoad) and power is not _Power.WHOLE:
                    continue
                old = at_v[number]
                new = _limited(part, wanted, old) if isinstance(part, Diode) else max(wanted, 0.5 * old)
                change = abs(new - old) + abs(new - wanted)
                if change > _CLOSE * max(1.0, abs(new)):
                    is_settled = False
                    if change > moved:
                        moved, worst = change, part.name
                at_v[number] = new
            if power is _Power.WHOLE:
                if is_settled:
                    return found
            elif moved < _NEAR:
                power = self._with_power(wanted_v, at_v, open_v, has_diodes=has_diodes)
        raise NoOperatingPoint(
            f"The circuit finds no operating point: the power that '{worst}' asks for cannot come through its"
            " cables. Use more copper or a higher voltage."
        )

    def _with_power(
        self, wanted_v: list[float], at_v: list[float], open_v: dict[str, float], *, has_diodes: bool
    ) -> _Power:
        """How the power loads are taken from now on; their voltages are put where the next step begins.

        Args:
            wanted_v: across each bent part, in the step before.
            at_v: where the next step begins; changed.
            open_v: power load → its volts without any; filled on the way.
            has_diodes: whether diodes have to conduct first.
        """
        loads = [(number, part) for number, part in enumerate(self.bent) if isinstance(part, PowerLoad)]
        is_first = not open_v
        for number, part in loads:
            volts = wanted_v[number]
            if is_first and volts <= 0:
                raise NoOperatingPoint(
                    f"'{part.name}' wants power where there is no voltage of the right sign ({volts:.4g} V)."
                    " Is it connected the wrong way round?"
                )
            if not is_first and volts < _BLOCKED_SHARE * open_v[part.name]:
                raise NoOperatingPoint(
                    f"'{part.name}' wants power that a diode or its cable keeps from it: {volts:.4g} V of"
                    f" {open_v[part.name]:.4g} V are left. Is the diode the wrong way round?"
                )
            open_v.setdefault(part.name, volts)
            at_v[number] = volts
        return _Power.AS_RESISTORS if is_first and loads and has_diodes else _Power.WHOLE

    def _currents(self, volts: dict[str, float], through: NDArray[np.float64]) -> dict[str, float]:
        flow = {joint.name: float(through[number]) for number, joint in enumerate(self.stiff)}
        amperes: dict[str, float] = {}
        for part in self.parts:
            a, b = ends_of(part)
            across = volts[a] - volts[b]
            if isinstance(part, CurrentLoad):
                amperes[part.name] = part.amperes
            elif isinstance(part, PowerLoad):
                amperes[part.name] = part.watts / across if part.watts else 0.0
            elif isinstance(part, Capacitor):
                amperes[part.name] = 0.0
            elif isinstance(part, Diode):
                amperes[part.name] = _diode(part, volts[self.inner.get(part.name, a)] - volts[b])[1]
            elif part.name in flow:
                amperes[part.name] = -flow[part.name] if isinstance(part, VoltageSource) else flow[part.name]
            elif isinstance(part, VoltageSource):
                amperes[part.name] = (part.volts - across) / part.ohm
            else:
                amperes[part.name] = across / part.ohm
        return amperes


def _diode(part: Diode, volts: float) -> tuple[float, float]:
    """Slope [S] and current [A] of the junction."""
    scale = part.emission * THERMAL_V
    power = math.exp(min(volts / scale, 400.0))
    return part.saturation_a * power / scale + _LEAK_S, part.saturation_a * (power - 1) + _LEAK_S * volts


def _critical_v(part: Diode) -> float:
    """Voltage at which the junction bends most [V]."""
    scale = part.emission * THERMAL_V
    return scale * math.log(scale / (math.sqrt(2) * part.saturation_a))


def _limited(part: Diode, wanted: float, old: float) -> float:
    """A step along the junction that does not overshoot its exponential: logarithmic beyond the bend."""
    scale, bend = part.emission * THERMAL_V, _critical_v(part)
    if wanted > bend and abs(wanted - old) > 2 * scale:
        if old <= 0:
            return scale * math.log(wanted / scale)
        way = 1 + (wanted - old) / scale
        return old + scale * math.log(way) if way > 0 else bend
    return wanted
