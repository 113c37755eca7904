"""Find a fob or a person by what somebody says on the telephone; pure look-ups in a register."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from farpress.core.keys.label import check_character, is_valid_label
from farpress.domain.register import Fob, FobRegister
from farpress.errors import InputError
from farpress.phrases import listed

if TYPE_CHECKING:
    from farpress.record.persons import PersonEntry

__all__ = ["find_fob", "find_person", "holder_of", "label_aliases", "plain_label", "search"]


def plain_label(text: str) -> str:
    """A label as it is compared: no spaces or hyphens, capitals."""
    return "".join(character for character in text.upper() if character.isalnum())


def find_fob(register: FobRegister, text: str) -> Fob:
    """The fob a label means, with or without hyphens and its check character.

    Raises:
        InputError: none, or several; the message names the closest labels, and says if the check
            character is wrong.
    """
    if text in register.fobs:
        return register.fobs[text]
    wanted = plain_label(text)
    same = [fob for label, fob in register.fobs.items() if plain_label(label) == wanted]
    if not same and wanted:
        same = [
            fob
            for label, fob in register.fobs.items()
            if plain_label(label)[:-1] == wanted and _is_checked(label)
        ]
    if len(same) == 1:
        return same[0]
    if len(same) > 1:
        raise InputError(
            f"'{text}' can be {_either(fob.label for fob in same)}; write the label as it is printed."
        )
    hint = ""
    plain = {plain_label(label): label for label in register.fobs}
    close = difflib.get_close_matches(wanted, plain, n=3, cutoff=0.6)
    if (
        any(_is_checked(label) for label in register.fobs)
        and len(wanted) > 1
        and wanted.isascii()
        and not is_valid_label(wanted)
    ):
        hint = (
            f" Its check character does not fit: after {wanted[:-1]} comes {check_character(wanted[:-1])}, so"
            " a character may be misread."
        )
    names = f" Closest: {_either(plain[label] for label in close)}." if close else ""
    raise InputError(f"There is no fob '{text}' in the register.{hint}{names}")


def label_aliases(register: FobRegister) -> dict[str, str]:
    """Plain label, with its check character and where it has one without it → label; what could mean two fobs
    is left out.
    """
    found: dict[str, str] = {plain_label(label): label for label in register.fobs}
    short: dict[str, str] = {}
    for plain, label in list(found.items()):
        if _is_checked(label) and plain[:-1] not in found:
            short[plain[:-1]] = "" if plain[:-1] in short else label
    return {**{plain: label for plain, label in short.items() if label}, **found}


def find_person(people: Mapping[str, PersonEntry], text: str) -> PersonEntry:
    """The person a name, a mark or a contact means; part of a name will do where only one fits.

    Raises:
        InputError: none, or several.
    """
    if text in people:
        return people[text]
    wanted = " ".join(text.casefold().split())
    found = [person for person in people.values() if person.name.casefold() == wanted]
    found = found or [person for person in people.values() if wanted and wanted == person.contact.casefold()]
    found = found or [person for person in people.values() if wanted and wanted in person.name.casefold()]
    if len(found) == 1:
        return found[0]
    if found:
        raise InputError(
            f"'{text}' can be {_either(f'{fob.name} ({fob.organisation or fob.mark})' for fob in found[:5])};"
            " write the whole name, or the mark."
        )
    close = difflib.get_close_matches(text, [person.name for person in people.values()], n=3)
    closest = f"Closest: {_either(close)}. " if close else ""
    raise InputError(
        f"There is nobody called '{text}' in the register. {closest}A new name is entered with 'keys person"
        " add', or while issuing with --new."
    )


def holder_of(fob: Fob, people: Mapping[str, PersonEntry]) -> str:
    """Name, pool, or nothing; a deleted name is said to be deleted."""
    if fob.person:
        return people[fob.person].name if fob.person in people else f"a deleted name ({fob.person})"
    return f"pool {fob.pool}" if fob.pool else ""


def search(register: FobRegister, people: Mapping[str, PersonEntry], text: str) -> tuple[Fob, ...]:
    """Every fob whose label, serial, holder, the holder's contact (a telephone number, a unit), organisation,
    group, pool, receiver or slot holds all the words, by label.
    """
    words = [word for word in text.casefold().split() if word]
    found = []
    for _, fob in sorted(register.fobs.items()):
        learned = " ".join(
            f"{entry.receiver} {entry.receiver}/{entry.output} {entry.slot and f'slot {entry.slot}'}"
            for entry in fob.known_at
        )
        hay = " ".join(
            (
                fob.label,
                plain_label(fob.label),
                fob.serial,
                fob.type,
                fob.state,
                holder_of(fob, people),
                _contact_of(fob, people),
                fob.organisation,
                fob.group,
                learned,
            )
        ).casefold()
        if all(word in hay for word in words):
            found.append(fob)
    return tuple(found)


def _contact_of(fob: Fob, people: Mapping[str, PersonEntry]) -> str:
    """How the holder is reached, and the same without what people write between digits."""
    person = people.get(fob.person) if fob.person else None
    if person is None or not person.contact:
        return ""
    return f"{person.contact} {''.join(sign for sign in person.contact if sign.isalnum() or sign == '+')}"


def _is_checked(label: str) -> bool:
    plain = plain_label(label)
    return len(plain) > 1 and plain.isascii() and is_valid_label(plain)


def _either(names: Iterable[str]) -> str:
    return listed(names, last=" or ", nothing="none")
