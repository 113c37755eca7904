"""What is due in a register, and what is wrong in it.

`due`: open deletions, validity ended, receipts not signed, names whose time has ended.
`check`: ghosts (learned, but nobody's), orphans (in the register, but not in the receiver),
doubles, leavers, rights that differ from what is learned, room left with its growth.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Final

from farpress.core.keys.capacity import full_between_years
from farpress.domain.register import Fob, FobRegister, FobState
from farpress.keys.find import holder_of, label_aliases, plain_label
from farpress.keys.memory_matters import GONE_STATES, Matter, known_serials, memory_differences
from farpress.keys.rights import places_of
from farpress.phrases import plural

if TYPE_CHECKING:
    from farpress.case.case import Case
    from farpress.record.persons import PersonEntry

__all__ = ["KEEP_DAYS", "check_register", "due_matters", "keep_days", "room_matters"]

KEEP_DAYS: Final = 90
"""A name is kept so long after its person left, unless a rule of the job says otherwise; our choice, ask the
customer."""

UNSIGNED_DAYS: Final = 14
"""A receipt not signed after so many days is asked for; our choice."""

DELETE_HOURS: Final = 24.0
"""A lost fob is to be deleted everywhere within so many hours, unless the job says otherwise; our choice."""

UNSEEN_MONTHS: Final = 12
"""A fob nobody has heard for so long may be lost without anybody having noticed; our choice."""

FREE_STATES: Final = (FobState.SPARE, FobState.HANDED_IN)


def keep_days(case: Case | None) -> int:
    """Days a name is kept after its person left."""
    if case is not None:
        for rule in case.job.rules:
            if rule.never == "kept after leaving longer than" and rule.for_s:
                return max(int(rule.for_s // 86400), 0)
    return KEEP_DAYS


def due_matters(
    register: FobRegister, people: Mapping[str, PersonEntry], case: Case | None, *, now: datetime
) -> tuple[Matter, ...]:
    """Everything due at a moment, the most urgent first."""
    return tuple(sorted(_due(register, people, case, now)))


def check_register(
    register: FobRegister, people: Mapping[str, PersonEntry], case: Case | None, *, now: datetime
) -> tuple[Matter, ...]:
    """Everything that does not fit together, the most urgent first."""
    return tuple(
        sorted(
            [
                *_unread(register),
                *_ghosts_and_orphans(register, case),
                *_doubles(register),
                *_leavers(register, people),
                *_rights(register, people, case),
                *_unseen(register, people, now),
                *room_matters(register, case),
            ]
        )
    )


def _unread(register: FobRegister) -> Iterator[Matter]:
    if register.unread:
        yield Matter(
            0,
            "not understood",
            "record",
            f"{plural(register.unread, 'entry', 'entries')} of the record cannot be read by this version of"
            " the program; what they changed is not in this register. Use the version that wrote them.",
        )


def _due(
    register: FobRegister, people: Mapping[str, PersonEntry], case: Case | None, now: datetime
) -> Iterator[Matter]:
    today = now.date().isoformat()
    yield from (matter for matter in _leavers(register, people) if matter.kind == "leaver")
    within = (
        case.job.register_.delete_within_s / 3600
        if case is not None and case.job.register_.delete_within_s
        else DELETE_HOURS
    )
    for fob in _fobs(register):
        receivers = _receivers(fob)
        holder = holder_of(fob, people)
        who = f"{fob.label}{f' ({holder})' if holder else ''}"
        if fob.state is FobState.LOST and receivers:
            open_h = (now - _moment(fob.lost_at)).total_seconds() / 3600
            late = (
                f"{open_h:.0f} h open, {within:.0f} h allowed"
                if open_h <= within
                else f"{open_h:.0f} h open, {open_h - within:.0f} h more than allowed"
            )
            yield Matter(
                0,
                "deletion open",
                fob.label,
                f"{who} is lost and still learned at {', '.join(receivers)}: {late}.",
            )
        elif fob.state in (FobState.BLOCKED, FobState.DESTROYED) and receivers:
            yield Matter(
                1,
                "deletion open",
                fob.label,
                f"{who} is {fob.state} and still learned at {', '.join(receivers)}: delete it there.",
            )
        elif fob.state is FobState.ISSUED and fob.valid_to and fob.valid_to < today:
            yield Matter(
                1,
                "validity ended",
                fob.label,
                f"{who} was valid until {fob.valid_to}: call it in, or prolong it."
                + (f" Learned at {', '.join(receivers)}." if receivers else ""),
                fob.valid_to,
            )
        if (
            fob.state is FobState.ISSUED
            and not fob.signed_at
            and fob.issued_at
            and (now - _moment(fob.issued_at)).days >= UNSIGNED_DAYS
        ):
            yield Matter(
                2, "not signed", fob.label, f"{who} was issued on {fob.issued_at[:10]}; nobody signed for it."
            )
        if fob.low_cell_at and fob.state is FobState.ISSUED:
            yield Matter(2, "low cell", fob.label, f"{who}: low cell reported on {fob.low_cell_at[:10]}.")
    for person in people.values():
        if person.keep_until and person.keep_until < today:
            yield Matter(
                1,
                "retention ended",
                person.mark,
                f"{person.name} is to be deleted since {person.keep_until}: 'keys person forget'.",
                person.keep_until,
            )


def _ghosts_and_orphans(register: FobRegister, case: Case | None) -> Iterator[Matter]:
    serials, plain = known_serials(register), label_aliases(register) if register.memory else {}
    for receiver in sorted(register.memory):
        yield from memory_differences(register, receiver, serials, plain)
    for premises, house in case.job.premises.items() if case is not None else ():
        for name, box in house.receivers.items():
            path = f"{premises}/{name}"
            if box.learned_unknown and path not in register.memory:
                yield Matter(
                    0,
                    "unknown records",
                    path,
                    f"{path} obeys {box.learned_unknown} record{'s' if box.learned_unknown != 1 else ''}"
                    " nobody can name, says the job: read its list ('keys memory'), and delete what is"
                    " nobody's; or erase everything and learn the known fobs again.",
                )


def _doubles(register: FobRegister) -> Iterator[Matter]:
    for what, of in (("serial", lambda fob: fob.serial), ("label", lambda fob: plain_label(fob.label))):
        found: dict[str, list[str]] = {}
        for fob in _fobs(register):
            if of(fob) and fob.state is not FobState.DESTROYED:
                found.setdefault(of(fob), []).append(fob.label)
        for value, labels in found.items():
            if len(labels) > 1:
                yield Matter(
                    1,
                    "double",
                    labels[0],
                    f"{' and '.join(labels)} have the same {what} {value}: look at them and correct one.",
                )
    slots: dict[tuple[str, str], list[str]] = {}
    for fob in _fobs(register):
        for receiver, slot in dict.fromkeys(
            (entry.receiver, entry.slot) for entry in fob.known_at if entry.slot
        ):
            slots.setdefault((receiver, slot), []).append(fob.label)
    for (receiver, slot), labels in sorted(slots.items()):
        if len(labels) > 1:
            yield Matter(
                1,
                "double",
                f"{receiver} slot {slot}",
                f"Slot {slot} of {receiver} stands for {' and '.join(labels)}: deleting it would delete the"
                " wrong one. Try both.",
            )


def _leavers(register: FobRegister, people: Mapping[str, PersonEntry]) -> Iterator[Matter]:
    for fob in _fobs(register):
        if fob.person in register.left and fob.state is FobState.ISSUED:
            receivers = _receivers(fob)
            yield Matter(
                0,
                "leaver",
                fob.label,
                f"{holder_of(fob, people)} left on {register.left[fob.person]} and still has {fob.label}"
                + (
                    f", learned at {', '.join(receivers)}: call it in or delete it."
                    if receivers
                    else ": call it in."
                ),
            )
        elif fob.state is FobState.ISSUED and fob.person and fob.person not in people:
            yield Matter(
                1,
                "nobody",
                fob.label,
                f"{fob.label} is issued to somebody whose name was deleted: call it in, or issue it anew.",
            )
        elif fob.state is FobState.ISSUED and not fob.person and not fob.pool:
            yield Matter(1, "nobody", fob.label, f"{fob.label} is issued, but to whom is not written down.")
        elif fob.state in FREE_STATES and _receivers(fob) and fob.state is FobState.HANDED_IN:
            yield Matter(
                2,
                "still learned",
                fob.label,
                f"{fob.label} was handed in and is still learned at {', '.join(_receivers(fob))}: lock it"
                " away, or delete it.",
            )


def _rights(register: FobRegister, people: Mapping[str, PersonEntry], case: Case | None) -> Iterator[Matter]:
    if case is None:
        return
    for fob in _fobs(register):
        if fob.state is not FobState.ISSUED or not fob.buttons:
            continue
        wanted = {(place.receiver, place.output, place.button) for place in places_of(case, fob.buttons)}
        known = {(entry.receiver, entry.output, entry.button) for entry in fob.known_at}
        more, less = (
            sorted({place[0] for place in known - wanted}),
            sorted({place[0] for place in wanted - known}),
        )
        holder = holder_of(fob, people)
        who = f"{fob.label}{f' ({holder})' if holder else ''}"
        if more:
            yield Matter(
                1,
                "beyond rights",
                fob.label,
                f"{who} is learned at {', '.join(more)} for more than its buttons are meant for: delete"
                " there, and learn what is meant.",
            )
        if less:
            yield Matter(
                2,
                "not learned",
                fob.label,
                f"{who} has buttons that are not learned yet at {', '.join(less)}.",
            )


def _unseen(register: FobRegister, people: Mapping[str, PersonEntry], now: datetime) -> Iterator[Matter]:
    if not any(fob.heard for fob in register.fobs.values()):
        return  # nobody listens: nothing follows from silence
    for fob in _fobs(register):
        last = max([*fob.heard.values(), fob.issued_at])
        if fob.state is FobState.ISSUED and last and (now - _moment(last)).days > UNSEEN_MONTHS * 30.4:
            holder = holder_of(fob, people)
            yield Matter(
                2,
                "not seen",
                fob.label,
                f"{fob.label}{f' ({holder})' if holder else ''} was last heard on {last[:10]}: is it still"
                " there?",
            )


def room_matters(register: FobRegister, case: Case | None) -> Iterator[Matter]:
    """Receivers that are full, will be soon, or have less than a quarter left; none without a case."""
    if case is None:
        return
    plan = case.job.register_
    growth = plan.growth_share or 0.0
    new_share = (0.0 if plan.leavers_deleted else plan.churn_share or 0.0) + growth
    for receiver, part in case.equipment.receivers.items():
        capacity, counts = part.sheet.capacity, part.sheet.capacity_counts
        known = register.known_at(receiver)
        if capacity is None or not known:
            continue
        fobs = len({fob.label for fob, _ in known})
        presses = len({(fob.label, entry.button) for fob, entry in known})
        used, unit = (presses, "buttons") if counts == "buttons" else (fobs, "fobs")
        unsure = (
            " (whether it counts fobs or buttons is not known)" if counts is None and presses != fobs else ""
        )
        free = capacity - used
        holders = len({fob.label for fob, _ in known if fob.state is FobState.ISSUED}) * (
            presses / fobs if unit == "buttons" else 1.0
        )
        gone = len({fob.label for fob, _ in known if fob.state in GONE_STATES})
        tail = f" {gone} of them are lost, blocked or destroyed." if gone else ""
        if free <= 0:
            yield Matter(
                0, "full", receiver, f"{receiver} is full: {used} of {capacity} {unit}{unsure}.{tail}"
            )
        elif (
            new_share > 0
            and holders > 0
            and (
                band := full_between_years(
                    free=free, leavers_per_year=holders * new_share, chance=0.9, growth_share=growth
                )
            ).early_years
            < 5
        ):
            why = " and ".join(
                ["leavers stay in it"] * (new_share > growth)
                + [f"{growth:.0%} are added each year"] * (growth > 0)
            )
            yield Matter(
                1 if band.early_years < 1 else 2,
                "room",
                receiver,
                f"{receiver} holds {used} of {capacity} {unit}{unsure}; full in {band.early_years:.1f} to"
                f" {band.late_years:.1f} years, nine times in ten, if {why}.{tail}",
            )
        elif free < 0.25 * capacity:
            yield Matter(
                2,
                "room",
                receiver,
                f"{receiver} holds {used} of {capacity} {unit}{unsure}: less than a quarter is left.{tail}",
            )


def _fobs(register: FobRegister) -> Iterable[Fob]:
    return (fob for _, fob in sorted(register.fobs.items()))


def _receivers(fob: Fob) -> list[str]:
    return list(dict.fromkeys(entry.receiver for entry in fob.known_at))


def _moment(text: str) -> datetime:
    return datetime.fromisoformat(text.replace("Z", "+00:00"))
