"""Papers and names that a job of its kind wants before it is handed over; each is asked for until then."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import EN_12453_TABLE, EN_13637, EN_50134, GIVEN, MAINS, PRACTICE
from farpress.case.driven import Driven, driven_of
from farpress.domain.finding import Ask, Finding, Link, Stake, Who
from farpress.domain.refs import PaperRef
from farpress.judging.air.advice import is_call
from farpress.judging.check import Answer, Check
from farpress.phrases import listed
from farpress.sources import Citation

__all__ = ["PAPERS", "WANTED_PAPER", "WantedPaper", "judge"]

WANTED_PAPER: Final = Check(
    "SAFE-30",
    Link.SAFETY,
    "Papers that have to be there before it is handed over: named in the job, or asked for.",
    stake=Stake.DUTY,
    advice=True,
    mends="The paper written or got, and its date and place noted under 'details: papers'.",
)


@dataclass(frozen=True)
class WantedPaper:
    """A paper that is wanted where something in the job calls for it.

    Attributes:
        name: as under 'details: papers'.
        wanted_for: what of the job calls for it; nothing: it is not wanted.
        ask: the question, with {what} for that.
        who, minutes: who can say it, and how long that takes.
        source: why it is wanted.
    """

    name: str
    wanted_for: Callable[[Case], tuple[str, ...]]
    ask: str
    who: Who
    minutes: float
    source: Citation


def _things(case: Case, is_it: Callable[[Driven], bool]) -> tuple[str, ...]:
    """Names of what outputs work, as far as something is so."""
    worked = (driven for output in case.outputs() for driven in driven_of(case, output))
    return tuple(dict.fromkeys(driven.path.split("/")[1] for driven in worked if is_it(driven)))


def _machines(case: Case) -> tuple[str, ...]:
    return _things(case, lambda it: (it.traits.moves and it.traits.can_crush) or bool(it.traits.hurts))


def _escapes(case: Case) -> tuple[str, ...]:
    return _things(case, lambda it: it.sheet.escape_route is True)


def _mains(case: Case) -> tuple[str, ...]:
    return _things(case, lambda it: it.sheet.supply == "mains")


def _calls(case: Case) -> tuple[str, ...]:
    return tuple(
        dict.fromkeys(name for output in case.outputs() if is_call(case, output) for name in output.functions)
    )


def _alarms(case: Case) -> tuple[str, ...]:
    return _things(case, lambda it: it.reading.changes_state)


def _held_open(case: Case) -> tuple[str, ...]:
    return _things(case, lambda it: it.traits.holds_open)


def _part_sets(case: Case) -> tuple[str, ...]:
    return tuple(name for name, function in case.job.functions.items() if function.kind == "part set")


def _learning(case: Case) -> tuple[str, ...]:
    return tuple(name for house in case.job.premises.values() for name in house.receivers)


def _in_danger(case: Case) -> tuple[str, ...]:
    return tuple(name for name, function in case.job.functions.items() if function.in_danger)


def _groups(case: Case) -> tuple[str, ...]:
    return tuple(case.job.groups)


def _waters(case: Case) -> tuple[str, ...]:
    return _things(case, lambda it: it.traits.runs_water and it.traits.moves)


def _by_water(case: Case) -> tuple[str, ...]:
    return tuple(name for name, house in case.job.premises.items() if house.water is not None)


PAPERS: Final = (
    WantedPaper(
        "water authority",
        _waters,
        "Ask whoever answers for the water whether {what} may be worked so, in writing, and who is warned.",
        Who.CUSTOMER,
        30.0,
        PRACTICE,
    ),
    WantedPaper(
        "work by water",
        _by_water,
        "Name the electrician licensed for {what} by the water, where other rules hold: bonding, sockets,"
        " and housings and tinned cable that stand it.",
        Who.CUSTOMER,
        10.0,
        PRACTICE,
    ),
    WantedPaper(
        "machine assessment",
        _machines,
        "Name who assesses {what} as the machine it is, as assembled, and signs for it.",
        Who.CUSTOMER,
        10.0,
        EN_12453_TABLE,
    ),
    WantedPaper(
        "warning signs",
        _machines,
        "Say which signs stand at {what}, for whoever comes past, riders and children too, and what must"
        " never be done there.",
        Who.CUSTOMER,
        5.0,
        PRACTICE,
    ),
    WantedPaper(
        "mains work",
        _mains,
        "Name the licensed electrician who does and signs the mains side of {what}.",
        Who.CUSTOMER,
        5.0,
        MAINS,
    ),
    WantedPaper(
        "fire authority",
        _escapes,
        "Ask the fire authority to approve what locks {what}, in writing, and write at the door how to open.",
        Who.CUSTOMER,
        30.0,
        EN_13637,
    ),
    WantedPaper(
        "hold-open circuit",
        _held_open,
        "Ask fire authority and the fire alarm's maintainer to agree in writing to what is put into the"
        " circuit of {what}.",
        Who.CUSTOMER,
        30.0,
        PRACTICE,
    ),
    WantedPaper(
        "consent to calls",
        _calls,
        "Ask for consent to {what}: who called when tells of somebody's health; who reads it, until when it"
        " is kept.",
        Who.CUSTOMER,
        20.0,
        PRACTICE,
    ),
    WantedPaper(
        "insurer",
        _alarms,
        "Tell the insurer that {what} is set and unset by radio, and keep the answer.",
        Who.CUSTOMER,
        10.0,
        PRACTICE,
    ),
    WantedPaper(
        "part set",
        _part_sets,
        "Have it signed who sleeps or works inside with {what}, and who may set the whole meanwhile.",
        Who.CUSTOMER,
        5.0,
        PRACTICE,
    ),
    WantedPaper(
        "call warning",
        _calls,
        "Have the warning for {what} signed: no certified call system, and never the only way to get help.",
        Who.CUSTOMER,
        5.0,
        EN_50134,
    ),
    WantedPaper(
        "test log",
        _calls,
        "Begin the log of weekly tests of {what}: date, place, heard or not, who answered.",
        Who.CUSTOMER,
        5.0,
        EN_50134,
    ),
    WantedPaper(
        "emergency plan",
        _in_danger,
        "Have it written and agreed with fire authority and police for {what}: who begins and who ends it,"
        " what comes first, the fire alarm or a lock, who must know of it, and when it is practised.",
        Who.CUSTOMER,
        60.0,
        PRACTICE,
    ),
    WantedPaper(
        "learning rule",
        _learning,
        "Write down who may learn and delete fobs at {what}, and who must be told.",
        Who.CUSTOMER,
        5.0,
        PRACTICE,
    ),
    WantedPaper(
        "label list",
        _groups,
        "Hand over the list of labels: each fob's number, its holder's signature, where it is learned.",
        Who.INSTALLER,
        15.0,
        PRACTICE,
    ),
)
"""Every paper that is looked for; which are wanted at a place is for local codes and licensed practice."""


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-30 of each paper that something in the job calls for."""
    there = case.job.details.papers
    for paper in PAPERS:
        wanted = paper.wanted_for(case)
        if not wanted:
            continue
        what = listed(wanted[:4]) + (f" and {len(wanted) - 4} more" if len(wanted) > 4 else "")
        noted = there.get(paper.name)
        yield WANTED_PAPER.decide(
            about=f"paper: {paper.name}",
            subjects=(PaperRef(paper.name),),
            answer=Answer.of(True if noted else None),
            says=f"{paper.name}, for {what}: {noted}."
            if noted
            else f"{paper.name}, for {what}: not there, as far as is known.",
            because=""
            if noted
            else "Not proven until it is there. Local codes and licensed practice decide.",
            asks=() if noted else (Ask(paper.ask.format(what=what), paper.who, paper.minutes),),
            sources=(paper.source, *((GIVEN,) if noted else ())),
        )
