"""What is due over all jobs: fobs to delete, and all that upkeep says of each job; joined into tours.

A tour is a day's round from the firm's own town. Without driving times the work is still
gathered by town, and it is said which times are missing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Final

from farpress.core.keys.tour import shortest_round
from farpress.domain.register import FobRegister, FobState
from farpress.errors import InputError
from farpress.firm.across import Unread, cases_of, registers_of
from farpress.firm.facts import towns_of
from farpress.firm.shelf import Firm
from farpress.upkeep.due import due_list

__all__ = ["FirmDue", "Outlook", "Task", "Tour", "due", "outlook", "roads", "set_road", "tours"]

DELETION_MINUTES: Final = 6.0
"""To delete one fob at one receiver and prove it; common practice, no source."""

DELETION: Final = "delete a fob"
"""Kind of the tasks that come out of the register; all other kinds are those of upkeep."""

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
        kind: "delete a fob", or as upkeep has it: inspection, cells, battery, fault ...
        job, premises, town: where.
        what: in words.
        due: date by which, as "2026-12-01"; a date that has passed is late.
        who: installer, customer, competent person, alarm company ...
        minutes: at the premises.
    """

    kind: str
    job: str
    premises: str
    town: str
    what: str
    due: str
    who: str = "installer"
    minutes: float = DELETION_MINUTES


@dataclass(frozen=True)
class FirmDue:
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
        months: month as "2026-12" → kind of the firm's own tasks → number; what is late stands in the
            present month.
        filling: (job, receiver, what is said of its memory) where it is full within the year or fails
            already.
        unread: jobs that could not be read.
    """

    months: dict[str, dict[str, int]]
    filling: tuple[tuple[str, str, str], ...]
    unread: tuple[Unread, ...] = field(default=())


def due(
    firm: Firm,
    *,
    until: date,
    today: date,
    everybody: bool = False,
    progress: Callable[[str], None] | None = None,
) -> FirmDue:
    """Everything due at jobs that are not archived, the earliest first.

    A fob that was lost, handed in, blocked or destroyed, or whose holder left, is to be deleted
    wherever it is still learned. The rest is what `upkeep_due.due_list` says of each job.

    Args:
        firm: whose jobs.
        until: last day looked at.
        today: from when.
        everybody: what customers and others do too, not only the firm's own installers.
        progress: told the name of each job before it is looked at.
    """
    firm.may("look")
    unread: list[Unread] = []
    registers = {job: register for job, register, _ in registers_of(firm)}
    months = max(1, (until.year - today.year) * 12 + until.month - today.month + 1)
    tasks: list[Task] = []
    for case in cases_of(firm, tuple(entry.job for entry in firm.shelf.entries()), unread):
        job = case.job.job
        if progress is not None:
            progress(job)
        towns = towns_of(case.job)
        register = registers.get(job, FobRegister())
        found = [
            Task(DELETION, job, premises, "", what, by) for premises, what, by in _deletions(register, today)
        ]
        for planned in due_list(
            case, register, firm.shelf.record.events(job=job), today=today, months=months
        ):
            if everybody or planned.who == "installer":
                found += [
                    Task(
                        planned.id.partition(":")[0],
                        job,
                        planned.premises,
                        "",
                        f"{planned.does} {planned.because}",
                        day.isoformat(),
                        planned.who,
                        planned.minutes,
                    )
                    for day in planned.days
                ]
        tasks += [
            replace(task, town=towns.get(task.premises, ""))
            for task in found
            if task.due <= until.isoformat()
        ]
    return FirmDue(
        tuple(sorted(tasks, key=lambda task: (task.due, task.job, task.premises, task.kind, task.what))),
        tuple(unread),
    )


def tours(firm: Firm, tasks: Iterable[Task], *, start: str = "") -> tuple[Tour, ...]:
    """Day tours that do all the tasks, the most urgent towns first; what comes back comes in a later tour.

    Args:
        firm: whose driving times.
        tasks: as from `due`.
        start: town where a tour begins and ends; empty if it is not known.
    """
    known = roads(firm)
    return tuple(tour for turn in _turns(tasks) for tour in _tours(turn, known, start))


def _turns(tasks: Iterable[Task]) -> list[list[Task]]:
    """The tasks as they come, those that come back a second time in a second list, and so on."""
    days: dict[tuple[str, ...], list[str]] = {}
    found: list[list[Task]] = []
    for task in sorted(tasks, key=lambda task: task.due):
        known = days.setdefault((task.job, task.premises, task.kind, task.what), [])
        if task.due not in known:
            known.append(task.due)
        while len(found) < len(known):
            found.append([])
        found[len(known) - 1].append(task)
    return found


def _tours(tasks: Iterable[Task], known: dict[frozenset[str], float], start: str) -> Iterator[Tour]:
    by_town: dict[str, list[Task]] = {}
    for task in tasks:
        by_town.setdefault(task.town, []).append(task)
    waiting = list(by_town)  # the town of the earliest task first
    while waiting:
        towns = [waiting.pop(0)]
        while waiting and len(towns) < MOST_TOWNS:
            near = min(
                waiting,
                key=lambda town: (known.get(frozenset((towns[-1], town)), float("inf")), waiting.index(town)),
            )
            if (
                frozenset((towns[-1], near)) not in known
                or _tour(by_town, [*towns, near], known, start).total > DAY_MINUTES
            ):
                break
            waiting.remove(near)
            towns.append(near)
        yield _tour(by_town, towns, known, start).tour


def outlook(firm: Firm, *, today: date) -> Outlook:
    """The firm's own work month by month for a year, and receivers whose memory fills."""
    from farpress.judging.register.memory import judge as judge_register

    coming = due(firm, until=today + timedelta(days=365), today=today)
    months: dict[str, dict[str, int]] = {}
    for task in coming.tasks:
        month = max(task.due[:7], today.isoformat()[:7])
        months.setdefault(month, {})[task.kind] = months.get(month, {}).get(task.kind, 0) + 1
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
        return {
            frozenset((row["one"], row["other"])): float(row["drive_s"])
            for row in connection.execute(select(ROAD)).mappings()
        }


def set_road(firm: Firm, town: str, other: str, *, minutes: float) -> None:
    """Keep the driving time between two towns, in both directions."""
    from sqlalchemy import delete, insert

    from farpress.record.engine import writing
    from farpress.record.shelf_tables import ROAD

    firm.may("design")
    first, second = sorted((town.strip(), other.strip()))
    if not first or first == second or not 0 < minutes < 24 * 60:
        raise InputError(
            "A driving time is between two different towns, and more than 0 and less than 1440 minutes."
        )
    with writing(firm.shelf.record._engine) as connection:
        connection.execute(delete(ROAD).where(ROAD.c.one == first, ROAD.c.other == second))
        connection.execute(insert(ROAD).values(one=first, other=second, drive_s=round(minutes * 60)))


_Found = Iterator[tuple[str, str, str]]  # premises, what, due


def _deletions(register: FobRegister, today: date) -> _Found:
    for label, fob in sorted(register.fobs.items()):
        expired = bool(fob.valid_to) and fob.valid_to < today.isoformat()
        gone = fob.state in (FobState.LOST, FobState.HANDED_IN, FobState.BLOCKED, FobState.DESTROYED)
        left = fob.person in register.left or (
            fob.former in register.left and fob.state is FobState.HANDED_IN
        )
        if not (gone or expired or left):
            continue
        why = "is past its date" if expired else "belongs to somebody who left"
        if gone:
            why = f"is {fob.state}"
        since = (
            fob.lost_at or fob.back_at or fob.valid_to or register.left.get(fob.person, "") or register.as_of
        )[:10]
        for receiver in dict.fromkeys(learned.receiver for learned in fob.known_at):
            outputs = ", ".join(
                dict.fromkeys(learned.output for learned in fob.known_at if learned.receiver == receiver)
            )
            yield (
                receiver.split("/")[0],
                f"fob {label} {why} and still works at {receiver}, output {outputs}",
                since,
            )


@dataclass(frozen=True)
class _Timed:
    tour: Tour
    total: float


def _tour(
    by_town: dict[str, list[Task]], towns: list[str], known: dict[frozenset[str], float], start: str
) -> _Timed:
    sites = list(dict.fromkeys([start, *towns] if start else towns))
    pairs = [(town, other) for index, town in enumerate(sites) for other in sites[index + 1 :]]
    missing = tuple((town, other) for town, other in pairs if frozenset((town, other)) not in known)
    work = sum(task.minutes for town in towns for task in by_town[town]) + SITE_MINUTES * len(
        {(task.job, task.premises) for town in towns for task in by_town[town]}
    )
    if missing or not start:
        ordered, drive = tuple(towns), None
    else:
        found = shortest_round(sites=sites, drive_s=known)
        ordered, drive = found.sites, found.drive_s / 60.0
    tasks = tuple(task for town in dict.fromkeys(ordered) for task in by_town.get(town, ()))
    return _Timed(Tour(ordered, tasks, work, drive, missing), work + (drive or 0.0))
