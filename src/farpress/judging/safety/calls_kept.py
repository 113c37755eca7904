"""Calls for help: that they last until somebody is there, and places that want a call of their own."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import EN_50134, GIVEN, PRACTICE
from farpress.case.driven import Driven, driven_of, seconds, subjects_of
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.job import Promise
from farpress.domain.refs import FunctionRef, OutputRef, PlaceRef, Ref
from farpress.judging.air.advice import is_call
from farpress.judging.check import AT_LEAST, Answer, Check, Estimate, Limit, no_edge
from farpress.sources import Citation, Mark

__all__ = ["CALL_LASTS", "SHUT_IN", "judge"]

CALL_LASTS: Final = Check(
    "SAFE-62",
    Link.SAFETY,
    "How long a call for help shows at where it is answered, against the time until somebody is there.",
    unit="s",
    bound=AT_LEAST,
    thin=no_edge("the time until somebody comes is the longest that the customer names"),
    stake=Stake.HARM,
    ask="Ask within what time somebody is there or answers, at night too.",
    who=Who.CUSTOMER,
    minutes=5.0,
    mends="A call that keeps itself until whoever has come resets it where the call came from.",
)
SHUT_IN: Final = Check(
    "SAFE-63",
    Link.SAFETY,
    "A call for help from where somebody can be shut in: that has an alarm of its own, by wire.",
    stake=Stake.HARM,
    ask="Ask what somebody there can be shut in, and how he calls then.",
    who=Who.CUSTOMER,
    minutes=5.0,
    mends="The alarm that belongs to it, tried with its maintainer; a fob counts for nothing there.",
)

_OWN: Final = {
    "lift": (
        "A lift has a two-way alarm of its own, which a fob is not",
        Citation("EN 81-28", place="remote alarm on passenger lifts", mark=Mark.MEMORY),
    ),
    "cold room": (
        "A cold room has a door that opens from inside and an alarm of its own, which a fob is not",
        Citation("EN 378-1", place="persons enclosed in cold rooms", mark=Mark.MEMORY),
    ),
    "strong room": ("A strong room has an alarm of its own for whoever is shut in", PRACTICE),
    "tank or pit": ("Nobody goes into a tank or pit without somebody who watches from outside", PRACTICE),
}
"""What shuts somebody in → what it has by itself, and who says so."""

_NAMED: Final = re.compile(
    r"\b(lift(?! (?:lobby|hall|landing|doors?|foyer))|elevator|cold ?room|cold ?store|freezer|strong ?room"
    r"|vault|tank|silo|pit|sauna)\b",
    re.IGNORECASE,
)
"""Names of places in which somebody can be shut in; our choice."""

_KEPT: Final = Remedy("A latch that the press sets and that is reset where the call came from, by a key")


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-62 of each output that calls for help, SAFE-63 of each promise of one from such a place."""
    for output in case.outputs():
        if is_call(case, output):
            for driven in driven_of(case, output):
                if driven.wants == "maintained":
                    yield _lasts(case, output, driven)
    for promise in case.job.promises:
        if any(is_call(case, output) for output in case.outputs_of(promise.function)):
            yield from _shut_in(case, promise)


def _lasts(case: Case, output: OutputAt, driven: Driven) -> Finding:
    """SAFE-62."""
    about = f"{output.path}: {driven.works}"
    names = tuple(name for name in output.functions if name in case.job.functions)
    called = " and ".join(f"'{name}'" for name in names) or output.path
    refs: tuple[Ref, ...] = (*subjects_of(output, driven), *(FunctionRef(name) for name in names))
    traits = output.output.traits
    if traits.keeps_state or traits.while_held:
        answer = Answer.of(traits.keeps_state)
        until = "until it is switched off" if traits.keeps_state else "only while the button is held"
        return CALL_LASTS.decide(
            about=about,
            subjects=refs,
            answer=answer,
            says=f"{called} shows at {driven.works} {until}.",
            because="" if answer is Answer.YES else _LOST,
            remedies=(_KEPT,),
            sources=(PRACTICE, EN_50134),
        )
    times = [case.job.functions[name].answered_within_s for name in names]
    known = [time for time in times if time is not None]
    wanted = max(known) if known and len(known) == len(times) else None
    length = output.output.for_s
    lasts = "an unknown time" if length is None else seconds(length)
    asks = [] if length is not None else [Ask(f"Say how long the pulse of {output.path} is.", Who.INSTALLER)]
    if wanted is None:
        asks.append(
            Ask(
                f"Ask within what time somebody answers {called}, at night too, and write 'answered_within'.",
                Who.CUSTOMER,
                5.0,
            )
        )
    until = "; until when somebody answers is not known" if wanted is None else ""
    return CALL_LASTS.judge(
        about=about,
        subjects=refs,
        value=Estimate(length, 0.0, (GIVEN,)),
        limit=Limit(wanted, (GIVEN,)),
        says=f"{called} shows at {driven.works} for {lasts}"
        + (until or f"; it may take {seconds(wanted or 0.0)} until somebody answers")
        + ".",
        because=_LOST,
        asks=asks,
        remedies=(_KEPT,),
    )


_LOST: Final = "Whoever looks up later sees nothing; whoever called believes that somebody comes."


def _shut_in(case: Case, promise: Promise) -> Iterator[Finding]:
    """SAFE-63."""
    outputs = case.outputs_of(promise.function)
    found = next(
        (it for it in (case.place(promise.from_, output.premises) for output in outputs) if it), None
    )
    if found is None:
        return
    where, name = found
    path, place = f"{where}/{name}", case.job.premises[where].places[name]
    own = case.job.functions[promise.function].also_by
    asks: tuple[Ask, ...] = ()
    because, sources = "", (PRACTICE, GIVEN)
    if place.shut_in in _OWN:
        because, source = _OWN[place.shut_in or ""]
        because, sources = f"{because}.", (source, GIVEN)
        answer = Answer.BARELY if own else Answer.NO
        beside = f"; beside it: {own}" if own else f", in a {place.shut_in}, by a fob alone"
        says = f"'{promise.function}' is promised from {name}{beside}."
    elif place.shut_in is None and _NAMED.search(name):
        answer = Answer.UNKNOWN
        says = (
            f"'{promise.function}' is promised from {name}; whether somebody can be shut in there is not"
            " known."
        )
        asks = (
            Ask(
                f"Ask what somebody can be shut in at {name}, how he calls from there, and write 'shut_in'.",
                Who.CUSTOMER,
                5.0,
            ),
        )
    else:
        return
    yield SHUT_IN.decide(
        about=f"{promise.to}: {promise.function} from {name}",
        subjects=(
            PlaceRef(path),
            FunctionRef(promise.function),
            *(OutputRef(output.path) for output in outputs),
        ),
        answer=answer,
        says=says,
        because=because,
        asks=asks,
        remedies=(Remedy("The alarm that belongs to it, tried with its maintainer; say so on the card"),),
        sources=sources,
        cause=PlaceRef(path),
    )
