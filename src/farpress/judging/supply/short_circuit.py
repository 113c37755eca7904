"""Judges a short at the end of a cable: the fuse that must notice it, or the electronics that hold it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from farpress.case.cabling import End, core_of_run, loop_ohm_of, on_same_cable
from farpress.case.case import Case
from farpress.case.circuit.arriving import loop_ohm_at
from farpress.case.circuit.electrics import electrics_of
from farpress.core.wiring.protection import (
    OPERATES_AT,
    OPERATES_SURELY_AT,
    end_short_circuit_a,
    largest_fuse_a,
)
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Stake
from farpress.domain.parts import BatterySheet, Part, SupplySheet
from farpress.domain.refs import SupplyRef
from farpress.judging.check import AT_LEAST, Answer, Check, Estimate, Limit, share_edge
from farpress.judging.supply.asks import (
    cable_of,
    cable_ref,
    cores_of,
    fuse_of,
    lowest_volts_of,
    rated_current_of,
    source_ohm_of,
)
from farpress.judging.supply.fuses import fuse_before, fuse_place
from farpress.sources import Citation, Mark, cited
from farpress.units import write_quantity

__all__ = ["SHORT_CIRCUIT", "limited_a", "rated_current_a", "short_circuit"]

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

LOWEST_SHARE: Final = 0.75
"""Of its rated volts that a supply still gives, where nobody says its lowest: a battery of 10.5 V at its end
that is charged at 13.8 V; our choice, on the safe side."""

LIMITS_AT_MOST: Final = 1.5
"""Times its rated current to which a regulated supply without a battery limits a short, at most; common
practice, no source: between half of it, folded back, and 1.5 times."""

_LIMITS: Final = Citation(
    f"a regulated supply without a battery limits below {LIMITS_AT_MOST:g} times its rated current",
    mark=Mark.PRACTICE,
)

_SOFT: Final = Citation(
    "source resistance of a tenth of voltage over rated current where none is given", mark=Mark.CHOICE
)


def short_circuit(
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
    if sheet.voltage_v and not sheet.voltage_min_v and (battery is None or battery.sheet.end_v is None):
        volts = LOWEST_SHARE * sheet.voltage_v
    loop = loop_ohm_of(case, end.run)
    if end.is_drawn or loop is not None or end.run is None:  # its cores may be drawn beside its 'fed'
        loop = _whole_way_ohm(case, SupplyRef(path), end, loop)
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
    limited = limited_a(sheet, battery)
    rated = rated_current_a(sheet)
    soft = None if rated is None else SOFT_SHARE * (sheet.voltage_v or volts) / rated
    source = sheet.source_ohm if sheet.source_ohm is not None else soft
    most = end_short_circuit_a(voltage_v=volts, source_ohm=sheet.source_ohm or 0.0, loop_ohm=loop)
    current = end_short_circuit_a(voltage_v=volts, source_ohm=source or 0.0, loop_ohm=loop)
    if limit.value is not None and limited is not None and limited < limit.value <= current:
        return _held_by_electronics(case, path, part, ends, end, limit, limited)
    if limited is not None and sheet.limit_a is not None:  # as its sheet says, whatever the way would let by
        most, current = min(most, limited), min(current, limited)
    branch, held = _branch_fuse(
        min(current, limited or current), _load_a(mine), lambda rating: _on_branch(case, path, mine, rating)
    )
    is_either = limit.value is not None and most >= limit.value > current
    if sheet.source_ohm is None and (soft is None or is_either) and not (limit.value and most < limit.value):
        asks.append(source_ohm_of(path))
    if limit.value is not None and current >= limit.value:
        asks += _asks_of_limit(path, sheet, battery)
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
            f"{_cold_says(case, path, part, end, loop)}"
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


def _asks_of_limit(path: str, sheet: SupplySheet, battery: Part[BatterySheet] | None) -> list[Ask]:
    """What must be known before a fuse surely sees its current: the electronics may hold it below."""
    if battery is not None or sheet.supply == "ac" or limited_a(sheet, battery) is not None:
        return []
    return [rated_current_of(path)]


def _whole_way_ohm(case: Case, supply: SupplyRef, end: End, own_ohm: float | None) -> float | None:
    """Of every core on the way to an end and back, as the circuit has it: over several cables, and
    the way to a panel before what the panel feeds [ohm].

    Never less than its own cable: a way back beside it, over another thing or a signal's 0 V, may be gone.
    """
    found = loop_ohm_at(electrics_of(case, supply.premises.path), supply.name, end)
    if end.is_drawn or found is None:
        return found if end.is_drawn else own_ohm
    return found if own_ohm is None else max(found, own_ohm)


def _cold_says(case: Case, path: str, part: Part[SupplySheet], end: End, hot_loop_ohm: float) -> str:
    """What flows with rated volts and cores at 20 degC, as reckoned on paper; empty where unknown."""
    volts, core = part.sheet.voltage_v, core_of_run(case, end.run)
    if not volts or core is None or not core.cold_ohm_per_km or not core.hot_ohm_per_km:
        return ""
    loop = hot_loop_ohm * core.cold_ohm_per_km / core.hot_ohm_per_km
    cold = end_short_circuit_a(voltage_v=volts, source_ohm=part.sheet.source_ohm or 0.0, loop_ohm=loop)
    return f" With {volts:g} V and cores at 20 °C it is {write_quantity(cold, 'current')}."


def rated_current_a(sheet: SupplySheet) -> float | None:
    """What a supply is rated for, from its apparent power where only that is known [A]."""
    if sheet.rated_a:
        return float(sheet.rated_a)
    return float(sheet.rated_va / sheet.voltage_v) if sheet.rated_va and sheet.voltage_v else None


def limited_a(sheet: SupplySheet, battery: Part[BatterySheet] | None) -> float | None:
    """The most that the electronics of a supply let through into a short [A]; None where nothing limits it.

    A supply without a battery that is no transformer is taken for a regulated one where nobody says so.
    """
    if battery is not None or sheet.supply == "ac":
        return None
    if sheet.limit_a is not None:
        return float(sheet.limit_a)
    return None if sheet.rated_a is None else LIMITS_AT_MOST * sheet.rated_a


def _held_by_electronics(
    case: Case,
    path: str,
    part: Part[SupplySheet],
    ends: tuple[End, ...],
    end: End,
    limit: Limit,
    limited: float,
) -> Finding:
    """SUP-05 where the fuse never sees the current it needs: the cores must bear what the supply gives."""
    sheet, mine = part.sheet, on_same_cable(ends, end)
    fuse = fuse_before(case, path, end.branch) or 0.0
    core = core_of_run(case, end.run)
    rated = core.rated_a if core else None
    folds = (
        f" It folds back: a dead short gets {write_quantity(sheet.folds_to_a, 'current')}."
        if sheet.folds_to_a is not None
        else ""
    )
    flows, is_given = write_quantity(limited, "current"), sheet.limit_a is not None
    asks: list[str | Ask] = []
    bear = "what its cores may carry is not known"
    if rated is None:
        answer = Answer.UNKNOWN
        asks.append(Ask(f"Find the current rating of {end.run.part if end.run else 'its cable'}."))
    else:
        answer = Answer.YES if rated >= limited else Answer.NO
        bear = f"its cores may carry {write_quantity(rated, 'current')}"
        if answer is Answer.NO and not is_given:
            answer = Answer.UNKNOWN
            asks.append(f"Find the current to which {path} holds a short circuit, in its data sheet.")
    branch, held = _branch_fuse(limited, _load_a(mine), lambda rating: _on_branch(case, path, mine, rating))
    return SHORT_CIRCUIT.decide(
        about=f"cable to {end.name} on {path}",
        subjects=(*dict.fromkeys(subject for other in mine for subject in other.subjects), SupplyRef(path)),
        cause=cable_ref(ends, end, path),
        answer=answer,
        value=limited,
        limit=limit.value,
        says=f"{path} holds a short at the end of the cable to {end.who} to"
        f" {'' if is_given else 'about '}{flows} by itself, so its fuse of"
        f" {write_quantity(fuse, 'current')} never operates; {bear}.",
        because=f"The fuse needs {write_quantity(limit.value or 0.0, 'current')}. While the short lasts"
        f" everything else on {path} is without volts.{folds} {held}.",
        asks=asks,
        remedies=(branch,),
        offers=(branch,),
        sources=(
            *part.cite("fuse_a", "limit_a", "folds_to_a", "rated_a"),
            *cited(largest_fuse_a),
            *(() if is_given else (_LIMITS,)),
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


def _branch_fuse(
    short_circuit_a: float, load_a: float, edits: Callable[[float], tuple[Change, ...]] = lambda rating_a: ()
) -> tuple[Remedy, str]:
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
                    edits(rating),
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


def _load_a(mine: Sequence[End]) -> float:
    return sum(end.amperes or 0.0 for end in mine)


def _on_branch(case: Case, path: str, mine: Sequence[End], rating_a: float) -> tuple[Change, ...]:
    """Edits that put all that hangs on a cable on a branch of its own; none where that cannot be written."""
    supply = SupplyRef(path)
    there = case.job.premises[supply.premises.path].supplies[supply.name].branches
    name = mine[0].who
    keys = {key for end in mine if (key := _branch_key(end)) is not None}
    if name in there or set("./") & set(name) or len({end.branch for end in mine}) > 1 or not keys:
        return ()
    if any(_branch_key(end) is None or end.is_drawn for end in mine):
        return ()
    fuse = {"fuse": write_quantity(rating_a, "current")}
    entry = ("premises", supply.premises.path, "supplies", supply.name, "branches", name)
    return (Change(entry, fuse), *(Change(key, name) for key in sorted(keys, key=str)))


def _branch_key(end: End) -> tuple[str | int, ...] | None:
    """Where the job file says on which branch an end hangs; None where it does not."""
    if end.run_path[-2:] == ("fed", "cable"):
        return (*end.run_path[:-1], "branch")
    return (*end.run_path[:-1], "load_branch") if "outputs" in end.run_path else None
