"""An entry of the log book in the words of whoever keeps it by hand: why somebody came, what was done."""

from __future__ import annotations

from farpress.domain.acts import (
    Act,
    BatteryChanged,
    CellChanged,
    CheckDone,
    FaultClosed,
    FaultReported,
    FobDeleted,
    FobLost,
    JobChanged,
    LowCell,
    Note,
    ReceiverReplaced,
    UnknownAct,
    Visit,
)
from farpress.domain.event import Event
from farpress.upkeep.due import done_task

__all__ = ["LOGGED", "is_logged", "left_as", "log_words", "reason_of"]

LOGGED = (
    Visit,
    CheckDone,
    FaultReported,
    FaultClosed,
    CellChanged,
    BatteryChanged,
    ReceiverReplaced,
    FobLost,
    FobDeleted,
    LowCell,
    JobChanged,
    Note,
)
"""Acts that have a place in the book."""


def is_logged(event: Event) -> bool:
    """Whether an entry belongs into the book; trials stand in the proving record."""
    return not isinstance(event.act, CheckDone) or bool(done_task(event.act))


def reason_of(event: Event) -> str:
    """One of the reasons that the book names; what is none of them is called what it is."""
    match event.act:
        case CheckDone() | CellChanged() | BatteryChanged() | LowCell():
            return "periodic"
        case FaultReported() | FaultClosed():
            return "fault"
        case FobLost() | FobDeleted():
            return "loss"
        case ReceiverReplaced() | JobChanged():
            return "change"
    return event.kind


def log_words(event: Event) -> str:
    """What was found, done, fitted or read, as a sentence; names of people stay in the register."""
    match event.act:
        case Visit() as visit:
            minutes = f", {visit.minutes:g} min" if visit.minutes is not None else ""
            return f"{visit.premises}: {visit.why}{minutes}."
        case CheckDone() as done:
            found = f" Found: {done.found}" if done.found not in ("", None) else ""
            return f"{done_task(done)}: {'in order' if done.passed else 'NOT in order'}.{found}"
        case FaultReported() as fault:
            about = f" ({_without_colons(fault.about)})" if fault.about else ""
            return f"{fault.fault} reported: {fault.complaint}{about}."
        case FaultClosed() as closed:
            return f"{closed.fault} found: {closed.cause}. Done: {closed.cure}."
        case CellChanged() as cell:
            volts = f", the old one {cell.volts:g} V under load" if cell.volts is not None else ""
            return f"Cell of fob {cell.fob} changed{f', {cell.cell}' if cell.cell else ''}{volts}."
        case BatteryChanged() as battery:
            return f"Battery of {battery.supply} changed{f', {battery.part}' if battery.part else ''}."
        case ReceiverReplaced() as box:
            why = f": {box.why}" if box.why else ""
            carried = "its records carried over" if box.copied else "fobs to be learned again"
            return f"{box.receiver} replaced{why}; {carried}."
        case FobLost() as lost:
            return f"Fob {lost.fob} reported lost{f': {lost.between}' if lost.between else ''}."
        case FobDeleted() as deleted:
            return f"Fob {deleted.fob} deleted at {deleted.receiver}. Seen by: {deleted.evidence}."
        case LowCell() as low:
            return f"Low-cell signal of {low.fob or 'an unknown fob'} at {low.receiver}."
        case JobChanged() as changed:
            return f"Planned anew: {'; '.join(changed.changes) or 'the job file was changed'}."
        case Note() as note:
            return f"{f'{note.about}: ' if note.about else ''}{note.says}"
        case UnknownAct(because=because):
            return f"An entry that cannot be read here ({because})."
        case Act() as act:
            return type(act).meaning()


def left_as(event: Event) -> str:
    """How the installation was left, where the entry says it; else it is written by hand."""
    if isinstance(event.act, CheckDone):
        return "safe" if event.act.passed else ""
    return ""


def _without_colons(reference: str) -> str:
    """What a fault is about, "receiver:court/R1" as "receiver court/R1"."""
    return reference.replace(":", " ")
