"""Judges what a supply must give and for how long: load, standby, fuse, cores, charging."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from farpress.core.wiring.protection import OPERATES_AT, OPERATES_SURELY_AT, end_short_circuit_a, largest_fuse_a
from farpress.core.wiring.standby import (
    AGEING_FACTOR,
    CHARGE_ACCEPTANCE,
    battery_capacity_ah,
    demanded_recharge_s,
    demanded_standby_s,
    discharge_factor,
    recharge_current_a,
    standby_s,
)
from farpress.core.wiring.supply_load import LOAD_SHARE, load_sum_a
from farpress.domain.finding import Change, Finding, Link, Remedy, Verdict
from farpress.domain.parts import BatterySheet, Part, SupplySheet
from farpress.sources import Citation, Mark, cited
from farpress.tasks.cabling import End, core_of, loop_ohm_of, on_same_cable, return_partner
from farpress.tasks.case import Case
from farpress.units import write_quantity

__all__ = ["BUDGET_CODES", "judge_budget"]

BUDGET_CODES: Final[dict[str, str]] = {
    "SUP-03": "Current of everything that can be on together, against the rating of the supply.",
    "SUP-04": "Hours a battery carries the rest current, against the hours demanded.",
    "SUP-05": "Short circuit at the far end of a cable, against what the fuse needs to operate.",
    "SUP-07": "Current in a cable, against what its cores may carry.",
    "SUP-08": "Charging current, against what brings the battery back in time.",
}

_DESIGN_SHARE: Final = Citation("80 % of a supply's rating is used in design", mark=Mark.PRACTICE)


def judge_budget(
    case: Case, premises: str, supply: str, part: Part[SupplySheet], battery: Part[BatterySheet] | None, ends: tuple[End, ...]
) -> Iterator[Finding]:
    """Every finding of this module about one supply."""
    path = f"{premises}/{supply}"
    if not ends and battery is None:
        return
    other = case.job.premises[premises].supplies[supply].other_load_a or 0.0
    yield _load(path, part, ends, other)
    if battery is not None or _demanded(case, premises, supply, ends) is not None:
        yield _standby(case, premises, supply, battery, ends, other)
    yield from _fuse(case, path, part, battery, ends)
    yield from _cores(case, path, part.sheet.fuse_a, ends)
    if battery is not None:
        yield _charge(case, premises, supply, part, battery, ends, other)


def _together_a(ends: tuple[End, ...]) -> float:
    """Sum of all currents; of ends that are never on together the largest."""
    groups: dict[str, float] = {}
    for number, end in enumerate(ends):
        key = f"{end.never_with} {'coil' if end.is_coil else 'load'}" if end.never_with else f"#{number}"
        groups[key] = max(groups.get(key, 0.0), end.amperes or 0.0)
    return load_sum_a(rest_a=groups.values())


def _load(path: str, part: Part[SupplySheet], ends: tuple[End, ...], other: float) -> Finding:
    """SUP-03."""
    sheet = part.sheet
    total = _together_a(ends) + other + (sheet.charge_a or 0.0)
    rated = sheet.rated_a or (sheet.rated_va / sheet.voltage_v if sheet.rated_va and sheet.voltage_v else None)
    ask = [end.ask for end in ends if end.ask] + [f"rated current of {path}" for _ in [0] if rated is None]
    subjects = (f"supply:{path}", *dict.fromkeys(subject for end in ends for subject in end.subjects))
    sources = (*part.cite("rated_a", "rated_va", "charge_a"), *(source for end in ends for source in end.sources), _DESIGN_SHARE)
    charging = f", {write_quantity(sheet.charge_a, 'current')} of it charging" if sheet.charge_a else ""
    says = f"Everything on draws {write_quantity(total, 'current')} from {path}{charging}"
    because = "Every output on that can be on together; of interlocked ones the larger."
    if rated is not None and total > rated * (1 + 1e-9):
        remedy = Remedy(f"Use a supply of at least {write_quantity(total / LOAD_SHARE, 'current')}, or feed part of it from a second one.")
        return Finding("SUP-03", Link.SUPPLY, Verdict.FAILS, path, f"{says}; it is rated {rated:g} A.", because, total, rated, "A", rated - total, None, (remedy,), sources, subjects)
    if ask or rated is None:
        remedy = Remedy(f"Find out: {'; '.join(ask)}.")
        return Finding("SUP-03", Link.SUPPLY, Verdict.OPEN, path, f"{says}, as far as currents are known.", because, total, rated, "A", remedies=(remedy,), sources=sources, subjects=subjects)
    verdict = Verdict.HOLDS if total <= LOAD_SHARE * rated else Verdict.THIN
    says = f"{says}; it is rated {rated:g} A, of which {100 * total / rated:.0f} % are used."
    return Finding("SUP-03", Link.SUPPLY, verdict, path, says, because, total, rated, "A", rated - total, None, (), sources, subjects)


def _demanded(case: Case, premises: str, supply: str, ends: tuple[End, ...]) -> tuple[float, str, tuple[Citation, ...]] | None:
    asked = case.job.premises[premises].supplies[supply].standby_s
    if asked is not None:
        return asked, "demanded in the job", (Citation("standby demanded in the job", mark=Mark.GIVEN),)
    grade = _grade(case, premises, ends)
    return None if grade is None else (demanded_standby_s(grade=grade), f"of grade {grade}", cited(demanded_standby_s))


def _grade(case: Case, premises: str, ends: tuple[End, ...]) -> int | None:
    """Grade of the alarm system if this supply carries a part of it."""
    panels = [subject.removeprefix("panel:") for end in ends for subject in end.subjects if subject.startswith("panel:")]
    grades = [case.equipment.panels[path].sheet.grade for path in panels]
    known = [grade for grade in grades if grade is not None]
    return case.job.grade or max(known, default=None) if panels else None


def _standby(case: Case, premises: str, supply: str, battery: Part[BatterySheet] | None, ends: tuple[End, ...], other: float) -> Finding:
    """SUP-04."""
    path = f"{premises}/{supply}"
    rest = load_sum_a(rest_a=[end.rest_a or 0.0 for end in ends]) + other
    demand = _demanded(case, premises, supply, ends)
    subjects = (f"supply:{path}", *dict.fromkeys(subject for end in ends for subject in end.subjects))
    because = f"Rest current {write_quantity(rest, 'current')}, of which {write_quantity(other, 'current')} is the supply's other load{_with_panel(case, premises, ends)}."
    wanted_h = demand[0] / 3600 if demand else None
    if battery is None:
        says = f"{path} has no battery, but {wanted_h:g} h of standby are {demand[1] if demand else ''}."
        return Finding("SUP-04", Link.SUPPLY, Verdict.FAILS, path, says, because, 0.0, wanted_h, "h", -(wanted_h or 0.0), None, (_battery_for(rest, wanted_h or 0.0),), demand[2] if demand else (), subjects)
    sheet = battery.sheet
    ask = [end.ask or f"current of {end.who} while it waits" for end in ends if end.rest_a is None]
    ask += ["capacity of the battery"] * (sheet.capacity_ah is None) + ["usable share of its capacity"] * (sheet.usable_share is None)
    ask += ["standby time that is wanted"] * (demand is None) + ["rest current"] * (rest <= 0)
    sources = (*battery.cite("capacity_ah", "usable_share"), *cited(standby_s), *(demand[2] if demand else ()), *(source for end in ends for source in end.sources))
    if sheet.capacity_ah is None or sheet.usable_share is None or rest <= 0:
        remedy = Remedy(f"Find out: {'; '.join(ask)}.")
        return Finding("SUP-04", Link.SUPPLY, Verdict.OPEN, path, f"How long the battery of {path} lasts is not known.", because, None, wanted_h, "h", remedies=(remedy,), sources=sources, subjects=subjects)
    hours = standby_s(capacity_ah=sheet.capacity_ah, usable_share=sheet.usable_share, load_a=rest) / 3600
    says = f"The battery of {path} carries {write_quantity(rest, 'current')} for {hours:.1f} h ({sheet.capacity_ah:g} Ah, {100 * sheet.usable_share:.0f} % usable)"
    if wanted_h is not None and hours < wanted_h:
        assert demand is not None
        return Finding("SUP-04", Link.SUPPLY, Verdict.FAILS, path, f"{says}; {wanted_h:g} h are {demand[1]}.", because, hours, wanted_h, "h", hours - wanted_h, None, (_battery_for(rest, wanted_h, sheet.usable_share),), sources, subjects)
    if ask or wanted_h is None or demand is None:
        remedy = Remedy(f"Find out: {'; '.join(ask)}.")
        return Finding("SUP-04", Link.SUPPLY, Verdict.OPEN, path, f"{says}, as far as is known.", because, hours, wanted_h, "h", remedies=(remedy,), sources=sources, subjects=subjects)
    verdict = Verdict.THIN if hours < 1.1 * wanted_h else Verdict.HOLDS
    because += " Thin means less than 10 % above the demand."
    return Finding("SUP-04", Link.SUPPLY, verdict, path, f"{says}; {wanted_h:g} h are {demand[1]}.", because, hours, wanted_h, "h", hours - wanted_h, None, (), sources, subjects)


def _with_panel(case: Case, premises: str, ends: tuple[End, ...]) -> str:
    within = [end.who for end in ends if end.is_panel and end.amperes == 0.0 and case.equipment.panels[f"{premises}/{end.who}"].sheet.current_a is None]
    return f", taken to hold {' and '.join(within)} as well" if within else ""


def _battery_for(rest_a: float, hours: float, usable_share: float | None = None) -> Remedy:
    """By the usable share where it is given, and never less than the rule for wear and fast discharge asks."""
    needed = battery_capacity_ah(
        rest_a=rest_a, rest_s=hours * 3600, alarm_a=0.0, alarm_s=0.0, ageing=AGEING_FACTOR, discharge=discharge_factor(discharge_s=hours * 3600)
    )
    if usable_share:
        needed = max(needed, rest_a * hours / usable_share)
    return Remedy(f"Fit a battery of at least {math.ceil(10 * needed - 1e-9) / 10:.1f} Ah.", f"{hours:g} h at {write_quantity(rest_a, 'current')}, even when it is worn")


def _fuse(case: Case, path: str, part: Part[SupplySheet], battery: Part[BatterySheet] | None, ends: tuple[End, ...]) -> Iterator[Finding]:
    """SUP-05."""
    sheet = part.sheet
    volts = min((v for v in (sheet.voltage_min_v, sheet.voltage_v, battery.sheet.end_v if battery else None) if v), default=None)
    for end in ends:
        loop = loop_ohm_of(case, end.run)
        if volts is None or not loop:
            continue
        about, subjects = f"cable to {end.name} on {path}", (*end.subjects, f"supply:{path}")
        current = end_short_circuit_a(voltage_v=volts, source_ohm=sheet.source_ohm or 0.0, loop_ohm=loop)
        branch, held = _branch_fuse(current, sum(other.amperes or 0.0 for other in on_same_cable(ends, end)))
        known = "" if sheet.source_ohm is not None else " The supply's own resistance is not known and counted as none; the true current is smaller."
        because = f"A fuse operates within minutes at {OPERATES_AT:g} times its rating, within seconds at {OPERATES_SURELY_AT:g} times. {held}.{known}"
        sources = (*part.cite("fuse_a", "source_ohm", "voltage_v", "voltage_min_v"), *cited(end_short_circuit_a), *cited(largest_fuse_a))
        says = f"A short at the end of the cable to {end.who} draws {write_quantity(current, 'current')}"
        if sheet.fuse_a is None:
            ask = Remedy(f"Find the fuse of this output of {path}; where there is none, fit one.")
            yield Finding("SUP-05", Link.SUPPLY, Verdict.OPEN, about, f"{says}; the fuse is not known.", because, current, None, "A", remedies=(ask, branch), sources=sources, subjects=subjects)
            continue
        limit = OPERATES_AT * sheet.fuse_a
        says = f"{says}; the fuse of {write_quantity(sheet.fuse_a, 'current')} needs {write_quantity(limit, 'current')}."
        verdict = Verdict.FAILS if current < limit else Verdict.HOLDS if current >= OPERATES_SURELY_AT * sheet.fuse_a else Verdict.THIN
        yield Finding("SUP-05", Link.SUPPLY, verdict, about, says, because, current, limit, "A", current - limit, None, () if verdict is Verdict.HOLDS else (branch,), sources, subjects)


def _branch_fuse(short_circuit_a: float, load_a: float) -> tuple[Remedy, str]:
    """A fuse for one cable that carries its load and notices a short at its end, the surer one first."""
    largest = largest_fuse_a(short_circuit_a=short_circuit_a)
    held = f"The largest fuse that operates at all is {write_quantity(largest, 'current')}" if largest else "No fuse of the series would operate"
    for multiple in (OPERATES_SURELY_AT, OPERATES_AT):
        rating = largest_fuse_a(short_circuit_a=short_circuit_a, multiple=multiple)
        if rating is not None and rating >= load_a:
            return Remedy(f"Fuse this cable on its own with {write_quantity(rating, 'current')}.", f"a short at its end is {short_circuit_a / rating:.1f} times that"), held
    return Remedy(f"Limit this cable electronically, or use more copper: a fuse that carries {write_quantity(load_a, 'current')} would not notice a short at its end."), held


def _cores(case: Case, path: str, fuse_a: float | None, ends: tuple[End, ...]) -> Iterator[Finding]:
    """SUP-07."""
    for end in ends:
        part = case.equipment.cables.get(end.run.part) if end.run else None
        core = core_of(part) if part else None
        if end.run is None or part is None or core is None or end.amperes is None:
            continue
        mine = on_same_cable(ends, end)
        shared = [other for other in ends if other not in mine and return_partner(ends, other) in mine]
        current = sum(other.amperes or 0.0 for other in (*mine, *shared))
        about, subjects = f"cores of {end.run.part} to {end.name}", (*end.subjects, f"supply:{path}")
        sources = (*part.cite("rated_a"), *end.sources)
        what = "its return core, shared with " + ", ".join(other.who for other in shared) if shared else "its cores"
        if core.rated_a is None:
            says = f"{write_quantity(current, 'current')} flow to {end.who}; what {end.run.part} may carry is not known."
            yield Finding("SUP-07", Link.SUPPLY, Verdict.OPEN, about, says, value=current, unit="A", remedies=(Remedy(f"Find the current rating of {end.run.part}."),), sources=sources, subjects=subjects)
            continue
        margin = core.rated_a - current
        verdict = Verdict.FAILS if margin < 0 else Verdict.THIN if margin < 0.1 * core.rated_a else Verdict.HOLDS
        says = f"{write_quantity(current, 'current')} flow to {end.who}; {what} may carry {write_quantity(core.rated_a, 'current')}."
        remedies = () if verdict is Verdict.HOLDS else (Remedy("Use a cable with more copper, or join cores."),)
        if verdict is Verdict.HOLDS and fuse_a is not None and fuse_a > core.rated_a:
            verdict = Verdict.THIN
            says += f" The fuse of {write_quantity(fuse_a, 'current')} would let more flow if something goes wrong."
            remedies = (Remedy(f"Fuse this cable on its own with at most {write_quantity(core.rated_a, 'current')}."),)
        yield Finding("SUP-07", Link.SUPPLY, verdict, about, says, "Rating of one core; many loaded cores in one sheath carry less.", current, core.rated_a, "A", margin, None, remedies, sources, subjects)


def _charge(case: Case, premises: str, supply: str, part: Part[SupplySheet], battery: Part[BatterySheet], ends: tuple[End, ...], other: float) -> Finding:
    """SUP-08."""
    path, sheet = f"{premises}/{supply}", part.sheet
    grade = _grade(case, premises, ends)
    within = demanded_recharge_s(grade=grade if grade is not None else 1)
    subjects = (f"supply:{path}",)
    sources = (*part.cite("charge_a"), *battery.cite("capacity_ah"), *cited(demanded_recharge_s), Citation("12 V lead: 1.2 Ah put in for 1 Ah gained", mark=Mark.MEMORY))
    because = f"80 % of the capacity in {within / 3600:g} h, {f'as grade {grade} demands' if grade else 'taken from grade 1, as no grade is given'}; a lead battery takes 20 % more than it gives."
    capacity = battery.sheet.capacity_ah
    if capacity is None or sheet.charge_a is None:
        ask = "the capacity of the battery" if capacity is None else "the charging current of the supply"
        needed = f" At least {write_quantity(recharge_current_a(capacity_ah=capacity, within_s=within, acceptance=CHARGE_ACCEPTANCE), 'current')} are needed." if capacity else ""
        return Finding("SUP-08", Link.SUPPLY, Verdict.OPEN, path, f"Whether the battery of {path} is charged in time is not known.{needed}", because, remedies=(Remedy(f"Find {ask}."),), sources=sources, subjects=subjects)
    needed_a = recharge_current_a(capacity_ah=capacity, within_s=within, acceptance=CHARGE_ACCEPTANCE)
    margin = sheet.charge_a - needed_a
    verdict = Verdict.FAILS if margin < 0 else Verdict.THIN if margin < 0.1 * needed_a else Verdict.HOLDS
    says = f"{path} charges with {write_quantity(sheet.charge_a, 'current')}; {write_quantity(needed_a, 'current')} bring the battery back in time."
    remedies: tuple[Remedy, ...] = ()
    if verdict is Verdict.FAILS:
        change = Change(("premises", premises, "supplies", supply, "charge"), write_quantity(needed_a, "current"))
        remedies = (Remedy(f"Set the charging current to at least {write_quantity(needed_a, 'current')}, or use a stronger charger.", changes=(change,)),)
    return Finding("SUP-08", Link.SUPPLY, verdict, path, says, because, sheet.charge_a, needed_a, "A", margin, None, remedies, sources, subjects)
