"""A circuit on direct current, solved for every voltage and current at once.

Where loads share a supply, a feeder or a return core, the drop of one is felt by all; adding
up single drops is wrong then. This is the steady state by modified nodal analysis: resistors,
sources and loads of constant current are linear; loads of constant power and diodes are
brought in by Newton's method. Alternating current is solved in `phasors`.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from farpress.core.wiring.circuit_checks import check_circuit
from farpress.core.wiring.direct_net import CLOSE, DirectNet, Folds, Solution
from farpress.core.wiring.elements import (
    Capacitor,
    CurrentLoad,
    Diode,
    Element,
    Inductor,
    PowerLoad,
    Resistor,
    VoltageSource,
)
from farpress.errors import NoOperatingPoint
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

_FOLDS: Final = "{} as its volts rise"


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
    net = DirectNet(parts, ground)
    if not net.is_sound:
        check_circuit(parts, ground=ground, alternating=False)
        limited = [part for part in parts if isinstance(part, VoltageSource) and part.limit_a is not None]
        if limited:
            return _limited_solution(parts, ground, limited)
    net.assemble()
    return net.solution()


def _limited_solution(parts: tuple[Element, ...], ground: str, limited: list[VoltageSource]) -> Solution:
    """Sources that would give more than their limit give what their limit leaves them; tried until each is
    on its side of it.
    """
    full: set[str] = set()
    for _ in range(2 * len(limited) + 2):
        written = [made for part in parts for made in (_at_limit(part) if part.name in full else (part,))]
        net = DirectNet(tuple(written), ground)
        net.assemble()
        found = net.solution()
        amperes = dict(found.amperes)
        now = set()
        for source in limited:
            volts = found.across(source.plus, source.minus)
            if source.name in full:
                amperes[source.name] = -amperes[source.name] - amperes.pop(_FOLDS.format(source.name))
                if volts < source.volts:
                    now.add(source.name)
            elif amperes[source.name] > (source.limit_a or 0.0) * (1 + CLOSE):
                now.add(source.name)
        if now == full:
            return Solution(found.volts, amperes)
        full = now
    raise NoOperatingPoint(
        f"The circuit finds no operating point: {', '.join(repr(source.name) for source in limited)} would"
        " come into the limit of its current and out of it again. Give it less load."
    )


def _at_limit(part: Element) -> tuple[Element | Folds, ...]:
    """A source that gives all it can: its current into a short, and what comes on top as its volts rise."""
    assert isinstance(part, VoltageSource)
    assert part.limit_a is not None
    short_a = part.limit_a if part.fold_a is None else part.fold_a
    return (
        CurrentLoad(part.name, part.plus, part.minus, -short_a),
        Folds(_FOLDS.format(part.name), part.plus, part.minus, (part.limit_a - short_a) / part.volts),
    )
