"""When what lifts, or can come down, was last examined by somebody competent."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN
from farpress.case.driven import Driven, driven_at, driven_of
from farpress.case.wished import undrawn
from farpress.dates import day_of
from farpress.domain.cautions import LOCAL_CODES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import DeviceRef
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit
from farpress.sources import Citation, Mark

__all__ = ["EXAMINED", "judge_examined"]

YEAR_DAYS: Final = 365.0
HALF_YEAR_DAYS: Final = 183.0
"""Of what may lift people, where its papers do not say."""

_LIFTING: Final = Citation(
    "Lifting Operations and Lifting Equipment Regulations 1998",
    place="regulation 9: at least every 12 months, every 6 where it lifts persons",
    mark=Mark.MEMORY,
)
EXAMINED: Final = Check(
    "DEV-51",
    Link.DEVICE,
    "Days since what lifts a load was last thoroughly examined, against how often that has to be.",
    unit="d",
    bound=AT_MOST,
    stake=Stake.HARM,
    ask="Ask for the report of the last thorough examination.",
    who=Who.CUSTOMER,
    minutes=5.0,
    mends="It examined by a competent person before a fob, or anybody, works it.",
)


def judge_examined(case: Case) -> Iterator[Finding]:
    """DEV-51 of each thing that lifts, and of whatever has a day written for it."""
    seen: set[str] = set()
    for driven in _worked(case):
        if driven.path in seen or not (driven.traits.lifts or driven.sheet.examined is not None):
            continue
        seen.add(driven.path)
        yield _judged(case, driven)


def _worked(case: Case) -> Iterator[Driven]:
    """Everything that is worked, or is wished to be."""
    for output in case.outputs():
        yield from driven_of(case, output)
    for name in case.job.functions:
        for premises, works in undrawn(case, name):
            yield driven_at(case, premises, works)


def _last_day(text: str | None) -> date | None:
    """The day as written; of a month or a year alone its first: who says less is not judged better."""
    year = (text or "").strip()
    is_year = len(year) == 4 and year.isdigit() and int(year)
    return date(int(year), 1, 1) if is_year else day_of(text, day_of_month=1)


def _judged(case: Case, driven: Driven) -> Finding:
    name, sheet = driven.path.split("/")[1], driven.sheet
    last, today = _last_day(sheet.examined), day_of(case.job.details.date)
    usual = HALF_YEAR_DAYS if driven.traits.may_lift_people else YEAR_DAYS
    every = usual if sheet.examined_every_s is None else sheet.examined_every_s / 86400.0
    remedies = (Remedy(f"Have {name} examined by a competent person, before anybody works it"),)
    sources = (*driven.cite("examined", "examined_every_s"), _LIFTING, GIVEN)
    if (sheet.examined or "").strip().casefold() == "never":
        return EXAMINED.decide(
            about=driven.path,
            subjects=(DeviceRef(driven.path),),
            answer=Answer.NO,
            says=f"{name} was never thoroughly examined.",
            because=LOCAL_CODES,
            remedies=remedies,
            sources=sources,
        )
    days = None if last is None or today is None else float((today - last).days)
    asks: list[Ask] = []
    is_to_come = days is not None and days < 0.0
    if is_to_come:
        days = None
        asks.append(
            Ask(f"Ask for the report again: {sheet.examined} lies after the day of the survey.", Who.CUSTOMER)
        )
    if last is None:
        asks.append(Ask(f"Ask for the report of the last thorough examination of {name}.", Who.CUSTOMER, 5.0))
    if today is None:
        asks.append(Ask("Write the day of the survey under 'details'.", Who.INSTALLER, 1.0))
    says = (
        f"When {name} was last thoroughly examined is not known."
        if days is None
        else f"{name} was last thoroughly examined {days:.0f} days before the survey;"
        f" {every:g} days are the most."
    )
    return EXAMINED.judge(
        about=driven.path,
        subjects=(DeviceRef(driven.path),),
        value=Estimate(days, 0.0),
        limit=Limit(every),
        says=says,
        because=LOCAL_CODES,
        asks=asks,
        remedies=remedies,
        sources=sources,
    )
