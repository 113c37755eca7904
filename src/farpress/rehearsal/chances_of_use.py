"""Chances from who uses a thing and when: shifts, people inside, arrivals by day, gates in a row."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, driven_of, groups_of, uses_of
from farpress.core.keys.inside import share_somebody_inside
from farpress.core.rehearsal.barrier import lane_capacity_per_s, lock_capacity_per_s
from farpress.core.rehearsal.parity import share_odd
from farpress.core.rehearsal.queue import waiting_over_the_day
from farpress.dates import stretch_s
from farpress.domain.job import Traffic
from farpress.phrases import listed, plural
from farpress.sources import Citation, cited

__all__ = ["Chance", "queues", "set_on_people", "toggled_by_people"]


@dataclass(frozen=True)
class Chance:
    """One number about use.

    Attributes:
        about: what it is about.
        says: the number in a sentence.
        share: the chance; None where the number is something else.
        because: how it was found.
        sources: of the formula.
    """

    about: str
    says: str
    share: float | None
    because: str = ""
    sources: tuple[Citation, ...] = ()


def toggled_by_people(case: Case) -> Iterator[Chance]:
    """How a toggle stands after a shift in which each holder presses it once or not; nobody looks."""
    for output in case.outputs():
        loads = driven_of(case, output)
        turns = output.output.traits.turns_round or any(load.reading.turns_round for load in loads)
        shares = uses_of(case, output) if turns else None
        if not shares:
            continue
        other = share_odd(shares=shares)
        works = listed(load.works for load in loads) or output.path
        yield Chance(
            f"{output.path}: use",
            f"after a shift {works} stands otherwise than at its beginning in {other:.1%} of cases.",
            other,
            f"{plural(len(shares), 'person', 'people')}, each pressing once or not, as 'uses' says.",
            cited(share_odd),
        )


def set_on_people(case: Case) -> Iterator[Chance]:
    """How likely an area is set on somebody who is inside, at each time of which arrivals are told."""
    for premises, house in case.job.premises.items():
        for panel, entry in house.panels.items():
            for name, area in entry.areas.items():
                for when, rate in area.arrivals_per_day.items():
                    if area.stay_s is None:
                        continue
                    share = share_somebody_inside(arrivals_per_day=rate, stay_s=area.stay_s)
                    kept = (
                        f" {listed(area.set_prevented_by)} may prevent it." if area.set_prevented_by else ""
                    )
                    yield Chance(
                        f"{premises}/{panel}: {name}, {when}",
                        f"whoever sets {name} at any moment sets it with somebody inside in {share:.1%}"
                        f" of cases.{kept}",
                        share,
                        f"{rate / 24:.3g} an hour come and stay {area.stay_s / 60:g} min on average",
                        cited(share_somebody_inside),
                    )


def queues(case: Case) -> Iterator[Chance]:
    """Who waits at a barrier or gate, and before a lock of gates."""
    for traffic in case.job.traffic:
        for output in case.outputs_of(traffic.function):
            for load in driven_of(case, output):
                yield from _queue(case, traffic, output, load)


def _queue(case: Case, traffic: Traffic, output: OutputAt, load: Driven) -> Iterator[Chance]:
    sheet = load.sheet
    if sheet.travel_s is None or traffic.passage_s is None:
        return
    lock = _lock_cycle(case, traffic.passage_s, load.path)
    closing = sheet.travel_back_s or sheet.travel_s
    cycle = 1.0 / lane_capacity_per_s(
        opening_s=sheet.travel_s, passage_s=traffic.passage_s, closing_s=closing
    )
    if lock is not None:
        cycle = lock[1]
    stretches = [
        (float(number), stretch_s(name)) for name, number in traffic.arrivals.items() if stretch_s(name) > 0
    ]
    if not stretches:
        return
    waiting = waiting_over_the_day(stretches=stretches, cycle_s=cycle)
    worst = max(range(len(waiting)), key=lambda i: waiting[i].mean)
    name = [name for name in traffic.arrivals if stretch_s(name) > 0][worst]
    days = f" on {listed(day.capitalize() for day in traffic.days)}" if traffic.days else ""
    groups = len(groups_of(case, output))
    through = f" through {lock[0]}, one gate after the other" if lock is not None else ""
    yield Chance(
        f"{output.path}: {load.works}",
        f"at the end of {name}{days} {waiting[worst].mean:.0f}"
        f" {'vehicle waits' if round(waiting[worst].mean) == 1 else 'vehicles wait'} on average,"
        f" not more than {waiting[worst].nine_in_ten} on nine of ten days.",
        None,
        f"One vehicle in {cycle:g} s{through} if it opens and closes for each, {plural(groups, 'group')};"
        " held open while they come it passes more.",
        (*cited(waiting_over_the_day), *(cited(lock_capacity_per_s) if lock is not None else ())),
    )


def _lock_cycle(case: Case, passage_s: float, path: str) -> tuple[str, float] | None:
    """Name and cycle [s] of the lock that a gate leads into; None where there is none, or no time."""
    premises, _, gate = path.partition("/")
    for name, lock in case.job.premises[premises].gate_locks.items():
        if gate not in lock.enter_by:
            continue
        row = (gate, next((other for other in lock.leave_by if other != gate), gate))
        sheets = [case.equipment.devices[f"{premises}/{each}"].sheet for each in row]
        times = [(sheet.travel_s, sheet.travel_back_s or sheet.travel_s) for sheet in sheets]
        known = [(up, down) for up, down in times if up is not None and down is not None]
        if len(known) == len(row):
            return name, 1.0 / lock_capacity_per_s(gates=known, passage_s=passage_s)
    return None
