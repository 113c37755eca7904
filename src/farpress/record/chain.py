"""Add events to this record's own chain, within one write transaction."""

from __future__ import annotations

import json
import secrets
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

from farpress.domain.event import EVENT_KINDS, Event, canonical, digest_of_fields
from farpress.errors import InputError

if TYPE_CHECKING:
    from sqlalchemy import Connection

__all__ = ["Writing", "checked", "event_of", "note_last", "row_of"]

_FORM = "%Y-%m-%dT%H:%M:%S.%fZ"
_TICK = timedelta(microseconds=1)


class Writing:
    """One transaction on a record: what is added here is written as a whole, or not at all.

    Attributes:
        connection: the open transaction, for reading what others wrote before it.
        job: the job the events belong to.
        by: who writes.
        events: those added so far, numbered and chained; on disk only when the transaction ends.
    """

    def __init__(self, connection: Connection, *, job: str, by: str, at: datetime | None) -> None:
        """Use `Record.transaction`, which begins and ends it."""
        self.connection, self.job, self.by = connection, job, by
        self.events: list[Event] = []
        self._rows: list[dict[str, object]] = []
        self._origin = _own_origin(connection, job)
        self._last = _last_of(connection, self._origin)
        now = (at or datetime.now(UTC)).astimezone(UTC)
        self._next = (
            now
            if self._last is None
            else max(now, datetime.strptime(self._last.at, _FORM).replace(tzinfo=UTC) + _TICK)
        )

    def append(self, kind: str, body: Mapping[str, object]) -> Event:
        """Add one event.

        Raises:
            InputError: an unknown kind, or a body that is not plain JSON.
        """
        return self.add(kind, *checked(kind, body))

    def add(self, kind: str, body: Mapping[str, object], text: str) -> Event:
        """Add one event whose body and its text come from `checked`."""
        last = self._last
        moment = f"{self._next.replace(tzinfo=None).isoformat(timespec='microseconds')}Z"
        self._next += _TICK
        number, previous = (last.number + 1, last.digest) if last else (1, "")
        digest = digest_of_fields(self._origin, number, self.job, moment, self.by, kind, text, previous)
        event = self._last = Event(
            self._origin, number, self.job, moment, self.by, kind, body, previous, digest
        )
        self.events.append(event)
        self._rows.append(row_of(event, text))
        return event

    def flush(self) -> None:
        """Hand the events to the database; called once, at the end of the transaction."""
        from sqlalchemy import insert

        from farpress.record.tables import EVENT

        if self.events:
            self.connection.execute(insert(EVENT), self._rows)
            note_last(self.connection, self.events)


def note_last(connection: Connection, events: Iterable[Event]) -> None:
    """Keep the number and digest of each chain's last entry, so that a cut at its end shows."""
    from sqlalchemy import update

    from farpress.record.tables import ORIGIN

    for event in {event.origin: event for event in sorted(events, key=lambda one: one.number)}.values():
        connection.execute(
            update(ORIGIN)
            .where(ORIGIN.c.name == event.origin, ORIGIN.c.last_number < event.number)
            .values(last_number=event.number, last_digest=event.digest)
        )


def checked(kind: str, body: Mapping[str, object]) -> tuple[Mapping[str, object], str]:
    """A body as it will be read back, and its text.

    Raises:
        InputError: an unknown kind, fields missing or unknown, or a value that is not plain JSON; all at
            once.
    """
    import difflib

    if kind not in EVENT_KINDS:
        close = difflib.get_close_matches(kind, EVENT_KINDS, n=1)
        raise InputError(f"There is no event '{kind}'.{f' Closest: {close[0]!r}.' if close else ''}")
    fields = EVENT_KINDS[kind][1]
    missing = sorted(name for name in fields if not name.endswith("?") and name not in body)
    unknown = sorted(name for name in body if name not in fields and f"{name}?" not in fields)
    faults = [f"'{name}' is missing ({fields[name]})" for name in missing] + [
        f"'{name}' is not a field of it" for name in unknown
    ]
    if faults:
        allowed = ", ".join(name.rstrip("?") for name in fields)
        raise InputError(f"'{kind}' cannot be recorded: {'; '.join(faults)}. Its fields: {allowed}.")
    try:
        text = canonical(body)
        text.encode()
        if "\\u0000" in text:
            raise ValueError("a character with the number 0, which not every database keeps")
        return dict(json.loads(text)), text
    except (TypeError, ValueError) as error:
        raise InputError(
            f"The body of '{kind}' is not plain text, numbers, lists and tables: {error}."
        ) from error


def row_of(event: Event, text: str | None = None) -> dict[str, object]:
    """An event as the columns of its row; the text of its body, where it is at hand."""
    return {
        "origin": event.origin,
        "number": event.number,
        "job": event.job,
        "at": event.at,
        "by": event.by,
        "kind": event.kind,
        "body": canonical(event.body) if text is None else text,
        "previous": event.previous,
        "digest": event.digest,
    }


def event_of(row: Any) -> Event:
    """A row, as a mapping, as the event it is."""
    values = dict(row)
    return Event(**{**values, "body": json.loads(values["body"])})


def _own_origin(connection: Connection, job: str) -> str:
    """The chain that this record writes for a job; one from before there was one a job is kept if it is about
    this job alone.
    """
    from sqlalchemy import insert, select, update

    from farpress.record.tables import EVENT, ORIGIN

    own = select(ORIGIN.c.name).where(ORIGIN.c.is_own == 1)
    found = (
        connection.execute(own.where(ORIGIN.c.job == job).order_by(ORIGIN.c.name)).scalars().all()
        if job
        else []
    )
    if found:
        return str(found[0])
    for name in connection.execute(own.where(ORIGIN.c.job == "").order_by(ORIGIN.c.name)).scalars():
        others = select(EVENT.c.number).where(EVENT.c.origin == name, EVENT.c.job != job).limit(1)
        if connection.execute(others).first() is None:
            if job:
                connection.execute(update(ORIGIN).where(ORIGIN.c.name == name).values(job=job))
            return str(name)
    made = secrets.token_hex(8)
    connection.execute(insert(ORIGIN).values(name=made, is_own=1, job=job))
    return made


def _last_of(connection: Connection, origin: str) -> Event | None:
    from sqlalchemy import select

    from farpress.record.tables import EVENT

    row = (
        connection.execute(
            select(EVENT).where(EVENT.c.origin == origin).order_by(EVENT.c.number.desc()).limit(1)
        )
        .mappings()
        .first()
    )
    return event_of(row) if row is not None else None
