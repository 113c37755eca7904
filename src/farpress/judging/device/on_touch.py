"""Doors that shut by themselves on people: their force; and things that get into each other's way."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, driven_of, moves
from farpress.case.found_on_site import working_safeguards
from farpress.domain.cautions import LOCAL_CODES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import DeviceRef, FunctionRef, Ref
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit
from farpress.sources import Citation, Mark

__all__ = ["CLEAR_OF_EACH_OTHER", "DOOR_FORCE", "PUSHES", "judge_on_touch"]

GENTLE_N: Final = 67.0
"""Force that stops the leaf of a low-energy door; EN 16005, from memory."""

DOOR_FORCE: Final = Check(
    "DEV-60",
    Link.DEVICE,
    "Force of a door that shuts by itself with people about, where no presence detection holds it back.",
    unit="N",
    bound=AT_MOST,
    limit=Limit(
        GENTLE_N, (Citation("EN 16005", place="low-energy doors, 67 N and 1.69 J", mark=Mark.MEMORY),)
    ),
    stake=Stake.HARM,
    ask="Have force and speed of the leaf measured by whoever may, and keep the sheet.",
    who=Who.METER,
    minutes=30.0,
    mends="Presence detection on the leaf on both sides, or a drive set to low energy, measured.",
)
PUSH_N: Final = 400.0
"""Force at a closing edge that a body bears for a moment [N]."""

PUSHES: Final = Check(
    "DEV-65",
    Link.DEVICE,
    "Force measured at the closing edge of what moves by power, against what a body bears for a moment.",
    unit="N",
    bound=AT_MOST,
    limit=Limit(PUSH_N, (Citation("EN 12453", place="400 N for at most 0.75 s", mark=Mark.MEMORY),)),
    stake=Stake.HARM,
    bars=True,
    halts=True,
    ask="Have the force at the closing edge measured by whoever may, with the instrument for it.",
    who=Who.METER,
    minutes=30.0,
    mends="A force limit set and measured anew, or an edge that works; until then push-and-hold in sight.",
)
CLEAR_OF_EACH_OTHER: Final = Check(
    "DEV-61",
    Link.DEVICE,
    "Two things that get into each other's way: what keeps the one back while the other is out.",
    stake=Stake.PROMISE,
    ask="Try by hand whether the one strikes the other, and look what keeps them apart.",
    who=Who.INSTALLER,
    minutes=10.0,
    mends="An interlock by wire or by their control; an order that people keep is none.",
)

NEAR_M: Final = 3.0
"""Things so near may reach each other; our choice."""


def judge_on_touch(case: Case) -> Iterator[Finding]:
    """DEV-60 of each door that shuts by itself; DEV-65 of what was measured; DEV-61 of each two things in
    each other's way.
    """
    worked: dict[str, Driven] = {}
    for output in case.outputs():
        for driven in driven_of(case, output):
            worked.setdefault(driven.path, driven)
    for driven in worked.values():
        is_door = driven.traits.can_crush and driven.traits.shuts_a_way
        if is_door and driven.sheet.closes_after_s is not None:
            yield from _force(driven)
        if moves(driven) and driven.traits.can_crush and driven.sheet.force_n is not None:
            yield _pushes(driven)
    for premises, house in case.job.premises.items():
        for first, other in combinations(house.devices, 2):
            pair = worked.get(f"{premises}/{first}"), worked.get(f"{premises}/{other}")
            if pair[0] is not None and pair[1] is not None:
                yield from _apart(case, premises, first, other, (pair[0], pair[1]))


def _force(driven: Driven) -> Iterator[Finding]:
    """DEV-60."""
    has_presence = "presence" in (working_safeguards(driven.sheet) or ())
    if has_presence and driven.sheet.safeguards_tested is not False:
        return
    name, force = driven.path.split("/")[1], driven.sheet.force_n
    measured = f"With what force {name} pushes is not known"
    if force is not None:
        measured = f"{force:g} N were measured at {name}"
    yield DOOR_FORCE.judge(
        about=driven.path,
        subjects=(driven.subject,),
        value=Estimate(force, None, (GIVEN,)),
        says=f"{measured}; it shuts by itself, and no presence detection that works holds it back.",
        because="The old, the small and those with a stick fall at a touch that others hardly feel. Local"
        " codes and licensed practice decide.",
        remedies=(
            Remedy("Presence detection on both sides of the leaf, tested"),
            Remedy("The drive set to low energy, force and speed measured and written down"),
        ),
        cause=driven.subject,
    )


def _pushes(driven: Driven) -> Finding:
    """DEV-65."""
    name, force = driven.path.split("/")[1], driven.sheet.force_n
    return PUSHES.judge(
        about=driven.path,
        subjects=(driven.subject,),
        cause=driven.subject,
        value=Estimate(force, None, driven.cite("force")),
        says=f"{force:g} N were measured at the closing edge of {name}; {PUSH_N:g} N are the most, for a"
        " moment.",
        because="Whoever is under it is held until the power is gone. Scales show too little of a short peak:"
        f" the instrument for it decides. {LOCAL_CODES}",
        remedies=(
            Remedy(f"Take {name} out of service until its force limit or edge is mended and measured"),
            Remedy("A fixed push-and-hold control in sight of it until then"),
        ),
    )


def _apart(
    case: Case, premises: str, first: str, other: str, pair: tuple[Driven, Driven]
) -> Iterator[Finding]:
    """DEV-61."""
    devices = case.job.premises[premises].devices
    one_side, other_side = devices[first], devices[other]
    kept = one_side.strikes.get(other) or other_side.strikes.get(first)
    ends = one_side.at, other_side.at
    is_near = ends[0] is not None and ends[1] is not None and math.dist(ends[0][:2], ends[1][:2]) <= NEAR_M
    meet = pair[0].kind in pair[1].traits.in_the_way_of or pair[1].kind in pair[0].traits.in_the_way_of
    if kept is None and not (is_near and meet):
        return
    asks: tuple[Ask, ...] = ()
    if kept is None:
        answer = Answer.UNKNOWN
        says = f"Whether {first} and {other} strike each other is not known; they lie side by side."
        asks = (
            Ask(
                f"Try whether {first} strikes {other}, and write 'strikes' at one of them with what keeps"
                " them apart.",
                Who.INSTALLER,
                10.0,
            ),
        )
    elif kept in ("nothing", "people"):
        answer = Answer.NO
        by = "nothing keeps" if kept == "nothing" else "only people keep"
        says = f"{first} and {other} strike each other, and {by} the one back while the other is out."
    elif kept == "never":
        answer, says = Answer.YES, f"{first} and {other} never reach each other."
    else:
        answer, says = Answer.YES, f"{first} and {other} are kept apart by {kept}."
    refs: tuple[Ref, ...] = (DeviceRef(f"{premises}/{first}"), DeviceRef(f"{premises}/{other}"))
    functions = {
        name: None
        for output in case.outputs()
        if any(it.path in (f"{premises}/{first}", f"{premises}/{other}") for it in driven_of(case, output))
        for name in output.functions
    }
    yield CLEAR_OF_EACH_OTHER.decide(
        about=f"{premises}: {first} and {other}",
        subjects=(*refs, *(FunctionRef(name) for name in functions)),
        answer=answer,
        says=says,
        because="" if answer is Answer.YES else "A press moves the one whatever the other does.",
        asks=asks,
        remedies=(Remedy(f"An interlock between {first} and {other}, by end contacts or their control"),),
        sources=(PRACTICE, GIVEN),
    )
