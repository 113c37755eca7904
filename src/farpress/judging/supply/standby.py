"""Judges how long a battery carries what hangs on its supply, and whether it is charged again in time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.cabling import End, ends_of
from farpress.case.case import Case
from farpress.core.wiring.standby import (
    AGEING_FACTOR,
    CHARGE_ACCEPTANCE,
    COLDEST_DEGC,
    RECHARGED_SHARE,
    battery_capacity_ah,
    demanded_recharge_s,
    demanded_standby_s,
    discharge_factor,
    recharge_current_a,
    standby_s,
    usable_share,
)
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Stake, Verdict, Who
from farpress.domain.parts import BatterySheet, Part, SupplySheet
from farpress.domain.refs import PanelRef, SupplyRef, refs_of
from farpress.judging.check import AT_LEAST, Check, Estimate, Limit
from farpress.judging.supply.asks import rest_current_of
from farpress.judging.supply.on_mains import is_let_go
from farpress.judging.supply.standby_draw import ALARM, ALARM_S, StandbyDraw, standby_draw
from farpress.phrases import listed
from farpress.sources import Citation, Mark, cited
from farpress.units import rounded_up, write_at_least, write_quantity, write_share

__all__ = ["CHARGING_CURRENT", "HOURS_OF_BATTERY", "ask_usable", "judge_standby", "usable_of"]

HOURS_OF_BATTERY: Final = Check(
    "SUP-04",
    Link.SUPPLY,
    (
        "Hours a battery carries what waits, what stays on, what is on for a while each day and one alarm,"
        " against the hours demanded."
    ),
    unit="h",
    bound=AT_LEAST,
    stake=Stake.PROMISE,
    ask="Read the capacity off the battery.",
    mends="A larger battery, or less that draws at rest.",
)

CHARGING_CURRENT: Final = Check(
    "SUP-08",
    Link.SUPPLY,
    "Charging current, against what brings the battery back in time.",
    unit="A",
    bound=AT_LEAST,
    stake=Stake.WEAR,
    ask="Read the charging current off the supply or its data sheet.",
    mends="A stronger charger, or a smaller battery.",
)

COLD_DEGC: Final = 10.0
"""Where a battery stands in winter, if nobody says: an unheated hall; our choice."""

DISCHARGE_TAKEN_S: Final = 12.0 * 3600.0
"""Length of a discharge where no standby is demanded, grade 1 and 2; our choice."""

WARMEST_COUNTED_DEGC: Final = 25.0
"""Warmth beyond this gives no more than the rated capacity: base of IEEE 485, from memory."""

GRADE_TAKEN: Final = 1
"""Grade by whose time a battery is charged where no alarm panel hangs on it; our choice, the least."""

_LEAD: Final = Citation(f"12 V lead: {CHARGE_ACCEPTANCE:g} Ah put in for 1 Ah gained", mark=Mark.MEMORY)

_GIVEN: Final = Citation("standby demanded in the job", mark=Mark.GIVEN)


@dataclass(frozen=True)
class _Demand:
    """Standby that is demanded: hours, by whom, and who says so."""

    hours: float
    says: str
    sources: tuple[Citation, ...]


def judge_standby(
    case: Case,
    premises: str,
    supply: str,
    part: Part[SupplySheet],
    battery: Part[BatterySheet] | None,
    ends: tuple[End, ...],
) -> Iterator[Finding]:
    """SUP-04 where there is a battery, or somebody demands one or may do so; SUP-08 where there is one.

    What hangs on a supply that is fed from another counts there, and not here.
    """
    house = case.job.premises[premises]
    if house.supplies[supply].fed is not None and battery is None:
        return
    ends = (*ends, *_behind_converters(case, premises, ends))
    demand, is_grade_open = _demand(case, premises, supply, ends), _is_grade_open(case, premises, ends)
    if battery is not None or demand is not None or is_grade_open:
        yield _standby(case, premises, supply, battery, ends, demand)
    if battery is not None and case.job.premises[premises].supplies[supply].solar is None:
        yield _charge(case, premises, supply, part, battery, ends)


def _behind_converters(case: Case, premises: str, ends: tuple[End, ...]) -> tuple[End, ...]:
    """What hangs on supplies that this one feeds."""
    own = {name: ends_of(case, premises, name) for name in (end.gives for end in ends) if name}
    return tuple(
        end for found in own.values() for end in (*found, *_behind_converters(case, premises, found))
    )


def _demand(case: Case, premises: str, supply: str, ends: tuple[End, ...]) -> _Demand | None:
    asked = case.job.premises[premises].supplies[supply].standby_s
    if asked is not None:
        return _Demand(asked / 3600, "demanded in the job", (_GIVEN,))
    grade = _grade(case, premises, ends)
    if grade is None:
        return None
    return _Demand(demanded_standby_s(grade=grade) / 3600, f"of grade {grade}", cited(demanded_standby_s))


def _panels(premises: str, ends: tuple[End, ...]) -> tuple[str, ...]:
    return tuple(ref.path for end in ends for ref in refs_of(PanelRef, end.subjects))


def _grade(case: Case, premises: str, ends: tuple[End, ...]) -> int | None:
    """Grade of the alarm system if this supply carries a part of it."""
    panels = _panels(premises, ends)
    grades = [case.equipment.panels[path].sheet.grade for path in panels]
    known = [grade for grade in grades if grade is not None]
    return case.job.grade or max(known, default=None) if panels else None


def _is_grade_open(case: Case, premises: str, ends: tuple[End, ...]) -> bool:
    """Whether a part of an alarm system hangs here of which nobody says the grade."""
    return bool(_panels(premises, ends)) and _grade(case, premises, ends) is None


def _ask_grade(premises: str) -> Ask:
    return Ask(
        f"Say which grade the alarm system of {premises} has: its certificate or the alarm company knows.",
        Who.ALARM_COMPANY,
        5.0,
    )


def _standby(
    case: Case,
    premises: str,
    supply: str,
    battery: Part[BatterySheet] | None,
    ends: tuple[End, ...],
    demand: _Demand | None,
) -> Finding:
    """SUP-04: no battery carries for no time at all."""
    path = f"{premises}/{supply}"
    other = case.job.premises[premises].supplies[supply].other_load_a or 0.0
    draw = standby_draw(case, premises, supply)
    rest = draw.mean_a
    wanted_h = demand.hours if demand else None
    asks: list[str | Ask] = []
    because = (
        f"Rest current {write_quantity(draw.rest_a, 'current')}, of which"
        f" {write_quantity(other, 'current')} is the supply's other load{_with_panel(ends)}."
        f"{draw.says}"
    )
    sources: tuple[Citation, ...] = demand.sources if demand else ()
    wanted = f"; {demand.hours:g} h are {demand.says}" if demand else ""
    share: float | None = None
    if demand is None and _is_grade_open(case, premises, ends):
        asks.append(_ask_grade(premises))
    elif demand is None:
        asks.append(
            Ask(f"Say how long what hangs on {path} must work when the mains fails.", Who.CUSTOMER, 2.0)
        )
    if battery is None:
        hours: float | None = 0.0
        carries = f"{path} has no battery"
    else:
        sheet = battery.sheet
        share, how, share_sources = usable_of(battery, wanted_h)
        because += how
        sources = (
            *battery.cite("capacity_ah", "usable_share"),
            *share_sources,
            *cited(standby_s),
            *((ALARM,) if draw.alarm_ah else ()),
            *sources,
            *(source for end in ends for source in end.sources),
        )
        asks += _battery_asks(path, battery, ends, rest)
        if sheet.capacity_ah is None or rest <= 0:
            hours = None
            carries = f"How long the battery of {path} lasts is not known"
        else:
            left_ah = max(sheet.capacity_ah - draw.alarm_ah / share, 0.0) if share else 0.0
            hours = standby_s(capacity_ah=left_ah, usable_share=share, load_a=rest) / 3600
            carries = (
                f"The battery of {path} carries {write_quantity(rest, 'current')} for {hours:.1f} h"
                f" ({sheet.capacity_ah:g} Ah, {write_share(share, '.0f')} usable)"
            )
            if wanted_h and hours < wanted_h:
                because += _kept_warm(sheet, left_ah, rest, wanted_h, share)
            if draw.open_a > 0:
                most = rest + draw.open_a
                least = standby_s(capacity_ah=left_ah, usable_share=share, load_a=most) / 3600
                because += (
                    f" If all of which nobody says what it draws while it waits is on, it is"
                    f" {write_quantity(most, 'current')} for {least:.1f} h."
                )
            if asks and wanted_h and hours >= wanted_h:
                spare = left_ah * share / wanted_h - rest
                because += (
                    f" What is not known may add up to {write_quantity(spare, 'current')} before"
                    f" {wanted_h:g} h are missed."
                )

    def says(verdict: Verdict) -> str:
        if hours is None:
            return f"{carries}."
        return f"{carries}, as far as is known." if verdict is Verdict.UNKNOWN else f"{carries}{wanted}."

    return HOURS_OF_BATTERY.judge(
        about=path,
        subjects=(SupplyRef(path),),
        value=Estimate(hours),
        limit=Limit(wanted_h),
        says=says,
        because=because,
        asks=asks,
        remedies=lambda verdict: (*_off_battery(case, ends), _battery_for(draw, wanted_h or 0.0, share)),
        sources=sources,
    )


def _off_battery(case: Case, ends: tuple[End, ...]) -> tuple[Remedy, ...]:
    """What is to let go without power needs no battery."""
    held = [end for end in ends if is_let_go(case, end)]
    if not held:
        return ()
    amperes = sum(end.amperes or 0.0 for end in held)
    return (
        Remedy(
            f"Take {listed([end.who for end in held])} off the battery: without power they are to let go",
            f"{write_quantity(amperes, 'current')} less",
        ),
    )


def _battery_asks(
    path: str, battery: Part[BatterySheet], ends: tuple[End, ...], rest_a: float
) -> list[str | Ask]:
    sheet = battery.sheet
    asks: list[str | Ask] = [rest_current_of(end) for end in ends if end.rest_a is None]
    if sheet.usable_share is None and sheet.chemistry != "lead":
        asks.append(ask_usable(path, sheet))
    if sheet.capacity_ah is None:
        asks.append(f"Read the capacity of the battery of {path} off its label.")
    if sheet.usable_share is None and sheet.coldest_degc is not None and sheet.coldest_degc < COLDEST_DEGC:
        asks.append(
            f"Find which share of the battery of {path} is usable colder than {COLDEST_DEGC:g} °C: its maker"
            " says so."
        )
    if rest_a <= 0:
        asks.append(Ask(f"Measure the rest current of what hangs on {path}.", Who.METER, 10.0))
    return asks


def usable_of(battery: Part[BatterySheet], wanted_h: float | None) -> tuple[float, str, tuple[Citation, ...]]:
    """Usable share of a battery: given, or from wear, discharge and cold."""
    sheet = battery.sheet
    if sheet.usable_share is not None:
        return sheet.usable_share, "", ()
    coldest = sheet.coldest_degc if sheet.coldest_degc is not None else COLD_DEGC
    share = usable_share(
        discharge_s=3600 * wanted_h if wanted_h else DISCHARGE_TAKEN_S,
        coldest_degc=min(max(coldest, COLDEST_DEGC), WARMEST_COUNTED_DEGC),
    )
    taken = "" if sheet.coldest_degc is not None else ", our choice as it is not given"
    return (
        share,
        f" Usable: {write_share(share, '.0f')} of the rated capacity, by wear, discharge and"
        f" {coldest:g} °C{taken}.",
        (*battery.cite("coldest_degc"), *cited(usable_share)),
    )


def ask_usable(path: str, sheet: BatterySheet) -> Ask:
    """What is asked of a battery whose use in the cold no rule kept here tells: the rule is one for lead."""
    if sheet.chemistry is None:
        return Ask(f"Read off the battery of {path} whether it is lead or lithium.", Who.LABEL)
    return Ask(
        f"Find which share of the battery of {path} is usable when it is worn and cold.", Who.LABEL, 10.0
    )


def _kept_warm(sheet: BatterySheet, left_ah: float, rest_a: float, wanted_h: float, share: float) -> str:
    """What it would carry where it is never cold, if nobody says how cold it gets."""
    warm = usable_share(discharge_s=3600 * wanted_h, coldest_degc=WARMEST_COUNTED_DEGC)
    if sheet.coldest_degc is not None or warm <= share:
        return ""
    hours = standby_s(capacity_ah=left_ah, usable_share=warm, load_a=rest_a) / 3600
    needed = rounded_up(rest_a * wanted_h / warm, 1)
    return (
        f" At {WARMEST_COUNTED_DEGC:g} °C, where it is rated, {write_share(warm, '.0f')} would be usable:"
        f" {hours:.1f} h, and {needed:g} Ah would carry what waits; give its 'coldest'."
    )


def _with_panel(ends: tuple[End, ...]) -> str:
    within = [end.who for end in ends if end.is_panel and end.amperes == 0.0]
    return f", said to hold {' and '.join(within)} as well" if within else ""


def _battery_for(draw: StandbyDraw, hours: float, usable_share: float | None = None) -> Remedy:
    """By the usable share where it is given, and never less than the rule for wear and fast discharge
    asks.
    """
    needed = battery_capacity_ah(
        rest_a=draw.mean_a,
        rest_s=hours * 3600,
        alarm_a=3600 * draw.alarm_ah / ALARM_S,
        alarm_s=ALARM_S,
        ageing=AGEING_FACTOR,
        discharge=discharge_factor(discharge_s=hours * 3600),
    )
    if usable_share:
        needed = max(needed, (draw.mean_a * hours + draw.alarm_ah) / usable_share)
    return Remedy(
        f"Fit a battery of at least {rounded_up(needed, 1):.1f} Ah.",
        f"{hours:g} h at {write_quantity(draw.mean_a, 'current')}"
        f"{' and an alarm' if draw.alarm_ah else ''}, even when it is worn",
    )


def _charge(
    case: Case,
    premises: str,
    supply: str,
    part: Part[SupplySheet],
    battery: Part[BatterySheet],
    ends: tuple[End, ...],
) -> Finding:
    """SUP-08: of a panel whose grade nobody says, the longest time is the least that is asked."""
    path, charge_a = f"{premises}/{supply}", part.sheet.charge_a
    grade, is_grade_open = _grade(case, premises, ends), _is_grade_open(case, premises, ends)
    within = demanded_recharge_s(grade=grade if grade is not None else GRADE_TAKEN)
    capacity = battery.sheet.capacity_ah
    needed_a = (
        None
        if capacity is None
        else recharge_current_a(capacity_ah=capacity, within_s=within, acceptance=CHARGE_ACCEPTANCE)
    )
    needed = "" if needed_a is None else write_at_least(needed_a, "current")
    asks: list[str | Ask] = [_ask_grade(premises)] if is_grade_open else []
    if capacity is None:
        asks.append(f"Read the capacity of the battery of {path} off its label.")
    if charge_a is None:
        asks.append(f"Find the charging current of {path} in its data sheet.")

    by_grade = (
        f"as grade {grade} demands" if grade else f"taken from grade {GRADE_TAKEN}, as no grade is given"
    )

    def says(verdict: Verdict) -> str:
        if charge_a is None or needed_a is None or verdict is Verdict.UNKNOWN:
            least = f" At least {needed} are needed." if needed else ""
            return f"Whether the battery of {path} is charged in time is not known.{least}"
        charges = f"{path} charges with {write_quantity(charge_a, 'current')}"
        return f"{charges}; {needed} bring the battery back in time."

    def stronger(verdict: Verdict) -> tuple[Remedy, ...]:
        if verdict is not Verdict.FAILS:
            return ()
        change = Change(("premises", premises, "supplies", supply, "charge"), needed)
        return (
            Remedy(
                f"Set the charging current to at least {needed}, or use a stronger charger.",
                changes=(change,),
            ),
        )

    return CHARGING_CURRENT.judge(
        about=path,
        subjects=(SupplyRef(path),),
        value=Estimate(charge_a),
        limit=Limit(needed_a),
        says=says,
        because=(
            f"{write_share(RECHARGED_SHARE, '.0f')} of the capacity in {within / 3600:g} h,"
            f" {by_grade}; a lead battery takes {write_share(CHARGE_ACCEPTANCE - 1, '.0f')} more than"
            " it gives, any other less."
        ),
        asks=asks,
        remedies=stronger,
        sources=(*part.cite("charge_a"), *battery.cite("capacity_ah"), *cited(demanded_recharge_s), _LEAD),
    )
