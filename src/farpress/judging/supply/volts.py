"""Judges every supply: the volts that arrive, the volts that may arrive, and the right kind of them.

Sums of load, standby, fuses and charging are judged in `supply_budget`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.cabling import (
    End,
    core_of_run,
    ends_of,
    larger_cables,
    loop_ohm_of,
    on_same_cable,
    return_partner,
    serve,
    shares_return,
    together_with,
)
from farpress.case.case import Case
from farpress.case.corners import Lowest, lowest_of, served_with
from farpress.core.wiring.conductors import loop_resistance_ohm
from farpress.core.wiring.drop import dc_drop_v, maximum_length_m, minimum_area_mm2
from farpress.core.wiring.supply_load import ac_highest_v, ac_peak_v
from farpress.domain.finding import Change, Finding, Link, Remedy, Verdict
from farpress.domain.parts import BatterySheet, Part, SupplySheet
from farpress.domain.premises import CableRun
from farpress.domain.refs import SupplyRef
from farpress.judging.supply.budget import BUDGET_CODES, judge_budget
from farpress.judging.supply.inrush import INRUSH_CODES, judge_inrush
from farpress.judging.supply.transformers import TRANSFORMER_CODES, judge_transformer, winding
from farpress.sources import Citation, Mark, cited
from farpress.units import write_quantity

__all__ = ["CODES", "judge"]

CODES: Final[dict[str, str]] = {
    "SUP-01": "Volts that arrive at a device in the worst case, against the least it works with.",
    "SUP-02": "Highest volts a supply can rise to, against the most a device stands.",
    "SUP-06": "Kind of current of a supply, against the kind its device wants.",
    **BUDGET_CODES,
    **TRANSFORMER_CODES,
    **INRUSH_CODES,
}

_DOUBT_OF_DROP: Final = 0.1
"""Spread of a computed drop: lengths and core resistances are known to about 10 %; our choice."""

_LEAD_FLOAT_V: Final = 2.3
"""Float voltage of a lead cell at 20 degC [V]; from memory."""

_DROP_SOURCES: Final = (*cited(dc_drop_v), Citation("drop known to 10 %", mark=Mark.CHOICE))


def judge(case: Case) -> Iterator[Finding]:
    """Every finding about supplies, in the order of the job."""
    for premises, house in case.job.premises.items():
        for name in house.supplies:
            path = f"{premises}/{name}"
            part, battery = case.equipment.supplies[path], case.equipment.batteries.get(path)
            ends = ends_of(case, premises, name)
            yield from _volts(case, path, part, battery, ends)
            yield from _highest(path, part, battery, ends)
            yield from _kinds(path, part, ends)
            yield from judge_transformer(path, part, ends)
            yield from judge_inrush(case, path, part, battery, ends)
            yield from judge_budget(case, premises, name, part, battery, ends)


def _volts(
    case: Case, path: str, part: Part[SupplySheet], battery: Part[BatterySheet] | None, ends: tuple[End, ...]
) -> Iterator[Finding]:
    """SUP-01."""
    if not ends:
        return
    lowest = lowest_of(part, battery)
    if lowest is None:
        says = f"The voltage of {path} is not known, so nothing can be said about the volts that arrive."
        ask = Remedy(
            "Read the lowest voltage off the supply's data sheet, or measure it with everything switched on."
        )
        subjects = (SupplyRef(path), *(subject for end in ends for subject in end.subjects))
        yield Finding("SUP-01", Link.SUPPLY, Verdict.UNKNOWN, path, says, remedies=(ask,), subjects=subjects)
        return
    for end in ends:
        if end.is_panel:
            continue
        served = served_with(case, ends, end, lowest, alternating=part.sheet.supply == "ac")
        # others matter only where they share a return core or the supply's own resistance
        near = {other.name for other in ends} if lowest.source_ohm else shares_return(ends, end)
        unknown = tuple(other.ask for other in ends if other.ask and other.name in near)
        yield _volts_at(case, path, part, lowest, ends, end, served.volts if served else None, unknown)


def _volts_at(
    case: Case,
    path: str,
    part: Part[SupplySheet],
    lowest: Lowest,
    ends: tuple[End, ...],
    end: End,
    volts: float | None,
    unknown: tuple[str, ...],
) -> Finding:
    about = f"{end.name} on {path}"
    subjects = (*end.subjects, SupplyRef(path))
    sources = (*lowest.sources, *end.sources, *_cable_sources(case, end), *_DROP_SOURCES)
    nominal = part.sheet.voltage_v or lowest.volts
    if volts is None or volts <= 0:
        says = f"{end.who} gets no steady voltage from {path}: its cable cannot carry the power it asks for."
        remedies = _thicker(case, lowest, ends, end)
        return Finding(
            "SUP-01",
            Link.SUPPLY,
            Verdict.FAILS,
            about,
            says,
            value=volts,
            limit=end.minimum_v,
            unit="V",
            remedies=remedies,
            sources=sources,
            subjects=subjects,
        )
    drop = lowest.volts - volts
    shown = (
        f"{write_quantity(volts, 'voltage')} at {end.who} with {lowest.says} at"
        f" {write_quantity(lowest.volts, 'voltage')}: {drop:.2f} V lost, {100 * drop / nominal:.1f} % of"
        f" {nominal:g} V"
    )
    because = (
        "All loads of this supply that can be on together are on, cores at their largest resistance and at"
        " 50 °C."
    )
    shared = end.run.shares_return_with if end.run else None
    part_of_run = case.equipment.cables.get(end.run.part) if end.run else None
    if (
        part_of_run is not None
        and part_of_run.sheet.material is None
        and part_of_run.sheet.resistance_ohm_per_km is None
    ):
        because += (
            f" {end.run.part if end.run else ''} is taken for copper; copper-clad aluminium has 1.5 to 1.7"
            " times the resistance: measure it."
        )
    if shared:
        because += f" Its return core is shared with {shared}, whose current lifts it too."
    ask: list[Remedy] = []
    if shared and return_partner(ends, end) is None:
        ask.append(
            Remedy(
                f"Say whose return core it is: '{shared}' names nothing on {path}. Write an output, as R1/2,"
                " or a device."
            )
        )
    partner = return_partner(ends, end)
    if partner is not None and return_partner(ends, partner) is end:
        ask.append(
            Remedy(
                f"{end.who} and {partner.who} each name the other's return core: say which of the two it"
                " lies in."
            )
        )
    if end.minimum_v is None:
        ask.append(Remedy(f"Find the lowest voltage {end.who} works with, on its label or data sheet."))
    if unknown:
        ask.append(Remedy(f"Find out: {'; '.join(unknown)}."))
    if end.run is None and not end.is_coil:
        ask.append(Remedy(f"Name the cable to {end.who} and its length."))
    elif end.run is not None and not _cable_sources(case, end):
        ask.append(Remedy(f"Find the area or the resistance of the cable {end.run.part}."))
    if lowest.is_nominal:
        ask.append(
            Remedy(
                "Find the lowest voltage of the supply, or the end voltage of its battery: only the nominal"
                " voltage is known."
            )
        )
    margin = None if end.minimum_v is None else volts - end.minimum_v
    loop = loop_ohm_of(case, end.run)
    if end.amperes is None and margin is not None and margin > 0 and loop:
        because += (
            f" As far as is known it holds as long as {end.who} draws less than"
            f" {write_quantity(margin / (loop + lowest.source_ohm), 'current')}."
        )
    doubt = _DOUBT_OF_DROP * drop
    if margin is not None and margin < -1e-9:
        says = f"{shown}; it needs {end.minimum_v:g} V."
        return Finding(
            "SUP-01",
            Link.SUPPLY,
            Verdict.FAILS,
            about,
            says,
            because,
            volts,
            end.minimum_v,
            "V",
            margin,
            doubt or None,
            _thicker(case, lowest, ends, end),
            sources,
            subjects,
        )
    if ask:
        says = f"{shown}, but not everything is known."
        return Finding(
            "SUP-01",
            Link.SUPPLY,
            Verdict.UNKNOWN,
            about,
            says,
            because,
            volts,
            end.minimum_v,
            "V",
            margin,
            doubt or None,
            tuple(ask),
            sources,
            subjects,
        )
    verdict = Verdict.THIN if margin is not None and margin < doubt else Verdict.HOLDS
    says = f"{shown}; it needs {end.minimum_v:g} V."
    remedies = _thicker(case, lowest, ends, end) if verdict is Verdict.THIN else ()
    return Finding(
        "SUP-01",
        Link.SUPPLY,
        verdict,
        about,
        says,
        because,
        volts,
        end.minimum_v,
        "V",
        margin,
        doubt or None,
        remedies,
        sources,
        subjects,
    )


def _thicker(case: Case, lowest: Lowest, ends: tuple[End, ...], end: End) -> tuple[Remedy, ...]:
    """The next cable that does it, the least area, the greatest length: each computed anew."""
    run, least = end.run, end.minimum_v
    core = core_of_run(case, run)
    far = Remedy(
        f"Put a supply beside {end.who}, and let an interposing relay there be switched instead of the load."
    )
    if run is None or core is None or least is None:
        return (far,)
    if lowest.volts < least:
        arrives = served_with(case, ends, end, lowest)
        higher = (
            f"above {least + lowest.volts - arrives.volts:.1f} V" if arrives else f"well above {least:g} V"
        )
        return (
            Remedy(
                f"No cable is enough: {lowest.says} itself comes down to {lowest.volts:g} V. Use a supply"
                f" that stays {higher}, or a device that works with less."
            ),
            far,
        )
    remedies: list[Remedy] = []
    better = _next_cable(case, lowest, ends, end, run, least)
    if better is not None:
        remedies.append(better)
    served = serve(case, ends, volts=lowest.volts, source_ohm=lowest.source_ohm, on=together_with(ends, end))
    amperes = sum(
        served[other.name].amperes if served else other.amperes or 0.0 for other in on_same_cable(ends, end)
    )
    own = dc_drop_v(
        current_a=amperes,
        loop_ohm=loop_resistance_ohm(length_m=run.length_m, core_ohm_per_km=core.hot_ohm_per_km),
    )
    left = served[end.name].volts + own - least if served else 0.0
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
                    f"At least {least_area:.2f} mm2 for each conductor over {run.length_m:g} m; cores of the"
                    " same cable may be joined.",
                    f"{least:g} V at {end.who}",
                )
            )
        longest = maximum_length_m(
            allowed_drop_v=left, current_a=amperes, core_ohm_per_km=core.hot_ohm_per_km
        )
        remedies.append(Remedy(f"At most {longest:.1f} m of {run.part}.", f"{least:g} V at {end.who}"))
    if run.shares_return_with:
        remedies.append(
            Remedy(
                f"Give {end.who} a return core of its own.",
                changes=(Change((*end.run_path, "shares_return_with"), None),),
            )
        )
    return (*remedies, far)


def _next_cable(
    case: Case, lowest: Lowest, ends: tuple[End, ...], end: End, run: CableRun, least: float
) -> Remedy | None:
    """The thinnest cable that leaves a margin over the doubt; failing that, the thinnest that is enough."""
    enough: Remedy | None = None
    for name, core in larger_cables(case, run):
        served = served_with(case, ends, end, lowest, instead={end.name: (core.hot_ohm_per_km, run.length_m)})
        if served is None or served.volts < least:
            continue
        volts = served.volts
        area = f" ({core.area_mm2:.3g} mm2)" if core.area_mm2 else ""
        remedy = Remedy(
            f"Use {name}{area} instead of {run.part}.",
            f"{write_quantity(volts, 'voltage')} at {end.who}",
            (Change((*end.run_path, "part"), name),),
        )
        if volts - least >= _DOUBT_OF_DROP * (lowest.volts - volts):
            return remedy
        enough = enough or remedy
    return enough


def _highest(
    path: str, part: Part[SupplySheet], battery: Part[BatterySheet] | None, ends: tuple[End, ...]
) -> Iterator[Finding]:
    """SUP-02."""
    sheet = part.sheet
    highest = sheet.voltage_max_v
    for end in ends:
        if (
            end.is_coil
            or end.is_panel
            or (end.maximum_v is None and highest is None and end.nominal_v is None)
        ):
            continue
        about, subjects = f"{end.name} on {path}", (*end.subjects, SupplyRef(path))
        sources = (*part.cite("voltage_max_v", "voltage_v"), *end.sources)
        because = ""
        if sheet.supply == "ac" and sheet.voltage_v:
            because = (
                f"Effective values. Behind a rectifier {sheet.voltage_v:g} V AC peaks at"
                f" {ac_peak_v(rms_v=sheet.voltage_v):.1f} V, up to {ac_highest_v(rms_v=sheet.voltage_v):.1f}"
                " V with high mains and an unloaded transformer."
            )
            sources = (*sources, *cited(ac_highest_v))
        if end.maximum_v is None or highest is None:
            wants = [f"the highest voltage {end.who} stands" for _ in [0] if end.maximum_v is None]
            wants += [f"the highest voltage of {path}" for _ in [0] if highest is None]
            if battery is not None and highest is None and battery.sheet.voltage_v:
                floating = battery.sheet.voltage_v / 2 * _LEAD_FLOAT_V
                because += (
                    f" A lead battery of {battery.sheet.voltage_v:g} V is charged at about {floating:.1f} V"
                    " (from memory)."
                )
            says = f"Whether {end.who} stands the highest voltage of {path} is not known."
            yield Finding(
                "SUP-02",
                Link.SUPPLY,
                Verdict.UNKNOWN,
                about,
                says,
                because.strip(),
                highest,
                end.maximum_v,
                "V",
                remedies=(Remedy(f"Find {' and '.join(wants)}."),),
                sources=sources,
                subjects=subjects,
            )
            continue
        margin = end.maximum_v - highest
        verdict = Verdict.HOLDS if margin >= -1e-9 else Verdict.FAILS
        says = f"{path} can rise to {highest:g} V; {end.who} stands {end.maximum_v:g} V."
        remedies = (
            ()
            if verdict is Verdict.HOLDS
            else (Remedy(f"Feed {end.who} through a regulator, or choose one that stands {highest:g} V."),)
        )
        yield Finding(
            "SUP-02",
            Link.SUPPLY,
            verdict,
            about,
            says,
            because,
            highest,
            end.maximum_v,
            "V",
            margin,
            None,
            remedies,
            sources,
            subjects,
        )


def _kinds(path: str, part: Part[SupplySheet], ends: tuple[End, ...]) -> Iterator[Finding]:
    """SUP-06."""
    kind = part.sheet.supply
    for end in ends:
        about, subjects = f"{end.name} on {path}", (*end.subjects, SupplyRef(path))
        if end.is_panel:
            continue
        if kind is None or end.current is None:
            if end.current is None and kind is None:
                continue
            who = end.who if end.current is None else path
            says = f"Whether {who} is for alternating or direct current is not known."
            yield Finding(
                "SUP-06",
                Link.SUPPLY,
                Verdict.UNKNOWN,
                about,
                says,
                remedies=(Remedy(f"Read it off the label of {who}."),),
                subjects=subjects,
            )
            continue
        if end.current == "potential-free":
            continue
        remedies: tuple[Remedy, ...] = ()
        because = ""
        verdict = Verdict.HOLDS
        says = f"{end.who} wants {_kind(end.current)} and {path} gives {_kind(kind)}."
        if end.current == "mains" and (part.sheet.voltage_v or 0) < 100:
            verdict = Verdict.FAILS
            remedies = (
                Remedy(
                    f"Feed {end.who} from the mains through a contactor; mains side by a licensed"
                    " electrician."
                ),
            )
        elif end.current == "dc" and kind == "ac":
            verdict = Verdict.FAILS
            because = "Half of each wave has the wrong sign: electronics are destroyed, coils buzz."
            remedies = (
                Remedy(f"Use a supply for direct current, or a rectifier and smoothing for {end.who}."),
            )
        elif end.current == "ac" and kind == "dc":
            verdict = Verdict.FAILS
            because = (
                "A coil made for alternating current draws several times its current on direct current and"
                " burns."
            )
            remedies = (Remedy(f"Use a transformer for {end.who}."),)
        elif end.current == "dc or ac" and kind == "ac" and not end.is_coil:
            verdict, more, because, remedies = winding(path, ends, end)
            says = more if verdict is not Verdict.HOLDS else f"{says} {more}"
        sources = (*part.cite("supply"), Citation("kinds of current on one winding", mark=Mark.PRACTICE))
        yield Finding(
            "SUP-06",
            Link.SUPPLY,
            verdict,
            about,
            says,
            because,
            remedies=remedies,
            sources=sources,
            subjects=subjects,
        )


def _cable_sources(case: Case, end: End) -> tuple[Citation, ...]:
    core = core_of_run(case, end.run)
    return core.sources if core else ()


def _kind(current: str) -> str:
    return {
        "dc": "direct current",
        "ac": "alternating current",
        "dc or ac": "either kind of current",
        "mains": "mains",
    }.get(current, current)
