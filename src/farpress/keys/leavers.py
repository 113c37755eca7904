"""People who leave together, as at the end of a month: who is meant, and one list for each receiver."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from farpress.domain.register import Fob
from farpress.errors import InputError
from farpress.keys.find import find_person
from farpress.keys.lost import deletion_s
from farpress.phrases import listed

if TYPE_CHECKING:
    from farpress.case.case import Case
    from farpress.record.persons import PersonEntry

__all__ = ["leavers_named", "what_leavers_hold"]


def leavers_named(people: Mapping[str, PersonEntry], names: Sequence[str]) -> list[PersonEntry]:
    """Everybody who is named.

    Raises:
        InputError: somebody cannot be found, or is named twice; all such faults are told.
    """
    found: dict[str, PersonEntry] = {}
    faults = []
    for name in names:
        try:
            person = find_person(people, name)
        except InputError as error:
            faults.append(str(error))
            continue
        if person.mark in found:
            faults.append(f"'{name}' is {person.name}, who is named twice.")
        found[person.mark] = person
    if faults:
        raise InputError(" ".join([*faults, *(["Nothing was recorded."] if len(names) > 1 else [])]))
    return list(found.values())


def what_leavers_hold(case: Case | None, held: Sequence[Fob], marks: Mapping[str, PersonEntry]) -> list[str]:
    """What to call in, and one line for each receiver with what is to be deleted there otherwise."""
    it = "it" if len(held) == 1 else "them"
    if len(marks) == 1:
        says = [f"Call in {', '.join(fob.label for fob in held)}, or delete {it} everywhere."]
    else:
        of = "; ".join(
            f"{marks[mark].name}: {', '.join(fob.label for fob in held if fob.person == mark)}"
            for mark in dict.fromkeys(fob.person for fob in held)
        )
        says = [f"Call in, or delete {it} everywhere: {of}."]
    places: dict[str, dict[str, str]] = {}
    for fob in held:
        for entry in fob.known_at:
            places.setdefault(entry.receiver, {}).setdefault(fob.label, entry.slot)
    takes = deletion_s(case) / 60 if case is not None else None
    if len(held) > 1:
        for receiver, fobs in places.items():
            listing = listed([f"{label}{f' (slot {slot})' if slot else ''}" for label, slot in fobs.items()])
            minutes = f", {len(fobs) * takes:.0f} min" if takes is not None else ""
            says.append(f"{receiver}: {listing}{minutes}.")
    return says
