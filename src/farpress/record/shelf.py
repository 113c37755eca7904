"""The firm's shelf: every job with all its versions, in the same database as the record.

What a version says of people, parts and places is given along by the caller; nothing here
reads a job file. Each change is one transaction with the event that tells of it.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from farpress.domain.acts import JobArchived, JobCheckedOut, JobReopened, JobShelved, JobVersion
from farpress.errors import InputError
from farpress.record.store import Record, open_record

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from farpress.record.chain import Writing

__all__ = [
    "Entry",
    "Facts",
    "Out",
    "Shelf",
    "Version",
    "add_version_event",
    "job_in",
    "open_shelf",
    "put_version",
    "version_in",
]


@dataclass(frozen=True)
class Facts:
    """What a version of a job speaks of, for searching.

    Attributes:
        customer, address: as in the job's details.
        words: everything that shall be found, in small letters.
        named: pairs of kind and name, as ("person", "Pim Vardel") or ("part", "receiver-4").
    """

    customer: str = ""
    address: str = ""
    words: str = ""
    named: frozenset[tuple[str, str]] = frozenset()


@dataclass(frozen=True)
class Entry:
    """One job on the shelf; `head` is the number of its newest version."""

    job: str
    state: str
    head: int
    customer: str
    address: str
    added_at: str
    changed_at: str


@dataclass(frozen=True)
class Version:
    """One state of a job file.

    Attributes:
        job, number: which.
        fingerprint: of the text; `was` is the fingerprint before a name was taken out of it.
        parent: number of the version before; 0 for the first.
        text: the job file.
        at, by, says: when, who (mark), and in words.
        files: path → digest of the files beside it.
    """

    job: str
    number: int
    fingerprint: str
    parent: int
    text: str
    at: str
    by: str
    says: str
    was: str
    files: Mapping[str, str]


@dataclass(frozen=True)
class Out:
    """A copy on a laptop."""

    ticket: str
    job: str
    version: int
    by: str
    at: str


def open_shelf(where: Path | str) -> Shelf:
    """Open the shelf in a file or a database; its tables are made if they are missing.

    Raises:
        RecordError: it cannot be opened; the driver's message is kept.
    """
    return Shelf(open_record(where))


class Shelf:
    """Jobs by their name, which is the key of their record too."""

    def __init__(self, record: Record) -> None:
        """Use `open_shelf`."""
        self.record = record

    def add(
        self,
        job: str,
        text: str,
        fingerprint: str,
        facts: Facts,
        *,
        files: Mapping[str, bytes],
        by: str,
        says: str = "",
    ) -> Version:
        """Put a job on the shelf as its version 1.

        Raises:
            InputError: a job of this name is there already.
        """
        with self.record.transaction(job=job, by=by) as work:
            if job_in(work.connection, job) is not None:
                raise InputError(
                    f"There is a job '{job}' on the shelf already. Bring a copy of it back with check-in, or"
                    " give this one another name."
                )
            event = work.append(JobShelved(version=1, fingerprint=fingerprint))
            _write_job(work.connection, {"job": job, "state": "open", "head": 0, "added_at": event.moment})
            put_version(work, text, fingerprint, facts, files=files, says=says, at=event.moment, number=1)
        return self.version(job)

    def change(
        self,
        job: str,
        text: str,
        fingerprint: str,
        facts: Facts,
        *,
        parent: int,
        by: str,
        says: str,
        files: Mapping[str, bytes] | None = None,
    ) -> Version:
        """A new version on top of `parent`, which must be the newest still.

        Raises:
            InputError: somebody put a newer version on the shelf meanwhile; nothing was written.
        """
        with self.record.transaction(job=job, by=by) as work:
            entry = self._entry(work.connection, job)
            if entry.head != parent:
                raise InputError(
                    f"'{job}' is at version {entry.head} by now, and this change was made on version"
                    f" {parent}. Nothing was written; merge the two."
                )
            kept = None if files is None else files
            add_version_event(work, entry, fingerprint, merged=False)
            put_version(
                work,
                text,
                fingerprint,
                facts,
                files=kept,
                says=says,
                at=work.events[-1].moment,
                number=parent + 1,
            )
        return self.version(job)

    def entry(self, job: str) -> Entry:
        """One job.

        Raises:
            InputError: there is none of this name; the closest are named.
        """
        with self.reading() as connection:
            return self._entry(connection, job)

    def entries(
        self,
        *,
        words: Iterable[str] = (),
        archived: bool | None = False,
        named: tuple[str, str] | None = None,
    ) -> tuple[Entry, ...]:
        """Jobs in the order of names.

        Args:
            words: all of them must stand somewhere in the job; small and capital letters are one.
            archived: only those put away, only the others, or (None) all.
            named: kind and name that the newest version must speak of.
        """
        from sqlalchemy import select

        from farpress.record.shelf_tables import JOB, JOB_FACT

        words = list(words)
        if any("\0" in word for word in words):
            return ()  # no job file holds such a character, and not every database can be asked about it
        query = select(JOB).order_by(JOB.c.job)
        if archived is not None:
            query = query.where(JOB.c.state == ("archived" if archived else "open"))
        for word in words:
            query = query.where(JOB.c.words.contains(word.casefold(), autoescape=True))
        if named is not None:
            query = query.join(JOB_FACT, JOB_FACT.c.job == JOB.c.job).where(
                JOB_FACT.c.kind == named[0], JOB_FACT.c.name == named[1]
            )
        with self.reading() as connection:
            return tuple(_entry(row) for row in connection.execute(query).mappings())

    def names(self, kind: str) -> dict[str, tuple[str, ...]]:
        """Name → jobs, for one kind of fact, over all jobs that are not archived."""
        from sqlalchemy import select

        from farpress.record.shelf_tables import JOB, JOB_FACT

        query = (
            select(JOB_FACT.c.name, JOB_FACT.c.job)
            .join(JOB, JOB.c.job == JOB_FACT.c.job)
            .where(JOB_FACT.c.kind == kind, JOB.c.state == "open")
        )
        found: dict[str, list[str]] = {}
        with self.reading() as connection:
            for name, job in connection.execute(query.order_by(JOB_FACT.c.name, JOB_FACT.c.job)):
                found.setdefault(name, []).append(job)
        return {name: tuple(jobs) for name, jobs in found.items()}

    def version(self, job: str, number: int | None = None) -> Version:
        """A version of a job, the newest by default.

        Raises:
            InputError: there is no such job or version.
        """
        with self.reading() as connection:
            entry = self._entry(connection, job)
            found = version_in(connection, job, entry.head if number is None else number)
            if found is None:
                raise InputError(f"'{job}' has versions 1 to {entry.head}, and no version {number}.")
            return found

    def versions(self, job: str) -> tuple[Version, ...]:
        """Every version of a job, the oldest first."""
        entry = self.entry(job)
        with self.reading() as connection:
            return tuple(
                one
                for number in range(1, entry.head + 1)
                if (one := version_in(connection, job, number)) is not None
            )

    def content(self, digest: str) -> bytes:
        """What is in a file beside a job file.

        Raises:
            InputError: there is no such content.
        """
        from sqlalchemy import select

        from farpress.record.shelf_tables import CONTENT

        with self.reading() as connection:
            data = connection.execute(select(CONTENT.c.data).where(CONTENT.c.digest == digest)).scalar()
        if data is None:
            raise InputError(f"The content {digest[:16]} is not on the shelf.")
        return bytes(data)

    def set_state(self, job: str, state: str, *, by: str, why: str = "") -> Entry:
        """Put a job away ("archived") or take it out again ("open"); its versions and its record stay."""
        from sqlalchemy import update

        from farpress.record.shelf_tables import JOB

        with self.record.transaction(job=job, by=by) as work:
            if self._entry(work.connection, job).state == state:
                raise InputError(f"'{job}' is {state} already.")
            event = work.append(JobArchived(why=why)) if state == "archived" else work.append(JobReopened())
            work.connection.execute(
                update(JOB).where(JOB.c.job == job).values(state=state, changed_at=event.moment)
            )
        return self.entry(job)

    def give_out(self, job: str, *, by: str) -> Out:
        """Note that a copy of the newest version goes to a laptop."""
        from sqlalchemy import insert

        from farpress.record.shelf_tables import CHECKOUT

        ticket = secrets.token_hex(8)
        with self.record.transaction(job=job, by=by) as work:
            head = self._entry(work.connection, job).head
            event = work.append(JobCheckedOut(ticket=ticket, version=head))
            row = {"ticket": ticket, "job": job, "version": head, "by": by, "at": event.moment, "back_at": ""}
            work.connection.execute(insert(CHECKOUT).values(**row))
        return Out(ticket, job, head, by, event.moment)

    def outs(self, job: str | None = None) -> tuple[Out, ...]:
        """Copies that are on laptops still, the oldest first."""
        from sqlalchemy import select

        from farpress.record.shelf_tables import CHECKOUT

        query = select(CHECKOUT).where(CHECKOUT.c.back_at == "").order_by(CHECKOUT.c.at, CHECKOUT.c.ticket)
        if job is not None:
            query = query.where(CHECKOUT.c.job == job)
        with self.reading() as connection:
            return tuple(
                Out(*(row[name] for name in ("ticket", "job", "version", "by", "at")))
                for row in connection.execute(query).mappings()
            )

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """An open connection, for looking only."""
        with self.record._reading() as connection:
            yield connection

    def close(self) -> None:
        """Give back every connection."""
        self.record.close()

    def __enter__(self) -> Shelf:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _entry(self, connection: Connection, job: str) -> Entry:
        found = job_in(connection, job)
        if found is None:
            import difflib

            from sqlalchemy import select

            from farpress.record.shelf_tables import JOB

            names = list(connection.execute(select(JOB.c.job)).scalars())
            near = difflib.get_close_matches(job, names, n=3, cutoff=0.5)
            closest = (
                f" Closest: {', '.join(repr(one) for one in near)}."
                if near
                else " 'farpress firm find' lists the jobs."
            )
            raise InputError(f"There is no job '{job}' on the shelf.{closest}")
        return found


def job_in(connection: Connection, job: str) -> Entry | None:
    """A job as one transaction sees it."""
    from sqlalchemy import select

    from farpress.record.shelf_tables import JOB

    row = connection.execute(select(JOB).where(JOB.c.job == job)).mappings().first()
    return _entry(row) if row is not None else None


def version_in(connection: Connection, job: str, number: int) -> Version | None:
    """A version as one transaction sees it."""
    from sqlalchemy import select

    from farpress.record.shelf_tables import JOB_FILE, JOB_VERSION

    row = (
        connection.execute(
            select(JOB_VERSION).where(JOB_VERSION.c.job == job, JOB_VERSION.c.number == number)
        )
        .mappings()
        .first()
    )
    if row is None:
        return None
    files = connection.execute(
        select(JOB_FILE.c.path, JOB_FILE.c.digest)
        .where(JOB_FILE.c.job == job, JOB_FILE.c.version == number)
        .order_by(JOB_FILE.c.path)
    )
    return Version(**dict(row), files={one.path: one.digest for one in files})


def add_version_event(work: Writing, entry: Entry, fingerprint: str, *, merged: bool) -> None:
    """Tell of a new version on top of the newest; the words to it stand in the version alone, where a name
    can be taken out of them.
    """
    joined = {"merged": True} if merged else {}
    work.append(JobVersion(version=entry.head + 1, fingerprint=fingerprint, parent=entry.head, **joined))


def put_version(
    work: Writing,
    text: str,
    fingerprint: str,
    facts: Facts,
    *,
    files: Mapping[str, bytes] | None,
    says: str,
    at: str,
    number: int,
) -> None:
    """Write a version and what it speaks of, within a transaction; `files` None keeps those of the version
    before.
    """
    import hashlib

    from sqlalchemy import delete, insert, select, update

    from farpress.record.shelf_tables import CONTENT, JOB, JOB_FACT, JOB_FILE, JOB_VERSION

    connection, job = work.connection, work.job
    row = {
        "job": job,
        "number": number,
        "fingerprint": fingerprint,
        "parent": number - 1,
        "text": text,
        "at": at,
        "by": work.by,
        "says": says,
        "was": "",
    }
    connection.execute(insert(JOB_VERSION).values(**row))
    if files is None:
        kept = connection.execute(
            select(JOB_FILE.c.path, JOB_FILE.c.digest).where(
                JOB_FILE.c.job == job, JOB_FILE.c.version == number - 1
            )
        )
        listed = {row.path: row.digest for row in kept}
    else:
        listed = {path: hashlib.sha256(data).hexdigest() for path, data in files.items()}
        for path, digest in listed.items():
            if connection.execute(select(CONTENT.c.digest).where(CONTENT.c.digest == digest)).first() is None:
                connection.execute(insert(CONTENT).values(digest=digest, data=files[path]))
    if listed:
        connection.execute(
            insert(JOB_FILE),
            [
                {"job": job, "version": number, "path": path, "digest": digest}
                for path, digest in sorted(listed.items())
            ],
        )
    connection.execute(delete(JOB_FACT).where(JOB_FACT.c.job == job))
    if facts.named:
        connection.execute(
            insert(JOB_FACT), [{"job": job, "kind": kind, "name": name} for kind, name in sorted(facts.named)]
        )
    values: dict[str, Any] = {
        "head": number,
        "customer": facts.customer,
        "address": facts.address,
        "words": facts.words,
        "changed_at": at,
    }
    connection.execute(update(JOB).where(JOB.c.job == job).values(**values))


def _write_job(connection: Connection, values: dict[str, Any]) -> None:
    from sqlalchemy import insert

    from farpress.record.shelf_tables import JOB

    connection.execute(insert(JOB).values(**values))


def _entry(row: Any) -> Entry:
    return Entry(
        *(row[name] for name in ("job", "state", "head", "customer", "address", "added_at", "changed_at"))
    )
