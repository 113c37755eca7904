"""What a thing does to people around it who press nothing: noise by night, ice on their way."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.worked import Worked, worked_devices
from farpress.core.rehearsal.around import level_db
from farpress.domain.cautions import LOCAL_CODES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.kinds import device_kind
from farpress.domain.place_sheets import Noise
from farpress.domain.told_words import SPRAYED, told
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit, wide_edge
from farpress.sources import Citation, Mark, cited

__all__ = ["FALLS_ON", "HEARD_BY_NIGHT", "judge"]

_NIGHT: Final = Citation(
    "WHO Guidelines for community noise",
    "1999",
    "outside bedrooms by night 60 dB(A) at the most for single events",
    Mark.MEMORY,
)
BY_NIGHT_DB: Final = 60.0
"""Outside a bedroom by night, at most [dB(A)]."""

HEARD_BY_NIGHT: Final = Check(
    "SAFE-73",
    Link.SAFETY,
    "How loud a thing is at the nearest bedroom window, against what lets people sleep, or who allowed it.",
    unit="dB",
    bound=AT_MOST,
    limit=Limit(BY_NIGHT_DB, (_NIGHT,)),
    thin=wide_edge(3.0, "walls throw sound back, 3 dB more"),
    stake=Stake.PROMISE,
    ask="Ask how loud it is at 1 m, how far the nearest bedroom window is, and who allowed it.",
    who=Who.CUSTOMER,
    minutes=10.0,
    mends="Hours agreed with the authority and the neighbours in writing, a quieter signal, or a pager.",
)
FALLS_ON: Final = Check(
    "SAFE-74",
    Link.SAFETY,
    "Where sprayed water falls at the farthest: not on a way that others walk, ride or drive on.",
    stake=Stake.HARM,
    ask="Look where the water falls in wind, and whether others pass there.",
    who=Who.INSTALLER,
    minutes=10.0,
    mends="Nozzles that throw to one side, a screen, the row along the way shut off by a valve of its own.",
)


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-73 of what sounds or is said to be loud, SAFE-74 of what sprays."""
    for worked in worked_devices(case):
        sheet = worked.driven.sheet
        if _sounds_outside(case, worked) or sheet.noise is not None:
            yield _heard(worked, sheet.noise or Noise())
        word = told(SPRAYED, *worked.texts(case)) if _runs_water(worked) else ""
        if word or sheet.falls_on is not None:
            yield _falls(worked, word)


def _sounds_outside(case: Case, worked: Worked) -> bool:
    """Whether neighbours may hear it: out of doors or nobody says where, and no call to people near by."""
    there = case.job.premises[worked.premises].devices.get(worked.name)
    known = (case.job.functions.get(name) for name in worked.functions)
    is_call = any(function is not None and function.kind == "call" for function in known)
    is_indoors = there is not None and there.level is not None
    return worked.driven.traits.makes_sound and not is_call and not is_indoors


def _runs_water(worked: Worked) -> bool:
    traits = worked.driven.traits
    is_pump = traits.pumps or device_kind(worked.driven.sheet.feeds).pumps
    return (traits.runs_water or is_pump) and not traits.moves


def _heard(worked: Worked, noise: Noise) -> Finding:
    """SAFE-73."""
    name = worked.name
    loud: float | None = None
    if noise.loudness is not None and noise.bedroom_m is not None:
        loud = level_db(at_1_m=noise.loudness, distance_m=max(1.0, noise.bedroom_m))
    asks = [
        Ask(ask, who, 5.0)
        for value, ask, who in (
            (noise.loudness, f"Find how loud {name} is at 1 m, on its label.", Who.LABEL),
            (noise.bedroom_m, f"Measure from {name} to the nearest bedroom window.", Who.INSTALLER),
        )
        if value is None
    ]
    says = f"How loud {name} is at the nearest bedroom window is not known."
    if loud is not None:
        says = f"{name} is heard with {loud:.0f} dB(A) at a bedroom window {noise.bedroom_m:g} m away."
    if noise.agreed:
        return HEARD_BY_NIGHT.decide(
            about=worked.path,
            subjects=worked.refs,
            answer=Answer.YES,
            says=f"{says[:-1]}; allowed by {noise.agreed}.",
            asks=asks,
            sources=worked.driven.cite("noise"),
            value=loud,
            limit=BY_NIGHT_DB,
        )
    return HEARD_BY_NIGHT.judge(
        about=worked.path,
        subjects=worked.refs,
        value=Estimate(loud, None, cited(level_db)),
        says=says,
        because=f"In the open, nothing between. Signals that warn the public are reserved. {LOCAL_CODES}",
        asks=asks,
        remedies=(
            Remedy(
                f"Ask the authority when {name} may sound there, and have it and the neighbours in writing"
            ),
            Remedy("By night a pager or a telephone in its place"),
        ),
        sources=worked.driven.cite("noise"),
    )


def _falls(worked: Worked, word: str) -> Finding:
    """SAFE-74."""
    name, falls = worked.name, worked.driven.sheet.falls_on
    answer, says = {
        "own ground": (Answer.YES, f"The water of {name} falls on its own ground."),
        "a way": (Answer.NO, f"The water of {name} falls on a way that others use."),
        None: (
            Answer.UNKNOWN,
            f"'{word}' is written about {name}; where its water falls in wind, and whether others pass there,"
            " is not said.",
        ),
    }[falls]
    return FALLS_ON.decide(
        about=worked.path,
        subjects=worked.refs,
        answer=answer,
        says=says,
        because=""
        if answer is Answer.YES
        else f"In frost it is ice at once, and who rides or drives there does not expect it. {LOCAL_CODES}",
        bars=answer is Answer.NO,
        halts=answer is Answer.NO,
        asks=(
            Ask(
                f"Look how far the water of {name} flies with the wind, and whether others walk, ride or"
                " drive there ('falls_on').",
                Who.INSTALLER,
                10.0,
            ),
        )
        * (answer is Answer.UNKNOWN),
        remedies=(
            Remedy(
                "Nozzles that throw to one side, or a screen; the row along the way on a valve of its own"
            ),
            Remedy("Signs and a word with the authority for the road, before the first frost"),
        ),
        sources=(*worked.driven.cite("falls_on"), GIVEN, PRACTICE),
    )
