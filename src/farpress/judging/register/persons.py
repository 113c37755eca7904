"""Whose a fob is: how one is deleted, records and fobs without a person, and names in the register."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.access import opens, unsets
from farpress.case.case import Case
from farpress.case.citations import CHOICE, GIVEN, PRACTICE
from farpress.case.driven import driven_of, group_text, holders
from farpress.domain.cautions import CAUTIONS, DUTIES, LOCAL_CODES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.job import Group
from farpress.domain.parts import Part, ReceiverSheet
from farpress.domain.refs import GroupRef, ReceiverRef
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit
from farpress.judging.register.memory_use import MemoryUse
from farpress.phrases import listed, plural

__all__ = ["DELETION", "NAMES", "NOBODYS", "deletion", "names", "pools", "unknown_records"]

RELEARN_MIN: Final = 0.5
"""To learn one fob again, in minutes; our choice, to be measured on the first job."""

DELETION: Final = Check(
    "REG-04",
    Link.REGISTER,
    "How one fob can be deleted at a receiver.",
    ask="Ask how one fob is deleted, or try it with a spare.",
    who=Who.INSTALLER,
    minutes=10.0,
    mends="A receiver that deletes by slot, and the slot of each fob in the register.",
)
NOBODYS: Final = Check(
    "REG-05",
    Link.REGISTER,
    "MemoryUse records nobody can name, and fobs without a person.",
    unit="records",
    bound=AT_MOST,
    limit=Limit(0.0, (CHOICE,)),
    mends="All erased and the known fobs learned again; each pool fob signed out and in.",
)
NAMES: Final = Check(
    "REG-06",
    Link.REGISTER,
    "Names in the register: who keeps them, until when.",
    stake=Stake.DUTY,
    who=Who.CUSTOMER,
    mends="A keeper and an end, written down.",
)


def deletion(
    path: str, part: Part[ReceiverSheet], learned: MemoryUse, learn_takes_s: float | None = None
) -> Finding:
    """REG-04: whether one fob can be deleted without all the others, the lost one not being there."""
    name, how = path.split("/")[1], part.sheet.deletes_by
    each_min = RELEARN_MIN if learn_takes_s is None else learn_takes_s / 60
    takes_min = learned.fobs * each_min
    taken = ", our choice as nobody says" if learn_takes_s is None else ""
    again = (
        f"{plural(learned.fobs, 'fob')} at {each_min:g} min are {_minutes(takes_min)}, with everybody called"
        " in"
    )
    asks: tuple[Ask, ...] = ()
    if how == "slot or fob":
        answer: bool | None = True
        says = f"{name} deletes one fob by its slot or with the fob in hand."
        because = "A slot helps only if it stands in the register."
    elif how == "slot":
        answer = None
        says = (
            f"{name} deletes a fob by its slot only: a lost one can be deleted only if its slot is written"
            " down."
        )
        because = (
            f"Write down the slot of each of the {learned.fobs} fobs while learning. Without it all must be"
            f" erased and learned again: {again}. {CAUTIONS['lost fob']}"
        )
        asks = (Ask(f"Write down the slot of each fob at {name} while learning.", Who.INSTALLER, takes_min),)
    elif how == "fob in hand":
        answer = False
        says = (
            f"{name} deletes a fob only with that fob in hand: a lost one stays until all are erased and"
            f" {plural(learned.fobs, 'fob')} learned again, {_minutes(takes_min)} with every fob there."
        )
        because = (
            f"{each_min:g} min each{taken}; until then nothing at {name} works for whoever is not yet learned"
            " again."
            f" {CAUTIONS['lost fob']}"
        )
    else:
        answer = None
        says = f"How one fob is deleted at {name} is not known."
        because = f"Ask, or try it with a spare. If only all can be erased: {again}."
    return DELETION.decide(
        about=path,
        subjects=(ReceiverRef(path),),
        says=says,
        because=because,
        answer=Answer.of(answer),
        asks=asks,
        remedies=(Remedy("A receiver that deletes by slot"),),
        sources=(*part.cite("deletes_by"), CHOICE if learn_takes_s is None else GIVEN),
    )


def _minutes(minutes: float) -> str:
    return f"{minutes:.0f} min" if minutes < 90 else f"{minutes / 60:.1f} h"


def unknown_records(path: str, learned: MemoryUse) -> Iterator[Finding]:
    """REG-05 of old records in a receiver's memory; nothing where the job says that there are none."""
    name = path.split("/")[1]
    if learned.unknown is None:
        yield NOBODYS.judge(
            about=path,
            subjects=(ReceiverRef(path),),
            says=f"Whether {name} obeys fobs that nobody can name is not said.",
            because=f"Whoever holds one can use it. {DUTIES['register']}",
            value=Estimate(None),
            asks=(
                Ask(
                    f"Count what is learned at {name} already and nobody can name; write 0 for a new"
                    " receiver.",
                    Who.INSTALLER,
                    2.0,
                ),
            ),
        )
    if not learned.unknown:
        return
    known = learned.fobs - learned.unknown
    yield NOBODYS.judge(
        about=path,
        subjects=(ReceiverRef(path),),
        says=(
            f"{learned.unknown} learned record{'s' if learned.unknown != 1 else ''} at {name}"
            f" belong{'' if learned.unknown != 1 else 's'} to nobody who can be named."
        ),
        because=f"Whoever holds them can use them. {DUTIES['register']}",
        value=Estimate(float(learned.unknown)),
        remedies=(
            Remedy(
                "Erase all and learn the known fobs again",
                f"{plural(known, 'fob')}, {known * RELEARN_MIN / 60:.1f} h",
            ),
        ),
        sources=(GIVEN,),
    )


def pools(case: Case) -> Iterator[Finding]:
    """REG-05 of fobs that are handed round: well where somebody answers for them, asked where one unsets."""
    for name, group in case.job.groups.items():
        if group.pool:
            yield _pool(case, name, group)


def _pool(case: Case, name: str, group: Group) -> Finding:
    uses = [
        (output, driven)
        for function in case.job.functions_of(group)
        for output in case.outputs_of(function)
        for driven in driven_of(case, output)
    ]
    alarms = [driven.works for output, driven in uses if unsets(case, output, driven)]
    entry = [driven.works for _, driven in uses if opens(driven)]
    number = holders(group)
    count = f"{group_text(number)}" if number is not None else "an unknown number of holders"
    what = f" and open {listed(dict.fromkeys(entry))}" if entry else ""
    if alarms:
        what = f" and unset {listed(dict.fromkeys(alarms))}"
    answer, asks = Answer.BARELY, tuple[Ask, ...]()
    kept = f"belong to no person{what}"
    if group.owner is not None:
        kept = f"are a pool{what}; {group.owner} answers for them"
        answer = Answer.YES
    elif alarms:
        answer = Answer.UNKNOWN
        asks = (
            Ask(f"Ask who answers for the fobs of {name}: who signs them out and in.", Who.CUSTOMER, 2.0),
        )
    return NOBODYS.decide(
        about=name,
        subjects=(GroupRef(name),),
        says=f"The fobs of {name} ({count}) {kept}.",
        because=(
            f"A lost one is missed late, and an event cannot be told to a person. {DUTIES['register']}"
            f" {LOCAL_CODES}"
        ),
        answer=answer,
        asks=asks,
        remedies=(Remedy("Sign each one out and in, with a list that somebody looks through every day"),),
        sources=(PRACTICE, GIVEN),
    )


def names(case: Case) -> Iterator[Finding]:
    """REG-06, where the register holds names."""
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
    says = f"The register holds names; {' and '.join(missing)} is not written down."
    if not missing:
        says = (
            f"The register holds names; it is kept by {job.details.data_kept_by} until"
            f" {job.details.data_kept_until}."
        )
    yield NAMES.decide(
        about="names",
        subjects=(),
        says=says,
        because=f"Ask the customer. {CAUTIONS['data']} {LOCAL_CODES}" if missing else CAUTIONS["data"],
        answer=Answer.of(not missing or None),
        asks=tuple(f"Ask the customer {what}: the register, with its names." for what in missing),
        sources=(PRACTICE,) if missing else (GIVEN,),
    )
