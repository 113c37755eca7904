"""What would bring enough volts to a device: more copper, a shorter way, another supply; each computed."""

from __future__ import annotations

from farpress.case.cabling import (
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
from farpress.core.wiring.conductors import loop_resistance_ohm
from farpress.core.wiring.drop import dc_drop_v, maximum_length_m, minimum_area_mm2
from farpress.domain.finding import Change, Remedy
from farpress.domain.premises import CableRun
from farpress.domain.refs import SupplyRef
from farpress.judging.supply.drop import DROP_DOUBT
from farpress.units import rounded_down, rounded_up, write_quantity

__all__ = ["remedies_for_volts"]


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
        if arrival is not None and arrival.volts is not None:
            higher = f"above {rounded_up(least + lowest.volts - arrival.volts, 1):.1f} V"
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
    amperes = _flowing_a(electrics, supply.name, ends, end, arrival)
    own = dc_drop_v(
        current_a=amperes,
        loop_ohm=loop_resistance_ohm(length_m=run.length_m, core_ohm_per_km=core.hot_ohm_per_km),
    )
    left = arrival.volts + own - least if arrival is not None and arrival.volts is not None else 0.0
    alone = shares_return(ends, end) == {other.name for other in on_same_cable(ends, end)}
    if left > 0 and amperes > 0 and alone:  # of a shared return core no single run decides
        if core.area_mm2:
            least_area = minimum_area_mm2(
                allowed_drop_v=left,
                current_a=amperes,
                length_m=run.length_m,
                resistivity_ohm_mm2_per_m=core.hot_ohm_per_km * core.area_mm2 / 1000,
            )
            remedies.append(
                Remedy(
                    f"At least {rounded_up(least_area, 2):.2f} mm2 for each conductor over"
                    f" {run.length_m:g} m; cores of the same cable may be joined.",
                    f"{least:g} V at {end.who}",
                )
            )
        longest = maximum_length_m(
            allowed_drop_v=left, current_a=amperes, core_ohm_per_km=core.hot_ohm_per_km
        )
        remedies.append(
            Remedy(f"At most {rounded_down(longest, 1):.1f} m of {run.part}.", f"{least:g} V at {end.who}")
        )
    if run.shares_return_with:
        remedies.append(
            Remedy(
                f"Give {end.who} a return core of its own.",
                changes=(Change((*end.run_path, "shares_return_with"), None),),
            )
        )
    return (*remedies, far)


def _flowing_a(
    electrics: Electrics, supply: str, ends: tuple[End, ...], end: End, arrival: Arrival | None
) -> float:
    """What flows in the cable of an end in its worst moment [A]."""
    mine = on_same_cable(ends, end)
    if arrival is None or arrival.volts is None:
        return sum(other.amperes or 0.0 for other in mine)
    solved = electrics.in_moment(arrival.moment)
    return sum(solved.at(supply, other.name)[1] or 0.0 for other in mine)


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
    if arrival is None:
        return None
    worst = CircuitState(arrival.moment, LOWEST)
    lies_in = _lies_in(electrics, ends, end)
    for name, core in larger_cables(case, run):
        solver = Solver(electrics.circuit.with_cable(lies_in, core.cold_ohm_per_km))
        solved = solver.solve(worst)
        tried = arrival_in(solved, supply, end)
        volts = tried.volts if tried is not None else None
        if volts is None or volts < least or not _others_have_enough(electrics, solved, supply, ends, end):
            continue
        area = f" ({core.area_mm2:.3g} mm2)" if core.area_mm2 else ""
        remedy = Remedy(
            f"Use {name}{area} instead of {run.part}.",
            f"{write_quantity(volts, 'voltage')} at {end.who}",
            (Change((*lies_in, "part"), name),),
        )
        if volts - least >= DROP_DOUBT * (lowest.volts - volts):
            return remedy
        enough = enough or remedy
    return enough


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
