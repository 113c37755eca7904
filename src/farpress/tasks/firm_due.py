"""What is due over all jobs: fobs to delete, cells and batteries to change, faults that wait; joined into tours.

A tour is a day's round from the firm's own town. Without driving times the work is still
gathered by town, and it is said which times are missing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

from farpress.core.keys.tour import shortest_round
from farpress.domain.register import FobState, Register
from farpress.errors import InputError
from farpress.tasks.case import Case
from farpress.tasks.firm import Firm
from farpress.tasks.firm_across import Unread, cases_of, registers_of
from farpress.tasks.firm_facts import towns_of

if TYPE_CHECKING:
    from farpress.domain.event import Event

__all__ = ["Due", "Outlook", "Task", "Tour", "due", "outlook", "roads", "set_road", "tours"]

MINUTES: Final = {"delete a fob": 6.0, "change a cell": 4.0, "change a battery": 20.0, "look into a fault": 45.0}
"""At the premises, in minutes; common practice, no source. Replace them by what your own visits take."""

BATTERY_YEARS: Final = 4.0
"""A lead battery on standby is changed after so many years; common practice, no source."""

SITE_MINUTES: Final = 15.0
"""To get in, greet, and write up, at each premises; common practice, no source."""

DAY_MINUTES: Final = 420.0
"""Of a tour, driving included: seven hours of eight; our choice."""

MOST_TOWNS: Final = 8
"""In one tour, the start not counted: all orders of so many are tried."""


@dataclass(frozen=True)
class Task:
    """One thing to do at one premises.

    Attributes:
        kind: one of `MINUTES`.
        job, premises, town: where.
        what: in words.
        due: date by which, as "2026-12-01"; a date that has passed is late.
    """

    kind: str
    job: str
    premises: str
    town: str
    what: str
    due: str


@dataclass(frozen=True)
class Due:
    """Everything due until a date, and the jobs that could not be read."""

    tasks: tuple[Task, ...]
    unread: tuple[Unread, ...]


@dataclass(frozen=True)
class Tour:
    """A day's round.

    Attributes:
        towns: in the order of driving, start and end included where the start is known.
        tasks: town by town.
        work_minutes, drive_minutes: the second is None where a driving time is missing.
        missing: pairs of towns without a driving time.
    """

    towns: tuple[str, ...]
    tasks: tuple[Task, ...]
    work_minutes: float
    drive_minutes: float | None
    missing: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Outlook:
    """The year ahead.

    Attributes:
        months: month as "2026-12" → kind of task → number.
        filling: (job, receiver, what is said of its memory) where it is full within the year or fails already.
        unread: jobs that could not be read.
    """

    months: dict[str, dict[str, int]]
    filling: tuple[tuple[str, str, str], ...]
    unread: tuple[Unread, ...] = field(default=())


def due(firm: Firm, *, until: date, today: date, progress: Callable[[str], None] | None = None) -> Due:
    """Everything due at jobs that are not archived, the earliest first.

    A fob that was lost, handed in, blocked or destroyed, or whose holder left, is to be deleted
    wherever it is still learned. A cell is due when it was reported low, or at the age that
    the job's own presses give it (finding FOB-04). A reported fault waits until it is closed.
    """
    firm.may("look")
    unread: list[Unread] = []
    registers = {job: register for job, register, _ in registers_of(firm)}
    faults = _open_faults(firm.shelf.record.events(kinds=("fault reported", "fault closed")))
    changed = _batteries(firm.shelf.record.events(kinds=("battery changed",)))
    tasks: list[Task] = []
    for case in cases_of(firm, tuple(entry.job for entry in firm.shelf.entries()), unread):
        job = case.job.job
        if progress is not None:
            progress(job)
        towns = towns_of(case.job)
        register = registers.get(job, Register())
        for kind, premises, what, by in (
            *_deletions(register, today), *_cells(case, register, today), *_old_batteries(case, changed), *_faults(case, faults.get(job, ()), today),
        ):
            if by <= until.isoformat():
                tasks.append(Task(kind, job, premises, towns.get(premises, ""), what, by))
    return Due(tuple(sorted(tasks, key=lambda one: (one.due, one.job, one.premises, one.kind, one.what))), tuple(unread))


def tours(firm: Firm, tasks: Iterable[Task], *, start: str = "") -> tuple[Tour, ...]:
    """Day tours that do all the tasks, the most urgent towns first.

    Args:
        firm: whose driving times.
        tasks: as from `due`.
        start: town where a tour begins and ends; empty if it is not known.
    """
    by_town: dict[str, list[Task]] = {}
    for one in tasks:
        by_town.setdefault(one.town, []).append(one)
    known = roads(firm)
    made: list[Tour] = []
    waiting = list(by_town)  # the town of the earliest task first
    while waiting:
        towns = [waiting.pop(0)]
        while waiting and len(towns) < MOST_TOWNS:
            near = min(waiting, key=lambda town: (known.get(frozenset((towns[-1], town)), float("inf")), waiting.index(town)))
            if frozenset((towns[-1], near)) not in known or _tour(by_town, [*towns, near], known, start).total > DAY_MINUTES:
                break
            waiting.remove(near)
            towns.append(near)
        made.append(_tour(by_town, towns, known, start).tour)
    return tuple(made)


def outlook(firm: Firm, *, today: date) -> Outlook:
    """Cells and batteries month by month for a year, and receivers whose memory fills."""
    from farpress.tasks.register import judge as judge_register

    coming = due(firm, until=today + timedelta(days=365), today=today)
    months: dict[str, dict[str, int]] = {}
    for one in coming.tasks:
        month = max(one.due[:7], today.isoformat()[:7])
        months.setdefault(month, {})[one.kind] = months.get(month, {}).get(one.kind, 0) + 1
    filling = []
    for case in cases_of(firm, tuple(entry.job for entry in firm.shelf.entries()), []):
        for finding in judge_register(case):
            if finding.code in ("REG-01", "REG-02") and str(finding.verdict) == "fails":
                filling.append((case.job.job, finding.about, finding.says))
    return Outlook(dict(sorted(months.items())), tuple(filling), coming.unread)


def roads(firm: Firm) -> dict[frozenset[str], float]:
    """Pair of towns → driving time [s]."""
    from sqlalchemy import select

    from farpress.record.shelf_tables import ROAD

    with firm.shelf.reading() as connection:
        return {frozenset((row["one"], row["other"])): float(row["drive_s"]) for row in connection.execute(select(ROAD)).mappings()}


def set_road(firm: Firm, one: str, other: str, *, minutes: float) -> None:
    """Keep the driving time between two towns, in both directions."""
    from sqlalchemy import delete, insert

    from farpress.record.engine import writing
    from farpress.record.shelf_tables import ROAD

    firm.may("design")
    first, second = sorted((one.strip(), other.strip()))
    if not first or first == second or not 0 < minutes < 24 * 60:
        raise InputError("A driving time is between two different towns, and more than 0 and less than 1440 minutes.")
    with writing(firm.shelf.record._engine) as connection:
        connection.execute(delete(ROAD).where(ROAD.c.one == first, ROAD.c.other == second))
        connection.execute(insert(ROAD).values(one=first, other=second, drive_s=round(minutes * 60)))


_Found = Iterator[tuple[str, str, str, str]]  # kind, premises, what, due


def _deletions(register: Register, today: date) -> _Found:
    for label, fob in sorted(register.fobs.items()):
        expired = bool(fob.valid_to) and fob.valid_to < today.isoformat()
        gone = fob.state in (FobState.LOST, FobState.HANDED_IN, FobState.BLOCKED, FobState.DESTROYED)
        left = fob.person in register.left or (fob.former in register.left and fob.state is FobState.HANDED_IN)
        if not (gone or expired or left):
            continue
        why = f"is {fob.state}" if gone else "is past its date" if expired else "belongs to somebody who left"
        since = (fob.lost_at or fob.back_at or fob.valid_to or register.left.get(fob.person, "") or register.as_of)[:10]
        for receiver in dict.fromkeys(one.receiver for one in fob.known_at):
            outputs = ", ".join(dict.fromkeys(one.output for one in fob.known_at if one.receiver == receiver))
            yield "delete a fob", receiver.split("/")[0], f"fob {label} {why} and still works at {receiver}, output {outputs}", since


def _cells(case: Case, register: Register, today: date) -> _Found:
    from farpress.tasks.cells import judge

    first = next(iter(case.job.premises))
    years = {one.about: one.value for one in judge(case) if one.code == "FOB-04" and one.value is not None} if register.fobs else {}
    for label, fob in sorted(register.fobs.items()):
        if fob.state is not FobState.ISSUED:
            continue
        premises = fob.known_at[0].receiver.split("/")[0] if fob.known_at else first
        if fob.low_cell_at:
            yield "change a cell", premises, f"fob {label} reported a low cell on {fob.low_cell_at[:10]}", fob.low_cell_at[:10]
        elif fob.cell_date and fob.group in years:
            at = _date(fob.cell_date) + timedelta(days=round(365.25 * years[fob.group]))
            yield "change a cell", premises, f"the cell of fob {label} is of {fob.cell_date} and lasts {years[fob.group]:.1f} years", at.isoformat()


def _old_batteries(case: Case, changed: dict[tuple[str, str], str]) -> _Found:
    for premises, house in case.job.premises.items():
        for name, supply in house.supplies.items():
            last = changed.get((case.job.job, f"{premises}/{name}"), "") or (supply.battery.changed or "" if supply.battery is not None else "")
            if last:
                at = _date(last) + timedelta(days=round(365.25 * BATTERY_YEARS))
                yield "change a battery", premises, f"the battery of {premises}/{name} is of {last[:7]}", at.isoformat()


def _faults(case: Case, faults: Iterable[Event], today: date) -> _Found:
    for event in faults:
        about = str(event.body.get("about", "")).partition(":")[2].split("/")[0]
        premises = about if about in case.job.premises else next(iter(case.job.premises))
        yield "look into a fault", premises, f"reported on {event.at[:10]} and not closed", event.at[:10]


def _open_faults(events: Iterable[Event]) -> dict[str, tuple[Event, ...]]:
    waiting: dict[tuple[str, str], Event] = {}
    for event in events:
        key = (event.job, str(event.body.get("fault")))
        if event.kind == "fault reported":
            waiting[key] = event
        else:
            waiting.pop(key, None)
    found: dict[str, tuple[Event, ...]] = {}
    for (job, _), event in waiting.items():
        found[job] = (*found.get(job, ()), event)
    return found


def _batteries(events: Iterable[Event]) -> dict[tuple[str, str], str]:
    return {(event.job, str(event.body.get("supply"))): event.at[:10] for event in events}


def _date(text: str) -> date:
    """A day, or the first of a month given without one."""
    try:
        return date.fromisoformat(text[:10] if len(text) >= 10 else f"{text[:7]}-01")
    except ValueError:
        return date.max - timedelta(days=40_000)  # an unreadable date never comes; the job file's own check speaks of it


@dataclass(frozen=True)
class _Timed:
    tour: Tour
    total: float


def _tour(by_town: dict[str, list[Task]], towns: list[str], known: dict[frozenset[str], float], start: str) -> _Timed:
    sites = list(dict.fromkeys([start, *towns] if start else towns))
    pairs = [(one, other) for index, one in enumerate(sites) for other in sites[index + 1:]]
    missing = tuple((one, other) for one, other in pairs if frozenset((one, other)) not in known)
    work = sum(MINUTES[one.kind] for town in towns for one in by_town[town]) + SITE_MINUTES * len({(one.job, one.premises) for town in towns for one in by_town[town]})
    if missing or not start:
        ordered, drive = tuple(towns), None
    else:
        found = shortest_round(sites=sites, drive_s=known)
        ordered, drive = found.sites, found.drive_s / 60.0
    tasks = tuple(one for town in dict.fromkeys(ordered) for one in by_town.get(town, ()))
    return _Timed(Tour(ordered, tasks, work, drive, missing), work + (drive or 0.0))
