"""What can be wrong with one core or resistor of a circuit, put into a copy of it, and the copy solved."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal

from farpress.case.circuit.parts import Circuit, Conductor, Draw, Joint, Terminal
from farpress.case.circuit.solved import Solved, Solver
from farpress.case.circuit.states import CircuitState
from farpress.errors import InputError
from farpress.phrases import closest

__all__ = ["CoreFault", "circuit_with", "core_faults", "far_end", "left_out_faults", "solved_with_fault"]

DEAD_V: Final = 1.0
"""A receiver that gets less is off: our choice, none works at a tenth of its nominal volts."""


@dataclass(frozen=True)
class CoreFault:
    """Something wrong with one core.

    Attributes:
        kind: broken; swapped: its far end changed over with that of another core; moved: led elsewhere;
            shorted: touching another core at the far end; left out: no core but a resistor of a loop that was
            never fitted.
        core: name of the conductor, or of the resistor.
        other: name of the other conductor; where it is moved, the terminal.
    """

    kind: Literal["broken", "swapped", "moved", "shorted", "left out"]
    core: str
    other: str = ""


def core_faults(circuit: Circuit) -> Iterator[CoreFault]:
    """Each core broken, and each two cores of one cable changed over."""
    for core in circuit.conductors:
        yield CoreFault("broken", core.name)
    for number, core in enumerate(circuit.conductors):
        for other in circuit.conductors[number + 1 :]:
            if core.run_path == other.run_path and core.name != other.name:
                yield CoreFault("swapped", core.name, other.name)


def left_out_faults(circuit: Circuit) -> Iterator[CoreFault]:
    """Each resistor of a supervised loop that was never fitted."""
    for resistor in circuit.resistors:
        yield CoreFault("left out", resistor.name)


def circuit_with(circuit: Circuit, fault: CoreFault) -> Circuit:
    """A copy of the circuit with the fault.

    Raises:
        InputError: there is no such core, resistor or terminal.
    """
    if fault.kind == "left out":
        fitted = {resistor.name: resistor for resistor in circuit.resistors}
        if fault.core not in fitted:
            raise InputError(f"There is no resistor '{fault.core[:60]}'{closest(fault.core, fitted)}.")
        gone = fitted.pop(fault.core)
        touched = (Joint(gone.a, gone.a), Joint(gone.b, gone.b))  # they stay as terminals to be touched
        return replace(circuit, resistors=tuple(fitted.values()), joints=(*circuit.joints, *touched))
    cores = {core.name: core for core in circuit.conductors}
    wanted = [fault.core] + ([fault.other] if fault.kind in ("swapped", "shorted") else [])
    missing = [name for name in wanted if name not in cores]
    if missing:
        raise InputError(f"There is no core '{missing[0][:60]}'{closest(missing[0], cores)}.")
    if fault.kind == "moved" and fault.other not in circuit.node_of:
        raise InputError(f"There is no terminal '{fault.other[:60]}'{closest(fault.other, circuit.node_of)}.")
    core = cores[fault.core]
    match fault.kind:
        case "broken":
            kept = tuple(other for other in circuit.conductors if other is not core)
            # its ends stay as terminals to be touched
            both = (Joint(core.a, core.a), Joint(core.b, core.b))
            return replace(circuit, conductors=kept, joints=(*circuit.joints, *both))
        case "swapped":
            other = cores[fault.other]
            ends = far_end(circuit, core), far_end(circuit, other)
            return _with(circuit, _led_to(circuit, core, ends[1]), _led_to(circuit, other, ends[0]))
        case "moved":
            left = Joint(far_end(circuit, core), far_end(circuit, core))
            moved = _with(circuit, _led_to(circuit, core, fault.other))
            return replace(moved, joints=(*moved.joints, left))
        case "shorted":
            touching = Joint(far_end(circuit, core), far_end(circuit, cores[fault.other]))
            return replace(circuit, joints=(*circuit.joints, touching))


def solved_with_fault(circuit: Circuit, state: CircuitState) -> tuple[Solved, CircuitState]:
    """The circuit solved, and the state it is in: a receiver that a fault leaves without volts, or with them
    the wrong way round, works none of its outputs.
    """
    solved = Solver(circuit).solve(state)
    dead = {
        draw.a.partition(".")[0] for draw in circuit.draws if draw.end.is_receiver and _is_off(solved, draw)
    }
    dropped = {path for path in state.moment.on if path.split("/")[1:2] and path.split("/")[1] in dead}
    if not dropped:
        return solved, state
    left = replace(state, moment=replace(state.moment, on=state.moment.on - dropped))
    return Solver(circuit).solve(left), left


def _is_off(solved: Solved, draw: Draw) -> bool:
    volts = solved.across(draw.a, draw.b) or 0.0
    alternates = draw.end.current == "ac"
    return (abs(volts) if alternates else volts) < DEAD_V


def far_end(circuit: Circuit, core: Conductor) -> Terminal:
    """The end away from the supply, else the second one: way back to a supply is counted towards it."""
    supplies = {source.name for source in circuit.sources}
    is_back = core.b.partition(".")[0] in supplies and core.a.partition(".")[0] not in supplies
    return core.a if is_back else core.b


def _led_to(circuit: Circuit, core: Conductor, terminal: Terminal) -> Conductor:
    if far_end(circuit, core) == core.a:
        return replace(core, a=terminal)
    return replace(core, b=terminal)


def _with(circuit: Circuit, *changed: Conductor) -> Circuit:
    by_name = {core.name: core for core in changed}
    return replace(circuit, conductors=tuple(by_name.get(core.name, core) for core in circuit.conductors))
