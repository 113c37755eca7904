"""A way for one vehicle with lights at its ends: what keeps them apart, and how long both are red between."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.core.rehearsal.left import clearing_time_s
from farpress.domain.cautions import LOCAL_CODES
from farpress.domain.device_care import OneLane
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import DeviceRef, Ref
from farpress.judging.check import AT_LEAST, Answer, Check, Estimate, Limit, wide_edge
from farpress.phrases import listed
from farpress.sources import cited
from farpress.units import write_quantity

__all__ = ["CLEARS", "NOT_BOTH_GO", "judge_one_lanes"]

CLEARS: Final = Check(
    "DEV-59",
    Link.DEVICE,
    "How long both ends of a one-lane way show stop, against the time in which the slowest leaves it.",
    unit="s",
    bound=AT_LEAST,
    thin=wide_edge(2.0, "who passes the line late, on the last of the green, needs two seconds more"),
    stake=Stake.HARM,
    ask="Measure the way from line to line, time the slowest, and read how long both ends are red.",
    who=Who.METER,
    minutes=15.0,
    mends="A longer time in which both ends are red, or a loop that tells when the way is empty.",
)
NOT_BOTH_GO: Final = Check(
    "OUT-56",
    Link.OUTPUT,
    "What keeps the two ends of a one-lane way from showing go at once: a controller or their wiring.",
    stake=Stake.HARM,
    halts=True,
    ask="Find out what keeps both ends from showing go at once.",
    who=Who.INSTALLER,
    minutes=10.0,
    mends="One controller for both lights, which the fobs only call; or each light's stop in the other's go.",
)


def judge_one_lanes(case: Case) -> Iterator[Finding]:
    """DEV-59 and OUT-56 of each one-lane way."""
    for premises, house in case.job.premises.items():
        for name, lane in house.one_lanes.items():
            refs = tuple(DeviceRef(f"{premises}/{light}") for light in lane.lights)
            yield _clears(f"{premises}/{name}", name, lane, refs)
            yield _not_both(f"{premises}/{name}", name, lane, refs)


def _clears(path: str, name: str, lane: OneLane, refs: tuple[Ref, ...]) -> Finding:
    """DEV-59."""
    needs: float | None = None
    missing = [
        words
        for value, words in (
            (lane.length_m, f"how long {name} is from line to line"),
            (lane.slowest_m_per_s, f"how fast the slowest goes through {name}"),
            (lane.all_red_s, f"how long both ends of {name} are red"),
        )
        if value is None
    ]
    if lane.length_m is not None and lane.slowest_m_per_s is not None:
        needs = clearing_time_s(way_m=lane.length_m, speed_m_per_s=lane.slowest_m_per_s)
        way = f"{lane.length_m:g} m at {lane.slowest_m_per_s:g} m/s take {write_quantity(needs, 'time')}"
    else:
        way = "how long the slowest takes is not known"
    red = "for an unknown time" if lane.all_red_s is None else f"for {write_quantity(lane.all_red_s, 'time')}"
    return CLEARS.judge(
        about=path,
        subjects=refs,
        value=Estimate(lane.all_red_s, None, (GIVEN,)),
        limit=Limit(needs, (GIVEN, *cited(clearing_time_s))),
        says=f"Both ends of {name} show stop {red} between; {way}.",
        because=f"Whoever is still in there meets who comes the other way. {LOCAL_CODES}",
        asks=tuple(Ask(f"Find out {words}.", Who.METER, 5.0) for words in missing),
        remedies=(
            Remedy(
                f"Both ends red for {needs + 2.0:.0f} s or longer" if needs else "Both ends red for longer"
            ),
            Remedy("A loop or beam at each end that tells when the way is empty"),
        ),
    )


def _not_both(path: str, name: str, lane: OneLane, refs: tuple[Ref, ...]) -> Finding:
    """OUT-56."""
    lights = listed(lane.lights)
    says = {
        "controller": f"One controller keeps {lights} of {name} from showing go at once.",
        "wiring": f"Their wiring keeps {lights} of {name} from showing go at once.",
        "people": f"Only whoever presses keeps {lights} of {name} from showing go at once.",
        None: f"What keeps {lights} of {name} from showing go at once is not said.",
    }[lane.kept_by]
    by = lane.kept_by
    return NOT_BOTH_GO.decide(
        about=path,
        subjects=refs,
        answer=Answer.of(None if by is None else by != "people"),
        says=says,
        because="" if by in ("controller", "wiring") else "Two presses, one at each end, and both drive in.",
        asks=(Ask(f"Find out what keeps {lights} from showing go at once.", Who.INSTALLER, 10.0),)
        if by is None
        else (),
        remedies=(
            Remedy("One controller for both lights, which the fobs only call"),
            Remedy("The stop of each light as a contact in the go of the other"),
        ),
        sources=(GIVEN, PRACTICE),
    )
