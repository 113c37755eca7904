"""A circuit taken apart into what hangs together, and each piece written as elements in a state."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import chain
from typing import Final

from farpress.case.circuit.parts import (
    UNKNOWN_OHM,
    Circuit,
    ClosingContact,
    Conductor,
    Draw,
    EndOfLine,
    FusedBranch,
    OneWay,
    PullUp,
    Sink,
    SourceVolts,
    SupplySource,
)
from farpress.case.circuit.states import CircuitState, drawn_a, is_on
from farpress.core.wiring.circuit_checks import NodeGroups
from farpress.core.wiring.elements import (
    CurrentLoad,
    Diode,
    Element,
    Inductor,
    PowerLoad,
    Resistor,
    VoltageSource,
    ends_of,
)

__all__ = ["STARVED_SHARE", "Changes", "Net", "Piece", "SupplyAsk", "Written", "nets_of", "written"]

STARVED_SHARE: Final = 0.5
"""Of its rated volts: a coil, heater or lamp with less draws the current of its label no more, but less, as a
resistance does; our choice."""

Piece = SupplySource | Conductor | ClosingContact | Sink | Draw | PullUp | EndOfLine | FusedBranch | OneWay


@dataclass
class Net:
    """What hangs together with every contact closed.

    Attributes:
        ground: the node that counts as 0 V: of its first supply, else of its first input.
        is_alternating: a transformer feeds it.
        pieces: of it, each with its two nodes.
    """

    ground: str = ""
    is_alternating: bool = False
    pieces: list[tuple[Piece, str, str]] = field(default_factory=list)

    @property
    def sources(self) -> tuple[SupplySource, ...]:
        """Its supplies."""
        return tuple(piece for piece, _, _ in self.pieces if isinstance(piece, SupplySource))


@dataclass(frozen=True)
class SupplyAsk:
    """What a supply asks of the one that feeds it: watts of a converter, else amperes."""

    amperes: float = 0.0
    watts: float | None = None


@dataclass(frozen=True)
class Changes:
    """How a net is written otherwise than its state says, where that has no solution.

    Attributes:
        steady: loads of constant power that are taken at their label current.
        resistances: loads that are taken as a resistance, with too few volts for the current of their label.
        blocked: transistor outputs through which current would flow the wrong way.
        limited: supplies of which more is asked than their electronics let through; every load is then a
            resistance, as it is at few volts.
        asked: load → what the supply that it is asks for with what hangs on it in this state.
        given: supply → its volts in this state, of a rectifier.
    """

    steady: frozenset[str] = frozenset()
    resistances: frozenset[str] = frozenset()
    blocked: frozenset[str] = frozenset()
    limited: frozenset[str] = frozenset()
    asked: Mapping[str, SupplyAsk] = field(default_factory=dict, hash=False)
    given: Mapping[str, SourceVolts] = field(default_factory=dict, hash=False)


@dataclass(frozen=True)
class Written:
    """A net as elements, and its nodes that no voltage reaches."""

    elements: tuple[Element, ...]
    dead: frozenset[str] = frozenset()


def nets_of(circuit: Circuit) -> tuple[Net, ...]:
    """Everything that hangs together, each piece once."""
    node = circuit.node_of
    rows: list[tuple[Piece, str, str]] = []
    rows += [(source, node[source.plus], node[source.zero]) for source in circuit.sources]
    rows += [(core, node[core.a], node[core.b]) for core in circuit.conductors]
    rows += [(contact, node[contact.a], node[contact.b]) for contact in circuit.contacts]
    rows += [(branch, node[branch.a], node[branch.b]) for branch in circuit.branches]
    rows += [(sink, node[sink.collector], node[sink.zero]) for sink in circuit.sinks]
    rows += [(draw, node[draw.a], node[draw.b]) for draw in circuit.draws]
    rows += [(pull, node[pull.live], node[pull.common]) for pull in circuit.pull_ups]
    rows += [(resistor, node[resistor.a], node[resistor.b]) for resistor in circuit.resistors]
    rows += [(diode, node[diode.a], node[diode.b]) for diode in circuit.diodes]
    groups = NodeGroups()
    for _, a, b in rows:
        groups.join(a, b)
    found: dict[str, Net] = {}
    for piece, a, b in rows:
        net = found.setdefault(groups.head(a), Net())
        net.pieces.append((piece, a, b))
        if isinstance(piece, SupplySource):
            net.ground = net.ground or b
            net.is_alternating = net.is_alternating or piece.is_alternating
    for net in found.values():
        commons = [b for piece, _, b in net.pieces if isinstance(piece, PullUp)]
        net.ground = net.ground or (commons[0] if commons else net.pieces[0][2])
    return tuple(found.values())


_WORKED: Final = (ClosingContact, Sink)


def written(circuit: Circuit, net: Net, state: CircuitState, changes: Changes) -> Written | None:
    """A net in a state; None where the volts of one of its supplies are not known."""
    giving = [source for source in net.sources if source.name not in state.moment.off]
    if any(_volts_of(source, state) is None for source in giving):
        return None
    parts: list[Element] = []
    stiff = NodeGroups()
    closed: set[str] = set()
    for piece, a, b in net.pieces:
        if a == b:
            continue
        if isinstance(piece, _WORKED):
            shut = is_on(piece.works, state.moment) != piece.closed_at_rest
            if not shut or piece.name in changes.blocked or stiff.together(a, b):
                continue
            closed.add(piece.name)
            stiff.join(a, b)
            parts.append(
                VoltageSource(piece.name, a, b, piece.saturation_v)
                if isinstance(piece, Sink)
                else Resistor(piece.name, a, b, 0.0)
            )
        elif isinstance(piece, SupplySource):
            if piece not in giving:
                continue
            made = _source(piece, a, b, state, changes)
            if made.ohm == 0:
                stiff.join(a, b)
            parts.append(made)
        elif isinstance(piece, Conductor):
            degc = state.level.degc if state.level.degc is not None else piece.hot_degc
            parts.append(Resistor(piece.name, a, b, piece.ohm(degc) * state.level.scale**2))
        elif isinstance(piece, PullUp):
            parts.append(VoltageSource(piece.name, a, b, piece.volts, piece.ohm))
        elif isinstance(piece, FusedBranch):
            parts.append(Resistor(piece.name, a, b, 0.0))
        elif isinstance(piece, OneWay) and not net.is_alternating:
            parts.append(piece.element(a, b))
        elif isinstance(piece, EndOfLine):
            parts.append(Resistor(piece.name, a, b, piece.ohm))
    for piece, a, b in net.pieces:
        if isinstance(piece, Draw) and a != b:
            is_fed = not piece.behind or any(name in closed for name in piece.behind)
            if piece.is_turned and not is_fed:
                continue  # the same motor the other way round
            parts.append(_load(circuit, net, piece, (a, b), state, changes, is_fed=is_fed))
    return _without_floating(parts, net.ground)


def _volts_of(source: SupplySource, state: CircuitState) -> SourceVolts | None:
    """Volts of a supply at a level; its rated ones where it has no battery."""
    found: SourceVolts | None = getattr(source, state.level.volts)
    if found is None and state.level.is_bare_label:
        return SourceVolts(0.0, 0.0)  # currents do not depend on it, and nobody asks for its volts
    return found if found is not None or state.level.volts != "full" else source.rated


def _source(source: SupplySource, a: str, b: str, state: CircuitState, changes: Changes) -> VoltageSource:
    given = changes.given.get(source.name) or _volts_of(source, state)
    assert given is not None
    made = VoltageSource(f"supply {source.name}", a, b, given.volts, given.ohm * state.level.scale)
    if source.name not in changes.limited or given.volts <= 0:
        return made
    return replace(made, limit_a=source.limit_a, fold_a=source.folds_to_a)


def _load(
    circuit: Circuit,
    net: Net,
    draw: Draw,
    nodes: tuple[str, str],
    state: CircuitState,
    changes: Changes,
    *,
    is_fed: bool,
) -> Element:
    """A load as a current, a power or a resistance; as a resistance where it lies behind an open contact."""
    end, (a, b) = draw.end, nodes
    if not is_fed:
        return Resistor(draw.name, a, b, draw.ohm or UNKNOWN_OHM)
    drawn = drawn_a(circuit, state.moment, draw)
    asked = changes.asked.get(draw.name)
    if asked is not None and asked.watts is not None and draw.name not in changes.steady:
        return PowerLoad(draw.name, a, b, asked.watts)
    if asked is not None:
        return CurrentLoad(draw.name, a, b, asked.amperes)
    if changes.limited:
        rated = next((source.rated.volts for source in net.sources if source.rated), 0.0)
        ohm = (end.nominal_v or rated) / drawn if drawn > 0 else UNKNOWN_OHM
        return Resistor(draw.name, a, b, ohm)
    is_full = end.amperes is not None and drawn >= end.amperes > 0
    if draw.coil_ohm is not None and is_full and not net.is_alternating and not state.level.is_bare_label:
        return Resistor(draw.name, a, b, draw.coil_ohm)  # read with a meter: at fewer volts it draws less
    settles = draw.is_resistance and not state.level.is_label
    if draw.ohm is not None and is_full and (settles or draw.name in changes.resistances):
        ohm = draw.ohm * (end.amperes or drawn) / drawn  # less while it pulls in
        if not settles and draw.is_resistance:
            ohm *= STARVED_SHARE  # the current of its label down to that share of its volts
        if not net.is_alternating or end.power_factor == 1.0:
            return Resistor(draw.name, a, b, ohm)
        reactance = ohm * math.sqrt(1 - end.power_factor**2)
        return Inductor(
            draw.name, a, b, reactance / (2 * math.pi * circuit.frequency_hz), ohm * end.power_factor
        )
    steady = draw.name in changes.steady or state.level.is_bare_label
    if end.watts is not None and is_full and not steady:
        return PowerLoad(draw.name, a, b, end.watts, end.power_factor)
    return CurrentLoad(draw.name, a, b, drawn, end.power_factor)


def _without_ends(parts: list[Element], ground: str) -> list[Element]:
    """Without diodes that nothing hangs on at one side, as those of a supply that gives nothing."""
    if not any(isinstance(part, Diode) for part in parts):
        return parts
    touching = Counter(node for part in parts for node in ends_of(part))
    touching[ground] += 1
    return [
        part
        for part in parts
        if not isinstance(part, Diode) or min(touching[node] for node in ends_of(part)) > 1
    ]


def _without_floating(parts: list[Element], ground: str) -> Written:
    """What no conductor joins to ground has no voltage: it is left out, as is a diode that leads nowhere."""
    parts = _without_ends(parts, ground)
    ends = tuple(map(ends_of, parts))
    dead = _dead_nodes(ends, tuple(isinstance(part, _STEADY) for part in parts), ground)
    if not dead:
        return Written(tuple(parts))
    kept = (part for part, pair in zip(parts, ends, strict=True) if dead.isdisjoint(pair))
    return Written(tuple(kept), dead)


@lru_cache(maxsize=4096)
def _dead_nodes(
    ends: tuple[tuple[str, str], ...], are_steady: tuple[bool, ...], ground: str
) -> frozenset[str]:
    """Nodes that no conductor joins to ground; the same in every state with the same contacts closed."""
    groups = NodeGroups((ground,))
    for (a, b), is_steady in zip(ends, are_steady, strict=True):
        if not is_steady:
            groups.join(a, b)
    home = groups.head(ground)
    return frozenset(node for node in {*chain(*ends)} if groups.head(node) != home)


_STEADY: Final = (CurrentLoad, PowerLoad)
"""Loads through which no voltage reaches anything."""
