"""The register: who holds which fob, and where each button is learned, at one moment.

Drawn from the record, never written by hand. Names are not in it: a person is a mark.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

__all__ = ["Fob", "FobRegister", "FobState", "Learned"]


class FobState(StrEnum):
    """What a fob is, seen from the register."""

    SPARE = "spare"
    ISSUED = "issued"
    BLOCKED = "blocked"
    LOST = "lost"
    HANDED_IN = "handed in"
    DESTROYED = "destroyed"


@dataclass(frozen=True)
class Learned:
    """One button of a fob, learned at one output; deleted when `deleted_at` is set."""

    receiver: str
    output: str
    button: str
    slot: str = ""
    at: str = ""
    deleted_at: str = ""
    evidence: str = ""

    @property
    def is_known(self) -> bool:
        """Whether the receiver still obeys this button."""
        return not self.deleted_at


@dataclass(frozen=True)
class Fob:
    """One fob.

    Attributes:
        label: as printed on it; unique within a job.
        serial, type: as printed; part of the catalogue or job.
        state: see `FobState`.
        person: mark of the holder; empty for none or a pool.
        former: mark of the last holder, once the fob came back.
        group, pool, organisation: as issued.
        buttons: button → functions, as it shall be; "4 long" is button 4 pressed long.
        learned: every button ever learned, in the order of time.
        valid_from, valid_to: dates, or empty.
        cell, cell_date: part and date of the last change.
        low_cell_at, heard: last low-cell report; receiver → when last heard.
        lost_at, closed_at: when it was reported lost, when its loss was closed, or empty.
        remark: as the list it came from says.
        signed_at, issued_at, back_at: when it was signed for, issued, handed in, or empty.
    """

    label: str
    serial: str = ""
    type: str = ""
    state: FobState = FobState.SPARE
    person: str = ""
    group: str = ""
    pool: str = ""
    organisation: str = ""
    buttons: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    learned: tuple[Learned, ...] = ()
    valid_from: str = ""
    valid_to: str = ""
    cell: str = ""
    cell_date: str = ""
    low_cell_at: str = ""
    heard: Mapping[str, str] = field(default_factory=dict)
    issued_at: str = ""
    signed_at: str = ""
    lost_at: str = ""
    closed_at: str = ""
    back_at: str = ""
    former: str = ""
    remark: str = ""

    @property
    def known_at(self) -> tuple[Learned, ...]:
        """What receivers still obey."""
        return tuple(learned for learned in self.learned if learned.is_known)


@dataclass(frozen=True)
class FobRegister:
    """Every fob of a job by label, as of the last event used.

    Attributes:
        fobs: label → fob.
        as_of: moment of the last event.
        left: mark of a person who left → date.
        memory: receiver → what it was last seen to hold, and when: "at" and "records".
        unread: entries that this version cannot read; what they changed is not in the register.
    """

    fobs: Mapping[str, Fob] = field(default_factory=dict)
    as_of: str = ""
    left: Mapping[str, str] = field(default_factory=dict)
    memory: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    unread: int = 0

    def known_at(self, receiver: str) -> tuple[tuple[Fob, Learned], ...]:
        """Everything one receiver still obeys, in the order of labels."""
        return tuple(
            (fob, learned)
            for _, fob in sorted(self.fobs.items())
            for learned in fob.known_at
            if learned.receiver == receiver
        )
