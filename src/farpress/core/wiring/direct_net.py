"""The equations of one circuit on direct current, with Newton's method for what bends.

What they are asked for is said in `network`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from operator import sub

import numpy as np
from numpy.typing import NDArray

from farpress.core.wiring.bent import CLOSE, HELD_S, settled
from farpress.core.wiring.circuit_checks import check_stiff
from farpress.core.wiring.elements import (
    CurrentLoad,
    Diode,
    Element,
    Inductor,
    PowerLoad,
    Resistor,
    VoltageSource,
)
from farpress.core.wiring.matrix import SMALL, LinearSystem
from farpress.errors import CircuitError

__all__ = ["CLOSE", "DirectNet", "Folds", "Solution"]


@dataclass(frozen=True)
class Folds:
    """What a source at its limit gives more for each volt at its terminals [S]: a conductance below zero."""

    name: str
    a: str
    b: str
    siemens: float


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
        self.stiff: list[int] = []
        self.bent: list[Diode | PowerLoad] = []
        self.bent_rows: list[int] = []
        self.ends: list[tuple[int, int]] = []
        self.siemens: list[float] = []
        self.driven: list[float] = []
        self._loose: set[int] = set()
        self._driving: list[float] = []
        self.is_sound = self._read()
        self.bent_ends = [self.ends[row] for row in self.bent_rows]
        self.bent_a: list[float] = []
        del self.index[ground]

    def assemble(self) -> None:
        """Its matrix and right side, once it is known to be sound.

        Raises:
            CircuitError: sources and joints without resistance close a ring.
        """
        if self._has_stiff_ring():
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
        unknowns = self._bent() if self.bent else self._linear()
        volts = dict(zip(self.index, unknowns))
        volts[self.ground] = 0.0
        return Solution(volts, self._currents(unknowns))

    def _read(self) -> bool:
        """One row for each element: its two unknowns, its conductance, and what drives it.

        Whether all is plain to see as it should be: names that differ, values that can be, every node held by
        ground. What is not is looked at one by one, and told, in `circuit_checks`.
        """
        index, right = self.index, self._driving
        ends, siemens, driven = self.ends, self.siemens, self.driven
        loose, stiff = self._loose, self.stiff
        is_sound, phases = True, 0.0
        for row, part in enumerate(self.parts):
            conducts = drives = gives = 0.0
            if isinstance(part, Resistor):
                a, b, ohm = part.a, part.b, part.ohm
                if ohm > 0:
                    conducts = 1 / ohm
                else:
                    is_sound = is_sound and ohm == 0
                    stiff.append(row)
            elif isinstance(part, VoltageSource):
                a, b, ohm, drives = part.plus, part.minus, part.ohm, part.volts
                phases += part.phase_deg
                is_sound = is_sound and a != b and part.limit_a is None
                if ohm > 0:
                    conducts = 1 / ohm
                    gives = drives * conducts
                else:
                    is_sound = is_sound and ohm == 0
                    stiff.append(row)
            elif isinstance(part, CurrentLoad):
                a, b, drives = part.a, part.b, part.amperes
                gives = -drives
                loose.add(row)
                is_sound = is_sound and part.power_factor == 1.0
            else:
                a, b = part.a, part.b
                conducts, is_held, is_good = self._other(row, part)
                if not is_held:
                    loose.add(row)
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
            ends.append((first, other))
            siemens.append(conducts)
            driven.append(drives)
        return is_sound and math.isfinite(sum(siemens) + sum(driven) + phases) and self._is_whole()

    def _has_stiff_ring(self) -> bool:
        """Whether sources and joints without resistance close a ring."""
        heads: dict[int, int] = {}
        for row in self.stiff:
            first, other = self.ends[row]
            while first in heads:
                first = heads[first]
            while other in heads:
                other = heads[other]
            if first == other:
                return True
            heads[other] = first
        return False

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

            holding = [ends for row, ends in enumerate(self.ends) if row not in self._loose]
            pairs = np.array(holding, dtype=np.intp) + 1
            graph = csr_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(nodes, nodes))
            return int(connected_components(graph, directed=False, return_labels=False)) == 1
        heads = [*range(nodes - 1), -1]  # the last one is ground
        left = nodes - 1
        loose = self._loose
        for row, (first, other) in enumerate(self.ends):
            if row in loose:
                continue
            while (above := heads[first]) != first:
                heads[first] = first = heads[above]
            while (above := heads[other]) != other:
                heads[other] = other = heads[above]
            if first != other:
                heads[other] = first
                left -= 1
        return left == 0

    def _assembled_small(self) -> LinearSystem:
        """The matrix of what is linear, entry by entry."""
        size = self.size
        flat = [0.0] * (size * size)
        for (a, b), siemens in zip(self.ends, self.siemens):
            if not siemens:
                continue
            if a >= 0:
                flat[a * size + a] += siemens
                if b >= 0:
                    flat[a * size + b] -= siemens
                    flat[b * size + a] -= siemens
            if b >= 0:
                flat[b * size + b] += siemens
        for number, row in enumerate(self.stiff, start=len(self.index)):
            for node, side in zip(self.ends[row], (1.0, -1.0)):
                if node >= 0:
                    flat[number * size + node] += side
                    flat[node * size + number] += side
        return LinearSystem.dense(flat, size)

    def _assembled(self) -> LinearSystem:
        """The same, all entries at once."""
        siemens = np.array(self.siemens)
        a, b = np.array(self.ends, dtype=np.intp)[siemens != 0].T
        siemens = siemens[siemens != 0]
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
            raise _no_single_solution()
        return _floats(found)

    def _bent(self) -> list[float]:
        """The unknowns with what bends in them; the currents of that are kept."""
        sides = np.zeros((self.size, 1 + len(self.bent)))
        sides[:, 0] = self.right
        held: list[tuple[int, int, float]] = []
        for number, (part, (a, b)) in enumerate(zip(self.bent, self.bent_ends), start=1):
            for node, sign in ((a, 1.0), (b, -1.0)):
                if node >= 0:
                    sides[node, number] += sign
            if isinstance(part, Diode):
                held += [(node, node, HELD_S) for node in (a, b) if node >= 0]
                if a >= 0 and b >= 0:
                    held += [(a, b, -HELD_S), (b, a, -HELD_S)]
        seen = self.system.solve(sides, held)
        if seen is None:
            raise _no_single_solution()
        nodes: list[list[float]] = seen.tolist()
        ground = [0.0] * (1 + len(self.bent))
        rows = [
            list(map(sub, nodes[a] if a >= 0 else ground, nodes[b] if b >= 0 else ground))
            for a, b in self.bent_ends
        ]
        self.bent_a, taken_a = settled(self.bent, [row[0] for row in rows], [row[1:] for row in rows])
        return _floats(seen[:, 0] - seen[:, 1:] @ np.array(taken_a))

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
        amperes.update(zip((part.name for part in self.bent), self.bent_a))
        return amperes


def _floats(found: NDArray[np.float64]) -> list[float]:
    numbers: list[float] = found.tolist()
    return numbers


def _no_single_solution() -> CircuitError:
    return CircuitError(
        "The circuit has no single solution: a current source has no way back, or two sources"
        " contradict each other."
    )
