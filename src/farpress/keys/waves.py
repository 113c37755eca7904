"""Replacing a receiver: who comes when to have the fob learned again, and who queues how long.

Also sharing tenants out over several receivers, so that no memory is full.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final

from farpress.case.driven import holders
from farpress.core.keys.waves import learning_queue, plan_waves
from farpress.domain.register import FobRegister, FobState
from farpress.errors import InputError
from farpress.keys.rights import buttons_of, places_of
from farpress.phrases import plural

if TYPE_CHECKING:
    from farpress.case.case import Case

__all__ = ["LEARN_MIN", "SLOT_MIN", "Morning", "Replacement", "Wave", "plan_replacement"]

LEARN_MIN: Final = 0.5
"""Minutes to learn one fob again, its holder standing there; our choice, to be measured on the first ten."""

SLOT_MIN: Final = 15
"""Waves are told to people in quarters of an hour; our choice."""


PATIENCE_MIN: Final = 5.0
"""Longest queue nobody complains about; our choice."""


@dataclass(frozen=True)
class Morning:
    """A stretch of time in which fobs are learned: local times."""

    begins: datetime
    ends: datetime


@dataclass(frozen=True)
class Wave:
    """Who comes in one quarter of an hour.

    Attributes:
        at: begin.
        groups: tenant or group → number of fobs.
        fobs: their labels where the register knows them, in the order to come.
    """

    at: datetime
    groups: Mapping[str, int]
    fobs: tuple[str, ...] = ()


@dataclass(frozen=True)
class Replacement:
    """The plan of a replacement.

    Attributes:
        receiver: which.
        fobs: how many are to be learned again.
        waves: in the order of time.
        split: tenants that come on more than one morning.
        waits_min: longest queue of each morning if its people come as they always come, not as they are
            asked to [min].
        without: holders times mornings without a working fob, if the old receiver goes at the first morning.
        says: sentences for the customer.
    """

    receiver: str
    fobs: int
    waves: tuple[Wave, ...]
    split: tuple[str, ...]
    waits_min: tuple[float, ...]
    without: int
    says: tuple[str, ...]


def plan_replacement(
    case: Case,
    register: FobRegister | None,
    receiver: str,
    mornings: Sequence[Morning],
    *,
    stations: int = 1,
    learn_min: float = LEARN_MIN,
    at_once: bool = False,
) -> Replacement:
    """Waves in which everybody's fob is learned at a new receiver.

    Fobs are those of the register that the receiver knows or should know; without a register, the numbers
    of the job's groups. Tenants stay together on one morning where that is possible. With
    the old receiver running beside the new one nobody is locked out, and the mornings are
    made equally full; without it those who press most come first, as early as possible.

    Args:
        case: the job.
        register: as of now, or None.
        receiver: "premises/receiver".
        mornings: when people can learn, in the order of time.
        stations: people who learn side by side.
        learn_min: minutes for one fob.
        at_once: the old receiver is gone from the first morning on.

    Raises:
        InputError: no such receiver, nobody to learn, or not enough time for all.
    """
    if case.job.receiver_of(receiver) is None or receiver.count("/") != 1:
        raise InputError(f"There is no receiver '{receiver}' in the job.")
    if not mornings or any(morning.ends <= morning.begins for morning in mornings):
        raise InputError("Give at least one morning that ends after it begins.")
    if stations < 1 or learn_min <= 0:
        raise InputError("At least one station, and a learning time over zero.")
    people, labels = _people(case, register, receiver)
    if not people:
        raise InputError(f"Nobody has a button for {receiver}: there is nothing to learn.")
    tenants = list(people)
    rate = stations / learn_min
    room = [int((morning.ends - morning.begins).total_seconds() / 60 * rate) for morning in mornings]
    total = sum(count for count, _ in people.values())
    if sum(room) < total:
        enough = next(
            (
                number
                for number in range(stations + 1, 51)
                if sum(
                    int((morning.ends - morning.begins).total_seconds() / 60 * number / learn_min)
                    for morning in mornings
                )
                >= total
            ),
            None,
        )
        raise InputError(
            f"{plural(total, 'fob')} at {learn_min:g} min and {_stations(stations)} need"
            f" {total * learn_min / stations:.0f} min; {len(mornings)}"
            f" stretch{'es' if len(mornings) != 1 else ''} of together"
            f" {sum((morning.ends - morning.begins).total_seconds() for morning in mornings) / 60:.0f} min"
            f" do not hold"
            f" them. {f'{_stations(enough)} would do' if enough else 'Take less time for each'}, or"
            f" {(total - sum(room)) * learn_min / stations:.0f} min more, or a further morning."
        )
    if not at_once and sum(room) >= total:
        room = _evened(room, total)
    waits_for = [float(number) if at_once else 0.0 for number in range(len(mornings))]
    plan = plan_waves(
        fobs=[people[name][0] for name in tenants],
        weights=[people[name][1] for name in tenants],
        capacity=room,
        waits=waits_for,
    )
    waves: list[Wave] = []
    left = {name: list(labels.get(name, ())) for name in tenants}
    waits = []
    for number, morning in enumerate(mornings):
        today = {name: plan.fobs[g][number] for g, name in enumerate(tenants) if plan.fobs[g][number]}
        waves += _waves_of(morning, today, left, people, int(SLOT_MIN * rate))
        waits.append(_wait(case, receiver, sum(today.values()), stations, learn_min))
    split = tuple(name for g, name in enumerate(tenants) if sum(count > 0 for count in plan.fobs[g]) > 1)
    later = sum(plan.fobs[g][number] * number for g in range(len(tenants)) for number in range(len(mornings)))
    without = later if at_once else 0
    says = [
        f"{plural(total, 'fob')} at {learn_min:g} min and {_stations(stations)}:"
        f" {total * learn_min / stations / 60:.1f} h, in {len(mornings)}"
        f" stretch{'es' if len(mornings) != 1 else ''}."
    ]
    if at_once:
        says.append(
            f"The old receiver is gone at once: {without} times somebody is without a working fob for a day,"
            " until their turn."
        )
    else:
        says.append(
            "Let the old receiver run beside the new one until the last wave: then nobody is locked out"
            f" (otherwise {later} times somebody would be, for a day)."
        )
    if split:
        says.append(f"Not all fit on one morning each: {', '.join(split)} come on more than one.")
    for number, wait in enumerate(waits):
        if wait is not None and wait > PATIENCE_MIN:
            here = sum(plan.fobs[g][number] for g in range(len(tenants)))
            need = next(
                (
                    more
                    for more in range(stations + 1, 51)
                    if (_wait(case, receiver, here, more, learn_min) or 0.0) <= PATIENCE_MIN
                ),
                None,
            )
            more = f"; {_stations(need)} would keep it under {PATIENCE_MIN:g} min" if need else ""
            says.append(
                f"If the {here} people of {mornings[number].begins:%A %d %B} come as they always arrive, they"
                f" queue up to {wait:.0f} min: ask them for their quarter of an hour{more}."
            )
    return Replacement(
        receiver, total, tuple(waves), split, tuple(wait or 0.0 for wait in waits), without, tuple(says)
    )


def _people(
    case: Case, register: FobRegister | None, receiver: str
) -> tuple[dict[str, tuple[int, float]], dict[str, list[str]]]:
    """Tenant → (fobs, presses a day of one), and their labels where the register knows them."""
    presses = {name: group.presses_per_day or 1.0 for name, group in case.job.groups.items()}
    labels: dict[str, list[tuple[str, str]]] = {}
    weight: dict[str, float] = {}
    known = (
        [
            fob
            for fob in register.fobs.values()
            if fob.state is FobState.ISSUED
            and receiver
            in {
                *(entry.receiver for entry in fob.known_at),
                *(place.receiver for place in places_of(case, fob.buttons)),
            }
        ]
        if register is not None
        else []
    )
    for fob in known:
        tenant = fob.organisation or fob.group or fob.pool or "without a tenant"
        labels.setdefault(tenant, []).append((fob.group, fob.label))
        weight[tenant] = max(weight.get(tenant, 0.0), presses.get(fob.group, 1.0))
    if known:
        return {name: (len(found), weight[name]) for name, found in sorted(labels.items())}, {
            name: [label for _, label in sorted(found)] for name, found in labels.items()
        }
    people: dict[str, tuple[int, float]] = {}
    for name, group in case.job.groups.items():
        number = holders(group)
        if number and any(place.receiver == receiver for place in places_of(case, buttons_of(group))):
            tenant = group.organisation or name
            count, most = people.get(tenant, (0, 0.0))
            people[tenant] = (count + number, max(most, presses[name]))
    return people, {}


def _waves_of(
    morning: Morning,
    today: dict[str, int],
    left: dict[str, list[str]],
    people: Mapping[str, tuple[int, float]],
    room: int,
) -> list[Wave]:
    """Quarters of an hour, one tenant after the other, the busiest first."""
    waves: list[Wave] = []
    begins, free, groups, fobs = morning.begins, max(room, 1), dict[str, int](), list[str]()
    for name in sorted(today, key=lambda name: (-people[name][1], -today[name], name)):
        rest = today[name]
        while rest:
            if free == 0:
                waves.append(Wave(begins, dict(groups), tuple(fobs)))
                begins, free, groups, fobs = begins + timedelta(minutes=SLOT_MIN), max(room, 1), {}, []
            now = min(rest, free)
            groups[name] = groups.get(name, 0) + now
            fobs += left[name][:now]
            del left[name][:now]
            free, rest = free - now, rest - now
    if groups:
        waves.append(Wave(begins, dict(groups), tuple(fobs)))
    return waves


def _evened(room: list[int], total: int) -> list[int]:
    """Room of each morning, cut so that all are about equally full and tenants can still stay whole."""
    even = -(-total * 115 // (100 * len(room)))
    cut = [min(name, even) for name in room]
    return cut if sum(cut) >= total else room


def _stations(number: int) -> str:
    return f"{number} station{'' if number == 1 else 's'}"


def _wait(case: Case, receiver: str, people: int, stations: int, learn_min: float) -> float | None:
    """Longest queue if as many people come as the job's busiest traffic at this receiver says they do."""
    for traffic in case.job.traffic:
        function = case.job.functions.get(traffic.function)
        if function is None or not any(path.rsplit("/", 1)[0] == receiver for path in function.paths):
            continue
        total = sum(traffic.arrivals.values())
        lengths = [_minutes(arrival) for arrival in traffic.arrivals]
        if total and all(length > 0 for length in lengths):
            arrivals = [people * arrival / total for arrival in traffic.arrivals.values()]
            return learning_queue(
                arrivals=arrivals, slot_min=lengths, stations=stations, learn_min=learn_min
            ).wait_min
    return None


def _minutes(stretch: str) -> float:
    first, _, last = stretch.partition("-")
    try:
        begin, end = ([int(part) for part in tenant.split(":")] for tenant in (first, last))
        return float((end[0] - begin[0]) * 60 + end[1] - begin[1])
    except (ValueError, IndexError):
        return 0.0
