"""A meter held to any two terminals in any state: volts, ohms with the supplies off, amperes of each core;
and what it reads if a core is broken, changed over with another, or led to another terminal.

All of it is the one circuit of the premises solved; this only asks it, and asks a copy with a fault.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case
from farpress.case.circuit.electrics import electrics_of
from farpress.case.circuit.nets import Net, Piece, nets_of
from farpress.case.circuit.parts import (
    Circuit,
    ClosingContact,
    Conductor,
    Draw,
    EndOfLine,
    FusedBranch,
    Terminal,
)
from farpress.case.circuit.solved import Solved
from farpress.case.circuit.states import (
    AS_READ,
    BATTERY_END,
    BATTERY_FULL,
    HIGHEST,
    LOWEST,
    CircuitState,
    Moment,
    SupplyLevel,
    is_on,
)
from farpress.case.cores import CONTACT_OHM
from farpress.core.wiring.circuit_checks import NodeGroups
from farpress.core.wiring.elements import CurrentLoad, Element, Resistor, ends_of
from farpress.core.wiring.network import solve
from farpress.errors import CircuitError, InputError
from farpress.phrases import closest
from farpress.wiring.core_faults import CoreFault, circuit_with, core_faults, solved_with_fault

__all__ = [
    "METER_LEVELS",
    "CoreCurrent",
    "FaultReading",
    "MeterReading",
    "cores_everywhere",
    "meter_terminals",
    "metered",
    "volts_everywhere",
    "what_faults_read",
]

METER_LEVELS: Final[dict[str, SupplyLevel]] = {
    "as a meter reads it": AS_READ,
    "lowest volts, cores hot": LOWEST,
    "highest volts, cores cold": HIGHEST,
    "mains off, battery full": BATTERY_FULL,
    "mains off, battery at its end": BATTERY_END,
}
"""In words → the level of the supplies."""

TEST_A: Final = 0.001
"""Of an ohmmeter; our choice, the result does not depend on it: nothing that is not linear is left then."""

ROOM_DEGC: Final = 20.0
"""At which ohms are told; the tables of conductors give them so."""

OPEN_OHM: Final = 5e6
"""More is shown as open: our choice, a hand meter shows no more over damp fingers."""

_DIFFERS: Final = 0.02
"""A reading that differs by a smaller share is no sign of a fault: our choice, what a hand meter can tell."""


@dataclass(frozen=True)
class CoreCurrent:
    """A core that ends at one of the terminals: its name, colour or number, and amperes; None: not known."""

    core: str
    mark: str
    amperes: float | None


@dataclass(frozen=True)
class MeterReading:
    """What a meter reads.

    Attributes:
        volts: of the first terminal over the second, effective ones of alternating current [V], or None.
        no_volts: why no volts are told; empty where they are.
        is_alternating: they are of alternating current.
        ohms: with every supply and panel off and contacts at rest [ohm]; `math.inf` is open.
        left_out: electronics, and loads whose resistance nobody says: they are taken for open.
        cores: those that end at either terminal, with their amperes in the state.
    """

    volts: float | None
    no_volts: str
    is_alternating: bool
    ohms: float
    left_out: tuple[str, ...]
    cores: tuple[CoreCurrent, ...]


@dataclass(frozen=True)
class FaultReading:
    """What a meter reads with a fault; `differs` where that tells it from the right reading."""

    fault: CoreFault
    reading: MeterReading
    differs: bool


def meter_terminals(case: Case, premises: str) -> tuple[Terminal, ...]:
    """Every terminal of one premises' circuit."""
    return tuple(electrics_of(case, premises).circuit.node_of)


def metered(
    case: Case,
    premises: str,
    a: Terminal,
    b: Terminal,
    *,
    moment: str,
    level: str,
    fault: CoreFault | None = None,
) -> MeterReading:
    """What a meter held to two terminals reads.

    Args:
        case: the job.
        premises: its name.
        a, b: the terminals, as "main.+"; volts are those of the first over the second.
        moment: name of a moment of the circuit, as "at rest" or a function that is pressed.
        level: one of `METER_LEVELS`.
        fault: what is wrong; None for nothing.

    Raises:
        InputError: there is no such terminal, moment, level or core; all of them are told.
    """
    electrics = electrics_of(case, premises)
    state = _state(case, premises, (a, b), moment, level)
    circuit = electrics.circuit
    if fault is None:
        return _reading(circuit, electrics.solve(state), state, a, b)
    circuit = circuit_with(circuit, fault)
    return _reading(circuit, *solved_with_fault(circuit, state), a, b)


def what_faults_read(
    case: Case, premises: str, a: Terminal, b: Terminal, *, moment: str, level: str
) -> tuple[FaultReading, ...]:
    """Each core broken, and each two cores of one cable changed over: what the meter reads then.

    Those that it tells first; the arguments are those of `metered`.
    """
    circuit = electrics_of(case, premises).circuit
    state = _state(case, premises, (a, b), moment, level)
    right = metered(case, premises, a, b, moment=moment, level=level)
    found = []
    for fault in core_faults(circuit):
        wrong = circuit_with(circuit, fault)
        reading = _reading(wrong, *solved_with_fault(wrong, state), a, b)
        found.append(FaultReading(fault, reading, _tells(right, reading)))
    return tuple(sorted(found, key=lambda row: not row.differs))


def volts_everywhere(
    case: Case, premises: str, *, moment: str, level: str, fault: CoreFault | None = None
) -> tuple[tuple[tuple[Terminal, ...], float | None, str], ...]:
    """Terminals that are one point, their volts over the 0 V of what feeds them, and which that is.

    The arguments are those of `metered`; volts are None where none reach.
    """
    state = _state(case, premises, (), moment, level)
    circuit = electrics_of(case, premises).circuit
    circuit = circuit if fault is None else circuit_with(circuit, fault)
    solved, _ = solved_with_fault(circuit, state)
    rows = []
    for node, terminals in circuit.joined.items():
        ground = next((net.net.ground for net in solved.nets if node in net.volts), "")
        rows.append((terminals, solved.across(node, ground) if ground else None, ground))
    return tuple(rows)


def cores_everywhere(
    case: Case, premises: str, *, moment: str, level: str, fault: CoreFault | None = None
) -> tuple[tuple[Conductor, float | None, bool], ...]:
    """Every core as it lies, its amperes, and whether the fault is at it; a broken one stays, without any.

    The arguments are those of `metered`.
    """
    state = _state(case, premises, (), moment, level)
    right = electrics_of(case, premises).circuit
    circuit = right if fault is None else circuit_with(right, fault)
    solved, _ = solved_with_fault(circuit, state)
    led = {core.name: core for core in circuit.conductors}
    wrong = set() if fault is None else {fault.core, fault.other}
    return tuple(
        (led.get(core.name, core), solved.through(core.name) if core.name in led else 0.0, core.name in wrong)
        for core in right.conductors
    )


def _state(case: Case, premises: str, terminals: Sequence[Terminal], moment: str, level: str) -> CircuitState:
    electrics = electrics_of(case, premises)
    moments: dict[str, Moment] = {known.name: known for known in electrics.moments}
    there = electrics.circuit.node_of
    faults = [
        f"there is no terminal '{name[:60]}'{closest(name, there)}" for name in terminals if name not in there
    ]
    if moment not in moments:
        faults.append(f"there is no state '{moment[:60]}'; there are {', '.join(moments)}")
    if level not in METER_LEVELS:
        faults.append(f"the supplies are taken {', or '.join(METER_LEVELS)}, not '{level[:60]}'")
    if faults:
        raise InputError("; ".join(faults).capitalize() + ".")
    return CircuitState(moments[moment], METER_LEVELS[level])


def _reading(circuit: Circuit, solved: Solved, state: CircuitState, a: Terminal, b: Terminal) -> MeterReading:
    node = circuit.node_of
    volts = solved.across(a, b)
    no_volts = ""
    if volts is None:
        nets = [solved.net_of.get(node[terminal]) for terminal in (a, b)]
        bare = [terminal for terminal, net in zip((a, b), nets, strict=True) if net is None]
        if bare:
            no_volts = f"no volts of a known supply reach {' and '.join(bare)}"
        else:
            no_volts = "the two hang on different supplies that have no terminal in common"
    alternating = any(net.net.is_alternating for net in solved.nets if node[a] in net.volts)
    ohms, left_out = _ohms(circuit, state, node[a], node[b])
    cores = tuple(
        CoreCurrent(core.name, core.core, solved.through(core.name))
        for core in circuit.conductors
        if {core.a, core.b} & set(circuit.joined[node[a]] + circuit.joined[node[b]])
    )
    return MeterReading(volts, no_volts, alternating, ohms, left_out, cores)


def _ohms(circuit: Circuit, state: CircuitState, a: str, b: str) -> tuple[float, tuple[str, ...]]:
    """What an ohmmeter reads: supplies, panels and receivers off, so that no contact is worked by them."""
    if a == b:
        return 0.0, ()
    net = next((net for net in nets_of(circuit) if {a, b} <= _nodes(net)), None)
    if net is None:
        return math.inf, ()
    dead = Moment("off", signals=False, opened=state.moment.opened)
    joined = NodeGroups((b,))
    for piece, near, far in net.pieces:
        is_shut = isinstance(piece, ClosingContact) and is_on(piece.works, dead) != piece.closed_at_rest
        if is_shut or isinstance(piece, FusedBranch):
            joined.join(near, far)
    start, end = joined.head(a), joined.head(b)
    if start == end:
        return 0.0, ()
    parts: list[Element] = []
    left_out = []
    for piece, near, far in net.pieces:
        ohm = _dead_ohm(piece)
        if ohm is not None and joined.head(near) != joined.head(far):
            parts.append(Resistor(piece.name, joined.head(near), joined.head(far), ohm))
        elif ohm is None and isinstance(piece, Draw):
            left_out.append((piece.name, joined.head(near), joined.head(far)))
    groups = NodeGroups((end,))
    for part in parts:
        groups.join(*ends_of(part))
    mine = [part for part in parts if groups.together(ends_of(part)[0], end)]
    told = tuple(name for name, *ends in left_out if any(groups.together(here, end) for here in ends))
    if not groups.together(start, end):
        return math.inf, told
    try:
        found = solve([*mine, CurrentLoad("ohmmeter", end, start, TEST_A)], ground=end)
    except CircuitError:
        return math.inf, told
    ohms = abs(found.volts[start]) / TEST_A
    return (ohms if ohms < OPEN_OHM else math.inf), told


def _dead_ohm(piece: Piece) -> float | None:
    """Ohms of a piece that nothing feeds, a core with its terminal as in the schedule; None for what is open
    then, or electronics that read anything.
    """
    if isinstance(piece, Conductor):
        return piece.ohm(ROOM_DEGC) + CONTACT_OHM
    if isinstance(piece, EndOfLine):
        return piece.ohm
    if isinstance(piece, Draw) and not piece.end.is_receiver and not piece.end.is_panel:
        return piece.coil_ohm or (piece.ohm if piece.is_resistance else None)
    return None


def _nodes(net: Net) -> set[str]:
    return {node for _, a, b in net.pieces for node in (a, b)}


def _tells(right: MeterReading, wrong: MeterReading) -> bool:
    """Whether a hand meter tells two readings apart."""
    if (right.volts is None) != (wrong.volts is None):
        return True
    pairs = [(right.volts or 0.0, wrong.volts or 0.0, 0.05), (right.ohms, wrong.ohms, 0.5)]
    return any(
        before != after and not abs(before - after) <= max(_DIFFERS * abs(before), least)
        for before, after, least in pairs
    )
