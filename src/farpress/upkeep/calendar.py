"""The due list as a calendar file (iCalendar, RFC 5545), to be put into any calendar."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING

from farpress.upkeep.dates import again_on, recurrence
from farpress.upkeep.due import Due
from farpress.upkeep.rounds import ServiceRound

if TYPE_CHECKING:
    from icalendar import Event

__all__ = ["due_calendar"]


def due_calendar(job: str, due: Iterable[Due], visits: Iterable[ServiceRound]) -> bytes:
    """A calendar with one entry for each visit of the firm, and one for each task of the customer.

    Entries keep their identity: reading a newer file in replaces the older entry. The same
    list gives the same file to the byte.

    Args:
        job: name of the job.
        due: the due list; the customer's tasks are taken, on all of their days.
        visits: the rounds of the firm.

    Returns:
        The file.
    """
    from icalendar import Calendar, Event

    calendar = Calendar()
    calendar.add("prodid", "-//Farpress//upkeep//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", f"{job}: upkeep")
    for visit in visits:
        lines = [
            f"{task.premises}: {line.does} ({task.because}){f' ! {task.caution}' if task.caution else ''}"
            for line in visit.lines()
            for task in line.tasks[:1]
        ]
        # a round keeps its identity as long as it begins with the same task
        calendar.add_component(
            _event(
                Event(),
                job,
                f"visit {_key(visit.tasks[0])}",
                visit.on,
                f"{job}: visit {', '.join(visit.sites)}",
                "\n".join([visit.says, *lines]),
                ", ".join(visit.sites),
            )
        )
    for task in due:
        if task.who == "customer":
            for number, days in enumerate(_runs(task)):
                event = _event(
                    Event(),
                    job,
                    f"{task.id}{' again' * number}",
                    days[0],
                    task.does,
                    f"{task.because}{f' ! {task.caution}' if task.caution else ''}",
                    task.premises,
                )
                if len(days) > 1:
                    event.add("rrule", recurrence(days, task.every_months))
                calendar.add_component(event)
    return bytes(calendar.to_ical())


def _key(task: Due) -> str:
    return f"{task.id} {task.turn}" if task.turn else task.id


def _runs(task: Due) -> tuple[tuple[date, ...], ...]:
    """The days of a task as one rule has them; where the first is overdue the others do not follow from
    it.
    """
    if (
        not task.again
        or again_on(task.on, task.every_months, today=task.on, until=task.again[-1]) == task.again
    ):
        return (task.days,)
    return (task.days[:1], task.again)


def _event(event: Event, job: str, name: str, on: date, summary: str, text: str, where: str) -> Event:
    event.add("uid", f"{hashlib.sha256(f'{job}/{name}'.encode()).hexdigest()[:32]}@farpress")
    event.add("dtstamp", datetime.combine(on, time(), tzinfo=UTC))
    event.add("dtstart", on)
    event.add("dtend", on + timedelta(days=1))
    event.add("summary", summary)
    event.add("description", text)
    event.add("location", where)
    event.add("transp", "TRANSPARENT")
    return event
