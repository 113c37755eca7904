"""The record: append an event so that it is never lost, and read the log back.

One file beside the job (SQLite, write-ahead log) or one database for a firm
(PostgreSQL). An append returns only when the event is on disk.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from farpress.domain.event import EVENT_KINDS, Event, canonical, digest_of
from farpress.errors import InputError, RecordError

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

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
    """Open the record of a job folder, of a SQLite file, or of a database address; make it if new.

    Raises:
        RecordError: the file or database cannot be opened; the driver's message is kept.
    """
    from farpress.record.engine import connect

    target = Path(where) / FILE_NAME if "://" not in str(where) and Path(where).is_dir() else where
    return Record(connect(str(target)))


class Record:
    """The log of one or many jobs. Safe for several processes at once."""

    def __init__(self, engine: Engine) -> None:
        """Use `open_record`, which also makes the tables."""
        self._engine = engine

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
        from sqlalchemy import insert

        from farpress.record.tables import EVENT

        prepared = [(kind, _checked(kind, body)) for kind, body in entries]
        now = (at or datetime.now(UTC)).astimezone(UTC)
        with self._writing() as connection:
            origin = _own_origin(connection)
            last = _last_of(connection, origin)
            written: list[Event] = []
            for kind, body in prepared:
                moment = _moment(now, last.at if last else "")
                event = Event(origin, last.number + 1 if last else 1, job, moment, by, kind, body, last.digest if last else "")
                last = replace(event, digest=digest_of(event))
                written.append(last)
            if written:
                connection.execute(insert(EVENT), [_row(event) for event in written])
        return tuple(written)

    def events(self, *, job: str | None = None, kinds: Iterable[str] | None = None) -> tuple[Event, ...]:
        """Events in the order of time, optionally of one job and of some kinds."""
        from sqlalchemy import select

        from farpress.record.tables import EVENT

        query = select(EVENT).order_by(EVENT.c.at, EVENT.c.origin, EVENT.c.number)
        if job is not None:
            query = query.where(EVENT.c.job == job)
        if kinds is not None:
            query = query.where(EVENT.c.kind.in_(list(kinds)))
        with self._reading() as connection:
            return tuple(_event(row) for row in connection.execute(query).mappings())

    def breaches(self) -> tuple[Breach, ...]:
        """Every place where the chain does not hold; empty when the record is whole."""
        found: list[Breach] = []
        by_origin: dict[str, list[Event]] = {}
        for event in self.events():
            by_origin.setdefault(event.origin, []).append(event)
        for origin, events in by_origin.items():
            previous, expected = "", 1
            for event in sorted(events, key=lambda one: one.number):
                if event.number != expected:
                    found.append(Breach(origin, expected, f"event {expected} is missing"))
                elif event.previous != previous:
                    found.append(Breach(origin, event.number, f"event {event.number} does not follow the one before it"))
                if digest_of(event) != event.digest:
                    found.append(Breach(origin, event.number, f"event {event.number} was changed after it was written"))
                previous, expected = event.digest, event.number + 1
        return tuple(found)

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


def _checked(kind: str, body: Mapping[str, object]) -> Mapping[str, object]:
    import difflib

    if kind not in EVENT_KINDS:
        close = difflib.get_close_matches(kind, EVENT_KINDS, n=1)
        raise InputError(f"There is no event '{kind}'.{f' Closest: {close[0]!r}.' if close else ''}")
    fields = EVENT_KINDS[kind][1]
    missing = sorted(name for name in fields if not name.endswith("?") and name not in body)
    unknown = sorted(name for name in body if name not in fields and f"{name}?" not in fields)
    faults = [f"'{name}' is missing ({fields[name]})" for name in missing] + [f"'{name}' is not a field of it" for name in unknown]
    if faults:
        allowed = ", ".join(name.rstrip("?") for name in fields)
        raise InputError(f"'{kind}' cannot be recorded: {'; '.join(faults)}. Its fields: {allowed}.")
    try:
        return dict(json.loads(canonical(body)))
    except (TypeError, ValueError) as error:
        raise InputError(f"The body of '{kind}' is not plain text, numbers, lists and tables: {error}.") from error


def _moment(now: datetime, last: str) -> str:
    text = now.strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    if text > last:
        return text
    later = datetime.strptime(last, "%Y-%m-%dT%H:%M:%S.%fZ") + timedelta(microseconds=1)
    return later.strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def _own_origin(connection: Connection) -> str:
    from sqlalchemy import insert, select

    from farpress.record.tables import ORIGIN

    name = connection.execute(select(ORIGIN.c.name).where(ORIGIN.c.is_own == 1)).scalar()
    if name is None:
        name = secrets.token_hex(8)
        connection.execute(insert(ORIGIN).values(name=name, is_own=1))
    return str(name)


def _last_of(connection: Connection, origin: str) -> Event | None:
    from sqlalchemy import select

    from farpress.record.tables import EVENT

    row = connection.execute(select(EVENT).where(EVENT.c.origin == origin).order_by(EVENT.c.number.desc()).limit(1)).mappings().first()
    return _event(row) if row is not None else None


def _row(event: Event) -> dict[str, object]:
    names = ("origin", "number", "job", "at", "by", "kind", "previous", "digest")
    return {name: getattr(event, name) for name in names} | {"body": canonical(event.body)}


def _event(row: Any) -> Event:
    values = dict(row)
    return Event(**{**values, "body": json.loads(values["body"])})
