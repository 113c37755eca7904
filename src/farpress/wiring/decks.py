"""Circuits of a job as decks for circuit simulators of the SPICE family: one for each state, ready to run.

So that a program that is not ours can prove any job. A deck prints the volts of every node; what the nodes
are called at the premises, and what we say of their volts, stands in its head.
"""

from __future__ import annotations

import cmath
import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from farpress.case.case import Case
from farpress.case.circuit.electrics import electrics_of
from farpress.case.circuit.parts import Circuit
from farpress.case.circuit.solved import Solved, SolvedNet
from farpress.core.wiring.elements import CurrentLoad, Element, Inductor, PowerLoad, VoltageSource, ends_of
from farpress.core.wiring.netlist import Netlist, netlist

__all__ = ["Deck", "decks"]

OPTIONS = ".options reltol=1e-9 abstol=1e-14 vntol=1e-12 itl1=500"
"""Closer than a simulator computes by itself, as loads of constant power need it."""


@dataclass(frozen=True)
class Deck:
    """One state of the circuit of one premises.

    Attributes:
        name: of its file.
        text: of the whole deck.
        volts: node of the deck → our volts over its ground [V].
    """

    name: str
    text: str
    volts: Mapping[str, complex]


def decks(case: Case) -> tuple[Deck, ...]:
    """A deck for each state of each premises; two where a transformer is there as well."""
    made: list[Deck] = []
    for premises in case.job.premises:
        made += _of_premises(case, premises, begun=len(made))
    return tuple(made)


def _of_premises(case: Case, premises: str, *, begun: int) -> Iterator[Deck]:
    electrics = electrics_of(case, premises)
    for number, state in enumerate(electrics.states, start=begun + 1):
        solved = electrics.solve(state)
        name = f"{premises}-{number:03}-{state.name}"
        head = (
            _one_line(f"{case.job.job}, {premises}: {state.name}"),
            f"* job file {case.fingerprint}" if case.fingerprint else "* a job without a file",
        )
        for alternating in (False, True):
            nets = [net for net in solved.nets if net.net.is_alternating is alternating]
            if nets:
                yield _deck(f"{name}{' ac' if alternating else ''}", head, solved, nets, alternating)


def _deck(name: str, head: tuple[str, ...], solved: Solved, nets: list[SolvedNet], alternating: bool) -> Deck:
    lines: list[str] = []
    told: list[str] = []
    volts: dict[str, complex] = {}
    for number, net in enumerate(nets):
        elements = _linear(solved.circuit, net) if alternating else net.written.elements
        made = netlist(elements, ground=net.net.ground, prefix=f"k{number}", named=True)
        lines += made.lines
        lines += _upper_branch(made, net, elements)
        for ours, theirs in made.nodes.items():
            told.append(_node_line(solved.circuit, ours, theirs, net.volts[ours]))
            if theirs != "0":
                volts[theirs] = complex(net.volts[ours])
    told += _unreached(solved, nets)
    if alternating:
        hertz = f"{solved.circuit.frequency_hz:g}"
        control = [f"ac lin 1 {hertz} {hertz}", *(f"print vr({node}) vi({node})" for node in volts)]
    else:
        control = ["op", *(f"print v({node})" for node in volts)]
    text = "\n".join(
        (
            *head,
            "* node = terminals: our volts",
            *map(_one_line, told),
            *lines,
            OPTIONS,
            ".control",
            "set numdgt=12",
            *control,
            "quit 0",
            ".endc",
            ".end",
            "",
        )
    )
    return Deck(f"{_file_name(name)}.cir", text, volts)


def _upper_branch(made: Netlist, net: SolvedNet, elements: Iterable[Element]) -> Iterator[str]:
    """Where a simulator begins: of the two points at which a load of constant power runs, a supply that is
    switched on comes to the upper one; and one that limits its current has a third below 0 V.
    """
    two = [part for part in elements if isinstance(part, PowerLoad) or _has_limit(part)]
    if two:
        yield "* begin near the upper of the two points at which loads of constant power run"
    for ours in dict.fromkeys(end for part in two for end in ends_of(part)):
        theirs = made.nodes[ours]
        if theirs != "0":
            yield f".nodeset v({theirs})={complex(net.volts[ours]).real:.3g}"


def _has_limit(part: Element) -> bool:
    return isinstance(part, VoltageSource) and part.limit_a is not None


def _node_line(circuit: Circuit, ours: str, theirs: str, volts: complex) -> str:
    terminals = ", ".join(circuit.joined.get(ours, (ours,)))
    if isinstance(volts, complex):
        size, angle = cmath.polar(volts)
        return f"* {theirs} = {terminals}: {size:.6g} V at {math.degrees(angle):.4g} deg"
    return f"* {theirs} = {terminals}: {volts:.6g} V"


def _unreached(solved: Solved, nets: list[SolvedNet]) -> list[str]:
    """Terminals that no voltage reaches in this state: they are not in the deck."""
    dead = sorted({node for net in nets for node in net.written.dead})
    return [f"* no voltage reaches {', '.join(solved.circuit.joined.get(node, (node,)))}" for node in dead]


def _linear(circuit: Circuit, net: SolvedNet) -> tuple[Element, ...]:
    """Loads on alternating current, whose current follows their own voltage, as what they are worth there in
    ohm: a simulator takes a source's angle from its own zero.
    """
    made: list[Element] = []
    for part in net.written.elements:
        if not isinstance(part, CurrentLoad | PowerLoad):
            made.append(part)
            continue
        a, b = ends_of(part)
        amperes = complex(net.amperes[part.name])
        if amperes == 0:
            continue
        worth = (complex(net.volts[a]) - complex(net.volts[b])) / amperes
        henry = worth.imag / (2 * math.pi * circuit.frequency_hz)
        made.append(Inductor(part.name, a, b, max(henry, 0.0), worth.real))
    return tuple(made)


def _one_line(words: str) -> str:
    return " ".join(words.split())


def _file_name(words: str) -> str:
    """Small letters, digits and hyphens: good on every system."""
    return re.sub(r"[^a-z0-9]+", "-", words.casefold()).strip("-") or "state"
