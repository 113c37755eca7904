"""The record: append an event so that it is never lost, and read the log back.

One file beside the job (SQLite, write-ahead log) or one database for a firm
(PostgreSQL). An append returns only when the event is on disk.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from farpress.domain.event import Event, digest_of
from farpress.errors import RecordError
from farpress.record.chain import Writing, checked, event_of

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

    from farpress.domain.register import Register

__all__ = ["FILE_NAME", "Breach", "Record", "open_record", "read_events"]

FILE_NAME = "record.sqlite"
"""Name of the record's file in a job folder."""


@dataclass(frozen=True)
class Breach:
    """A place where the chain does not hold: an event changed, missing or out of order."""

    origin: str
    number: int
    says: str


def open_record(where: Path | str) -> Record:
    """Open the record of a job folder, of a SQLite file, or of a database address; make it if new.

    A record written by an older version is brought to this version's shape.

    Raises:
        RecordError: the file or database cannot be opened, or is newer than this program.
    """
    from farpress.record.engine import connect

    target = Path(where) / FILE_NAME if "://" not in str(where) and Path(where).is_dir() else where
    return Record(connect(str(target)))


class Record:
    """The log of one or many jobs. Safe for several processes at once."""

    def __init__(self, engine: Engine) -> None:
        """Use `open_record`, which also makes the tables."""
        self._engine = engine

    @contextmanager
    def transaction(self, *, job: str, by: str, at: datetime | None = None) -> Iterator[Writing]:
        """Look and write with nobody in between: events are written when the block ends, or not at all.

        Raises:
            RecordError: the database refused; nothing was written.
        """
        from farpress.record.engine import writing

        with writing(self._engine) as connection:
            work = Writing(connection, job=job, by=by, at=at)
            yield work
            work.flush()

    def append(self, kind: str, body: Mapping[str, object], *, job: str, by: str, at: datetime | None = None) -> Event:
        """Write one event and return it as written, number and hash included."""
        return self.append_all([(kind, body)], job=job, by=by, at=at)[0]

    def append_all(
        self, entries: Iterable[tuple[str, Mapping[str, object]]], *, job: str, by: str, at: datetime | None = None
    ) -> tuple[Event, ...]:
        """Write several events in one transaction: all of them, or none.

        Raises:
            InputError: an unknown kind, or a body that is not plain JSON.
            RecordError: the database refused; nothing was written.
        """
        prepared = [(kind, *checked(kind, body)) for kind, body in entries]
        with self.transaction(job=job, by=by, at=at) as work:
            for kind, body, text in prepared:
                work.add(kind, body, text)
        return tuple(work.events)

    def events(self, *, job: str | None = None, kinds: Iterable[str] | None = None, fob: str | None = None) -> tuple[Event, ...]:
        """Events in the order of time, optionally of one job, of some kinds, about one fob."""
        with self._reading() as connection:
            return read_events(connection, job=job, kinds=kinds, fob=fob)

    def register(self, *, job: str) -> Register:
        """The register of a job as of its last event; drawn from the last snapshot on, so that it is quick."""
        from farpress.record.snapshot import current_register

        return current_register(self, job)

    def breaches(self, events: Iterable[Event] | None = None) -> tuple[Breach, ...]:
        """Every place where the chain does not hold; empty when the record is whole.

        Args:
            events: all events of the record, where the caller has read them already.
        """
        found: list[Breach] = []
        with self._reading() as connection:
            ends = _ends(connection)
            by_origin: dict[str, list[Event]] = {origin: [] for origin in ends}
            for event in read_events(connection) if events is None else events:
                by_origin.setdefault(event.origin, []).append(event)
        for origin, mine in by_origin.items():
            previous, expected = "", 1
            for event in sorted(mine, key=lambda one: one.number):
                if event.number != expected:
                    missing = f"event {expected} is missing" if event.number == expected + 1 else f"events {expected} to {event.number - 1} are missing"
                    found.append(Breach(origin, expected, missing))
                elif event.previous != previous:
                    found.append(Breach(origin, event.number, f"event {event.number} does not follow the one before it"))
                if digest_of(event) != event.digest:
                    found.append(Breach(origin, event.number, f"event {event.number} was changed after it was written"))
                previous, expected = event.digest, event.number + 1
            last, digest = ends.get(origin, (0, ""))
            if last >= expected:
                missing = f"event {last}, the last that was written, is missing" if last == expected else f"events {expected} to {last}, the last that were written, are missing"
                found.append(Breach(origin, expected, missing))
            elif last == expected - 1 and last and digest != previous:
                found.append(Breach(origin, last, f"event {last} is not the one that was written last"))
        return tuple(found)

    def ends(self) -> dict[str, tuple[int, str]]:
        """Chain → number and digest of its last entry, as noted when it was written."""
        with self._reading() as connection:
            return _ends(connection)

    def close(self) -> None:
        """Give back every connection."""
        self._engine.dispose()

    def __enter__(self) -> Record:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        from farpress.record.engine import writing

        with writing(self._engine) as connection:
            yield connection

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        from sqlalchemy.exc import SQLAlchemyError

        try:
            with self._engine.connect() as connection:
                yield connection
        except SQLAlchemyError as error:
            raise RecordError(f"The record could not be read: {getattr(error, 'orig', None) or error}.") from error


def _ends(connection: Connection) -> dict[str, tuple[int, str]]:
    from sqlalchemy import select

    from farpress.record.tables import ORIGIN

    return {row["name"]: (row["last_number"], row["last_digest"]) for row in connection.execute(select(ORIGIN).order_by(ORIGIN.c.name)).mappings()}


def read_events(
    connection: Connection, *, job: str | None = None, kinds: Iterable[str] | None = None, fob: str | None = None, after: Mapping[str, int] | None = None
) -> tuple[Event, ...]:
    """Events in the order of time, seen from one connection.

    Args:
        connection: an open connection or transaction.
        job: only of this job.
        kinds: only of these kinds.
        fob: only about the fob of this label.
        after: origin → number; only events numbered later in their origin.
    """
    from sqlalchemy import and_, literal_column, not_, or_, select

    from farpress.record.tables import EVENT

    query = select(EVENT).order_by(EVENT.c.at, EVENT.c.origin, EVENT.c.number)
    if job is not None:
        query = query.where(EVENT.c.job == job)
    if kinds is not None:
        query = query.where(EVENT.c.kind.in_(list(kinds)))
    if fob is not None:
        about = "json_extract(body, '$.fob')" if connection.dialect.name == "sqlite" else "(body::jsonb ->> 'fob')"
        query = query.where(literal_column(about) == fob)
    if after:
        later = [and_(EVENT.c.origin == origin, EVENT.c.number > number) for origin, number in after.items()]
        query = query.where(or_(*later, not_(EVENT.c.origin.in_(list(after)))))
    return tuple(event_of(row) for row in connection.execute(query).mappings())
