"""The versions of a job file: every state it ever had at the desk, who made it, and when.

One small SQLite file in the job folder. A version is written before the job file is
replaced, so that a program killed in between leaves nothing unexplained: the next one
that opens the history sees from the job file itself whether the change arrived.
"""

from __future__ import annotations

import sqlite3
import threading
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final, Literal

from farpress.errors import RecordError
from farpress.write_ahead import PATIENCE_S, keep_a_write_ahead_log

__all__ = ["FILE_NAME", "History", "Kind", "Version"]

FILE_NAME: Final = "versions.sqlite"
"""Name of the file in a job folder."""

STALE_S: Final = 60
"""A version that has not arrived after so long never will: our choice, a write takes well under a second."""

Kind = Literal["start", "edit", "undo", "redo", "outside"]

_TABLE: Final = """
create table if not exists version (
  number integer primary key autoincrement, fingerprint text not null, previous text not null,
  at text not null, by text not null, says text not null, kind text not null, of integer,
  arrived integer not null, text blob not null
)
"""


@dataclass(frozen=True)
class Version:
    """One state of the job file.

    Attributes:
        number: 1, 2, 3 … in this folder.
        fingerprint, previous: of this state and of the one before it.
        at: when, UTC, as "2026-11-25T14:03:07Z".
        by: who made it.
        says: what was changed, in words.
        kind: "start" (as found first), "edit", "undo", "redo", or "outside" (changed by hand).
        of: number of the version that an undo or redo is about.
    """

    number: int
    fingerprint: str
    previous: str
    at: str
    by: str
    says: str
    kind: Kind
    of: int | None


class History:
    """The versions of one job folder. Safe for several threads and processes at once."""

    def __init__(self, folder: Path) -> None:
        """Open the history of a folder, or begin it."""
        self._path = folder / FILE_NAME
        self._lock = threading.RLock()
        self._open: sqlite3.Connection | None = None
        with self.locked() as connection:
            connection.execute(_TABLE)

    @contextmanager
    def locked(self) -> Iterator[sqlite3.Connection]:
        """A transaction that no other writer of this folder can enter meanwhile.

        Raises:
            RecordError: the file cannot be used; the driver's message is kept.
        """
        try:
            with self._lock:
                connection = self._connection()
                connection.execute("begin immediate")
                try:
                    yield connection
                except BaseException:
                    connection.execute("rollback")
                    raise
                connection.execute("commit")
        except sqlite3.Error as error:
            self.close()
            raise RecordError(f"The versions in {self._path.name} could not be kept: {error}.") from error

    def close(self) -> None:
        """Give the file back; it is opened again when it is needed."""
        with self._lock:
            if self._open is not None:
                self._open.close()
                self._open = None

    def _connection(self) -> sqlite3.Connection:
        """The one connection: opening and closing one for each change costs three waits for the disk."""
        if self._open is None or not self._path.exists():
            self.close()
            made = sqlite3.connect(
                self._path, timeout=PATIENCE_S, isolation_level=None, check_same_thread=False
            )
            keep_a_write_ahead_log(made)
            made.execute("pragma synchronous=full")
            self._open = made
        return self._open

    def begin(
        self,
        *,
        text: str,
        fingerprint: str,
        previous: str,
        by: str,
        says: str,
        kind: Kind,
        of: int | None = None,
    ) -> int:
        """Write a version that is about to become the job file; then `arriving`, `arrive` or `drop`."""
        moment = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        row = (fingerprint, previous, moment, by, says, kind, of, 0, zlib.compress(text.encode("utf-8"), 6))
        with self.locked() as connection:
            made = connection.execute(
                "insert into version (fingerprint, previous, at, by, says, kind, of, arrived, text) values"
                " (?,?,?,?,?,?,?,?,?)",
                row,
            )
            return int(made.lastrowid or 0)

    @contextmanager
    def arriving(self, number: int) -> Iterator[None]:
        """While the job file becomes this version: no other writer of this folder gets in between.

        Killed inside, the version is not yet marked; `settle` sees from the file that it did arrive.
        """
        with self.locked() as connection:
            yield
            connection.execute("update version set arrived = 1 where number = ?", (number,))

    def arrive(self, number: int) -> None:
        """The job file is this version now."""
        with self.arriving(number):
            pass

    def drop(self, number: int) -> None:
        """This version never became the job file."""
        with self.locked() as connection:
            connection.execute("delete from version where number = ? and arrived = 0", (number,))

    def settle(self, fingerprint: str) -> None:
        """After a crash: keep a version that did become the job file, drop one that did not."""
        with self.locked() as connection:
            connection.execute(
                "update version set arrived = 1 where arrived = 0 and fingerprint = ?", (fingerprint,)
            )
            stale = (datetime.now(UTC) - timedelta(seconds=STALE_S)).strftime("%Y-%m-%dT%H:%M:%SZ")
            connection.execute("delete from version where arrived = 0 and at < ?", (stale,))

    def versions(self, *, last: int | None = None, by: str | None = None) -> tuple[Version, ...]:
        """The versions, oldest first; only the last so many, or those of one person, if asked."""
        query = (
            "select number, fingerprint, previous, at, by, says, kind, of from version where arrived ="
            f" 1{'' if by is None else ' and by = ?'} order by number desc limit ?"
        )
        with self._reading() as connection:
            rows = connection.execute(
                query, (*(() if by is None else (by,)), -1 if last is None else last)
            ).fetchall()
        return tuple(Version(*row) for row in reversed(rows))

    def text_of(self, fingerprint: str) -> str | None:
        """The text of a state, or None if it was never kept here."""
        with self._reading() as connection:
            row = connection.execute(
                "select text from version where fingerprint = ? order by number desc limit 1", (fingerprint,)
            ).fetchone()
        return zlib.decompress(row[0]).decode("utf-8") if row is not None else None

    @contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        try:
            with self._lock:
                yield self._connection()
        except sqlite3.Error as error:
            self.close()
            raise RecordError(f"The versions in {self._path.name} could not be read: {error}.") from error
