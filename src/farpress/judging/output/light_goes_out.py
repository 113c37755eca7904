"""Lights for a time: a press while they are on prolongs it, or they go out under whoever pressed.

Part of the judgements on output logic.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import (
    Driven,
    change,
    driven_of,
    function_kinds,
    groups_of,
    known_holders,
    subjects_of,
)
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit
from farpress.judging.device.on_foot import SLOWEST_M_PER_S
from farpress.phrases import listed
from farpress.units import write_quantity

__all__ = ["PROLONGED", "WALKED_IN_LIGHT", "judge_lights"]

_SURE: Final = 1.5
"""A light burns half as long again as the slowest need; our choice."""

PROLONGED: Final = Check(
    "OUT-21",
    Link.OUTPUT,
    "A light for a time: whether a press while it is on begins the time anew.",
    stake=Stake.PROMISE,
    advice=True,
    mends="A pulse that starts anew with each press.",
)


WALKED_IN_LIGHT: Final = Check(
    "OUT-50",
    Link.OUTPUT,
    "The way that is walked in a light for a time, at the pace of the slowest, against that time.",
    unit="s",
    bound=AT_MOST,
    stake=Stake.HARM,
    ask="Walk it at the pace of the slowest, with what they carry, and take the time.",
    who=Who.INSTALLER,
    minutes=5.0,
    mends="A longer time that each press begins anew, and a dim light before it goes out.",
)


def judge_lights(case: Case) -> Iterator[Finding]:
    """OUT-21 and OUT-50 of each light on a pulse that somebody presses for light."""
    for output in case.outputs():
        kinds = function_kinds(case, output)
        if output.output.traits.wants_length and ("light" in kinds or not kinds):
            for driven in driven_of(case, output):
                if driven.traits.gives_light or driven.traits.feeds_more:
                    yield _judged(output, driven)
                    if driven.sheet.lights_m is not None:
                        yield _walked(case, output, driven, driven.sheet.lights_m)


def _judged(output: OutputAt, driven: Driven) -> Finding:
    is_prolonged = output.output.retrigger
    lasts = "" if output.output.for_s is None else f" of {write_quantity(output.output.for_s, 'time')}"
    if is_prolonged:
        says = f"A press while {driven.works} is on begins its time{lasts} anew."
    else:
        says = (
            f"A press while {driven.works} is on does nothing: it goes out after its time{lasts}, under"
            " whoever has just pressed."
        )
    return PROLONGED.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=Answer.YES if is_prolonged else Answer.NO,
        says=says,
        because=""
        if is_prolonged
        else "Somebody on a stair or a jetty presses early, and stands in the dark.",
        remedies=(
            Remedy("Let each press begin the time anew", "", (change(output, "retrigger", True),)),
            Remedy("A longer time, and a dim light before it goes out"),
        ),
        sources=(PRACTICE, GIVEN),
    )


def _walked(case: Case, output: OutputAt, driven: Driven, way_m: float) -> Finding:
    """OUT-50; where nobody gives a pace it is asked, unless the slowest are out in time as well."""
    paces = {name: group.walks_m_per_s for name, group in groups_of(case, output)}
    for_s, unsaid = output.output.for_s, [name for name, pace in paces.items() if pace is None]
    known = [pace for pace in paces.values() if pace is not None]
    slowest = min([*known, *([SLOWEST_M_PER_S] if unsaid else [])], default=SLOWEST_M_PER_S)
    needed_s = way_m / slowest
    asks: list[Ask] = []
    if for_s is not None and unsaid and needed_s > for_s:
        asks.append(
            Ask(f"Ask how fast the slowest of {listed(unsaid)} walk there, with luggage.", Who.CUSTOMER)
        )
    lights = "" if for_s is None else f", and a press lights it for {write_quantity(for_s, 'time')}"
    says = (
        f"{way_m:g} m in the light of {driven.path.split('/')[1]} take {needed_s:.0f} s at"
        f" {slowest:g} m/s{lights}."
    )
    about, subjects = f"{output.path}: {driven.works}", subjects_of(output, driven)
    sources = (*driven.cite("lights_m"), GIVEN, PRACTICE)
    if for_s is not None and not output.output.retrigger and known_holders(case, output) != 1:
        return WALKED_IN_LIGHT.decide(
            about=about,
            subjects=subjects,
            answer=Answer.NO,
            says=f"{says} Whoever presses while it is on has what is left of that, be it seconds.",
            because="Several walk there; it goes out under whoever came after the first.",
            remedies=_longer(output, needed_s),
            sources=sources,
            value=needed_s,
            limit=for_s,
        )
    return WALKED_IN_LIGHT.judge(
        about=about,
        subjects=subjects,
        value=Estimate(needed_s, None, sources),
        limit=Limit(for_s, (GIVEN,)),
        says=says,
        because="Whoever is slower, or stops to look, stands in the dark at the far end.",
        asks=asks,
        failure_stands=bool(known) and way_m / min(known) > (for_s or 0.0),
        remedies=_longer(output, needed_s),
    )


def _longer(output: OutputAt, needed_s: float) -> tuple[Remedy, ...]:
    better = write_quantity(60.0 * math.ceil(_SURE * needed_s / 60.0), "time")
    return (
        Remedy(
            f"Light it for {better}, and let each press begin the time anew",
            f"{better} against {write_quantity(needed_s, 'time')} needed",
            (change(output, "for", better), change(output, "retrigger", True)),
        ),
        Remedy("A dim light that stays on, and steps marked so that they are seen in it"),
    )
