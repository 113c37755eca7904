"""Draw the register from the log: a fold over events, nothing kept between runs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Final, get_args

from farpress.domain.acts import (
    ACT_KINDS,
    CellChanged,
    FobAct,
    FobBlocked,
    FobDeleted,
    FobDestroyed,
    FobFound,
    FobHandedIn,
    FobHeard,
    FobIssued,
    FobLearned,
    FobLost,
    FobReceived,
    FobReleased,
    ListUndone,
    LossClosed,
    LowCell,
    MemoryRead,
    PersonDeleted,
    PersonLeft,
    ReceiptSigned,
    ReceiverReplaced,
    RightsChanged,
    UnknownAct,
)
from farpress.domain.event import Event
from farpress.domain.register import Fob, FobRegister, FobState, Learned

__all__ = ["draw_register", "drawn_after"]


def draw_register(events: Iterable[Event], *, start: FobRegister | None = None) -> FobRegister:
    """The register after the last of these events, which come in the order of time.

    Events about a fob that was never received are taken as its receipt too, so that a
    record begun in the middle of an installation's life is still drawn whole.

    Args:
        events: of one job, in the order of time.
        start: the register before the first of them; None for an empty one.
    """
    start = start or FobRegister()
    fobs, left, memory, as_of = dict(start.fobs), dict(start.left), dict(start.memory), start.as_of
    heard: dict[str, dict[str, str]] = {}
    unread = start.unread
    for event in events:
        as_of = event.moment
        if event.kind not in _DRAWN:
            unread += event.kind not in ACT_KINDS
            continue
        match event.act:
            case FobHeard(fob=label, receiver=receiver):
                # nine of ten events, and no other step looks at them: kept aside, and put in at the end
                if label not in heard:
                    heard[label] = dict(fobs.setdefault(label, Fob(label)).heard)
                heard[label][receiver] = event.moment
            case ReceiverReplaced(receiver=receiver, copied=copied):
                if not copied:
                    _forget(fobs, receiver, event.moment)
                    memory.pop(receiver, None)
            case MemoryRead(receiver=receiver, records=records):
                memory[receiver] = {"at": event.moment, "records": records}
            case ListUndone(fobs=labels):
                for label in labels:
                    fobs.pop(label, None)
                    heard.pop(label, None)
            case PersonLeft(person=person, on=day):
                left[person] = day or event.moment[:10]
            case PersonDeleted(person=person):
                left.pop(person, None)
            case UnknownAct():
                unread += 1
            case act if isinstance(act, FobAct):
                if act.fob is not None:  # a low cell may have no name
                    fobs[act.fob] = _after(fobs.get(act.fob) or Fob(act.fob), act, event.moment)
    for label, when in heard.items():
        fobs[label] = replace(fobs[label], heard=when)
    return FobRegister(fobs, as_of, left, memory, unread)


def drawn_after(acts: Iterable[FobAct], start: FobRegister) -> FobRegister:
    """The register as it would be after acts that are not written yet."""
    fobs = dict(start.fobs)
    for act in acts:
        if act.fob is not None:
            fobs[act.fob] = _after(fobs.get(act.fob) or Fob(act.fob), act, start.as_of)
    return replace(start, fobs=fobs)


def _after(fob: Fob, act: FobAct, moment: str) -> Fob:
    """A fob after one act about it; a day that a list gave counts before the moment it was written down."""
    day = getattr(act, "on", "")
    moment = f"{day}T00:00:00.000000Z" if day else moment
    match act:
        case FobReceived():
            return replace(
                fob,
                serial=act.serial or fob.serial,
                type=act.type or fob.type,
                cell_date=act.cell_date or fob.cell_date,
                remark=act.remark or fob.remark,
            )
        case FobIssued():
            return _issued(fob, act, moment)
        case RightsChanged():
            return replace(fob, buttons=act.buttons, group=act.group or fob.group)
        case ReceiptSigned():
            return replace(fob, signed_at=moment)
        case FobHandedIn():
            return replace(
                fob,
                state=FobState.HANDED_IN,
                person="",
                former=fob.person or fob.former,
                back_at=moment,
                lost_at="",
            )
        case FobLost():
            return replace(fob, state=FobState.LOST, lost_at=moment, closed_at="")
        case LossClosed():
            return replace(fob, closed_at=moment)
        case FobFound() | FobReleased():
            state = FobState.ISSUED if fob.person or fob.pool else FobState.SPARE
            return replace(fob, state=state, lost_at="", closed_at="")
        case FobBlocked():
            return replace(fob, state=FobState.BLOCKED)
        case FobDestroyed():
            return replace(fob, state=FobState.DESTROYED)
        case FobLearned():
            return _learned(fob, act, moment)
        case FobDeleted():
            return _without(fob, act.receiver, moment, act.evidence)
        case FobHeard():
            return replace(fob, heard={**fob.heard, act.receiver: moment})
        case CellChanged():
            return replace(fob, cell=act.cell or fob.cell, cell_date=moment[:10], low_cell_at="")
        case LowCell():
            return replace(fob, low_cell_at=moment)


def _issued(fob: Fob, act: FobIssued, moment: str) -> Fob:
    return replace(
        fob,
        state=FobState.ISSUED,
        person=act.person,
        group=act.group,
        pool=act.pool,
        organisation=act.organisation,
        valid_from=act.valid_from,
        valid_to=act.valid_to,
        issued_at=moment,
        signed_at="",
        lost_at="",
        closed_at="",
        back_at="",
        buttons=fob.buttons if act.buttons is None else act.buttons,
    )


def _learned(fob: Fob, act: FobLearned, moment: str) -> Fob:
    entry = Learned(act.receiver, act.output, act.button, act.slot, moment)
    same = (entry.receiver, entry.output, entry.button, entry.slot)
    kept = tuple(
        known
        for known in fob.learned
        if not (known.is_known and (known.receiver, known.output, known.button, known.slot) == same)
    )
    return replace(fob, learned=(*kept, entry))


def _forget(fobs: dict[str, Fob], receiver: str, moment: str) -> None:
    """Everything learned at a receiver that went away counts as deleted there."""
    for label, fob in fobs.items():
        if any(known.receiver == receiver and known.is_known for known in fob.learned):
            fobs[label] = _without(fob, receiver, moment, "receiver replaced")


def _without(fob: Fob, receiver: str, moment: str, evidence: str) -> Fob:
    learned = tuple(
        replace(known, deleted_at=moment, evidence=evidence)
        if known.receiver == receiver and known.is_known
        else known
        for known in fob.learned
    )
    return replace(fob, learned=learned)


_DRAWN: Final = frozenset(
    kind.kind
    for kind in (*get_args(FobAct), ListUndone, ReceiverReplaced, MemoryRead, PersonLeft, PersonDeleted)
)
"""Kinds that change the register; others are not even read."""
