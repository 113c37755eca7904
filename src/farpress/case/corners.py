"""Volts at every end of a supply in every corner: lowest and highest source, hot and cold cores, all on and
at rest.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from farpress.case.cabling import COLD_DEGC, End, Served, ends_of, serve, together_with
from farpress.case.case import Case
from farpress.case.supply_volts import Lowest, lowest_of

__all__ = ["Corner", "EndVolts", "Lowest", "corners", "lowest_of", "served_with"]

_EXTRA: Final = 1.1
"""Lengths, cores and label currents are known to about 10 %; our choice."""


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
    path = f"{premises}/{supply}"
    part, battery = case.equipment.supplies[path], case.equipment.batteries.get(path)
    ends = ends_of(case, premises, supply)
    lowest = lowest_of(part, battery)
    if lowest is None or not ends:
        return (), ()
    alternating = part.sheet.supply == "ac"
    highest = part.sheet.voltage_max_v or part.sheet.voltage_v or lowest.volts
    nominal = part.sheet.voltage_v or lowest.volts
    low = {end.name: served_with(case, ends, end, lowest, alternating=alternating) for end in ends}
    cases = [
        (
            f"{lowest.says} at {lowest.volts:g} V, cores at their greatest resistance and hot, everything on",
            {name: end_served.volts if end_served else None for name, end_served in low.items()},
        ),
        (
            "the same, with currents and lengths 10 % up",
            _volts(case, ends, lowest.volts, lowest.source_ohm, scale=_EXTRA, alternating=alternating),
        ),
        (
            f"supply at {nominal:g} V, cores at 20 °C, everything on",
            _volts(case, ends, nominal, part.sheet.source_ohm or 0.0, alternating=alternating, degc=20.0),
        ),
        (
            f"supply at {highest:g} V, cores at {COLD_DEGC:g} °C, everything at rest",
            _volts(case, ends, highest, 0.0, on=(), alternating=alternating, degc=COLD_DEGC),
        ),
    ]
    made = tuple(Corner(says, volts) for says, volts in cases)
    seen = []
    for end in ends:
        known = [volts for corner in made[:1] + made[2:] if (volts := corner.volts[end.name]) is not None]
        served = low[end.name]
        seen.append(
            EndVolts(
                end,
                min(known, default=None) if served else None,
                max(known, default=None),
                served.amperes if served and end.amperes is not None else end.amperes,
            )
        )
    return made, tuple(seen)


def served_with(
    case: Case,
    ends: tuple[End, ...],
    end: End,
    lowest: Lowest,
    *,
    instead: dict[str, tuple[float, float]] | None = None,
    alternating: bool = False,
) -> Served | None:
    """One end in the worst case: it and all that can be on with it; None if its cable cannot carry that.

    Another load of constant power whose own cable cannot carry it is taken at its label current, so
    that its fault is not told of everybody on the supply.
    """

    def tried(on: Iterable[str], steady: Iterable[str] = ()) -> dict[str, Served] | None:
        return serve(
            case,
            ends,
            volts=lowest.volts,
            source_ohm=lowest.source_ohm,
            instead=instead,
            on=on,
            alternating=alternating,
            steady=steady,
        )

    together = together_with(ends, end)
    served = tried(together)
    if served is None:
        guilty = {
            other.name
            for other in ends
            if other.watts is not None and other.name in together and tried((other.name,)) is None
        }
        served = tried(together, guilty) if guilty and end.name not in guilty else None
    return served[end.name] if served else None


def _volts(
    case: Case,
    ends: tuple[End, ...],
    volts: float,
    source_ohm: float,
    *,
    alternating: bool,
    on: tuple[str, ...] | None = None,
    scale: float = 1.0,
    degc: float | None = None,
) -> dict[str, float | None]:
    # a drop is the product of current and length: taking both up together is taking the resistance up by the
    # square
    served = serve(
        case,
        ends,
        volts=volts,
        source_ohm=source_ohm * scale,
        on=on,
        alternating=alternating,
        ohm_per_km=lambda core: (
            (core.hot_ohm_per_km if degc is None else core.ohm_per_km(degc)) * scale * scale
        ),
    )
    return {end.name: served[end.name].volts if served else None for end in ends}
