"""The register as last drawn, kept beside the log so that a question need not read every event.

A snapshot says up to which event of each origin it was drawn. It is used only if those
events are still there, unchanged, and everything newer comes later in time than everything
in it; else the register is drawn anew from the first event. It can be thrown away at any time.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import fields
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from farpress.domain.event import Event
from farpress.domain.register import Fob, FobRegister, FobState, Learned
from farpress.record.look import Looking, read_events, rows

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from farpress.record.chain import Writing

__all__ = ["WORTH_KEEPING", "DrawnRegister", "agrees", "drawn_in", "keep", "keep_after"]

WORTH_KEEPING: Final = 200
"""New events after which the snapshot is written again; our choice: fewer are drawn in some milliseconds."""

FORM: Final = 4
"""Counted up whenever a field of the register, or how it is drawn, changes; a snapshot of another form is not
used."""


class DrawnRegister(NamedTuple):
    """A register, up to which event of each origin it was drawn: origin → (number, digest); and how many
    events had to be read for it.
    """

    register: FobRegister
    covers: dict[str, tuple[int, str]]
    newer: int = 0


def drawn_in(connection: Looking, job: str) -> DrawnRegister:
    """The register as one connection or transaction sees it, from the snapshot on."""
    return DrawnRegister(*_drawn(connection, job))


def keep(connection: Connection, job: str, drawn: DrawnRegister) -> None:
    """Keep a register, so that the next question begins from it."""
    _keep(connection, job, drawn.register, drawn.covers)


def keep_after(work: Writing, before: DrawnRegister) -> None:
    """Keep the register after what was just written, without reading it again.

    Args:
        work: a transaction that is not ended yet; what was added to it is handed over.
        before: the register in the same transaction, before that.
    """
    if work.events:
        work.flush()
        register = _continued(work.events, before.register)
        _keep(work.connection, work.job, register, _covered(before.covers, work.events))


def agrees(connection: Looking, job: str, events: Iterable[Event]) -> bool:
    """Whether the register drawn from the snapshot equals the one drawn from the first event on.

    Args:
        connection: an open connection.
        job: key of the job.
        events: all events of the job.
    """
    return _drawn(connection, job)[0] == _continued(events, FobRegister())


def _drawn(connection: Looking, job: str) -> tuple[FobRegister, dict[str, tuple[int, str]], int]:
    """Register, what it covers (origin → last number and its digest), events read."""
    kept = _kept(connection, job)
    if kept is not None:
        start, covers, last = kept
        events = read_events(
            connection, job=job, after={origin: number for origin, (number, _) in covers.items()}
        )
        if not events or _place(events[0]) > last:
            return _continued(events, start), _covered(covers, events), len(events)
    events = read_events(connection, job=job)
    return _continued(events, FobRegister()), _covered({}, events), len(events)


def _continued(events: Iterable[Event], start: FobRegister) -> FobRegister:
    known = tuple(events)
    if not known:
        return start
    from farpress.record.register import draw_register  # where nothing is new, no class of an act is loaded

    return draw_register(known, start=start)


def _kept(
    connection: Looking, job: str
) -> tuple[FobRegister, dict[str, tuple[int, str]], tuple[str, str, int]] | None:
    row = next(
        iter(rows(connection, "SELECT covers, last, register FROM snapshot WHERE job = :job", {"job": job})),
        None,
    )
    if row is None:
        return None
    covers = {origin: (int(number), str(digest)) for origin, (number, digest) in json.loads(row[0]).items()}
    for origin, (number, digest) in covers.items():
        found = rows(
            connection,
            "SELECT digest FROM event WHERE origin = :origin AND number = :number",
            {"origin": origin, "number": number},
        )
        if [stored for (stored,) in found] != [digest]:
            return None
    register = _from_json(row[2])
    last: tuple[str, str, int] = tuple(json.loads(row[1]))
    return None if register is None else (register, covers, last)


def _keep(
    connection: Connection, job: str, register: FobRegister, covers: dict[str, tuple[int, str]]
) -> None:
    from sqlalchemy import delete, insert, select

    from farpress.record.tables import EVENT, SNAPSHOT

    places = [
        connection.execute(
            select(EVENT.c.at, EVENT.c.origin, EVENT.c.number).where(
                EVENT.c.origin == origin, EVENT.c.number == number
            )
        ).one()
        for origin, (number, _) in covers.items()
    ]
    last = max(tuple(place) for place in places)
    connection.execute(delete(SNAPSHOT).where(SNAPSHOT.c.job == job))
    connection.execute(
        insert(SNAPSHOT).values(
            job=job, covers=json.dumps(covers), last=json.dumps(last), register=_to_json(register)
        )
    )


def _place(event: Event) -> tuple[str, str, int]:
    return (event.moment, event.origin, event.number)


def _covered(covers: dict[str, tuple[int, str]], events: Iterable[Event]) -> dict[str, tuple[int, str]]:
    found = dict(covers)
    for event in events:
        if event.number > found.get(event.origin, (0, ""))[0]:
            found[event.origin] = (event.number, event.digest)
    return found


_FOB: Final = tuple(field.name for field in fields(Fob))
_LEARNED: Final = tuple(field.name for field in fields(Learned))


def _to_json(register: FobRegister) -> str:
    rows = [
        [
            (
                [[getattr(learned, name) for name in _LEARNED] for learned in fob.learned]
                if name == "learned"
                else getattr(fob, name)
            )
            for name in _FOB
        ]
        for fob in register.fobs.values()
    ]
    return json.dumps(
        {
            "form": FORM,
            "fob": _FOB,
            "learned": _LEARNED,
            "as_of": register.as_of,
            "left": register.left,
            "memory": register.memory,
            "unread": register.unread,
            "rows": rows,
        },
        ensure_ascii=False,
        separators=(",", ":"),
    )


def _from_json(text: str) -> FobRegister | None:
    data: dict[str, Any] = json.loads(text)
    if data.get("form") != FORM or tuple(data["fob"]) != _FOB or tuple(data["learned"]) != _LEARNED:
        return None
    state, learned, buttons = _FOB.index("state"), _FOB.index("learned"), _FOB.index("buttons")
    fobs = {}
    for row in data["rows"]:
        row[state] = FobState(row[state])
        row[learned] = tuple(Learned(*values) for values in row[learned])
        row[buttons] = {button: tuple(functions) for button, functions in row[buttons].items()}
        fobs[row[0]] = Fob(*row)
    return FobRegister(fobs, data["as_of"], data["left"], data["memory"], data["unread"])
