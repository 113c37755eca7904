"""How outputs are used: presses that meet a movement, and functions that lead nowhere.

Part of the judgements on output logic; see `output` for the list of codes.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import CHOICE, GIVEN, PRESSES
from farpress.case.driven import (
    Driven,
    change,
    driven_of,
    known_holders,
    moves,
    presses_per_second,
    subjects_of,
)
from farpress.core.rehearsal.barrier import share_another_press
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.domain.refs import FunctionRef, OutputRef

__all__ = ["judge_use", "second_press_counts"]

ANOTHER_PRESS_SHARE: Final = 0.05
"""Chance of a second press during the movement that is still called quiet; our choice."""

FEW: Final = 20
"""Holders up to whom an unanswered question about the start input is not raised; our choice."""


def judge_use(case: Case) -> Iterator[Finding]:
    """Findings about busy step-by-step inputs and about loose ends."""
    for at in case.outputs():
        for one in driven_of(case, at):
            if moves(one) and second_press_counts(one) is not False:
                yield from _busy(case, at, one)
        yield from _loose_output(case, at)
    yield from _loose_functions(case)


def second_press_counts(one: Driven) -> bool | None:
    """Whether a second press during the movement stops or turns it; None if that is not known."""
    if one.input is not None and one.input.closes_by_second_press is not None:
        return one.input.closes_by_second_press
    return None if one.logic == "start" else False


def _busy(case: Case, at: OutputAt, one: Driven) -> Iterator[Finding]:
    if not at.functions:
        return
    sure = second_press_counts(one)
    about, subjects = f"{at.path}: {one.works}", subjects_of(at, one)
    rate, travel = presses_per_second(case, at), one.sheet.travel_worst_s or one.sheet.travel_s
    remedies = (
        Remedy(
            f"Work the open-only input of {one.path.split('/')[1]} instead, with timed closing and its"
            " safeguards",
            "further presses while opening change nothing",
        ),
    )
    if rate is None or travel is None:
        people = known_holders(case, at)
        if sure is None and (people is None or people > FEW):
            says = (
                f"Whether a second press stops or turns {one.works} while it moves is not known, and many"
                " people press it."
            )
            yield Finding(
                "OUT-07",
                Link.OUTPUT,
                Verdict.UNKNOWN,
                about,
                says,
                "Press twice in a row and watch; or read the drive's description of its start input.",
                remedies=remedies,
                subjects=subjects,
            )
        elif sure:
            missing = "its travel time" if travel is None else "how often it is pressed"
            says = (
                f"A second press stops or turns {one.works}; how often that happens cannot be said without"
                f" {missing}."
            )
            yield Finding(
                "OUT-07",
                Link.OUTPUT,
                Verdict.UNKNOWN,
                about,
                says,
                f"Give {missing}.",
                remedies=remedies,
                subjects=subjects,
            )
        return
    chance = share_another_press(rate_per_s=rate[0], within_s=travel)
    margin = ANOTHER_PRESS_SHARE - chance
    bad = chance > ANOTHER_PRESS_SHARE
    verdict = (
        Verdict.HOLDS
        if not bad
        else (
            Verdict.UNKNOWN
            if sure is None
            else Verdict.THIN
            if chance <= 2 * ANOTHER_PRESS_SHARE
            else Verdict.FAILS
        )
    )
    says = (
        f"Somebody else presses during the {travel:g} s that {one.works} moves in {_per_cent(chance)} of all"
        f" uses ({rate[1]})."
    )
    if sure is None:
        because = (
            "Whether a second press then stops or turns it is not known; press twice in a row and watch."
            if bad
            else "Few enough, even if a second press should stop or turn it."
        )
    else:
        because = (
            "The second press stops or turns the leaf: the next user, or vehicle, meets it half-way."
            if bad
            else "A second press stops or turns the leaf, but rarely meets a movement."
        )
    yield Finding(
        "OUT-07",
        Link.OUTPUT,
        verdict,
        about,
        says,
        because,
        chance,
        ANOTHER_PRESS_SHARE,
        "",
        margin,
        remedies=remedies if bad else (),
        sources=(*one.cite("travel_s", "travel_worst_s"), GIVEN, PRESSES, CHOICE),
        subjects=subjects,
    )


def _per_cent(share: float) -> str:
    return f"{share:.0%}" if share >= 0.1 else f"{share:.1%}" if share >= 0.001 else "less than 0.1 %"


def _loose_output(case: Case, at: OutputAt) -> Iterator[Finding]:
    subjects = (OutputRef(at.path),)
    if at.functions and not at.works:
        says = f"{', '.join(at.functions)} presses {at.path}, which works nothing."
        yield Finding(
            "OUT-08",
            Link.OUTPUT,
            Verdict.FAILS,
            at.path,
            says,
            "Write what it works, as 'works: gate.open'.",
            sources=(GIVEN,),
            subjects=(*subjects, *(FunctionRef(name) for name in at.functions)),
        )
    elif (
        at.works and not at.functions and not all(one.reads == "zone" for one in driven_of(case, at))
    ):  # a zone is told things, nobody presses it
        says = f"{at.path} works {', '.join(at.works)}, but no function presses it."
        yield Finding(
            "OUT-08",
            Link.OUTPUT,
            Verdict.UNKNOWN,
            at.path,
            says,
            "Name the function it is for, or take the output out and call it a spare.",
            remedies=(Remedy("Take the output out", "a spare output", (change(at, "works", None),)),),
            sources=(GIVEN,),
            subjects=subjects,
        )


def _loose_functions(case: Case) -> Iterator[Finding]:
    outputs = {at.path for at in case.outputs()}
    for name, function in case.job.functions.items():
        subjects = (FunctionRef(name),)
        missing = [path for path in function.paths if path not in outputs]
        if not function.paths or missing:
            says = (
                f"{name} presses no output."
                if not function.paths
                else f"{name} presses {', '.join(missing)}, which is not there."
            )
            yield Finding(
                "OUT-08",
                Link.OUTPUT,
                Verdict.FAILS,
                name,
                says,
                "Write premises/receiver/output.",
                sources=(GIVEN,),
                subjects=subjects,
            )
        elif not case.groups_with(name):
            yield Finding(
                "OUT-08",
                Link.OUTPUT,
                Verdict.UNKNOWN,
                name,
                f"{name} is on no button.",
                "Say which group has it, or take it out.",
                sources=(GIVEN,),
                subjects=subjects,
            )
