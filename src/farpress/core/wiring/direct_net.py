"""The equations of one circuit on direct current, with Newton's method for what bends.

What they are asked for is said in `network`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import Enum, auto
from typing import Final, NamedTuple

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
from farpress.core.wiring.matrix import SMALL, LinearSystem, eliminated
from farpress.errors import CircuitError, NoOperatingPoint

__all__ = ["CLOSE", "DirectNet", "Folds", "Solution"]

_LEAK_S: Final = 1e-12
"""Conductance across every diode that keeps the equations solvable when it blocks [S]; our choice, as
simulators do."""

_STEPS: Final = 200
CLOSE: Final = 1e-10

_HELD_S: Final = 1e-4
"""Conductance that holds every diode while the linear rest is looked at, and is taken off again in each step
[S]; our choice, between what blocks (1e-12) and what conducts (1): neither loses more than four digits of its
sixteen.
"""

_NEARLY: Final = 1e-7
"""Volts that a diode may still move before the last step, which is one of the whole circuit and leaves the
square of that; our choice."""

_NEAR: Final = 0.02
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
        self.index: dict[str, int] = {ground: -1}
        self.inner: dict[str, str] = {}
        self.stiff: list[int] = []
        self.bent: list[Diode | PowerLoad] = []
        self.bent_rows: list[int] = []
        self.ends: list[tuple[int, int]] = []
        self.siemens: list[float] = []
        self.driven: list[float] = []
        self._holding: list[tuple[int, int]] = []
        self._driving: list[float] = []
        self.is_sound = self._read()
        self.bent_ends = self._junctions()
        del self.index[ground]

    def assemble(self) -> None:
        """Its matrix and right side, once it is known to be sound.

        Raises:
            CircuitError: sources and joints without resistance close a ring.
        """
        if self.stiff:
            check_stiff([part for row in self.stiff if not isinstance(part := self.parts[row], Folds)])
        self.size = len(self.index) + len(self.stiff)
        self.right = np.zeros(self.size)
        self.right[: len(self._driving)] = self._driving
        for number, row in enumerate(self.stiff, start=len(self.index)):
            self.right[number] = self.driven[row]
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

    def _read(self) -> bool:
        """One row for each element: its two unknowns, its conductance, and what drives it.

        Whether all is plain to see as it should be: names that differ, values that can be, every node held by
        ground. What is not is looked at one by one, and told, in `circuit_checks`.
        """
        index, right = self.index, self._driving
        ends, siemens, driven = self.ends, self.siemens, self.driven
        holding, stiff = self._holding, self.stiff
        is_sound, figures = True, 0.0
        for row, part in enumerate(self.parts):
            conducts = drives = gives = 0.0
            is_held = True
            if isinstance(part, Resistor):
                a, b, ohm = part.a, part.b, part.ohm
                if ohm > 0:
                    conducts = 1 / ohm
                else:
                    is_sound = is_sound and ohm == 0
                    stiff.append(row)
            elif isinstance(part, VoltageSource):
                a, b, ohm, drives = part.plus, part.minus, part.ohm, part.volts
                figures += abs(drives) + abs(part.phase_deg)
                is_sound = is_sound and a != b and part.limit_a is None
                if ohm > 0:
                    conducts = 1 / ohm
                    gives = drives * conducts
                else:
                    is_sound = is_sound and ohm == 0
                    stiff.append(row)
            elif isinstance(part, CurrentLoad):
                a, b, drives = part.a, part.b, part.amperes
                gives, is_held = -drives, False
                figures += abs(drives)
                is_sound = is_sound and part.power_factor == 1.0
            else:
                a, b = part.a, part.b
                conducts, is_held, is_good = self._other(row, part)
                is_sound = is_sound and is_good
            first = index.get(a)
            if first is None:
                first = index[a] = len(right)
                right.append(0.0)
            other = index.get(b)
            if other is None:
                other = index[b] = len(right)
                right.append(0.0)
            if gives:
                if first >= 0:
                    right[first] += gives
                if other >= 0:
                    right[other] -= gives
            if is_held:
                holding.append((first, other))
            figures += conducts
            ends.append((first, other))
            siemens.append(conducts)
            driven.append(drives)
        return is_sound and math.isfinite(figures) and self._is_whole()

    def _other(self, row: int, part: Element | Folds) -> tuple[float, bool, bool]:
        """Conductance of a rarer part, whether it holds a node, and whether its values can be."""
        if isinstance(part, Folds):
            return -part.siemens, True, True
        if isinstance(part, Inductor):
            if part.ohm == 0:
                self.stiff.append(row)
            is_good = part.ohm >= 0 and 0 <= part.henry < math.inf
            return 1 / part.ohm if part.ohm else 0.0, True, is_good
        if isinstance(part, Diode):
            self.bent.append(part)
            self.bent_rows.append(row)
            whole = part.ohm + part.saturation_a + part.emission
            is_good = part.ohm >= 0 and part.saturation_a > 0 and part.emission > 0 and math.isfinite(whole)
            return 0.0, True, is_good
        if isinstance(part, PowerLoad):
            if part.watts > 0:
                self.bent.append(part)
                self.bent_rows.append(row)
            return 0.0, False, 0 <= part.watts < math.inf and 0 < part.power_factor <= 1
        return 0.0, False, False  # a capacitor

    def _is_whole(self) -> bool:
        """Whether all names differ and ground holds every node."""
        parts = self.parts
        if not parts or len({part.name for part in parts}) < len(parts):
            return False
        nodes = len(self.index)
        if nodes > SMALL:
            from scipy.sparse import csr_array
            from scipy.sparse.csgraph import connected_components

            pairs = np.array(self._holding, dtype=np.intp) + 1
            graph = csr_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(nodes, nodes))
            return int(connected_components(graph, directed=False, return_labels=False)) == 1
        heads = list(range(nodes))
        left = nodes - 1
        for first, other in self._holding:
            first, other = first + 1, other + 1
            while heads[first] != first:
                heads[first] = first = heads[heads[first]]
            while heads[other] != other:
                heads[other] = other = heads[heads[other]]
            if first != other:
                heads[other] = first
                left -= 1
        return left == 0

    def _junctions(self) -> list[tuple[int, int]]:
        """The two unknowns of each bent part; a diode's resistance lies behind its anode."""
        found = [self.ends[row] for row in self.bent_rows]
        for number, part in enumerate(self.bent):
            if isinstance(part, Diode) and part.ohm > 0:
                self.inner[part.name] = f"{part.name} behind its resistance"
                found[number] = (
                    self.index.setdefault(self.inner[part.name], len(self.index) - 1),  # ground is in it
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
                slope, current = _Bend.of(part).at(volts)
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

    def _ports(self) -> tuple[list[float], list[list[float]]] | None:
        """The linear rest as it is seen from the bent parts: volts of each while none of them draws, and what
        one ampere through one takes from another [V], [ohm]. None where it has no single solution.
        """
        sides = np.zeros((self.size, 1 + len(self.bent)))
        sides[:, 0] = self.right
        held: list[tuple[int, int, float]] = []
        for number, (part, (a, b)) in enumerate(zip(self.bent, self.bent_ends), start=1):
            for node, sign in ((a, 1.0), (b, -1.0)):
                if node >= 0:
                    sides[node, number] += sign
            if isinstance(part, Diode):
                held += [(node, node, _HELD_S) for node in (a, b) if node >= 0]
                if a >= 0 and b >= 0:
                    held += [(a, b, -_HELD_S), (b, a, -_HELD_S)]
        found = self.system.solve(sides, held)
        if found is None:
            return None
        seen = np.vstack([found, np.zeros(1 + len(self.bent))])  # -1 is ground
        ends = np.array(self.bent_ends, dtype=np.intp)
        rows = (seen[ends[:, 0]] - seen[ends[:, 1]]).tolist()
        return [row[0] for row in rows], [row[1:] for row in rows]

    def _port_step(
        self,
        ports: tuple[list[float], list[list[float]]],
        bends: list[_Bend | None],
        at_v: list[float],
        power: _Power,
    ) -> list[float] | None:
        """Volts of each bent part in one step of Newton's method, from the linear rest seen there."""
        slopes, drawn = [], []
        for part, bend, volts in zip(self.bent, bends, at_v):
            if bend is not None:
                slope, current = bend.at(volts)
                slopes.append(slope - _HELD_S)
                drawn.append(current - slope * volts)
            elif power is _Power.NONE:
                slopes.append(0.0)
                drawn.append(0.0)
            else:
                watts = part.watts if isinstance(part, PowerLoad) else 0.0
                is_whole = power is _Power.WHOLE
                slopes.append((-watts if is_whole else watts) / volts**2)
                drawn.append(2 * watts / volts if is_whole else 0.0)
        rows = []
        for number, (open_v, row) in enumerate(zip(*ports)):
            made, left = [], open_v
            for ohm, slope, amperes in zip(row, slopes, drawn):
                made.append(ohm * slope)
                left -= ohm * amperes
            made[number] += 1.0
            made.append(left)
            rows.append(made)
        return eliminated(rows)

    def _newton(self) -> list[float]:
        """Diodes first, without the power loads; then with resistors in their place, so that the diodes that
        feed them conduct; then with the loads themselves. The last step is one of the whole circuit.
        """
        bends = [_Bend.of(part) if isinstance(part, Diode) else None for part in self.bent]
        has_diodes, has_loads = any(bends), None in bends
        open_v = dict[str, float]()
        power, worst = (_Power.NONE if has_loads else _Power.WHOLE), 0
        ports = self._ports()
        at_v = _begins_v(bends, *ports) if ports is not None else []
        for _ in range(_STEPS if ports is not None else 0):
            assert ports is not None
            wanted_v = self._port_step(ports, bends, at_v, power)
            if wanted_v is None:
                break
            is_settled, moved = True, 0.0
            for number, (bend, wanted, old) in enumerate(zip(bends, wanted_v, at_v)):
                if bend is not None:
                    new, close = _limited(bend, wanted, old), _NEARLY
                elif power is _Power.WHOLE:
                    new, close = max(wanted, 0.5 * old), CLOSE
                else:
                    continue
                change = abs(new - old) + abs(new - wanted)
                if change > close * max(1.0, abs(new)):
                    is_settled = False
                    if change > moved:
                        moved, worst = change, number
                at_v[number] = new
            if power is _Power.WHOLE:
                if is_settled:
                    found = self._step(at_v, power)
                    if found is None:
                        break
                    return found
            elif moved < _NEAR:
                power = self._with_power(wanted_v, at_v, open_v, has_diodes=has_diodes)
        raise NoOperatingPoint(
            f"The circuit finds no operating point: the power that '{self.bent[worst].name}' asks for cannot"
            " come through its cables. Use more copper or a higher voltage."
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
            amperes[bent.name] = (
                bent.watts / volts if isinstance(bent, PowerLoad) else _Bend.of(bent).at(volts)[1]
            )
        return amperes


def _floats(found: NDArray[np.float64]) -> list[float]:
    numbers: list[float] = found.tolist()
    return numbers


class _Bend(NamedTuple):
    """A junction as Newton's method needs it.

    Attributes:
        scale_v: emission times thermal voltage [V].
        saturation_a: of it [A].
        bends_v: where it bends most [V].
    """

    scale_v: float
    saturation_a: float
    bends_v: float

    @classmethod
    def of(cls, part: Diode) -> _Bend:
        """That of a diode."""
        scale = part.emission * THERMAL_V
        return cls(scale, part.saturation_a, scale * math.log(scale / (math.sqrt(2) * part.saturation_a)))

    def at(self, volts: float) -> tuple[float, float]:
        """Slope [S] and current [A]."""
        grown = self.saturation_a * math.exp(min(volts / self.scale_v, 400.0))
        return grown / self.scale_v + _LEAK_S, grown - self.saturation_a + _LEAK_S * volts


def _begins_v(bends: list[_Bend | None], open_v: list[float], ohms: list[list[float]]) -> list[float]:
    """Where each diode begins: with the current that comes while the others block [V]."""
    found = []
    for number, (bend, volts, row) in enumerate(zip(bends, open_v, ohms)):
        begins = 0.0
        if bend is not None and volts > 0:
            amperes = volts / max(row[number], 1e-9)
            begins = bend.scale_v * math.log1p(amperes / bend.saturation_a)
        found.append(begins)
    return found


def _limited(bend: _Bend, wanted: float, old: float) -> float:
    """A step along the junction that does not overshoot its exponential: where it conducts it is the current
    that goes as far as its tangent says, and not the volts.
    """
    if old > bend.bends_v:
        way = 1 + (wanted - old) / bend.scale_v
        return old + bend.scale_v * math.log(way) if way > 0 else min(wanted, bend.bends_v)
    if wanted > bend.bends_v:
        if old <= 0:
            return bend.scale_v * math.log(wanted / bend.scale_v)
        return old + bend.scale_v * math.log(1 + (wanted - old) / bend.scale_v)
    return wanted
