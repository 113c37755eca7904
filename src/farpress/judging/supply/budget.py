"""Judges what a supply must give and for how long: load, standby, charging.

Fuses and cores are judged in `supply_protection`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from farpress.case.cabling import End
from farpress.case.case import Case
from farpress.case.load_scenarios import heaviest_press, scenarios
from farpress.core.wiring.standby import (
    AGEING_FACTOR,
    CHARGE_ACCEPTANCE,
    COLDEST_DEGC,
    battery_capacity_ah,
    demanded_recharge_s,
    demanded_standby_s,
    discharge_factor,
    recharge_current_a,
    standby_s,
    usable_share,
)
from farpress.core.wiring.supply_load import LOAD_SHARE, load_sum_a
from farpress.domain.finding import Change, Finding, Link, Remedy, Verdict
from farpress.domain.parts import BatterySheet, Part, SupplySheet
from farpress.domain.refs import PanelRef, SupplyRef, refs_of
from farpress.judging.supply.protection import PROTECTION_CODES, judge_protection
from farpress.judging.supply.transformers import rectifier_ratio
from farpress.phrases import listed
from farpress.sources import Citation, Mark, cited
from farpress.units import write_quantity

__all__ = ["BUDGET_CODES", "judge_budget"]

BUDGET_CODES: Final[dict[str, str]] = {
    "SUP-03": (
        "Current of everything that can be on together, with each function pressed and with all at once,"
        " against the rating of the supply."
    ),
    "SUP-04": "Hours a battery carries the rest current, against the hours demanded.",
    "SUP-08": "Charging current, against what brings the battery back in time.",
    **PROTECTION_CODES,
}

_DESIGN_SHARE: Final = Citation("80 % of a supply's rating is used in design", mark=Mark.PRACTICE)


_COLD_DEGC: Final = 10.0
"""Where a battery stands in winter, if nobody says: an unheated hall; our choice."""


def judge_budget(
    case: Case,
    premises: str,
    supply: str,
    part: Part[SupplySheet],
    battery: Part[BatterySheet] | None,
    ends: tuple[End, ...],
) -> Iterator[Finding]:
    """Every finding of this module about one supply."""
    path = f"{premises}/{supply}"
    if not ends and battery is None:
        return
    other = case.job.premises[premises].supplies[supply].other_load_a or 0.0
    yield _load(case, premises, path, part, ends, other)
    if battery is not None or _demanded(case, premises, supply, ends) is not None:
        yield _standby(case, premises, supply, battery, ends, other)
    yield from judge_protection(case, path, part, battery, ends)
    if battery is not None:
        yield _charge(case, premises, supply, part, battery, ends, other)


def _load(
    case: Case, premises: str, path: str, part: Part[SupplySheet], ends: tuple[End, ...], other: float
) -> Finding:
    """SUP-03: fails where one press can overload it, thin where only presses in the same moments can."""
    sheet = part.sheet
    always = other + (sheet.charge_a or 0.0)
    ratio, ratio_says, ratio_sources = rectifier_ratio(part, ends)
    found = scenarios(case, premises, ends)
    rest, everything, press = found[0], found[-1], heaviest_press(found)
    total, single = ratio * everything.amperes + always, ratio * (press or everything).amperes + always
    rated = sheet.rated_a or (
        sheet.rated_va / sheet.voltage_v if sheet.rated_va and sheet.voltage_v else None
    )
    ask = [end.ask for end in ends if end.ask] + [f"rated current of {path}" for _ in [0] if rated is None]
    subjects = (SupplyRef(path), *dict.fromkeys(subject for end in ends for subject in end.subjects))
    sources = (
        *part.cite("rated_a", "rated_va", "charge_a"),
        *(source for end in ends for source in end.sources),
        _DESIGN_SHARE,
        *ratio_sources,
    )
    charging = f", {write_quantity(sheet.charge_a, 'current')} of it charging" if sheet.charge_a else ""
    says = f"Everything on draws {write_quantity(total, 'current')} from {path}{charging}"
    heaviest = (
        f" The heaviest single press is '{press.name}': {write_quantity(single, 'current')}, with"
        f" {listed(press.on)} on."
        if press and press.on
        else ""
    )
    because = (
        f"At rest {write_quantity(ratio * rest.amperes + always, 'current')}.{heaviest} Of interlocked"
        f" outputs the larger counts.{ratio_says}"
    )
    stronger = Remedy(
        f"Use a supply of at least {write_quantity(total / LOAD_SHARE, 'current')}, or feed part of it from a"
        " second one."
    )

    def finding(verdict: Verdict, text: str, value: float, remedies: tuple[Remedy, ...] = ()) -> Finding:
        margin = None if rated is None else rated - value
        return Finding(
            "SUP-03",
            Link.SUPPLY,
            verdict,
            path,
            text,
            because,
            value,
            rated,
            "A",
            margin,
            None,
            remedies,
            sources,
            subjects,
        )

    if rated is not None and single > rated * (1 + 1e-9):
        return finding(
            Verdict.FAILS,
            (
                f"{says}, one press already {write_quantity(single, 'current')}; it is rated {rated:g} A."
                if press and single < total
                else f"{says}; it is rated {rated:g} A."
            ),
            single if press else total,
            (stronger,),
        )
    if ask or rated is None:
        room = (
            ""
            if rated is None or not any(end.ask for end in ends)
            else f" There is room for {write_quantity(max(LOAD_SHARE * rated - total, 0.0), 'current')} more."
        )
        return finding(
            Verdict.UNKNOWN,
            f"{says}, as far as currents are known.{room}",
            total,
            (Remedy(f"Find out: {'; '.join(ask)}."),),
        )
    if total > rated * (1 + 1e-9):
        return finding(
            Verdict.THIN,
            f"{says}, more than the {rated:g} A it is rated for; it takes several presses in the same"
            " moments.",
            total,
            (stronger,),
        )
    verdict = Verdict.HOLDS if total <= LOAD_SHARE * rated else Verdict.THIN
    return finding(
        verdict, f"{says}; it is rated {rated:g} A, of which {100 * total / rated:.0f} % are used.", total
    )


def _demanded(
    case: Case, premises: str, supply: str, ends: tuple[End, ...]
) -> tuple[float, str, tuple[Citation, ...]] | None:
    asked = case.job.premises[premises].supplies[supply].standby_s
    if asked is not None:
        return asked, "demanded in the job", (Citation("standby demanded in the job", mark=Mark.GIVEN),)
    grade = _grade(case, premises, ends)
    return (
        None
        if grade is None
        else (demanded_standby_s(grade=grade), f"of grade {grade}", cited(demanded_standby_s))
    )


def _grade(case: Case, premises: str, ends: tuple[End, ...]) -> int | None:
    """Grade of the alarm system if this supply carries a part of it."""
    panels = [ref.path for end in ends for ref in refs_of(PanelRef, end.subjects)]
    grades = [case.equipment.panels[path].sheet.grade for path in panels]
    known = [grade for grade in grades if grade is not None]
    return case.job.grade or max(known, default=None) if panels else None


def _standby(
    case: Case,
    premises: str,
    supply: str,
    battery: Part[BatterySheet] | None,
    ends: tuple[End, ...],
    other: float,
) -> Finding:
    """SUP-04."""
    path = f"{premises}/{supply}"
    rest = load_sum_a(rest_a=[end.rest_a or 0.0 for end in ends]) + other
    demand = _demanded(case, premises, supply, ends)
    subjects = (SupplyRef(path), *dict.fromkeys(subject for end in ends for subject in end.subjects))
    because = (
        f"Rest current {write_quantity(rest, 'current')}, of which {write_quantity(other, 'current')} is the"
        f" supply's other load{_with_panel(case, premises, ends)}."
    )
    wanted_h = demand[0] / 3600 if demand else None
    if battery is None:
        says = f"{path} has no battery, but {wanted_h:g} h of standby are {demand[1] if demand else ''}."
        return Finding(
            "SUP-04",
            Link.SUPPLY,
            Verdict.FAILS,
            path,
            says,
            because,
            0.0,
            wanted_h,
            "h",
            -(wanted_h or 0.0),
            None,
            (_battery_for(rest, wanted_h or 0.0),),
            demand[2] if demand else (),
            subjects,
        )
    sheet = battery.sheet
    ask = [end.ask or f"current of {end.who} while it waits" for end in ends if end.rest_a is None]
    ask += ["capacity of the battery"] * (sheet.capacity_ah is None)
    share, how, share_sources = _usable(battery, wanted_h)
    ask += ["usable share of a battery that stands colder than -3.9 °C"] * (
        sheet.usable_share is None and sheet.coldest_degc is not None and sheet.coldest_degc < COLDEST_DEGC
    )
    ask += ["standby time that is wanted"] * (demand is None) + ["rest current"] * (rest <= 0)
    sources = (
        *battery.cite("capacity_ah", "usable_share"),
        *share_sources,
        *cited(standby_s),
        *(demand[2] if demand else ()),
        *(source for end in ends for source in end.sources),
    )
    because += how
    if sheet.capacity_ah is None or rest <= 0:
        remedy = Remedy(f"Find out: {'; '.join(ask)}.")
        return Finding(
            "SUP-04",
            Link.SUPPLY,
            Verdict.UNKNOWN,
            path,
            f"How long the battery of {path} lasts is not known.",
            because,
            None,
            wanted_h,
            "h",
            remedies=(remedy,),
            sources=sources,
            subjects=subjects,
        )
    hours = standby_s(capacity_ah=sheet.capacity_ah, usable_share=share, load_a=rest) / 3600
    says = (
        f"The battery of {path} carries {write_quantity(rest, 'current')} for {hours:.1f} h"
        f" ({sheet.capacity_ah:g} Ah, {100 * share:.0f} % usable)"
    )
    if wanted_h is not None and hours < wanted_h:
        assert demand is not None
        return Finding(
            "SUP-04",
            Link.SUPPLY,
            Verdict.FAILS,
            path,
            f"{says}; {wanted_h:g} h are {demand[1]}.",
            because,
            hours,
            wanted_h,
            "h",
            hours - wanted_h,
            None,
            (_battery_for(rest, wanted_h, share),),
            sources,
            subjects,
        )
    if ask or wanted_h is None or demand is None:
        remedy = Remedy(f"Find out: {'; '.join(ask)}.")
        if wanted_h:
            spare = sheet.capacity_ah * share / wanted_h - rest
            because += (
                f" What is not known may add up to {write_quantity(spare, 'current')} before {wanted_h:g} h"
                " are missed."
            )
        return Finding(
            "SUP-04",
            Link.SUPPLY,
            Verdict.UNKNOWN,
            path,
            f"{says}, as far as is known.",
            because,
            hours,
            wanted_h,
            "h",
            remedies=(remedy,),
            sources=sources,
            subjects=subjects,
        )
    verdict = Verdict.THIN if hours < 1.1 * wanted_h else Verdict.HOLDS
    because += " Thin means less than 10 % above the demand."
    return Finding(
        "SUP-04",
        Link.SUPPLY,
        verdict,
        path,
        f"{says}; {wanted_h:g} h are {demand[1]}.",
        because,
        hours,
        wanted_h,
        "h",
        hours - wanted_h,
        None,
        (),
        sources,
        subjects,
    )


def _usable(battery: Part[BatterySheet], wanted_h: float | None) -> tuple[float, str, tuple[Citation, ...]]:
    """Usable share of a battery: given, or from wear, discharge and cold."""
    sheet = battery.sheet
    if sheet.usable_share is not None:
        return sheet.usable_share, "", ()
    coldest = sheet.coldest_degc if sheet.coldest_degc is not None else _COLD_DEGC
    share = usable_share(
        discharge_s=3600 * (wanted_h or 12.0), coldest_degc=min(max(coldest, COLDEST_DEGC), 25.0)
    )  # warmth gives no more than the rated capacity
    taken = "" if sheet.coldest_degc is not None else ", our choice as it is not given"
    return (
        share,
        f" Usable: {100 * share:.0f} % of the rated capacity, by wear, discharge and {coldest:g} °C{taken}.",
        (*battery.cite("coldest_degc"), *cited(usable_share)),
    )


def _with_panel(case: Case, premises: str, ends: tuple[End, ...]) -> str:
    within = [
        end.who
        for end in ends
        if end.is_panel
        and end.amperes == 0.0
        and case.equipment.panels[f"{premises}/{end.who}"].sheet.current_a is None
    ]
    return f", taken to hold {' and '.join(within)} as well" if within else ""


def _battery_for(rest_a: float, hours: float, usable_share: float | None = None) -> Remedy:
    """By the usable share where it is given, and never less than the rule for wear and fast discharge
    asks.
    """
    needed = battery_capacity_ah(
        rest_a=rest_a,
        rest_s=hours * 3600,
        alarm_a=0.0,
        alarm_s=0.0,
        ageing=AGEING_FACTOR,
        discharge=discharge_factor(discharge_s=hours * 3600),
    )
    if usable_share:
        needed = max(needed, rest_a * hours / usable_share)
    return Remedy(
        f"Fit a battery of at least {math.ceil(10 * needed - 1e-9) / 10:.1f} Ah.",
        f"{hours:g} h at {write_quantity(rest_a, 'current')}, even when it is worn",
    )


def _charge(
    case: Case,
    premises: str,
    supply: str,
    part: Part[SupplySheet],
    battery: Part[BatterySheet],
    ends: tuple[End, ...],
    other: float,
) -> Finding:
    """SUP-08."""
    path, sheet = f"{premises}/{supply}", part.sheet
    grade = _grade(case, premises, ends)
    within = demanded_recharge_s(grade=grade if grade is not None else 1)
    subjects = (SupplyRef(path),)
    sources = (
        *part.cite("charge_a"),
        *battery.cite("capacity_ah"),
        *cited(demanded_recharge_s),
        Citation("12 V lead: 1.2 Ah put in for 1 Ah gained", mark=Mark.MEMORY),
    )
    because = (
        f"80 % of the capacity in {within / 3600:g} h,"
        f" {f'as grade {grade} demands' if grade else 'taken from grade 1, as no grade is given'}; a lead"
        " battery takes 20 % more than it gives."
    )
    capacity = battery.sheet.capacity_ah
    if capacity is None or sheet.charge_a is None:
        ask = "the capacity of the battery" if capacity is None else "the charging current of the supply"
        needed = (
            " At least"
            f" {write_quantity(recharge_current_a(capacity_ah=capacity, within_s=within, acceptance=CHARGE_ACCEPTANCE), 'current')}"  # noqa: E501
            " are needed."
            if capacity
            else ""
        )
        return Finding(
            "SUP-08",
            Link.SUPPLY,
            Verdict.UNKNOWN,
            path,
            f"Whether the battery of {path} is charged in time is not known.{needed}",
            because,
            remedies=(Remedy(f"Find {ask}."),),
            sources=sources,
            subjects=subjects,
        )
    needed_a = recharge_current_a(capacity_ah=capacity, within_s=within, acceptance=CHARGE_ACCEPTANCE)
    margin = sheet.charge_a - needed_a
    verdict = Verdict.FAILS if margin < 0 else Verdict.THIN if margin < 0.1 * needed_a else Verdict.HOLDS
    says = (
        f"{path} charges with {write_quantity(sheet.charge_a, 'current')};"
        f" {write_quantity(needed_a, 'current')} bring the battery back in time."
    )
    remedies: tuple[Remedy, ...] = ()
    if verdict is Verdict.FAILS:
        change = Change(
            ("premises", premises, "supplies", supply, "charge"), write_quantity(needed_a, "current")
        )
        remedies = (
            Remedy(
                f"Set the charging current to at least {write_quantity(needed_a, 'current')}, or use a"
                " stronger charger.",
                changes=(change,),
            ),
        )
    return Finding(
        "SUP-08",
        Link.SUPPLY,
        verdict,
        path,
        says,
        because,
        sheet.charge_a,
        needed_a,
        "A",
        margin,
        None,
        remedies,
        sources,
        subjects,
    )
