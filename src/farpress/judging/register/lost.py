"""What losing one fob of a group means: where it is known, what it opens, how far the round is.

Part of the judgements on the register; see `register` for the list of codes. Which fob
was really lost, and what has been deleted since, stands in the record.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.access import opens, unsets
from farpress.case.case import Case
from farpress.case.citations import CHOICE, GIVEN
from farpress.case.driven import driven_of
from farpress.core.keys.tour import MOST_SITES, shortest_round
from farpress.domain.cautions import CAUTIONS
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.domain.job import Group
from farpress.domain.refs import GroupRef
from farpress.phrases import listed

__all__ = ["DELETION_S", "judge_lost"]

DELETION_S: Final = 360.0
"""Work at one receiver to delete one fob, six minutes; our choice, to be measured on the first job."""


def judge_lost(case: Case) -> Iterator[Finding]:
    """One finding for each group whose fobs are known at more than one premises."""
    for name, group in case.job.groups.items():
        finding = _lost(case, name, group)
        if finding is not None:
            yield finding


def _lost(case: Case, name: str, group: Group) -> Finding | None:
    functions = [function for function in case.job.functions_of(group) if function in case.job.functions]
    uses = [
        (at, one) for function in functions for at in case.outputs_of(function) for one in driven_of(case, at)
    ]
    receivers = list(dict.fromkeys(at.receiver_path for at, _ in uses))
    houses = [house for house in case.job.premises if any(path.split("/")[0] == house for path in receivers)]
    if len(houses) < 2:
        return None
    unset = list(dict.fromkeys(at.premises for at, one in uses if unsets(case, at, one)))
    opened = list(dict.fromkeys(at.premises for at, one in uses if opens(one)))
    subjects = (GroupRef(name),)
    work = DELETION_S * len(receivers)
    rights = (
        f"it unsets the alarm at {listed(unset)}"
        if unset
        else f"it opens at {listed(opened)}"
        if opened
        else "it opens and unsets nothing"
    )
    says = (
        f"One lost fob of {name} is known at {len(receivers)} receivers of {len(houses)} premises; {rights}."
    )
    roads = {frozenset(road.between): road.takes_s for road in case.job.roads}
    missing = [
        f"{a} and {b}"
        for i, a in enumerate(houses)
        for b in houses[i + 1 :]
        if frozenset((a, b)) not in roads
    ]
    if len(houses) > MOST_SITES or (missing and len(houses) > 2):
        text = (
            f"The road from {listed(missing)} is not given."
            if missing
            else "There are too many premises to try every order."
        )
        return Finding(
            "REG-07",
            Link.REGISTER,
            Verdict.THIN if unset else Verdict.HOLDS,
            name,
            f"{says} {work / 60:.0f} min of work.",
            f"{text} {CAUTIONS['lost fob']}",
            sources=(GIVEN, CHOICE),
            subjects=subjects,
        )
    if missing:
        return Finding(
            "REG-07",
            Link.REGISTER,
            Verdict.THIN if unset else Verdict.HOLDS,
            name,
            f"{says} {work / 60:.0f} min of work, and the road.",
            CAUTIONS["lost fob"],
            sources=(GIVEN, CHOICE),
            subjects=subjects,
        )
    tour = shortest_round(sites=houses, drive_s=roads)
    because = (
        f"Shortest round: {' - '.join(tour.sites)}, {tour.drive_s / 60:.0f} min of driving and"
        f" {work / 60:.0f} min of work at {DELETION_S / 60:.0f} min for each receiver. {CAUTIONS['lost fob']}"
    )
    remedies = (
        (Remedy(f"Delete at {listed(unset)} first, or let somebody there delete it by its label"),)
        if unset
        else ()
    )
    return Finding(
        "REG-07",
        Link.REGISTER,
        Verdict.THIN if unset else Verdict.HOLDS,
        name,
        says,
        because,
        tour.drive_s / 60.0,
        None,
        "min",
        remedies=remedies,
        sources=(GIVEN, CHOICE),
        subjects=subjects,
    )
