"""Everything in one file, and back: a backup that can be checked without a database.

The file is compressed text, a line a row, closed by the number of rows and a digest of all
of them. It does not depend on the kind of database: a PostgreSQL can be restored from a
SQLite's backup and the other way round. What can be made anew (snapshots, results of
assessments) is left out. It holds names of persons: keep it as safe as the database, and
let it end when they end.
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import os
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from farpress.domain.acts import BackupMade, BackupRestored
from farpress.domain.event import digest_of
from farpress.errors import InputError, RecordError
from farpress.record.chain import event_of
from farpress.record.store import Record

if TYPE_CHECKING:
    from sqlalchemy import Connection, Table

__all__ = ["Backup", "check_backup", "restore_backup", "write_backup"]

FORM: Final = 1
"""Of the file; counted up when its lines change."""

LEFT_OUT: Final = frozenset({"snapshot", "result"})
"""Tables that can be made anew."""

BATCH: Final = 500
"""Rows written at once; our choice, so that memory stays flat."""

LARGEST_LINE: Final = 60_000_000
"""Characters of one row; our choice: a plan of 40 MB is one row."""


@dataclass(frozen=True)
class Backup:
    """What a backup holds.

    Attributes:
        shape: revision of the database it was made from.
        rows: table → number of rows.
        digest: SHA-256 over all lines before the last.
    """

    shape: str
    rows: dict[str, int]
    digest: str


def write_backup(record: Record, target: Path, *, by: str) -> Backup:
    """Write everything into one file, read it back, and only then put it in its place.

    The state is that of one moment, whatever others write meanwhile. A file that is there
    already is replaced only when the new one has been checked.

    Raises:
        InputError: the file cannot be written (a full disk, no permission); an older one stays as it was.
        RecordError: the database cannot be read.
    """
    name = ""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".new", dir=target.parent)
        with os.fdopen(handle, "wb") as raw:
            with gzip.GzipFile(fileobj=raw, mode="wb", mtime=0, filename="") as stream:
                for line in _lines(record):
                    stream.write(line)
            raw.flush()
            os.fsync(raw.fileno())
        made = check_backup(Path(name))
        Path(name).replace(target)
    except OSError as error:
        raise InputError(
            f"The backup could not be written to {target}: {error.strerror or error}. What was there before"
            " is as it was."
        ) from error
    finally:
        if name:
            Path(name).unlink(missing_ok=True)
    record.append(BackupMade(digest=made.digest, rows=sum(made.rows.values())), job="", by=by)
    return made


def check_backup(path: Path) -> Backup:
    """Read a backup through: whole, unchanged, every chain of events sound.

    Raises:
        InputError: it is no backup, was cut off or changed, or is of a newer version; says where.
    """
    rows: dict[str, int] = {}
    last: dict[str, tuple[int, str]] = {}
    head: dict[str, Any] = {}
    digest = ""
    for kind, value in _read(path):
        if kind == "head":
            head = value
        elif kind == "end":
            digest = value["digest"]
        else:
            rows[kind] = rows.get(kind, 0) + 1
            if kind == "event":
                _follow(value, last)
    return Backup(str(head["shape"]), rows, digest)


def restore_backup(path: Path, record: Record, *, by: str) -> Backup:
    """Fill an empty database from a backup, in one transaction: all of it, or nothing.

    Raises:
        InputError: the backup is not sound, is from a newer version, or the database is not empty.
        RecordError: the database refused; nothing was written.
    """
    from sqlalchemy import func, insert, select

    from farpress.record.chain import note_last
    from farpress.record.engine import writing
    from farpress.record.look import read_events
    from farpress.record.migrations import newest

    made = check_backup(path)
    if made.shape > newest():
        raise InputError(
            f"The backup has shape {made.shape}; this version of Farpress knows shapes up to {newest()}. Use"
            " the version that wrote it, or a newer one."
        )
    tables = {table.name: table for table in _tables()}
    unknown = sorted(set(made.rows) - set(tables))
    if unknown:
        raise InputError(
            f"The backup has tables that this version does not know: {', '.join(unknown)}. Nothing was"
            " written."
        )
    with writing(record._engine) as connection:
        full = [
            name
            for name, table in tables.items()
            if connection.execute(select(func.count()).select_from(table)).scalar()
        ]
        if full:
            raise InputError(
                f"The database to restore into is not empty: it has entries in {', '.join(full)}. Give a new"
                " file or a new database."
            )
        waiting: list[dict[str, Any]] = []
        of = ""
        for kind, value in _read(path):
            if kind != of or len(waiting) >= BATCH:
                if waiting:
                    connection.execute(insert(tables[of]), waiting)
                waiting, of = [], kind
            if kind in tables:
                waiting.append(_from_json(tables[kind], value))
        note_last(connection, read_events(connection))  # a backup from before chains had noted ends
        counts = {
            name: connection.execute(select(func.count()).select_from(tables[name])).scalar()
            for name in made.rows
        }
        if counts != made.rows:
            raise InputError(
                f"The database did not take every row ({counts} instead of {made.rows}); nothing was written."
            )
    if record.breaches():
        raise RecordError("The restored record's chain does not hold; do not use it.")
    record.append(BackupRestored(digest=made.digest, rows=sum(made.rows.values())), job="", by=by)
    return made


def _tables() -> list[Table]:
    from farpress.record import shelf_tables
    from farpress.record.tables import METADATA

    assert shelf_tables.JOB.metadata is METADATA
    return [table for name, table in sorted(METADATA.tables.items()) if name not in LEFT_OUT]


def _lines(record: Record) -> Iterator[bytes]:
    from farpress.record.migrations import shape_of

    seal = hashlib.sha256()
    count = 0

    def sealed(value: object) -> bytes:
        line = json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"
        seal.update(line)
        return line

    with record._reading() as connection:
        _one_moment(connection)
        yield sealed({"farpress backup": FORM, "shape": shape_of(connection)})
        for table in _tables():
            for row in (
                connection.execution_options(yield_per=BATCH)
                .execute(table.select().order_by(*table.primary_key.columns))
                .mappings()
            ):
                count += 1
                yield sealed([table.name, _to_json(dict(row))])
    yield json.dumps({"rows": count, "digest": seal.hexdigest()}).encode() + b"\n"


def _one_moment(connection: Connection) -> None:
    """Everything read from here on is as it was at one moment."""
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql("BEGIN")
    else:
        connection.execution_options(isolation_level="REPEATABLE READ")


def _read(path: Path) -> Iterator[tuple[str, Any]]:
    """The head, the rows and the end of a backup; each line is checked before it is handed on."""
    seal = hashlib.sha256()
    count, number, ended = 0, 0, False
    try:
        with gzip.open(path, "rb") as stream:
            while line := stream.readline(LARGEST_LINE):
                number += 1
                if ended:
                    raise InputError(
                        f"{path.name}: something follows the end, in line {number}. The backup was changed."
                    )
                value = json.loads(line)
                if number == 1:
                    if not isinstance(value, dict) or value.get("farpress backup") != FORM:
                        raise InputError(f"{path.name} is no backup of Farpress that this version can read.")
                    yield "head", value
                elif isinstance(value, dict):
                    ended = True
                    if value.get("digest") != seal.hexdigest() or value.get("rows") != count:
                        raise InputError(
                            f"{path.name} was changed or is damaged: its rows do not give the digest at its"
                            " end."
                        )
                    yield "end", value
                else:
                    count += 1
                    yield str(value[0]), value[1]
                seal.update(line)
    except (gzip.BadGzipFile, EOFError, ValueError, KeyError, IndexError, TypeError) as error:
        if isinstance(error, InputError):
            raise
        raise InputError(
            f"{path.name} cannot be read in line {number + 1}: {error}. It is no backup, or it was cut off or"
            " damaged."
        ) from error
    except OSError as error:
        raise InputError(f"{path} cannot be read: {error.strerror or error}.") from error
    if not ended:
        raise InputError(f"{path.name} was cut off after line {number}: its end is missing.")


def _follow(row: dict[str, Any], last: dict[str, tuple[int, str]]) -> None:
    event = event_of(row)
    number, digest = last.get(event.origin, (0, ""))
    if event.number != number + 1 or event.previous != digest or digest_of(event) != event.digest:
        raise InputError(
            f"Event {event.number} of {event.origin} does not follow the one before it, or was changed. The"
            " backup's chain does not hold."
        )
    last[event.origin] = (event.number, event.digest)


def _to_json(row: dict[str, Any]) -> dict[str, Any]:
    return {
        key: {"base64": base64.b64encode(value).decode()} if isinstance(value, bytes | memoryview) else value
        for key, value in row.items()
    }


def _from_json(table: Table, row: dict[str, Any]) -> dict[str, Any]:
    known = {column.name for column in table.columns}
    return {
        key: base64.b64decode(value["base64"]) if isinstance(value, dict) else value
        for key, value in row.items()
        if key in known
    }
