"""The record: append an event so that it is never lost, and read the log back.

One file beside the job (SQLite, write-ahead log) or one database for a firm
(PostgreSQL). An append returns only when the event is on disk.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, nullcontext, suppress
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from farpress.domain.event import Event, digest_of_fields
from farpress.errors import RecordError
from farpress.record.chain import Writing, text_of
from farpress.record.look import (
    COLUMNS,
    Looking,
    blank,
    ends_of_chains,
    file_of,
    opened_file,
    read_events,
    rows,
    shape_of_file,
)

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

    from farpress.domain.acts import Act
    from farpress.domain.register import FobRegister

__all__ = ["FILE_NAME", "Breach", "Record", "open_record"]

FILE_NAME = "record.sqlite"
"""Name of the record's file in a job folder."""


@dataclass(frozen=True)
class Breach:
    """A place where the chain does not hold: an event changed, missing or out of order."""

    origin: str
    number: int
    says: str


def open_record(where: Path | str) -> Record:
    """Open the record of a job folder, of a SQLite file, or of a database address.

    A file that is not there yet is made by the first thing that is written; looking makes
    none. A record written by an older version is brought to this version's shape.

    Raises:
        RecordError: the file or database cannot be opened, or is newer than this program.
    """
    from farpress.record.migrations import newest

    target = str(Path(where) / FILE_NAME if "://" not in str(where) and Path(where).is_dir() else where)
    record = Record(target)
    file = file_of(target)
    if file is None or (not file.parent.is_dir() if not file.exists() else shape_of_file(file) != newest()):
        _ = (
            record._engine
        )  # brought to this shape, or refused with what is wrong, now and not at the first question
    return record


class Record:
    """The log of one or many jobs. Safe for several processes at once."""

    def __init__(self, target: str) -> None:
        """Use `open_record`."""
        self._file = file_of(target)
        self._target = target
        self._blank: Engine | None = None
        self._joint: Connection | None = None

    @property
    def is_there(self) -> bool:
        """Whether anything was ever recorded here; a file that only looking would have made is not there."""
        return self._file is None or self._file.exists()

    def begin(self) -> None:
        """Make the file and its tables now, where they are not made by the first entry.

        Raises:
            RecordError: it cannot be made.
        """
        _ = self._engine

    @cached_property
    def _engine(self) -> Engine:
        """The database, its file and tables made if they are missing."""
        from farpress.record.engine import connect

        return connect(self._target)

    @contextmanager
    def transaction(self, *, job: str, by: str, moment: datetime | None = None) -> Iterator[Writing]:
        """Look and write with nobody in between: events are written when the block ends, or not at all.

        Raises:
            RecordError: the database refused; nothing was written.
        """
        from farpress.record.engine import writing

        with nullcontext(self._joint) if self._joint is not None else writing(self._engine) as connection:
            work = Writing(connection, job=job, by=by, moment=moment)
            yield work
            work.flush()

    @contextmanager
    def together(self, *, job: str, by: str) -> Iterator[None]:
        """Everything that is written of one job through this record meanwhile is one transaction, and what is
        read meanwhile has it in it.

        Raises:
            RecordError: the database refused; nothing was written.
        """
        with self.transaction(job=job, by=by) as work:
            self._joint = work.connection
            try:
                yield
            finally:
                self._joint = None

    def append(self, act: Act, *, job: str, by: str, moment: datetime | None = None) -> Event:
        """Write one event and return it as written, number and hash included."""
        return self.append_all([act], job=job, by=by, moment=moment)[0]

    def append_all(
        self, acts: Iterable[Act], *, job: str, by: str, moment: datetime | None = None
    ) -> tuple[Event, ...]:
        """Write several events in one transaction: all of them, or none.

        Raises:
            InputError: a value in one of them that is not plain JSON.
            RecordError: the database refused; nothing was written.
        """
        prepared = [(act.kind, text_of(act)) for act in acts]
        with self.transaction(job=job, by=by, moment=moment) as work:
            for kind, text in prepared:
                work.add(kind, text)
        return tuple(work.events)

    def events(
        self, *, job: str | None = None, kinds: Iterable[str] | None = None, fob: str | None = None
    ) -> tuple[Event, ...]:
        """Events in the order of time, optionally of one job, of some kinds, about one fob."""
        with self.looking() as connection:
            return read_events(connection, job=job, kinds=kinds, fob=fob)

    def register(self, *, job: str) -> FobRegister:
        """The register of a job as of its last event; drawn from the last snapshot on, so that it is
        quick.
        """
        from farpress.record.snapshot import WORTH_KEEPING, drawn_in, keep

        with self.looking() as connection:
            drawn = drawn_in(connection, job)
        if drawn.newer >= WORTH_KEEPING:
            # a record that cannot be written is still read
            with suppress(RecordError), self._writing() as connection:
                keep(connection, job, drawn)
        return drawn.register

    def snapshot_agrees(self, *, job: str) -> bool:
        """Whether the register kept beside the log equals the one drawn from the first event on."""
        from farpress.record.snapshot import agrees

        events = self.events(job=job)
        with self.looking() as connection:
            return agrees(connection, job, events)

    def drop_snapshots(self) -> None:
        """Throw every kept register away; the next question draws it anew."""
        from sqlalchemy import delete

        from farpress.record.tables import SNAPSHOT

        with self._writing() as connection:
            connection.execute(delete(SNAPSHOT))

    def breaches(self) -> tuple[Breach, ...]:
        """Every place where the chain does not hold; empty when the record is whole.

        Every entry is read and hashed anew each time. A mark "whole up to here", kept to save
        that work, would have to lie where whoever changes an entry could change it too.
        """
        found: list[Breach] = []
        with self.looking() as connection:
            ends = ends_of_chains(connection)
            number, previous, of = 0, "", ""
            for origin, place, job, moment, by, kind, text, before, digest in rows(
                connection, f"SELECT {COLUMNS} FROM event ORDER BY origin, number"
            ):
                if origin != of:
                    found += _end_breaches(of, number, previous, ends.pop(of, None))
                    number, previous, of = 0, "", origin
                if place != number + 1:
                    missing = (
                        f"event {number + 1} is missing"
                        if place == number + 2
                        else f"events {number + 1} to {place - 1} are missing"
                    )
                    found.append(Breach(origin, number + 1, missing))
                elif before != previous:
                    found.append(Breach(origin, place, f"event {place} does not follow the one before it"))
                if digest_of_fields(origin, place, job, moment, by, kind, text, before) != digest:
                    found.append(Breach(origin, place, f"event {place} was changed after it was written"))
                number, previous = place, digest
        found += _end_breaches(of, number, previous, ends.pop(of, None))
        for origin, end in ends.items():
            found += _end_breaches(origin, 0, "", end)
        return tuple(found)

    def ends(self) -> dict[str, tuple[int, str]]:
        """Chain → number and digest of its last entry, as noted when it was written."""
        with self.looking() as connection:
            return ends_of_chains(connection)

    def holds(self, number: int, digest: str) -> bool:
        """Whether an entry of this number has a digest that begins so."""
        with self.looking() as connection:
            return any(
                known.startswith(digest)
                for (known,) in rows(
                    connection, "SELECT digest FROM event WHERE number = :number", {"number": number}
                )
            )

    def size(self) -> int:
        """How many entries there are."""
        with self.looking() as connection:
            return int(next(iter(rows(connection, "SELECT count(*) FROM event")))[0])

    @contextmanager
    def looking(self) -> Iterator[Looking]:
        """A connection for questions that are plain text: see `rows`."""
        if self._joint is not None:
            yield self._joint
            return
        if self._file is None or not self._file.exists():
            with self._reading() as connection:
                yield connection
            return
        try:
            with opened_file(self._file) as connection:
                yield connection
        except sqlite3.Error as error:
            raise RecordError(f"The record could not be read: {error}.") from error

    def close(self) -> None:
        """Give back every connection."""
        for engine in (self.__dict__.pop("_engine", None), self._blank):
            if engine is not None:
                engine.dispose()

    def __enter__(self) -> Record:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        from farpress.record.engine import writing

        with nullcontext(self._joint) if self._joint is not None else writing(self._engine) as connection:
            yield connection

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        from sqlalchemy.exc import SQLAlchemyError

        if not self.is_there and self._blank is None:
            self._blank = blank()
        try:
            with (
                self._blank if self._blank is not None and not self.is_there else self._engine
            ).connect() as connection:
                yield connection
        except SQLAlchemyError as error:
            raise RecordError(
                f"The record could not be read: {getattr(error, 'orig', None) or error}."
            ) from error


def _end_breaches(origin: str, number: int, digest: str, noted: tuple[int, str] | None) -> list[Breach]:
    """What is wrong at the end of a chain whose last entry is `number`, against the end that was noted."""
    last, noted_digest = noted or (0, "")
    if last > number:
        missing = (
            f"event {last}, the last that was written, is missing"
            if last == number + 1
            else f"events {number + 1} to {last}, the last that were written, are missing"
        )
        return [Breach(origin, number + 1, missing)]
    if last == number and last and noted_digest != digest:
        return [Breach(origin, last, f"event {last} is not the one that was written last")]
    return []
