"""A list that was taken over is taken back, as long as nothing else happened to its fobs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from farpress.domain.acts import FobAct, FobHeard, FobReceived, ListTaken, ListUndone, PersonAdded
from farpress.domain.event import Event, happened
from farpress.errors import InputError
from farpress.keys.people import Done
from farpress.phrases import plural
from farpress.record.look import read_events
from farpress.record.persons import delete_within, scrub
from farpress.record.snapshot import drawn_in, keep_after

if TYPE_CHECKING:
    from farpress.keys.book import RegisterBook

__all__ = ["undo_list"]

MOST_NAMED = 12
"""Fobs that are named in a refusal; our choice."""


def undo_list(book: RegisterBook) -> Done:
    """Take the last list back that was taken over: its fobs leave the register, and names that nobody else
    needs are deleted. The record keeps both, the taking and the taking back.

    Raises:
        InputError: there is none, or something happened since to its fobs; nothing was written.
    """
    book.needs_record()
    with book.record.transaction(job=book.job, by=book.by) as work:
        events = read_events(work.connection, job=book.job)
        taken, act = _last(events)
        own = [
            event
            for event in events
            if event.origin == taken.origin and 0 < event.number - taken.number <= act.entries
        ]
        labels = {received.fob: True for _, received in happened(own, FobReceived)}
        before = drawn_in(work.connection, book.job)
        touched = _touched(events, own, labels)
        if touched:
            more = f" and {len(touched) - MOST_NAMED} more" if len(touched) > MOST_NAMED else ""
            raise InputError(
                f"'{act.list}' cannot be taken back as a whole: something was recorded since about"
                f" {', '.join(touched[:MOST_NAMED])}{more}. Put those right one by one."
            )
        work.append(ListUndone(list=act.list, fobs=tuple(labels)))
        needed = {
            mark
            for label, fob in before.register.fobs.items()
            if label not in labels
            for mark in (fob.person, fob.former)
        }
        names = [added.person for _, added in happened(own, PersonAdded) if added.person not in needed]
        gone = delete_within(work, names, why="the list they came with was taken back")
        keep_after(work, before)
    scrub(book.record)
    says = (
        f"'{act.list}' of {taken.moment[:10]} is taken back: {plural(len(labels), 'fob')} and"
        f" {plural(gone, 'name')} are gone from the register. The record keeps what was done."
    )
    return Done((says,), tuple(work.events))


def _last(events: Sequence[Event]) -> tuple[Event, ListTaken]:
    """The last list that still stands."""
    standing: list[tuple[Event, ListTaken]] = []
    for event, act in happened(events, ListTaken, ListUndone):
        if isinstance(act, ListTaken):
            standing.append((event, act))
        elif standing:
            standing.pop()
    if not standing:
        raise InputError("No list stands in this register that could be taken back.")
    return standing[-1]


def _touched(events: Sequence[Event], own: Sequence[Event], labels: dict[str, bool]) -> list[str]:
    """Labels about which something else was recorded; that a receiver heard one changes nothing."""
    within = {(event.origin, event.number) for event in own}
    found: dict[str, bool] = {}
    for event in events:
        if (event.origin, event.number) in within or event.moment <= own[0].moment:
            continue
        act = event.act
        if isinstance(act, FobAct) and not isinstance(act, FobHeard) and act.fob in labels:
            found[str(act.fob)] = True
    return sorted(found)
