"""How likely it is: the same models as a Markov chain.

A round is one of several lists of events, each with its chance; an event that cannot
happen is passed over. The chain is solved by stepping its distribution, so the numbers
are exact for the model.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from farpress.core.rehearsal.ready import Network
from farpress.core.rehearsal.running import Runner, State
from farpress.errors import InputError, require_range
from farpress.sources import Mark, cites

if TYPE_CHECKING:
    from scipy.sparse import csr_array

__all__ = ["MarkovChain", "chance_after", "chance_ever", "chance_for_ever", "make_chain", "rounds_until"]

LARGEST = 200_000
"""States of a chain at most; our choice, a larger one is no longer quick."""


class MarkovChain(NamedTuple):
    """A network under rounds of events.

    Attributes:
        step: chance from a state (row) to a state (column) in one round, shape (n, n).
        breaks: chance that a condition is met on the way from a state, name → shape (n,).
        clean: as `step`, without the rounds that meet the condition, name → shape (n, n).
        holds: whether a condition is true after the last event into a state, name → shape (n,).
    """

    step: csr_array
    breaks: Mapping[str, np.ndarray]
    clean: Mapping[str, csr_array]
    holds: Mapping[str, np.ndarray]


@cites("Markov chain of the model", mark=Mark.COMPUTED)
def make_chain(
    network: Network, rounds: Mapping[tuple[str, ...], float], *, before: tuple[str, ...] = ()
) -> MarkovChain:
    """The chain of a network whose events come in rounds.

    Args:
        network: the model; its bad conditions are what is asked about.
        rounds: list of events → its chance; the chances add up to 1.
        before: events that happen once, before the first round.

    Raises:
        InputError: chances that do not add up to 1, an event the model has not, or too many states.
    """
    from scipy.sparse import csr_array

    require_range("chances of a round", list(rounds.values()), "", low=0.0, high=1.0, because="a share")
    if abs(sum(rounds.values()) - 1.0) > 1e-9:
        raise InputError(f"The chances of a round add up to {sum(rounds.values()):g}, but must add up to 1.")
    runner = Runner(network)
    unknown = {event for events in (*rounds, before) for event in events} - set(runner.events)
    if unknown:
        raise InputError(
            f"The model has no event {', '.join(sorted(unknown))}; it has {', '.join(runner.events)}."
        )
    names = tuple(network.bad)
    start, _, bits = _through(runner, network.starts, before, 0)
    index: dict[tuple[State, int], int] = {(start, bits): 0}
    order = [(start, bits)]
    rows: list[int] = []
    columns: list[int] = []
    weights: list[float] = []
    met: list[int] = []
    number = 0
    while number < len(order):
        state, now = order[number]
        for events, chance in rounds.items():
            if chance == 0.0:
                continue
            after, seen, last = _through(runner, state, events, now)
            key = (after, last)
            if key not in index:
                if len(order) >= LARGEST:
                    raise InputError(
                        f"The chain has more than {LARGEST} states. Ask about fewer things together."
                    )
                index[key] = len(order)
                order.append(key)
            rows.append(number)
            columns.append(index[key])
            weights.append(chance)
            met.append(seen)
        number += 1
    shape = (len(order), len(order))
    values, seen_bits = np.array(weights), np.array(met)
    step = csr_array((values, (rows, columns)), shape=shape)
    breaks, clean, holds = {}, {}, {}
    for bit, name in enumerate(names):
        hit = (seen_bits >> bit) & 1 == 1
        breaks[name] = (
            np.bincount(np.array(rows)[hit], weights=values[hit], minlength=len(order))
            if hit.any()
            else np.zeros(len(order))
        )
        clean[name] = csr_array((np.where(hit, 0.0, values), (rows, columns)), shape=shape)
        holds[name] = np.array([float(now >> bit & 1) for _, now in order])
    return MarkovChain(step, breaks, clean, holds)


def _through(runner: Runner, state: State, events: tuple[str, ...], now: int) -> tuple[State, int, int]:
    # state after the events, conditions met on the way, conditions after the last one
    seen = 0
    for event in events:
        taken = runner.step(state, event)
        if taken is not None:
            state, now = taken
            seen |= now
    return state, seen, now


@cites("Chapman-Kolmogorov equation", mark=Mark.MEMORY)
def chance_after(chain: MarkovChain, condition: str, *, rounds: int) -> float:
    """Chance that a condition is true after some rounds, whatever was before.

    Args:
        chain: see `make_chain`.
        condition: name of a bad condition of its model.
        rounds: how many.

    Raises:
        OutOfRange: a negative number of rounds.
    """
    require_range("rounds", rounds, "", low=0, high=10_000_000, because="a number of rounds")
    spread = np.zeros(chain.step.shape[0])
    spread[0] = 1.0
    for _ in range(rounds):
        spread = spread @ chain.step
    return float(spread @ chain.holds[condition])


@cites("absorption in a Markov chain", mark=Mark.MEMORY)
def chance_ever(chain: MarkovChain, condition: str, *, rounds: int) -> float:
    """Chance that a condition is met at least once in some rounds.

    Args:
        chain: see `make_chain`.
        condition: name of a bad condition of its model.
        rounds: how many.

    Raises:
        OutOfRange: a negative number of rounds.
    """
    require_range("rounds", rounds, "", low=0, high=10_000_000, because="a number of rounds")
    spread = np.zeros(chain.step.shape[0])
    spread[0] = 1.0
    total = 0.0
    for _ in range(rounds):
        total += float(spread @ chain.breaks[condition])
        spread = spread @ chain.clean[condition]
    return total


@cites("stationary distribution of a Markov chain: p = p P, and its sum is 1", mark=Mark.MEMORY)
def chance_for_ever(chain: MarkovChain, condition: str) -> float:
    """Share of rounds after which a condition is true, on average over many rounds.

    Args:
        chain: see `make_chain`.
        condition: name of a bad condition of its model.

    Raises:
        InputError: the chain has more than one set of states that it never leaves.
    """
    from scipy.sparse.csgraph import connected_components

    count, part = connected_components(chain.step, directed=True, connection="strong")
    matrix = chain.step.tocoo()
    leaves = set(part[matrix.row[(part[matrix.row] != part[matrix.col]) & (matrix.data > 0.0)]])
    closed = [number for number in range(count) if number not in leaves]
    if len(closed) != 1:
        raise InputError(
            f"The chain ends in one of {len(closed)} sets of states; it has no one share for ever."
        )
    inside = np.flatnonzero(part == closed[0])
    steps = chain.step[inside][:, inside].toarray()
    # one of the balance equations follows from the others; the sum takes its place
    equations = steps.T - np.eye(len(inside))
    equations[-1] = 1.0
    wanted = np.zeros(len(inside))
    wanted[-1] = 1.0
    spread = np.linalg.solve(equations, wanted)
    return float(spread @ chain.holds[condition][inside])


@cites("mean time to absorption: (I - Q) t = 1", mark=Mark.MEMORY)
def rounds_until(chain: MarkovChain, condition: str) -> float:
    """Mean number of rounds up to the first one in which a condition is met; infinite where it may never be.

    Args:
        chain: see `make_chain`.
        condition: name of a bad condition of its model.
    """
    from scipy.sparse import identity
    from scipy.sparse.csgraph import breadth_first_order
    from scipy.sparse.linalg import spsolve

    stays = chain.clean[condition].copy()
    stays.eliminate_zeros()
    reached = np.sort(breadth_first_order(stays, 0, directed=True, return_predecessors=False))
    backwards, meets = stays.T.tocsr(), np.flatnonzero(chain.breaks[condition] > 0.0)
    may_meet = {
        int(state)
        for first in meets
        for state in breadth_first_order(backwards, first, directed=True, return_predecessors=False)
    }
    if not set(map(int, reached)) <= may_meet:
        return float("inf")
    q = stays[reached][:, reached]
    times = np.atleast_1d(spsolve((identity(len(reached)) - q).tocsc(), np.ones(len(reached))))
    return float(times[int(np.flatnonzero(reached == 0)[0])])
