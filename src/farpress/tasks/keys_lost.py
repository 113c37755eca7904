"""The plan after a loss: what is exposed, where to go in which order, what to do meanwhile."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final

from farpress.core.keys.visits import FRONT_SITES, Site, Tour, best_tour, front_of_tours
from farpress.domain.cautions import CAUTIONS, LOCAL_CODES
from farpress.domain.register import Fob
from farpress.errors import InputError
from farpress.tasks.driven import listed
from farpress.tasks.keys_rights import UNSET_WEIGHT, function_at, premises_weight, right_weight

if TYPE_CHECKING:
    from farpress.tasks.case import Case

__all__ = ["DELETE_MIN", "LostPlan", "Visit", "lost_plan"]

DELETE_MIN: Final = 6.0
"""Minutes to delete one fob at one receiver and to try that it is gone; our choice, to be measured."""

UNKNOWN_ROAD_MIN: Final = 60.0
"""Taken for a road the job does not give; the plan says so."""


@dataclass(frozen=True)
class Visit:
    """One stop of the round.

    Attributes:
        premises: name.
        receivers: receiver → slots to delete, empty where none is written down.
        functions: what the fob does there.
        weight: risk per minute, our scale: unsetting 10, a gate 2, a door 1.
        arrive, finished: as text, local time of the report.
        exposed_h: hours from the report until it is finished.
        meanwhile: what can be done at once, from here.
        sheet: what to do there, line by line.
    """

    premises: str
    receivers: Mapping[str, tuple[str, ...]]
    functions: tuple[str, ...]
    weight: float
    finished: datetime
    exposed_h: float
    meanwhile: tuple[str, ...]
    sheet: tuple[str, ...]


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
    visits: tuple[Visit, ...]
    drive_min: float
    weighted_h: float
    gap: float
    others: tuple[tuple[tuple[str, ...], float, float], ...] = ()
    doubts: tuple[str, ...] = ()


def lost_plan(
    case: Case, fob: Fob, *, start: str | None = None, leave: datetime, reported: datetime | None = None, work_min: float = DELETE_MIN, weights: Mapping[str, float] | None = None,
) -> LostPlan:
    """Where to go, in which order, so that the lost rights are dangerous for the shortest weighted time.

    Args:
        case: the job: roads, opening hours, functions.
        fob: the lost fob as the register has it.
        start: premises the round begins at; the one with most receivers by default.
        leave: local time of departure.
        reported: local time of the report; exposure counts from it. `leave` by default.
        work_min: minutes at each receiver.
        weights: premises → risk, where ours does not fit.

    Raises:
        InputError: it is learned nowhere, or the start is no premises.
    """
    learned: dict[str, dict[str, list[str]]] = {}
    functions: dict[str, list[str]] = {}
    for one in fob.known_at:
        premises = one.receiver.split("/")[0]
        slots = learned.setdefault(premises, {}).setdefault(one.receiver, [])
        if one.slot and one.slot not in slots:
            slots.append(one.slot)
        functions.setdefault(premises, []).append(function_at(case, one.receiver, one.output))
    if not learned:
        raise InputError(f"{fob.label} is learned nowhere: there is nothing to delete.")
    start = start or max(case.job.premises, key=lambda name: len(case.job.premises[name].receivers))
    if start not in case.job.premises:
        raise InputError(f"There is no premises '{start}' in the job; it has {', '.join(case.job.premises)}.")
    houses = [name for name in case.job.premises if name in learned] + [name for name in learned if name not in case.job.premises]
    doubts: list[str] = []
    weight = {name: (weights or {}).get(name, premises_weight(case, functions[name])) for name in houses}
    sites = []
    for name in houses:
        work = work_min * len(learned[name])
        opens, closes = _hours(case, name, doubts)
        if closes - opens < work:
            doubts.append(f"{name} is open for {closes - opens:.0f} min, less than the {work:.0f} min of work: taken as always open, ask.")
            opens, closes = 0.0, 1440.0
        sites.append(Site(weight[name], work, opens, closes))
    travel = _travel(case, [start, *houses], doubts)
    begin = leave.hour * 60.0 + leave.minute
    waited = (leave - reported).total_seconds() / 60 if reported is not None else 0.0
    tour = best_tour(travel_min=travel, sites=sites, begin_min=begin)
    visits = tuple(_visit(case, fob, houses[index], learned, functions, weight, leave, waited, minutes) for index, minutes in zip(tour.order, tour.finished_min))
    others = _others(travel, sites, begin, tour, houses) if len(sites) <= FRONT_SITES else ()
    unset = [name for name in houses if any(right_weight(case, one) == UNSET_WEIGHT for one in functions[name])]
    says = f"{fob.label} works at {sum(map(len, learned.values()))} receivers of {len(houses)} premises"
    says += f"; it unsets the alarm at {listed(unset)}. {CAUTIONS['lost fob']}" if unset else f". {CAUTIONS['lost fob']}"
    waiting = waited * sum(weight.values())
    return LostPlan(fob.label, says, start, visits, tour.drive_min, (tour.exposure + waiting) / 60, tour.gap, others, tuple(dict.fromkeys(doubts)))


def _visit(
    case: Case, fob: Fob, premises: str, learned: Mapping[str, Mapping[str, list[str]]], functions: Mapping[str, list[str]], weight: Mapping[str, float],
    leave: datetime, waited: float, minutes: float,
) -> Visit:
    names = tuple(dict.fromkeys(functions[premises]))
    receivers = {path: tuple(slots) for path, slots in learned[premises].items()}
    meanwhile = []
    if any(right_weight(case, name) == UNSET_WEIGHT for name in names):
        meanwhile.append(f"{premises}: ring at once. Have somebody stay, or have whoever may sign at the panel take the radio's unset input out of use until the fob is deleted. Tell the insurer. {LOCAL_CODES}")
    if any(0.2 < right_weight(case, name) < UNSET_WEIGHT for name in names):
        meanwhile.append(f"{premises}: lock by key as well after hours; do not rely on {listed(name for name in names if 0.2 < right_weight(case, name) < UNSET_WEIGHT)}.")
    sheet = [f"Delete {fob.label}{f', serial {fob.serial}' if fob.serial else ''} at {premises}."]
    for path, slots in receivers.items():
        _, name, box = case.job.receiver_of(path) or (premises, path.rpartition("/")[2], None)
        part = case.equipment.receivers.get(path)
        how = part.sheet.deletes_by if part is not None else None
        access = f" Access: {box.learn_access}." if box is not None and box.learn_access else ""
        where = f"delete slot {' and '.join(slots)}" if slots else "its slot is not written down"
        if not slots and how in ("slot", None):
            where += ": read the list of the receiver first; erase all and learn the others again only if nothing else is left"
        elif not slots and how == "fob in hand":
            where += ": this receiver deletes only with the fob in hand; all must be erased and learned again"
        sheet.append(f"{name}: {where}.{access} Then press with a fob that has to work there, and with a copy of the record show that the slot is empty. Evidence: ______")
    finished = leave + timedelta(minutes=minutes)
    return Visit(premises, receivers, names, weight[premises], finished, (minutes + waited) / 60, tuple(meanwhile), tuple(sheet))


def _others(travel: list[list[float]], sites: list[Site], begin: float, best: Tour, houses: list[str]) -> tuple[tuple[tuple[str, ...], float, float], ...]:
    front = front_of_tours(travel_min=travel, sites=sites, begin_min=begin)
    return tuple((tuple(houses[index] for index in tour.order), tour.drive_min, tour.exposure / 60) for tour in front if tour.order != best.order and tour.exposure > best.exposure)


def _travel(case: Case, stops: list[str], doubts: list[str]) -> list[list[float]]:
    roads: dict[frozenset[str], float] = {frozenset(road.between): road.takes_s / 60 for road in case.job.roads}

    def way(a: str, b: str) -> float:
        if a == b:
            return 0.0
        if frozenset((a, b)) not in roads:
            first, second = sorted((a, b))
            doubts.append(f"The road between {first} and {second} is not given; {UNKNOWN_ROAD_MIN:.0f} min were taken.")
            return UNKNOWN_ROAD_MIN
        return roads[frozenset((a, b))]

    return [[way(a, b) for b in stops] for a in stops]


def _hours(case: Case, premises: str, doubts: list[str]) -> tuple[float, float]:
    house = case.job.premises.get(premises)
    text = house.open_hours if house is not None else None
    if not text:
        doubts.append(f"When somebody can be let in at {premises} is not given; taken as always.")
        return 0.0, 1440.0
    match = re.fullmatch(r"\s*(\d{1,2}):(\d{2})\s*-\s*(\d{1,2}):(\d{2})\s*", text)
    if match is None:
        doubts.append(f"The hours of {premises}, '{text}', are not of the form 07:00-18:00; taken as always.")
        return 0.0, 1440.0
    opens, closes = int(match[1]) * 60.0 + int(match[2]), int(match[3]) * 60.0 + int(match[4])
    if not opens < closes <= 1440:
        doubts.append(f"The hours of {premises}, '{text}', end before they begin; taken as always.")
        return 0.0, 1440.0
    return opens, closes
