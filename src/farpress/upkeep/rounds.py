"""The firm's rounds: what falls due within some weeks is done on one trip, a day's work at most."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from farpress.case.case import Case
from farpress.core.keys.tour import MOST_SITES, shortest_round
from farpress.phrases import in_one, listed
from farpress.upkeep.due import Due

__all__ = ["RoundLine", "ServiceRound", "visits"]

DAY_MIN: Final = 420.0
"""Work that fits into a day beside the driving; our choice, seven hours."""


@dataclass(frozen=True)
class ServiceRound:
    """One round by the firm.

    Attributes:
        on: the day.
        sites: premises in their order.
        tasks: what is done, premises by premises in that order.
        minutes: on site, several people side by side; driving not counted.
        drive_minutes: driving; None where roads are not given.
        says: in a sentence.
    """

    on: date
    sites: tuple[str, ...]
    tasks: tuple[Due, ...]
    minutes: float
    drive_minutes: float | None
    says: str

    def lines(self) -> tuple[RoundLine, ...]:
        """The tasks as they are read: equal ones for several things of one premises are one line."""
        found: dict[tuple[str, str, date, float], list[Due]] = {}
        for task in self.tasks:
            kind = task.id.partition(": ")[0]
            found.setdefault((task.premises, kind, task.on, task.every_months), []).append(task)
        lines = []
        for tasks in found.values():
            whole = in_one([task.does for task in tasks])
            heaps = [tasks] if whole is not None else [[task] for task in tasks]
            lines += [RoundLine(whole or heap[0].does, tuple(heap)) for heap in heaps]
        return tuple(lines)


@dataclass(frozen=True)
class RoundLine:
    """One line of a round: what is done, and the tasks that it stands for, all on one day."""

    does: str
    tasks: tuple[Due, ...]


def visits(
    case: Case, due: Iterable[Due], *, within_days: int = 45, start: str = "", today: date | None = None
) -> tuple[ServiceRound, ...]:
    """The firm's own tasks put together into rounds: what falls due within some weeks is done on one trip.

    A task that comes back stands in a round for each of its days, never twice in one.

    Args:
        case: the job, with its roads.
        due: the list; the customer's own tasks are left out.
        within_days: how much earlier something may be done to save a trip.
        start: premises where the round begins; empty takes the job's first.
        today: no round is before it; None: whatever is due sets the day.
    """
    waiting = sorted(
        (turn for task in due if task.who != "customer" for turn in task.each()),
        key=lambda task: (task.on, task.id),
    )
    found: list[ServiceRound] = []
    while waiting:
        day = waiting[0].on
        near = {
            round_.id: round_ for round_ in reversed(waiting) if (round_.on - day).days <= within_days
        }  # of each task the earliest
        now = [round_ for round_ in waiting if near.get(round_.id) is round_]
        waiting = [round_ for round_ in waiting if near.get(round_.id) is not round_]
        found += _days(case, _on(day, today), now, start)
    return tuple(found)


def _on(day: date, today: date | None) -> date:
    """The working day of a round that falls due on a day, none of them past."""
    on = _workday(day)
    if today is None or on >= today:
        return on
    return today + timedelta(days=max(7 - today.weekday(), 0) if today.weekday() > 4 else 0)


def _workday(day: date) -> date:
    """The Friday before a weekend, the day itself otherwise."""
    return day - timedelta(days=max(day.weekday() - 4, 0))


def _days(case: Case, day: date, tasks: Sequence[Due], start: str) -> Iterator[ServiceRound]:
    """One round after the other, none with more work than a day has, premises kept together where they
    fit.
    """
    left = list(tasks)
    while left:
        whole = _visit(case, day, left, start)
        now: list[Due] = []
        for site in whole.sites:
            here = [task for task in whole.tasks if task.premises == site]
            if now and _minutes((*now, *here)) > DAY_MIN:
                break
            while here and (not now or _minutes((*now, here[0])) <= DAY_MIN):
                now.append(here.pop(0))
            if here:
                break
        yield _visit(case, day, now, start)
        left = [task for task in left if task not in now]
        day += timedelta(days=3 if day.weekday() == 4 else 1)


def _minutes(tasks: Iterable[Due]) -> float:
    """Time on site: several people work side by side, premises come one after the other."""
    sums: dict[str, dict[str, float]] = {}
    for task in tasks:
        here = sums.setdefault(task.premises, {})
        here[task.who] = here.get(task.who, 0.0) + task.minutes
    return sum(max(here.values()) for here in sums.values())


def _visit(case: Case, day: date, tasks: Sequence[Due], start: str) -> ServiceRound:
    first = start or next(iter(case.job.premises))
    there = [name for name in case.job.premises if any(task.premises == name for task in tasks)]
    sites = [first, *(name for name in there if name != first)]
    roads = {frozenset(road.between): road.takes_s for road in case.job.roads}
    known = all(frozenset((a, b)) in roads for number, a in enumerate(sites) for b in sites[number + 1 :])
    drive: float | None = 0.0
    if len(sites) > 1 and known and len(sites) <= MOST_SITES:
        tour = shortest_round(sites=sites, drive_s=roads)
        order, drive = tour.sites[:-1], tour.drive_s / 60.0
    else:
        order = tuple(sites)
        drive = 0.0 if len(sites) == 1 else None
    order = tuple(name for name in order if name in there)
    sorted_tasks = tuple(sorted(tasks, key=lambda task: (order.index(task.premises), task.on, task.id)))
    minutes = _minutes(tasks)
    road = f" and {drive:.0f} min of driving" if drive else ""
    if drive is None:
        road = "; the roads are not given"
    who = listed(dict.fromkeys(task.who for task in sorted_tasks))
    return ServiceRound(
        day,
        order,
        sorted_tasks,
        minutes,
        drive,
        f"{day}: {listed(order)}, {len(tasks)} task{'s' if len(tasks) != 1 else ''}, {minutes / 60:.1f} h on"
        f" site{road}; by {who}.",
    )
