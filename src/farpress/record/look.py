"""Look at a record without changing it: rows of its tables, over the quickest connection there is.

A file beside a job is read with Python's own `sqlite3`, which is there at once; loading
SQLAlchemy takes longer than most answers. A firm's database, and everything that is
written, goes through SQLAlchemy. The questions are the same text for both.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import ExitStack, closing, contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from farpress.domain.event import Event

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

__all__ = [
    "COLUMNS",
    "Looking",
    "blank",
    "ends_of_chains",
    "file_of",
    "is_sqlite",
    "opened_file",
    "read_events",
    "rows",
    "shape_of_file",
]

Looking: TypeAlias = "Connection | sqlite3.Connection"
"""What rows can be asked from."""

COLUMNS = 'origin, number, job, at, "by", kind, body, previous, digest'
"""The columns of an event, in the order of its fields."""


def rows(connection: Looking, question: str, values: Mapping[str, object] = {}) -> Iterable[Any]:
    """Rows as tuples in the order of the question's columns; `:name` in it stands for a value."""
    if isinstance(connection, sqlite3.Connection):
        return connection.execute(question, dict(values))
    from sqlalchemy import text

    return connection.execute(text(question), dict(values))


def read_events(
    connection: Looking,
    *,
    job: str | None = None,
    kinds: Iterable[str] | None = None,
    fob: str | None = None,
    after: Mapping[str, int] | None = None,
) -> tuple[Event, ...]:
    """Events in the order of time, seen from one connection.

    Args:
        connection: an open connection or transaction.
        job: only of this job.
        kinds: only of these kinds.
        fob: only about the fob of this label.
        after: origin → number; only events numbered later in their origin.
    """
    wanted = ["1 = 1"]
    values: dict[str, object] = {}
    if job is not None:
        wanted.append("job = :job")
        values["job"] = job
    if kinds is not None:
        named = {f"kind{place}": kind for place, kind in enumerate(kinds)}
        wanted.append(f"kind IN ({', '.join(f':{name}' for name in named)})" if named else "1 = 0")
        values |= named
    if fob is not None:
        wanted.append(
            ("json_extract(body, '$.fob')" if is_sqlite(connection) else "(body::jsonb ->> 'fob')")
            + " = :fob"
        )
        values["fob"] = fob
    if after:
        origins = {f"origin{place}": origin for place, origin in enumerate(after)}
        numbers = {f"number{place}": number for place, number in enumerate(after.values())}
        later = [f"(origin = :{origin} AND number > :{number})" for origin, number in zip(origins, numbers)]
        wanted.append(
            f"({' OR '.join(later)} OR origin NOT IN ({', '.join(f':{name}' for name in origins)}))"
        )
        values |= {**origins, **numbers}
    # asked for an order too, SQLite takes the index of the order and reads the whole job; the few events of
    # one fob are sorted here
    order = " ORDER BY at, origin, number" if fob is None else ""
    entries = rows(connection, f"SELECT {COLUMNS} FROM event WHERE {' AND '.join(wanted)}{order}", values)
    if fob is not None:
        entries = sorted(entries, key=lambda row: (row[3], row[0], row[1]))
    return tuple(Event(*row) for row in entries)


def ends_of_chains(connection: Looking) -> dict[str, tuple[int, str]]:
    """Chain → number and digest of its last entry, as noted when it was written."""
    return {
        str(name): (int(number), str(digest))
        for name, number, digest in rows(
            connection, "SELECT name, last_number, last_digest FROM origin ORDER BY name"
        )
    }


def is_sqlite(connection: Looking) -> bool:
    """Whether the rows come from SQLite."""
    return isinstance(connection, sqlite3.Connection) or connection.dialect.name == "sqlite"


def file_of(target: str) -> Path | None:
    """The file of a record that is one; None for the address of a database."""
    return None if "://" in target or target == ":memory:" else Path(target)


@contextmanager
def opened_file(file: Path) -> Iterator[sqlite3.Connection]:
    """The file of a record, for looking: it must be there, and waits while somebody writes.

    A folder that cannot be written, a write-protected medium and a full disk are read too: SQLite wants to
    make a file beside a record with a write-ahead log even to read it, so there it is read as it lies.
    """
    with ExitStack() as stack:
        try:
            connection = stack.enter_context(_tried(file, "mode=rw"))
        except sqlite3.OperationalError as error:
            if not any(sign in str(error) for sign in _CANNOT_WRITE):
                raise
            connection = stack.enter_context(_as_it_lies(file, stack))
        yield connection


_CANNOT_WRITE: Final = ("readonly database", "unable to open", "disk I/O error", "disk is full")
"""What SQLite says where it may not, or cannot, write beside a file it is to read."""


def _tried(file: Path, how: str) -> closing[sqlite3.Connection]:
    """A connection that has answered once."""
    connection = sqlite3.connect(
        f"{file.absolute().as_uri()}?{how}", uri=True, timeout=30.0, isolation_level=None
    )
    try:
        connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    except BaseException:
        connection.close()
        raise
    return closing(connection)


def _as_it_lies(file: Path, stack: ExitStack) -> closing[sqlite3.Connection]:
    """Without a lock and without a file beside it; entries still in the write-ahead log are read in a copy,
    for nothing that was acknowledged may be missing.
    """
    log = file.with_name(f"{file.name}-wal")
    if not log.exists() or not log.stat().st_size:
        return _tried(file, "immutable=1")
    folder = Path(stack.enter_context(TemporaryDirectory(prefix="farpress-")))
    for part in (file, log):
        shutil.copyfile(part, folder / part.name)
    return _tried(folder / file.name, "mode=rw")


def shape_of_file(file: Path) -> str:
    """Revision of the tables in a file; empty where there are none, or it is no record."""
    try:
        with opened_file(file) as connection:
            return str(next(iter(rows(connection, "SELECT version_num FROM alembic_version")), ("",))[0])
    except sqlite3.Error:
        return ""


def blank() -> Engine:
    """An empty record in memory: what is read where nothing was ever written."""
    from sqlalchemy import create_engine
    from sqlalchemy.pool import StaticPool

    from farpress.record import shelf_tables
    from farpress.record.tables import METADATA

    assert shelf_tables.JOB.metadata is METADATA
    engine = create_engine("sqlite://", poolclass=StaticPool, connect_args={"check_same_thread": False})
    METADATA.create_all(engine)
    return engine
