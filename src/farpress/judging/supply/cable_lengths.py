"""Judges the length of a cable against the straight line between the things it joins."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Final, Protocol

from farpress.case.cable_bodies import CableBody
from farpress.case.cables import cables_of
from farpress.case.case import Case
from farpress.case.citations import GIVEN
from farpress.domain.finding import Ask, Finding, Link, Stake, Who
from farpress.domain.premises import Premises
from farpress.domain.refs import PlanRef, PremisesRef
from farpress.judging.check import Answer, Check
from farpress.sources import Citation, Mark

__all__ = ["LONG_ENOUGH", "judge"]

LONG_ENOUGH: Final = Check(
    "SUP-33",
    Link.SUPPLY,
    "Length of a cable, against the straight line between the things it joins.",
    unit="m",
    stake=Stake.PROMISE,
    ask="Measure the way of the cable again, and where its two ends are.",
    who=Who.INSTALLER,
    minutes=10.0,
    mends="The length as it is laid, or the place as it is.",
)

DRAWN_TO_M: Final = 1.0
"""A plan is read off to so much at each end: our choice [m]."""

_STRAIGHT: Final = Citation(
    "a cable is no shorter than the straight line between its ends", mark=Mark.COMPUTED
)


class _Placed(Protocol):
    """Something that may be on the plan."""

    @property
    def at(self) -> tuple[float, ...] | None: ...


def judge(case: Case) -> Iterator[Finding]:
    """SUP-33 of every cable of a length whose two ends are on the plan."""
    for premises, house in case.job.premises.items():
        for body in cables_of(case, premises):
            apart_m = _farthest_m(house, body)
            if body.length_m is not None and apart_m is not None:
                yield _spans(body, body.length_m, apart_m)


def _spans(body: CableBody, length_m: float, apart_m: float) -> Finding:
    """Too short a cable is a slip of the pen, or another cable: asked, as what is computed from it is off."""
    is_enough = length_m >= apart_m - 2 * DRAWN_TO_M
    joins = f"{body.label} from {body.near} to {body.far}"
    return LONG_ENOUGH.decide(
        about=joins,
        subjects=(PlanRef(f"{body.premises}/{body.label}"), PremisesRef(body.premises)),
        answer=Answer.YES if is_enough else Answer.UNKNOWN,
        says=f"{joins} is {length_m:g} m long; its ends lie {apart_m:.1f} m apart in a straight line.",
        because=""
        if is_enough
        else "Volts, ohms and the cable to be bought are computed with a length that cannot be.",
        asks=()
        if is_enough
        else (
            Ask(f"Measure the way of {joins} again, or say where its ends really are.", Who.INSTALLER, 10.0),
        ),
        value=length_m,
        limit=apart_m,
        sources=(GIVEN, _STRAIGHT),
    )


def _farthest_m(house: Premises, body: CableBody) -> float | None:
    """The longest straight line between two things that it joins [m]; None where none is on the plan."""
    pairs = {(run.start, run.target) for run in body.runs if not run.is_link}
    pairs |= {(near.thing, far.thing) for core in body.conductors for near in core.near for far in core.far}
    spans = [span for first, second in pairs if (span := _apart_m(house, first, second)) is not None]
    return max(spans, default=None)


def _apart_m(house: Premises, first: str, second: str) -> float | None:
    """Straight line between two things [m], over the ground where a height is not known."""
    near, far = _place(house, first), _place(house, second)
    if near is None or far is None:
        return None
    known = min(len(near), len(far))
    return math.dist(near[:known], far[:known])


def _place(house: Premises, name: str) -> tuple[float, ...] | None:
    there: tuple[Mapping[str, _Placed], ...] = (
        house.receivers,
        house.devices,
        house.supplies,
        house.panels,
        house.junctions,
    )
    return next((things[name].at for things in there if name in things), None)
