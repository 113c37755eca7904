"""An event of the register as one sentence."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from farpress.domain.acts import (
    Act,
    FobDeleted,
    FobHeard,
    FobIssued,
    FobLearned,
    FobLost,
    LossClosed,
    ReceiverReplaced,
    UnknownAct,
)
from farpress.domain.event import Event

if TYPE_CHECKING:
    from farpress.record.persons import PersonEntry

__all__ = ["told"]


def told(event: Event, people: Mapping[str, PersonEntry]) -> str:
    """What happened, with the particulars that were recorded; a deleted name is a mark."""

    def name(mark: str) -> str:
        return people[mark].name if mark in people else f"a deleted name ({mark})"

    match event.act:
        case FobIssued() as issued:
            who = name(issued.person) if issued.person else f"pool {issued.pool or 'without a name'}"
            more = [f"group {issued.group}"] if issued.group else []
            more += [f"until {issued.valid_to}"] if issued.valid_to else []
            return f"issued to {who}" + (f" ({', '.join(more)})" if more else "")
        case FobLearned() as learned:
            slot = f", slot {learned.slot}" if learned.slot else ""
            return f"button {learned.button} learned at {learned.receiver}, output {learned.output}{slot}"
        case FobDeleted() as deleted:
            return f"deleted at {deleted.receiver}: {deleted.evidence}"
        case FobLost() as lost:
            by = f", reported by {name(lost.reported_by)}" if lost.reported_by else ""
            return "reported lost" + (f": {lost.between}" if lost.between else "") + by
        case ReceiverReplaced() as replaced:
            copied = ", records carried over" if replaced.copied else ""
            return f"receiver {replaced.receiver} replaced{copied}"
        case LossClosed() as closed:
            return f"loss closed: {closed.evidence}"
        case FobHeard() as heard:
            return f"heard at {heard.receiver}"
        case UnknownAct(because=because):
            return f"an entry that cannot be read here ({because}); it is kept as it is" + _particulars(event)
        case Act() as act:
            meaning = type(act).meaning()
            return meaning[0].lower() + meaning[1:] + _particulars(event)


def _particulars(event: Event) -> str:
    rest = [
        f"{field} {value}"
        for field, value in event.particulars.items()
        if field != "fob" and isinstance(value, str | int | float)
    ]
    return f" ({'; '.join(rest)})" if rest else ""
