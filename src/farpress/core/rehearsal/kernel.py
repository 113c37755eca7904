"""The compiled search: runs a table of instructions over packed states, breadth first.

Compiled once and kept by the compiler's own store; every network runs on the same code.
"""

from __future__ import annotations

from typing import Any

import numba
import numpy as np
from numpy.typing import NDArray

from farpress.sources import Mark, cites

__all__ = ["explore", "place_all"]

Ints = NDArray[Any]


@numba.njit(cache=True, inline="always")
def _spread(key: int, mask: int) -> int:
    mixed = np.uint64(key) * np.uint64(0x9E3779B97F4A7C15)
    return np.int64((mixed ^ (mixed >> np.uint64(29))) & np.uint64(mask))  # type: ignore[return-value]


@numba.njit(cache=True)
@cites("open-addressing table", mark=Mark.COMPUTED)
def place_all(states: Ints, count: int, slots: Ints) -> None:  # pragma: no cover - compiled
    """Enter the first `count` of `states` into an empty table of `slots`."""
    mask = slots.shape[0] - 1
    for index in range(count):
        at = _spread(states[index], mask)
        while slots[at] >= 0:
            at = (at + 1) & mask
        slots[at] = index


@numba.njit(cache=True)
@cites("breadth-first search over packed states", mark=Mark.COMPUTED)
def explore(
    code: Ints, entries: Ints, first: Ints, shifts: Ints, masks: Ints, highs: Ints, bad: Ints,
    states: Ints, parents: Ints, via: Ints, slots: Ints, counts: Ints, bad_from: Ints, bad_via: Ints, limits: Ints,
) -> int:  # pragma: no cover - compiled
    """Look at states until a limit; everything found is written into the arrays.

    Args:
        code, entries, first, shifts, masks, highs, bad: the table, see `table.Table`; `first` are its registers.
        states, parents, via: packed states in the order found, from which each came, by which event.
        slots: places of states by their hash, -1 where free; twice as many as states.
        counts: [looked at, known, transitions, bad conditions found], shape (4,).
        bad_from, bad_via: state and event of the first story of each condition, -1 where none.
        limits: [index of the state to stop at, number of conditions to stop at or 0], shape (2,).

    Returns:
        0 when a limit or the end is reached, 1 when the arrays are full, -1 when a
        variable left its range (the state and event stand in bad_from[0], bad_via[0]).
    """
    last = limits[0]
    wanted = limits[1]
    mask = slots.shape[0] - 1
    room = states.shape[0] - entries.shape[0]
    registers = first.copy()
    n_vars = shifts.shape[0]
    width = first.shape[0]
    while counts[0] < counts[1] and counts[0] < last:
        if counts[1] >= room or 2 * counts[1] >= slots.shape[0]:
            return 1
        index = counts[0]
        state = states[index]
        for event in range(entries.shape[0]):
            for i in range(n_vars):
                registers[i] = (state >> shifts[i]) & masks[i]
            for i in range(n_vars, width):
                registers[i] = first[i]
            at = entries[event]
            while True:
                op = code[at, 0]
                to = code[at, 1]
                if op == 0:
                    break
                a = code[at, 2]
                b = code[at, 3]
                at += 1
                if op == 1:
                    registers[to] = registers[a]
                elif op == 2:
                    at = to
                elif op == 3:
                    if registers[a] == 0:
                        at = to
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
            if to == 0:
                continue
            counts[2] += 1
            after = 0
            for i in range(n_vars):
                value = registers[i]
                if value < 0 or value > highs[i]:
                    bad_from[0] = index
                    bad_via[0] = event
                    return -1
                after |= value << shifts[i]
            for i in range(bad.shape[0]):
                if bad_from[i] < 0 and registers[bad[i]] != 0:
                    bad_from[i] = index
                    bad_via[i] = event
                    counts[3] += 1
            slot = _spread(after, mask)
            while True:
                known = slots[slot]
                if known < 0:
                    slots[slot] = counts[1]
                    states[counts[1]] = after
                    parents[counts[1]] = index
                    via[counts[1]] = event
                    counts[1] += 1
                    break
                if states[known] == after:
                    break
                slot = (slot + 1) & mask
        counts[0] += 1
        if wanted > 0 and counts[3] >= wanted:
            return 0
    return 0
