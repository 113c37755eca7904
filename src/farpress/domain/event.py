"""An event: one thing that happened, kept for ever in the order it was written.

Events are written in chains: each origin (one laptop's record, one firm's database)
numbers its own events and binds each to the one before by a hash. Two records of one job
are joined by taking the union of their chains; nothing is ever rewritten. A person stands
in an event only as an opaque mark, so that a name can be deleted while the event stays.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

__all__ = ["EVENT_KINDS", "Event", "canonical", "digest_of"]

EVENT_KINDS: Final[dict[str, str]] = {
    "fob received": "A fob came into stock: label, serial, type, cell date.",
    "fob issued": "A fob was given to a person or a pool, with the buttons it shall have.",
    "receipt signed": "The holder signed for a fob.",
    "fob handed in": "A fob came back.",
    "fob lost": "A fob was reported lost.",
    "fob found": "A lost fob turned up again.",
    "fob blocked": "A fob shall not work for the time being.",
    "fob destroyed": "A fob was destroyed.",
    "fob learned": "A button was learned at a receiver's output, in a slot.",
    "fob deleted": "A fob was deleted at a receiver, with evidence.",
    "fob heard": "A fob was last heard at a receiver.",
    "cell changed": "A fob's cell was changed.",
    "low cell": "A receiver reported a fob's low cell.",
    "reading taken": "A level, a loop resistance, a voltage was measured.",
    "trial done": "One press, or a number of presses, of a proving plan.",
    "check done": "A power-cut test, a button pair, an inspection with a yes or no.",
    "fault reported": "Somebody complained.",
    "fault answered": "A question of the fault finding was answered.",
    "fault closed": "Cause and cure of a fault.",
    "visit": "Somebody was at the premises.",
    "receiver replaced": "A receiver was replaced by another.",
    "battery changed": "A supply's battery was changed.",
    "setting made": "A setting was made at a receiver, as planned or otherwise.",
    "paper handed over": "A paper was given to the customer.",
    "job changed": "The job file changed: fingerprint before and after, what changed.",
    "person added": "A person entered the register; the name stands apart.",
    "person deleted": "A person's name was deleted; the events stay.",
    "note": "A remark.",
}
"""Kind of event → what it means."""


@dataclass(frozen=True)
class Event:
    """One entry of the record.

    Attributes:
        origin: which record wrote it first; random, says nothing about a machine.
        number: 1, 2, 3 … within its origin.
        job: the job it belongs to, by its key.
        at: when, UTC, as "2026-11-25T14:03:07.000001Z"; never runs backwards in an origin.
        by: who wrote it: a role or a person's mark.
        kind: one of `EVENT_KINDS`.
        body: plain JSON values.
        previous: digest of the event before it in its origin; empty for the first.
        digest: of all the above.
    """

    origin: str
    number: int
    job: str
    at: str
    by: str
    kind: str
    body: Mapping[str, object] = field(default_factory=dict)
    previous: str = ""
    digest: str = ""


def canonical(body: Mapping[str, object]) -> str:
    """A body as the one text that is hashed and stored: sorted keys, no spaces, no NaN."""
    return json.dumps(body, sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def digest_of(event: Event) -> str:
    """SHA-256 over every field of an event but the digest itself, in hexadecimal."""
    fields = [event.origin, event.number, event.job, event.at, event.by, event.kind, canonical(event.body), event.previous]
    return hashlib.sha256(json.dumps(fields, ensure_ascii=False, separators=(",", ":")).encode()).hexdigest()
