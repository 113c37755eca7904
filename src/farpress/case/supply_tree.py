"""Everything on one supply as a circuit: volts and amperes at every end, shared return cores and all.

A return core that others use is a trunk: each joins it where its own core ends, and what
flows in the trunk lifts everybody beyond. Ends that are never on together are not added.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from farpress.case.case import Case
from farpress.case.cores import Core, core_of_run
from farpress.case.supply_ends import End, exclusion_key
from farpress.case.supply_volts import mains_hz
from farpress.core.wiring.network import CurrentLoad, Element, PowerLoad, Resistor, VoltageSource, solve
from farpress.core.wiring.phasors import solve_ac
from farpress.errors import NoOperatingPoint

__all__ = ["Served", "on_same_cable", "return_partner", "serve", "shares_return", "together_with"]

Loops = Mapping[str, tuple[float, float]]
"""Name of a cable → (ohm per km, length)."""


@dataclass(frozen=True)
class Served:
    """Volts and amperes of an end in a solved tree."""

    volts: float
    amperes: float


def serve(
    case: Case,
    ends: tuple[End, ...],
    *,
    volts: float,
    source_ohm: float,
    instead: Mapping[str, tuple[float, float]] | None = None,
    on: Iterable[str] | None = None,
    ohm_per_km: Callable[[Core], float] = lambda core: core.hot_ohm_per_km,
    alternating: bool = False,
    steady: Iterable[str] = (),
) -> dict[str, Served] | None:
    """Volts at every end with its loads on; shared return cores carry what flows in them.

    Args:
        case: the job.
        ends: of one supply; unknown currents count as none.
        volts: behind the source resistance [V].
        source_ohm: of the supply [ohm].
        instead: end → (ohm per km, length) of another cable to try.
        on: names of the ends that draw their full current, the others that of their rest; None for all.
        ohm_per_km: which resistance of a core to take.
        alternating: solve with phasors, at the frequency of the job's region.
        steady: names of ends of constant power that are taken at their label current instead.

    Returns:
        None when loads of constant power find no operating point: the cable cannot carry them.
    """
    cables = _cable_names(ends)
    tried = {cables[name]: core for name, core in (instead or {}).items()}
    lengths: dict[str, tuple[float, float]] = {}
    for end in ends:
        core = core_of_run(case, end.run)
        own = (ohm_per_km(core), end.run.length_m) if core and end.run else (0.0, 0.0)
        lengths[cables[end.name]] = tried.get(cables[end.name], own)
    awake = {end.name for end in ends} if on is None else set(on)
    elements = _elements(ends, lengths, awake, set(steady), volts, source_ohm)
    try:
        if alternating:
            phasors = solve_ac(elements, frequency_hz=mains_hz(case))
            return {
                end.name: Served(
                    abs(phasors.across(*_terminals(cables, end))), abs(phasors.amperes[end.name])
                )
                for end in ends
            }
        solution = solve(elements)
    except NoOperatingPoint:
        return None
    return {
        end.name: Served(solution.across(*_terminals(cables, end)), solution.amperes[end.name])
        for end in ends
    }


def together_with(ends: tuple[End, ...], end: End) -> frozenset[str]:
    """Names of all ends that can be on while one is: of those that are never on together the one that draws
    most.
    """
    chosen: dict[str, End] = {}
    for number, other in enumerate(ends):
        key = exclusion_key(other, number)
        same_side = (
            bool(end.never_with)
            and other.never_with == end.never_with
            and other.at is not None
            and end.at is not None
        )
        if same_side and other.at is not None and end.at is not None:
            if other.at.path == end.at.path:
                chosen[f"{key} {other.name}"] = other  # what hangs on the same output is on with it
            continue
        best = chosen.get(key)
        if best is None or (other.amperes or 0.0) > (best.amperes or 0.0):
            chosen[key] = other
    return frozenset(member.name for member in chosen.values())


def shares_return(ends: tuple[End, ...], end: End) -> set[str]:
    """Names of the ends on the same return core as an end, itself among them."""
    return next({member.name for member in group} for group in _return_groups(ends) if end in group)


def return_partner(ends: tuple[End, ...], end: End) -> End | None:
    """The end whose return core another one uses; a bare number means an output of the same receiver."""
    text = end.run.shares_return_with if end.run else None
    if text is None:
        return None
    texts = (text, f"{end.at.receiver}/{text}") if end.at else (text,)
    return next(
        (
            other
            for wanted in texts
            for other in ends
            if other is not end and wanted in (other.name, *other.aliases)
        ),
        None,
    )


def on_same_cable(ends: tuple[End, ...], end: End) -> tuple[End, ...]:
    """Ends that hang on the cable of an end, itself among them: one contact may feed several devices."""
    cables = _cable_names(ends)
    return tuple(other for other in ends if cables[other.name] == cables[end.name])


def _terminals(cables: Mapping[str, str], end: End) -> tuple[str, str]:
    return f"{cables[end.name]} +", f"{cables[end.name]} -"


def _elements(
    ends: tuple[End, ...], lengths: Loops, awake: set[str], steady: set[str], volts: float, source_ohm: float
) -> list[Element]:
    cables = _cable_names(ends)
    elements: list[Element] = [VoltageSource("supply", "+", "0", volts, source_ohm)]
    for group in _return_groups(ends):
        firsts = {cables[end.name]: end for end in reversed(group)}  # cable → the first end on it
        owner = next(
            (cables[end.name] for end in group if return_partner(ends, end) is None), cables[group[0].name]
        )
        elements += _returns(owner, firsts, lengths)
        for name in firsts:
            ohm, length = lengths[name]
            elements.append(Resistor(f"{name} out", "+", f"{name} +", ohm * length / 1000))
        for end in group:
            plus, minus = _terminals(cables, end)
            if end.name in awake and end.watts is not None and end.name not in steady:
                elements.append(PowerLoad(end.name, plus, minus, end.watts, end.power_factor))
            else:
                drawn = end.amperes if end.name in awake else end.rest_a
                elements.append(CurrentLoad(end.name, plus, minus, drawn or 0.0, end.power_factor))
    return elements


def _returns(owner: str, firsts: Mapping[str, End], lengths: Loops) -> list[Element]:
    """The trunk of a return core, cut where guests join it, and the guests' own cores from there."""
    trunk_ohm, trunk_m = lengths[owner]
    joins = {}
    for name, end in firsts.items():
        shared = end.run.shared_m if end.run is not None and end.run.shared_m is not None else trunk_m
        joins[name] = trunk_m if name == owner else min(shared, trunk_m, lengths[name][1])
    elements: list[Element] = []
    below, below_m = "0", 0.0
    joints: dict[float, str] = {}
    for metres in sorted(set(joins.values())):
        joints[metres] = f"return of {owner} at {metres:g} m"
        elements.append(
            Resistor(joints[metres], joints[metres], below, trunk_ohm * (metres - below_m) / 1000)
        )
        below, below_m = joints[metres], metres
    for name, metres in joins.items():
        ohm, length = lengths[name]
        own = 0.0 if name == owner else ohm * (length - metres) / 1000
        elements.append(Resistor(f"{name} back", f"{name} -", joints[metres], own))
    return elements


def _cable_names(ends: tuple[End, ...]) -> dict[str, str]:
    """Name of an end → name of the first end on the same cable."""
    first: dict[tuple[str | int, ...], str] = {}
    return {
        end.name: first.setdefault(end.run_path, end.name) if end.run is not None else end.name
        for end in ends
    }


def _return_groups(ends: tuple[End, ...]) -> list[list[End]]:
    group_of = _cable_names(ends)
    for end in ends:
        shared = return_partner(ends, end)
        if shared is not None:
            old, new = group_of[end.name], group_of[shared.name]
            group_of = {name: new if group == old else group for name, group in group_of.items()}
    return [
        [end for end in ends if group_of[end.name] == group] for group in dict.fromkeys(group_of.values())
    ]
