"""Questions to a circuit about one end of a supply: what arrives at it at worst, and what flows to it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from farpress.case.circuit.electrics import Electrics
from farpress.case.circuit.solved import Solved, Solver
from farpress.case.circuit.states import LABELS, LOWEST, CircuitState, Moment, SupplyLevel, is_on
from farpress.case.supply_ends import End

__all__ = ["Arrival", "arrival_in", "is_working", "least_at", "most_given"]


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


def least_at(
    electrics: Electrics, supply: str, end: End, level: SupplyLevel = LOWEST, *, instead: Solver | None = None
) -> Arrival | None:
    """The moment with the fewest volts at an end, of all in which it works; None where volts are not known.

    Args:
        electrics: of the premises.
        supply: its name.
        end: on it.
        level: at how many volts.
        instead: the same circuit with something changed, to be solved in the same moments.
    """
    solver = instead or electrics
    found = [
        arrival
        for moment in _working(electrics, supply, end)
        if (arrival := arrival_in(solver.solve(CircuitState(moment, level)), supply, end)) is not None
    ]
    return min(found, key=lambda arrival: -1e9 if arrival.volts is None else arrival.volts, default=None)


def arrival_in(solved: Solved, supply: str, end: End) -> Arrival | None:
    """What arrives at an end in a solved state; None where it is not known."""
    volts, amperes = solved.at(supply, end.name)
    draw = solved.circuit.terminals_of[supply, end.name][2]
    if volts is None and draw not in solved.starved:
        return None
    return Arrival(solved.state.moment, volts, amperes)


def is_working(electrics: Electrics, supply: str, end: End, moment: Moment) -> bool:
    """Whether an end is fed in a moment, and by its own contact alone where several feed it."""
    draw = electrics.circuit.draw_named[electrics.circuit.terminals_of[supply, end.name][2]]
    closed = {
        part.works
        for part in electrics.circuit.workers
        if part.name in draw.behind and is_on(part.works, moment) != part.closed_at_rest
    }
    if not draw.behind:
        return True
    return end.at is not None and closed == {end.at.path}


def most_given(electrics: Electrics, supply: str, level: SupplyLevel = LABELS) -> tuple[Moment, float] | None:
    """The moment in which a supply gives most, of those of everything on, with the amperes."""
    found = [
        (moment, amperes)
        for moment in electrics.everything
        if (amperes := electrics.in_moment(moment, level).given_a(supply)) is not None
    ]
    return max(found, key=lambda row: row[1], default=None)


def _working(electrics: Electrics, supply: str, end: End) -> Iterator[Moment]:
    for moment in electrics.moments:
        if not moment.is_open and is_working(electrics, supply, end, moment):
            yield moment
