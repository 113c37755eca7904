"""Volts at every end of a supply in every corner: lowest and highest source, hot and cold cores, all on and
at rest.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from farpress.case.case import Case
from farpress.case.circuit.arriving import arrival_in, is_working, least_at, working_moments
from farpress.case.circuit.electrics import Electrics, electrics_of
from farpress.case.circuit.states import A_TENTH_MORE, HIGHEST, LOWEST, RATED, SupplyLevel
from farpress.case.cores import COLD_DEGC
from farpress.case.supply_ends import End, ends_of

__all__ = ["Corner", "EndVolts", "corners"]


@dataclass(frozen=True)
class Corner:
    """One corner: what it is, in words, and the volts at each end in it; None where the cable cannot carry
    the power.
    """

    says: str
    volts: dict[str, float | None]


@dataclass(frozen=True)
class EndVolts:
    """Lowest and highest volts at an end over all corners, and the amperes with everything on."""

    end: End
    lowest_v: float | None
    highest_v: float | None
    amperes: float | None


def corners(case: Case, premises: str, supply: str) -> tuple[tuple[Corner, ...], tuple[EndVolts, ...]]:
    """Every corner of one supply, and what each end sees over all of them.

    Args:
        case: the job.
        premises, supply: names of the supply.

    Returns:
        Nothing (two empty tuples) where the voltage of the supply is not known.
    """
    electrics, ends = electrics_of(case, premises), ends_of(case, premises, supply)
    source = electrics.circuit.source(supply)
    if source.lowest is None or source.rated is None or source.highest is None or not ends:
        return (), ()
    lowest = source.lowest.volts
    made = (
        Corner(
            f"lowest volts of {lowest:g} V, cores at their greatest resistance and hot, everything on",
            _least(electrics, supply, ends, LOWEST),
        ),
        Corner("the same, with currents and lengths 10 % up", _least(electrics, supply, ends, A_TENTH_MORE)),
        Corner(
            f"supply at {source.rated.volts:g} V, cores at 20 °C, everything on",
            _least(electrics, supply, ends, RATED),
        ),
        Corner(
            f"supply at {source.highest.volts:g} V, cores at {COLD_DEGC:g} °C, everything at rest",
            _unloaded(electrics, supply, ends),
        ),
    )
    seen = []
    for end in ends:
        known = [volts for corner in made[:1] + made[2:] if (volts := corner.volts[end.name]) is not None]
        worst = least_at(electrics, supply, end)
        is_fed = worst is not None and worst.volts is not None
        seen.append(
            EndVolts(
                end,
                min(known, default=None) if is_fed else None,
                max(known, default=None),
                worst.amperes if is_fed and worst is not None and end.amperes is not None else end.amperes,
            )
        )
    return made, tuple(seen)


def _least(
    electrics: Electrics, supply: str, ends: tuple[End, ...], level: SupplyLevel
) -> dict[str, float | None]:
    found = {end.name: least_at(electrics, supply, end, level) for end in ends}
    return {name: arrival.volts if arrival else None for name, arrival in found.items()}


def _unloaded(electrics: Electrics, supply: str, ends: tuple[End, ...]) -> dict[str, float | None]:
    """With the contact to it closed and before it draws, which is the most that an end sees."""
    opened = next(moment for moment in electrics.moments if moment.is_open)
    found = {}
    for end in ends:
        moment = opened
        if not is_working(electrics, supply, end, opened):  # another moment closes its contact
            works = next(iter(working_moments(electrics, supply, end)), opened)
            moment = replace(works, name=opened.name, is_open=True)
        found[end.name] = arrival_in(electrics.in_moment(moment, HIGHEST), supply, end)
    return {name: arrival.volts if arrival else None for name, arrival in found.items()}
