"""What drifts and wears: levels at each place against their baseline, relay contacts, standby batteries."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from farpress.case.case import Case
from farpress.core.upkeep.cusum import CusumSignal, cusum, cusum_run_length, cusum_signal
from farpress.core.upkeep.weibull import failed_share, life_at_share_years
from farpress.dates import YEAR_DAYS, add_months, day_of, years_between
from farpress.domain.acts import BatteryChanged, ReadingTaken, ReceiverReplaced
from farpress.domain.event import Event, happened
from farpress.domain.finding import Finding
from farpress.faults.priors import BATTERY_SHAPE, BATTERY_YEARS
from farpress.judging.contact import load as contact
from farpress.reach.radio_budget import READING_SD_DB

__all__ = ["BatteryAge", "ContactWear", "PlaceWatch", "battery_ages", "contact_wear", "place_watch"]

SLACK_SDS: Final = 0.5
"""A lasting change of one spread of a reading shall be noticed; usual."""

LIMIT_SDS: Final = 2.5
"""With a few readings a year the usual 4 to 5 would take many years; our choice, with more false alarms."""

CYCLED_MONTHS: Final = 24
"""After which a battery that the sun charges is measured at the latest; our choice."""

WORN_SHARE: Final = 0.8
"""Of its capacity, below which a lead battery is worn out; common practice, IEEE 450 and 1188 from memory."""

BATTERY_DUE_SHARE: Final = 0.1
"""A battery is due when one in ten of its age has failed; our choice."""


@dataclass(frozen=True)
class PlaceWatch:
    """Levels read from one place at one receiver, in the order of time.

    Attributes:
        place, receiver, held: from where, to where, how held.
        readings: day ("" for the job file's) and level [dBm].
        baseline_dbm: first reading, or the mean of those of the job file.
        low_db: sum downwards now [dB].
        limit_db: at which it signals [dB].
        signal: the first signal; None for none.
        says: in a sentence.
    """

    place: str
    receiver: str
    held: str
    readings: tuple[tuple[str, float], ...]
    baseline_dbm: float
    low_db: float
    limit_db: float
    signal: CusumSignal | None
    says: str


@dataclass(frozen=True)
class ContactWear:
    """Operations of one contact against its life.

    Attributes:
        output: its path.
        done, life: operations since it is in use, and at its load.
        due_on: when nine tenths are used up.
        says: in a sentence.
    """

    output: str
    done: float
    life: float
    due_on: date
    says: str


@dataclass(frozen=True)
class BatteryAge:
    """Age of a standby battery.

    Attributes:
        supply: its path.
        changed_on: when; None if nobody wrote it down.
        failed_share: of batteries of that age; None for one that the sun charges.
        due_on: when it is to be changed; today where its age is not known.
        says: in a sentence.
    """

    supply: str
    changed_on: date | None
    failed_share: float | None
    due_on: date
    says: str


def place_watch(case: Case, events: Iterable[Event]) -> tuple[PlaceWatch, ...]:
    """Levels of each place against their baseline, with a cumulative sum.

    Args:
        case: the job; its own readings are the baseline.
        events: of the record; readings of levels are taken in the order of time.
    """
    rows: dict[tuple[str, str, str], list[tuple[str, float]]] = {}
    base: dict[tuple[str, str, str], list[float]] = {}
    for reading in case.without_evidence().job.readings:
        if reading.level_dbm is not None and reading.aerial_at is None:
            place = case.place(reading.place, reading.receiver.split("/")[0])
            if place is not None:
                base.setdefault(("/".join(place), reading.receiver, reading.held or "in hand"), []).append(
                    reading.level_dbm + (reading.pad_db or 0.0)
                )
    for event, taken in happened(events, ReadingTaken):
        kind, _, name = taken.where.partition(":")
        if taken.what == "level" and kind == "place":
            key = (name, taken.receiver, taken.held or "in hand")
            rows.setdefault(key, []).append((event.moment[:10], taken.value + (taken.pad_db or 0.0)))
    return tuple(_watched(key, base.get(key, []), later) for key, later in rows.items())


def _watched(key: tuple[str, str, str], base: list[float], later: list[tuple[str, float]]) -> PlaceWatch:
    baseline = sum(base) / len(base) if base else later[0][1]
    levels = [level for _, level in later]
    slack, limit = SLACK_SDS * READING_SD_DB, LIMIT_SDS * READING_SD_DB
    low = cusum(readings=levels, target=baseline, slack=slack)[-1].low
    signal = cusum_signal(readings=levels, target=baseline, slack=slack, limit=limit)
    place, receiver, held = key
    if signal is not None and signal.direction == "down":
        says = (
            f"The level from {place} at {receiver} has come down: {levels[-1]:.0f} dBm against {baseline:.0f}"
            f" at the beginning, since about {later[signal.began - 1][0]}. Look for a bad connector, a bent"
            " aerial or something new in the way, before presses fail."
        )
    elif signal is not None:
        says = (
            f"The level from {place} at {receiver} has gone up: {levels[-1]:.0f} dBm against {baseline:.0f}."
            " Something was moved, or it was read in another way."
        )
    else:
        quiet = cusum_run_length(shift=0.0, slack=SLACK_SDS, limit=LIMIT_SDS, two_sided=True)
        soon = cusum_run_length(shift=2.0, slack=SLACK_SDS, limit=LIMIT_SDS)
        says = (
            f"The level from {place} at {receiver} is steady: {levels[-1]:.0f} dBm against {baseline:.0f}. A"
            f" lasting loss of {2 * READING_SD_DB:.0f} dB is noticed after {soon:.1f} readings on average;"
            f" one false alarm in {quiet:.0f}."
        )
    return PlaceWatch(
        place, receiver, held, (*(("", level) for level in base), *later), baseline, low, limit, signal, says
    )


def contact_wear(
    case: Case, events: Iterable[Event], *, today: date, since: date | None = None
) -> tuple[ContactWear, ...]:
    """Operations of each contact whose life and use are known.

    Args:
        case: the job.
        events: of the record: a receiver that was replaced begins anew.
        today: until when.
        since: when the receivers came into use; None takes the first event, or today.
    """
    known = tuple(events)
    first = since or next((day for event in known if (day := day_of(event.moment)) is not None), None)
    begun = {
        replaced.receiver: day
        for event, replaced in happened(known, ReceiverReplaced)
        if (day := day_of(event.moment)) is not None
    }
    lives: dict[str, Finding] = {
        finding.about: finding
        for finding in contact.judge(case)
        if finding.code == "CON-06" and finding.value is not None
    }
    found = []
    for output in case.outputs():
        life, rate = lives.get(output.path), output.output.operations_per_day
        if life is None or life.value is None or not rate:
            continue
        start = begun.get(output.receiver_path, first or today)
        done = max((today - start).days, 0) * rate
        days = min(0.9 * life.value / rate, 40_000.0)
        due = start + timedelta(days=round(days))
        share = done / life.value
        says = (
            f"Contact {output.number} of {output.receiver} has made about {done:,.0f} of {life.value:,.0f}"
            f" operations ({share:.0%})"
            + (f"; replace the receiver or its relay by {due:%B %Y}." if days < 15 * YEAR_DAYS else ".")
        )
        found.append(ContactWear(output.path, done, life.value, due, says))
    return tuple(found)


def battery_ages(case: Case, events: Iterable[Event], *, today: date) -> tuple[BatteryAge, ...]:
    """Age of each standby battery, and when it is due.

    Args:
        case: the job, with the dates of the last changes.
        events: of the record: batteries changed since.
        today: until when.
    """
    changed: dict[str, date] = {}
    for event, battery in happened(events, BatteryChanged):
        day = day_of(event.moment)
        if day is not None:
            changed[battery.supply] = day
    life = life_at_share_years(share=BATTERY_DUE_SHARE, mean_years=BATTERY_YEARS, shape=BATTERY_SHAPE)
    found = []
    for premises, house in case.job.premises.items():
        for name, supply in house.supplies.items():
            if supply.battery is None:
                continue
            path = f"{premises}/{name}"
            written = day_of(supply.battery.changed)
            day = max((known for known in (written, changed.get(path)) if known is not None), default=None)
            if day is None:
                found.append(
                    BatteryAge(
                        path,
                        None,
                        0.0,
                        today,
                        f"Nobody wrote down when the battery of {path} was changed: read its date, or"
                        " change it.",
                    )
                )
                continue
            if (day.year, day.month) > (today.year, today.month):
                says = (
                    f"The battery of {path} is said to have been changed on {day}, which has not come yet:"
                    " read its date."
                )
                found.append(BatteryAge(path, None, 0.0, today, says))
                continue
            if supply.solar is not None:
                due = add_months(day, CYCLED_MONTHS)
                says = (
                    f"The battery of {path} has been emptied and charged by the sun every day since {day}:"
                    f" its age says little. Measure by {due:%B %Y} what it still holds, and change it below"
                    f" {WORN_SHARE:.0%} of its capacity (common practice)."
                )
                found.append(BatteryAge(path, day, None, due, says))
                continue
            age = max(years_between(day, today), 0.0)
            share = failed_share(age_years=age, mean_years=BATTERY_YEARS, shape=BATTERY_SHAPE)
            due = day + timedelta(days=round(life * YEAR_DAYS))
            found.append(
                BatteryAge(
                    path,
                    day,
                    share,
                    due,
                    f"The battery of {path} is {age:.1f} years old; by then {share:.0%} have failed. Change"
                    f" it by {due:%B %Y} ({life:.1f} years; common practice: a mean life of {BATTERY_YEARS:g}"
                    " years).",
                )
            )
    return tuple(found)
