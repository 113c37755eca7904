"""What works a thing besides fobs: a pager, a clock, a detector on the same terminals, with nobody there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import EN_12453, GIVEN, PRACTICE
from farpress.case.worked import Worked, worked_devices
from farpress.domain.cautions import LOCAL_CODES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.place_sheets import AlsoWorked
from farpress.judging.check import Answer, Check
from farpress.judging.device.moves import protection
from farpress.units import write_quantity

__all__ = ["ALSO_WORKED", "judge"]

ALSO_WORKED: Final = Check(
    "SAFE-70",
    Link.SAFETY,
    "What works a thing besides fobs: seen by whoever does it or well guarded, no longer than a command, and"
    " with a contact made for the volts there.",
    stake=Stake.HARM,
    ask="Ask what else starts it: a pager, a clock, a loop, a detector, a switch on the same terminals.",
    who=Who.CUSTOMER,
    minutes=5.0,
    mends="A lamp or a call instead of a movement, started by the first in sight; a pulse made of the"
    " contact; a relay between.",
)

HELD_S: Final = 2.0
"""A command held longer is no pulse any more, where its input does not say; common practice, no source."""

_WORST_FIRST: Final = (Answer.NO, Answer.UNKNOWN, Answer.YES)


@dataclass(frozen=True)
class _StarterFound:
    """One thing that was found about it."""

    answer: Answer
    says: str
    remedy: str = ""
    is_grave: bool = False


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-70 of each thing of which it is said, or that is relied on in danger."""
    for worked in worked_devices(case):
        there = worked.driven.sheet.also_worked_by
        if there:
            yield _judged(
                worked, [part for name, other in there.items() for part in _parts(worked, name, other)]
            )
        elif there is None and _is_relied_on(case, worked):
            yield _asked(worked)


def _is_relied_on(case: Case, worked: Worked) -> bool:
    known = (case.job.functions.get(name) for name in worked.functions)
    return any(function is not None and function.in_danger for function in known)


def _asked(worked: Worked) -> Finding:
    """What works it besides fobs is not said."""
    return ALSO_WORKED.decide(
        about=worked.path,
        subjects=worked.refs,
        answer=Answer.UNKNOWN,
        says=f"Whether something besides fobs works {worked.name}, as a pager or a detector, is not said.",
        asks=(
            Ask(
                f"Ask what works {worked.name} besides fobs, a pager, a clock, a loop, a detector; write"
                " 'also_worked_by', {} for nothing.",
                Who.CUSTOMER,
                5.0,
            ),
        ),
        sources=(*worked.driven.cite("device"), GIVEN, PRACTICE),
    )


def _parts(worked: Worked, what: str, other: AlsoWorked) -> Iterator[_StarterFound]:
    yield _in_sight(worked, what, other)
    yield _how_long(worked, what, other)
    yield _volts(worked, what, other)


def _in_sight(worked: Worked, what: str, other: AlsoWorked) -> _StarterFound:
    """Whether somebody sees what it starts."""
    name, traits = worked.name, worked.driven.traits
    starts = traits.starts_unseen
    if not starts or other.seen:
        return _StarterFound(Answer.YES, f"{what} works {name} with somebody there who sees it")
    guarded = traits.can_crush and not traits.hurts and protection(worked.driven) == "full"
    if guarded and worked.driven.sheet.safeguards_tested:
        return _StarterFound(Answer.YES, f"{what} works {name} unseen, and safeguards notice who is there")
    if other.seen is None:
        return _StarterFound(Answer.UNKNOWN, f"whether somebody sees {name} when {what} works it is not said")
    return _StarterFound(
        Answer.NO,
        f"{what} works {name} with nobody there who sees it",
        f"Let {what} light lamps or call, and let the first in sight of {name} start it",
        True,
    )


def _how_long(worked: Worked, what: str, other: AlsoWorked) -> _StarterFound:
    """Whether its contact is a command, or keeps every other command out."""
    name = worked.name
    pulsed = [driven for driven in worked.inputs if driven.wants == "pulse"]
    if not pulsed:
        return _StarterFound(Answer.YES, f"{name} is on as long as the contact of {what} is closed")
    if other.holds_s is None:
        return _StarterFound(Answer.UNKNOWN, f"how long the contact of {what} stays closed is not said")
    mosts = [
        driven.input.max_pulse_s
        for driven in pulsed
        if driven.input is not None and driven.input.max_pulse_s is not None
    ]
    most = min(mosts, default=HELD_S)
    held = write_quantity(other.holds_s, "time")
    if other.holds_s <= most:
        return _StarterFound(Answer.YES, f"the contact of {what} stays closed for {held}")
    return _StarterFound(
        Answer.NO,
        f"the contact of {what} stays closed for {held}, a command takes {write_quantity(most, 'time')} at"
        " most: meanwhile no other one counts, and timed closing waits or begins again",
        f"A pulse former behind {what} that makes one pulse of its closing",
    )


def _volts(worked: Worked, what: str, other: AlsoWorked) -> _StarterFound:
    """Whether its contact may switch what is there."""
    sheet, name = worked.driven.sheet, worked.name
    given = worked.driven.input.voltage_v if worked.driven.input is not None else None
    if worked.driven.traits.is_load and sheet.load != "input":
        given = sheet.voltage_v
    if other.contact_max_v is None or given is None:
        missing = (
            f"what the contact of {what} may switch"
            if other.contact_max_v is None
            else f"the volts of {name}"
        )
        return _StarterFound(Answer.UNKNOWN, f"{missing} is not said")
    volts = f"{given:g} V at {name}, the contact of {what} may switch {other.contact_max_v:g} V"
    if given <= other.contact_max_v:
        return _StarterFound(Answer.YES, volts)
    return _StarterFound(
        Answer.NO, volts, f"A relay between {what} and {name}, its contact made for {given:g} V", True
    )


def _harm(worked: Worked) -> str:
    """What comes of it when it starts with nobody there."""
    traits = worked.driven.traits
    if traits.can_crush or traits.hurts:
        return f"Nobody keeps children, beasts and cars out of the way then. {LOCAL_CODES}"
    return f"Nobody is there who ends it, and a press and that contact cannot end each other. {LOCAL_CODES}"


def _judged(worked: Worked, parts: list[_StarterFound]) -> Finding:
    """SAFE-70: what is wrong first."""
    parts = sorted(parts, key=lambda part: _WORST_FIRST.index(part.answer))
    answer = parts[0].answer
    told = [part for part in parts if part.answer is answer] if answer is not Answer.YES else parts
    says = "; ".join(part.says for part in told)
    grave = any(part.is_grave for part in parts)
    return ALSO_WORKED.decide(
        about=worked.path,
        subjects=worked.refs,
        answer=answer,
        says=f"{says[0].upper()}{says[1:]}.",
        because=_harm(worked) if grave else "",
        bars=grave,
        halts=grave,
        asks=tuple(
            Ask(f"Find out what is missing of {worked.name}: {part.says}.", Who.CUSTOMER, 5.0)
            for part in parts
            if part.answer is Answer.UNKNOWN
        ),
        remedies=tuple(Remedy(part.remedy) for part in parts if part.remedy),
        sources=(*worked.driven.cite("also_worked_by"), EN_12453, PRACTICE),
    )
