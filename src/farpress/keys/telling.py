"""An event of the register as one sentence."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from farpress.domain.event import EVENT_KINDS, Event

if TYPE_CHECKING:
    from farpress.record.persons import Person

__all__ = ["told"]


def told(event: Event, people: Mapping[str, Person]) -> str:
    """What happened, with the particulars that were recorded; a deleted name is a mark."""
    body: Mapping[str, Any] = event.body

    def name(mark: object) -> str:
        return people[str(mark)].name if str(mark) in people else f"a deleted name ({mark})"

    match event.kind:
        case "fob issued":
            who = name(body["person"]) if body.get("person") else f"pool {body.get('pool', 'without a name')}"
            more = [f"group {body['group']}"] if body.get("group") else []
            more += [f"until {body['valid_to']}"] if body.get("valid_to") else []
            return f"issued to {who}" + (f" ({', '.join(more)})" if more else "")
        case "fob learned":
            slot = f", slot {body['slot']}" if body.get("slot") else ""
            return f"button {body['button']} learned at {body['receiver']}, output {body['output']}{slot}"
        case "fob deleted":
            return f"deleted at {body['receiver']}: {body['evidence']}"
        case "fob lost":
            by = f", reported by {name(body['reported_by'])}" if body.get("reported_by") else ""
            return "reported lost" + (f": {body['between']}" if body.get("between") else "") + by
        case "receiver replaced":
            return (
                f"receiver {body['receiver']}"
                f" replaced{', records carried over' if body.get('copied') is True else ''}"
            )
        case "loss closed":
            return f"loss closed: {body['evidence']}"
        case "fob heard":
            return f"heard at {body['receiver']}"
    says = EVENT_KINDS[event.kind][0].removesuffix(".")
    rest = [
        f"{field} {value}"
        for field, value in body.items()
        if field != "fob" and isinstance(value, str | int | float)
    ]
    return says[0].lower() + says[1:] + (f" ({'; '.join(rest)})" if rest else "")
