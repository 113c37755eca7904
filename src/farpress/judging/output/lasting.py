"""Judges how long something shall go on after a press, against what ends it: a timer, or nothing."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN
from farpress.case.driven import driven_of
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.domain.refs import FunctionRef, OutputRef, ReceiverRef
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit, no_edge
from farpress.judging.hurting import held_instead
from farpress.units import write_quantity

__all__ = ["LASTS", "judge"]

LASTS: Final = Check(
    "OUT-14",
    Link.OUTPUT,
    "How long a function shall go on after a press, against the longest pulse its receiver can be set to.",
    unit="s",
    bound=AT_MOST,
    thin=no_edge("a setting can be made or it cannot"),
    stake=Stake.PROMISE,
    ask="Find the longest pulse of the receiver, in its data sheet.",
    mends="A controller with its own run time and limit, which the fob only starts and stops.",
)

_CONTROLLER: Final = Remedy(
    "A controller with its own run time and limit, which the fob only starts and stops"
)

_ON_SITE: Final = Remedy(
    "A control on site that ends it by what it waits for, as a level, an end switch or a time, and without"
    " power too; a fob at most starts it, in sight"
)

_NO_SAFETY: Final = Remedy(
    "No fob on a safety input: a key switch on site for whoever stands there and watches, in the drive's own"
    " operating mode for it"
)


def judge(case: Case) -> Iterator[Finding]:
    """OUT-14 of every output of a function that says how long it lasts."""
    for output in case.outputs():
        for name in output.functions:
            wanted = case.job.functions[name].lasts_s
            if wanted is not None:
                yield _judged(case, output, name, wanted)


def _judged(case: Case, output: OutputAt, name: str, wanted: float) -> Finding:
    part = case.equipment.receivers[output.receiver_path]
    longest, length = part.sheet.pulse_max_s, output.output.for_s
    traits = output.output.traits
    about, subjects = f"{name} at {output.path}", (FunctionRef(name), OutputRef(output.path))
    head = f"'{name}' shall last {write_quantity(wanted, 'time')}"
    if traits.while_held:
        return LASTS.decide(
            about=about,
            subjects=subjects,
            cause=OutputRef(output.path),
            answer=Answer.NO,
            says=f"{head}, and {output.path} is on only while the button is held.",
            remedies=(_CONTROLLER,),
            sources=(GIVEN,),
        )
    if traits.wants_length and length is not None and length >= wanted:
        return LASTS.decide(
            about=about,
            subjects=subjects,
            answer=Answer.YES,
            says=f"{head}; its pulse is {write_quantity(length, 'time')}.",
            value=wanted,
            limit=length,
            sources=(GIVEN,),
        )
    ends = (
        f"its pulse is {write_quantity(length or 0.0, 'time')}"
        if traits.wants_length
        else "nothing ends it but another press"
    )
    reach = (
        "the longest pulse of its receiver is not known"
        if longest is None
        else f"the longest pulse of its receiver is {write_quantity(longest, 'time')}"
    )
    fits = longest is not None and longest >= wanted
    machine = next((driven for driven in driven_of(case, output) if driven.traits.hurts), None)
    remedies: tuple[Remedy, ...] = (_CONTROLLER,)
    if any(driven.logic == "safety" for driven in driven_of(case, output)):
        remedies = (_NO_SAFETY,)
    elif machine is not None and machine.traits.lifts:
        remedies = (held_instead(case, output, machine)[0],)
    elif machine is not None:
        remedies = (_ON_SITE,)
    elif fits:
        remedies = (Remedy(f"A pulse of {write_quantity(wanted, 'time')}"), _CONTROLLER)
    return LASTS.judge(
        about=about,
        subjects=subjects,
        cause=ReceiverRef(output.receiver_path),
        value=Estimate(wanted, None, (GIVEN,)),
        limit=Limit(longest, part.cite("pulse_max_s"))
        if not fits
        else Limit(length if traits.wants_length else 0.0),
        says=f"{head}; as planned {ends}, and {reach}.",
        because="A forgotten press, and it goes on until somebody notices."
        if not traits.wants_length
        else "",
        remedies=remedies,
    )
