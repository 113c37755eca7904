"""Room between two gates of which one opens only while the other stands closed: the longest vehicle fits."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN
from farpress.case.driven import driven_of
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.job import Traffic
from farpress.domain.refs import DeviceRef, FunctionRef
from farpress.judging.check import AT_MOST, Check, Estimate, Limit, wide_edge

__all__ = ["FITS_BETWEEN", "judge_between"]

FITS_BETWEEN: Final = Check(
    "DEV-12",
    Link.DEVICE,
    "The longest vehicle, trailer and all, against the room between two gates that wait for each other.",
    unit="m",
    bound=AT_MOST,
    thin=wide_edge(1.0, "a driver does not stop to the centimetre, and a loop reaches past its gate"),
    stake=Stake.PROMISE,
    ask="Measure the longest vehicle that comes, with its trailer, and the way between the gates.",
    who=Who.METER,
    minutes=5.0,
    mends="More room between them, or one of them held open by somebody who stands there.",
)


def judge_between(case: Case) -> Iterator[Finding]:
    """DEV-12 of each two gates for vehicles that wait for each other and whose traffic is counted."""
    for premises, house in case.job.premises.items():
        for first, other in combinations(house.devices, 2):
            waits = other in house.devices[first].waits_for or first in house.devices[other].waits_for
            passing = [
                traffic for traffic in case.job.traffic if _passes(case, premises, traffic, first, other)
            ]
            if waits and passing:
                yield _judged(case, premises, first, other, passing)


def _passes(case: Case, premises: str, traffic: Traffic, *gates: str) -> bool:
    """Whether what is counted goes through one of the gates, in a vehicle."""
    return any(
        driven.path in {f"{premises}/{gate}" for gate in gates} and driven.traits.passes_vehicles
        for output in case.outputs_of(traffic.function)
        for driven in driven_of(case, output)
    )


def _judged(case: Case, premises: str, first: str, other: str, passing: list[Traffic]) -> Finding:
    devices = case.job.premises[premises].devices
    ends = devices[first].at, devices[other].at
    room = None if ends[0] is None or ends[1] is None else math.dist(ends[0][:2], ends[1][:2])
    lengths = [traffic.length_m for traffic in passing if traffic.length_m is not None]
    longest = max(lengths, default=None)
    asks = []
    if longest is None:
        asks.append(
            Ask(f"Ask how long the longest is that comes through {first}, trailer and all.", Who.CUSTOMER)
        )
    if room is None:
        asks.append(Ask(f"Measure the way between {first} and {other}.", Who.METER))
    says = f"Whether the longest vehicle fits between {first} and {other} is not known."
    if longest is not None and room is not None:
        fits = "fits between" if longest <= room else "does not fit between"
        says = f"{longest:.1f} m of vehicle {fits} {first} and {other}, {room:.1f} m apart."
    return FITS_BETWEEN.judge(
        about=f"{premises}: {first} and {other}",
        subjects=(
            DeviceRef(f"{premises}/{first}"),
            DeviceRef(f"{premises}/{other}"),
            *(FunctionRef(traffic.function) for traffic in passing),
        ),
        value=Estimate(longest, None, (GIVEN,)),
        limit=Limit(room, (GIVEN,)),
        says=says,
        because=(
            "It stands under the one while it waits for the other: neither can move, or both are open."
            if longest is not None and room is not None and longest > room
            else ""
        ),
        asks=asks,
        remedies=(
            Remedy("More room between the gates than the longest vehicle and its loops"),
            Remedy("One of the two held open by somebody who stands there and sees both, for long vehicles"),
        ),
    )
