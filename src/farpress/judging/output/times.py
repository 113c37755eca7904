"""Times of outputs: held presses against the fob's cut-off, and the longest run.

Part of the judgements on output logic.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from farpress.case.behaviour import longest_hold_s, shortest_hold_s
from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import (
    Driven,
    change,
    driven_of,
    function_kinds,
    groups_of,
    moves,
    seconds,
    subjects_of,
)
from farpress.case.leaf import whole_travel_s
from farpress.core.rehearsal.held import BUTTON_LAG_S, TRAVEL_FACTOR, hold_needed_s
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Verdict, Who
from farpress.domain.refs import GroupRef
from farpress.judging.check import AT_LEAST, AT_MOST, Answer, Check, Estimate, Limit, no_edge

__all__ = ["judge_times", "limited_run", "travels_of"]


HELD_TRAVEL: Final = Check(
    "OUT-03",
    Link.OUTPUT,
    "A press held for the whole travel against the time after which the fob gives up by itself.",
    unit="s",
    bound=AT_LEAST,
    stake=Stake.PROMISE,
    ask="Hold a fob's button down and time it until its lamp goes out.",
    who=Who.INSTALLER,
    mends="A fixed push-and-hold control in sight; or a pulse, where the whole movement is seen"
    " and safeguarded.",
)

LONGEST_RUN: Final = Check(
    "OUT-05",
    Link.OUTPUT,
    "How long an output can stay on, against the longest run of what it works.",
    unit="s",
    bound=AT_MOST,
    thin=no_edge("a timer is set to the longest run itself, which has the maker's reserve in it"),
    stake=Stake.WEAR,
    ask="Ask how long it may run in one go, and write it as the longest run.",
    mends="A pulse no longer than the longest run, which a further press does not start anew.",
)

_DOUBT_OF_TRAVEL: Final = 0.1
"""Share of the time needed by which an ordinary travel differs from day to day; our choice."""


def judge_times(case: Case) -> Iterator[Finding]:
    """Findings about held presses and longest runs."""
    for output in case.outputs():
        for driven in driven_of(case, output):
            if output.output.traits.while_held and moves(driven) and driven.wants != "pulse":
                yield from _held(case, output, driven)
            yield from _run(case, output, driven)


def travels_of(driven: Driven) -> tuple[float | None, float | None]:
    """Ordinary and worst travel in the way of an input [s]; None where not known.

    Where nobody timed it, it is the way over the speed. The worst way back is as much longer than the
    ordinary one as the worst way there.
    """
    travel, worst = whole_travel_s(driven.sheet), driven.sheet.travel_worst_s
    back = driven.sheet.travel_back_s
    if driven.way in ("down", "close") and back is not None:
        return back, (back * worst / travel if worst is not None and travel else None)
    return travel, worst


def _held(case: Case, output: OutputAt, driven: Driven) -> Iterator[Finding]:
    """OUT-03."""
    groups = groups_of(case, output)
    if not groups:
        return
    travel, worst = travels_of(driven)
    hold = shortest_hold_s(case, output)
    asks: list[Ask] = []
    needed: float | None = None
    if travel is None and worst is None:
        asks.append(Ask(f"Measure the whole travel of {driven.works}, on a cold morning.", Who.METER, 5.0))
    else:
        needed = hold_needed_s(travel_s=travel if travel is not None else worst or 0.0, travel_worst_s=worst)
    if hold is None:
        asks.append(Ask("Hold a fob's button down and time it until its lamp goes out.", Who.INSTALLER))
    doubt: float | None = None
    says = f"{driven.works} moves while the button is held, but its travel time is not known."
    if needed is not None:
        # a known worst travel leaves the thumb's second as doubt
        doubt = BUTTON_LAG_S if worst is not None else _DOUBT_OF_TRAVEL * needed
        says = (
            f"{driven.works} needs the button held for {needed:.1f} s; after what time its fobs stop by"
            " themselves is not known."
        )
        if hold is not None:
            basis = f"{travel or 0.0:g} s x {TRAVEL_FACTOR:g} + {BUTTON_LAG_S:g} s"
            if worst is not None:
                basis = f"{worst:.3g} s at its worst + {BUTTON_LAG_S:g} s for thumb and radio"
            says = (
                f"{driven.works} needs the button held for {needed:.1f} s ({basis}); the fob of {hold[1]}"
                f" stops by itself after {hold[0]:g} s."
            )
    because = {
        Verdict.FAILS: f"It stops short{_short_by(driven, hold)}; a second press for the rest is no cure: the"
        " movement is to be watched and held from one end to the other.",
        Verdict.THIN: f"Less than {doubt or 0.0:.1f} s is left over, which is the doubt of these times.",
    }
    run = f"{math.ceil(needed or 0.0)} s"
    yield HELD_TRAVEL.judge(
        about=f"{output.path}: {driven.works}",
        subjects=(*subjects_of(output, driven), *(GroupRef(name) for name, _ in groups)),
        value=Estimate(hold[0] if hold else None, doubt, hold[2] if hold else ()),
        limit=Limit(needed, (*driven.cite("travel_s", "travel_worst_s", "travel_back_s"), PRACTICE)),
        says=says,
        because=lambda verdict: because.get(verdict, ""),
        asks=asks,
        remedies=(FIXED_CONTROL,)
        if driven.traits.lifts
        else (
            FIXED_CONTROL,
            Remedy(
                f"A pulse of {run} instead of held, only where the whole movement is seen or safeguarded",
                f"{run} against {needed or 0.0:.1f} s needed",
                (change(output, "kind", "pulse"), change(output, "for", run)),
            ),
        ),
    )


FIXED_CONTROL: Final = Remedy(
    "A fixed push-and-hold control in sight of it, with limit switches, beside the fob"
)


def _short_by(driven: Driven, hold: tuple[float, str, object] | None) -> str:
    """By how much of the way, at its ordinary travel; empty where that is not known."""
    travel, leaf_m = travels_of(driven)[0], driven.sheet.leaf_m
    if hold is None or not travel or hold[0] >= travel:
        return ""
    share = 1.0 - hold[0] / travel
    return f" by {share:.0%} of the way" if leaf_m is None else f" by {share * leaf_m:.2f} m of {leaf_m:g} m"


def _run(case: Case, output: OutputAt, driven: Driven) -> Iterator[Finding]:
    """OUT-05."""
    longest, kinds = driven.sheet.longest_run_s, function_kinds(case, output)
    must_end = driven.traits.runs_water or bool(kinds & {"water", "heat"})
    if driven.wants == "pulse" or (longest is None and not must_end):
        return
    kind = output.output.traits
    if longest is None:
        yield _unknown_longest(output, driven)
    elif kind.keeps_state:
        yield _endless(case, output, driven, longest)
    elif kind.while_held:
        yield _held_run(case, output, driven, longest)
    elif output.output.for_s is not None:
        yield _timed_run(output, driven, output.output.for_s, longest)
    # a pulse without a length is asked about with the kind of the output


def _unknown_longest(output: OutputAt, driven: Driven) -> Finding:
    for_s = output.output.for_s
    says = f"How long {driven.works} may run in one go is not known"
    if output.output.retrigger and for_s is not None:
        says = (
            f"Each press of {output.path} starts {seconds(for_s)} anew, and how long {driven.works} may run"
            " in one go is not known"
        )
    return LONGEST_RUN.judge(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        value=Estimate(None if output.output.retrigger else for_s),
        limit=Limit(None),
        says=f"{says}.",
        asks=(f"Ask how long {driven.works} may run in one go, and write it as the longest run.",),
        offers=(_once_only(output, for_s),) if output.output.retrigger and for_s is not None else (),
    )


def _once_only(output: OutputAt, for_s: float) -> Remedy:
    return Remedy(
        "Not retriggerable: a further press changes nothing",
        f"{seconds(for_s)} in one go",
        (change(output, "retrigger", False),),
    )


def limited_run(case: Case, output: OutputAt, longest_s: float) -> Remedy:
    """A run that ends by itself: a pulse where the receiver can be set to it, else a timer of its own."""
    part = case.equipment.receivers.get(output.receiver_path)
    most = part.sheet.pulse_max_s if part is not None else None
    if most is not None and most < longest_s:
        return Remedy(
            "A timer or controller with a limit of its own, which the fob only starts and stops",
            f"the receiver's longest pulse is {seconds(most)}, and a toggle is no way round it",
        )
    length = seconds(longest_s)
    return Remedy(
        f"A pulse of {length}, not retriggerable",
        "",
        (
            change(output, "kind", "pulse"),
            change(output, "for", length),
            *((change(output, "retrigger", False),) if output.output.retrigger else ()),
        ),
    )


def _endless(case: Case, output: OutputAt, driven: Driven, longest: float) -> Finding:
    how, until = "latches", "somebody switches it off"
    if output.output.traits.turns_round:
        how, until = "toggles", "the next press"
    return LONGEST_RUN.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=Answer.NO,
        limit=longest,
        says=f"{output.path} {how} {driven.works}: it stays on until {until}, without the limit of"
        f" {seconds(longest)}.",
        because="A forgotten or unheard press leaves it on.",
        remedies=(limited_run(case, output, longest),),
        sources=(*driven.cite("longest_run_s"), GIVEN),
    )


def _held_run(case: Case, output: OutputAt, driven: Driven, longest: float) -> Finding:
    hold = longest_hold_s(case, output)
    receiver = case.equipment.receivers.get(output.receiver_path)
    dropout = receiver.sheet.dropout_s if receiver is not None else None
    run = hold[0] + (dropout or 0.0) + (output.output.stays_s or 0.0) if hold is not None else None
    asks = [
        Ask(f"Hold a button for {output.path} down and time it until the fob's lamp goes out.", Who.INSTALLER)
    ] * (hold is None)
    says = f"How long a held press keeps {driven.works} on is not known."
    if run is not None:
        says = (
            f"A held press keeps {driven.works} on for {run:g} s at most; it may run {seconds(longest)} in"
            " one go."
        )
    return LONGEST_RUN.judge(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        value=Estimate(run, None, hold[2] if hold is not None else ()),
        limit=Limit(longest, driven.cite("longest_run_s")),
        says=says,
        because="The fob stops by itself.",
        asks=asks,
    )


def _timed_run(output: OutputAt, driven: Driven, for_s: float, longest: float) -> Finding:
    run = for_s
    says = (
        f"{output.path} keeps {driven.works} on for {seconds(for_s)}; it may run {seconds(longest)} in one"
        " go."
    )
    because = "A fresh press right at the end starts it again: the limit is for one go, not for the hour."
    remedy = Remedy(f"Make the pulse {seconds(longest)}", "", (change(output, "for", seconds(longest)),))
    if output.output.retrigger and for_s <= longest:
        presses = int(longest // for_s) + 1
        run = presses * for_s
        says = (
            f"Each press of {output.path} starts {seconds(for_s)} anew: {presses} presses, each just before"
            f" the time is over, keep {driven.works} on for {seconds(run)}, more than {seconds(longest)}."
        )
        because = "Nothing in the receiver ends a time that is started anew again and again."
        remedy = _once_only(output, for_s)
    return LONGEST_RUN.judge(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        value=Estimate(run, None, (GIVEN,)),
        limit=Limit(longest, driven.cite("longest_run_s")),
        says=says,
        because=because,
        remedies=(remedy,),
    )
