"""What is kept about a person, over all jobs: given out, or deleted with proof.

A deletion goes through every version of every job file, the list of names, and what is kept
for searching. The record itself is only ever added to: it knows persons by marks. Where
somebody wrote a name into a remark, or it stands in a plan, that cannot be taken out; the
proof lists each such place. Copies on laptops and backups end on their own: the proof names
the copies that are out.
"""

from __future__ import annotations

import re
import secrets
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from farpress.domain.acts import NameTakenOut, PersonalDataGiven, PersonDeleted
from farpress.errors import InputError
from farpress.firm.facts import read_text
from farpress.firm.shelf import Firm
from farpress.jobfile.source import fingerprint_of
from farpress.record.persons import persons

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from farpress.domain.event import Event
    from farpress.record.chain import Writing

__all__ = ["DeletionProof", "forget", "personal_data", "replaced"]


@dataclass(frozen=True)
class DeletionProof:
    """That a person's name was deleted.

    Attributes:
        at: when it was finished.
        marks: job → mark that stands in place of the name from now on.
        versions: number of versions of job files that were rewritten.
        events: (job, origin, number, digest) of the events that prove it.
        remaining: places where the name still stands, in words; empty is what is wanted.
        copies: (job, when it went out) of copies on laptops.
    """

    at: str
    marks: dict[str, str]
    versions: int
    events: tuple[tuple[str, str, int, str], ...]
    remaining: tuple[str, ...]
    copies: tuple[tuple[str, str], ...]


def personal_data(firm: Firm, name: str) -> dict[str, Any]:
    """Everything that is kept about a person, as plain JSON: job by job, from files, names and record.

    Raises:
        InputError: no right to do so, or nobody of this name is known.
    """
    firm.may("personal data")
    wanted = _plain(name)
    found: dict[str, Any] = {}
    marks = {
        mark: named
        for mark, named in persons(firm.shelf.record).items()
        if named.name.casefold() == wanted.casefold()
    }
    for entry in firm.shelf.entries(archived=None):
        own = {mark: named for mark, named in marks.items() if named.job == entry.job}
        versions = [
            version for version in firm.shelf.versions(entry.job) if _pattern(wanted).search(version.text)
        ]
        events = [
            event for event in firm.shelf.record.events(job=entry.job) if _about(event, set(own), wanted)
        ]
        recorded = [event.particulars for event in events]
        if own or versions or events:
            newest = versions[-1] if versions else None
            found[entry.job] = {
                "names": [asdict(named) for named in own.values()],
                "versions": [version.number for version in versions],
                "lines": (
                    [line.strip() for line in newest.text.splitlines() if _pattern(wanted).search(line)]
                    if newest is not None
                    else []
                ),
                "events": [
                    {"at": event.moment, "kind": event.kind, "body": event.particulars} for event in events
                ],
                "fobs": sorted({str(fields["fob"]) for fields in recorded if "fob" in fields}),
            }
    if not found:
        raise InputError(f"Nobody called '{wanted}' is known in any job. Write the name as it stands there.")
    firm.shelf.record.append(
        PersonalDataGiven(jobs=len(found), person=next(iter(marks), "")), job="", by=firm.who.mark
    )
    return {"name": wanted, "jobs": found}


def forget(firm: Firm, name: str) -> DeletionProof:
    """Delete a person's name over all jobs; a job is done whole or not at all.

    Raises:
        InputError: no right to do so, nobody of this name is known, or a job file would not read
            any more without the name (that job is named; those before it are done).
        RecordError: the database refused; the job at hand is as it was.
    """
    firm.may("personal data")
    wanted = _plain(name)
    listed = persons(firm.shelf.record)
    marks: dict[str, str] = {}
    proofs: list[tuple[str, str, int, str]] = []
    rewritten = 0
    for entry in firm.shelf.entries(archived=None):
        own = [
            mark
            for mark, named in listed.items()
            if named.job == entry.job and named.name.casefold() == wanted.casefold()
        ]
        if not own and not any(
            _pattern(wanted).search(version.text) for version in firm.shelf.versions(entry.job)
        ):
            continue
        mark = own[0] if own else f"p{secrets.token_hex(6)}"
        with firm.shelf.record.transaction(job=entry.job, by=firm.who.mark) as work:
            count = _rewrite(work, wanted, mark)
            for mark in own:
                _delete_name(work, mark)
            work.append(
                NameTakenOut(
                    person=mark,
                    versions=count,
                    remaining=len(list(_left_in(work.connection, entry.job, wanted))),
                )
            )
        rewritten += count
        marks[entry.job] = mark
        proofs += [(event.job, event.origin, event.number, event.digest) for event in work.events]
    if not marks:
        raise InputError(f"Nobody called '{wanted}' is known in any job. Write the name as it stands there.")
    _scrub(firm)
    remaining: list[str] = []
    with firm.shelf.reading() as connection:
        for job in [entry.job for entry in firm.shelf.entries(archived=None)]:
            remaining += _left_in(connection, job, wanted)
    copies = tuple((copy.job, copy.at[:10]) for copy in firm.shelf.outs() if copy.job in marks)
    moment = max((event.moment for event in firm.shelf.record.events(kinds=("name taken out",))), default="")
    return DeletionProof(moment, marks, rewritten, tuple(proofs), tuple(remaining), copies)


def replaced(text: str, name: str, mark: str) -> str:
    """A text with a name's every whole occurrence replaced by a mark."""
    return _pattern(_plain(name)).sub(mark, text)


def _rewrite(work: Writing, name: str, mark: str) -> int:
    """All versions of the job without the name; number of versions that had it."""
    from sqlalchemy import delete, insert, select, update

    from farpress.record.shelf_tables import JOB, JOB_FACT, JOB_VERSION, RESULT

    connection, job = work.connection, work.job
    head = int(connection.execute(select(JOB.c.head).where(JOB.c.job == job)).scalar_one())
    rows = connection.execute(select(JOB_VERSION).where(JOB_VERSION.c.job == job)).mappings().all()
    count = 0
    for row in rows:
        text = replaced(row["text"], name, mark)
        says = replaced(row["says"], name, mark)
        if text == row["text"] and says == row["says"]:
            continue
        read = read_text(text)
        if read.name != job:
            raise InputError(
                f"'{name}' stands in the name of the job '{job}', which is the key of its record. Nothing was"
                " deleted there: put the job on the shelf under another name first."
            )
        if row["number"] == head:
            if read.faults and not read_text(row["text"]).faults:
                raise InputError(
                    f"'{job}' would not read any more without the name ({read.faults[0]}). Nothing was"
                    " deleted there; change the job by hand first."
                )
            facts = read.facts
            values = {"customer": facts.customer, "address": facts.address, "words": facts.words}
            connection.execute(update(JOB).where(JOB.c.job == job).values(**values))
            connection.execute(delete(JOB_FACT).where(JOB_FACT.c.job == job))
            if facts.named:
                connection.execute(
                    insert(JOB_FACT),
                    [{"job": job, "kind": kind, "name": named} for kind, named in sorted(facts.named)],
                )
        was = row["was"] or row["fingerprint"]
        where = (JOB_VERSION.c.job == job) & (JOB_VERSION.c.number == row["number"])
        connection.execute(
            update(JOB_VERSION)
            .where(where)
            .values(text=text, says=says, fingerprint=fingerprint_of(text.encode()), was=was)
        )
        count += 1
    connection.execute(delete(RESULT).where(RESULT.c.job == job))
    return count


def _delete_name(work: Writing, mark: str) -> None:
    from sqlalchemy import delete

    from farpress.record.tables import PERSON

    work.connection.execute(delete(PERSON).where(PERSON.c.mark == mark))
    work.append(PersonDeleted(person=mark, why="asked for"))


def _left_in(connection: Connection, job: str, name: str) -> Iterator[str]:
    """Where a name still stands in what is kept of a job."""
    from sqlalchemy import select

    from farpress.record.shelf_tables import CONTENT, JOB, JOB_FACT, JOB_FILE, JOB_VERSION
    from farpress.record.tables import EVENT, PERSON

    pattern = _pattern(name)
    for row in connection.execute(select(EVENT).where(EVENT.c.job == job).order_by(EVENT.c.at)).mappings():
        if pattern.search(row["body"]):
            yield (
                f"{job}: in the event '{row['kind']}' of {row['at'][:10]} (number {row['number']} of"
                f" {row['origin']}), which cannot be changed"
            )
    files = (
        select(JOB_FILE.c.path, CONTENT.c.data)
        .join(CONTENT, CONTENT.c.digest == JOB_FILE.c.digest)
        .where(JOB_FILE.c.job == job)
        .distinct()
    )
    for path, data in connection.execute(files):
        if pattern.search(path) or name.casefold().encode() in bytes(data).lower():
            yield f"{job}: in the file {path}; change it in a copy and bring it back, older versions keep it"
    for table in (JOB, JOB_FACT, JOB_VERSION, PERSON):
        for row in connection.execute(table.select().where(table.c.job == job)).mappings():
            if any(isinstance(value, str) and pattern.search(value) for value in row.values()):
                yield f"{job}: in the table {table.name}"


def _about(event: Event, marks: set[str], name: str) -> bool:
    body = str(event.particulars)
    return any(mark in body for mark in marks) or bool(_pattern(name).search(body))


def _scrub(firm: Firm) -> None:
    """What was deleted is overwritten in the file (SQLite), or its space given free (PostgreSQL)."""
    from farpress.record.shelf_tables import JOB, JOB_FACT, JOB_VERSION, RESULT
    from farpress.record.tables import PERSON

    with firm.shelf.reading() as connection:
        if connection.dialect.name == "sqlite":
            connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
        else:
            loose = connection.execution_options(isolation_level="AUTOCOMMIT")
            for table in (JOB, JOB_FACT, JOB_VERSION, RESULT, PERSON):
                loose.exec_driver_sql(f'VACUUM "{table.name}"')


def _pattern(name: str) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w){re.escape(name)}(?!\w)", re.IGNORECASE)


def _plain(name: str) -> str:
    plain = " ".join(name.replace("\0", " ").split())
    if len(plain) < 3:
        raise InputError("A name of at least three letters is wanted, so that nothing else is taken for it.")
    return plain
