"""Add events to this record's own chain, within one write transaction."""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any, Final

from farpress.domain.event import Event, canonical, digest_of_fields
from farpress.errors import InputError

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from farpress.domain.acts import Act

__all__ = ["Writing", "event_from_plain", "event_of", "note_last", "plain_of", "row_of", "text_of"]

_FORM = "%Y-%m-%dT%H:%M:%S.%fZ"
_TICK = timedelta(microseconds=1)
CLOCK_TOLERANCE: Final = timedelta(minutes=2)
"""A clock that is set by the network may step back so far without a word; our choice."""

_NOTHING = Event("", 0, "", "", "", "")


class Writing:
    """One transaction on a record: what is added here is written as a whole, or not at all.

    Attributes:
        connection: the open transaction, for reading what others wrote before it.
        job: the job the events belong to.
        by: who writes.
        events: those added so far, numbered and chained; on disk only when the transaction ends.
    """

    def __init__(self, connection: Connection, *, job: str, by: str, moment: datetime | None) -> None:
        """Use `Record.transaction`, which begins and ends it."""
        self.connection, self.job, self.by = connection, job, by
        self.events: list[Event] = []
        self._rows: list[dict[str, object]] = []
        self._origin = _own_origin(connection, job)
        self._last = _last_of(connection, self._origin)
        now = (moment or datetime.now(UTC)).astimezone(UTC)
        last = datetime.strptime(self._last.moment, _FORM).replace(tzinfo=UTC) if self._last else None
        self._next = now if last is None else max(now, last + _TICK)
        is_behind = moment is None and last is not None and last - now > CLOCK_TOLERANCE
        self._clock_behind = _moment_text(now) if is_behind else ""

    def append(self, act: Act) -> Event:
        """Add one event.

        Raises:
            InputError: a value in it that is not plain JSON.
        """
        return self.add(act.kind, text_of(act))

    def add(self, kind: str, text: str) -> Event:
        """Add one event whose text comes from `text_of`."""
        if self._clock_behind:
            from farpress.domain.acts import ClockBehind  # loads pydantic; a clock is seldom behind

            behind, self._clock_behind = ClockBehind(clock=self._clock_behind), ""
            self.append(behind)
        last = self._last
        moment = _moment_text(self._next)
        self._next += _TICK
        number, previous = (last.number + 1, last.digest) if last else (1, "")
        digest = digest_of_fields(self._origin, number, self.job, moment, self.by, kind, text, previous)
        event = self._last = Event(
            self._origin, number, self.job, moment, self.by, kind, text, previous, digest
        )
        self.events.append(event)
        self._rows.append(row_of(event))
        return event

    def flush(self) -> None:
        """Hand the events to the database; done at the end of the transaction, or before it where what was
        written is read again.
        """
        from sqlalchemy import insert

        from farpress.record.tables import EVENT

        if self._rows:
            self.connection.execute(insert(EVENT), self._rows)
            note_last(self.connection, self.events)
            self._rows.clear()


def note_last(connection: Connection, events: Iterable[Event]) -> None:
    """Keep the number and digest of each chain's last entry, so that a cut at its end shows."""
    from sqlalchemy import update

    from farpress.record.tables import ORIGIN

    for event in {event.origin: event for event in sorted(events, key=lambda event: event.number)}.values():
        connection.execute(
            update(ORIGIN)
            .where(ORIGIN.c.name == event.origin, ORIGIN.c.last_number < event.number)
            .values(last_number=event.number, last_digest=event.digest)
        )


def text_of(act: Act) -> str:
    """The body of an act as the text that is hashed and stored.

    Raises:
        InputError: a value that is not plain JSON.
    """
    try:
        text = canonical(act.body())
        text.encode()
        if "\\u0000" in text:
            raise ValueError("a character with the number 0, which not every database keeps")
    except (TypeError, ValueError) as error:
        raise InputError(
            f"The body of '{act.kind}' is not plain text, numbers, lists and tables: {error}."
        ) from error
    return text


def row_of(event: Event) -> dict[str, object]:
    """An event as the columns of its row."""
    return {
        "origin": event.origin,
        "number": event.number,
        "job": event.job,
        "at": event.moment,
        "by": event.by,
        "kind": event.kind,
        "body": event.text,
        "previous": event.previous,
        "digest": event.digest,
    }


def plain_of(event: Event) -> dict[str, object]:
    """An event as plain JSON, its body as a table: what travels, and what is shown to programs."""
    return {**row_of(event), "body": event.particulars}


def event_from_plain(plain: Mapping[str, Any]) -> Event:
    """The event that `plain_of` made so.

    Raises:
        KeyError, TypeError, ValueError: it is none; fields are missing, unknown or of another kind.
    """
    if unknown := set(plain) - set(row_of(_NOTHING)):
        raise TypeError(f"an event has no {', '.join(sorted(unknown))}")
    if not isinstance(plain["body"], dict):
        raise TypeError("the body of an event is a table")
    return event_of({**plain, "body": canonical(plain["body"])})


def event_of(row: Any) -> Event:
    """A row, as a mapping, as the event it is."""
    return Event(
        row["origin"],
        row["number"],
        row["job"],
        row["at"],
        row["by"],
        row["kind"],
        row["body"],
        row["previous"],
        row["digest"],
    )


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


def _moment_text(moment: datetime) -> str:
    return f"{moment.astimezone(UTC).replace(tzinfo=None).isoformat(timespec='microseconds')}Z"


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
