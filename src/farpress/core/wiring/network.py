"""A circuit of resistors, sources and loads, solved for every voltage and current at once.

Where loads share a supply, a feeder or a return core, the drop of one is felt by all; adding
up single drops is wrong then. This is the linear steady state (modified nodal analysis);
loads of constant power, diodes and alternating current are not part of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np

from farpress.errors import CircuitError
from farpress.sources import Mark, cites

__all__ = ["CurrentLoad", "Element", "Resistor", "Solution", "VoltageSource", "solve"]


@dataclass(frozen=True)
class Resistor:
    """A resistance between two nodes; 0 ohm joins them."""

    name: str
    a: str
    b: str
    ohm: float


@dataclass(frozen=True)
class VoltageSource:
    """A voltage of `plus` over `minus`, behind a resistance of its own."""

    name: str
    plus: str
    minus: str
    volts: float
    ohm: float = 0.0


@dataclass(frozen=True)
class CurrentLoad:
    """A load that draws the same current at any voltage, from `a` to `b` through itself."""

    name: str
    a: str
    b: str
    amperes: float


Element = Resistor | VoltageSource | CurrentLoad


@dataclass(frozen=True)
class Solution:
    """A solved circuit.

    Attributes:
        volts: node → voltage over ground [V].
        amperes: element → current; through a resistor or load from a to b, out of a
            source's plus terminal [A].
    """

    volts: Mapping[str, float]
    amperes: Mapping[str, float] = field(default_factory=dict)

    def across(self, a: str, b: str) -> float:
        """Voltage of node a over node b [V]."""
        return self.volts[a] - self.volts[b]


@cites("modified nodal analysis, Ho, Ruehli and Brennan, IEEE Trans. Circuits and Systems 22 (6)", edition="1975", mark=Mark.MEMORY)
def solve(elements: Iterable[Element], *, ground: str = "0") -> Solution:
    """Voltages of all nodes and currents of all elements.

    Args:
        elements: with names that differ.
        ground: the node that counts as 0 V.

    Raises:
        CircuitError: two elements with one name, a negative or non-finite value, a node
            that is joined to ground by no resistor and no source, or sources that
            contradict each other; the text names them.

    Example:
        12 V over two equal resistors:

        >>> halves = solve([VoltageSource("battery", "top", "0", 12.0), Resistor("r1", "top", "tap", 100.0), Resistor("r2", "tap", "0", 100.0)])
        >>> halves.volts["tap"]
        6.0
    """
    parts = tuple(elements)
    _check_values(parts)
    nodes = _nodes(parts, ground)
    _check_joined(parts, nodes, ground)
    index = {node: number for number, node in enumerate(nodes)}
    # stiff: elements without resistance, whose current is an unknown of its own
    stiff = [part for part in parts if not isinstance(part, CurrentLoad) and part.ohm == 0]
    _check_stiff(stiff)
    size = len(nodes) + len(stiff)
    matrix = np.zeros((size, size))
    right = np.zeros(size)

    def add(row: str, column: str, value: float) -> None:
        if row != ground and column != ground:
            matrix[index[row], index[column]] += value

    def inject(node: str, amperes: float) -> None:
        if node != ground:
            right[index[node]] += amperes

    for part in parts:
        a, b = _ends(part)
        if isinstance(part, CurrentLoad):
            inject(a, -part.amperes)
            inject(b, part.amperes)
        elif part.ohm > 0:
            conductance = 1 / part.ohm
            for row, column, sign in ((a, a, 1), (b, b, 1), (a, b, -1), (b, a, -1)):
                add(row, column, sign * conductance)
            if isinstance(part, VoltageSource):
                inject(a, part.volts * conductance)
                inject(b, -part.volts * conductance)
    for number, joint in enumerate(stiff, start=len(nodes)):
        a, b = _ends(joint)
        for node, side in ((a, 1.0), (b, -1.0)):
            if node != ground:
                matrix[number, index[node]] += side
                matrix[index[node], number] += side
        right[number] = joint.volts if isinstance(joint, VoltageSource) else 0.0
    unknowns = np.linalg.solve(matrix, right) if size else right
    volts = {ground: 0.0, **{node: float(unknowns[number]) for node, number in index.items()}}
    return Solution(volts, _currents(parts, stiff, volts, unknowns[len(nodes):]))


def _currents(parts: tuple[Element, ...], stiff: list[Resistor | VoltageSource], volts: dict[str, float], through: np.ndarray) -> dict[str, float]:
    amperes: dict[str, float] = {}
    for part in parts:
        a, b = _ends(part)
        if isinstance(part, CurrentLoad):
            amperes[part.name] = part.amperes
        elif part.ohm == 0:
            flow = float(through[stiff.index(part)])
            amperes[part.name] = -flow if isinstance(part, VoltageSource) else flow
        elif isinstance(part, VoltageSource):
            amperes[part.name] = (part.volts - (volts[a] - volts[b])) / part.ohm
        else:
            amperes[part.name] = (volts[a] - volts[b]) / part.ohm
    return amperes


def _ends(part: Element) -> tuple[str, str]:
    return (part.plus, part.minus) if isinstance(part, VoltageSource) else (part.a, part.b)


def _nodes(parts: tuple[Element, ...], ground: str) -> list[str]:
    return [node for node in dict.fromkeys(end for part in parts for end in _ends(part)) if node != ground]


def _check_values(parts: tuple[Element, ...]) -> None:
    names = [part.name for part in parts]
    for name in dict.fromkeys(names):
        if names.count(name) > 1:
            raise CircuitError(f"{names.count(name)} elements are called '{name}'; give each a name of its own.")
    for part in parts:
        value = part.amperes if isinstance(part, CurrentLoad) else part.ohm
        volts = part.volts if isinstance(part, VoltageSource) else 0.0
        if not (np.isfinite(value) and np.isfinite(volts)):
            raise CircuitError(f"'{part.name}' has a value that is no finite number; leave it out or give its value.")
        if not isinstance(part, CurrentLoad) and value < 0:
            raise CircuitError(f"'{part.name}' has {value:g} ohm; a resistance is 0 ohm or more.")


def _check_joined(parts: tuple[Element, ...], nodes: list[str], ground: str) -> None:
    joined = _Groups([ground, *nodes])
    for part in parts:
        if not isinstance(part, CurrentLoad):
            joined.join(*_ends(part))
    for node in nodes:
        if not joined.together(node, ground):
            raise CircuitError(
                f"Node '{node}' floats: no resistor and no source joins it to '{ground}', so it has no voltage. "
                "Is a return core missing?"
            )


def _check_stiff(stiff: list[Resistor | VoltageSource]) -> None:
    joined = _Groups([end for part in stiff for end in _ends(part)])
    for part in stiff:
        a, b = _ends(part)
        if a == b or joined.together(a, b):
            raise CircuitError(
                f"'{part.name}' closes a ring of sources and joints without any resistance (nodes '{a}' and '{b}'); "
                "the current in it is undefined. Give one of them its resistance."
            )
        joined.join(a, b)


class _Groups:
    """Which nodes hang together."""

    def __init__(self, nodes: Iterable[str]) -> None:
        self._parent = {node: node for node in nodes}

    def _head(self, node: str) -> str:
        while self._parent[node] != node:
            node = self._parent[node]
        return node

    def join(self, a: str, b: str) -> None:
        self._parent[self._head(a)] = self._head(b)

    def together(self, a: str, b: str) -> bool:
        return self._head(a) == self._head(b)
