"""The compiled search: runs a table of instructions over packed states, breadth first.

Compiled once and kept by the compiler's own store; every network runs on the same code. `expand`
looks at a stretch of states. One thread does so in `explore`, stretch by stretch, and enters what
it found; where many states wait, several threads share a longer stretch in three steps: `expand`
(each thread a part of it), `enter` (each thread a half of the table) and `number`. States are numbered in the
order in which one thread would find them, so counts and
shortest stories do not depend on the number of threads.
"""

from __future__ import annotations

from typing import Any

import numba
import numpy as np
from numpy.typing import NDArray

from farpress.sources import Mark, cites

__all__ = ["HALVES", "enter", "expand", "explore", "number", "place_all"]

Ints = NDArray[Any]

HALVES = 2
"""Parts of the table of slots, each with its own probing, so that two threads never meet in it."""

_STRETCH = 64
"""States that one thread looks at before it enters what it found; our choice, what they lead to stays in the
nearest memory."""


@numba.njit(cache=True, inline="always", nogil=True)
def _spread(key: int, size: int) -> int:
    """Slot where probing begins: half by the top bit, place in it by the rest."""
    mixed = np.uint64(key) * np.uint64(0x9E3779B97F4A7C15)
    mixed ^= mixed >> np.uint64(29)
    half = size >> 1
    return np.int64(mixed & np.uint64(half - 1)) + half * np.int64(mixed >> np.uint64(63))  # type: ignore[return-value]


@numba.njit(cache=True, inline="always", nogil=True)
def _next(slot: int, size: int) -> int:
    """The following slot of the same half."""
    half = size >> 1
    return (slot & half) | ((slot + 1) & (half - 1))


@numba.njit(cache=True, nogil=True)
@cites("open-addressing table", mark=Mark.COMPUTED)
def place_all(states: Ints, count: int, slots: Ints) -> None:  # pragma: no cover - compiled
    """Enter the first `count` of `states` into an empty table of `slots`."""
    size = slots.shape[0]
    for index in range(count):
        slot = _spread(states[index], size)
        while slots[slot] >= 0:
            slot = _next(slot, size)
        slots[slot] = index


@numba.njit(cache=True, nogil=True)
def _taken(code: Ints, row: int, registers: Ints) -> int:  # pragma: no cover - compiled
    """Run one event from row `at` on; 0 if it cannot happen."""
    while True:
        op = code[row, 0]
        to = code[row, 1]
        if op == 0:
            return int(to)
        a = code[row, 2]
        b = code[row, 3]
        row += 1
        if op == 1:
            registers[to] = registers[a]
        elif op == 2:
            row = to
        elif op == 3:
            if registers[a] == 0:
                row = to
        elif op == 4:
            registers[to] = registers[a] + registers[b]
        elif op == 5:
            registers[to] = registers[a] - registers[b]
        elif op == 6:
            registers[to] = registers[a] * registers[b]
        elif op == 7:
            registers[to] = 1 if registers[a] < registers[b] else 0
        elif op == 8:
            registers[to] = 1 if registers[a] <= registers[b] else 0
        elif op == 9:
            registers[to] = 1 if registers[a] == registers[b] else 0
        elif op == 10:
            registers[to] = 1 if registers[a] != registers[b] else 0
        elif op == 11:
            registers[to] = 1 if registers[a] != 0 and registers[b] != 0 else 0
        elif op == 12:
            registers[to] = 1 if registers[a] != 0 or registers[b] != 0 else 0
        elif op == 13:
            registers[to] = 1 if registers[a] == 0 else 0
        elif op == 14:
            registers[to] = min(registers[a], registers[b])
        else:
            registers[to] = max(registers[a], registers[b])


@numba.njit(cache=True, nogil=True)
@cites("breadth-first search over packed states, one part of a stretch", mark=Mark.COMPUTED)
def expand(
    code: Ints,
    entries: Ints,
    first: Ints,
    shifts: Ints,
    masks: Ints,
    highs: Ints,
    bad: Ints,
    states: Ints,
    span: Ints,
    after_of: Ints,
    from_of: Ints,
    event_of: Ints,
    bad_from: Ints,
    bad_via: Ints,
) -> int:  # pragma: no cover - compiled
    """Everything that can happen in the states of a span, in order; nothing is entered yet.

    Args:
        code, entries, first, shifts, masks, highs, bad: the table, see `table.CompiledTable`; `first` are its
        registers.
        states: packed states in the order found.
        span: [index of the first state, index after the last, registers to be set before each event],
            shape (3,).
        after_of, from_of, event_of: written: the state after, the index it came from, the event.
        bad_from, bad_via: written where they hold -1: index and event of the first story of each
            condition in this part.

    Returns:
        How many were written; where a variable left its range, the number less that one, times -1, less 1,
        and the index and event stand last.
    """
    registers = first.copy()
    n_vars = shifts.shape[0]
    width = span[2]
    before = first[:width].copy()
    count = 0
    for index in range(span[0], span[1]):
        state = states[index]
        for i in range(n_vars):
            before[i] = (state >> shifts[i]) & masks[i]
        for event in range(entries.shape[0]):
            for i in range(width):
                registers[i] = before[i]
            if _taken(code, entries[event], registers) == 0:
                continue
            after = 0
            from_of[count] = index
            event_of[count] = event
            for i in range(n_vars):
                value = registers[i]
                if value < 0 or value > highs[i]:
                    return -count - 1
                after |= value << shifts[i]
            for i in range(bad.shape[0]):
                if bad_from[i] < 0 and registers[bad[i]] != 0:
                    bad_from[i] = index
                    bad_via[i] = event
            after_of[count] = after
            count += 1
    return count


@numba.njit(cache=True, nogil=True)
@cites("breadth-first search over packed states", mark=Mark.COMPUTED)
def explore(
    code: Ints,
    entries: Ints,
    first: Ints,
    shifts: Ints,
    masks: Ints,
    highs: Ints,
    bad: Ints,
    states: Ints,
    parents: Ints,
    via: Ints,
    slots: Ints,
    counts: Ints,
    bad_from: Ints,
    bad_via: Ints,
    limits: Ints,
) -> int:  # pragma: no cover - compiled
    """Look at states in one thread until a limit; everything found is written into the arrays.

    Args:
        code, entries, first, shifts, masks, highs, bad: as in `expand`.
        states, parents, via: packed states in the order found, from which each came, by which event.
        slots: places of states by their hash, -1 where free; twice as many as states.
        counts: [looked at, known, transitions, bad conditions found], shape (4,).
        bad_from, bad_via: state and event of the first story of each condition, -1 where none.
        limits: [index of the state to stop at, number of conditions to stop at or 0, states waiting to
            stop at,
            registers to be set before each event], shape (4,).

    Returns:
        0 when a limit or the end is reached, 1 when the arrays are full, -1 when a
        variable left its range (the state and event stand in bad_from[0], bad_via[0]).
    """
    last, wanted, wide = limits[0], limits[1], limits[2]
    size = slots.shape[0]
    events = entries.shape[0]
    most = min(states.shape[0], size // 2) - _STRETCH * events
    after_of, from_of, event_of = (
        np.empty(_STRETCH * events, np.int64),
        np.empty(_STRETCH * events, np.int32),
        np.empty(_STRETCH * events, np.int16),
    )
    span = np.array([0, 0, limits[3]], np.int64)
    while counts[0] < counts[1] and counts[0] < last and counts[1] - counts[0] < wide:
        if counts[1] >= most:
            return 1
        span[0] = counts[0]
        span[1] = min(counts[1], last, counts[0] + _STRETCH)
        count = expand(
            code,
            entries,
            first,
            shifts,
            masks,
            highs,
            bad,
            states,
            span,
            after_of,
            from_of,
            event_of,
            bad_from,
            bad_via,
        )
        left = count < 0
        if left:
            count = -count - 1
        counts[3] = 0
        stop = 0
        for i in range(bad.shape[0]):
            if bad_from[i] >= 0:
                counts[3] += 1
                stop = max(stop, bad_from[i] + 1)
        if wanted > 0 and counts[3] >= wanted:  # nothing after the state in which the last condition was met
            span[1] = min(span[1], stop)
            left = left and from_of[count] < stop
            while count > 0 and from_of[count - 1] >= stop:
                count -= 1
        for place in range(count):
            after = after_of[place]
            slot = _spread(after, size)
            while True:
                known = slots[slot]
                if known < 0:
                    slots[slot] = counts[1]
                    states[counts[1]] = after
                    parents[counts[1]] = from_of[place]
                    via[counts[1]] = event_of[place]
                    counts[1] += 1
                    break
                if states[known] == after:
                    break
                slot = _next(slot, size)
        counts[2] += count
        if left:
            bad_from[0] = from_of[count]
            bad_via[0] = event_of[count]
            return -1
        counts[0] = span[1]
        if wanted > 0 and counts[3] >= wanted:
            return 0
    return 0


@numba.njit(cache=True, nogil=True)
@cites("open-addressing table", mark=Mark.COMPUTED)
def enter(
    half: int, lengths: Ints, after_of: Ints, states: Ints, slots: Ints, slot_of: Ints
) -> None:  # pragma: no cover - compiled
    """Enter the new ones of all parts into one half of the table, in order.

    Args:
        half: which; states of the other half are passed over.
        lengths: of each part, shape (parts,).
        after_of: see `expand`; the parts one after the other, each in a stretch of its own of equal room.
        states, slots: as in `explore`; a new one is entered as -2 less its place.
        slot_of: written: slot of each new one; -1 for each that is known.
    """
    size = slots.shape[0]
    parts = lengths.shape[0]
    room = after_of.shape[0] // parts
    middle = size >> 1
    for part in range(parts):
        for place in range(part * room, part * room + lengths[part]):
            after = after_of[place]
            slot = _spread(after, size)
            if (slot >= middle) != (half == 1):
                continue
            while True:
                known = slots[slot]
                if known == -1:
                    slots[slot] = -2 - place
                    slot_of[place] = slot
                    break
                same = states[known] == after if known >= 0 else after_of[-2 - known] == after
                if same:
                    slot_of[place] = -1
                    break
                slot = _next(slot, size)


@numba.njit(cache=True, nogil=True)
@cites("states numbered in the order found", mark=Mark.COMPUTED)
def number(
    span: Ints,
    after_of: Ints,
    from_of: Ints,
    event_of: Ints,
    slot_of: Ints,
    states: Ints,
    parents: Ints,
    via: Ints,
    slots: Ints,
) -> None:  # pragma: no cover - compiled
    """Give the new ones of one part their numbers.

    Args:
        span: [first place of the part, place after the last, number of the first new one], shape (3,).
        after_of, from_of, event_of, slot_of: see `expand` and `enter`.
        states, parents, via, slots: as in `explore`.
    """
    known = span[2]
    for place in range(span[0], span[1]):
        if slot_of[place] >= 0:
            states[known] = after_of[place]
            parents[known] = from_of[place]
            via[known] = event_of[place]
            slots[slot_of[place]] = known
            known += 1
