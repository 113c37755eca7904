"""Calls for help: the hours at which nobody answers, and a press that calls and lets somebody in as well."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.access import SinglePress, opens, single_presses
from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import driven_of
from farpress.dates import ALL_DAY, stretch_s
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.job import Function
from farpress.domain.refs import FunctionRef, OutputRef, Ref
from farpress.judging.air.advice import is_call
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit, no_edge
from farpress.judging.safety.calls import NOBODY
from farpress.phrases import listed

__all__ = ["CALL_LETS_IN", "UNANSWERED", "judge"]

CALL_LETS_IN: Final = Check(
    "SAFE-24",
    Link.SAFETY,
    "A call for help that lets somebody in by the same press: whoever stands at the door then.",
    stake=Stake.HARM,
    mends="Another button for the door, opened by whoever answers, or a key kept for them.",
)
UNANSWERED: Final = Check(
    "SAFE-25",
    Link.SAFETY,
    "Hours of a week at which a call for help rings and nobody is named who answers.",
    unit="h",
    bound=AT_MOST,
    limit=Limit(0.0, (PRACTICE,)),
    thin=no_edge("each hour of a week is either somebody's or nobody's"),
    stake=Stake.HARM,
    ask="Ask from when to when somebody answers, on which days.",
    who=Who.CUSTOMER,
    minutes=2.0,
    mends="A named person for the other hours, or a call centre; said on the card otherwise.",
)

_WEEK_H: Final = 168.0
_DAYS: Final = 7


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-25 of each function that calls for help, SAFE-24 of each press that calls and opens."""
    for name, function in case.job.functions.items():
        if _calls(case, name) and function.answered_by != NOBODY:
            yield _answered(name, function)
    for press in single_presses(case):
        yield from _lets_in(case, press)


def _calls(case: Case, name: str) -> bool:
    function = case.job.functions.get(name)
    if function is None:
        return False
    outputs = case.outputs_of(name)
    return any(is_call(case, output) for output in outputs) if outputs else function.kind == "call"


def _answered(name: str, function: Function) -> Finding:
    """SAFE-25."""
    hours, days = function.answered_hours, function.answered_days
    who = function.answered_by or "whoever answers"
    asks: tuple[Ask, ...] = ()
    nobody: float | None = None
    if hours is None or not days:
        says = f"At what hours somebody answers '{name}' is not said."
        what = "from when to when" if hours is None else "on which days of the week"
        asks = (Ask(f"Ask {what} somebody answers '{name}', nights and holidays too.", Who.CUSTOMER, 2.0),)
    else:
        day_h = 24.0 if hours == ALL_DAY else stretch_s(hours) / 3600.0
        nobody = _WEEK_H - day_h * (_DAYS if "every day" in days else len(set(days)))
        when = listed(days)
        says = (
            f"'{name}' is answered by {who} {hours}, {when}; at the other {nobody:g} of 168 hours of a week"
            " nobody is named."
            if nobody
            else f"'{name}' is answered by {who} at all hours."
        )
    return UNANSWERED.judge(
        about=name,
        subjects=(FunctionRef(name), *(OutputRef(path) for path in function.paths)),
        says=says,
        because="A call that rings where nobody is helps nobody; who calls believes that somebody comes.",
        value=Estimate(nobody, 0.0, (GIVEN,)),
        asks=asks,
        remedies=(
            Remedy("Name who answers at the other hours, or lead the call to a centre that always does"),
            Remedy(
                "Say on the card at which hours nobody answers, and leave what is there for them, as a cord"
            ),
        ),
    )


def _lets_in(case: Case, press: SinglePress) -> Iterator[Finding]:
    """SAFE-24."""
    called = [name for name in press.functions if _calls(case, name)]
    opened = [
        driven
        for function in press.functions
        for output in case.outputs_of(function)
        for driven in driven_of(case, output)
        if opens(driven)
    ]
    if not called or not opened:
        return
    works = tuple(dict.fromkeys(driven.works for driven in opened))
    subjects: tuple[Ref, ...] = (*press.subjects, *dict.fromkeys(driven.subject for driven in opened))
    yield CALL_LETS_IN.decide(
        about=press.name,
        subjects=subjects,
        answer=Answer.NO,
        says=f"One press of {press.name} calls for help and opens {listed(works)}.",
        because=(
            "Whoever happens to stand there comes in, at night too, to somebody who cannot defend himself; a"
            " call by mistake opens as well, and out of the radio's reach of the door it does not even open."
        ),
        remedies=(
            Remedy("Another button for the door"),
            Remedy("A key kept for whoever answers, or the door opened from where the call is answered"),
        ),
        sources=(PRACTICE, GIVEN),
    )
