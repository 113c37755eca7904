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

__all__ = ["EVENT_KINDS", "Event", "canonical", "digest_of", "digest_of_fields"]

EVENT_KINDS: Final[dict[str, tuple[str, dict[str, str]]]] = {
    "fob received": (
        "A fob came into stock.",
        {"fob": "label", "serial?": "as printed", "type?": "part", "cell_date?": "2026-11"},
    ),
    "fob issued": (
        "A fob was given to a person or a pool.",
        {
            "fob": "label",
            "group?": "group of the job",
            "person?": "mark of the holder",
            "pool?": "name of the pool",
            "buttons?": "button → function, or a list of functions",
            "organisation?": "tenant or firm",
            "valid_from?": "date",
            "valid_to?": "date",
        },
    ),
    "rights changed": (
        "A holder's buttons changed.",
        {
            "fob": "label",
            "buttons": "button → function, or a list of functions",
            "group?": "group of the job",
        },
    ),
    "receipt signed": (
        "The holder signed for a fob.",
        {"fob": "label", "person?": "mark", "evidence?": "where the signature is"},
    ),
    "fob handed in": ("A fob came back.", {"fob": "label", "condition?": "words"}),
    "fob lost": (
        "A fob was reported lost.",
        {"fob": "label", "between?": "where and when", "reported_by?": "mark"},
    ),
    "fob found": ("A lost fob turned up again.", {"fob": "label"}),
    "fob blocked": ("A fob shall not work for the time being.", {"fob": "label", "why?": "words"}),
    "fob released": ("A blocked fob may work again.", {"fob": "label"}),
    "loss closed": (
        "A lost fob is deleted everywhere, with evidence.",
        {"fob": "label", "evidence": "receiver → how it was proven"},
    ),
    "fob destroyed": ("A fob was destroyed.", {"fob": "label"}),
    "fob learned": (
        "A button was learned at a receiver's output.",
        {
            "fob": "label",
            "receiver": "premises/receiver",
            "output": "number",
            "button": "number, or number with 'long'",
            "slot?": "slot",
        },
    ),
    "fob deleted": (
        "A fob was deleted at a receiver.",
        {"fob": "label", "receiver": "premises/receiver", "evidence": "how it was proven"},
    ),
    "fob heard": ("A fob was heard at a receiver.", {"fob": "label", "receiver": "premises/receiver"}),
    "cell changed": ("A fob's cell was changed.", {"fob": "label", "cell?": "part", "volts?": "under load"}),
    "low cell": ("A receiver reported a fob's low cell.", {"fob?": "label", "receiver": "premises/receiver"}),
    "reading taken": (
        "Something was measured.",
        {
            "what": "level, noise, ohms, volts, amperes, seconds, force, count",
            "where": "subject, as 'place:larkfen/street'",
            "receiver?": "premises/receiver",
            "value": "number",
            "unit": "unit",
            "pad_db?": "pad in the way",
            "held?": "in hand, in pocket, in car",
            "instrument?": "words",
            "test?": "id of the test in the plan",
            "client_id?": "id given by the phone, so that a second sending is not counted",
        },
    ),
    "trial done": (
        "Presses of a proving plan.",
        {
            "test": "id of the test in the plan",
            "promise?": "promise",
            "place?": "premises/place",
            "receiver?": "premises/receiver",
            "presses": "number",
            "heard": "number",
            "pad_db?": "pad in the way",
            "fob?": "label",
            "held?": "in hand, in pocket, in car",
            "remark?": "words",
            "anew?": "true: something was mended, earlier presses of this test do not count any more",
            "client_id?": "id given by the phone, so that a second sending is not counted",
        },
    ),
    "check done": (
        "A test with a yes or no.",
        {
            "test": "id of the test in the plan",
            "about?": "subject",
            "passed": "true or false",
            "expected?": "words or number",
            "found?": "words or number",
            "remark?": "words",
            "client_id?": "as above",
        },
    ),
    "fault reported": (
        "Somebody complained.",
        {"fault": "id", "complaint": "words or ticks", "about?": "subject"},
    ),
    "fault answered": (
        "A question of the fault finding was answered.",
        {"fault": "id", "test": "id", "answer": "yes, no or words"},
    ),
    "fault closed": (
        "Cause and cure of a fault.",
        {"fault": "id", "cause": "words", "cure": "words", "minutes?": "spent"},
    ),
    "visit": ("Somebody was at the premises.", {"premises": "name", "why": "words", "minutes?": "spent"}),
    "receiver replaced": (
        "A receiver was replaced by another; what the old one knew is gone unless it was copied.",
        {
            "receiver": "premises/receiver",
            "why?": "words",
            "copied?": "true if the learned records were carried over",
        },
    ),
    "memory read": (
        "What a receiver really holds was listed.",
        {
            "receiver": "premises/receiver",
            "records": "list of tables with fob or serial, slot, output, button",
        },
    ),
    "battery changed": ("A supply's battery was changed.", {"supply": "premises/supply", "part?": "part"}),
    "setting made": (
        "A setting was made at a receiver.",
        {
            "output": "premises/receiver/number",
            "setting": "words",
            "as_planned": "true or false",
            "found?": "words",
        },
    ),
    "paper handed over": (
        "A paper was given to the customer.",
        {"paper": "name", "fingerprint?": "of the job"},
    ),
    "job changed": (
        "The job file changed.",
        {"before": "fingerprint", "after": "fingerprint", "changes?": "list of what changed"},
    ),
    "person added": ("A person entered the register; the name stands apart.", {"person": "mark"}),
    "person left": ("A person does not belong to the customer any more.", {"person": "mark", "on?": "date"}),
    "person deleted": ("A person's name was deleted; the events stay.", {"person": "mark", "why?": "words"}),
    "job shelved": (
        "A job was put on the firm's shelf.",
        {"version": "number", "fingerprint": "of the job file"},
    ),
    "job version": (
        "A job on the shelf has a new version.",
        {
            "version": "number",
            "fingerprint": "of the job file",
            "parent": "number of the version before",
            "merged?": "true where two sides' changes were joined",
        },
    ),
    "job archived": ("A job was put away; it is kept.", {"why?": "words"}),
    "job reopened": ("A job that was put away is worked on again.", {}),
    "job checked out": ("A copy of a job went to a laptop.", {"ticket": "of the copy", "version": "number"}),
    "job checked in": (
        "A laptop's copy came back.",
        {"ticket?": "of the copy", "version": "number of the version now", "events": "number taken in"},
    ),
    "member added": (
        "Somebody works for the firm.",
        {"member": "mark", "role": "reader, keeper, installer or manager"},
    ),
    "member changed": (
        "What a member may do changed, or a member left.",
        {
            "member": "mark",
            "role?": "as above",
            "state?": "active or left",
            "lock?": "true where a new key was made",
        },
    ),
    "personal data given": (
        "Somebody was given all that is kept about a person.",
        {"person?": "mark", "jobs": "number of jobs"},
    ),
    "name taken out": (
        "A person's name was taken out of the job's files, all versions of them.",
        {
            "person": "mark",
            "versions": "number of versions",
            "remaining": "number of places where it still stands, all listed in the proof",
        },
    ),
    "part doubted": (
        "A part was said to be worse than its data sheet.",
        {
            "part": "name",
            "values": "key → value",
            "jobs": "number judged anew",
            "changed": "number of promises that change",
        },
    ),
    "backup made": ("Everything was written to one file.", {"digest": "of its content", "rows": "number"}),
    "backup restored": ("Everything was read from one file.", {"digest": "of its content", "rows": "number"}),
    "note": ("A remark.", {"says": "words", "about?": "subject"}),
}
"""Kind of event → what it means, and its fields; a field with "?" may be absent."""


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
    return _CANONICAL.encode(body)


def digest_of(event: Event) -> str:
    """SHA-256 over every field of an event but the digest itself, in hexadecimal."""
    return digest_of_fields(
        event.origin,
        event.number,
        event.job,
        event.at,
        event.by,
        event.kind,
        canonical(event.body),
        event.previous,
    )


def digest_of_fields(
    origin: str, number: int, job: str, at: str, by: str, kind: str, text: str, previous: str
) -> str:
    """The same from the fields, the body given as its canonical text."""
    # the JSON list of the fields, put together by hand: a verified chain is 100 000 of them
    plain = f"[{_quoted(origin)},{number:d},{_quoted(job)},{_quoted(at)},{_quoted(by)},{_quoted(kind)},{_quoted(text)},{_quoted(previous)}]"  # noqa: E501
    return hashlib.sha256(plain.encode()).hexdigest()


_CANONICAL: Final = json.JSONEncoder(
    sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False
)
_quoted: Final = json.encoder.encode_basestring
