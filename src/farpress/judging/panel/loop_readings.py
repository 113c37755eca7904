"""What a panel reads of a loop that a receiver's transistor works, in every moment, out of the circuit."""

from __future__ import annotations

import math

from farpress.case.case import Case, OutputAt
from farpress.case.circuit.electrics import electrics_of
from farpress.case.circuit.states import LABELS_HOT, CircuitState, Moment, SupplyLevel
from farpress.domain.parts import Loop

__all__ = ["readings_while", "readings_while_on"]


def readings_while_on(
    case: Case, output: OutputAt, works: str, loop: Loop, level: SupplyLevel = LABELS_HOT
) -> tuple[float, ...]:
    """Ohms at the panel's terminals while an output is on: with nothing else on, then in each moment [ohm].

    Args:
        case: the job.
        output: that works the loop.
        works: panel and input, as "panel.zone".
        loop: of that input.
        level: volts, warmth, and how loads draw.

    Returns:
        None at all where the panel's divider, or the way to it, is not known.
    """
    return readings_while(case, output.premises, output.path, works, loop, level)


def readings_while(
    case: Case, premises: str, path: str, works: str, loop: Loop, level: SupplyLevel = LABELS_HOT
) -> tuple[float, ...]:
    """The same of an output or a receiver's own signal by its path [ohm]."""
    if not loop.supply_v or not loop.pull_up_ohm:
        return ()
    electrics = electrics_of(case, premises)
    if works not in electrics.circuit.node_of:
        return ()  # worked by a contact that feeds something else: how it is wired is not known
    alone = Moment("alone", frozenset({path}), signals=False)
    found = []
    for moment in (alone, *electrics.moments):
        if path not in moment.on or moment.is_open:
            continue
        volts = electrics.solve(CircuitState(moment, level)).across(works, f"{works} common")
        if volts is None:
            return ()
        share = volts / loop.supply_v
        found.append(math.inf if share >= 1 - 1e-9 else loop.pull_up_ohm * share / (1 - share))
    return tuple(found)
