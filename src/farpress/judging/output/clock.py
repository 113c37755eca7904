"""Presses that count at some hours only: what keeps the hours, and who is shut in when they are over."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.access import opens
from farpress.case.case import Case
from farpress.case.citations import EN_13637, GIVEN, PRACTICE
from farpress.case.driven import Driven, driven_of
from farpress.domain.cautions import DUTIES, caution
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.job import Function
from farpress.domain.refs import DeviceRef, FunctionRef, OutputRef
from farpress.domain.told_words import hours_said
from farpress.judging.check import Answer, Check
from farpress.judging.hurting import FREE_EXIT, TRAPPED, ask_who_leaves
from farpress.phrases import listed

__all__ = ["HOURS_KEPT", "WAY_OUT_AFTER", "judge_clock"]

HOURS_KEPT: Final = Check(
    "OUT-15",
    Link.OUTPUT,
    "A press that shall count at some hours only: what keeps the hours. A receiver has no clock.",
    stake=Stake.PROMISE,
    ask="Say what keeps the hours: a time switch on the drive's control, or the panel.",
    who=Who.INSTALLER,
    minutes=5.0,
    mends="A time switch on the control of the drive or lock, or a panel with a timer; not the fob.",
)
WAY_OUT_AFTER: Final = Check(
    "DEV-07",
    Link.DEVICE,
    "Ways that no fob opens at some hours: whoever is still inside gets out by hand.",
    stake=Stake.HARM,
    bars=True,
    halts=True,
    ask="Ask how whoever is still inside gets out when no fob opens any more.",
    who=Who.CUSTOMER,
    minutes=5.0,
    mends="A way out that opens by hand at all times, and who frees somebody who is shut in.",
)


def judge_clock(case: Case) -> Iterator[Finding]:
    """OUT-15 of each function with hours, DEV-07 of each way that only such functions open."""
    for name, function in case.job.functions.items():
        if function.hours is not None:
            yield _kept(case, name, function)
        elif said := hours_said(name, function.says, *_of_promises(case, name)):
            yield _asked(name, function, said)
    openers: dict[str, dict[str, str | None]] = {}
    ways: dict[str, Driven] = {}
    for output in case.outputs():
        for driven in driven_of(case, output):
            traits = driven.traits
            # who is on foot walks past a barrier or bollard for vehicles
            is_way = traits.is_way and not traits.watched_vehicles
            if is_way and opens(driven) and driven.device is not None:
                ways[driven.path] = driven
                hours = {name: case.job.functions[name].hours for name in output.functions}
                openers.setdefault(driven.path, {}).update(hours)
    for path, functions in openers.items():
        given = [text for text in functions.values() if text is not None]
        if given and len(given) == len(functions):
            yield _way_out(ways[path], listed(functions), listed(dict.fromkeys(given)))


def _kept(case: Case, name: str, function: Function) -> Finding:
    hours, by = function.hours, function.hours_by
    answer = Answer.YES
    asks: tuple[Ask, ...] = ()
    says = f"{name} counts {hours} only, kept so by a {by}."
    if by == "people":
        answer = Answer.NO
        says = f"{name} shall count {hours} only, and nothing but people sees to it."
    elif by is None:
        answer = Answer.UNKNOWN
        says = f"{name} shall count {hours} only; what keeps the hours is not said."
        asks = (Ask(f"Say what keeps {name} to its hours: a time switch, or the panel.", Who.INSTALLER, 5.0),)
    remedies = (
        Remedy(
            "A time switch on the control of what it works, so that the press does nothing at other hours"
        ),
        Remedy("Let the panel keep the hours, where it has a timer"),
    )
    return HOURS_KEPT.decide(
        about=name,
        subjects=(FunctionRef(name), *(OutputRef(path) for path in function.paths)),
        answer=answer,
        says=says,
        because="" if answer is Answer.YES else "A receiver has no clock: it obeys a fob at any hour.",
        asks=asks,
        remedies=remedies,
        offers=remedies,
        sources=(GIVEN, PRACTICE),
    )


def _of_promises(case: Case, name: str) -> tuple[str, ...]:
    """Remarks of the promises and rules of a function."""
    promised = (promise.says for promise in case.job.promises if promise.function == name)
    return (*promised, *(rule.says for rule in case.job.rules if name in rule.of and rule.hours is None))


def _asked(name: str, function: Function, said: str) -> Finding:
    """Hours that stand in words alone: nothing in the receiver reads them."""
    return HOURS_KEPT.decide(
        about=name,
        subjects=(FunctionRef(name), *(OutputRef(path) for path in function.paths)),
        answer=Answer.UNKNOWN,
        says=f"'{said}' is said of {name}, and its hours are not given: whether it shall count at some hours"
        " only is not known.",
        because="A receiver has no clock: it obeys a fob at any hour.",
        asks=(
            Ask(
                f"Ask whether {name} shall work at some hours only, and write them as 'hours: 06:00-20:00';"
                " if at any hour, leave them out of its remark.",
                Who.CUSTOMER,
                2.0,
            ),
        ),
        sources=(GIVEN,),
    )


def _way_out(driven: Driven, functions: str, hours: str) -> Finding:
    name, by_hand = driven.path.split("/")[1], driven.sheet.opens_by_hand
    says = f"Outside {hours} no fob opens {name}; it opens by hand from inside."
    if by_hand is False:
        says = f"Outside {hours} no fob opens {name}, and it does not open by hand from inside."
    elif by_hand is None:
        says = (
            f"Outside {hours} no fob opens {name}, and no way out by hand is recorded: who is inside stays."
        )
    return WAY_OUT_AFTER.decide(
        about=driven.path,
        subjects=(DeviceRef(driven.path),),
        # a plan that shuts the way has to have a way out in it: one that nobody wrote down is none
        answer=Answer.of(bool(by_hand)),
        says=says,
        because="" if by_hand else f"Opened by {functions} alone. {caution('escape')} {DUTIES['escape']}",
        asks=() if by_hand is not None else (ask_who_leaves(name),),
        remedies=(FREE_EXIT, TRAPPED),
        sources=(*driven.cite("opens_by_hand"), EN_13637, GIVEN),
    )
