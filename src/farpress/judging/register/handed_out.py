"""Fobs handed out to guests for a time: those that do not come back fill the memory and go on opening."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import CHOICE, GIVEN
from farpress.case.driven import holders
from farpress.domain.cautions import CAUTIONS
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.parts import Part, ReceiverSheet
from farpress.domain.refs import GroupRef, ReceiverRef
from farpress.judging.check import AT_LEAST, Check, Estimate, Limit
from farpress.judging.register.memory_use import MemoryUse

__all__ = ["HANDED_OUT", "judge_handed_out"]

YEAR_DAYS: Final = 365.25

NEVER_DAYS: Final = 10.0 * YEAR_DAYS
"""What takes as long as this is told as never: our choice, a receiver is replaced before."""

HANDED_OUT: Final = Check(
    "REG-50",
    Link.REGISTER,
    "Days until fobs that guests do not give back have filled a receiver's memory, against a year.",
    unit="d",
    bound=AT_LEAST,
    limit=Limit(YEAR_DAYS, (CHOICE,)),
    stake=Stake.DUTY,
    ask="Ask how many of the fobs that are handed out do not come back.",
    who=Who.CUSTOMER,
    minutes=3.0,
    mends="A fob that did not come back deleted the same week, by whoever hands them out.",
)


def judge_handed_out(
    case: Case, path: str, part: Part[ReceiverSheet], learned: MemoryUse
) -> Iterator[Finding]:
    """REG-50, at a receiver that fobs of such a group are learned at.

    Args:
        case: the job.
        path, part: of the receiver, and its sheet.
        learned: what is learned there.
    """
    guests = {
        name: group
        for name, group in case.job.groups.items()
        if name in learned.groups and group.handed_out_per_day
    }
    if not guests:
        return
    gone: float | None = 0.0
    asks: list[Ask] = []
    a_year = sum((group.handed_out_per_day or 0.0) * YEAR_DAYS for group in guests.values())
    for name, group in guests.items():
        if group.not_returned_share is None:
            gone = None
            asks.append(Ask(f"Ask how many of the fobs handed out to {name} do not come back.", Who.CUSTOMER))
        elif gone is not None:
            gone += (group.handed_out_per_day or 0.0) * group.not_returned_share
    kept = sum(holders(group) or 0 for group in guests.values())
    receiver = path.split("/")[1]
    room = _room(part.sheet, learned, max(learned.groups[name][1] for name in guests))
    days = None
    if room is not None and gone is not None:
        days = NEVER_DAYS if gone <= 0.0 else min(room / gone, NEVER_DAYS)
    deleted = case.job.register_.leavers_deleted
    if deleted is None:
        asks.append(Ask("Ask who deletes a fob that a guest did not give back, and how soon.", Who.CUSTOMER))
    says = f"{a_year:.0f} fobs a year are handed out to guests at {receiver}, out of {kept}"
    if gone is not None and room is not None:
        says += f"; {gone * YEAR_DAYS:.0f} of them do not come back, and the memory has room for {room}"
        is_soon = days is not None and days < NEVER_DAYS
        says += " more: " + (f"full after {days:.0f} days" if is_soon else "not full in ten years")
    says += ", where nobody deletes them." if not deleted else "; what does not come back is deleted."
    yield HANDED_OUT.judge(
        about=f"{path}: fobs handed out",
        subjects=(ReceiverRef(path), *(GroupRef(name) for name in guests)),
        value=Estimate(NEVER_DAYS if deleted and gone is not None else days),
        says=says,
        because=CAUTIONS["lost fob"],
        asks=asks,
        remedies=(
            Remedy("Delete what did not come back every week, by its number, and count what is in the box"),
            Remedy("A receiver with a larger memory buys time and nothing else"),
        ),
        sources=(*part.cite("capacity", "capacity_counts"), GIVEN),
    )


def _room(sheet: ReceiverSheet, learned: MemoryUse, buttons: int) -> int | None:
    """How many more fobs the memory has room for; None where its size is not known."""
    if sheet.capacity is None:
        return None
    if sheet.capacity_counts == "buttons":
        return max(sheet.capacity - learned.buttons, 0) // max(buttons, 1)
    return max(sheet.capacity - learned.fobs, 0)
