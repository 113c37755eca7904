"""Times of outputs: held presses against the fob's cut-off, and the longest run.

Part of the judgements on output logic; see `output` for the list of codes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

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
from farpress.core.rehearsal.held import BUTTON_LAG_S, hold_needed_s
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.domain.refs import GroupRef, Ref
from farpress.sources import Citation

__all__ = ["judge_times", "longest_hold_s", "shortest_hold_s"]


def judge_times(case: Case) -> Iterator[Finding]:
    """Findings about held presses and longest runs."""
    for at in case.outputs():
        for one in driven_of(case, at):
            if at.output.traits.while_held and moves(one) and one.wants != "pulse":
                yield from _held(case, at, one)
            yield from _run(case, at, one)


def shortest_hold_s(case: Case, at: OutputAt) -> tuple[float, str, tuple[Citation, ...]] | None:
    """Earliest cut-off of all fobs that press an output: time, group, sources; None if any is unknown."""
    return _hold(case, at, earliest=True)


def longest_hold_s(case: Case, at: OutputAt) -> tuple[float, str, tuple[Citation, ...]] | None:
    """Latest cut-off of all fobs that press an output: time, group, sources; None if any is unknown."""
    return _hold(case, at, earliest=False)


def _hold(case: Case, at: OutputAt, *, earliest: bool) -> tuple[float, str, tuple[Citation, ...]] | None:
    found = []
    for name, _ in groups_of(case, at):
        fob = case.equipment.fobs.get(name)
        if fob is None or fob.sheet.cut_off_s is None:
            return None
        found.append((fob.sheet.cut_off_s, name, fob.cite("cut_off_s")))
    if not found:
        return None
    return min(found, key=lambda one: one[0]) if earliest else max(found, key=lambda one: one[0])


def _held(case: Case, at: OutputAt, one: Driven) -> Iterator[Finding]:
    groups = groups_of(case, at)
    if not groups:
        return
    about = f"{at.path}: {one.works}"
    subjects = (*subjects_of(at, one), *(GroupRef(name) for name, _ in groups))
    travel, worst = one.sheet.travel_s, one.sheet.travel_worst_s
    if one.logic in ("down", "close") and one.sheet.travel_back_s is not None:
        back = one.sheet.travel_back_s
        # the worst way back is as much longer than the ordinary one as the worst way there
        travel, worst = back, (back * worst / travel if worst is not None and travel else None)
    if travel is None and worst is None:
        says = f"{one.works} moves while the button is held, but its travel time is not known."
        yield Finding(
            "OUT-03",
            Link.OUTPUT,
            Verdict.UNKNOWN,
            about,
            says,
            "Measure the whole travel, on a cold morning if it can be chosen; fobs stop sending by"
            " themselves.",
            subjects=subjects,
        )
        return
    hold = shortest_hold_s(case, at)
    needed = hold_needed_s(travel_s=travel if travel is not None else worst or 0.0, travel_worst_s=worst)
    if hold is None:
        says = (
            f"{one.works} needs the button held for {needed:.1f} s; after what time its fobs stop by"
            " themselves is not known."
        )
        yield Finding(
            "OUT-03",
            Link.OUTPUT,
            Verdict.UNKNOWN,
            about,
            says,
            "Hold a fob's button down and time it until its lamp goes out.",
            limit=needed,
            unit="s",
            subjects=subjects,
        )
        return
    cut_off, group, sources = hold
    margin = cut_off - needed
    # a known worst travel leaves the thumb's second as doubt; without it 10 % of the time
    doubt = BUTTON_LAG_S if worst is not None else 0.1 * needed
    basis = (
        f"{worst:.3g} s at its worst + 1 s for thumb and radio"
        if worst is not None
        else f"{travel:g} s x 1.15 + 1 s"
    )
    verdict = Verdict.FAILS if margin < 0 else Verdict.THIN if margin < doubt else Verdict.HOLDS
    says = (
        f"{one.works} needs the button held for {needed:.1f} s ({basis}); the fob of {group} stops by itself"
        f" after {cut_off:g} s."
    )
    because = {
        Verdict.FAILS: "It stops short; a second press is needed for the rest.",
        Verdict.THIN: f"Less than {doubt:.1f} s is left over, which is the doubt of these times.",
    }.get(verdict, "")
    run = math.ceil(needed)
    remedies = (
        (
            Remedy(
                f"A pulse of {run} s instead of held, only where the whole movement is seen or safeguarded",
                f"{run} s against {needed:.1f} s needed",
                (change(at, "kind", "pulse"), change(at, "for", f"{run} s")),
            ),
            Remedy("Say on the card: let go and press again for the rest"),
        )
        if verdict is not Verdict.HOLDS
        else ()
    )
    yield Finding(
        "OUT-03",
        Link.OUTPUT,
        verdict,
        about,
        says,
        because,
        cut_off,
        round(needed, 3),
        "s",
        margin,
        doubt,
        remedies=remedies,
        sources=(*sources, *one.cite("travel_s", "travel_worst_s"), PRACTICE),
        subjects=subjects,
    )


def _run(case: Case, at: OutputAt, one: Driven) -> Iterator[Finding]:
    longest = one.sheet.longest_run_s
    is_water = one.traits.runs_water or "water" in function_kinds(case, at)
    if one.wants == "pulse" or (longest is None and not (is_water or "heat" in function_kinds(case, at))):
        return
    about, subjects = f"{at.path}: {one.works}", subjects_of(at, one)
    sources = (*one.cite("longest_run_s"), GIVEN)
    for_s = at.output.for_s
    if longest is None:
        if at.output.traits.wants_length and at.output.retrigger and for_s is not None:
            says = (
                f"Each press of {at.path} starts {seconds(for_s)} anew, and how long {one.works} may run in"
                " one go is not known."
            )
            yield Finding(
                "OUT-05",
                Link.OUTPUT,
                Verdict.UNKNOWN,
                about,
                says,
                "Ask how long it may run in one go, and write it as the longest run.",
                remedies=(
                    Remedy(
                        "Not retriggerable: a further press changes nothing",
                        f"{seconds(for_s)} in one go",
                        (change(at, "retrigger", False),),
                    ),
                ),
                subjects=subjects,
            )
        return
    if at.output.traits.keeps_state:
        how = "toggles" if at.output.traits.turns_round else "latches"
        says = (
            f"{at.path} {how} {one.works}: it stays on until"
            f" {'the next press' if how == 'toggles' else 'somebody switches it off'}, without the limit of"
            f" {seconds(longest)}."
        )
        remedy = Remedy(
            f"A pulse of {seconds(longest)}, not retriggerable",
            "",
            (change(at, "kind", "pulse"), change(at, "for", seconds(longest))),
        )
        yield Finding(
            "OUT-05",
            Link.OUTPUT,
            Verdict.FAILS,
            about,
            says,
            "A forgotten or unheard press leaves it on.",
            limit=longest,
            unit="s",
            remedies=(remedy,),
            sources=sources,
            subjects=subjects,
        )
    elif at.output.traits.while_held:
        yield from _held_run(case, at, one, longest, about, subjects)
    elif for_s is not None:
        yield _timed_run(at, one, for_s, longest, about, subjects, sources)


def _held_run(
    case: Case, at: OutputAt, one: Driven, longest: float, about: str, subjects: tuple[Ref, ...]
) -> Iterator[Finding]:
    hold = longest_hold_s(case, at)
    if hold is None:
        return
    receiver = case.equipment.receivers.get(at.receiver_path)
    run = hold[0] + ((receiver.sheet.dropout_s or 0.0) if receiver is not None else 0.0)
    verdict = Verdict.HOLDS if run <= longest else Verdict.FAILS
    says = (
        f"A held press keeps {one.works} on for {run:g} s at most; it may run {seconds(longest)} in one go."
    )
    yield Finding(
        "OUT-05",
        Link.OUTPUT,
        verdict,
        about,
        says,
        "The fob stops by itself.",
        run,
        longest,
        "s",
        longest - run,
        sources=(*hold[2], *one.cite("longest_run_s")),
        subjects=subjects,
    )


def _timed_run(
    at: OutputAt,
    one: Driven,
    for_s: float,
    longest: float,
    about: str,
    subjects: tuple[Ref, ...],
    sources: tuple[Citation, ...],
) -> Finding:
    if for_s > longest:
        remedy = Remedy(f"Make the pulse {seconds(longest)}", "", (change(at, "for", seconds(longest)),))
        says = (
            f"{at.path} keeps {one.works} on for {seconds(for_s)}; it may run {seconds(longest)} in one go."
        )
        return Finding(
            "OUT-05",
            Link.OUTPUT,
            Verdict.FAILS,
            about,
            says,
            "",
            for_s,
            longest,
            "s",
            longest - for_s,
            remedies=(remedy,),
            sources=sources,
            subjects=subjects,
        )
    if at.output.retrigger:
        presses = int(longest // for_s) + 1
        says = (
            f"Each press of {at.path} starts {seconds(for_s)} anew: {presses} presses, each just before the"
            f" time is over, keep {one.works} on for {seconds(presses * for_s)}, more than"
            f" {seconds(longest)}."
        )
        remedy = Remedy(
            "Not retriggerable: a further press changes nothing",
            f"{seconds(for_s)} in one go",
            (change(at, "retrigger", False),),
        )
        return Finding(
            "OUT-05",
            Link.OUTPUT,
            Verdict.FAILS,
            about,
            says,
            "Nothing in the receiver ends a time that is started anew again and again.",
            presses * for_s,
            longest,
            "s",
            longest - presses * for_s,
            remedies=(remedy,),
            sources=sources,
            subjects=subjects,
        )
    says = f"{at.path} keeps {one.works} on for {seconds(for_s)}; it may run {seconds(longest)} in one go."
    because = "A fresh press right at the end starts it again: the limit is for one go, not for the hour."
    return Finding(
        "OUT-05",
        Link.OUTPUT,
        Verdict.HOLDS,
        about,
        says,
        because,
        for_s,
        longest,
        "s",
        longest - for_s,
        sources=sources,
        subjects=subjects,
    )
