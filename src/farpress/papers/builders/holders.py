"""Who holds which fobs with which buttons: from the record where it knows, else from the plan.

A planned fob has a planned label, so that cards and labels can be printed before the first
fob is issued; it counts only when it stands in the record.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from farpress.core.keys.label import check_character
from farpress.domain.job import Button, Group
from farpress.domain.register import Fob, FobState
from farpress.papers.builders.basis import Basis

__all__ = ["HeldFob", "Holder", "Press", "group_presses", "holders_of"]

_HELD: Final = (FobState.ISSUED, FobState.BLOCKED)


@dataclass(frozen=True)
class Press:
    """One way to press one button: its functions."""

    button: str
    is_long: bool
    functions: tuple[str, ...]


@dataclass(frozen=True)
class HeldFob:
    """One fob of somebody.

    Attributes:
        label: as printed on it, or as planned.
        is_planned: it does not stand in the record yet.
        group: the group whose buttons it has.
        presses: what its buttons do, as it shall be.
        entry: the record's entry; None for a planned fob.
    """

    label: str
    is_planned: bool
    group: str
    presses: tuple[Press, ...]
    entry: Fob | None = None


@dataclass(frozen=True)
class Holder:
    """Somebody with fobs, or a place in a group that has no name yet.

    Attributes:
        key: mark or name; unlike any other.
        name: empty where none is known.
        organisation: tenant or firm.
        is_pool: the fob belongs to nobody in particular.
        place: as "12 of 212" in a group given by number; empty otherwise.
        fobs: at least one.
    """

    key: str
    name: str
    organisation: str
    is_pool: bool
    place: str
    fobs: tuple[HeldFob, ...]


def holders_of(basis: Basis) -> tuple[Holder, ...]:
    """Every holder: those of the record, then planned ones, in the order of the job."""
    labels = _planned_labels(basis)
    held: dict[str, list[HeldFob]] = {}
    names: dict[str, tuple[str, str, bool, str]] = {}
    for fob in _issued(basis):
        key = fob.person or f"fob {fob.label}"
        names.setdefault(key, (basis.names.get(fob.person, ""), fob.organisation, bool(fob.pool), ""))
        held.setdefault(key, []).append(HeldFob(fob.label, False, fob.group, _presses_of(basis, fob), fob))
    for name, group in basis.case.job.groups.items():
        presses = group_presses(group)
        known = {basis.names.get(fob.person, "") for fob in _issued(basis) if fob.group == name}
        for person in group.people:
            if person in known:
                continue
            key = next((mark for mark, named in names.items() if named[0] == person), person)
            entry = basis.case.job.people.get(person)
            names.setdefault(
                key,
                (person, group.organisation or (entry.organisation if entry else None) or "", group.pool, ""),
            )
            held.setdefault(key, []).append(HeldFob(next(labels), True, name, presses))
        count = group.count or 0
        issued = sum(1 for fob in _issued(basis) if fob.group == name)
        for number in range(min(issued, count) + 1, count + 1):
            key = f"{name} {number}"
            names[key] = ("", group.organisation or "", group.pool, f"{number} of {count}")
            held[key] = [HeldFob(next(labels), True, name, presses)]
    return tuple(Holder(key, *names[key], tuple(fobs)) for key, fobs in held.items())


def _issued(basis: Basis) -> tuple[Fob, ...]:
    return tuple(fob for _, fob in sorted(basis.register.fobs.items()) if fob.state in _HELD)


def group_presses(group: Group) -> tuple[Press, ...]:
    """What the buttons of a group do, in the order of the buttons."""
    found: list[Press] = []
    for number, button in sorted(group.buttons.items(), key=lambda numbered: (len(numbered[0]), numbered[0])):
        if isinstance(button, Button):
            found += [
                Press(number, is_long, functions)
                for is_long, functions in ((False, _names(button.short)), (True, _names(button.long)))
                if functions
            ]
        else:
            found.append(Press(number, False, _names(button)))
    return tuple(found)


def _presses_of(basis: Basis, fob: Fob) -> tuple[Press, ...]:
    """Buttons of a recorded fob: as issued where that was written down, else those of its group."""
    if fob.buttons:
        return tuple(_recorded(fob.buttons))
    group = basis.case.job.groups.get(fob.group)
    return group_presses(group) if group is not None else ()


def _recorded(buttons: Mapping[str, tuple[str, ...]]) -> Iterator[Press]:
    for number, functions in sorted(buttons.items(), key=lambda numbered: (len(numbered[0]), numbered[0])):
        yield Press(number.removesuffix("long").strip(), number.endswith("long"), functions)


def _names(written: str | tuple[str, ...] | None) -> tuple[str, ...]:
    return (written,) if isinstance(written, str) else written or ()


def _planned_labels(basis: Basis) -> Iterator[str]:
    """Numbers with a check character that no fob of the record has: "LH-001-K"."""
    words = re.findall(r"[A-Za-z]+", basis.case.job.job.upper().encode("ascii", "ignore").decode())
    prefix = "".join(word[0] for word in words)[:3]
    if len(words) < 2:
        prefix = words[0][:2] if words else "F"
    number = 0
    while True:
        number += 1
        payload = f"{prefix}-{number:03d}"
        label = f"{payload}-{check_character(payload)}"
        if label not in basis.register.fobs:
            yield label
