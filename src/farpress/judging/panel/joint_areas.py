"""Areas that are set with others: how many nights and hours they stand unset because of one of those."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import CHOICE, GIVEN, PRESSES
from farpress.dates import stretch_of
from farpress.domain.finding import Ask, Finding, Link, Remedy, Who
from farpress.domain.refs import PanelRef
from farpress.domain.zones import AlarmArea
from farpress.judging.check import AT_MOST, Check, Estimate, Limit
from farpress.phrases import listed

__all__ = ["OPEN_HOURS", "UNSET_NIGHTS", "judge"]

UNSET_NIGHTS: Final = Check(
    "PAN-42",
    Link.PANEL,
    "An area that is set only once others are: share of the nights on which one of them keeps it unset.",
    unit="%",
    bound=AT_MOST,
    limit=Limit(5.0, (CHOICE,)),
    ask="Ask how often each forgets to set.",
    who=Who.CUSTOMER,
    minutes=10.0,
    mends="A set of its own, by time or by whoever goes last, and a report where it is not set by then.",
)
OPEN_HOURS: Final = Check(
    "PAN-43",
    Link.PANEL,
    "An area that the first of others unsets: hours for which it stands unset before the last of them comes.",
    unit="h",
    bound=AT_MOST,
    limit=Limit(1.0, (CHOICE,)),
    ask="Ask from when to when somebody is in each of them.",
    who=Who.CUSTOMER,
    minutes=10.0,
    mends="A way through it for the first alone, the rest part set; or a set and unset of its own.",
)

NIGHTS_A_YEAR: Final = 365


def judge(case: Case) -> Iterator[Finding]:
    """PAN-42 and PAN-43 of each area that is set with others."""
    for premises, house in case.job.premises.items():
        for panel, entry in house.panels.items():
            for name, area in entry.areas.items():
                others = {other: entry.areas[other] for other in area.set_with if other in entry.areas}
                if others:
                    yield _nights(f"{premises}/{panel}", name, others)
                    yield _hours(f"{premises}/{panel}", name, others)


def _nights(path: str, name: str, others: Mapping[str, AlarmArea]) -> Finding:
    """PAN-42: it is set only where nobody forgets."""
    silent = [other for other, area in others.items() if area.forgotten_share is None]
    kept = math.prod(1.0 - (area.forgotten_share or 0.0) for area in others.values())
    unset = None if silent else 1.0 - kept
    says = f"{name} is set only once {listed(list(others))} are; how often one of them forgets is not known."
    if unset is not None:
        says = (
            f"{name} is set only once {listed(list(others))} are: one of them forgets on {unset:.1%} of the"
            f" nights, {NIGHTS_A_YEAR * unset:.0f} in a year."
        )
    return UNSET_NIGHTS.judge(
        about=f"{path}: {name}",
        subjects=(PanelRef(path),),
        value=Estimate(None if unset is None else 100.0 * unset, None, (PRESSES, GIVEN)),
        says=says,
        because="Nobody sees it. One that closes for weeks and was left unset keeps it unset all the while.",
        asks=[
            Ask(
                f"Ask on how many evenings {listed(silent)} forget to set, and write 'forgotten'; an alarm"
                " company reads it from the record of the panel.",
                Who.CUSTOMER,
                10.0,
            )
        ]
        if silent
        else [],
        remedies=(Remedy(f"A set of its own for {name}, by time, and a report where it is not set by then"),),
    )


def _hours(path: str, name: str, others: Mapping[str, AlarmArea]) -> Finding:
    """PAN-43: from the first who comes to the last."""
    starts = {other: None if area.hours is None else stretch_of(area.hours) for other, area in others.items()}
    silent = [other for other, ends in starts.items() if ends is None]
    comes = {other: ends[0] for other, ends in starts.items() if ends is not None}
    first, last = min(comes, key=comes.__getitem__, default=""), max(comes, key=comes.__getitem__, default="")
    wait = None if silent else (comes[last] - comes[first]) / 60.0
    says = f"{name} is unset by whoever comes first; when that is is not known."
    if wait is not None:
        says = (
            f"{first} unsets {name} {wait:g} h before {last} comes: what lies behind it is without it that"
            " long."
        )
    return OPEN_HOURS.judge(
        about=f"{path}: {name}, unset by the first",
        subjects=(PanelRef(path),),
        value=Estimate(wait, None, (GIVEN,)),
        says=says,
        because="Their back doors stand behind an area that is unset.",
        asks=[
            Ask(
                f"Ask from when to when somebody is in {listed(silent)}, and write 'hours'.",
                Who.CUSTOMER,
                5.0,
            )
        ]
        if silent
        else [],
        remedies=(Remedy(f"Let the first pass {name} with the rest of it part set"),),
    )
