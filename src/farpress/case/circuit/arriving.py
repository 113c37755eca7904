"""Questions to a circuit about one end of a supply: what arrives at it, what flows to it, what a short there
draws; and about a supply: what it gives.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import cast

from farpress.case.circuit.electrics import Electrics
from farpress.case.circuit.nets import Changes, written
from farpress.case.circuit.parts import Conductor, OneWay, SupplySource
from farpress.case.circuit.solved import Solved
from farpress.case.circuit.states import LABELS, LOWEST, CircuitState, Moment, SupplyLevel, drawn_a, is_on
from farpress.case.supply_ends import End
from farpress.core.wiring.elements import CurrentLoad, Resistor, VoltageSource
from farpress.core.wiring.network import solve
from farpress.errors import CircuitError

__all__ = [
    "Arrival",
    "arrival_in",
    "given_a",
    "heaviest_press",
    "is_working",
    "least_at",
    "loop_ohm_at",
    "most_given",
    "most_in_cores",
    "working_moments",
    "works_on",
]


@dataclass(frozen=True)
class Arrival:
    """What arrives at an end in one moment.

    Attributes:
        moment: which.
        volts: at its terminals; None where its cables cannot carry its power [V].
        amperes: through it [A].
    """

    moment: Moment
    volts: float | None
    amperes: float | None


def least_at(electrics: Electrics, supply: str, end: End, level: SupplyLevel = LOWEST) -> Arrival | None:
    """The moment with the fewest volts at an end, of all in which it works; None where nothing is known."""
    found = [
        arrival
        for moment in working_moments(electrics, supply, end)
        if (arrival := arrival_in(electrics.in_moment(moment, level), supply, end)) is not None
    ]
    return min(found, key=lambda arrival: -1e9 if arrival.volts is None else arrival.volts, default=None)


def arrival_in(solved: Solved, supply: str, end: End) -> Arrival | None:
    """What arrives at an end in a solved state; None where it is not known."""
    volts, amperes = solved.at(supply, end.name)
    draw = solved.circuit.terminals_of[supply, end.name][2]
    if volts is None and draw not in solved.starved:
        return None
    return Arrival(solved.state.moment, volts, amperes)


def working_moments(electrics: Electrics, supply: str, end: End) -> tuple[Moment, ...]:
    """Moments in which an end works; fed by this supply alone."""
    return tuple(
        electrics.alone(supply, moment)
        for moment in electrics.moments
        if not moment.is_open and is_working(electrics, supply, end, moment)
    )


def is_working(electrics: Electrics, supply: str, end: End, moment: Moment) -> bool:
    """Whether an end is fed in a moment, and by its own contact alone where several feed it."""
    draw = electrics.circuit.draw_named[electrics.circuit.terminals_of[supply, end.name][2]]
    closed = {
        worker.works
        for worker in electrics.circuit.workers
        if worker.name in draw.behind and is_on(worker.works, moment) != worker.closed_at_rest
    }
    if not draw.behind:
        return True
    return bool(closed) if end.at is None else closed == {end.at.path}


def works_on(electrics: Electrics, supply: str, moment: Moment) -> tuple[str, ...]:
    """Who on a supply draws more in a moment than at rest, as messages call them."""
    circuit = electrics.circuit
    at_rest, moment = (electrics.alone(supply, state) for state in (electrics.at_rest, moment))
    solved = {state: electrics.in_moment(state, LABELS) for state in (at_rest, moment)}

    def drawn(draw_name: str, state: Moment) -> float:
        return solved[state].through(draw_name) or 0.0

    return tuple(
        dict.fromkeys(
            draw.end.who
            for draw in circuit.on_supply(supply)
            if drawn(draw.name, moment) > drawn(draw.name, at_rest) + 1e-9
            and drawn_a(circuit, moment, draw) > 0
        )
    )


def given_a(electrics: Electrics, supply: str, moment: Moment, branch: str = "") -> float:
    """What a supply gives in a moment by the labels of all that is on, or one of its branches [A]."""
    solved = electrics.in_moment(electrics.alone(supply, moment), LABELS)
    if branch:
        return abs(solved.through(f"fuse of {supply}.branch {branch}") or 0.0)
    return _settled(solved.given_a(supply) or 0.0)


def _settled(amperes: float) -> float:
    """Without the last digits that solving leaves: ten nanoamperes are none."""
    return round(amperes, 8)


def most_given(electrics: Electrics, supply: str, branch: str = "") -> tuple[Moment, float]:
    """The moment of those with everything on in which a supply or a branch gives most, with the amperes."""
    found = [(moment, given_a(electrics, supply, moment, branch)) for moment in electrics.everything]
    return max(found, key=lambda row: row[1])


def heaviest_press(electrics: Electrics, supply: str, branch: str = "") -> tuple[Moment, float] | None:
    """Of the functions pressed one at a time, of those that work something on a supply, the heaviest.

    None where none is described.
    """
    key = ("heaviest press", supply, branch)
    found = electrics.answers.once(key, lambda: _heaviest_press(electrics, supply, branch))
    return cast("tuple[Moment, float] | None", found)


def _heaviest_press(electrics: Electrics, supply: str, branch: str) -> tuple[Moment, float] | None:
    found = [
        (moment, given_a(electrics, supply, moment, branch))
        for moment in electrics.pressed
        if _touches(electrics, supply, moment)
    ]
    return max(found, key=lambda row: row[1], default=None)


def _touches(electrics: Electrics, supply: str, moment: Moment) -> bool:
    """Whether what a function presses changes what something on a supply draws."""
    circuit = electrics.circuit
    pressed = electrics.presses[moment.function]
    receivers = {circuit.outputs[path] for path in pressed}
    behind = {worker.name for worker in circuit.workers if worker.works in pressed}
    return any(
        behind & set(draw.behind)
        or pressed & set(draw.worked_by)
        or (draw.end.is_receiver and draw.end.subjects[0].path.partition("/")[2] in receivers)
        for draw in circuit.on_supply(supply)
    )


def most_in_cores(electrics: Electrics, run_path: tuple[str | int, ...]) -> float | None:
    """Largest current in any core of a cable, over all moments [A]; None where none of its cores is known."""
    names = [core.name for core in electrics.circuit.conductors if core.run_path == run_path]
    found = [
        amperes
        for moment in electrics.moments
        for supply in electrics.feeding
        for name in names
        if (amperes := electrics.in_moment(electrics.alone(supply, moment), LABELS).through(name)) is not None
    ]
    return max((_settled(abs(amperes)) for amperes in found), default=None)


def loop_ohm_at(electrics: Electrics, supply: str, end: End, level: SupplyLevel = LOWEST) -> float | None:
    """Resistance of the way to an end and back, shared cores and all, without that of the supply [ohm].

    None where no way is known.
    """
    circuit = electrics.circuit
    plus, zero, _ = circuit.terminals_of[supply, end.name]
    a, b = circuit.node_of[plus], circuit.node_of[zero]
    resting = electrics.alone(supply, electrics.at_rest)
    moment = next(iter(working_moments(electrics, supply, end)), resting)
    state = CircuitState(moment, level)
    net = next(net for net in electrics.nets if any(a in (first, other) for _, first, other in net.pieces))
    text = written(circuit, net, state, Changes())
    if text is None or a == b:
        return None
    cores = {piece.name for piece, _, _ in net.pieces if isinstance(piece, Conductor)}
    stiff = {part.name for part in text.elements if isinstance(part, Resistor) and part.ohm == 0}
    parts: list[Resistor | VoltageSource | CurrentLoad] = [
        part
        for part in text.elements
        if isinstance(part, Resistor) and (part.name in cores or part.name in stiff)
    ]
    for piece, first, other in net.pieces:
        if isinstance(piece, SupplySource) and piece.name not in moment.off:
            parts.append(VoltageSource(f"supply {piece.name}", first, other, 0.0))
        elif isinstance(piece, OneWay) and not piece.is_across:
            parts.append(Resistor(piece.name, first, other, 0.0))
    parts.append(CurrentLoad("one ampere", a, b, 1.0))
    try:
        solution = solve(_joined(parts, net.ground), ground=net.ground)
    except CircuitError:
        return None
    if a not in solution.volts or b not in solution.volts:
        return None  # no wire that anybody named comes there
    return -solution.across(a, b) or None


def _joined(
    parts: Iterable[Resistor | VoltageSource | CurrentLoad], ground: str
) -> tuple[Resistor | VoltageSource | CurrentLoad, ...]:
    """Only what hangs together with ground: pieces of other lines are left out."""
    kept = list(parts)
    reached, grown = {ground}, True
    while grown:
        grown = False
        for part in kept:
            ends = (part.plus, part.minus) if isinstance(part, VoltageSource) else (part.a, part.b)
            if not isinstance(part, CurrentLoad) and (ends[0] in reached) != (ends[1] in reached):
                reached |= set(ends)
                grown = True
    return tuple(
        part
        for part in kept
        if ((part.plus, part.minus) if isinstance(part, VoltageSource) else (part.a, part.b))[0] in reached
    )
