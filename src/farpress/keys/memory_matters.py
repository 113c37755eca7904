"""What a receiver was seen to hold beside what the register says it holds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from farpress.domain.register import Fob, FobRegister, FobState
from farpress.keys.find import label_aliases, plain_label

if TYPE_CHECKING:
    pass

__all__ = ["GONE_STATES", "Matter", "known_serials", "memory_differences", "memory_matters"]

GONE_STATES: Final = (FobState.LOST, FobState.BLOCKED, FobState.DESTROYED)


@dataclass(frozen=True, order=True)
class Matter:
    """One thing to attend to.

    Attributes:
        urgent: 0 at once, 1 soon, 2 when there.
        kind: one word or two: "deletion open", "ghost", "double" …
        about: label, receiver or name.
        says: what is the matter, and what to do.
        by: date by which, or empty.
    """

    urgent: int
    kind: str
    about: str
    says: str
    by: str = ""


def memory_matters(register: FobRegister, receiver: str) -> tuple[Matter, ...]:
    """Where the list last read out of a receiver and the register differ."""
    return tuple(
        sorted(memory_differences(register, receiver, known_serials(register), label_aliases(register)))
    )


def known_serials(register: FobRegister) -> dict[str, str]:
    """Serial in small letters → label."""
    return {fob.serial.casefold(): fob.label for fob in register.fobs.values() if fob.serial}


def memory_differences(
    register: FobRegister, receiver: str, serials: Mapping[str, str], plain: Mapping[str, str]
) -> Iterator[Matter]:
    """Matters of one receiver whose memory was read.

    Args:
        register: with what was read.
        receiver: "premises/receiver".
        serials: see `known_serials`.
        plain: plain label → label, every name a fob was known by.
    """
    memory = register.memory[receiver]
    records: list[Mapping[str, Any]] = list(memory.get("records") or ())
    slots: dict[str, list[str]] = {}
    known: set[str] = set()
    by_slot: dict[str, str] = {}
    for fob, entry in register.known_at(receiver):
        known.add(fob.label)
        if entry.slot:
            by_slot[entry.slot] = fob.label
            slots.setdefault(fob.label, []).append(entry.slot)
    read_at = str(memory.get("at", ""))
    when = read_at[:10]
    # deleted since it was read: the list is older than that
    since = [
        (fob.label, entry.slot)
        for fob in register.fobs.values()
        for entry in fob.learned
        if entry.receiver == receiver and entry.deleted_at > read_at
    ]
    seen: dict[str, list[str]] = {}
    for record in records:
        slot = str(record.get("slot") or "")
        label = str(
            record.get("fob")
            or serials.get(str(record.get("serial") or "").casefold(), "")
            or ("" if record.get("serial") else by_slot.get(slot, ""))
        )
        name = plain.get(plain_label(label), "")
        what = ", ".join(f"{key} {record[key]}" for key in ("fob", "serial", "slot") if record.get(key))
        if name in known:
            seen.setdefault(name, []).append(slot)
            if slot and name in slots and slot not in slots[name]:
                there = by_slot.get(slot, "")
                others = f", and slot {slot} for {there}" if there else ""
                yield Matter(
                    1,
                    "double",
                    f"{receiver} slot {slot}",
                    f"{name} lies in slot {slot} of {receiver} (read on {when}); the register says slot"
                    f" {' and '.join(dict.fromkeys(slots[name]))}{others}:"
                    " deleting by the register's slot would delete another fob. Record its deletion, and"
                    " learn it anew with the right slot.",
                )
            continue
        if any(name == label if name else slot and slot == other for label, other in since):
            continue
        fob_there = register.fobs.get(name)
        if fob_there is None:
            yield Matter(
                0,
                "ghost",
                f"{receiver} {what}",
                f"{receiver} obeys {what} (read on {when}), which is not in the register: delete it there, or"
                " enter it.",
            )
        else:
            yield Matter(
                0,
                "ghost",
                f"{receiver} {name}",
                f"{receiver} obeys {name} (read on {when}), which is {fob_there.state} and should not be"
                " known there: delete it, or record that it was learned.",
            )
    for label in sorted(known - set(seen)):
        if _learned_before(register.fobs[label], receiver, read_at):
            is_gone = register.fobs[label].state in GONE_STATES
            todo = (
                f"it is {register.fobs[label].state}, so record its deletion, with that list as evidence"
                if is_gone
                else "learn it again, or record its deletion"
            )
            yield Matter(
                1,
                "orphan",
                f"{receiver} {label}",
                f"{label} stands in the register for {receiver}, which did not know it when read on {when}:"
                f" {todo}.",
            )


def _learned_before(fob: Fob, receiver: str, moment: str) -> bool:
    return any(entry.receiver == receiver and entry.at < moment for entry in fob.known_at)
