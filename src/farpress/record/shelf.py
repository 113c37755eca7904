"""The firm's shelf: every job with all its versions, in the same database as the record.

What a version says of people, parts and places is given along by the caller; nothing here
reads a job file. Each change is one transaction with the event that tells of it.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from farpress.domain.acts import JobArchived, JobCheckedOut, JobReopened, JobShelved
from farpress.errors import InputError
from farpress.record.shelf_rows import (
    Facts,
    Out,
    ShelfEntry,
    ShelfVersion,
    add_version_event,
    entry_of,
    job_in,
    put_version,
    version_in,
    write_job,
)
from farpress.record.store import Record, open_record

if TYPE_CHECKING:
    from sqlalchemy import Connection


__all__ = ["Shelf", "open_shelf"]


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
    ) -> ShelfVersion:
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
            write_job(work.connection, {"job": job, "state": "open", "head": 0, "added_at": event.moment})
            put_version(work, text, fingerprint, facts, files=files, says=says, moment=event.moment, number=1)
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
    ) -> ShelfVersion:
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
                moment=work.events[-1].moment,
                number=parent + 1,
            )
        return self.version(job)

    def entry(self, job: str) -> ShelfEntry:
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
    ) -> tuple[ShelfEntry, ...]:
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
            return tuple(entry_of(row) for row in connection.execute(query).mappings())

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

    def version(self, job: str, number: int | None = None) -> ShelfVersion:
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

    def versions(self, job: str) -> tuple[ShelfVersion, ...]:
        """Every version of a job, the oldest first."""
        entry = self.entry(job)
        with self.reading() as connection:
            return tuple(
                version
                for number in range(1, entry.head + 1)
                if (version := version_in(connection, job, number)) is not None
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

    def set_state(self, job: str, state: str, *, by: str, why: str = "") -> ShelfEntry:
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

    def _entry(self, connection: Connection, job: str) -> ShelfEntry:
        found = job_in(connection, job)
        if found is None:
            import difflib

            from sqlalchemy import select

            from farpress.record.shelf_tables import JOB

            names = list(connection.execute(select(JOB.c.job)).scalars())
            near = difflib.get_close_matches(job, names, n=3, cutoff=0.5)
            closest = (
                f" Closest: {', '.join(repr(name) for name in near)}."
                if near
                else " 'farpress firm find' lists the jobs."
            )
            raise InputError(f"There is no job '{job}' on the shelf.{closest}")
        return found
