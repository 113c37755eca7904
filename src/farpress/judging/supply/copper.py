"""What would bring enough volts to a device: more copper, a shorter way, another supply; each computed."""

from __future__ import annotations

from typing import Final

from farpress.case.cables import cables_of
from farpress.case.cabling import (
    Core,
    End,
    core_of_run,
    larger_cables,
    on_same_cable,
    return_partner,
    shares_return,
)
from farpress.case.case import Case
from farpress.case.circuit.arriving import Arrival, arrival_in, is_working, least_at
from farpress.case.circuit.electrics import Electrics, electrics_of
from farpress.case.circuit.solved import Solved, Solver
from farpress.case.circuit.states import LOWEST, CircuitState
from farpress.case.supply_volts import Lowest
from farpress.domain.finding import Change, Remedy
from farpress.domain.premises import CableRun
from farpress.domain.refs import SupplyRef
from farpress.judging.supply.drop import DROP_DOUBT
from farpress.units import rounded_down, rounded_up, write_quantity

__all__ = ["remedies_for_volts"]


_NO_OHMS: Final = 1e-6
"""Share of a cable's resistance that counts as none."""

_STEPS: Final = 14
_SAFE_SIDE: Final = 0.9999
_CLOSE_V: Final = 1e-3
"""How long the share of a cable is looked for, and how near to the least volts it comes; our choice."""


LARGEST_MM2: Final = 35.0
"""Heavier cores nobody lays to such devices, nor do their terminals take them; common practice, no source."""

SHORTEST_M: Final = 1.0
"""A cable that would have to be shorter than this is no remedy: our choice."""

_MUCH: Final = 0.1
"""Share of the least volts that a cable may lose before it has to be thicker too; our choice."""


def remedies_for_volts(
    case: Case, path: str, lowest: Lowest, ends: tuple[End, ...], end: End
) -> tuple[Remedy, ...]:
    """The next cable that does it, the least area, the greatest length: each solved anew."""
    supply = SupplyRef(path)
    electrics = electrics_of(case, supply.premises.path)
    arrival = least_at(electrics, supply.name, end)
    run, least = end.run, end.minimum_v
    core = core_of_run(case, run)
    far = Remedy(
        f"Put a supply beside {end.who}, and let an interposing relay there be switched instead of the load."
    )
    if run is None or core is None or least is None:
        return (far,)
    if lowest.volts < least:
        higher = f"well above {least:g} V"
        lost = None if arrival is None or arrival.volts is None else lowest.volts - arrival.volts
        if lost is not None and lost > _MUCH * least:
            higher = f"above {rounded_up(least * (1.0 + _MUCH), 1):.1f} V, and a cable with more copper"
        elif lost is not None:
            higher = f"above {rounded_up(least + lost, 1):.1f} V"
        return (
            Remedy(
                f"No cable is enough: {lowest.says} itself comes down to {lowest.volts:g} V. Use a supply"
                f" that stays {higher}, or a device that works with less."
            ),
            far,
        )
    remedies: list[Remedy] = []
    better = _next_cable(case, electrics, supply.name, lowest, arrival, ends, end, run, least)
    if better is not None:
        remedies.append(better)
    alone = shares_return(ends, end) == {other.name for other in on_same_cable(ends, end)}
    share = _share_that_does(electrics, supply.name, arrival, ends, end, core, least) if alone else None
    if share is not None:  # of a shared return core no single run decides
        if core.area_mm2:
            area = rounded_up(core.area_mm2 / share, 2)
            if area <= LARGEST_MM2:
                remedies.append(
                    Remedy(
                        f"At least {area:.2f} mm2 for each conductor over {run.length_m:g} m; cores of the"
                        " same cable may be joined.",
                        f"{least:g} V at {end.who}",
                    )
                )
        longest = rounded_down(share * run.length_m, 1)
        if longest >= SHORTEST_M:
            remedies.append(Remedy(f"At most {longest:.1f} m of {run.part}.", f"{least:g} V at {end.who}"))
    if run.shares_return_with:
        remedies.append(
            Remedy(
                f"Give {end.who} a return core of its own.",
                changes=(Change((*end.run_path, "shares_return_with"), None),),
            )
        )
    return (*remedies, far)


def _share_that_does(
    electrics: Electrics,
    supply: str,
    arrival: Arrival | None,
    ends: tuple[End, ...],
    end: End,
    core: Core,
    least: float,
) -> float | None:
    """Share of its cable's resistance with which an end has just enough, solved anew at every step.

    Never so large that it has too little; None where no copper is enough, or what lies there is.
    """
    if arrival is None:
        return None
    worst, lies_in = CircuitState(arrival.moment, LOWEST), _lies_in(electrics, ends, end)

    def over_v(share: float) -> float | None:
        solver = Solver(electrics.circuit.with_cable(lies_in, share * core.cold_ohm_per_km))
        tried = arrival_in(solver.solve(worst), supply, end)
        return None if tried is None or tried.volts is None else tried.volts - least

    enough, most = _NO_OHMS, 1.0
    above, below = over_v(enough), None if arrival.volts is None else arrival.volts - least
    if above is None or above <= 0 or (below is not None and below >= 0):
        return None
    for _ in range(_STEPS):
        step = 0.5 if below is None else min(max(above / (above - below), 0.02), 0.98)
        tried = enough + step * (most - enough) * _SAFE_SIDE
        left = over_v(tried)
        if left is not None and left >= 0:
            enough, above = tried, left
            if left < _CLOSE_V:
                break
        else:
            most, below = tried, left
    return enough


def _next_cable(
    case: Case,
    electrics: Electrics,
    supply: str,
    lowest: Lowest,
    arrival: Arrival | None,
    ends: tuple[End, ...],
    end: End,
    run: CableRun,
    least: float,
) -> Remedy | None:
    """The thinnest cable that leaves a margin over the doubt; failing that, the thinnest that is enough."""
    enough: Remedy | None = None
    by_hand: Remedy | None = None  # no cable of the catalogue has cores enough
    is_roomy = False
    if arrival is None:
        return None
    worst = CircuitState(arrival.moment, LOWEST)
    paths = _all_in_one_sheath(electrics, ends, end)
    wanted = _conductors(case, electrics.circuit.premises, run)
    for name, core in larger_cables(case, run):
        circuit = electrics.circuit
        for lies_in in paths:
            circuit = circuit.with_cable(lies_in, core.cold_ohm_per_km)
        solved = Solver(circuit).solve(worst)
        tried = arrival_in(solved, supply, end)
        volts = tried.volts if tried is not None else None
        if volts is None or volts < least or not _others_have_enough(electrics, solved, supply, ends, end):
            continue
        area = f" ({core.area_mm2:.3g} mm2)" if core.area_mm2 else ""
        has = case.equipment.cables[name].sheet.cores
        fits = wanted is None or has is None or has >= wanted
        remedy = Remedy(
            f"Use {name}{area} instead of {run.part}."
            if fits
            else f"Use a cable with {wanted} cores of {core.area_mm2 or 0.0:.3g} mm2 instead of {run.part}.",
            f"{write_quantity(volts, 'voltage')} at {end.who}",
            tuple(Change((*lies_in, "part"), name) for lies_in in paths) if fits else (),
        )
        has_margin = volts - least >= DROP_DOUBT * (lowest.volts - volts)
        if fits and has_margin:
            return remedy
        if fits:
            enough = enough or remedy
        elif by_hand is None or (has_margin and not is_roomy):
            by_hand, is_roomy = remedy, has_margin
    return enough or by_hand


def _all_in_one_sheath(
    electrics: Electrics, ends: tuple[End, ...], end: End
) -> tuple[tuple[str | int, ...], ...]:
    """Keys of every run that changes with its cable: those that bear its label, as one sheath is one part."""
    label = end.run.label if end.run is not None and not end.is_drawn else None
    if not label:
        return (_lies_in(electrics, ends, end),)
    return tuple(
        dict.fromkeys(other.run_path for other in ends if other.run is not None and other.run.label == label)
    )


def _conductors(case: Case, premises: str, run: CableRun) -> int | None:
    """How many conductors lie in a labelled cable; None where it has no label, and so two."""
    if not run.label:
        return None
    return next((len(body.conductors) for body in cables_of(case, premises) if body.label == run.label), None)


def _lies_in(electrics: Electrics, ends: tuple[End, ...], end: End) -> tuple[str | int, ...]:
    """The cable whose cores lead to an end: its own, or that of the one it shares all its cores with."""
    partner = return_partner(ends, end)
    has_own = any(core.run_path == end.run_path for core in electrics.circuit.conductors)
    return partner.run_path if partner is not None and not has_own else end.run_path


def _others_have_enough(
    electrics: Electrics, solved: Solved, supply: str, ends: tuple[End, ...], end: End
) -> bool:
    """Whether those on the same cores have what they need as well, as far as they work in the moment."""
    sharing = shares_return(ends, end)
    for other in ends:
        if other.name not in sharing or other.minimum_v is None or other is end:
            continue
        if not is_working(electrics, supply, other, solved.state.moment):
            continue
        arrived = arrival_in(solved, supply, other)
        if arrived is None or arrived.volts is None or arrived.volts < other.minimum_v:
            return False
    return True
