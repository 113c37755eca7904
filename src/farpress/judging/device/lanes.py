"""Vehicles that a lane can pass, or people a door or turnstile, against those that come."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import CHOICE, GIVEN
from farpress.case.driven import Driven, driven_of, subjects_of
from farpress.core.rehearsal.barrier import lane_capacity_per_s, queue_growth
from farpress.dates import stretch_s
from farpress.domain.device_sheets import DeviceSheet
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Verdict, Who
from farpress.domain.refs import DeviceRef, FunctionRef
from farpress.judging.check import AT_MOST, Check, Estimate, Limit, share_edge
from farpress.phrases import listed

__all__ = ["judge_lanes"]

LANE: Final = Check(
    "DEV-05",
    Link.DEVICE,
    "Vehicles that a lane can pass, or people a way on foot, against those that come.",
    unit="vehicles",
    bound=AT_MOST,
    thin=share_edge(0.2, "vehicles come unevenly, so that queues form before the capacity is reached"),
    stake=Stake.PROMISE,
    ask="Count how long one vehicle takes to pass, and how long the leaf travels.",
    who=Who.METER,
    mends="Staying open while vehicles follow each other, or a second lane.",
)

_HOUR_S: Final = 3600.0

_BOTH_WISHES: Final = Remedy(
    "The wishes contradict each other: a space between the gates for several vehicles, only one gate at busy"
    " times, or faster drives"
)

_MORE_WAYS_IN: Final = Remedy(
    "A second way in at busy times, opened earlier, or one that stands open with somebody at it"
)


def judge_lanes(case: Case) -> Iterator[Finding]:
    """DEV-05, of every function whose arrivals were counted and that opens a lane."""
    for traffic in case.job.traffic:
        for output in case.outputs():
            lane = next((use for use in driven_of(case, output) if _is_passed(use)), None)
            if traffic.function in output.functions and lane is not None and traffic.arrivals:
                locked = _locked_with(case, output.premises, lane)
                yield _lane(traffic.function, traffic.arrivals, traffic.passage_s, output, lane, locked)


def _is_passed(use: Driven) -> bool:
    """Whether somebody drives or walks through it when it is open."""
    return use.traits.passes_vehicles or use.traits.shuts_a_way


def _locked_with(case: Case, premises: str, lane: Driven) -> dict[str, DeviceSheet]:
    """The gates that a lane's gate waits for, or that wait for it: each vehicle passes them all in turn."""
    devices, name = case.job.premises[premises].devices, lane.path.split("/")[1]
    others = [*devices[name].waits_for] if name in devices else []
    others += [other for other, device in devices.items() if name in device.waits_for]
    return {other: case.equipment.devices[f"{premises}/{other}"].sheet for other in dict.fromkeys(others)}


def _sum(times: list[float | None]) -> float | None:
    """All of them together; None where one is not known."""
    known = [time for time in times if time is not None]
    return sum(known) if len(known) == len(times) else None


def _lane(
    function: str,
    arrivals: Mapping[str, int],
    passage_s: float | None,
    output: OutputAt,
    driven: Driven,
    locked: Mapping[str, DeviceSheet],
) -> Finding:
    name = driven.path.split("/")[1]
    sheets = (driven.sheet, *locked.values())
    opening = [sheet.travel_s for sheet in sheets]
    closing = [sheet.travel_back_s if sheet.travel_back_s is not None else sheet.travel_s for sheet in sheets]
    travel, back = _sum(opening), _sum(closing)
    who, one_by_one = "vehicles", "if it closes behind each"
    if not driven.traits.passes_vehicles:
        who, one_by_one = "people", "one after the other"
    if driven.traits.frees_on_press or (driven.traits.is_lock and not driven.traits.moves):
        travel = back = 0.0  # it lets go at once, and whoever passes pushes the leaf
    lengths = {stretch: stretch_s(stretch) for stretch in arrivals}
    readable = [stretch for stretch in arrivals if lengths[stretch] > 0]
    asks: list[Ask] = []
    if travel is None:
        asks.append(Ask(f"Take the travel time of {name}.", Who.METER))
    if passage_s is None:
        asks.append(Ask(f"Take the time that one of the {who} needs to pass {name}.", Who.METER))
    if not readable:
        asks.append(Ask(f"Write the stretches of time of {function} as '07:40-07:55'.", Who.INSTALLER))
    says = f"What {name} can pass is not known."
    because = ""
    come: float | None = None
    passed: float | None = None
    if travel is not None and back is not None and passage_s is not None and readable:
        per_s = lane_capacity_per_s(opening_s=travel, passage_s=passage_s * len(sheets), closing_s=back)
        worst = max(
            readable,
            key=lambda stretch: (
                queue_growth(arrivals=arrivals[stretch], stretch_s=lengths[stretch], capacity_per_s=per_s)
                / lengths[stretch]
            ),
        )
        come, passed = float(arrivals[worst]), per_s * lengths[worst]
        says = (
            f"{worst}: {come:.0f} {who} come, and {name} passes {passed:.0f} {one_by_one}"
            f" ({_HOUR_S * per_s:.0f} an hour)."
        )
        if locked:
            says = (
                f"{worst}: {come:.0f} vehicles come, and {name} with {listed(locked)}, one open"
                " only while the"
                f" other is closed, passes {passed:.0f}: {1 / per_s:.0f} s for each vehicle"
                f" ({_HOUR_S * per_s:.0f} an hour)."
            )
        because = f"The queue grows by {come - passed:.0f} {who} in that time."
    reasons = {Verdict.FAILS: because, Verdict.THIN: "Close to its capacity queues form at times."}
    return LANE.judge(
        about=f"{function}: {driven.path}",
        subjects=(*subjects_of(output, driven), FunctionRef(function)),
        cause=DeviceRef(driven.path),
        value=Estimate(come, None, (GIVEN,)),
        limit=Limit(passed, (*driven.cite("travel_s", "travel_back_s"), CHOICE)),
        says=says,
        because=lambda verdict: reasons.get(verdict, ""),
        asks=asks,
        remedies=lambda _: (
            *((_BOTH_WISHES,) if locked else ()),
            _MORE_WAYS_IN
            if who == "people"
            else Remedy(
                "Stay open while vehicles follow each other (open-only input, timed closing with loop), or a"
                " second lane",
                f"{_HOUR_S / (passage_s or 1.0):.0f} an hour while it stays open",
            ),
        ),
    )
