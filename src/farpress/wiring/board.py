"""The wiring of a premises as boxes, terminals and cores in one state: what the drawing of the desk shows.

Terminals and cores come from the one door to cables, volts and amperes from the one circuit, faults from the
judgement. Nothing is computed here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from farpress.case.cable_bodies import CableBody, CoreBody
from farpress.case.cables import cables_of, links_of, path_of_run
from farpress.case.case import Case
from farpress.case.circuit.electrics import electrics_of
from farpress.case.circuit.parts import Circuit, Terminal
from farpress.case.circuit.states import is_on
from farpress.case.terminals_there import terminals_at
from farpress.domain.finding import Finding, Verdict
from farpress.domain.refs import (
    CableRef,
    CoreRef,
    DeviceRef,
    InputRef,
    JunctionRef,
    OutputRef,
    PanelRef,
    ReceiverRef,
    SupplyRef,
    ZoneRef,
)
from farpress.judging.device.mains_cables import carries_mains
from farpress.judging.device.mains_terminals import mains_beside
from farpress.wiring.metering import cores_everywhere, volts_everywhere

__all__ = ["Board", "BoardBox", "BoardContact", "BoardCore", "BoardPart", "BoardWire", "board_of"]

_AT_BOXES = (ReceiverRef, OutputRef, InputRef, DeviceRef, SupplyRef, JunctionRef, PanelRef, ZoneRef)


@dataclass(frozen=True)
class BoardContact:
    """A contact within a box, and whether it is closed in the state."""

    a: Terminal
    b: Terminal
    is_closed: bool


@dataclass(frozen=True)
class BoardBox:
    """A thing with its terminals.

    Attributes:
        thing, what: its name, and what it is, "a receiver".
        terminals: in the order they are told.
        contacts: within it.
        faults: what does not hold about it, worst first.
    """

    thing: str
    what: str
    terminals: tuple[Terminal, ...]
    contacts: tuple[BoardContact, ...]
    faults: tuple[Finding, ...]


@dataclass(frozen=True)
class BoardCore:
    """A core as it lies.

    Attributes:
        label, core: of its cable, and its own name.
        ends: its terminals, the near one first; none of a spare core.
        part, length_m: of the cable; None where it is not described.
        amperes: in the state; None where they are not known.
        ohm: of it at 20 degC; None where it is not in the circuit.
        is_broken, is_drawn: found broken; the job draws it core by core.
        faults: of the core or its cable, worst first.
    """

    label: str
    core: str
    ends: tuple[Terminal, ...]
    part: str
    length_m: float | None
    amperes: float | None
    ohm: float | None
    is_broken: bool
    is_drawn: bool
    faults: tuple[Finding, ...]


@dataclass(frozen=True)
class BoardWire:
    """A wire inside housings; `is_listed` where the job says so, else it follows from a run."""

    ends: tuple[Terminal, ...]
    is_listed: bool


@dataclass(frozen=True)
class BoardPart:
    """A resistor or diode between terminals, in words: "4.7 kohm"; without ends that lie inside."""

    name: str
    says: str
    ends: tuple[Terminal, ...]


@dataclass(frozen=True)
class Board:
    """The wiring of one premises in one state.

    Attributes:
        premises: its name.
        boxes, cores, wires, parts: what is drawn.
        mains: cables that carry mains, in words: no core of them is drawn, a licensed electrician leads them.
        at_mains: terminals that stand at mains: no wire is led to them here.
        volts: of each terminal against 0 V; None where they are not known.
    """

    premises: str
    boxes: tuple[BoardBox, ...]
    cores: tuple[BoardCore, ...]
    wires: tuple[BoardWire, ...]
    parts: tuple[BoardPart, ...]
    mains: tuple[str, ...]
    at_mains: frozenset[Terminal]
    volts: Mapping[Terminal, float | None]


def board_of(
    case: Case, premises: str, *, moment: str, level: str, findings: Iterable[Finding] = ()
) -> Board:
    """Everything that is wired at one premises.

    Args:
        case: the job.
        premises: its name.
        moment, level: the state, as the meter names them.
        findings: of the judgement; those about wired things are put where they are.

    Raises:
        InputError: there is no such state.
    """
    volts = {
        terminal: value
        for terminals, value, _ in volts_everywhere(case, premises, moment=moment, level=level)
        for terminal in terminals
    }
    faults = _faults(premises, findings)
    cores = tuple(_cores(case, premises, moment, level, faults))
    wires = tuple(
        BoardWire(tuple(map(str, wire.terminals)), bool(wire.path))
        for wire in links_of(case, premises)
        if len(set(wire.terminals)) > 1
    )
    parts = tuple(_parts(case, premises))
    rows = [row.ends for row in cores] + [row.ends for row in wires] + [row.ends for row in parts]
    used = {end for ends in rows for end in ends}
    boxes = tuple(_boxes(case, premises, moment, used, faults))
    mains = tuple(
        f"{body.label} from {body.near} to {body.far}"
        for body in cables_of(case, premises)
        if carries_mains(case, body)
    )
    at_mains = _at_mains(case, premises)
    return Board(premises, boxes, cores, wires, parts, mains, at_mains, volts)


def _at_mains(case: Case, premises: str) -> frozenset[Terminal]:
    every = (terminal for thing in terminals_at(case, premises).things for terminal in thing)
    return frozenset(str(there) for there in every if mains_beside(case, premises, there) is not None)


def _faults(premises: str, findings: Iterable[Finding]) -> dict[str, list[Finding]]:
    """Name of a box, or "label/core" or "label/" of a cable → what does not hold about it, worst first."""
    found: dict[str, list[Finding]] = {}
    ranked = sorted(findings, key=lambda finding: (-finding.verdict.rank, finding.code, finding.about))
    for finding in ranked:
        if finding.verdict in (Verdict.HOLDS, Verdict.UNKNOWN):
            continue
        for subject in finding.subjects:
            place, _, name = subject.path.partition("/")
            if place != premises:
                continue
            if isinstance(subject, _AT_BOXES):
                key = name.partition("/")[0]
            elif isinstance(subject, CableRef | CoreRef):
                key = name if isinstance(subject, CoreRef) else f"{name}/"
            else:
                continue
            there = found.setdefault(key, [])
            if finding not in there:
                there.append(finding)
    return found


def _boxes(
    case: Case, premises: str, moment: str, used: set[Terminal], faults: Mapping[str, list[Finding]]
) -> Iterator[BoardBox]:
    electrics = electrics_of(case, premises)
    now = next(known for known in electrics.moments if known.name == moment)
    contacts = [
        BoardContact(contact.a, contact.b, is_on(contact.works, now) != contact.closed_at_rest)
        for contact in electrics.circuit.contacts
    ]
    for thing in terminals_at(case, premises).things:
        sure = [str(terminal) for terminal in thing]
        also = sorted(end for end in used if end.startswith(f"{thing.thing}.") and end not in sure)
        there = (*sure, *also)
        if thing.what == "a junction":
            there = tuple(sorted(there, key=lambda end: int(end.rpartition(".")[2])))
            there = (*there, f"{thing.thing}.{len(there) + 1}")
        if there:
            mine = tuple(contact for contact in contacts if {contact.a, contact.b} <= {*there})
            yield BoardBox(thing.thing, thing.what, there, mine, tuple(faults.get(thing.thing, ())))


def _cores(
    case: Case, premises: str, moment: str, level: str, faults: Mapping[str, list[Finding]]
) -> Iterator[BoardCore]:
    circuit = electrics_of(case, premises).circuit
    flowing = {
        core.name: amperes
        for core, amperes, _ in cores_everywhere(case, premises, moment=moment, level=level)
    }
    for body in cables_of(case, premises):
        if carries_mains(case, body):
            continue
        of_cable = faults.get(f"{body.label}/", [])
        for core in body.cores:
            name = _conductor(case, circuit, body, core)
            known = next((piece for piece in circuit.conductors if piece.name == name), None)
            yield BoardCore(
                body.label,
                core.name,
                tuple(str(end) for end in (*core.near, *core.far)),
                body.part,
                body.length_m,
                flowing.get(name),
                known.ohm(20.0) if known is not None else None,
                core.laid is not None and bool(core.laid.broken),
                body.is_drawn and not body.runs,
                (*faults.get(f"{body.label}/{core.name}", ()), *of_cable),
            )


def _conductor(case: Case, circuit: Circuit, body: CableBody, core: CoreBody) -> str:
    """Name of the conductor that a core is in the circuit; empty where it is none."""
    if not core.near or not core.far:
        return ""
    if core.laid is not None:
        return f"{body.label} {core.name}"
    paths = {path_of_run(case, run) for run in body.runs}
    node = circuit.node_of
    ends = {node.get(str(core.near[0])), *(node.get(str(end)) for end in core.far)}
    return next(
        (
            piece.name
            for piece in circuit.conductors
            if piece.run_path in paths and {node[piece.a], node[piece.b]} <= ends
        ),
        "",
    )


def _parts(case: Case, premises: str) -> Iterator[BoardPart]:
    """Resistors and diodes, at those of their terminals that can be touched."""
    circuit = electrics_of(case, premises).circuit
    real = {str(terminal) for thing in terminals_at(case, premises).things for terminal in thing}
    for resistor in circuit.resistors:
        yield BoardPart(resistor.name, _ohms(resistor.ohm), _touched(real, resistor.a, resistor.b))
    for diode in circuit.diodes:
        yield BoardPart(diode.name, "diode", _touched(real, diode.a, diode.b))


def _touched(real: set[Terminal], *ends: Terminal) -> tuple[Terminal, ...]:
    return tuple(end for end in ends if end in real)


def _ohms(ohm: float) -> str:
    return f"{ohm / 1000:.4g} kohm" if ohm >= 1000 else f"{ohm:.4g} ohm"
