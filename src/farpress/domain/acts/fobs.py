"""Acts about fobs, their holders, and what receivers know of them."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar

from pydantic import Field

from farpress.domain.acts.base import (
    Act,
    Buttons,
    ButtonsIfGiven,
    Day,
    FobLabel,
    Mark,
    OnlyTrue,
    ReceiverPath,
    Words,
)

__all__ = [
    "CellChanged",
    "FobBlocked",
    "FobDeleted",
    "FobDestroyed",
    "FobFound",
    "FobHandedIn",
    "FobHeard",
    "FobIssued",
    "FobLearned",
    "FobLost",
    "FobReceived",
    "FobReleased",
    "ListTaken",
    "ListUndone",
    "LossClosed",
    "LowCell",
    "MemoryRead",
    "PersonAdded",
    "PersonDeleted",
    "PersonLeft",
    "PersonSealed",
    "ReceiptSigned",
    "ReceiverReplaced",
    "RightsChanged",
]

OnDay = Annotated[str, Field(description="date, as 2027-03-01, where a list says it and not the moment")]

_Evidence = Annotated[str, Field(description="how it was proven")]


class FobReceived(Act):
    """A fob came into stock."""

    kind: ClassVar[str] = "fob received"
    fob: FobLabel
    serial: Annotated[str, Field(description="as printed")] = ""
    type: Annotated[str, Field(description="part")] = ""
    cell_date: Annotated[str, Field(description="2026-11")] = ""
    remark: Words = ""


class FobIssued(Act):
    """A fob was given to a person or a pool."""

    kind: ClassVar[str] = "fob issued"
    fob: FobLabel
    group: Annotated[str, Field(description="group of the job")] = ""
    person: Annotated[str, Field(description="mark of the holder")] = ""
    pool: Annotated[str, Field(description="name of the pool")] = ""
    buttons: ButtonsIfGiven = None
    organisation: Annotated[str, Field(description="tenant or firm")] = ""
    valid_from: Day = ""
    valid_to: Day = ""
    on: OnDay = ""


class RightsChanged(Act):
    """A holder's buttons changed."""

    kind: ClassVar[str] = "rights changed"
    fob: FobLabel
    buttons: Buttons
    group: Annotated[str, Field(description="group of the job")] = ""


class ReceiptSigned(Act):
    """The holder signed for a fob."""

    kind: ClassVar[str] = "receipt signed"
    fob: FobLabel
    person: Mark = ""
    evidence: Annotated[str, Field(description="where the signature is")] = ""
    on: OnDay = ""


class FobHandedIn(Act):
    """A fob came back."""

    kind: ClassVar[str] = "fob handed in"
    fob: FobLabel
    condition: Words = ""
    on: OnDay = ""


class FobLost(Act):
    """A fob was reported lost."""

    kind: ClassVar[str] = "fob lost"
    fob: FobLabel
    between: Annotated[str, Field(description="where and when")] = ""
    reported_by: Mark = ""
    on: OnDay = ""


class FobFound(Act):
    """A lost fob turned up again."""

    kind: ClassVar[str] = "fob found"
    fob: FobLabel


class FobBlocked(Act):
    """A fob shall not work for the time being."""

    kind: ClassVar[str] = "fob blocked"
    fob: FobLabel
    why: Words = ""


class FobReleased(Act):
    """A blocked fob may work again."""

    kind: ClassVar[str] = "fob released"
    fob: FobLabel


class LossClosed(Act):
    """A lost fob is deleted everywhere, with evidence."""

    kind: ClassVar[str] = "loss closed"
    fob: FobLabel
    evidence: Annotated[str | dict[str, Any], Field(description="receiver → how it was proven")]


class FobDestroyed(Act):
    """A fob was destroyed."""

    kind: ClassVar[str] = "fob destroyed"
    fob: FobLabel


class FobLearned(Act):
    """A button was learned at a receiver's output."""

    kind: ClassVar[str] = "fob learned"
    fob: FobLabel
    receiver: ReceiverPath
    output: Annotated[str, Field(description="number")]
    button: Annotated[str, Field(description="number, or number with 'long'")]
    slot: Annotated[str, Field(description="slot")] = ""
    on: OnDay = ""


class FobDeleted(Act):
    """A fob was deleted at a receiver."""

    kind: ClassVar[str] = "fob deleted"
    fob: FobLabel
    receiver: ReceiverPath
    evidence: _Evidence
    on: OnDay = ""


class FobHeard(Act):
    """A fob was heard at a receiver."""

    kind: ClassVar[str] = "fob heard"
    fob: FobLabel
    receiver: ReceiverPath


class CellChanged(Act):
    """A fob's cell was changed."""

    kind: ClassVar[str] = "cell changed"
    fob: FobLabel
    cell: Annotated[str, Field(description="part")] = ""
    volts: Annotated[float | None, Field(description="of the old one, under load [V]")] = None


class LowCell(Act):
    """A receiver reported a fob's low cell."""

    kind: ClassVar[str] = "low cell"
    fob: Annotated[str | None, Field(description="label, where the receiver tells it")] = None
    receiver: ReceiverPath


class ReceiverReplaced(Act):
    """A receiver was replaced by another; what the old one knew is gone unless it was copied."""

    kind: ClassVar[str] = "receiver replaced"
    receiver: ReceiverPath
    why: Words = ""
    copied: Annotated[OnlyTrue, Field(description="true if the learned records were carried over")] = False


class MemoryRead(Act):
    """What a receiver really holds was listed."""

    kind: ClassVar[str] = "memory read"
    receiver: ReceiverPath
    records: Annotated[Any, Field(description="list of tables with fob or serial, slot, output, button")]


class ListTaken(Act):
    """A list of fobs was taken over; its entries follow."""

    kind: ClassVar[str] = "list taken over"
    list: Annotated[str, Field(description="its name")]
    rows: Annotated[int, Field(description="rows taken")]
    fobs: Annotated[int, Field(description="fobs they make")]
    entries: Annotated[int, Field(description="entries that follow and belong to it")]
    aside: Annotated[int, Field(description="rows set aside")] = 0


class ListUndone(Act):
    """A list that was taken over is taken back; its fobs are not in the register any more."""

    kind: ClassVar[str] = "list undone"
    list: Annotated[str, Field(description="its name")]
    fobs: Annotated[tuple[str, ...], Field(description="labels of its fobs")]


class PersonAdded(Act):
    """A person entered the register; the name stands apart."""

    kind: ClassVar[str] = "person added"
    person: Mark
    seal: Annotated[str, Field(description="salted digest of the name; the salt goes with the name")] = ""


class PersonSealed(Act):
    """A name was corrected."""

    kind: ClassVar[str] = "name sealed"
    person: Mark
    seal: Annotated[str, Field(description="salted digest of the name as it is now")]


class PersonLeft(Act):
    """A person does not belong to the customer any more."""

    kind: ClassVar[str] = "person left"
    person: Mark
    on: Day = ""


class PersonDeleted(Act):
    """A person's name was deleted; the events stay."""

    kind: ClassVar[str] = "person deleted"
    person: Mark
    why: Words = ""
