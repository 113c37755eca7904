"""What losing one fob of a group means: where it is known, what it opens, how far the round is.

Part of the judgements on the register. Which fob
was really lost, and what has been deleted since, stands in the record.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import Final

from farpress.case.access import opens, unsets
from farpress.case.case import Case
from farpress.case.citations import CHOICE, GIVEN
from farpress.case.driven import driven_of
from farpress.core.keys.tour import MOST_SITES, shortest_round
from farpress.domain.cautions import CAUTIONS
from farpress.domain.finding import Finding, Link, Remedy
from farpress.domain.job import Group
from farpress.domain.refs import GroupRef
from farpress.judging.check import Answer, Check
from farpress.keys.lost import deletion_s
from farpress.phrases import listed

__all__ = ["LOST", "judge_lost"]

LOST: Final = Check(
    "REG-07",
    Link.REGISTER,
    "What losing one fob means: receivers, rights, and the round to delete it.",
    unit="min",
    mends="Deletion agreed with somebody on each premises, by the label of the fob.",
)


def judge_lost(case: Case) -> Iterator[Finding]:
    """One finding for each group whose fobs are known at more than one premises."""
    for name, group in case.job.groups.items():
        yield from _lost(case, name, group)


def _lost(case: Case, name: str, group: Group) -> Iterator[Finding]:
    functions = [function for function in case.job.functions_of(group) if function in case.job.functions]
    uses = [
        (output, driven)
        for function in functions
        for output in case.outputs_of(function)
        for driven in driven_of(case, output)
    ]
    receivers = list(dict.fromkeys(output.receiver_path for output, _ in uses))
    houses = [house for house in case.job.premises if any(path.split("/")[0] == house for path in receivers)]
    if len(houses) < 2:
        return
    unset = list(dict.fromkeys(output.premises for output, driven in uses if unsets(case, output, driven)))
    opened = list(dict.fromkeys(output.premises for output, driven in uses if opens(driven)))
    rights = f"it opens at {listed(opened)}" if opened else "it opens and unsets nothing"
    if unset:
        rights = f"it unsets the alarm at {listed(unset)}"
    says = (
        f"One lost fob of {name} is known at {len(receivers)} receivers of {len(houses)} premises; {rights}."
    )
    work_min = deletion_s(case) * len(receivers) / 60
    roads = {frozenset(road.between): road.takes_s for road in case.job.roads}
    missing = [
        f"{first} and {second}"
        for first, second in combinations(houses, 2)
        if frozenset((first, second)) not in roads
    ]
    because, drive_min = CAUTIONS["lost fob"], None
    remedies: tuple[Remedy, ...] = ()
    if missing and len(houses) == 2:
        says = f"{says} {work_min:.0f} min of work, and the road."
    elif missing:
        says = f"{says} {work_min:.0f} min of work."
        because = f"The road from {listed(missing)} is not given. {because}"
    elif len(houses) > MOST_SITES:
        says = f"{says} {work_min:.0f} min of work."
        because = f"There are too many premises to try every order. {because}"
    else:
        tour = shortest_round(sites=houses, drive_s=roads)
        drive_min = tour.drive_s / 60.0
        because = (
            f"Shortest round: {' - '.join(tour.sites)}, {drive_min:.0f} min of driving and"
            f" {work_min:.0f} min of work at {deletion_s(case) / 60:.0f} min for each receiver. {because}"
        )
        remedies = (Remedy(f"Delete at {listed(unset)} first, or let somebody there delete it by its label"),)
    yield LOST.decide(
        about=name,
        subjects=(GroupRef(name),),
        says=says,
        because=because,
        answer=Answer.BARELY if unset else Answer.YES,
        value=drive_min,
        remedies=remedies,
        sources=(GIVEN, CHOICE),
    )
