"""Judges the fuse of a supply: against a short at the end of a cable, and against all that hangs on it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.cabling import End, core_of_run, loop_ohm_of, on_same_cable
from farpress.case.case import Case
from farpress.case.circuit.arriving import heaviest_press, loop_ohm_at, most_given
from farpress.case.circuit.electrics import electrics_of
from farpress.core.wiring.protection import (
    OPERATES_AT,
    OPERATES_SURELY_AT,
    end_short_circuit_a,
    largest_fuse_a,
)
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Verdict
from farpress.domain.parts import BatterySheet, Part, SupplySheet
from farpress.domain.refs import SupplyRef
from farpress.judging.check import AT_LEAST, AT_MOST, Check, Estimate, Limit, share_edge
from farpress.judging.supply.asks import (
    cable_of,
    cable_ref,
    cores_of,
    fuse_of,
    lowest_volts_of,
    source_ohm_of,
    unknown_currents,
)
from farpress.judging.supply.fuses import fuse_before, fuse_place, fused_branches
from farpress.sources import Citation, Mark, cited
from farpress.units import write_quantity

__all__ = [
    "LOAD_OF_FUSE",
    "SHORT_CIRCUIT",
    "has_own_cable",
    "judge_protection",
    "rated_current_a",
    "supply_wires",
]

FUSE_SHARE: Final = 0.8
"""Share of its rating that a fuse carries for good: common practice."""

SOFT_SHARE: Final = 0.1
"""A supply whose own resistance is not known is taken to lose a tenth of its voltage at its rated current;
our choice, on the safe side for a regulated one."""

SHORT_CIRCUIT: Final = Check(
    "SUP-05",
    Link.SUPPLY,
    "Short circuit at the far end of a cable, against what the fuse needs to operate.",
    unit="A",
    bound=AT_LEAST,
    thin=share_edge(
        OPERATES_SURELY_AT / OPERATES_AT - 1,
        f"from {OPERATES_AT:g} to {OPERATES_SURELY_AT:g} times its rating a fuse takes minutes to operate",
    ),
    stake=Stake.HARM,
    ask="Find the fuse; where there is none, fit one.",
    mends="A fuse of its own for this cable, or more copper.",
)

LOAD_OF_FUSE: Final = Check(
    "SUP-11",
    Link.SUPPLY,
    "Current of everything behind one fuse, against the rating of the fuse.",
    unit="A",
    bound=AT_MOST,
    thin=share_edge(1 - FUSE_SHARE, f"a fuse carries {100 * FUSE_SHARE:.0f} % of its rating for good"),
    stake=Stake.PROMISE,
    ask="Find the fuse; where there is none, fit one.",
    mends="A fuse for each cable, each by its own load.",
)

_FUSE_SHARE: Final = Citation(
    f"a fuse is loaded to {100 * FUSE_SHARE:.0f} % of its rating", mark=Mark.PRACTICE
)

_SOFT: Final = Citation(
    "source resistance of a tenth of voltage over rated current where none is given", mark=Mark.CHOICE
)


def judge_protection(
    case: Case, path: str, part: Part[SupplySheet], battery: Part[BatterySheet] | None, ends: tuple[End, ...]
) -> Iterator[Finding]:
    """SUP-05 of every cable of one supply, each told once, and SUP-11 of its fuse."""
    seen: set[tuple[str | int, ...]] = set()
    for end in supply_wires(ends):
        if end.run is not None and end.run_path in seen:
            continue  # the same cable, told with the first end on it
        seen.add(end.run_path)
        yield _short_circuit(case, path, part, battery, ends, end)
    if ends:
        yield _load_of_fuse(case, path, part, ends, "")
    for branch in fused_branches(ends):
        if branch:
            yield _load_of_fuse(case, path, part, ends, branch)


def has_own_cable(end: End) -> bool:
    """Whether a cable leads to it; a coil beside its receiver has none of its own."""
    return not (end.is_coil and end.run_path[-2:] == ("fed", "cable"))


def supply_wires(ends: tuple[End, ...]) -> tuple[End, ...]:
    """The ends that a cable leads to."""
    return tuple(end for end in ends if has_own_cable(end))


def rated_current_a(sheet: SupplySheet) -> float | None:
    """What a supply is rated for, from its apparent power where only that is known [A]."""
    if sheet.rated_a:
        return float(sheet.rated_a)
    return float(sheet.rated_va / sheet.voltage_v) if sheet.rated_va and sheet.voltage_v else None


def _load_of_fuse(
    case: Case, path: str, part: Part[SupplySheet], ends: tuple[End, ...], branch: str
) -> Finding:
    """SUP-11 of the supply's own fuse or of a branch's: about the supply, and so about all that it feeds."""
    fuse, place = fuse_before(case, path, branch), fuse_place(path, branch)
    ends = tuple(end for end in ends if not branch or end.branch == branch)
    supply = SupplyRef(path)
    electrics = electrics_of(case, supply.premises.path)
    everything = most_given(electrics, supply.name, branch)[1]
    press = heaviest_press(electrics, supply.name, branch)
    drawn = f"Everything on draws {write_quantity(everything, 'current')} through the fuse of {place}"
    rated = "" if fuse is None else f", rated {write_quantity(fuse, 'current')}"
    for_good = "" if fuse is None else write_quantity(FUSE_SHARE * fuse, "current")

    def says(verdict: Verdict) -> str:
        if fuse is None or verdict is Verdict.UNKNOWN:
            return f"{drawn}{rated}, as far as is known."
        if verdict is Verdict.FAILS and press is not None:
            alone = write_quantity(press[1], "current")
            if press[1] > fuse:
                return f"{drawn}{rated}; '{press[0].function}' alone {alone}."
            return f"{drawn}{rated}; it takes several presses in the same moments."
        return f"{drawn}{rated}; it carries {for_good} for good."

    return LOAD_OF_FUSE.judge(
        about=place,
        subjects=(SupplyRef(path),),
        value=Estimate(everything),
        limit=Limit(fuse),
        says=says,
        because=(
            f"If all of it hangs on this one fuse; a fuse carries {100 * FUSE_SHARE:.0f} % of its rating for"
            " good."
        ),
        asks=(*unknown_currents(ends), *((fuse_of(place),) if fuse is None else ())),
        remedies=(Remedy("Fuse the cables one by one, each by its own load and its own short circuit."),),
        sources=(*part.cite("fuse_a"), *(source for end in ends for source in end.sources), _FUSE_SHARE),
    )


def _short_circuit(
    case: Case,
    path: str,
    part: Part[SupplySheet],
    battery: Part[BatterySheet] | None,
    ends: tuple[End, ...],
    end: End,
) -> Finding:
    """SUP-05. An unknown source resistance is bounded: none for a failure that is sure, a soft source for one
    that holds.
    """
    sheet, mine = part.sheet, on_same_cable(ends, end)
    about = f"cable to {end.name} on {path}"
    subjects = (*dict.fromkeys(subject for other in mine for subject in other.subjects), SupplyRef(path))
    fuse = fuse_before(case, path, end.branch)
    limit = Limit(None if fuse is None else OPERATES_AT * fuse)
    asks: list[Ask] = [] if fuse is not None else [fuse_of(fuse_place(path, end.branch))]
    volts = min(
        (v for v in (sheet.voltage_min_v, sheet.voltage_v, battery.sheet.end_v if battery else None) if v),
        default=None,
    )
    loop = loop_ohm_of(case, end.run)
    if end.is_drawn:  # over several cables, and cores side by side
        supply = SupplyRef(path)
        loop = loop_ohm_at(electrics_of(case, supply.premises.path), supply.name, end)
    if volts is None or not loop:
        if end.run is None:
            asks.append(cable_of(end))
        elif core_of_run(case, end.run) is None:
            asks.append(cores_of(end.run))
        if volts is None:
            asks.append(lowest_volts_of(path))
        return SHORT_CIRCUIT.judge(
            about=about,
            subjects=subjects,
            cause=cable_ref(ends, end, path),
            value=Estimate(None),
            limit=limit,
            says=f"What a short at the end of the cable to {end.who} draws is not known.",
            asks=asks,
            sources=part.cite("fuse_a"),
        )
    rated = rated_current_a(sheet)
    soft = None if rated is None else SOFT_SHARE * (sheet.voltage_v or volts) / rated
    source = sheet.source_ohm if sheet.source_ohm is not None else soft
    most = end_short_circuit_a(voltage_v=volts, source_ohm=sheet.source_ohm or 0.0, loop_ohm=loop)
    current = end_short_circuit_a(voltage_v=volts, source_ohm=source or 0.0, loop_ohm=loop)
    branch, held = _branch_fuse(current, sum(other.amperes or 0.0 for other in mine))
    is_either = limit.value is not None and most >= limit.value > current
    if sheet.source_ohm is None and (soft is None or is_either) and not (limit.value and most < limit.value):
        asks.append(source_ohm_of(path))
    short = f"A short at the end of the cable to {end.who} draws {write_quantity(current, 'current')}"
    return SHORT_CIRCUIT.judge(
        about=about,
        subjects=subjects,
        cause=cable_ref(ends, end, path),
        value=Estimate(current),
        limit=limit,
        says=f"{short}; the fuse is not known."
        if fuse is None or limit.value is None
        else f"{short}; the fuse of {write_quantity(fuse, 'current')} needs"
        f" {write_quantity(limit.value, 'current')}.",
        because=(
            f"A fuse operates within minutes at {OPERATES_AT:g} times its rating, within seconds at"
            f" {OPERATES_SURELY_AT:g} times. {held}.{_source_says(sheet, soft, most)}"
        ),
        asks=asks,
        failure_stands=not is_either,
        remedies=(branch,),
        sources=(
            *part.cite("fuse_a", "source_ohm", "voltage_v", "voltage_min_v"),
            *cited(end_short_circuit_a),
            *cited(largest_fuse_a),
            *((_SOFT,) if sheet.source_ohm is None and soft is not None else ()),
        ),
    )


def _source_says(sheet: SupplySheet, soft_ohm: float | None, most_a: float) -> str:
    if sheet.source_ohm is not None:
        return ""
    if soft_ohm is None:
        return " The supply's own resistance is not known and counted as none; the true current is smaller."
    return (
        f" The supply's own resistance is not known and taken as {write_quantity(soft_ohm, 'resistance')};"
        f" with none {write_quantity(most_a, 'current')} would flow."
    )


def _branch_fuse(short_circuit_a: float, load_a: float) -> tuple[Remedy, str]:
    """A fuse for one cable that carries its load and notices a short at its end, the surer one first."""
    largest = largest_fuse_a(short_circuit_a=short_circuit_a)
    held = (
        f"The largest fuse that operates at all is {write_quantity(largest, 'current')}"
        if largest
        else "No fuse of the series would operate"
    )
    for multiple in (OPERATES_SURELY_AT, OPERATES_AT):
        rating = largest_fuse_a(short_circuit_a=short_circuit_a, multiple=multiple)
        if rating is not None and rating >= load_a:
            return (
                Remedy(
                    f"Fuse this cable on its own with {write_quantity(rating, 'current')}.",
                    f"a short at its end is {short_circuit_a / rating:.1f} times that",
                ),
                held,
            )
    return (
        Remedy(
            "Limit this cable electronically, or use more copper: a fuse that carries"
            f" {write_quantity(load_a, 'current')} would not notice a short at its end."
        ),
        held,
    )
