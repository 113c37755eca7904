"""People inside when an alarm is set: who may be there, and what keeps it from being set on them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import CHOICE, GIVEN, PRACTICE
from farpress.case.driven import Driven, driven_of, function_kinds, groups_of, known_holders
from farpress.core.keys.inside import mean_inside, share_somebody_inside
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import FunctionRef, OutputRef, PanelRef, Ref
from farpress.domain.zones import AlarmArea
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit
from farpress.phrases import listed
from farpress.sources import cited
from farpress.units import write_quantity

__all__ = ["FULL_ON_PART", "OTHERS_INSIDE", "OTHERS_THINGS", "judge"]

MOST_INSIDE: Final = 0.01
"""Chance of setting an alarm on somebody that may be taken; our choice."""

OTHERS_INSIDE: Final = Check(
    "PAN-18",
    Link.PANEL,
    "Whether somebody else is inside when whoever leaves sets the alarm.",
    bound=AT_MOST,
    limit=Limit(MOST_INSIDE, (CHOICE,)),
    stake=Stake.HARM,
    ask="Ask how many come in an hour, how long they stay, and what keeps it from being set on them.",
    who=Who.CUSTOMER,
    minutes=5.0,
    mends="Setting by time and a look round, prevented by an open door or by movement; never by"
    " the last press.",
)
FULL_ON_PART: Final = Check(
    "PAN-19",
    Link.PANEL,
    "Whether the whole alarm can be set while people sleep or work inside and a part of it is set.",
    stake=Stake.HARM,
    ask="Try at the panel whether it takes a full set while it is part set.",
    who=Who.ALARM_COMPANY,
    minutes=10.0,
    mends="A panel that refuses a full set while it is part set, or a switch of those inside"
    " that prevents it.",
)
OTHERS_THINGS: Final = Check(
    "PAN-20",
    Link.PANEL,
    "Whether whoever unsets an area unsets it for others who have something of their own in it.",
    stake=Stake.PROMISE,
    mends="An area, or at least a detector that is told apart, for each of them; radio cannot give it.",
)

KNOW_EACH_OTHER: Final = 10
"""So many who set an alarm know of each other who is inside, a household or a shop; our choice."""

WHOLE: Final = AlarmArea()
"""Stands for a panel that is set and unset as a whole, of which nobody tells more."""

_PREVENT: Final = (
    Remedy("Let the panel prevent setting while a door is open or something moves inside"),
    Remedy("Set it by time after somebody has looked round; never by the press of whoever leaves"),
)


@dataclass(frozen=True)
class _Use:
    """An output on an input of an area."""

    output: OutputAt
    driven: Driven
    is_part: bool


def judge(case: Case) -> Iterator[Finding]:
    """PAN-18 to PAN-20 of each area that a fob sets or unsets."""
    for premises, house in case.job.premises.items():
        for panel, entry in house.panels.items():
            for name, area in (entry.areas or {panel: WHOLE}).items():
                uses = list(_uses(case, premises, panel, area))
                setting = [use for use in uses if use.driven.reading.sets]
                path = f"{premises}/{panel}"
                if setting and (area.arrivals_per_day or area.stay_s is not None):
                    yield from _others_inside(path, name, area, setting)
                if setting and not entry.areas:
                    yield from _nobody_says(case, path, name, setting)
                if setting and area.people_inside in (None, "while part set", "at any time"):
                    yield from _full_on_part(case, path, name, area, setting)
                if area.parties > 1 and any(use.driven.reading.unsets for use in uses):
                    yield _others_things(case, path, name, area, uses)


def _uses(case: Case, premises: str, panel: str, area: AlarmArea) -> Iterator[_Use]:
    for output in case.outputs():
        for driven in driven_of(case, output):
            name, _, pin = driven.works.partition(".")
            if output.premises == premises and name == panel and (not area.inputs or pin in area.inputs):
                kinds = function_kinds(case, output)
                yield _Use(output, driven, driven.reading.is_part or kinds == {"part set"})


def _subjects(path: str, uses: list[_Use]) -> tuple[Ref, ...]:
    return (PanelRef(path), *(OutputRef(use.output.path) for use in uses))


def _prevented(area: AlarmArea) -> str:
    return listed(area.set_prevented_by or ())


def _others_inside(path: str, name: str, area: AlarmArea, setting: list[_Use]) -> Iterator[Finding]:
    """PAN-18, at each time of which arrivals are told."""
    subjects = _subjects(path, setting)
    if not area.arrivals_per_day:
        yield OTHERS_INSIDE.judge(
            about=f"{path}: {name}",
            subjects=subjects,
            value=Estimate(None),
            says=f"How many come into {name} is not said, and so whether somebody is inside when it is set.",
            asks=(
                Ask(f"Ask how many come into {name} in an hour, at the busiest and at night.", Who.CUSTOMER),
            ),
        )
    for when, rate in area.arrivals_per_day.items():
        about = f"{path}: {name}, {when}"
        stay = area.stay_s
        if stay is None:
            yield OTHERS_INSIDE.judge(
                about=about,
                subjects=subjects,
                value=Estimate(None),
                says=f"How long somebody stays in {name} is not known.",
                asks=(Ask(f"Ask how long somebody stays in {name}.", Who.CUSTOMER),),
            )
            continue
        share = share_somebody_inside(arrivals_per_day=rate, stay_s=stay)
        mean = mean_inside(arrivals_per_day=rate, stay_s=stay)
        come = f"{rate / 24:.3g} an hour come and stay {write_quantity(stay, 'time')}"
        if area.set_prevented_by:
            yield OTHERS_INSIDE.decide(
                about=about,
                subjects=subjects,
                answer=Answer.YES,
                says=f"{name} is not set on somebody inside: {_prevented(area)} prevents it. {come}.",
                value=share,
                limit=MOST_INSIDE,
                sources=(GIVEN,),
            )
            continue
        unknown = area.set_prevented_by is None
        yield OTHERS_INSIDE.judge(
            about=about,
            subjects=subjects,
            value=Estimate(share, None, (GIVEN, *cited(share_somebody_inside))),
            says=f"Whoever sets {name} on leaving sets it on somebody else in {share:.1%} of all"
            f" cases ({when}:"
            f" {come}, {mean:.3g} inside on average).",
            because="The last one out cannot be told from any other by a press.",
            asks=(
                Ask(
                    f"Ask the alarm company what prevents setting {name} while somebody is inside.",
                    Who.ALARM_COMPANY,
                ),
            )
            if unknown
            else (),
            failure_stands=True,
            remedies=_PREVENT,
        )


def _nobody_says(case: Case, path: str, name: str, setting: list[_Use]) -> Iterator[Finding]:
    """PAN-18 where several can set it and nobody tells who may be inside then."""
    counts = [known_holders(case, use.output) for use in setting]
    if all(count is not None and count <= KNOW_EACH_OTHER for count in counts):
        return
    yield OTHERS_INSIDE.judge(
        about=f"{path}: {name}",
        subjects=_subjects(path, setting),
        value=Estimate(None),
        says=f"Several people can set {name}; whether somebody else may be inside then, and what prevents it,"
        " is not said.",
        because="The last one out cannot be told from any other by a press.",
        asks=(
            Ask(
                f"Ask who may be inside when {name} is set, and what keeps it from being set then ('areas').",
                Who.CUSTOMER,
                5.0,
            ),
        ),
    )


def _full_on_part(
    case: Case, path: str, name: str, area: AlarmArea, setting: list[_Use]
) -> Iterator[Finding]:
    """PAN-19: who may set the whole of it while others are inside with a part set."""
    full = [use for use in setting if not use.is_part]
    part = [use for use in setting if use.is_part]
    if not full or (not part and area.people_inside is None):
        return
    takes = case.equipment.panels[path].sheet.full_from_part
    prevented = bool(area.set_prevented_by)
    setters = list(dict.fromkeys(group for use in full for group, _ in groups_of(case, use.output))) or [
        "whoever has the button"
    ]
    sleepers = list(dict.fromkeys(group for use in part for group, _ in groups_of(case, use.output)))
    before = (
        f"{listed(sleepers)} part set {name} and stay inside" if sleepers else f"somebody is inside {name}"
    )
    story = f"{before}; {listed(setters)} press full set on leaving; whoever gets up inside raises the alarm."
    if prevented or takes is False:
        answer = Answer.YES
        how = f"{_prevented(area)} prevents it" if prevented else "the panel refuses it while it is part set"
        says = f"{name} is not fully set with somebody inside: {how}."
        story = ""
    elif takes is None and part and area.set_prevented_by is None:
        answer = Answer.UNKNOWN
        says = f"Whether {name} can be fully set while it is part set, with people inside, is not known."
    else:
        answer = Answer.NO
        says = f"Nothing keeps {name} from being fully set with people inside."
    functions = [function for use in (*full, *part) for function in use.output.functions]
    yield FULL_ON_PART.decide(
        about=f"{path}: {name}",
        subjects=(*_subjects(path, [*full, *part]), *(FunctionRef(function) for function in functions)),
        cause=PanelRef(path),
        answer=answer,
        says=says,
        because=story,
        remedies=(
            Remedy("A panel that refuses a full set while it is part set, and says so by its pulses"),
            Remedy("A switch of those inside that prevents setting, as long as they are there"),
        ),
        sources=(PRACTICE, GIVEN),
    )


def _others_things(case: Case, path: str, name: str, area: AlarmArea, uses: list[_Use]) -> Finding:
    """PAN-20."""
    unsetting = [use for use in uses if use.driven.reading.unsets]
    groups = list(dict.fromkeys(group for use in unsetting for group, _ in groups_of(case, use.output)))
    who = listed(groups) if groups else "whoever has the button"
    return OTHERS_THINGS.decide(
        about=f"{path}: {name}, unset",
        subjects=_subjects(path, unsetting),
        cause=PanelRef(path),
        answer=Answer.NO,
        says=f"Each of {who} unsets {name} for all {area.parties} who have something of their own in it.",
        because="While it is unset nobody is told whose door was opened.",
        remedies=(
            Remedy("An area of its own for each, or for a few who trust each other"),
            Remedy("A detector for each that reports by itself, even while the area is unset"),
        ),
        sources=(GIVEN,),
    )
