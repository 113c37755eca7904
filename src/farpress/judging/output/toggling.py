"""Toggling where a known state is needed, and how surely a toggled state is known otherwise."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import CHOICE, GIVEN, PRACTICE, PRESSES
from farpress.case.driven import (
    Driven,
    alarm,
    driven_of,
    function_kinds,
    group_text,
    is_purpose_open,
    known_holders,
    subjects_of,
    uses_of,
)
from farpress.case.left_alone import must_run
from farpress.core.rehearsal.parity import share_odd
from farpress.domain.cautions import CAUTIONS
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit
from farpress.judging.hurting import ask_what_it_is, ask_who_leaves, held_instead, may_hurt

__all__ = ["judge_toggling", "toggle_barred", "toggles", "wanted_otherwise_share"]

_MOST_WRONG: Final = 0.05
"""Share of days on which a toggled thing may stand the other way round; our choice."""

KNOWN_STATE: Final = Check(
    "OUT-02",
    Link.OUTPUT,
    "Toggling where a known state is needed, and how surely a toggled state is known otherwise.",
    bound=AT_MOST,
    limit=Limit(_MOST_WRONG, (CHOICE,)),
    stake=Stake.PROMISE,
    mends="A pulse of fixed length, or a latch with a button for on and one for off.",
)

_TWO_OFTEN: Final = 0.9
"""Two who both mean it press nine times in ten: our choice."""

_SEVERAL_SELDOM: Final = 0.3
"""Several who come by press three times in ten: our choice."""

_SEVERAL: Final = 4
"""More than so many make no difference to the number."""

_ODD_OR_EVEN: Final = (
    "After several presses only an odd or even number counts; a toggle is good only for what is seen when"
    " pressing."
)
_LAST_PRESS_DECIDES: Final = Remedy(
    "A two-button latch: one button switches on, another off; or a retriggerable time",
    "the last press decides",
)

_TAKEN_OFF: Final = Remedy(
    "A pulse over its break contact: it runs without the receiver, and comes back by itself",
    "no press leaves it off for good",
)

_SIGNALS: Final = Remedy(
    "A control of its own for the lights, with a time in which both sides are red, a watch over its lamps and"
    " loops that ask for green; a fob at most asks"
)

_ALARM: Final = "setting and unsetting an alarm"
_ESCAPE: Final = "the lock of an escape door"

_BARRED_BY_FUNCTION: Final = (("water", "water"), ("heat", "heat"), ("sound", "a sounder"))
"""Kind of a function → what a toggle is refused for."""


def wanted_otherwise_share(case: Case, output: OutputAt) -> float | None:
    """Chance that after a day an output that toggles stands otherwise than the last wish has it.

    Everybody presses it once in a day or not, as the groups say; None where one of them says nothing.
    """
    shares = uses_of(case, output)
    return share_odd(shares=shares) if shares else None


def toggles(output: OutputAt, driven: Driven | None) -> bool:
    """Whether each press turns the state round: by the output, or by the panel's own input."""
    return output.output.traits.turns_round or (driven is not None and driven.reading.turns_round)


def toggle_barred(case: Case, output: OutputAt, driven: Driven) -> str | None:
    """Why a toggle is refused on what an output works; None where it is not."""
    kinds = function_kinds(case, output)
    if alarm(driven) or kinds & {"set", "unset", "set and unset", "part set", "clear alarm", "start entry"}:
        return _ALARM
    for kind, what in _BARRED_BY_FUNCTION:
        if kind in kinds:
            return what
    if driven.sheet.carries is not None:
        return driven.sheet.carries
    if driven.traits.not_toggled:
        return driven.traits.not_toggled
    if driven.sheet.escape_route and (driven.traits.is_lock or driven.logic == "release"):
        return _ESCAPE
    return None


def judge_toggling(case: Case, output: OutputAt) -> Iterator[Finding]:
    """OUT-02, of everything that an output works."""
    for driven in driven_of(case, output):
        barred = toggle_barred(case, output, driven)
        if not toggles(output, driven):
            if barred is not None and _may_toggle(output, driven):
                yield _unread(output, driven, barred)
            continue
        if barred is not None:
            yield _refused(case, output, driven, barred)
        elif output.output.traits.turns_round and may_hurt(driven):
            yield _unsaid(output, driven, "nobody says what it is", ask_what_it_is(driven))
        elif output.output.traits.turns_round and _may_be_way_out(driven):
            name = driven.path.split("/")[1]
            yield _unsaid(output, driven, "nobody says whether people get out there", ask_who_leaves(name))
        elif output.output.traits.turns_round and (lacks := _purpose_lacks(case, output)):
            yield _unsaid(output, driven, *lacks)
        elif output.output.traits.turns_round and driven.wants != "pulse":
            yield _parity(case, output, driven)


def _may_toggle(output: OutputAt, driven: Driven) -> bool:
    """Whether nobody says how the panel reads an input: it may change over with each pulse."""
    is_panel = driven.panel is not None or driven.works.split(".")[0] in output.house.panels
    return is_panel and driven.reads is None


def _unread(output: OutputAt, driven: Driven, barred: str) -> Finding:
    return KNOWN_STATE.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=Answer.UNKNOWN,
        says=f"Whether {driven.works} changes over with each pulse is not known; it is refused for {barred}.",
        asks=(
            Ask(
                f"Ask how the panel reads {driven.works}: set, unset, changing over, or while it lasts.",
                Who.ALARM_COMPANY,
                10.0,
            ),
        ),
        sources=(GIVEN,),
    )


def _may_be_way_out(driven: Driven) -> bool:
    """Whether it holds a door that may be an escape door."""
    return driven.traits.is_lock and driven.sheet.escape_route is None


def _purpose_lacks(case: Case, output: OutputAt) -> tuple[str, Ask] | None:
    """Why it is not known what presses of an output are for, with the question; None where it is known.

    A function without an output may be meant for one that no function presses.
    """
    open_ones = [name for name in output.functions if is_purpose_open(case, name)]
    if open_ones:
        ask = Ask(f"Say what '{open_ones[0]}' is for: light, a call, setting an alarm ...", Who.CUSTOMER, 1.0)
        return f"nobody says what '{open_ones[0]}' is for", ask
    loose = [name for name in case.job.functions if not case.outputs_of(name)]
    if not output.functions and loose:
        ask = Ask(
            f"Say which output '{loose[0]}' presses, and what presses {output.path}.", Who.INSTALLER, 2.0
        )
        return "nobody says what presses it", ask
    return None


def _unsaid(output: OutputAt, driven: Driven, why: str, ask: Ask) -> Finding:
    """Of a thing that may be a winch or an escape door as well as a lamp: a toggle is refused for some."""
    name = driven.path.split("/")[1]
    return KNOWN_STATE.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=Answer.UNKNOWN,
        says=f"{output.path} toggles {driven.works}; whether {name} may be toggled is not known, as {why}.",
        asks=(ask,),
        sources=(GIVEN,),
    )


def _refused(case: Case, output: OutputAt, driven: Driven, barred: str) -> Finding:
    by = "the output toggles" if output.output.traits.turns_round else "the panel's input toggles"
    because = (
        "A lost press, or a second one, leaves it the other way round and nobody knows; the state must follow"
        " from the command."
    )
    remedy = Remedy(
        "Make it a pulse of fixed length, or a latch with a button for on and one for off",
        "the state follows from the command",
    )
    wrong = wanted_otherwise_share(case, output)
    if wrong is not None:
        because += f" As often as it is used it stands the other way round in {wrong:.1%} of all days."
    remedies = [held_instead(case, output, driven)[0] if driven.traits.lifts else remedy]
    if must_run(driven):
        remedies = [_TAKEN_OFF]
    if driven.traits.directs:
        remedies = [_SIGNALS]
    if driven.traits.stays_live:
        because += f" {CAUTIONS[driven.traits.cautions[0]]}"
        remedies.append(
            Remedy("A lockable isolator where the work is done: switching off by radio is no isolation")
        )
    if barred == _ALARM:
        because += f" {CAUTIONS['alarm']}"
        remedies[0] = Remedy(
            "Separate buttons and outputs for set and unset, on separate inputs of the panel, with its set"
            " output read back",
            "a repeated press then does no harm",
        )
    return KNOWN_STATE.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=Answer.NO,
        says=f"{output.path} works {driven.works} and {by}: refused for {barred}.",
        because=because,
        remedies=remedies,
        sources=(PRACTICE, GIVEN),
        value=wrong,
        limit=None if wrong is None else _MOST_WRONG,
        stake=Stake.HARM if barred == _ESCAPE or driven.traits.is_leaf or driven.traits.hurts else None,
    )


def _parity(case: Case, output: OutputAt, driven: Driven) -> Finding:
    about, subjects = f"{output.path}: {driven.works}", subjects_of(output, driven)
    people = known_holders(case, output)
    if people is None:
        return KNOWN_STATE.decide(
            about=about,
            subjects=subjects,
            answer=Answer.UNKNOWN,
            says=f"{output.path} toggles {driven.works}; how many can press it is not known.",
            asks=(Ask(f"Count who holds a fob that works {output.path}.", Who.CUSTOMER),),
        )
    if people < 2:
        return KNOWN_STATE.decide(
            about=about,
            subjects=subjects,
            answer=Answer.YES,
            says=f"{output.path} toggles {driven.works}; only {group_text(people)} can press it.",
            because="One person who sees it knows how it stands.",
            sources=(GIVEN,),
        )
    told = wanted_otherwise_share(case, output)
    if told is not None:
        return _told(output, driven, told)
    several = min(people, _SEVERAL)
    wrong = share_odd(shares=[_TWO_OFTEN, _TWO_OFTEN])
    spread = share_odd(shares=[_SEVERAL_SELDOM] * several)
    return replace(KNOWN_STATE, advice=True).judge(
        about=about,
        subjects=subjects,
        value=Estimate(max(wrong, spread), None, (PRESSES,)),
        says=f"{output.path} toggles {driven.works} for {group_text(people)}: two who each switch it nine"
        f" times in ten leave it wrong in {wrong:.0%}, {several} who switch it three times in ten in"
        f" {spread:.0%}.",
        because=_ODD_OR_EVEN,
        remedies=(_LAST_PRESS_DECIDES,),
    )


def _told(output: OutputAt, driven: Driven, wrong: float) -> Finding:
    """With how often each of them uses it, as the job says."""
    return replace(KNOWN_STATE, advice=True).judge(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        value=Estimate(wrong, None, (PRESSES, GIVEN)),
        says=f"{output.path} toggles {driven.works}: as often as it is used it stands the other way round in"
        f" {wrong:.1%} of all days.",
        because=_ODD_OR_EVEN,
        remedies=(_LAST_PRESS_DECIDES,),
    )
