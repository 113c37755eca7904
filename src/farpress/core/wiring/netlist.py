"""A circuit written as a netlist that circuit simulators of the SPICE family read.

So that anybody can have a result checked by a program that is not ours.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from farpress.core.wiring.circuit_checks import nodes_of
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

__all__ = ["Netlist", "netlist"]

_STIFF_OHM: Final = 1e-6
"""In series with a source that has a limit and no resistance of its own, for there its current must be a
function of its volts [ohm]; our choice: far below what is compared."""

_STARTS_V: Final = 2.0
"""Below this a load of constant power is written as a resistor, so that a simulator finds its way up from 0 V
[V]; our choice."""


@dataclass(frozen=True)
class Netlist:
    """Lines without title and end, and what our nodes are called in them."""

    lines: tuple[str, ...]
    nodes: dict[str, str]


def netlist(
    elements: Iterable[Element], *, ground: str = "0", prefix: str = "", named: bool = False
) -> Netlist:
    """Lines of a netlist; ground becomes node 0.

    Joints of 0 ohm become sources of 0 V, as simulators refuse such resistors. A load of
    constant power becomes a current that depends on its voltage.

    Args:
        elements: of the circuit.
        ground: the node that counts as 0 V.
        prefix: before every name, so that several circuits fit into one file.
        named: put a comment with its name before each element.
    """
    parts = tuple(elements)
    names = {
        ground: "0",
        **{node: f"{prefix}n{number}" for number, node in enumerate(nodes_of(parts, ground), start=1)},
    }
    lines = tuple(
        line
        for number, part in enumerate(parts, start=1)
        for line in (*_comment(part, named), *_lines(part, names, f"{prefix}{number}"))
    )
    return Netlist(lines, names)


def _comment(part: Element, named: bool) -> Iterable[str]:
    if named:
        yield f"* {' '.join(part.name.split())}"


def _lines(part: Element, names: dict[str, str], tag: str) -> Iterable[str]:
    a, b = (names[node] for node in ends_of(part))
    if isinstance(part, VoltageSource) and part.limit_a is not None:
        short_a, across = (part.limit_a if part.fold_a is None else part.fold_a), f"v({a},{b})"
        yield (
            f"B{tag} {b} {a} I=min(({part.volts:.12g}-{across})/{max(part.ohm, _STIFF_OHM):.12g},"
            f" {short_a:.12g}+{(part.limit_a - short_a) / part.volts:.12g}*max({across},0))"
        )
    elif isinstance(part, VoltageSource):
        inner = a if part.ohm == 0 else f"i{tag}"
        yield f"V{tag} {inner} {b} DC {part.volts:.12g} AC {part.volts:.12g} {part.phase_deg:.12g}"
        if part.ohm:
            yield f"R{tag} {inner} {a} {part.ohm:.12g}"
    elif isinstance(part, Resistor):
        yield f"R{tag} {a} {b} {part.ohm:.12g}" if part.ohm else f"V{tag} {a} {b} DC 0"
    elif isinstance(part, Inductor):
        inner = f"i{tag}" if part.ohm and part.henry else b
        if part.henry:
            yield f"L{tag} {a} {inner} {part.henry:.12g}"
        elif part.ohm:
            yield f"R{tag} {a} {b} {part.ohm:.12g}"
        else:
            yield f"V{tag} {a} {b} DC 0"
        if part.ohm and part.henry:
            yield f"R{tag} {inner} {b} {part.ohm:.12g}"
    elif isinstance(part, Capacitor):
        yield f"C{tag} {a} {b} {part.farad:.12g}"
    elif isinstance(part, CurrentLoad):
        lag = -math.degrees(math.acos(part.power_factor))
        yield f"I{tag} {a} {b} DC {part.amperes:.12g} AC {part.amperes:.12g} {lag:.12g}"
    elif isinstance(part, PowerLoad):
        across = f"v({a},{b})"
        yield (
            f"B{tag} {a} {b} I={across} > {_STARTS_V:g} ? {part.watts:.12g}/{across} :"
            f" {part.watts / _STARTS_V**2:.12g}*{across}"
        )
    elif isinstance(part, Diode):
        yield f"D{tag} {a} {b} m{tag}"
        yield f".model m{tag} d(is={part.saturation_a:.12g} n={part.emission:.12g} rs={part.ohm:.12g})"
