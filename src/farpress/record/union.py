"""Join two records of one job: the union of their chains, and of their names.

Nothing is rewritten. An event that both have must be the same in both; where two copies of
one record were written to apart from each other, their chain has forked, and the join is
refused before anything is written.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict
from typing import TYPE_CHECKING

from farpress.domain.acts import Note, PersonDeleted
from farpress.domain.event import Event, digest_of, happened
from farpress.errors import RecordError
from farpress.record.chain import event_of, note_last, row_of

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from farpress.record.persons import PersonEntry

__all__ = ["take_in", "take_in_names"]


def take_in(connection: Connection, events: Iterable[Event], *, job: str) -> tuple[Event, ...]:
    """Add the events of another record that are not here yet, within the caller's transaction.

    Args:
        connection: an open write transaction.
        events: all events of the job in the other record.
        job: key of the job; events of another job are refused.

    Returns:
        The events that were new.

    Raises:
        RecordError: an event was changed, is missing, belongs to another job, or a chain has
            forked; every such place is named and nothing is written.
    """
    from sqlalchemy import insert, select

    from farpress.record.tables import EVENT, ORIGIN

    given = sorted(events, key=lambda event: (event.origin, event.number))
    faults = [
        f"event {event.number} of {event.origin} belongs to the job '{event.job}'"
        for event in given
        if event.job != job
    ]
    faults += [
        f"event {event.number} of {event.origin} was changed after it was written"
        for event in given
        if digest_of(event) != event.digest
    ]
    new: list[Event] = []
    for origin in dict.fromkeys(event.origin for event in given):
        rows = connection.execute(
            select(EVENT).where(EVENT.c.origin == origin).order_by(EVENT.c.number)
        ).mappings()
        here = {event.number: event for event in map(event_of, rows)}
        faults += _forks(origin, here, [event for event in given if event.origin == origin], new)
    if faults:
        raise RecordError(
            "The two records of this job do not fit together, so nothing was written:\n"
            + "\n".join(f"  {fault}" for fault in faults[:20])
        )
    known = set(connection.execute(select(ORIGIN.c.name)).scalars())
    foreign = [name for name in dict.fromkeys(event.origin for event in new) if name not in known]
    if foreign:
        connection.execute(insert(ORIGIN), [{"name": name, "is_own": 0, "job": job} for name in foreign])
    if new:
        connection.execute(insert(EVENT), [row_of(event) for event in new])
        note_last(connection, new)
    return tuple(new)


def _forks(origin: str, here: Mapping[int, Event], given: list[Event], new: list[Event]) -> list[str]:
    """Faults of one chain; what is sound and new is added to `new`."""
    last = max(here, default=0)
    digest = here[last].digest if last else ""
    for event in given:
        known = here.get(event.number)
        if known is not None:
            if known.digest != event.digest:
                return [
                    f"{origin} has forked at event {event.number}: here '{known.kind}' at {known.moment},"
                    f" there '{event.kind}' at {event.moment}. Was the folder copied and used twice? Keep one"
                    " of the two, enter what is missing by hand, and check out anew"
                ]
            continue
        if event.number != last + 1 or event.previous != digest:
            return [f"{origin}: event {last + 1} is missing between {last} and {event.number}"]
        new.append(event)
        last, digest = event.number, event.digest
    return []


def take_in_names(
    connection: Connection,
    there: Mapping[str, PersonEntry],
    *,
    job: str,
    new: Iterable[Event],
    news_there: bool,
) -> None:
    """Join the names: those deleted on either side stay deleted; of two writings the later correction wins.

    Args:
        connection: an open write transaction; the events were taken in before.
        there: mark → person of the other record.
        job: key of the job.
        new: events that came from the other record just now.
        news_there: take the other side's writing where both differ and neither was corrected by a new event.
    """
    from sqlalchemy import delete, insert, select, update

    from farpress.record.tables import EVENT, PERSON

    here = {
        row["mark"]: dict(row)
        for row in connection.execute(select(PERSON).where(PERSON.c.job == job)).mappings()
    }
    gone_rows = connection.execute(
        select(EVENT).where(EVENT.c.job == job, EVENT.c.kind == "person deleted")
    ).mappings()
    gone = {deleted.person for _, deleted in happened(map(event_of, gone_rows), PersonDeleted)}
    corrected = {note.about.removeprefix("person:") for _, note in happened(new, Note)}
    for mark in gone & set(here):
        connection.execute(delete(PERSON).where(PERSON.c.mark == mark))
    for mark, person in there.items():
        if mark in gone or person.job != job:
            continue
        values = asdict(person)
        if mark not in here:
            connection.execute(insert(PERSON).values(**values))
        elif values != here[mark] and (mark in corrected or news_there):
            connection.execute(update(PERSON).where(PERSON.c.mark == mark).values(**values))
