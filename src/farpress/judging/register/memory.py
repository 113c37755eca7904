"""The register: room in the receivers, growth, counters out of step, deletion, names.

What the design says; what was really learned, lost and deleted stands in the record.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.access import opens, unsets
from farpress.case.case import Case
from farpress.case.citations import CHOICE, GIVEN, PRACTICE
from farpress.case.driven import driven_of, group_text, holders
from farpress.core.keys.capacity import full_between_years, years_until_full
from farpress.domain.cautions import CAUTIONS, DUTIES, LOCAL_CODES
from farpress.domain.finding import Change, Finding, Link, Remedy, Verdict
from farpress.domain.job import Group
from farpress.domain.parts import Part, ReceiverSheet
from farpress.domain.refs import GroupRef, ReceiverRef
from farpress.judging.register.counters import judge_counters
from farpress.judging.register.lost import judge_lost
from farpress.phrases import listed

__all__ = ["CODES", "MemoryUse", "judge", "learned_at"]

CODES: Final[dict[str, str]] = {
    "REG-01": "Fobs, or buttons, to be learned at a receiver against its memory.",
    "REG-02": "Years until a receiver's memory is full.",
    "REG-03": "First presses that a receiver swallows because the fob was used elsewhere.",
    "REG-04": "How one fob can be deleted at a receiver.",
    "REG-05": "Learned records nobody can name, and fobs without a person.",
    "REG-07": "What losing one fob means: receivers, rights, and the round to delete it.",
    "REG-06": "Names in the register: who keeps them, until when.",
}

PLANNED_YEARS: Final = 10.0
"""Growth is looked at so far ahead; our choice."""

SOON_YEARS: Final = 5.0
"""A memory that is full sooner fails; our choice."""

SMALL: Final = 20
"""Records up to which an unknown memory is not asked about; our choice, even small memories hold so many
(from memory)."""

RELEARN_MIN: Final = 0.5
"""To learn one fob again, in minutes; our choice, to be measured on the first job."""


@dataclass(frozen=True)
class MemoryUse:
    """What is to be learned at one receiver.

    Attributes:
        groups: group → (fobs with spares, buttons of each).
        missing: groups whose number of holders is not known.
        unknown: old records nobody can name.
    """

    groups: dict[str, tuple[int, int]]
    missing: tuple[str, ...]
    unknown: int

    @property
    def fobs(self) -> int:
        """Fobs, spares and unknown records included."""
        return sum(fobs for fobs, _ in self.groups.values()) + self.unknown

    @property
    def buttons(self) -> int:
        """Buttons of all these fobs, unknown records counted once."""
        return sum(fobs * buttons for fobs, buttons in self.groups.values()) + self.unknown


def judge(case: Case) -> Iterator[Finding]:
    """All findings about the register."""
    for path, part in case.equipment.receivers.items():
        learned = learned_at(case, path)
        if learned.groups or learned.missing:
            yield from _capacity(path, part, learned)
            yield from _growth(case, path, part, learned)
            yield from _deletion(path, part, learned)
        yield from _unknown(path, learned)
    yield from judge_counters(case)
    yield from judge_lost(case)
    yield from _pools(case)
    yield from _names(case)


def learned_at(case: Case, receiver: str) -> MemoryUse:
    """What the job has learned at a receiver, "premises/name"."""
    functions = {
        name
        for name, function in case.job.functions.items()
        if any(path.rsplit("/", 1)[0] == receiver for path in function.paths)
    }
    groups: dict[str, tuple[int, int]] = {}
    missing = []
    for name, group in case.job.groups.items():
        buttons = sum(bool(functions & _on_button(group, number)) for number in group.buttons)
        if not buttons:
            continue
        number = holders(group)
        if number is None:
            missing.append(name)
            number = 0
        groups[name] = (number + group.spares, buttons)
    premises, box = receiver.split("/")
    return MemoryUse(groups, tuple(missing), case.job.premises[premises].receivers[box].learned_unknown or 0)


def _on_button(group: Group, number: str) -> set[str]:
    button = group.buttons[number]
    return (
        {button}
        if isinstance(button, str)
        else set(button)
        if isinstance(button, tuple)
        else set(button.functions)
    )


def _needs(part: Part[ReceiverSheet], learned: MemoryUse) -> tuple[int, str]:
    if part.sheet.capacity_counts == "buttons":
        return learned.buttons, "buttons"
    return learned.fobs, "fobs"


def _capacity(path: str, part: Part[ReceiverSheet], learned: MemoryUse) -> Iterator[Finding]:
    name, capacity, counts = path.split("/")[1], part.sheet.capacity, part.sheet.capacity_counts
    subjects = (ReceiverRef(path),)
    sources = (*part.cite("capacity", "capacity_counts"), GIVEN)
    if learned.missing:
        says = (
            f"How many fobs {listed(learned.missing)} will have is not given; {learned.fobs} others are to be"
            f" learned at {name}."
        )
        yield Finding(
            "REG-01",
            Link.REGISTER,
            Verdict.UNKNOWN,
            path,
            says,
            "Give the names or the number of holders.",
            sources=sources,
            subjects=subjects,
        )
        return
    if capacity is None or (counts is None and learned.fobs <= capacity < learned.buttons):
        if learned.buttons > SMALL:
            what = (
                "How many it holds" if capacity is None else f"It holds {capacity}; whether fobs or buttons"
            )
            says = (
                f"{learned.fobs} fobs with {learned.buttons} buttons are to be learned at {name}. {what} is"
                " not known."
            )
            yield Finding(
                "REG-01",
                Link.REGISTER,
                Verdict.UNKNOWN,
                path,
                says,
                "Ask what its memory holds, and whether it counts fobs or buttons.",
                limit=None if capacity is None else float(capacity),
                unit="records",
                sources=sources,
                subjects=subjects,
            )
        return
    need, unit = (
        _needs(part, learned)
        if counts is not None
        else ((learned.buttons, "buttons") if learned.buttons <= capacity else (learned.fobs, "fobs"))
    )
    margin = capacity - need
    verdict = Verdict.FAILS if margin < 0 else Verdict.THIN if margin < 0.1 * capacity else Verdict.HOLDS
    says = f"{need} {unit} are to be learned at {name}, which holds {capacity} {unit}."
    because = {
        Verdict.FAILS: "It is full before everybody has been learned.",
        Verdict.THIN: "Less than a tenth is left over.",
    }.get(verdict, "")
    if unit == "buttons" and verdict is not Verdict.HOLDS and learned.fobs <= capacity:
        because += f" It counts buttons, not fobs; {learned.fobs} fobs alone would fit."
    remedies: tuple[Remedy, ...] = ()
    if verdict is not Verdict.HOLDS:
        effect = f"{learned.fobs} of {capacity}" if unit == "buttons" else ""
        remedies = (Remedy("A receiver that counts fobs, or a second one for some of the groups", effect),)
    yield Finding(
        "REG-01",
        Link.REGISTER,
        verdict,
        path,
        says,
        because.strip(),
        float(need),
        float(capacity),
        unit,
        float(margin),
        remedies=remedies,
        sources=sources,
        subjects=subjects,
    )


def _growth(case: Case, path: str, part: Part[ReceiverSheet], learned: MemoryUse) -> Iterator[Finding]:
    capacity, plan = part.sheet.capacity, case.job.register_
    if capacity is None or learned.missing:
        return
    need, unit = _needs(part, learned)
    free = capacity - need
    if free <= 0 or (plan.churn_share is None and plan.growth_share is None):
        if free > 0 and plan.churn_share is None and need > 0.5 * capacity:
            says = (
                f"{path.split('/')[1]} will be {need / capacity:.0%} full from the first day; how many"
                " holders leave in a year is not given."
            )
            yield Finding(
                "REG-02",
                Link.REGISTER,
                Verdict.UNKNOWN,
                path,
                says,
                "Ask for the share of holders that leave in a year, and whether leavers are deleted.",
                subjects=(ReceiverRef(path),),
            )
        return
    name, churn, growth = path.split("/")[1], plan.churn_share or 0.0, plan.growth_share or 0.0
    spares = {group: case.job.groups[group].spares for group in learned.groups}
    active = sum(
        (fobs - spares[group]) * (buttons if unit == "buttons" else 1)
        for group, (fobs, buttons) in learned.groups.items()
    )
    kept, deleted = (
        years_until_full(capacity=capacity, used=need, holders=active, churn_share=share, growth_share=growth)
        for share in (churn, 0.0)
    )
    years = deleted if plan.leavers_deleted else kept
    subjects, sources = (ReceiverRef(path),), (*part.cite("capacity", "capacity_counts"), GIVEN, CHOICE)
    verdict = (
        Verdict.HOLDS if years >= PLANNED_YEARS else Verdict.THIN if years >= SOON_YEARS else Verdict.FAILS
    )
    if plan.leavers_deleted is None and verdict is not Verdict.HOLDS:
        verdict = Verdict.UNKNOWN
    how = (
        "leavers deleted"
        if plan.leavers_deleted
        else "leavers not deleted"
        if plan.leavers_deleted is False
        else "if leavers stay in it"
    )
    when = (
        "is not full in any time that can be planned"
        if math.isinf(years) or years > 100
        else f"is full after {years:.1f} years"
    )
    says = (
        f"{name} {when} ({need} of {capacity} {unit}, {churn:.0%} leave and {growth:.0%} are added in a year,"
        f" {how})."
    )
    because = ""
    new_ones = active * ((0.0 if plan.leavers_deleted else churn) + growth)
    if verdict is not Verdict.HOLDS and new_ones > 0:
        band = full_between_years(free=free, leavers_per_year=new_ones, chance=0.9, growth_share=growth)
        because = (
            f"With {'leavers' if growth == 0 else 'new records'} at random it is full between"
            f" {band.early_years:.1f} and {band.late_years:.1f} years, nine times in ten."
        )
    if plan.leavers_deleted is None:
        because += " Ask whether leavers are deleted."
    remedies: tuple[Remedy, ...] = ()
    if verdict is not Verdict.HOLDS and not plan.leavers_deleted and churn > 0:
        effect = "never full" if math.isinf(deleted) else f"full after {deleted:.1f} years"
        remedies = (Remedy("Delete leavers", effect, (Change(("register", "leavers_deleted"), True),)),)
    value = None if math.isinf(years) else years
    yield Finding(
        "REG-02",
        Link.REGISTER,
        verdict,
        path,
        says,
        because.strip(),
        value,
        PLANNED_YEARS,
        "years",
        None if value is None else value - PLANNED_YEARS,
        remedies=remedies,
        sources=sources,
        subjects=subjects,
    )


def _deletion(path: str, part: Part[ReceiverSheet], learned: MemoryUse) -> Iterator[Finding]:
    name, how = path.split("/")[1], part.sheet.deletes_by
    subjects, sources = (ReceiverRef(path),), (*part.cite("deletes_by"), CHOICE)
    again = (
        f"{learned.fobs} fobs at {RELEARN_MIN:g} min are {learned.fobs * RELEARN_MIN / 60:.1f} h, with"
        " everybody called in"
    )
    if how == "slot or fob":
        yield Finding(
            "REG-04",
            Link.REGISTER,
            Verdict.HOLDS,
            path,
            f"{name} deletes one fob by its slot or with the fob in hand.",
            "A slot helps only if it stands in the register.",
            sources=sources,
            subjects=subjects,
        )
    elif how == "slot":
        says = (
            f"{name} deletes a fob by its slot only: a lost one can be deleted only if its slot is written"
            " down."
        )
        because = (
            f"Write down the slot of each of the {learned.fobs} fobs while learning. Without it all must be"
            f" erased and learned again: {again}. {CAUTIONS['lost fob']}"
        )
        yield Finding(
            "REG-04", Link.REGISTER, Verdict.UNKNOWN, path, says, because, sources=sources, subjects=subjects
        )
    elif how == "fob in hand":
        says = (
            f"{name} deletes a fob only with that fob in hand: a lost one stays until all are erased and"
            " learned again."
        )
        yield Finding(
            "REG-04",
            Link.REGISTER,
            Verdict.FAILS,
            path,
            says,
            f"{again[0].upper()}{again[1:]}. {CAUTIONS['lost fob']}",
            remedies=(Remedy("A receiver that deletes by slot"),),
            sources=sources,
            subjects=subjects,
        )
    else:
        says = f"How one fob is deleted at {name} is not known."
        yield Finding(
            "REG-04",
            Link.REGISTER,
            Verdict.UNKNOWN,
            path,
            says,
            f"Ask, or try it with a spare. If only all can be erased: {again}.",
            sources=sources,
            subjects=subjects,
        )


def _unknown(path: str, learned: MemoryUse) -> Iterator[Finding]:
    if not learned.unknown:
        return
    name, known = path.split("/")[1], learned.fobs - learned.unknown
    says = (
        f"{learned.unknown} learned record{'s' if learned.unknown != 1 else ''} at {name}"
        f" belong{'' if learned.unknown != 1 else 's'} to nobody who can be named."
    )
    remedies = (
        Remedy("Erase all and learn the known fobs again", f"{known} fobs, {known * RELEARN_MIN / 60:.1f} h"),
    )
    yield Finding(
        "REG-05",
        Link.REGISTER,
        Verdict.FAILS,
        path,
        says,
        f"Whoever holds them can use them. {DUTIES['register']}",
        float(learned.unknown),
        0.0,
        "records",
        -float(learned.unknown),
        remedies=remedies,
        sources=(GIVEN, CHOICE),
        subjects=(ReceiverRef(path),),
    )


def _pools(case: Case) -> Iterator[Finding]:
    for name, group in case.job.groups.items():
        if not group.pool:
            continue
        uses = [
            (at, one)
            for function in case.job.functions_of(group)
            for at in case.outputs_of(function)
            for one in driven_of(case, at)
        ]
        alarms = [one.works for at, one in uses if unsets(case, at, one)]
        entry = [one.works for _, one in uses if opens(one)]
        number = holders(group)
        count = f"{group_text(number)}" if number is not None else "an unknown number of holders"
        verdict = Verdict.FAILS if alarms else Verdict.THIN
        what = (
            f" and unset {listed(dict.fromkeys(alarms))}"
            if alarms
            else f" and open {listed(dict.fromkeys(entry))}"
            if entry
            else ""
        )
        says = f"The fobs of {name} ({count}) belong to no person{what}."
        because = (
            f"A lost one is missed late, and an event cannot be told to a person. {DUTIES['register']}"
            f" {LOCAL_CODES}"
        )
        remedies = (Remedy("Sign each one out and in, with a list that somebody looks through every day"),)
        yield Finding(
            "REG-05",
            Link.REGISTER,
            verdict,
            name,
            says,
            because,
            remedies=remedies,
            sources=(PRACTICE, GIVEN),
            subjects=(GroupRef(name),),
        )


def _names(case: Case) -> Iterator[Finding]:
    job = case.job
    if not job.people and not any(group.people for group in job.groups.values()):
        return
    missing = [
        what
        for what, value in (
            ("who keeps it", job.details.data_kept_by),
            ("until when it is kept", job.details.data_kept_until),
        )
        if not value
    ]
    if missing:
        says = f"The register holds names; {' and '.join(missing)} is not written down."
        yield Finding(
            "REG-06",
            Link.REGISTER,
            Verdict.UNKNOWN,
            "names",
            says,
            f"Ask the customer. {CAUTIONS['data']} {LOCAL_CODES}",
            sources=(PRACTICE,),
        )
    else:
        says = (
            f"The register holds names; it is kept by {job.details.data_kept_by} until"
            f" {job.details.data_kept_until}."
        )
        yield Finding(
            "REG-06", Link.REGISTER, Verdict.HOLDS, "names", says, CAUTIONS["data"], sources=(GIVEN,)
        )
