"""Search all stories of a network, breadth first, for the shortest one that breaks a rule.

Small networks are searched in plain Python, larger ones by the compiled kernel; both give
the same counts. A search that does not finish says how far it got; it never says "safe".
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from farpress.core.rehearsal.model import Network
from farpress.core.rehearsal.running import Found, search_plainly
from farpress.core.rehearsal.table import make_table
from farpress.core.rehearsal.wording import ModelError
from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["BUDGET", "PLAIN", "search_all", "search_compiled"]

BUDGET = 4_000_000
"""States kept at most; our choice, about 100 MB and ten seconds."""

PLAIN = 8_000
"""States up to which plain Python is quicker than loading the compiled kernel; measured, our choice."""

_CHUNK = 200_000


@cites("Henzinger, Manna, Pnueli, What good are digital clocks?", edition="ICALP 1992", place="LNCS 623, 545-558: whole-number time suffices for closed timed systems", mark=Mark.COPY)
def search_all(network: Network, *, budget: int = BUDGET, to_the_end: bool = False, progress: Callable[[int], None] | None = None) -> Found:
    """Search every story; the shortest for each bad condition, or proof that there is none.

    Args:
        network: what is searched.
        budget: most states kept.
        to_the_end: go on after every bad condition has been found, for the full counts.
        progress: told the number of states now and then; may raise to cancel.

    Returns:
        What was found; `finished` only if every state was looked at.

    Raises:
        ModelError: a variable left its range, or a state does not fit the kernel.
        OutOfRange: a budget below 1.
    """
    require_range("budget", budget, "", low=1, because="a number of states")
    found = search_plainly(network, budget=min(PLAIN, budget), to_the_end=to_the_end)
    if found.finished or budget <= PLAIN or (not to_the_end and network.bad and len(found.stories) == len(network.bad)):
        return found
    return search_compiled(network, budget=budget, to_the_end=to_the_end, progress=progress)


@cites("breadth-first search with an open-addressing table", mark=Mark.COMPUTED)
def search_compiled(network: Network, *, budget: int = BUDGET, to_the_end: bool = False, progress: Callable[[int], None] | None = None) -> Found:
    """The same by the compiled kernel alone; `network`, `budget`, `to_the_end`, `progress` and errors as in `search_all`."""
    from farpress.core.rehearsal.kernel import explore, place_all

    table = make_table(network)
    size = 1 << 16
    states, parents, via = np.empty(size, np.int64), np.empty(size, np.int32), np.empty(size, np.int16)
    slots = np.full(2 * size, -1, np.int32)
    counts = np.array([0, 1, 0, 0], np.int64)
    states[0], parents[0] = table.start, -1
    place_all(states, 1, slots)
    bad_from, bad_via = np.full(max(len(table.bad), 1), -1, np.int64), np.zeros(max(len(table.bad), 1), np.int64)
    wanted = 0 if to_the_end else len(table.bad)
    while counts[0] < counts[1] and counts[1] <= budget and not (wanted and counts[3] >= wanted):
        last = int(counts[0]) + _CHUNK
        code = explore(table.code, table.entries, table.registers, table.shifts, table.masks, table.highs, table.bad,
                       states, parents, via, slots, counts, bad_from, bad_via, np.array([last, wanted], np.int64))
        if code == -1:
            event = network.events[int(bad_via[0])].name
            raise ModelError(f"A variable left its range at {event}, after {', '.join(_path(network, parents, via, int(bad_from[0]))) or 'nothing'}.")
        if code == 1:
            states, parents, via = (np.concatenate([array, np.empty_like(array)]) for array in (states, parents, via))
            slots = np.full(2 * len(slots), -1, np.int32)
            place_all(states, int(counts[1]), slots)
        if progress is not None:
            progress(int(counts[1]))
    finished = bool(counts[0] >= counts[1])
    stories = {
        name: (*_path(network, parents, via, int(bad_from[bit])), network.events[int(bad_via[bit])].name)
        for bit, name in enumerate(network.bad) if bad_from[bit] >= 0
    }
    at = int(counts[0] - 1 if finished else counts[0])
    return Found(int(counts[1]), int(counts[2]), finished, len(_path(network, parents, via, at)), stories)


def _path(network: Network, parents: np.ndarray, via: np.ndarray, index: int) -> tuple[str, ...]:
    events: list[str] = []
    while parents[index] >= 0:
        events.append(network.events[int(via[index])].name)
        index = int(parents[index])
    return tuple(reversed(events))
