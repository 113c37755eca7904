"""Learning many fobs again: who comes in which wave, how long they queue, who shares a receiver.

Waves are stretches of time in which so many fobs can be learned. A tenant is kept together
where that is possible, and those who press most come first.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from farpress.errors import InputError, require_range
from farpress.sources import Mark, cites

__all__ = ["Queue", "Split", "Waves", "learning_queue", "plan_waves", "split_tenants"]


class Waves(NamedTuple):
    """How many fobs of each group are learned in each wave.

    Attributes:
        fobs: one row a group, one number a wave.
        splits: groups that come in more than one wave, counted per further wave.
        waiting: sum of fobs times weight times waiting time of their wave.
        gap: how far a better plan could at most be, as a share; 0 if proven.
    """

    fobs: tuple[tuple[int, ...], ...]
    splits: int
    waiting: float
    gap: float


class Queue(NamedTuple):
    """A queue in front of the learning: the longest, the longest wait [min], and how many are left at the
    end.
    """

    longest: float
    wait_min: float
    left: float


class Split(NamedTuple):
    """Receiver of each tenant, and how full the fullest is, as a share."""

    receiver: tuple[int, ...]
    fullest_share: float
    gap: float


@cites("integer programme: whole groups first, then the least weighted waiting", mark=Mark.CHOICE)
def plan_waves(
    *, fobs: Sequence[int], weights: Sequence[float], capacity: Sequence[int], waits: Sequence[float]
) -> Waves:
    """Fewest split groups, then those with most presses first.

    Args:
        fobs: fobs of each group.
        weights: presses a day of one holder of each group.
        capacity: fobs that can be learned in each wave.
        waits: how long the holders of a wave go without, any unit.

    Raises:
        InputError: the lists do not fit each other, or there is not room for all.

    Example:
        Three groups, two mornings of 50: nobody is split, the busy ones come first.

        >>> plan_waves(fobs=[40, 30, 20], weights=[1, 4, 4], capacity=[50, 50], waits=[0, 1]).fobs
        ((0, 40), (30, 0), (20, 0))
    """
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    if len(fobs) != len(weights) or len(capacity) != len(waits) or not fobs or not capacity:
        raise InputError(
            "Each group needs its fobs and its weight, each wave its room and its waiting time; at least one"
            " of each."
        )
    for name, values in (("fobs", fobs), ("weights", weights), ("capacity", capacity), ("waits", waits)):
        require_range(name, list(values), "", low=0, because="not negative")
    if sum(capacity) < sum(fobs):
        raise InputError(
            f"{sum(fobs)} fobs do not fit into waves for {sum(capacity)}; add a wave, a station, or time."
        )
    groups, waves = len(fobs), len(capacity)
    size = groups * waves
    waiting = np.array([weights[g] * waits[w] for g in range(groups) for w in range(waves)], dtype=np.float64)
    least = 1.0 + float(sum(fobs[g] * weights[g] for g in range(groups)) * max(waits, default=0.0))
    objective = np.concatenate([waiting, np.full(size, least)])
    rows: list[int] = []
    columns: list[int] = []
    factors: list[float] = []
    low: list[float] = []
    high: list[float] = []

    def add(terms: Sequence[tuple[int, float]], lower: float, upper: float) -> None:
        for column, value in terms:
            rows.append(len(low))
            columns.append(column)
            factors.append(value)
        low.append(lower)
        high.append(upper)

    for g in range(groups):
        add([(g * waves + w, 1.0) for w in range(waves)], fobs[g], fobs[g])
        for w in range(waves):
            add([(g * waves + w, 1.0), (size + g * waves + w, -float(fobs[g]))], -np.inf, 0.0)
    for w in range(waves):
        add([(g * waves + w, 1.0) for g in range(groups)], 0.0, capacity[w])
    matrix = csr_array((factors, (rows, columns)), shape=(len(low), 2 * size))
    top = np.concatenate([np.repeat(np.array(fobs, dtype=np.float64), waves), np.ones(size)])
    found = milp(
        objective,
        constraints=LinearConstraint(matrix, low, high),
        bounds=Bounds(np.zeros(2 * size), top),
        integrality=np.ones(2 * size),
        options={"time_limit": 30.0},
    )
    if found.x is None:
        raise InputError(f"No plan was found in half a minute: {found.message}")
    counts = np.rint(found.x[:size]).astype(int).reshape(groups, waves)
    splits = int(np.sum(np.maximum(np.count_nonzero(counts, axis=1) - 1, 0)))
    return Waves(
        tuple(tuple(int(fobs) for fobs in row) for row in counts),
        splits,
        float(np.sum(counts.ravel() * waiting)),
        float(found.mip_gap or 0.0),
    )


@cites("fluid queue: arrivals and service spread evenly over each slot", mark=Mark.COMPUTED)
def learning_queue(
    *, arrivals: Sequence[float], slot_min: Sequence[float], stations: int, learn_min: float
) -> Queue:
    """The queue of people who come as they always come, and are learned one by one.

    Args:
        arrivals: people in each slot.
        slot_min: length of each slot [min].
        stations: people who learn side by side.
        learn_min: time for one fob [min].

    Raises:
        InputError: lists of different length.
        OutOfRange: no station, no time.

    Example:
        >>> learning_queue(arrivals=[40, 80, 20], slot_min=[15, 15, 15], stations=2, learn_min=0.5)
        Queue(longest=20.0, wait_min=5.0, left=0.0)
    """
    if len(arrivals) != len(slot_min) or not arrivals:
        raise InputError("Each slot needs its arrivals and its length; at least one slot.")
    require_range("stations", stations, "", low=1, because="somebody must learn")
    require_range("learn_min", learn_min, "min", low=1e-3, because="learning takes time")
    require_range("slot_min", list(slot_min), "min", low=1e-3, because="a slot has a length")
    require_range("arrivals", list(arrivals), "", low=0, because="not negative")
    rate = stations / learn_min
    queue = longest = 0.0
    for people, minutes in zip(arrivals, slot_min):
        queue = max(0.0, queue + people - rate * minutes)
        longest = max(longest, queue)
    return Queue(longest, longest / rate, queue)


@cites("integer programme: each tenant at one receiver, the fullest as empty as possible", mark=Mark.CHOICE)
def split_tenants(*, records: Sequence[int], capacity: Sequence[int]) -> Split:
    """Share tenants out over receivers so that the fullest has most room left.

    Args:
        records: records of each tenant, in whatever the receivers count.
        capacity: of each receiver.

    Raises:
        InputError: nothing to share, or no way to fit them with each tenant at one receiver.

    Example:
        >>> split_tenants(records=[212, 148, 121, 74, 38], capacity=[400, 400])[:2]
        ((0, 1, 1, 0, 1), 0.7675)
    """
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    if not records or not capacity:
        raise InputError("Give at least one tenant and one receiver.")
    require_range("records", list(records), "", low=0, because="not negative")
    require_range("capacity", list(capacity), "", low=1, because="a receiver holds something")
    tenants, receivers = len(records), len(capacity)
    size = tenants * receivers
    objective = np.zeros(size + 1)
    objective[-1] = 1.0
    once = np.zeros((tenants, size + 1))
    fill = np.zeros((receivers, size + 1))
    for t in range(tenants):
        once[t, t * receivers : (t + 1) * receivers] = 1.0
        for r in range(receivers):
            fill[r, t * receivers + r] = records[t] / capacity[r]
    fill[:, -1] = -1.0
    first = np.zeros((1, size + 1))
    first[0, 0] = 1.0  # equal receivers: the first tenant goes to the first of them
    constraints = [LinearConstraint(once, 1, 1), LinearConstraint(fill, -np.inf, 0)]
    if len(set(capacity)) == 1:
        constraints.append(LinearConstraint(first, 1, 1))
    found = milp(
        objective,
        constraints=constraints,
        bounds=Bounds(np.zeros(size + 1), np.append(np.ones(size), np.inf)),
        integrality=np.append(np.ones(size), 0),
        options={"time_limit": 30.0},
    )
    if found.x is None:
        raise InputError(f"No plan was found in half a minute: {found.message}")
    choice = np.rint(found.x[:size]).astype(int).reshape(tenants, receivers).argmax(axis=1)
    loads = [
        sum(records[t] for t in range(tenants) if choice[t] == r) / capacity[r] for r in range(receivers)
    ]
    if max(loads) > 1:
        raise InputError(
            f"{sum(records)} records do not fit into {sum(capacity)} places with each tenant at one receiver;"
            " take a larger receiver, or one more."
        )
    return Split(tuple(int(receiver) for receiver in choice), max(loads), float(found.mip_gap or 0.0))
