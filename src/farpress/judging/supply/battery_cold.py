"""Batteries in the cold: one that must not be charged then, and an empty one that freezes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.parts import BatterySheet, Part
from farpress.domain.refs import SupplyRef
from farpress.judging.check import AT_LEAST, Check, Estimate, Limit, no_edge
from farpress.sources import Citation, Mark

__all__ = ["COLD_BATTERY", "judge_cold"]

COLD_BATTERY: Final = Check(
    "SUP-17",
    Link.SUPPLY,
    "Coldest that a battery becomes, against the coldest at which it may be charged, or stands empty without"
    " freezing.",
    unit="°C",
    bound=AT_LEAST,
    thin=no_edge("both are ends: the coldest night, and a limit of the maker or of the electrolyte"),
    stake=Stake.WEAR,
    ask="Say how cold it becomes in winter where the battery stands.",
    who=Who.CUSTOMER,
    minutes=2.0,
    mends="A place that stays warmer, a battery with a heater and a charger that waits, or one of lead.",
)

LITHIUM_FROM_DEGC: Final = 0.0
"""A lithium battery is not charged below this where its sheet does not say otherwise: lithium plates out on
its electrode, for good; common practice [degC]."""

EMPTY_LEAD_DEGC: Final = -8.0
"""Where the electrolyte of an empty lead battery, about 1.10 kg/l, begins to freeze; from memory [degC]."""

_LITHIUM: Final = Citation("a lithium battery is not charged below 0 °C", mark=Mark.PRACTICE)
_LEAD: Final = Citation("electrolyte of 1.10 kg/l freezes at about -8 °C", mark=Mark.MEMORY)


def judge_cold(
    case: Case, premises: str, supply: str, battery: Part[BatterySheet] | None
) -> Iterator[Finding]:
    """SUP-17 of each battery that is not of lead, and of one of lead that only the sun charges."""
    if battery is None:
        return
    sheet, path = battery.sheet, f"{premises}/{supply}"
    is_solar = case.job.premises[premises].supplies[supply].solar is not None
    is_lead = sheet.chemistry == "lead"
    if (is_lead and not is_solar and sheet.charge_from_degc is None) or (
        sheet.chemistry is None and not is_solar and sheet.coldest_degc is None
    ):
        return
    least, sources = sheet.charge_from_degc, battery.cite("charge_from_degc")
    if least is None and sheet.chemistry == "lithium":
        least, sources = LITHIUM_FROM_DEGC, (_LITHIUM,)
    if is_lead and is_solar and (least is None or least < EMPTY_LEAD_DEGC):
        least, sources = EMPTY_LEAD_DEGC, (_LEAD,)
    asks: list[str | Ask] = []
    if sheet.coldest_degc is None:
        asks.append(Ask(f"Say how cold it becomes where the battery of {path} stands.", Who.CUSTOMER, 2.0))
    if sheet.chemistry is None:
        asks.append(Ask(f"Read off the battery of {path} whether it is lead or lithium.", Who.LABEL))
    elif least is None:
        asks.append(Ask(f"Find how cold the battery of {path} may be while it is charged.", Who.LABEL, 10.0))
    where = "It is not said how cold it becomes where" if sheet.coldest_degc is None else "Where"
    cold = "" if sheet.coldest_degc is None else f" it becomes {sheet.coldest_degc:g} °C"
    does = "an empty one freezes" if is_lead and least == EMPTY_LEAD_DEGC else "it must not be charged"
    told = f"; below {least:g} °C {does}." if least is not None else "; what it stands is not known."
    yield COLD_BATTERY.judge(
        about=path,
        subjects=(SupplyRef(path),),
        value=Estimate(sheet.coldest_degc, None, battery.cite("coldest_degc")),
        limit=Limit(least, sources),
        says=f"{where} the battery of {path} stands{cold}{told}",
        because=_because(is_lead=is_lead),
        asks=asks,
        remedies=(
            Remedy("Stand it where it stays warmer: in the building, or in a box that is insulated"),
            Remedy("A larger panel, so that it is never empty in winter")
            if is_lead
            else Remedy("A battery of lead, or one with a heater and a charger that waits for it"),
        ),
    )


def _because(*, is_lead: bool) -> str:
    if is_lead:
        return "Weeks with little sun leave it empty just when it is coldest; ice breaks its case."
    return "Charged in the cold it loses capacity for good, and may burn later."
