"""What a radio fob may not do, whatever else is right: refusals, with the caution in plain words.

No claim of safety is made here. Where this says no, local codes and licensed practice
decide what to do instead; where it says nothing, they decide as well.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import EN_12453_TABLE, EN_13637, MAINS, RADIO
from farpress.case.driven import Driven, driven_of, moves, subjects_of
from farpress.case.found_on_site import working_safeguards
from farpress.domain.cautions import DUTIES, caution
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import OutputRef
from farpress.domain.told_words import SAFETY, told
from farpress.judging.check import Answer, Check
from farpress.judging.device.locks import CUTS_ITS_CURRENT
from farpress.judging.device.moves import in_sight
from farpress.judging.safety import (
    air_kept,
    also_worked,
    around,
    blasting,
    by_itself,
    calls,
    calls_answered,
    calls_kept,
    fire_doors,
    flows_back,
    found,
    gas,
    high_water,
    in_danger,
    left_alone,
    machines,
    misuse,
    one_press,
    own_radio,
    read,
    recloses,
    relied_on,
    silent,
    way_out,
    wished,
)
from farpress.phrases import listed

__all__ = [
    "ESCAPE_DOOR",
    "EXTRA_LOW_V",
    "HELD_AS_SAFEGUARD",
    "MAINS_WORK",
    "SAFETY_INPUT",
    "STOP_INPUT",
    "judge",
]

SAFETY_INPUT: Final = Check(
    "SAFE-01",
    Link.SAFETY,
    "Radio on a safety input: refused.",
    stake=Stake.HARM,
    bars=True,
    ask="See in the drive's manual what this input does.",
    mends="The output off the safety input.",
)
STOP_INPUT: Final = Check(
    "SAFE-02",
    Link.SAFETY,
    "Stop by radio: a convenience, never an emergency stop.",
    stake=Stake.HARM,
    mends="An emergency stop by wire, where one is needed.",
)
HELD_AS_SAFEGUARD: Final = Check(
    "SAFE-03",
    Link.SAFETY,
    "A held fob as the only safeguard of a moving leaf: refused.",
    stake=Stake.HARM,
    bars=True,
    ask="Look for edge, force limit, beams or presence detection.",
    who=Who.INSTALLER,
    minutes=10.0,
    mends="A fixed push-and-hold control in sight of the leaf, or safeguards that need no button.",
)
ESCAPE_DOOR: Final = Check(
    "SAFE-06",
    Link.SAFETY,
    "Doors on escape routes: the fob is never the way out.",
    stake=Stake.HARM,
    bars=True,
    halts=True,
    ask="Ask who leaves this way when there is a fire.",
    who=Who.CUSTOMER,
    mends="The lock's supply broken by the normally closed contact, so that a press unlocks.",
)
MAINS_WORK: Final = Check(
    "SAFE-07",
    Link.SAFETY,
    "Mains voltage: by a licensed electrician.",
    stake=Stake.HARM,
    mends="A licensed electrician does the mains side.",
)

EXTRA_LOW_V: Final = {"ac": 50.0, "dc": 120.0}
"""Volts up to which a supply counts as extra-low, alternating and direct; IEC 60364, from memory."""


def judge(case: Case) -> Iterator[Finding]:
    """All refusals and cautions."""
    for output in case.outputs():
        for driven in driven_of(case, output):
            yield from _inputs(output, driven)
            yield from _hold_to_run(case, output, driven)
            yield from _escape(output, driven)
            yield from _mains(output, driven)
    yield from misuse.judge(case)
    yield from machines.judge(case)
    yield from way_out.judge(case)
    yield from calls.judge(case)
    yield from calls_answered.judge(case)
    yield from calls_kept.judge(case)
    yield from fire_doors.judge(case)
    yield from found.judge(case)
    yield from read.judge(case)
    yield from relied_on.judge(case)
    yield from one_press.judge(case)
    yield from in_danger.judge(case)
    yield from silent.judge(case)
    yield from gas.judge(case)
    yield from blasting.judge(case)
    yield from high_water.judge(case)
    yield from recloses.judge(case)
    yield from wished.judge(case)
    yield from left_alone.judge(case)
    yield from by_itself.judge(case)
    yield from own_radio.judge(case)
    yield from flows_back.judge(case)
    yield from also_worked.judge(case)
    yield from air_kept.judge(case)
    yield from around.judge(case)


def _inputs(output: OutputAt, driven: Driven) -> Iterator[Finding]:
    """SAFE-01 and SAFE-02; an input of a moving thing of which nobody says what it does is asked about."""
    about, subjects = f"{output.path}: {driven.works}", subjects_of(output, driven)
    sources = (*driven.cite("inputs"), RADIO)
    called = told(SAFETY, driven.works.partition(".")[2]) if driven.panel is None else ""
    if driven.logic == "safety":
        yield SAFETY_INPUT.decide(
            about=about,
            subjects=subjects,
            says=f"{output.path} works {driven.works}, which is a safety input: refused.",
            because=caution("safety input"),
            answer=Answer.NO,
            remedies=(Remedy("Take the output off the safety input"),),
            sources=sources,
        )
    elif called and driven.logic != "safety":
        given = f"given as '{driven.logic}'" if driven.logic else "not described"
        yield SAFETY_INPUT.decide(
            about=about,
            subjects=subjects,
            says=f"{output.path} works {driven.works}, which is called '{called}' and {given}: is it a safety"
            " input? Radio must not work one.",
            because=caution("safety input"),
            answer=Answer.UNKNOWN,
            asks=(
                f"See in the manual of {driven.path} what its input {driven.works} does: give 'logic:"
                " safety', or a name that says what it does.",
            ),
            sources=sources,
        )
    elif driven.logic is None and moves(driven):
        yield SAFETY_INPUT.decide(
            about=about,
            subjects=subjects,
            says=f"What {driven.works} does is not known; a safety input must not be worked by radio.",
            because=caution("safety input"),
            answer=Answer.UNKNOWN,
            asks=(f"See in the manual of {driven.path} what its input {driven.works} does.",),
            sources=sources,
        )
    elif driven.logic == "stop":
        yield STOP_INPUT.decide(
            about=about,
            subjects=subjects,
            says=f"{output.path} works the stop input {driven.works}: it may stop, it is no emergency stop.",
            because=caution("safety input"),
            answer=Answer.YES,
            sources=sources,
        )


def _hold_to_run(case: Case, output: OutputAt, driven: Driven) -> Iterator[Finding]:
    if (
        not output.output.traits.while_held
        or not driven.traits.is_leaf
        or driven.wants == "pulse"
        or driven.logic in ("stop", "safety")
    ):
        return
    safeguards = working_safeguards(driven.sheet)
    if safeguards is None:
        says = (
            f"{driven.works} moves while a fob's button is held; whether anything else guards it is not"
            " recorded."
        )
        because = f"{HELD_AS_SAFEGUARD.ask} {caution('hold-to-run')}"
    elif not safeguards:
        says = f"{driven.works} has no safeguard but the held button: refused for a fob."
        because = (
            "A pocket transmitter neither assures that its user sees the leaf nor that the leaf stops when a"
            f" signal is lost in time. {DUTIES['machine']} {caution('hold-to-run')}"
        )
    elif driven.sheet.safeguards_tested is False:
        says = (
            f"{driven.works} moves while a fob's button is held; {', '.join(safeguards)}: recorded as not"
            " working, or not tested."
        )
        because = f"An untested safeguard counts for nothing. {DUTIES['machine']} {caution('hold-to-run')}"
    else:
        says = (
            f"{driven.works} moves while a fob's button is held and is guarded besides:"
            f" {', '.join(safeguards)}."
        )
        seen = "" if in_sight(case, output, driven) else " Not every promised place sees the whole movement."
        because = f"{caution('hold-to-run')}{seen}"
    yield HELD_AS_SAFEGUARD.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        says=says,
        because=because,
        answer=Answer.of(
            None if safeguards is None else bool(safeguards) and driven.sheet.safeguards_tested is not False
        ),
        remedies=(
            Remedy("A fixed push-and-hold control in sight of the leaf"),
            Remedy("Safeguards that guard it without the button"),
        ),
        sources=(*driven.cite("safeguards", "safeguards_tested"), EN_12453_TABLE),
        cause=driven.subject,
    )


def _escape(output: OutputAt, driven: Driven) -> Iterator[Finding]:
    """SAFE-06: a magnetic lock that the output feeds is locked by a press; whom it locks in must be known."""
    is_escape = driven.sheet.escape_route
    is_locking = output.output.contact == "normally open" and driven.traits.is_magnet
    if is_escape is False or (is_escape is None and not is_locking):
        return
    asks: tuple[Ask, ...] = ()
    ways = set(driven.sheet.released_by or ())
    is_released = "fire alarm" in ways and bool(ways - {"fire alarm"}) and driven.sheet.fails == "unlocked"
    if is_escape is None:
        asks = (Ask(f"Ask who leaves through {driven.path} when there is a fire.", Who.CUSTOMER, 2.0),)
        says = f"{output.path} locks {driven.works} by radio; whether it is on an escape route is not known."
    elif is_locking and is_released:
        says = (
            f"{output.path} feeds {driven.works}; {listed(sorted(ways))} cut its current before the"
            " contact of the"
            " receiver, and it is unlocked without power."
        )
    elif is_locking:
        says = (
            f"{output.path} feeds the magnetic lock {driven.works} while it is on: it locks an escape door by"
            " radio. Refused."
        )
    else:
        says = f"{driven.works} is on an escape route: the fob is for coming in, never for getting out."
    yield ESCAPE_DOOR.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        says=says,
        because=f"{caution('escape')} {DUTIES['escape']}",
        answer=Answer.of(None if is_escape is None else not is_locking or is_released),
        asks=asks,
        remedies=(
            CUTS_ITS_CURRENT,
            Remedy("Break the lock's supply with the normally closed contact, so that a press unlocks"),
        ),
        sources=(*driven.cite("escape_route", "fails", "released_by"), EN_13637),
        cause=OutputRef(output.path),
    )


def _is_mains(driven: Driven) -> bool:
    """Whether the contact itself stands at more than extra-low voltage.

    A potential-free command does not: the mains side belongs to the drive.
    """
    kind = "dc" if driven.sheet.supply == "dc" else "ac"
    is_over = (driven.sheet.voltage_v or 0.0) > EXTRA_LOW_V[kind]
    return is_over or (driven.sheet.supply == "mains" and driven.wants != "pulse")


def _mains(output: OutputAt, driven: Driven) -> Iterator[Finding]:
    if not _is_mains(driven):
        return
    volts = f" ({driven.sheet.voltage_v:g} V)" if driven.sheet.voltage_v else ""
    yield MAINS_WORK.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        says=f"{driven.works} is worked at mains voltage{volts}.",
        because=caution("mains"),
        answer=Answer.YES,
        sources=(*driven.cite("supply", "voltage_v"), MAINS),
        cause=driven.subject,
    )
