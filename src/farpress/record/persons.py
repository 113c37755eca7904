"""Names, apart from the log, so that a person can be deleted while the log stays whole.

An event knows a person only by a mark, which says nothing. Deleting a name overwrites it
in the file (SQLite); in PostgreSQL the row is gone at once and its space is reused when the
database is next vacuumed. Backups made before hold the name still: they have their own end.
"""

from __future__ import annotations

import secrets
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

from farpress.dates import day_wanted
from farpress.domain.event import Event
from farpress.errors import InputError
from farpress.record.look import rows
from farpress.record.seals import new_salt, seal_of

if TYPE_CHECKING:
    from datetime import date

    from farpress.record.chain import Writing
    from farpress.record.store import Record

__all__ = [
    "PersonEntry",
    "add_person",
    "change_person",
    "delete_person",
    "delete_persons_due",
    "delete_within",
    "persons",
    "put_people",
    "put_person",
    "scrub",
]


@dataclass(frozen=True)
class PersonEntry:
    """One entry of the list of names.

    Attributes:
        mark: stands for the person in events.
        job: the job the name belongs to.
        name, organisation, contact: as given.
        keep_until: date after which the name is to be deleted, as "2027-03-01"; empty while it is needed.
        salt: goes into the name's seal, see `seals`; empty for a name of before there were any.
    """

    mark: str
    job: str
    name: str
    organisation: str = ""
    contact: str = ""
    keep_until: str = ""
    salt: str = ""


def persons(record: Record, *, job: str | None = None) -> dict[str, PersonEntry]:
    """Mark → person, in the order of names."""
    only = "" if job is None else "WHERE job = :job "
    with record.looking() as connection:
        found = rows(
            connection,
            f"SELECT mark, job, name, organisation, contact, keep_until, salt FROM person {only}ORDER BY"
            " name, mark",
            {} if job is None else {"job": job},
        )
        return {row[0]: PersonEntry(*row) for row in found}


def add_person(
    record: Record,
    name: str,
    *,
    job: str,
    by: str,
    organisation: str = "",
    contact: str = "",
    keep_until: str = "",
) -> PersonEntry:
    """Enter a person; the event and the name are written together.

    Raises:
        InputError: an empty name, or a date that is none.
        RecordError: the database refused; nothing was written.
    """
    with record.transaction(job=job, by=by) as work:
        return put_person(work, name, organisation=organisation, contact=contact, keep_until=keep_until)


def put_person(
    work: Writing, name: str, *, organisation: str = "", contact: str = "", keep_until: str = ""
) -> PersonEntry:
    """Enter a person within a transaction that does other things too."""
    return put_people(work, [(name, organisation, contact)], keep_until=keep_until)[0]


def put_people(
    work: Writing, particulars: Iterable[tuple[str, str, str]], *, keep_until: str = ""
) -> list[PersonEntry]:
    """Enter several people, as (name, organisation, contact), within a transaction.

    Raises:
        InputError: an empty name, or a date that is none.
    """
    from sqlalchemy import insert

    from farpress.domain.acts import PersonAdded
    from farpress.record.tables import PERSON

    until = _date(keep_until)
    entered = [
        _new(work.job, name, organisation, contact, until) for name, organisation, contact in particulars
    ]
    if entered:
        work.connection.execute(insert(PERSON), [vars(person) for person in entered])
    for person in entered:
        seal = seal_of(person.salt, person.name, person.organisation, person.contact)
        work.append(PersonAdded(person=person.mark, seal=seal))
    return entered


def _new(job: str, name: str, organisation: str, contact: str, until: str) -> PersonEntry:
    plain = " ".join(name.replace("\0", " ").split())
    if not plain:
        raise InputError("A person needs a name.")
    return PersonEntry(
        f"p{secrets.token_hex(6)}", job, plain, organisation.strip(), contact.strip(), until, new_salt()
    )


def change_person(record: Record, mark: str, *, job: str, by: str, changes: Mapping[str, str]) -> PersonEntry:
    """Correct a name or its particulars; the log says only that it was corrected.

    Raises:
        InputError: no such person, or no such particular.
    """
    from sqlalchemy import update

    from farpress.domain.acts import Note, PersonSealed
    from farpress.record.tables import PERSON

    allowed = {field.name for field in fields(PersonEntry)} - {"mark", "job", "salt"}
    if wrong := sorted(set(changes) - allowed):
        raise InputError(f"A person has no {', '.join(wrong)}; there are {', '.join(sorted(allowed))}.")
    values = dict(changes)
    if "keep_until" in values:
        values["keep_until"] = _date(values["keep_until"])
    if "name" in values and not values["name"].strip():
        raise InputError("A person needs a name.")
    with record.transaction(job=job, by=by) as work:
        _one(work, mark)
        values["salt"] = new_salt()
        work.connection.execute(update(PERSON).where(PERSON.c.mark == mark).values(**values))
        now = _one(work, mark)
        seal = seal_of(now.salt, now.name, now.organisation, now.contact)
        work.append(PersonSealed(person=mark, seal=seal))
        work.append(Note(says=f"corrected: {', '.join(sorted(changes))}", about=f"person:{mark}"))
        return _one(work, mark)


def delete_person(record: Record, mark: str, *, job: str, by: str, why: str = "") -> Event:
    """Delete a name; the event that is returned is the proof, and the log stays whole.

    Raises:
        InputError: no such person.
        RecordError: the database refused; nothing was deleted.
    """
    with record.transaction(job=job, by=by) as work:
        event = _delete(work, mark, why)
    scrub(record)
    return event


def delete_persons_due(
    record: Record, *, job: str, by: str, today: date, keeps: Collection[str] = ()
) -> tuple[Event, ...]:
    """Delete every name whose time has ended, but those marks in `keeps`; one proof each."""
    with record.transaction(job=job, by=by) as work:
        due = [
            person.mark
            for person in _all(work)
            if person.keep_until and person.keep_until < today.isoformat() and person.mark not in keeps
        ]
        events = tuple(_delete(work, mark, "retention ended") for mark in due)
    if events:
        scrub(record)
    return events


def delete_within(work: Writing, marks: Iterable[str], *, why: str) -> int:
    """Delete names within a transaction that does other things too; `scrub` afterwards. Gives how many."""
    there = {person.mark for person in _all(work)}
    return len([_delete(work, mark, why) for mark in marks if mark in there])


def _delete(work: Writing, mark: str, why: str) -> Event:
    from sqlalchemy import delete

    from farpress.domain.acts import PersonDeleted
    from farpress.record.tables import PERSON

    _one(work, mark)
    work.connection.execute(delete(PERSON).where(PERSON.c.mark == mark))
    return work.append(PersonDeleted(person=mark, why=why))


def scrub(record: Record) -> None:
    """The write-ahead log still holds the page with the name: bring it into the file, where it is
    overwritten.
    """
    with record._reading() as connection:
        if connection.dialect.name == "sqlite":
            connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")


def _one(work: Writing, mark: str) -> PersonEntry:
    from sqlalchemy import select

    from farpress.record.tables import PERSON

    row = (
        work.connection.execute(select(PERSON).where(PERSON.c.mark == mark, PERSON.c.job == work.job))
        .mappings()
        .first()
    )
    if row is None:
        raise InputError(
            f"There is no person with the mark {mark} in this job; a name may have been deleted already."
        )
    return PersonEntry(**row)


def _all(work: Writing) -> list[PersonEntry]:
    from sqlalchemy import select

    from farpress.record.tables import PERSON

    return [
        PersonEntry(**row)
        for row in work.connection.execute(select(PERSON).where(PERSON.c.job == work.job)).mappings()
    ]


def _date(text: str) -> str:
    return day_wanted(text).isoformat() if text else ""
