"""Whether names are those the record was given: the digests in the entries against what lies there now."""

from __future__ import annotations

from typing import TYPE_CHECKING

from farpress.domain.acts import PersonAdded, PersonDeleted, PersonSealed
from farpress.domain.event import happened
from farpress.record.look import read_events
from farpress.record.persons import persons
from farpress.record.seals import seal_of

if TYPE_CHECKING:
    from farpress.record.store import Record

__all__ = ["name_faults"]


def name_faults(record: Record, *, job: str) -> tuple[tuple[str, ...], int]:
    """Names that are not those the record was given, as sentences; and how many it cannot prove.

    Names entered before they were sealed, or by a version that does not, cannot be proven.
    """
    with record.looking() as connection:
        kinds = [PersonAdded.kind, PersonSealed.kind, PersonDeleted.kind]
        events = read_events(connection, job=job, kinds=kinds)
    seals: dict[str, dict[str, str]] = {}
    gone: set[str] = set()
    for event, act in happened(events, PersonAdded, PersonSealed, PersonDeleted):
        if isinstance(act, PersonDeleted):
            gone.add(act.person)
        elif act.seal:
            # two records that were joined may each have corrected a name: the last word of each counts
            seals.setdefault(act.person, {})[event.origin] = act.seal
    there = persons(record, job=job)
    faults = [
        f"The name behind {mark} (it reads '{person.name}' now) is not the one that was entered: it was"
        " changed without an entry."
        for mark, person in there.items()
        if mark in seals
        and seal_of(person.salt, person.name, person.organisation, person.contact) not in seals[mark].values()
    ]
    faults += [
        f"The name behind {mark} is missing, and no entry deleted it."
        for mark in seals
        if mark not in there and mark not in gone
    ]
    return tuple(faults), sum(1 for mark in there if mark not in seals)
