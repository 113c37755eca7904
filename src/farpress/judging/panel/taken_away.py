"""Zones whose watched thing leaves at times, line and all: a boat that sails, a caravan, an exhibit."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.citations import GIVEN, PRACTICE
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.premises import Panel
from farpress.judging.check import Answer, Check
from farpress.judging.panel.zone_states import ZoneAt

__all__ = ["AWAY", "judge_away"]

AWAY: Final = Check(
    "PAN-50",
    Link.PANEL,
    "A zone whose watched thing leaves at times: taken out of the system by somebody who may, and told, never"
    " bridged.",
    stake=Stake.DUTY,
    ask="Ask who takes the zone out of the system while it is away, and how that is written down.",
    who=Who.ALARM_COMPANY,
    minutes=10.0,
    mends="An area of its own, taken out by a user's code with a record, and in again with a test.",
)


def judge_away(zone_at: ZoneAt, panel: Panel) -> Iterator[Finding]:
    """PAN-50, of a zone of which it is said."""
    zone, name = zone_at.zone, zone_at.name
    if not zone.taken_away_per_day:
        return
    times = round(zone.taken_away_per_day * 365.25, 1)
    areas = [area for area in panel.areas.values() if name in area.zones]
    alone = bool(areas) and all(len(area.zones) == 1 for area in areas)
    with_it = (
        "it is an area of its own"
        if alone
        else "the rest cannot be set without it, or shows a fault all the time"
    )
    head = f"What zone {name} watches leaves {times:g} times a year, and its line is open then: {with_it}"
    by = zone.isolated_by
    asks: tuple[Ask, ...] = ()
    if by is None:
        answer, says = Answer.UNKNOWN, f"{head}. Who takes it out of the system then is not said."
        asks = (
            Ask(
                f"Ask who takes zone {name} out of the system while it is away, and where that is written.",
                Who.ALARM_COMPANY,
                10.0,
            ),
        )
    elif by in ("a bridge", "nobody"):
        answer = Answer.NO
        done = "a bridge is put across it, and forgotten there" if by == "a bridge" else "nobody takes it out"
        says = f"{head}; {done}."
    else:
        answer = Answer.YES if alone else Answer.BARELY
        says = f"{head}; {by} takes it out of the system."
    yield AWAY.decide(
        about=zone_at.about,
        subjects=zone_at.subjects,
        cause=zone_at.ref,
        answer=answer,
        says=says,
        because="" if answer is Answer.YES else "Back again, every contact of it is tried before it counts.",
        asks=asks,
        remedies=(
            Remedy(
                "An area of its own, taken out by a user's code that the panel records, and never bridged"
            ),
        ),
        sources=(PRACTICE, GIVEN),
    )
