"""Search all stories of a network, breadth first, for the shortest one that breaks a rule.

Small networks are searched in plain Python, and so is, as far as that goes, one whose states are too wide for
machine code; larger ones in machine code made for them. Both give the same counts. A search that does not
finish says how far it got; it never says "safe".
"""

from __future__ import annotations

import functools
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np
from numpy.typing import NDArray

from farpress.core.rehearsal.kernel import EXPAND, HALVES, KERNEL, STRETCH
from farpress.core.rehearsal.machine import Machine, fits, make_machine, packing
from farpress.core.rehearsal.ready import Network
from farpress.core.rehearsal.running import SearchResult, search_plainly
from farpress.core.rehearsal.wording import ModelError
from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["BUDGET", "PLAIN", "search_all", "search_compiled"]

BUDGET = 4_000_000
"""States kept at most; our choice, about 170 MB and some seconds."""

PLAIN = 8_000
"""States up to which plain Python, a tenth of a second, is quicker than loading what makes machine code;
measured, our choice."""

AGAIN = 2_000
"""The same once it is loaded: the time that machine code of one more model takes; measured, our choice."""

LARGE = 150_000
"""States from which on a model is compiled a second time, to run twice as fast; measured, our choice."""

WIDE = 200_000
"""States kept at most where one is too wide for machine code; our choice, some seconds of plain Python."""

THREADS = 2
"""Threads that share a large search; our choice, two cores are on every laptop."""

_CHUNK = 200_000
_WIDE = 4096
_CANDIDATES = 400_000


@cites(
    "Henzinger, Manna, Pnueli, What good are digital clocks?",
    edition="ICALP 1992",
    place="LNCS 623, 545-558: whole-number time suffices for closed timed systems",
    mark=Mark.COPY,
)
def search_all(
    network: Network,
    *,
    budget: int = BUDGET,
    to_the_end: bool = False,
    progress: Callable[[int], None] | None = None,
) -> SearchResult:
    """Search every story; the shortest for each bad condition, or proof that there is none.

    Args:
        network: what is searched.
        budget: most states kept.
        to_the_end: go on after every bad condition has been found, for the full counts.
        progress: told the number of states now and then; may raise to cancel.

    Returns:
        What was found; `finished` only if every state was looked at.

    Raises:
        ModelError: a variable left its range.
        OutOfRange: a budget below 1.
    """
    require_range("budget", budget, "", low=1, because="a number of states")
    if not fits(network):
        most = min(budget, WIDE)
        return search_plainly(network, budget=most, to_the_end=to_the_end, progress=progress)
    first = PLAIN if budget <= PLAIN or not _kernel.cache_info().currsize else AGAIN
    found = search_plainly(network, budget=min(first, budget), to_the_end=to_the_end)
    if (
        found.finished
        or budget <= PLAIN
        or (not to_the_end and network.bad and len(found.stories) == len(network.bad))
    ):
        return found
    return search_compiled(network, budget=budget, to_the_end=to_the_end, progress=progress)


@cites(
    "breadth-first search with an open-addressing table; a stretch of states at a time", mark=Mark.COMPUTED
)
def search_compiled(
    network: Network,
    *,
    budget: int = BUDGET,
    to_the_end: bool = False,
    progress: Callable[[int], None] | None = None,
    threads: int = THREADS,
) -> SearchResult:
    """The same in machine code alone, several threads sharing it where many states wait.

    Args:
        network, budget, to_the_end: as in `search_all`; so are the errors, and a state that does not fit into
            62 bits is one.
        progress: as there; told 0 before anything is compiled.
        threads: stories, and the counts of a search that ends, do not depend on it.
    """
    require_range("threads", threads, "", low=1, high=64, because="a number of threads")
    if progress is not None:
        progress(0)
    work = _SearchArrays(network, 0 if to_the_end else len(network.bad), threads)
    try:
        while work.goes_on() and work.known <= budget:
            work.further(budget)
            if progress is not None:
                progress(work.known)
    finally:
        work.close()
    counts = work.counts
    finished = bool(counts[0] >= counts[1])
    stories = {
        name: (*work.path(int(work.bad_from[bit])), network.events[int(work.bad_via[bit])].name)
        for bit, name in enumerate(network.bad)
        if work.bad_from[bit] >= 0
    }
    deepest = int(counts[0] - 1 if finished else counts[0])
    return SearchResult(int(counts[1]), int(counts[2]), finished, len(work.path(deepest)), stories)


@functools.cache
def _kernel(*, soon: bool) -> Machine:
    return make_machine(KERNEL, soon=soon)


class _SearchArrays:
    """The arrays of one search, and what is done to them."""

    def __init__(self, network: Network, wanted: int, threads: int) -> None:
        self.network, self.wanted, self.threads = network, wanted, threads
        self.kernel, self.model = _kernel(soon=True), make_machine(EXPAND, network, soon=True)
        self.is_soon = True
        self.events, self.bads = len(network.events), len(network.bad)
        self.counts = np.array([0, 1, 0, 0], np.int64)
        size = 1 << 16
        self.states, self.parents, self.via = (
            np.empty(size, np.int64),
            np.empty(size, np.int32),
            np.empty(size, np.int16),
        )
        self.states[0], self.parents[0] = packing(network).start, -1
        self.slots = np.full(2 * size, -1, np.int32)
        self._place(1)
        conditions = max(self.bads, 1)
        self.bad_from, self.bad_via = np.full(conditions, -1, np.int64), np.zeros(conditions, np.int64)
        self.found = np.zeros(2, np.int64)
        self.stretch = _stretch(STRETCH * self.events)
        self.pool: ThreadPoolExecutor | None = None

    def _place(self, count: int) -> None:
        self.kernel.call("place_all", self.states, count, self.slots, len(self.slots))

    @property
    def known(self) -> int:
        return int(self.counts[1])

    def goes_on(self) -> bool:
        return bool(self.counts[0] < self.counts[1]) and not (self.wanted and self.counts[3] >= self.wanted)

    def further(self, budget: int) -> None:
        if self.known > LARGE and self.is_soon:
            self.kernel, self.model = _kernel(soon=False), make_machine(EXPAND, self.network)
            self.is_soon = False
        if self.threads > 1 and self.counts[1] - self.counts[0] >= _WIDE:
            self._together(budget)
            return
        code = self.kernel.call(
            "explore",
            self.model.address("expand"),
            self.states,
            self.parents,
            self.via,
            len(self.states),
            self.slots,
            len(self.slots),
            self.counts,
            self.bad_from,
            self.bad_via,
            self.bads,
            self.events,
            int(self.counts[0]) + min(_CHUNK, budget),
            self.wanted,
            _WIDE if self.threads > 1 else 1 << 62,
            STRETCH,
            *self.stretch,
            self.found,
        )
        if code == -1:
            raise self._left(int(self.bad_from[0]), int(self.bad_via[0]))
        if code == 1:
            self._grow(2 * len(self.states))

    def _grow(self, size: int) -> None:
        known = self.known
        self.states, self.parents, self.via = (
            _longer(array, known, size) for array in (self.states, self.parents, self.via)
        )
        self.slots = np.full(2 * size, -1, np.int32)
        self._place(known)

    def _together(self, budget: int) -> None:
        if self.pool is None:
            self.pool = ThreadPoolExecutor(self.threads)
        events = self.events
        first = int(self.counts[0])
        # a stretch ends where one thread would stop too: at the budget, checked after each _CHUNK there
        stop = min(int(self.counts[1]), first + max(_CANDIDATES // events, 1))
        room = (stop - first + self.threads - 1) // self.threads * events
        while self.known + self.threads * room >= len(self.states):
            self._grow(2 * len(self.states))
        bounds = [first + (stop - first) * part // self.threads for part in range(self.threads + 1)]
        after_of, from_of, event_of = _stretch(self.threads * room)
        slot_of = np.empty(self.threads * room, np.int64)
        found = [(self.bad_from.copy(), self.bad_via.copy()) for _ in range(self.threads)]

        def look(part: int) -> int:
            there = slice(part * room, (part + 1) * room)
            return self.model.call(
                "expand",
                self.states,
                *bounds[part : part + 2],
                events,
                after_of[there],
                from_of[there],
                event_of[there],
                *found[part],
                self.bads,
                np.zeros(2, np.int64),
            )

        lengths = np.array(list(self.pool.map(look, range(self.threads))), np.int64)
        stop = self._first_bad(found, stop)
        for part in range(self.threads):
            if lengths[part] < 0:
                place = part * room - lengths[part] - 1
                if from_of[place] < stop:
                    raise self._left(int(from_of[place]), int(event_of[place]))
                lengths[part] = -lengths[part] - 1
            there = from_of[part * room : part * room + lengths[part]]
            lengths[part] = np.searchsorted(there, stop)
        list(
            self.pool.map(
                lambda half: self.kernel.call(
                    "enter",
                    half,
                    self.threads,
                    lengths,
                    room,
                    after_of,
                    self.states,
                    self.slots,
                    len(self.slots),
                    slot_of,
                ),
                range(HALVES),
            )
        )
        new = [
            int(np.count_nonzero(slot_of[part * room : part * room + lengths[part]] >= 0))
            for part in range(self.threads)
        ]
        begins = [self.known + sum(new[:part]) for part in range(self.threads)]
        list(
            self.pool.map(
                lambda part: self.kernel.call(
                    "number",
                    part * room,
                    part * room + int(lengths[part]),
                    begins[part],
                    after_of,
                    from_of,
                    event_of,
                    slot_of,
                    self.states,
                    self.parents,
                    self.via,
                    self.slots,
                ),
                range(self.threads),
            )
        )
        self.counts[0] = stop
        self.counts[1] += sum(new)
        self.counts[2] += int(lengths.sum())

    def _first_bad(self, found: list[tuple[NDArray[np.int64], NDArray[np.int64]]], stop: int) -> int:
        """Keep the first story of each condition; where all wanted are met, the state after which one thread
        would stop.
        """
        for bit in range(self.bads):
            if self.bad_from[bit] < 0:
                met = [(int(where[bit]), int(event[bit])) for where, event in found if where[bit] >= 0]
                if met:
                    self.bad_from[bit], self.bad_via[bit] = met[0]
                    self.counts[3] += 1
        return (
            min(stop, int(self.bad_from.max()) + 1) if self.wanted and self.counts[3] >= self.wanted else stop
        )

    def _left(self, index: int, event: int) -> ModelError:
        return ModelError(
            f"A variable left its range at {self.network.events[event].name}, after"
            f" {', '.join(self.path(index)) or 'nothing'}."
        )

    def path(self, index: int) -> tuple[str, ...]:
        """Events that lead to a state."""
        events: list[str] = []
        while self.parents[index] >= 0:
            events.append(self.network.events[int(self.via[index])].name)
            index = int(self.parents[index])
        return tuple(reversed(events))

    def close(self) -> None:
        if self.pool is not None:
            self.pool.shutdown()


def _stretch(room: int) -> tuple[NDArray[np.int64], NDArray[np.int32], NDArray[np.int16]]:
    """Room for what a stretch of states leads to: the state after, the index it came from, the event."""
    return np.empty(room, np.int64), np.empty(room, np.int32), np.empty(room, np.int16)


def _longer(array: NDArray[Any], kept: int, size: int) -> NDArray[Any]:
    longer = np.empty(size, array.dtype)
    longer[:kept] = array[:kept]
    return longer
