"""Judges every supply: the volts that arrive, and then, room by room, everything else about it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.cabling import (
    HOT_DEGC,
    End,
    core_of_run,
    ends_of,
    loop_ohm_of,
    return_partner,
    shares_return,
)
from farpress.case.case import Case
from farpress.case.circuit.arriving import Arrival, arrival_in, least_at
from farpress.case.circuit.electrics import Electrics, electrics_of
from farpress.case.circuit.states import AS_READ, BATTERY_END
from farpress.case.supply_volts import Lowest, lowest_of, mains_hz
from farpress.core.wiring.rectifier import rectifier_loss_v
from farpress.domain.finding import Ask, Finding, Link, Stake, Verdict, Who
from farpress.domain.parts import BatterySheet, Part, SupplySheet
from farpress.domain.refs import SupplyRef
from farpress.judging.check import AT_LEAST, Answer, Check, Estimate, Limit, no_edge
from farpress.judging.supply.asks import (
    cable_of,
    cable_ref,
    cores_of,
    current_of,
    least_volts_of,
    lowest_volts_of,
)
from farpress.judging.supply.budget import judge_budget
from farpress.judging.supply.chain import judge_chain
from farpress.judging.supply.copper import remedies_for_volts
from farpress.judging.supply.drop import DROP_DOUBT, DROP_SOURCES
from farpress.judging.supply.fed import judge_fed
from farpress.judging.supply.inrush import judge_inrush
from farpress.judging.supply.instead import judge_instead
from farpress.judging.supply.on_mains import LETS_GO, is_let_go, on_mains
from farpress.judging.supply.restarts import judge_restarts
from farpress.judging.supply.suits import judge_suits
from farpress.judging.supply.transformers import judge_transformer
from farpress.sources import Citation, cited
from farpress.units import rounded_up, write_quantity, write_share

__all__ = ["VOLTS_THAT_ARRIVE", "judge"]

VOLTS_THAT_ARRIVE: Final = Check(
    "SUP-01",
    Link.SUPPLY,
    "Volts that arrive at a device in the worst case, against the least it works with.",
    unit="V",
    bound=AT_LEAST,
    thin=no_edge(
        "the lowest voltage of a supply and the least a device works with are ends of their makers' ranges;"
        " what is doubtful is the drop between them"
    ),
    stake=Stake.PROMISE,
    ask="Find the lowest voltage the device works with, on its label or data sheet.",
    mends="More copper, a shorter way, a return core of its own, or a supply beside the device.",
)


LEAST_RECTIFIED_A: Final = 0.001
"""Below this a rectifier's peaks cost nothing that matters [A]; our choice."""


def judge(case: Case) -> Iterator[Finding]:
    """Every finding about supplies, in the order of the job."""
    yield from judge_fed(case)
    for premises, house in case.job.premises.items():
        for name in house.supplies:
            path = f"{premises}/{name}"
            part, battery = case.equipment.supplies[path], case.equipment.batteries.get(path)
            ends = ends_of(case, premises, name)
            yield from _volts(case, path, part, battery, ends)
            yield from judge_chain(case, path, ends)
            yield from judge_restarts(case, path, ends)
            yield from judge_suits(path, part, battery, ends)
            yield from judge_instead(case, premises, name)
            yield from judge_transformer(path, part, ends)
            yield from judge_inrush(case, path, part, battery, ends)
            yield from judge_budget(case, premises, name, part, battery, ends)


def _volts(
    case: Case, path: str, part: Part[SupplySheet], battery: Part[BatterySheet] | None, ends: tuple[End, ...]
) -> Iterator[Finding]:
    """SUP-01 of every end but the panels, whose makers answer for their own volts."""
    lowest = lowest_of(part, battery)
    supply = SupplyRef(path)
    electrics = electrics_of(case, supply.premises.path)
    for end in ends:
        if end.is_panel or end.is_rectifier:  # its drop is in what it gives
            continue
        if lowest is None:
            yield VOLTS_THAT_ARRIVE.judge(
                about=f"{end.name} on {path}",
                subjects=(*end.subjects, SupplyRef(path)),
                cause=SupplyRef(path),
                value=Estimate(None),
                limit=Limit(end.minimum_v, end.sources),
                says=f"The voltage of {path} is not known, so nothing can be said about the volts that arrive"
                f" at {end.who}.",
                asks=(lowest_volts_of(path),),
            )
            continue
        mains = on_mains(electrics, supply.name, part, end) if battery and is_let_go(case, end) else None
        if mains is not None:
            yield _volts_at(case, path, part, mains[0], ends, end, mains[1], 0.0)
            continue
        arrival = least_at(electrics, supply.name, end)
        peaks_v = 0.0 if arrival is None else _lost_by_peaks_v(case, part, lowest, end, arrival)
        if arrival is None or arrival.volts is None or arrival.volts <= peaks_v:
            yield _nothing_arrives(case, path, lowest, ends, end)
        else:
            seen = replace(arrival, volts=arrival.volts - peaks_v)
            yield _volts_at(case, path, part, lowest, ends, end, seen, peaks_v)


def _lost_by_peaks_v(
    case: Case, part: Part[SupplySheet], lowest: Lowest, end: End, arrival: Arrival
) -> float:
    """What a rectifying end loses on its way beyond a sine of its direct current, effective [V].

    One of which nobody says how it rectifies is taken at its worst, with half waves.
    """
    amperes = end.amperes or 0.0
    is_rectifier = end.current == "dc or ac" and not end.is_coil and end.rectifies != "none"
    ohm = (loop_ohm_of(case, end.run) or 0.0) + lowest.source_ohm
    if part.sheet.supply != "ac" or not is_rectifier or amperes < LEAST_RECTIFIED_A or ohm <= 0:
        return 0.0
    lost = rectifier_loss_v(
        rms_v=lowest.volts,
        frequency_hz=mains_hz(case),
        ohm=ohm,
        load_a=amperes,
        bridge=end.rectifies == "bridge",
    )
    return max(0.0, lost - amperes * ohm)


def _nothing_arrives(case: Case, path: str, lowest: Lowest, ends: tuple[End, ...], end: End) -> Finding:
    return VOLTS_THAT_ARRIVE.decide(
        about=f"{end.name} on {path}",
        subjects=(*end.subjects, SupplyRef(path)),
        cause=cable_ref(ends, end, path),
        answer=Answer.NO,
        limit=end.minimum_v,
        says=f"{end.who} gets no steady voltage from {path}: its cable cannot carry the power it asks for.",
        remedies=lambda verdict: remedies_for_volts(case, path, lowest, ends, end),
        sources=_sources(case, lowest, end),
    )


def _volts_at(
    case: Case,
    path: str,
    part: Part[SupplySheet],
    lowest: Lowest,
    ends: tuple[End, ...],
    end: End,
    arrival: Arrival,
    peaks_v: float,
) -> Finding:
    volts = arrival.volts or 0.0
    drop, needing = lowest.volts - volts, _needing(end, peaks_v)
    nominal = part.sheet.voltage_v or lowest.volts
    shown = (
        f"{write_quantity(volts, 'voltage')} at {end.who} with {lowest.says} at"
        f" {write_quantity(lowest.volts, 'voltage')}: {drop:.2f} V lost,"
        f" {write_share(drop / nominal, '.1f')} of {nominal:g} V"
    )
    is_too_low_itself = end.minimum_v is not None and lowest.volts < end.minimum_v
    return VOLTS_THAT_ARRIVE.judge(
        about=f"{end.name} on {path}",
        subjects=(*end.subjects, SupplyRef(path)),
        cause=SupplyRef(path) if is_too_low_itself else cable_ref(ends, end, path),
        value=Estimate(volts, DROP_DOUBT * drop),
        limit=Limit(end.minimum_v),
        says=lambda verdict: (
            f"{shown}, but not everything is known."
            if verdict is Verdict.UNKNOWN
            else f"{shown}; it needs {write_quantity(end.minimum_v or 0.0, 'voltage')}."
        ),
        because=lambda verdict: (
            _because(case, lowest, end, volts)
            + (_peaks_say(peaks_v) if peaks_v else "")
            + (LETS_GO if is_let_go(case, end) else "")
            + (_as_read(case, path, end, arrival) if verdict is Verdict.FAILS else "")
        ),
        asks=_asks(case, path, lowest, ends, end),
        remedies=lambda verdict: remedies_for_volts(
            case, path, lowest, tuple(needing if other is end else other for other in ends), needing
        ),
        sources=(*_sources(case, lowest, end), *(cited(rectifier_loss_v) if peaks_v else ())),
    )


def _needing(end: End, peaks_v: float) -> End:
    """The end with the volts that must arrive of a sine, so that enough is left of its peaks."""
    if end.minimum_v is None or not peaks_v:
        return end
    return replace(end, minimum_v=end.minimum_v + rounded_up(peaks_v, 2))


def _peaks_say(peaks_v: float) -> str:
    return f" It rectifies: its current comes in short peaks, which cost {peaks_v:.2f} V more than a sine."


def _because(case: Case, lowest: Lowest, end: End, volts: float) -> str:
    reason = (
        "All loads of this supply that can be on together are on, cores at their largest resistance and at"
        " 50 °C."
    )
    part = case.equipment.cables.get(end.run.part) if end.run else None
    if (
        end.run is not None
        and part is not None
        and part.sheet.material is None
        and part.sheet.resistance_ohm_per_km is None
    ):
        reason += (
            f" {end.run.part} is taken for copper; copper-clad aluminium has 1.5 to 1.7 times the resistance:"
            " measure it."
        )
    if end.is_coil and end.current != "ac":
        reason += (
            f" At {HOT_DEGC:g} °C its copper has more resistance, so it pulls in later than on its sheet."
        )
    shared = end.run.shares_return_with if end.run else None
    if shared:
        reason += f" Its return core is shared with {shared}, whose current lifts it too."
    margin = None if end.minimum_v is None else volts - end.minimum_v
    loop = loop_ohm_of(case, end.run)
    if end.amperes is None and margin is not None and margin > 0 and loop:
        reason += (
            f" As far as is known it holds as long as {end.who} draws less than"
            f" {write_quantity(margin / (loop + lowest.source_ohm), 'current')}."
        )
    return reason


def _as_read(case: Case, path: str, end: End, arrival: Arrival) -> str:
    """What a meter shows in the same moment: nothing is hot then, and what is starved draws less."""
    supply = SupplyRef(path)
    electrics = electrics_of(case, supply.premises.path)
    source = electrics.circuit.source(supply.name)
    read = arrival_in(electrics.in_moment(arrival.moment, AS_READ), supply.name, end)
    if read is None or read.volts is None or source.rated is None:
        return ""
    says = f" A meter shows {read.volts:.2f} V with {source.rated.volts:g} V given and cores at 20 °C"
    empty = arrival_in(electrics.in_moment(arrival.moment, BATTERY_END), supply.name, end)
    if (
        empty is not None
        and empty.volts is not None
        and source.lowest is not None
        and source.full is not None
    ):
        says += f", {empty.volts:.2f} V at the battery's end"
    says += f": what gets too few volts draws less as well.{_at_its_best(electrics, supply.name, end, read)}"
    return says


_SHOWN_V: Final = 0.05
"""A reading that is better by no more is not worth a sentence; our choice."""


def _at_its_best(electrics: Electrics, supply: str, end: End, read: Arrival) -> str:
    """What a meter shows with no more on than it needs, where that is more; empty where it is not."""
    if end.at is None or end.at.path not in read.moment.on:
        return ""
    least = replace(read.moment, on=frozenset({end.at.path}), starting=frozenset(), directly=False)
    alone = arrival_in(electrics.in_moment(least, AS_READ), supply, end)
    if alone is None or alone.volts is None or read.volts is None:
        return ""
    if alone.volts <= read.volts + _SHOWN_V:
        return ""
    return f" At its best, with nothing else on and nothing starting, it shows {alone.volts:.2f} V."


def _asks(case: Case, path: str, lowest: Lowest, ends: tuple[End, ...], end: End) -> list[Ask]:
    """What is open about the volts at one end, the most telling first."""
    asks: list[Ask] = []
    shared, partner = end.run.shares_return_with if end.run else None, return_partner(ends, end)
    if shared and partner is None:
        asks.append(
            Ask(
                f"Say whose return core it is: '{shared}' names nothing on {path}. Write an output, as R1/2,"
                " or a device.",
                Who.INSTALLER,
            )
        )
    if partner is not None and return_partner(ends, partner) is end:
        asks.append(
            Ask(
                f"{end.who} and {partner.who} each name the other's return core: say which of the two it"
                " lies in.",
                Who.INSTALLER,
            )
        )
    if end.minimum_v is None:
        asks.append(least_volts_of(end))
    # others matter only where they share a return core or the supply's own resistance
    near = {other.name for other in ends} if lowest.source_ohm else shares_return(ends, end)
    if end.is_drawn:  # over the same cores, or over others: as they are drawn
        near |= {other.name for other in ends if other.is_drawn}
    asks += [current_of(other) for other in ends if other.ask and other.name in near]
    if end.run is None and not end.is_coil:
        asks.append(cable_of(end))
    elif end.run is None and end.run_path[-2:] == ("fed", "cable"):  # beside its receiver
        mine = [other for other in ends if other.is_receiver and other.run_path == end.run_path]
        asks += [cable_of(other) for other in mine]
    elif end.run is not None and core_of_run(case, end.run) is None:
        asks.append(cores_of(end.run))
    if lowest.is_nominal:
        asks.append(lowest_volts_of(path))
    return asks


def _sources(case: Case, lowest: Lowest, end: End) -> tuple[Citation, ...]:
    core = core_of_run(case, end.run)
    return (*lowest.sources, *end.sources, *(core.sources if core else ()), *DROP_SOURCES)
