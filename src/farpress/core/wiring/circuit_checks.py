"""What makes a circuit unsolvable, found before it is solved and said with the names of nodes."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence

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
from farpress.errors import CircuitError

__all__ = ["NodeGroups", "check_circuit", "check_stiff", "nodes_of"]


def check_circuit(parts: Sequence[Element], *, ground: str, alternating: bool) -> None:
    """Refuse doubled names, impossible values, sources that feed themselves, and nodes that float.

    Args:
        parts: elements of the circuit.
        ground: the node that counts as 0 V.
        alternating: it is to be solved with phasors.

    Raises:
        CircuitError: every fault of the circuit, one sentence each.
    """
    if _is_plain(parts, ground):
        return
    faults = [
        *_names(parts),
        *(fault for part in parts for fault in _values(part, alternating)),
        *_floating(parts, ground, alternating),
    ]
    if faults:
        raise CircuitError("\n".join(faults))


def _is_plain(parts: Sequence[Element], ground: str) -> bool:
    """Whether resistors, sources and currents alone are there, all with values that can be, and all held by
    ground: then nothing has to be looked at one by one.
    """
    if len({part.name for part in parts}) < len(parts):
        return False
    numbers: list[float] = []
    ohms = [0.0]
    index = {ground: 0}
    parent = [0]
    touched = False
    for part in parts:
        if isinstance(part, Resistor):
            ohms.append(part.ohm)
            a, b = part.a, part.b
        elif isinstance(part, VoltageSource):
            ohms.append(part.ohm)
            numbers += (part.volts, part.phase_deg)
            a, b = part.plus, part.minus
            if a == b or part.limit_a is not None:
                return False
        elif isinstance(part, CurrentLoad) and part.power_factor == 1.0:
            numbers.append(part.amperes)
            a, b = part.a, part.b
        else:
            return False
        touched = touched or ground in (a, b)
        heads = []
        for node in (a, b):
            number = index.get(node)
            if number is None:
                number = index[node] = len(parent)
                parent.append(number)
            while parent[number] != number:
                parent[number] = number = parent[parent[number]]
            heads.append(number)
        if not isinstance(part, CurrentLoad):
            low, high = min(heads), max(heads)
            parent[high] = low
    if not touched or min(ohms) < 0 or not math.isfinite(sum(map(abs, numbers)) + sum(ohms)):
        return False
    return all(_leads_to_ground(parent, number) for number in range(len(parent)))


def _leads_to_ground(parent: list[int], number: int) -> bool:
    while parent[number] != number:
        parent[number] = number = parent[parent[number]]
    return number == 0


def check_stiff(stiff: Sequence[Element]) -> None:
    """Refuse rings of sources and joints that have no resistance at all.

    Raises:
        CircuitError: the current in such a ring is undefined, or its sources contradict each other.
    """
    joined = NodeGroups(end for part in stiff for end in ends_of(part))
    for part in stiff:
        a, b = ends_of(part)
        if joined.together(a, b):
            raise CircuitError(
                f"'{part.name}' closes a ring of sources and joints without any resistance (nodes '{a}' and"
                f" '{b}'); the current in it is undefined. Give one of them its resistance."
            )
        joined.join(a, b)


def nodes_of(parts: Iterable[Element], ground: str) -> list[str]:
    """Every node of the parts but ground, in the order of its first mention."""
    seen = dict.fromkeys(end for part in parts for end in ends_of(part))
    seen.pop(ground, None)
    return list(seen)


def _names(parts: Sequence[Element]) -> Iterable[str]:
    for name, count in Counter(part.name for part in parts).items():
        if count > 1:
            yield f"{count} elements are called '{name}'; give each a name of its own."


def _values(part: Element, alternating: bool) -> Iterable[str]:
    numbers = [value for value in vars(part).values() if isinstance(value, float | int)]
    if not all(math.isfinite(value) for value in numbers):
        yield f"'{part.name}' has a value that is no finite number; leave it out or give its value."
        return
    if isinstance(part, Resistor | Inductor | VoltageSource | Diode) and part.ohm < 0:
        yield f"'{part.name}' has {part.ohm:g} ohm; a resistance is 0 ohm or more."
    if isinstance(part, Inductor) and part.henry < 0:
        yield f"'{part.name}' has {part.henry:g} H; an inductance is 0 H or more."
    if isinstance(part, Capacitor) and part.farad < 0:
        yield f"'{part.name}' has {part.farad:g} F; a capacitance is 0 F or more."
    if isinstance(part, PowerLoad) and part.watts < 0:
        yield f"'{part.name}' draws {part.watts:g} W; a load draws 0 W or more."
    if isinstance(part, PowerLoad | CurrentLoad) and not 0 < part.power_factor <= 1:
        yield f"'{part.name}' has a power factor of {part.power_factor:g}; it lies above 0 and up to 1."
    if isinstance(part, Diode) and (part.saturation_a <= 0 or part.emission <= 0):
        yield f"Diode '{part.name}' needs a saturation current and an emission coefficient above 0."
    if isinstance(part, Diode) and alternating:
        yield (
            f"'{part.name}' is a diode; a rectifier makes no sine, so it cannot be solved with phasors."
            " Reckon it as a rectifier."
        )
    if isinstance(part, VoltageSource) and part.limit_a is not None:
        yield from _limit(part, alternating)
    if isinstance(part, VoltageSource) and part.plus == part.minus:
        yield f"'{part.name}' feeds itself: both its terminals lie on node '{part.plus}'."


def _limit(part: VoltageSource, alternating: bool) -> Iterable[str]:
    if alternating:
        yield f"'{part.name}' limits its current; that is said of direct current only."
    if part.volts <= 0:
        yield f"'{part.name}' limits its current at {part.volts:g} V; such a source has more than 0 V."
    limit_a = part.limit_a or 0.0
    short_a = limit_a if part.fold_a is None else part.fold_a
    if not 0 <= short_a <= limit_a:
        yield (
            f"'{part.name}' limits at {limit_a:g} A and folds back to {short_a:g} A; both are"
            " 0 A or more, and the second is not above the first."
        )


def _floating(parts: Sequence[Element], ground: str, alternating: bool) -> Iterable[str]:
    joined = NodeGroups((ground,))
    for part in parts:
        a, b = ends_of(part)
        joined.add(a)
        joined.add(b)
        holds = isinstance(part, Resistor | Inductor | VoltageSource | Diode) or (
            alternating and isinstance(part, Capacitor) and part.farad > 0
        )
        if holds:
            joined.join(a, b)
    if ground not in {end for part in parts for end in ends_of(part)} and parts:
        yield f"No element touches the node '{ground}' that counts as 0 V."
        return
    for node in nodes_of(parts, ground):
        if not joined.together(node, ground):
            yield (
                f"Node '{node}' floats: no resistor and no source joins it to '{ground}', so it has no"
                " voltage. Is a return core missing?"
            )


class NodeGroups:
    """Which nodes hang together."""

    def __init__(self, nodes: Iterable[str] = ()) -> None:
        """Begin with nodes that are each alone."""
        self._parent = {node: node for node in nodes}

    def add(self, node: str) -> None:
        """One more node, alone unless it is known."""
        self._parent.setdefault(node, node)

    def head(self, node: str) -> str:
        """The node that stands for its group; one that is not known yet is added."""
        parent = self._parent
        above = parent.setdefault(node, node)
        while above != node:
            parent[node] = above = parent[above]
            node = above
            above = parent[node]
        return node

    def join(self, a: str, b: str) -> None:
        """Two nodes hang together from now on."""
        self._parent[self.head(a)] = self.head(b)

    def together(self, a: str, b: str) -> bool:
        """Whether two nodes hang together."""
        return self.head(a) == self.head(b)
