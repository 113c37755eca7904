"""The plan after a loss: what is exposed, where to go in which order, what to do meanwhile."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from typing import TYPE_CHECKING, Final

from farpress.case.local_time import in_zone
from farpress.core.keys.visit_site import VisitSite, VisitTour
from farpress.core.keys.visits import FRONT_SITES, best_tour, front_of_tours
from farpress.domain.register import Fob
from farpress.errors import InputError
from farpress.keys.lost_words import IN_ENGLISH, LostWords
from farpress.keys.rights import OTHER_WEIGHT, UNSET_WEIGHT, function_at, premises_weight, right_weight

if TYPE_CHECKING:
    from farpress.case.case import Case

__all__ = ["DELETE_MIN", "LostPlan", "RoundStop", "deletion_s", "lost_plan", "reported_at"]

DELETE_MIN: Final = 6.0
"""Minutes to delete one fob at one receiver and to try that it is gone where the job does not say; our
choice, to be measured."""

UNKNOWN_ROAD_MIN: Final = 60.0
"""Taken for a road the job does not give; the plan says so."""


@dataclass(frozen=True)
class RoundStop:
    """One stop of the round.

    Attributes:
        premises: name.
        receivers: receiver → slots to delete, empty where none is written down.
        functions: what the fob does there.
        weight: risk per minute, our scale: unsetting 10, a gate 2, a door 1.
        finished: local time of the job, or of this machine.
        exposed_h: hours from the report until it is finished.
        meanwhile: what can be done at once, from here.
        sheet: what to do there, line by line.
        unsets: whether it unsets an alarm there.
        entries: functions that let somebody in.
    """

    premises: str
    receivers: Mapping[str, tuple[str, ...]]
    functions: tuple[str, ...]
    weight: float
    finished: datetime
    exposed_h: float
    meanwhile: tuple[str, ...]
    sheet: tuple[str, ...]
    unsets: bool = False
    entries: tuple[str, ...] = ()


@dataclass(frozen=True)
class LostPlan:
    """The whole answer to a loss.

    Attributes:
        fob: the label.
        says: what it can do, in a sentence or two.
        start: where the round begins.
        visits: in the order to drive.
        drive_min: on the road, the way back included.
        weighted_h: exposure, weighted hours.
        gap: how far a better round could at most be; 0 if proven.
        others: other rounds worth choosing, as (order, driving, weighted hours).
        doubts: what was not known and what was taken instead.
    """

    fob: str
    says: str
    start: str
    visits: tuple[RoundStop, ...]
    drive_min: float
    weighted_h: float
    gap: float
    others: tuple[tuple[tuple[str, ...], float, float], ...] = ()
    doubts: tuple[str, ...] = ()

    def meanwhile(self) -> tuple[str, ...]:
        """What to do at once, for all premises together: whom to ring first, what to lock."""
        ring = [visit.premises for visit in self.visits if visit.unsets]
        lock = [visit for visit in self.visits if visit.entries]
        entries = [name for visit in lock for name in visit.entries]
        return (
            *([IN_ENGLISH.ring(ring)] if ring else []),
            *([IN_ENGLISH.lock([visit.premises for visit in lock], entries)] if lock else []),
        )


def lost_plan(
    case: Case,
    fob: Fob,
    *,
    start: str | None = None,
    ways: Mapping[str, float] | None = None,
    leave: datetime,
    reported: datetime | None = None,
    work_min: float | None = None,
    weights: Mapping[str, float] | None = None,
    words: LostWords = IN_ENGLISH,
) -> LostPlan:
    """Where to go, in which order, so that the lost rights are dangerous for the shortest weighted time.

    Args:
        case: the job: roads, opening hours, functions.
        fob: the lost fob as the register has it.
        start: premises the round begins at, or one of the job's `starts`; the first of these by default,
            else the premises with most receivers.
        ways: premises → minutes from the start, where it is a place the job does not know.
        leave: local time of departure.
        reported: local time of the report, not after `leave`; exposure counts from it. `leave` by default.
        work_min: minutes at each receiver; as the job says by default.
        weights: premises → risk, where ours does not fit.
        words: the language in which it is told.

    Raises:
        InputError: it is learned nowhere, or nothing is known of the start or its ways.
    """
    work_min = deletion_s(case) / 60 if work_min is None else work_min
    learned: dict[str, dict[str, list[str]]] = {}
    functions: dict[str, list[str]] = {}
    for entry in fob.known_at:
        premises = entry.receiver.split("/")[0]
        slots = learned.setdefault(premises, {}).setdefault(entry.receiver, [])
        if entry.slot and entry.slot not in slots:
            slots.append(entry.slot)
        functions.setdefault(premises, []).append(function_at(case, entry.receiver, entry.output))
    if not learned:
        raise InputError(f"{fob.label} is learned nowhere: there is nothing to delete.")
    start = _start(case, start, ways)
    houses = [name for name in case.job.premises if name in learned] + [
        name for name in learned if name not in case.job.premises
    ]
    doubts: list[str] = []
    weight = {name: (weights or {}).get(name, premises_weight(case, functions[name])) for name in houses}
    sites = []
    always: list[str] = []
    for name in houses:
        work = work_min * len(learned[name])
        opens, closes = _hours(case, name, always, doubts, words)
        if closes - opens < work:
            doubts.append(words.too_short(name, closes - opens, work))
            opens, closes = 0.0, 1440.0
        sites.append(VisitSite(weight[name], work, opens, closes))
    if always:
        doubts.append(words.hours_unknown(always))
    erased = [
        path
        for name in houses
        for path in learned[name]
        if (part := case.equipment.receivers.get(path)) is not None and part.sheet.deletes_by == "fob in hand"
    ]
    if erased:
        doubts.append(words.erased(erased, work_min))
    travel = _travel(case, [start, *houses], doubts, ways or {}, words)
    begin = leave.hour * 60.0 + leave.minute
    waited = max((leave - reported).total_seconds() / 60, 0.0) if reported is not None else 0.0
    tour = best_tour(travel_min=travel, sites=sites, begin_min=begin)
    visits = tuple(
        _visit(case, fob, houses[index], learned, functions, weight, leave, waited, minutes, words)
        for index, minutes in zip(tour.order, tour.finished_min)
    )
    weekend = [
        visit.premises for visit in visits if visit.finished.weekday() >= 5 and visit.premises not in always
    ]
    if weekend:
        doubts.append(words.weekend(weekend))
    others = _others(travel, sites, begin, tour, houses) if len(sites) <= FRONT_SITES else ()
    unset = [
        name for name in houses if any(right_weight(case, place) == UNSET_WEIGHT for place in functions[name])
    ]
    says = words.reach(fob.label, sum(map(len, learned.values())), len(houses), unset)
    waiting = waited * sum(weight.values())
    return LostPlan(
        fob.label,
        says,
        start,
        visits,
        tour.drive_min,
        (tour.exposure + waiting) / 60,
        tour.gap,
        others,
        tuple(dict.fromkeys(doubts)),
    )


def reported_at(fob: Fob, zone: tzinfo | None = None) -> datetime | None:
    """When the loss was reported, in local time without a zone; None if it is not lost.

    Args:
        fob: the fob.
        zone: of the job; None for that of this machine.
    """
    return in_zone(fob.lost_at, zone) if fob.lost_at else None


def deletion_s(case: Case) -> float:
    """Work at one receiver to delete one fob and try it [s]: as the job says, else our choice."""
    takes = case.job.register_.delete_takes_s
    return DELETE_MIN * 60 if takes is None else takes


def _start(case: Case, start: str | None, ways: Mapping[str, float] | None) -> str:
    """Where the round begins."""
    known = [*case.job.starts, *case.job.premises]
    faults = [
        f"'{name}' is no premises of the job; it has {', '.join(case.job.premises)}."
        for name in ways or {}
        if name not in case.job.premises
    ]
    faults += [
        f"The way to {name} takes {minutes:g} min; give 0 to 1440."
        for name, minutes in (ways or {}).items()
        if not 0 <= minutes <= 1440
    ]
    if ways and start in known:
        faults.append(
            f"'{start}' is known to the job, with its ways; give ways only from a place that is not."
        )
    if faults:
        raise InputError(" ".join(faults))
    if ways:
        return start or "the start"
    start = (
        start
        or next(iter(case.job.starts), None)
        or max(case.job.premises, key=lambda name: len(case.job.premises[name].receivers))
    )
    if start not in known:
        raise InputError(
            f"The job knows no '{start}' to begin at; it has {', '.join(known)}. For another place give its"
            f" ways: --way {next(iter(case.job.premises))}=25, in minutes, or enter it in the job under"
            " 'starts' and 'roads'."
        )
    return start


def _visit(
    case: Case,
    fob: Fob,
    premises: str,
    learned: Mapping[str, Mapping[str, list[str]]],
    functions: Mapping[str, list[str]],
    weight: Mapping[str, float],
    leave: datetime,
    waited: float,
    minutes: float,
    words: LostWords,
) -> RoundStop:
    names = tuple(dict.fromkeys(functions[premises]))
    receivers = {path: tuple(slots) for path, slots in learned[premises].items()}
    unsets = any(right_weight(case, name) == UNSET_WEIGHT for name in names)
    entries = tuple(name for name in names if OTHER_WEIGHT < right_weight(case, name) < UNSET_WEIGHT)
    meanwhile = (
        *([words.ring([premises])] if unsets else []),
        *([words.lock([premises], entries)] if entries else []),
    )
    sheet = [words.delete_at(fob.label, fob.serial, premises)]
    for path, slots in receivers.items():
        _, name, box = case.job.receiver_of(path) or (premises, path.rpartition("/")[2], None)
        part = case.equipment.receivers.get(path)
        deletes_by = part.sheet.deletes_by if part is not None else None
        sheet.append(words.delete(name, slots, deletes_by, box.learn_access if box is not None else None))
    finished = leave + timedelta(minutes=minutes)
    return RoundStop(
        premises,
        receivers,
        names,
        weight[premises],
        finished,
        (minutes + waited) / 60,
        meanwhile,
        tuple(sheet),
        unsets,
        entries,
    )


def _others(
    travel: list[list[float]], sites: list[VisitSite], begin: float, best: VisitTour, houses: list[str]
) -> tuple[tuple[tuple[str, ...], float, float], ...]:
    front = front_of_tours(travel_min=travel, sites=sites, begin_min=begin)
    return tuple(
        (tuple(houses[index] for index in tour.order), tour.drive_min, tour.exposure / 60)
        for tour in front
        if tour.order != best.order and tour.exposure > best.exposure
    )


def _travel(
    case: Case, stops: list[str], doubts: list[str], ways: Mapping[str, float], words: LostWords
) -> list[list[float]]:
    """Minutes from stop to stop; where a road is not given, the shortest way over others, or
    `UNKNOWN_ROAD_MIN`.
    """
    roads: dict[frozenset[str], float] = {
        frozenset(road.between): road.takes_s / 60 for road in case.job.roads
    }
    roads |= {frozenset((stops[0], premises)): minutes for premises, minutes in ways.items()}
    names = list(dict.fromkeys([*stops, *ways, *(name for road in case.job.roads for name in road.between)]))
    least = {(a, b): 0.0 if a == b else roads.get(frozenset((a, b)), math.inf) for a in names for b in names}
    for over, a, b in itertools.product(names, repeat=3):
        least[a, b] = min(least[a, b], least[a, over] + least[over, b])
    missing = sorted(
        {tuple(sorted((a, b))) for a in stops for b in stops if a != b and frozenset((a, b)) not in roads}
    )
    around = [(a, b, least[a, b]) for a, b in missing if least[a, b] < math.inf]
    unknown = [(a, b) for a, b in missing if least[a, b] == math.inf]
    if around:
        doubts.append(words.way_round(around))
    if unknown:
        doubts.append(words.no_way(unknown, UNKNOWN_ROAD_MIN))
    return [
        [
            (
                roads.get(frozenset((a, b)), least[a, b] if least[a, b] < math.inf else UNKNOWN_ROAD_MIN)
                if a != b
                else 0.0
            )
            for b in stops
        ]
        for a in stops
    ]


def _hours(
    case: Case, premises: str, unknown: list[str], doubts: list[str], words: LostWords
) -> tuple[float, float]:
    """When somebody can be let in [min after midnight]; hours that end before they begin run through the
    night.
    """
    house = case.job.premises.get(premises)
    text = house.open_hours if house is not None else None
    if not text:
        unknown.append(premises)
        return 0.0, 1440.0
    match = re.fullmatch(r"\s*(\d{1,2}):(\d{2})\s*-\s*(\d{1,2}):(\d{2})\s*", text)
    opens, closes = (
        (int(match[1]) * 60.0 + int(match[2]), int(match[3]) * 60.0 + int(match[4]))
        if match is not None
        else (0.0, 0.0)
    )
    if (
        match is None
        or opens == closes
        or not (opens < 1440 and closes <= 1440 and int(match[2]) < 60 and int(match[4]) < 60)
    ):
        doubts.append(words.hours_odd(premises, text))
        return 0.0, 1440.0
    return opens, closes if closes > opens else closes + 1440.0
