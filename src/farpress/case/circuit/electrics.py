"""The one door to a job's circuits: each premises' circuit with its moments and its solutions, kept with the
case.
"""

from __future__ import annotations

from functools import cached_property

from farpress.case.case import Case
from farpress.case.circuit.build import circuit_of
from farpress.case.circuit.moments import moments_of
from farpress.case.circuit.solved import Solved, Solver
from farpress.case.circuit.states import EVERYTHING, LOWEST, CircuitState, Moment, SupplyLevel, states_of
from farpress.case.reads import Memo

__all__ = ["Electrics", "electrics_of"]


class Electrics(Solver):
    """The circuit of one premises with everything that can be on in it.

    Attributes:
        presses: function → the outputs that it presses.
        moments: what can be on together.
        answers: what was found of it, for whoever asks the same.
    """

    def __init__(self, case: Case, premises: str) -> None:
        super().__init__(circuit_of(case, premises))
        self.presses = {
            name: frozenset(function.paths) & self.circuit.outputs.keys()
            for name, function in case.job.functions.items()
        }
        self.moments = moments_of(case, self.circuit)
        self.answers: Memo[object] = Memo()

    @cached_property
    def states(self) -> tuple[CircuitState, ...]:
        """Every named state."""
        return states_of(self.moments, self.circuit)

    def in_moment(self, moment: Moment, level: SupplyLevel = LOWEST) -> Solved:
        """The circuit in one moment."""
        return self.solve(CircuitState(moment, level))

    def alone(self, supply: str, moment: Moment) -> Moment:
        """A moment in which a supply feeds alone what others feed as well: the others give nothing."""
        return moment.without(self.circuit.rivals.get(supply, frozenset()))

    @property
    def feeding(self) -> tuple[str, ...]:
        """Supplies that feed something which others feed as well, each once; else one empty name."""
        return tuple(supply for supply, others in self.circuit.rivals.items() if others) or ("",)

    @property
    def at_rest(self) -> Moment:
        """Nothing is on."""
        return self.moments[0]

    @property
    def everything(self) -> tuple[Moment, ...]:
        """Everything that can be on together, once in each way."""
        return tuple(moment for moment in self.moments if moment.name.startswith(EVERYTHING))

    @property
    def pressed(self) -> tuple[Moment, ...]:
        """Each function pressed."""
        return tuple(moment for moment in self.moments if moment.function)


def electrics_of(case: Case, premises: str) -> Electrics:
    """Everything electrical of one premises.

    Raises:
        KeyError: the job has no such premises.
    """
    return case.once_at(Electrics, premises)
