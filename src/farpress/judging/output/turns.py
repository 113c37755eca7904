"""Things that take turns: what keeps all but a few of them off."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import Final

from farpress.case.behaviour import keeps_apart
from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN
from farpress.case.turns import together_a
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.premises import Together
from farpress.domain.refs import DeviceRef, OutputRef
from farpress.judging.check import Answer, Check
from farpress.phrases import listed
from farpress.units import write_quantity

__all__ = ["TAKES_TURNS", "judge_turns"]

TAKES_TURNS: Final = Check(
    "OUT-11",
    Link.OUTPUT,
    "Things of which only so many may be on at the same time: what keeps the others off.",
    stake=Stake.PROMISE,
    ask="Say what keeps the others off: a controller, the wiring, or only the people.",
    who=Who.INSTALLER,
    mends="A controller that runs them in turn, or an interlock of their outputs.",
)
"""Voltage, current and energy are reckoned with so many of them on, so something must keep it so."""


def judge_turns(case: Case) -> Iterator[Finding]:
    """OUT-11, of each group that takes turns."""
    for premises, house in case.job.premises.items():
        for turns in house.together:
            yield _turns(case, premises, turns)


def _turns(case: Case, premises: str, turns: Together) -> Finding:
    working = [
        output
        for output in case.outputs()
        if output.premises == premises and {works.split(".")[0] for works in output.works} & set(turns.of)
    ]
    names = listed(turns.of)
    allowed = f"at most {turns.at_most} of {names} on"
    if turns.pulling_in:
        allowed += f", and {turns.pulling_in} more pulling in"
    if turns.with_:
        allowed += f", with {listed(turns.with_)}"
    drawn = together_a(case, premises, turns)
    if drawn is not None:
        allowed += f" ({write_quantity(drawn, 'current')})"
    answer, says, because, asks = _kept(case, turns, working, allowed)
    return TAKES_TURNS.decide(
        about=f"{premises}: {names}",
        subjects=(
            *(DeviceRef(f"{premises}/{name}") for name in turns.of),
            *(OutputRef(output.path) for output in working),
        ),
        answer=answer,
        says=says,
        because=because,
        asks=asks,
        remedies=(
            Remedy("A controller that runs them one after the other, which the fob only starts and stops"),
            Remedy("Interlock their outputs, so that each switches the others off"),
        ),
        sources=(GIVEN,),
    )


def _kept(
    case: Case, turns: Together, working: list[OutputAt], allowed: str
) -> tuple[Answer, str, str, tuple[Ask, ...]]:
    if turns.kept_by in ("controller", "wiring"):
        how = "a controller" if turns.kept_by == "controller" else "the wiring"
        return Answer.YES, f"Reckoned with {allowed}; {how} keeps the others off.", "", ()
    if (
        turns.at_most == 1
        and len(working) > 1
        and all(keeps_apart(case, first, second).says for first, second in combinations(working, 2))
    ):
        return Answer.YES, f"Reckoned with {allowed}; their interlock keeps the others off.", "", ()
    more = "With more of them on, cable, supply and fuse carry more than was reckoned with."
    if turns.kept_by == "people":
        loose = f"Reckoned with {allowed}, which only the people see to."
        return Answer.BARELY, loose, f"A press forgotten, or two people, and all of them are on. {more}", ()
    ask = Ask(f"Say what keeps more of {listed(turns.of)} from being on together.", Who.INSTALLER, 2.0)
    return Answer.UNKNOWN, f"Reckoned with {allowed}; what keeps the others off is not said.", more, (ask,)
