"""A circuit in a state, solved: volts at every terminal, amperes in every core, contact, load and supply.

What hangs together is solved together, and what a state does not change is not solved again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from farpress.case.circuit.fed_supplies import MOST_PASSES, Passed, SupplyChain
from farpress.case.circuit.nets import STARVED_SHARE, Changes, Net, Piece, Written, nets_of, written
from farpress.case.circuit.parts import Circuit, ClosingContact, Draw, Sink, Terminal
from farpress.case.circuit.solved_nets import Number, SolvedNet
from farpress.case.circuit.states import CircuitState, drawn_a, is_on
from farpress.core.wiring.elements import Diode, Element, Inductor, PowerLoad, Resistor, ends_of
from farpress.core.wiring.network import Solution, solve
from farpress.core.wiring.phasors import solve_ac
from farpress.errors import CircuitError, NoOperatingPoint

__all__ = ["Solved", "SolvedNet", "Solver"]


@dataclass(frozen=True)
class Solved:
    """A circuit in one state.

    Attributes:
        circuit, state: which.
        nets: what was solved of it.
        volts: node → over the ground of its net [V]; without those that no voltage reaches.
        amperes: element → through it [A].
        starved: loads of constant power whose cables cannot carry what they ask for.
        net_of: node → number of its net; between two nets there are no volts.
        limited: supplies that are held at their limit, as elements are called.
    """

    circuit: Circuit
    state: CircuitState
    nets: tuple[SolvedNet, ...]
    volts: Mapping[str, Number]
    amperes: Mapping[str, Number]
    starved: frozenset[str]
    net_of: Mapping[str, int]
    limited: frozenset[str] = frozenset()

    def across(self, a: Terminal, b: Terminal) -> float | None:
        """Volts of one terminal over another; effective ones of alternating current; None where unknown."""
        here, there = self.circuit.node_of[a], self.circuit.node_of[b]
        first, other = self.volts.get(here), self.volts.get(there)
        if first is None or other is None or self.net_of[here] != self.net_of[there]:
            return None
        apart = first - other
        return abs(apart) if isinstance(apart, complex) else apart

    def through(self, name: str) -> float | None:
        """Amperes through an element, effective ones of alternating current; None where not known."""
        amperes = self.amperes.get(name)
        return abs(amperes) if isinstance(amperes, complex) else amperes

    def at(self, supply: str, end: str) -> tuple[float | None, float | None]:
        """Volts and amperes of an end of a supply; no volts where its cables cannot carry its power."""
        plus, zero, draw = self.circuit.terminals_of[supply, end]
        if draw in self.starved:
            return None, None
        return self.across(plus, zero), self.through(draw)

    def given_a(self, supply: str) -> float | None:
        """What a supply gives [A]; None where its volts are not known."""
        return self.through(f"supply {supply}")


class Solver:
    """Solves one circuit in any state, each once."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = circuit
        self.nets = nets_of(circuit)
        self._solved: dict[CircuitState, Solved] = {}
        self._contacts = [_works_in(net) for net in self.nets]
        self._draws = [[piece for piece, _, _ in net.pieces if isinstance(piece, Draw)] for net in self.nets]
        self._chain = SupplyChain(circuit, self.nets, self.solve_net)
        self._sources = [frozenset(source.name for source in net.sources) for net in self.nets]
        hertz = circuit.frequency_hz
        self._found = [
            _found_of(tuple(map(_reads_of, net.pieces)), net.ground, net.is_alternating, hertz)
            for net in self.nets
        ]

    def solve(self, state: CircuitState) -> Solved:
        """The whole circuit in a state."""
        if state not in self._solved:
            self._solved[state] = self._solve(state)
        return self._solved[state]

    def _solve(self, state: CircuitState) -> Solved:
        if not self._chain.links:
            return self._gathered([self._found_net(number, state) for number in range(len(self.nets))], state)
        passed = Passed()
        for _ in range(MOST_PASSES):
            found = [self._found_net(number, state, passed) for number in range(len(self.nets))]
            following = self._chain.passed_on(found, state, passed)
            if following.is_near(passed):
                break
            passed = following
        return self._gathered(found, state)

    def _found_net(self, number: int, state: CircuitState, passed: Passed | None = None) -> SolvedNet | None:
        """One net in a state, from what is kept where it was solved before."""
        asked, given = passed.of(self.nets[number]) if passed is not None else ({}, {})
        key = (*self._all_it_reads(number, state), *asked.items(), *given.items())
        known = self._found[number]
        if key not in known:
            known[key] = self.solve_net(self.nets[number], state, Changes(asked=asked, given=given))
        return known[key]

    def _gathered(self, found_nets: Sequence[SolvedNet | None], state: CircuitState) -> Solved:
        volts: dict[str, Number] = {}
        amperes: dict[str, Number] = {}
        starved: set[str] = set()
        nets: list[SolvedNet] = []
        limited: set[str] = set()
        net_of: dict[str, int] = {}
        for number, found in enumerate(found_nets):
            if found is None:
                continue
            net_of |= dict.fromkeys(found.volts, number)
            nets.append(found)
            volts |= found.volts
            amperes |= found.amperes
            starved |= found.changes.steady
            limited |= found.limited
        return Solved(
            self.circuit, state, tuple(nets), volts, amperes, frozenset(starved), net_of, frozenset(limited)
        )

    def _all_it_reads(self, number: int, state: CircuitState) -> tuple[object, ...]:
        """What of a state a net is written from: its level, which contacts are closed, what loads draw."""
        return (
            state.level,
            state.moment.off & self._sources[number],
            *(is_on(works, state.moment) for works in self._contacts[number]),
            *(drawn_a(self.circuit, state.moment, draw) for draw in self._draws[number]),
        )

    def solve_net(self, net: Net, state: CircuitState, changes: Changes) -> SolvedNet | None:
        """One net; what has no solution as it is said is written otherwise: see `Changes`."""
        draws = {piece.name: piece for piece, _, _ in net.pieces if isinstance(piece, Draw)}
        sinks = [piece for piece, _, _ in net.pieces if isinstance(piece, Sink)]
        limits = {source.name: source.limit_a for source in net.sources if source.limit_a is not None}
        hertz = self.circuit.frequency_hz if net.is_alternating else 0.0
        for _ in range(2 + len(sinks) + len(draws)):
            text = written(self.circuit, net, state, changes)
            if text is None or not text.elements:
                return None
            try:
                volts, amperes = _elements_solved(text.elements, net.ground, hertz)
            except NoOperatingPoint:
                guilty = _guilty(text, net.ground, hertz)
                if guilty <= changes.steady:
                    return None
                changes = replace(changes, steady=changes.steady | guilty)
                continue
            except CircuitError:
                return None
            is_over = state.level.limits and any(
                _real(amperes.get(f"supply {name}")) > limit * (1 + 1e-9) for name, limit in limits.items()
            )
            if is_over and not changes.limited:
                changes = replace(changes, limited=frozenset(limits))
                continue
            blocked = {
                sink.name for sink in sinks if not net.is_alternating and _real(amperes.get(sink.name)) > 0.0
            }
            starved = {
                part.name
                for part in text.elements
                if part.name in draws
                and not state.level.is_bare_label
                and not isinstance(part, Resistor | PowerLoad | Inductor)
                and _is_starved(draws[part.name], volts, part)
                and abs(amperes[part.name]) > 0.0
            }
            if not blocked and not starved <= changes.resistances:
                changes = replace(changes, resistances=changes.resistances | starved)
            elif blocked - changes.blocked:
                changes = replace(changes, blocked=changes.blocked | blocked)
            else:
                return SolvedNet(net, text, volts, amperes, changes)
        return None


def _is_starved(draw: Draw, volts: Mapping[str, Number], part: Element) -> bool:
    """Whether so few volts are left for a load that it draws the current of its label no more."""
    if draw.ohm is None or draw.end.nominal_v is None:
        return False
    first, other = ends_of(part)
    across = volts[first] - volts[other]
    left = abs(across) if isinstance(across, complex) else across
    return left < STARVED_SHARE * draw.end.nominal_v if draw.is_resistance else left <= 0.0


@lru_cache(maxsize=256)
def _found_of(
    pieces: tuple[object, ...], ground: str, is_alternating: bool, hertz: float
) -> dict[tuple[object, ...], SolvedNet | None]:
    """Where the solutions of a net are kept: the same for the same net, whatever job it comes from.

    So an edit solves anew only what it touches.
    """
    return {}


def _reads_of(row: tuple[Piece, str, str]) -> tuple[object, ...]:
    """Everything of a piece that its elements are written from."""
    piece, a, b = row
    if not isinstance(piece, Draw):
        return (piece, a, b)
    end = piece.end
    label = (end.amperes, end.watts, end.power_factor, end.nominal_v, piece.coil_ohm)
    return (piece.name, a, b, piece.behind, piece.is_resistance, piece.is_turned, label)


def _works_in(net: Net) -> list[str]:
    return [piece.works for piece, _, _ in net.pieces if isinstance(piece, ClosingContact | Sink)]


@lru_cache(maxsize=4096)
def _elements_solved(
    elements: tuple[Element, ...], ground: str, hertz: float
) -> tuple[Mapping[str, Number], Mapping[str, Number]]:
    """The same elements are solved once, whatever job or state they come from."""
    if hertz:
        phasors = solve_ac(elements, frequency_hz=hertz, ground=ground)
        return phasors.volts, phasors.amperes
    solution = _all_blocking(elements, ground) or solve(elements, ground=ground)
    return solution.volts, solution.amperes


def _all_blocking(elements: tuple[Element, ...], ground: str) -> Solution | None:
    """The solution where every diode blocks, as those across coils do while all is well; else None.

    Their nanoamperes are left out.
    """
    diodes = [part for part in elements if isinstance(part, Diode)]
    if not diodes:
        return None
    try:
        found = solve((part for part in elements if not isinstance(part, Diode)), ground=ground)
    except CircuitError:
        return None
    if any(
        end not in found.volts or found.across(*ends_of(diode)) > 0.0
        for diode in diodes
        for end in ends_of(diode)
    ):
        return None
    return Solution(found.volts, {**found.amperes, **dict.fromkeys((diode.name for diode in diodes), 0.0)})


def _guilty(text: Written, ground: str, hertz: float) -> frozenset[str]:
    """Loads of constant power that their cables cannot carry alone; all of them where each could."""
    loads = [part for part in text.elements if isinstance(part, PowerLoad)]
    others = tuple(part for part in text.elements if not isinstance(part, PowerLoad))
    found = set()
    for load in loads:
        try:
            _elements_solved((*others, load), ground, hertz)
        except NoOperatingPoint:
            found.add(load.name)
    return frozenset(found or {load.name for load in loads})


def _real(number: Number | None) -> float:
    return 0.0 if number is None else float(number.real)
