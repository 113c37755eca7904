"""The equations of one circuit on direct current, with Newton's method for what bends.

What they are asked for is said in `network`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import Enum, auto
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from farpress.core.wiring.circuit_checks import check_stiff
from farpress.core.wiring.elements import (
    THERMAL_V,
    CurrentLoad,
    Diode,
    Element,
    Inductor,
    PowerLoad,
    Resistor,
    VoltageSource,
)
from farpress.core.wiring.matrix import SMALL, LinearSystem
from farpress.errors import CircuitError, NoOperatingPoint

__all__ = ["CLOSE", "DirectNet", "Folds", "Solution"]

_LEAK_S: Final = 1e-12
"""Conductance across every diode that keeps the equations solvable when it blocks [S]; our choice, as
simulators do."""

_STEPS: Final = 200
CLOSE: Final = 1e-10

_NEAR: Final = 1e-3
"""Volts that diodes still move when the power loads behind them are brought in; our choice."""

_BLOCKED_SHARE: Final = 0.05
"""Of its open voltage: a load with less left is not fed at all; our choice. At the most power that comes
through a resistance half of it is left."""


@dataclass(frozen=True)
class Folds:
    """What a source at its limit gives more for each volt at its terminals [S]: a conductance below zero."""

    name: str
    a: str
    b: str
    siemens: float


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


class DirectNet:
    """The equations of one circuit; unknowns are node voltages, then currents of elements without
    resistance.

    Every element is a row; -1 stands for ground among the unknowns.
    """

    def __init__(self, parts: tuple[Element | Folds, ...], ground: str) -> None:
        self.parts, self.ground = parts, ground
        self.index: dict[str, int] = {}
        self.inner: dict[str, str] = {}
        self.stiff: list[int] = []
        self.bent: list[Diode | PowerLoad] = []
        self.bent_rows: list[int] = []
        self.ends: list[tuple[int, int]] = []
        self.siemens: list[float] = []
        self.driven: list[float] = []
        self._read()
        self.bent_ends = self._junctions()
        check_stiff([part for row in self.stiff if not isinstance(part := parts[row], Folds)])
        self.size = len(self.index) + len(self.stiff)
        self.right = np.zeros(self.size)
        self.system = self._assembled() if self.size > SMALL else self._assembled_small()

    def solution(self) -> Solution:
        """Its volts and amperes.

        Raises:
            CircuitError: it has no single solution, or no operating point.
        """
        unknowns = self._newton() if self.bent else self._linear()
        volts = dict(zip(self.index, unknowns))
        for hidden in self.inner.values():
            del volts[hidden]
        volts[self.ground] = 0.0
        return Solution(volts, self._currents(unknowns))

    def _read(self) -> None:
        """One row for each element: its two unknowns, its conductance, and what drives it."""
        index, ground = self.index, self.ground
        for row, part in enumerate(self.parts):
            conducts = drives = 0.0
            if isinstance(part, VoltageSource):
                a, b, drives = part.plus, part.minus, part.volts
            else:
                a, b = part.a, part.b
            first = -1 if a == ground else index.setdefault(a, len(index))
            other = -1 if b == ground else index.setdefault(b, len(index))
            self.ends.append((first, other))
            if isinstance(part, Resistor | VoltageSource | Inductor):
                if part.ohm > 0:
                    conducts = 1 / part.ohm
                else:
                    self.stiff.append(row)
            elif isinstance(part, CurrentLoad):
                drives = part.amperes
            elif isinstance(part, Folds):
                conducts = -part.siemens
            elif isinstance(part, Diode) or (isinstance(part, PowerLoad) and part.watts > 0):
                self.bent.append(part)
                self.bent_rows.append(row)
            self.siemens.append(conducts)
            self.driven.append(drives)

    def _junctions(self) -> list[tuple[int, int]]:
        """The two unknowns of each bent part; a diode's resistance lies behind its anode."""
        found = [self.ends[row] for row in self.bent_rows]
        for number, part in enumerate(self.bent):
            if isinstance(part, Diode) and part.ohm > 0:
                self.inner[part.name] = f"{part.name} behind its resistance"
                found[number] = (
                    self.index.setdefault(self.inner[part.name], len(self.index)),
                    found[number][1],
                )
        return found

    def _conductors(self) -> Iterator[tuple[int, int, float]]:
        """Everything with a conductance, the resistances of diodes too: its two unknowns and siemens."""
        for (a, b), siemens in zip(self.ends, self.siemens):
            if siemens:
                yield a, b, siemens
        for number, part in enumerate(self.bent):
            if isinstance(part, Diode) and part.ohm > 0:
                yield self.ends[self.bent_rows[number]][0], self.bent_ends[number][0], 1 / part.ohm

    def _drive(self) -> None:
        """What sources and loads drive, on the right side."""
        right = self.right
        for (a, b), siemens, driven, part in zip(self.ends, self.siemens, self.driven, self.parts):
            if not driven:
                continue
            amperes = -driven if isinstance(part, CurrentLoad) else driven * siemens
            if a >= 0:
                right[a] += amperes
            if b >= 0:
                right[b] -= amperes
        for number, row in enumerate(self.stiff, start=len(self.index)):
            right[number] = self.driven[row]

    def _assembled_small(self) -> LinearSystem:
        """The matrix of what is linear, entry by entry."""
        size = self.size
        places: list[int] = []
        values: list[float] = []
        for a, b, siemens in self._conductors():
            if a >= 0:
                places.append(a * size + a)
                values.append(siemens)
            if b >= 0:
                places.append(b * size + b)
                values.append(siemens)
                if a >= 0:
                    places += (a * size + b, b * size + a)
                    values += (-siemens, -siemens)
        for number, row in enumerate(self.stiff, start=len(self.index)):
            for node, side in zip(self.ends[row], (1.0, -1.0)):
                if node >= 0:
                    places += (number * size + node, node * size + number)
                    values += (side, side)
        self._drive()
        return LinearSystem.dense(places, values, size)

    def _assembled(self) -> LinearSystem:
        """The same, all entries at once."""
        a, b, siemens = (np.array(column) for column in zip(*self._conductors()))
        joints = np.arange(len(self.index), self.size)
        plus, minus = (
            np.array([self.ends[row][side] for row in self.stiff], dtype=np.intp) for side in (0, 1)
        )
        ones = np.ones(len(self.stiff))
        rows = np.concatenate([a, b, a, b, joints, joints, plus, minus])
        columns = np.concatenate([a, b, b, a, plus, minus, joints, joints])
        values = np.concatenate([siemens, siemens, -siemens, -siemens, ones, -ones, ones, -ones])
        kept = (rows >= 0) & (columns >= 0)
        self._drive()
        return LinearSystem(rows[kept], columns[kept], values[kept], self.size)

    def _linear(self) -> list[float]:
        found = self.system.solve(self.right)
        if found is None:
            raise CircuitError(
                "The circuit has no single solution: a current source has no way back, or two sources"
                " contradict each other."
            )
        return _floats(found)

    def _across(self, found: list[float]) -> list[float]:
        """Voltage across each bent part; of a diode across its junction [V]."""
        return [(found[a] if a >= 0 else 0.0) - (found[b] if b >= 0 else 0.0) for a, b in self.bent_ends]

    def _step(self, at_v: list[float], power: _Power) -> list[float] | None:
        """One linear solution with every bent part replaced by its tangent, or a power load by a resistor."""
        right = self.right.tolist()
        extra: list[tuple[int, int, float]] = []
        for part, (a, b), volts in zip(self.bent, self.bent_ends, at_v):
            if isinstance(part, Diode):
                slope, current = _diode(part, volts)
            elif power is _Power.NONE:
                continue
            else:
                slope, current = part.watts / volts**2, part.watts / volts
                if power is _Power.WHOLE:
                    slope = -slope
            drawn = current - slope * volts
            if a >= 0:
                extra.append((a, a, slope))
                right[a] -= drawn
            if b >= 0:
                extra.append((b, b, slope))
                right[b] += drawn
                if a >= 0:
                    extra.append((a, b, -slope))
                    extra.append((b, a, -slope))
        found = self.system.solve(np.array(right), extra)
        return None if found is None else _floats(found)

    def _newton(self) -> list[float]:
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
            wanted_v = self._across(found)
            for number, (part, wanted) in enumerate(zip(self.bent, wanted_v)):
                if isinstance(part, PowerLoad) and power is not _Power.WHOLE:
                    continue
                old = at_v[number]
                new = _limited(part, wanted, old) if isinstance(part, Diode) else max(wanted, 0.5 * old)
                change = abs(new - old) + abs(new - wanted)
                if change > CLOSE * max(1.0, abs(new)):
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

    def _currents(self, found: list[float]) -> dict[str, float]:
        amperes: dict[str, float] = {}
        for part, (a, b), siemens, driven in zip(self.parts, self.ends, self.siemens, self.driven):
            across = (found[a] if a >= 0 else 0.0) - (found[b] if b >= 0 else 0.0)
            if isinstance(part, VoltageSource):
                amperes[part.name] = (driven - across) * siemens
            elif isinstance(part, CurrentLoad):
                amperes[part.name] = driven
            else:
                amperes[part.name] = across * siemens
        for number, row in enumerate(self.stiff, start=len(self.index)):
            part = self.parts[row]
            amperes[part.name] = -found[number] if isinstance(part, VoltageSource) else found[number]
        for bent, volts in zip(self.bent, self._across(found)):
            amperes[bent.name] = bent.watts / volts if isinstance(bent, PowerLoad) else _diode(bent, volts)[1]
        return amperes


def _floats(found: NDArray[np.float64]) -> list[float]:
    numbers: list[float] = found.tolist()
    return numbers


def _diode(part: Diode, volts: float) -> tuple[float, float]:
    """Slope [S] and current [A] of the junction."""
    scale, saturation_a = part.emission * THERMAL_V, part.saturation_a
    grown = saturation_a * math.exp(min(volts / scale, 400.0))
    return grown / scale + _LEAK_S, grown - saturation_a + _LEAK_S * volts


@lru_cache(maxsize=1024)
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
