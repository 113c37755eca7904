"""What stands on the shelf: jobs, versions, copies that are out, as rows within a transaction."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from farpress.domain.acts import JobVersion

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from farpress.record.chain import Writing

__all__ = [
    "Facts",
    "Out",
    "ShelfEntry",
    "ShelfVersion",
    "add_version_event",
    "entry_of",
    "job_in",
    "put_version",
    "version_in",
    "write_job",
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
class ShelfEntry:
    """One job on the shelf; `head` is the number of its newest version."""

    job: str
    state: str
    head: int
    customer: str
    address: str
    added_at: str
    changed_at: str


@dataclass(frozen=True)
class ShelfVersion:
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


def job_in(connection: Connection, job: str) -> ShelfEntry | None:
    """A job as one transaction sees it."""
    from sqlalchemy import select

    from farpress.record.shelf_tables import JOB

    row = connection.execute(select(JOB).where(JOB.c.job == job)).mappings().first()
    return entry_of(row) if row is not None else None


def version_in(connection: Connection, job: str, number: int) -> ShelfVersion | None:
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
    return ShelfVersion(**dict(row), files={file.path: file.digest for file in files})


def add_version_event(work: Writing, entry: ShelfEntry, fingerprint: str, *, merged: bool) -> None:
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
    moment: str,
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
        "at": moment,
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
        "changed_at": moment,
    }
    connection.execute(update(JOB).where(JOB.c.job == job).values(**values))


def write_job(connection: Connection, values: dict[str, Any]) -> None:
    """Write the row of a job anew, within a transaction."""
    from sqlalchemy import insert

    from farpress.record.shelf_tables import JOB

    connection.execute(insert(JOB).values(**values))


def entry_of(row: Any) -> ShelfEntry:
    """A row, as a mapping, as the job it is."""
    return ShelfEntry(
        *(row[name] for name in ("job", "state", "head", "customer", "address", "added_at", "changed_at"))
    )
