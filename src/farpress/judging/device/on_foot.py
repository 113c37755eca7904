"""Doors that close by themselves and people on foot: through before it closes, free before it pushes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.behaviour import PRESENCE
from farpress.case.case import Case, OutputAt, promise_id
from farpress.case.citations import CHOICE, GIVEN, PRACTICE
from farpress.case.driven import Driven, driven_of, moves
from farpress.case.found_on_site import working_safeguards
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.job import Promise
from farpress.domain.refs import DeviceRef, FunctionRef, GroupRef, PromiseRef
from farpress.judging.check import AT_LEAST, AT_MOST, Check, Estimate, Limit
from farpress.sources import Citation, Mark

__all__ = ["FREE_BEFORE_PUSH", "THROUGH_IN_TIME", "judge_on_foot"]

THROUGH_IN_TIME: Final = Check(
    "DEV-13",
    Link.DEVICE,
    "Who presses and walks through: the way there against the time until it begins to close by itself.",
    unit="s",
    bound=AT_MOST,
    stake=Stake.HARM,
    ask="Take the time that the slowest of them needs from where they press until they are through.",
    who=Who.INSTALLER,
    minutes=5.0,
    mends="A longer time open, a press nearer by, and something that notices who is in the way.",
)
FREE_BEFORE_PUSH: Final = Check(
    "DEV-14",
    Link.DEVICE,
    "A lock and a drive set going by one press: the lock free before the drive pushes the leaf.",
    unit="s",
    bound=AT_LEAST,
    stake=Stake.WEAR,
    ask="Find after how long the drive begins to push, and for how long the lock must be free by then.",
    who=Who.LABEL,
    minutes=5.0,
    mends="The lock at the lock output of the drive, so that one command does both in order.",
)

SLOWEST_M_PER_S: Final = 0.4
USUAL_M_PER_S: Final = 1.2
"""On foot with a walking frame, our choice; as pedestrian crossings reckon, from memory."""

PASSING_S: Final = 2.0
"""To get through once there; our choice."""

_PACE: Final = Citation(
    "pace on foot", place="1.2 m/s, as crossings reckon; 0.4 m/s with a walking frame", mark=Mark.MEMORY
)


def judge_on_foot(case: Case) -> Iterator[Finding]:
    """DEV-13 of each promise on foot to a door in sight that closes by itself, DEV-14 of lock and drive."""
    for promise in case.job.promises:
        for output in case.outputs_of(promise.function):
            for driven in driven_of(case, output):
                if _is_door(driven) and (walk := _way_m(case, promise, output, driven)) is not False:
                    yield _through(case, promise, driven, walk)
    for name in case.job.functions:
        yield from _together(case, name)


def _is_door(driven: Driven) -> bool:
    """Whether people on foot go through it and it closes by itself."""
    on_foot = driven.traits.is_leaf and driven.traits.is_way and not driven.traits.passes_vehicles
    return on_foot and driven.sheet.closes_after_s is not None


def _way_m(case: Case, promise: Promise, output: OutputAt, driven: Driven) -> float | bool | None:
    """Metres on foot to the door; None where the plan has no place of it, False where nobody walks there."""
    where = case.place(promise.from_, output.premises)
    if where is None:
        return False
    house = case.job.premises[where[0]]
    place, name = house.places[where[1]], driven.path.split("/")[1]
    device = case.job.premises[output.premises].devices.get(name)
    if place.pressed == "in car" or not {name, driven.path} & set(place.sees):
        return False
    if device is None or device.at is None:
        return None
    return math.dist(place.at[:2], device.at[:2])


def _through(case: Case, promise: Promise, driven: Driven, way_m: float | None) -> Finding:
    """DEV-13; a pace that nobody gave matters only where the slowest would be late and the usual not."""
    name, sheet = driven.path.split("/")[1], driven.sheet
    group = case.job.groups.get(promise.to)
    pace = group.walks_m_per_s if group is not None else None
    travel, stays = sheet.travel_s, sheet.closes_after_s or 0.0
    asks: list[Ask] = []
    needed: float | None = None
    if way_m is None:
        asks.append(Ask(f"Write where {name} is on the plan.", Who.INSTALLER, 1.0))
    if travel is None:
        asks.append(Ask(f"Take the time that {name} needs to open.", Who.METER, 2.0))
    limit = None if travel is None else travel + stays
    if way_m is not None and limit is not None:
        slow, usual = (way_m / speed + PASSING_S for speed in (SLOWEST_M_PER_S, USUAL_M_PER_S))
        unpaced = slow if slow <= limit else usual
        needed = way_m / pace + PASSING_S if pace else unpaced
        if not pace and slow > limit >= usual:
            needed = None
            asks.append(
                Ask(
                    f"Ask how fast the slowest of {promise.to} walks, from there through {name}.",
                    Who.CUSTOMER,
                )
            )
    from_ = f"from {promise.from_} through {name}"
    open_ = "" if limit is None else f"; it begins to close {limit:g} s after the press"
    says = (
        f"Whether {promise.to} are {from_} before it closes is not known{open_}."
        if needed is None
        else f"{promise.to} need {needed:.1f} s {from_} ({way_m:.1f} m){open_}."
    )
    noticed = sorted(set(working_safeguards(sheet) or ()) & PRESENCE)
    check = replace(THROUGH_IN_TIME, advice=True) if noticed else THROUGH_IN_TIME
    return check.judge(
        about=f"{promise_id(promise)}: {name}",
        subjects=(DeviceRef(driven.path), PromiseRef(promise_id(promise)), GroupRef(promise.to)),
        cause=DeviceRef(driven.path),
        says=says,
        because=(
            f"{', '.join(noticed)} hold it open for whoever is in the way."
            if noticed
            else "Nothing that notices somebody is known on it: it closes on who is late."
        ),
        value=Estimate(needed, None, (GIVEN, _PACE)),
        limit=Limit(limit, driven.cite("travel_s", "closes_after_s")),
        asks=asks,
        remedies=(
            Remedy(
                "A longer time open", "" if needed is None or travel is None else f"{needed - travel:.0f} s"
            ),
            Remedy("Press at the door, not from afar; presence detection on the leaf, tested"),
        ),
        sources=(CHOICE,),
    )


def _together(case: Case, name: str) -> Iterator[Finding]:
    """DEV-14 of one function that frees a lock and sets a leaf going."""
    uses = [driven for output in case.outputs_of(name) for driven in driven_of(case, output)]
    locks = [driven for driven in uses if driven.traits.is_lock]
    leaves = [driven for driven in uses if moves(driven) and driven.traits.is_leaf and driven.traits.is_way]
    for lock in locks:
        for leaf in leaves:
            yield _free(name, lock, leaf)


def _free(name: str, lock: Driven, leaf: Driven) -> Finding:
    """DEV-14: both get their command at once, so the lock has as long as the drive waits."""
    lock_name, drive = lock.path.split("/")[1], leaf.path.split("/")[1]
    waits, lead = leaf.sheet.pushes_after_s, leaf.sheet.lock_free_before_s
    asks = []
    if waits is None:
        asks.append(Ask(f"Find after how long {drive} begins to push, from its command.", Who.LABEL, 5.0))
    if lead is None:
        asks.append(Ask(f"Find for how long a lock must be free before {drive} pushes.", Who.LABEL, 5.0))
    says = (
        f"One press of {name} frees {lock_name} and starts {drive}; which is first is not known."
        if asks
        else (
            f"One press of {name} frees {lock_name} and starts {drive}, which pushes after {waits:g} s; the"
            f" lock must be free {lead:g} s before."
        )
    )
    return FREE_BEFORE_PUSH.judge(
        about=f"{name}: {lock_name} and {drive}",
        subjects=(FunctionRef(name), DeviceRef(lock.path), DeviceRef(leaf.path)),
        cause=DeviceRef(leaf.path),
        says=says,
        because="A bolt under the load of the leaf does not let go, and wears.",
        value=Estimate(waits, None, leaf.cite("pushes_after_s")),
        limit=Limit(lead, leaf.cite("lock_free_before_s")),
        asks=asks,
        remedies=(
            Remedy(f"{lock_name} at the lock output of {drive}, and one output of the receiver for both"),
        ),
        sources=(PRACTICE,),
    )
