"""The noise diary: when presses fail, hour by hour, and whether a beat is in the bursts that were noted.

It tells when to be there and what to listen for. Who sends is found on foot, never by a
stronger transmitter of our own.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo
from typing import TYPE_CHECKING, Final

from farpress.core.faults.diary import (
    HourShare,
    Period,
    burst_period,
    failures_by_hour,
    hours_uneven_chance,
    more_often_chance,
)
from farpress.domain.acts import ReadingTaken, TrialDone
from farpress.domain.event import Event, happened
from farpress.errors import InputError
from farpress.sources import Citation, cited
from farpress.table_cells import unharmed

if TYPE_CHECKING:
    from farpress.record.store import Record

__all__ = [
    "DIARY",
    "SURE_CHANCE",
    "Always",
    "Diary",
    "Noted",
    "add_noted",
    "noise_diary",
    "noted_from_csv",
    "noted_from_events",
]

DIARY: Final = "diary"
"""Name of the test under which single presses of the diary stand in the record."""

SURE_CHANCE: Final = 0.01
"""Something counts as found if accident shows it less often than this; our choice."""

NO_LEVEL_DBM: Final = -200.0
"""Stands in the record where a burst was heard and no level was read; below anything a receiver can tell."""

SHORTEST_S: Final = 5.0
LONGEST_S: Final = 7200.0
"""Beats between five seconds and two hours are looked for; our choice: sensors send every half minute or
so."""


@dataclass(frozen=True)
class Noted:
    """One line of the diary: at a moment a press worked, or failed, or a burst was heard; from which place
    and with which fob, where that was written down.
    """

    at: datetime
    what: str
    place: str = ""
    fob: str = ""


@dataclass(frozen=True)
class Always:
    """A place, or a fob, that fails at every hour: another cause than what fills certain hours.

    Attributes:
        kind, name: "place" or "fob", and which.
        says: with its figures, in a sentence.
    """

    kind: str
    name: str
    says: str


@dataclass(frozen=True)
class Diary:
    """What the diary shows.

    Attributes:
        hours: hour by hour, local time.
        uneven_chance: chance that failures fall so unevenly on the hours by accident.
        worst: hours in which clearly more fails than in the others.
        period: the beat of the bursts; None where none can be told.
        presses_say: what the presses show, in a sentence.
        bursts_say: what the bursts show, in a sentence; empty where none is noted.
        sources: where the methods come from.
        always: places and fobs that fail outside these hours too, clearly more than all others.
    """

    hours: tuple[HourShare, ...]
    uneven_chance: float
    worst: tuple[int, ...]
    period: Period | None
    presses_say: str
    bursts_say: str
    sources: tuple[Citation, ...]
    always: tuple[Always, ...] = ()

    @property
    def has_beat(self) -> bool:
        """Whether the bursts come by a clock."""
        return self.period is not None and self.period.accident_chance < SURE_CHANCE

    @property
    def says(self) -> tuple[str, ...]:
        """All of it in sentences."""
        second = [f"{found.says} That is another cause." for found in self.always]
        return tuple(text for text in (self.presses_say, *second, self.bursts_say) if text)

    def of(self, kind: str, name: str) -> Always | None:
        """What stands out of a place or fob, by its name with or without its premises; None for nothing."""
        wanted = name.rpartition("/")[2].casefold()
        return next((found for found in self.always if found.kind == kind and found.name == wanted), None)


def noise_diary(noted: Sequence[Noted]) -> Diary:
    """What a diary shows.

    Args:
        noted: its lines, in local time.
    """
    tries = [line for line in noted if line.what in ("worked", "failed")]
    hours_of, failed = [line.at.hour for line in tries], [line.what == "failed" for line in tries]
    hours = failures_by_hour(hours=hours_of, failed=failed) if tries else ()
    chance = hours_uneven_chance(hours=hours_of, failed=failed) if tries else 1.0
    overall = sum(failed) / len(failed) if failed else 0.0
    worst = (
        tuple(hour.hour for hour in hours if hour.failures and hour.low > overall)
        if chance < SURE_CHANCE
        else ()
    )
    bursts = sorted(line.at for line in noted if line.what == "burst")
    times = [(moment - bursts[0]).total_seconds() for moment in bursts]
    period = (
        burst_period(times_s=times, shortest_s=SHORTEST_S, longest_s=LONGEST_S)
        if len(times) >= 5 and times[-1] < 2 * 86400
        else None
    )
    return Diary(
        hours,
        chance,
        worst,
        period,
        _presses_say(failed, chance, worst),
        _bursts_say(len(bursts), period),
        cited(failures_by_hour) + cited(hours_uneven_chance) + cited(burst_period) + cited(more_often_chance),
        tuple(_always([line for line in tries if line.at.hour not in worst])),
    )


def _always(tries: Sequence[Noted]) -> Iterator[Always]:
    """Places and fobs of which clearly more presses failed than of the others, the busy hours left out."""
    for kind in ("place", "fob"):
        names = dict.fromkeys(getattr(line, kind) for line in tries if getattr(line, kind))
        for name in names:
            here = [line.what == "failed" for line in tries if getattr(line, kind) == name]
            others = [line.what == "failed" for line in tries if getattr(line, kind) not in ("", name)]
            chance = more_often_chance(
                failed=sum(here), tries=len(here), others_failed=sum(others), others=len(others)
            )
            if chance < SURE_CHANCE / max(len(names), 1):
                yield Always(
                    kind,
                    name,
                    f"{kind.capitalize()} {name}: {sum(here)} of {len(here)} presses failed at all hours,"
                    f" {sum(others)} of {len(others)} of the others; by accident in {chance:.1%}.",
                )


def _presses_say(failed: Sequence[bool], chance: float, worst: Sequence[int]) -> str:
    if not failed:
        return "No press is noted yet."
    if worst:
        names = ", ".join(f"{hour:02d}:00 to {(hour + 1) % 24:02d}:00" for hour in worst)
        return (
            f"{sum(failed)} of {len(failed)} presses failed, most of them from {names}; by accident so uneven"
            f" in {chance:.1%}. Be there then, with the receiver's signal lamp in sight."
        )
    if not any(failed):
        return f"All {len(failed)} presses worked."
    more = "" if len(failed) >= 40 else " Note every press for a few more days, those that work too."
    return (
        f"{sum(failed)} of {len(failed)} presses failed; no hour stands out (so uneven by accident in"
        f" {chance:.0%}).{more}"
    )


def _bursts_say(bursts: int, period: Period | None) -> str:
    if period is not None and period.accident_chance < SURE_CHANCE:
        return (
            f"The bursts come every {period.period_s:.1f} s: something that reports by a clock, as a sensor"
            " or a weather station does. A timer switched on and off in the neighbourhood finds it."
        )
    if bursts >= 5:
        return f"{bursts} bursts are noted; no regular beat is in them."
    if bursts:
        return f"{bursts} bursts are noted; five or more, with seconds, show whether a beat is in them."
    return ""


def noted_from_csv(text: str) -> list[Noted]:
    """A diary from a table with the columns "time" and "what" (worked, failed, burst), and if kept "place"
    and "fob".

    Times are "2026-11-25 07:05:12", or "07:05:12" for one day.

    Raises:
        InputError: no such columns, or lines that cannot be read; every fault with its row.
    """
    clean = text.lstrip("\ufeff")
    head_line = clean.splitlines()[0] if clean.strip() else ""
    rows = list(csv.reader(io.StringIO(clean), delimiter=max(",;\t", key=head_line.count)))
    head = [cell.strip().casefold() for cell in rows[0]] if rows else []
    if "time" not in head or "what" not in head:
        raise InputError(
            f"the first row has {', '.join(head) or 'nothing'}; the columns 'time' and 'what' are wanted"
            " (worked, failed or burst)"
        )
    found, faults = [], []
    for number, row in enumerate(rows[1:], start=2):
        cells = dict(zip(head, (unharmed(cell.strip()) for cell in row)))
        if not any(cells.values()):
            continue
        moment, what = _moment(cells.get("time", "")), cells.get("what", "").casefold()
        if moment is None:
            faults.append(
                f"row {number}: '{cells.get('time', '')}' is no time; write it as 2026-11-25 07:05:12"
            )
        if what not in ("worked", "failed", "burst"):
            faults.append(f"row {number}: '{cells.get('what', '')}' is not worked, failed or burst")
        if moment is not None and what in ("worked", "failed", "burst"):
            place, fob = (cells.get(name, "").casefold() for name in ("place", "fob"))
            found.append(Noted(moment, what, place, fob))
    if faults:
        raise InputError(
            f"{len(faults)} cell{'s' if len(faults) != 1 else ''} cannot be read.\n" + "\n".join(faults)
        )
    return found


def _moment(text: str) -> datetime | None:
    for form in ("%H:%M:%S", "%H:%M"):
        try:
            return datetime.strptime(f"2026-01-01 {text}", f"%Y-%m-%d {form}")
        except ValueError:
            continue
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        return None


def noted_from_events(events: Iterable[Event], zone: tzinfo | None = None) -> list[Noted]:
    """The diary that stands in a record: presses that were entered, and bursts.

    Args:
        events: of the record.
        zone: local time; None for UTC.
    """
    noted = []
    for event, act in happened(events, TrialDone, ReadingTaken):
        moment = datetime.strptime(event.moment, "%Y-%m-%dT%H:%M:%S.%fZ").replace(tzinfo=UTC)
        local = _on_paper(act.noted, zone) or moment.astimezone(zone or UTC)
        if isinstance(act, TrialDone):
            noted += [
                Noted(
                    local + timedelta(seconds=number),
                    "worked" if number < act.heard else "failed",
                    act.place.casefold(),
                    act.fob.casefold(),
                )
                for number in range(0 if act.pad_db else min(act.presses, 1000))
            ]
        elif act.what == "noise":
            noted.append(Noted(local, "burst"))
    return noted


def _on_paper(noted: str, zone: tzinfo | None) -> datetime | None:
    """The moment a line had before it was entered; None where it was entered at once."""
    moment = _moment(noted) if noted else None
    return moment.replace(tzinfo=moment.tzinfo or zone or UTC) if moment is not None else None


def add_noted(
    record: Record, job: str, premises: str, what: str, *, by: str, level_dbm: float | None = None
) -> None:
    """Write one line of the diary into a record, at this moment.

    Raises:
        InputError: something else than worked, failed or burst.
    """
    if what not in ("worked", "failed", "burst"):
        raise InputError(f"'{what}' is not worked, failed or burst")
    if what == "burst":
        level = NO_LEVEL_DBM if level_dbm is None else level_dbm
        burst = ReadingTaken(what="noise", where=f"premises:{premises}", value=level, unit="dBm")
        record.append(burst, job=job, by=by)
    else:
        press = TrialDone(test=DIARY, presses=1, heard=int(what == "worked"))
        record.append(press, job=job, by=by)
