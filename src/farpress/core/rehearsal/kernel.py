"""The search itself: what is done to packed states, the same for every model.

It is written in the small language of `machine`, which turns it into machine code together with the events
of a model. `expand` looks at a stretch of states. One thread does so in `explore`, stretch by stretch, and
enters what it found; where many states wait, several threads share a longer stretch in three steps: `expand`
(each thread a part of it), `enter` (each thread a half of the table) and `number`. States are numbered in the
order in which one thread would find them, so counts and shortest stories do not depend on the number of
threads.

Arrays: `words` hold 64 bits, `halves` 32, `quarters` 16. Shifts to the right bring in zeros. Both sides of
`and` and `or` are looked at, always.
"""

from __future__ import annotations

from typing import Final

__all__ = ["EXPAND", "HALVES", "KERNEL", "STRETCH"]

HALVES: Final = 2
"""Parts of the table of slots, each with its own probing, so that two threads never meet in it."""

STRETCH: Final = 256
"""States that one thread looks at before it enters what it found; our choice, what they lead to stays in the
nearest memory."""

EXPAND: Final = '''
def expand(states: words, first, last, events, after_of: words, from_of: halves, event_of: quarters,
           bad_from: words, bad_via: words, bads, found: words):
    """Everything that can happen in the states from `first` up to `last`, in order; nothing is entered yet.

    Written: the state after, the index it came from, the event; index and event of the first story of each
    bad condition where `bad_from` holds -1. Gives how many; where a variable left its range, the number less
    that one, times -1, less 1, and the index and event stand last.
    """
    count = 0
    index = first
    while index < last:
        state = states[index]
        event = 0
        while event < events:
            happened = happen(state, event, found)
            if happened > 0:
                from_of[count] = index
                event_of[count] = event
                if happened > 1:
                    return -count - 1
                after_of[count] = found[0]
                if found[1] != 0:
                    bit = 0
                    while bit < bads:
                        if bad_from[bit] < 0 and ((found[1] >> bit) & 1) == 1:
                            bad_from[bit] = index
                            bad_via[bit] = event
                        bit = bit + 1
                count = count + 1
            event = event + 1
        index = index + 1
    return count
'''
"""Compiled with each model, whose events it lets happen."""

KERNEL: Final = '''
def spread(key, size):
    """Slot where probing begins: half by the top bit, place in it by the rest."""
    mixed = key * -7046029254386353131
    mixed = mixed ^ (mixed >> 29)
    half = size >> 1
    return (mixed & (half - 1)) + half * (mixed >> 63)

def following(slot, size):
    """The next slot of the same half."""
    half = size >> 1
    return (slot & half) | ((slot + 1) & (half - 1))

def place_all(states: words, count, slots: halves, size):
    """Enter the first `count` of `states` into an empty table of `slots`."""
    index = 0
    while index < count:
        slot = spread(states[index], size)
        while slots[slot] >= 0:
            slot = following(slot, size)
        slots[slot] = index
        index = index + 1
    return 0

def explore(look: code, states: words, parents: halves, via: quarters, room, slots: halves, size,
            counts: words, bad_from: words, bad_via: words, bads, events, last, wanted, wide, stretch,
            after_of: words, from_of: halves, event_of: quarters, found: words):
    """Look at states in one thread until a limit; everything found is written into the arrays.

    `counts`: looked at, known, transitions, bad conditions found. `last`: index of the state to stop at;
    `wanted`: number of conditions to stop at, or 0; `wide`: states waiting to stop at. Gives 0 when a limit
    or the end is reached, 1 when the arrays are full, -1 when a variable left its range (the state and event
    stand in bad_from[0], bad_via[0]).
    """
    most = min(room, size >> 1) - stretch * events
    while counts[0] < counts[1] and counts[0] < last and counts[1] - counts[0] < wide:
        if counts[1] >= most:
            return 1
        end = min(min(counts[1], last), counts[0] + stretch)
        count = look(states, counts[0], end, events, after_of, from_of, event_of, bad_from, bad_via, bads,
                     found)
        left = 0
        if count < 0:
            left = 1
            count = -count - 1
        met = 0
        stop = 0
        bit = 0
        while bit < bads:
            if bad_from[bit] >= 0:
                met = met + 1
                stop = max(stop, bad_from[bit] + 1)
            bit = bit + 1
        counts[3] = met
        if wanted > 0 and met >= wanted:
            end = min(end, stop)
            if left == 1 and from_of[count] >= stop:
                left = 0
            going = count
            while going > 0:
                if from_of[going - 1] >= stop:
                    count = count - 1
                    going = going - 1
                else:
                    going = 0
        known = counts[1]
        place = 0
        while place < count:
            fetch(slots, spread(after_of[place], size))
            place = place + 1
        place = 0
        while place < count:
            after = after_of[place]
            slot = spread(after, size)
            probing = 1
            while probing == 1:
                there = slots[slot]
                if there < 0:
                    slots[slot] = known
                    states[known] = after
                    parents[known] = from_of[place]
                    via[known] = event_of[place]
                    known = known + 1
                    probing = 0
                else:
                    if states[there] == after:
                        probing = 0
                    else:
                        slot = following(slot, size)
            place = place + 1
        counts[1] = known
        counts[2] = counts[2] + count
        if left == 1:
            bad_from[0] = from_of[count]
            bad_via[0] = event_of[count]
            return -1
        counts[0] = end
        if wanted > 0 and met >= wanted:
            return 0
    return 0

def enter(half, parts, lengths: words, room, after_of: words, states: words, slots: halves, size,
          slot_of: words):
    """Enter the new ones of all parts into one half of the table, in order.

    The parts stand one after the other, each in a stretch of its own of equal `room`. A new one is entered as
    -2 less its place; `slot_of`: slot of each new one, -1 for each that is known.
    """
    middle = size >> 1
    part = 0
    while part < parts:
        place = part * room
        end = place + lengths[part]
        while place < end:
            after = after_of[place]
            slot = spread(after, size)
            probing = 0
            if (slot >= middle) == (half == 1):
                probing = 1
            while probing == 1:
                there = slots[slot]
                if there == -1:
                    slots[slot] = -2 - place
                    slot_of[place] = slot
                    probing = 0
                else:
                    same = 0
                    if there >= 0:
                        same = states[there] == after
                    else:
                        same = after_of[-2 - there] == after
                    if same == 1:
                        slot_of[place] = -1
                        probing = 0
                    else:
                        slot = following(slot, size)
            place = place + 1
        part = part + 1
    return 0

def number(first, last, known, after_of: words, from_of: halves, event_of: quarters, slot_of: words,
           states: words, parents: halves, via: quarters, slots: halves):
    """Give the new ones between two places their numbers, from `known` on."""
    place = first
    while place < last:
        if slot_of[place] >= 0:
            states[known] = after_of[place]
            parents[known] = from_of[place]
            via[known] = event_of[place]
            slots[slot_of[place]] = known
            known = known + 1
        place = place + 1
    return known
'''
"""Compiled once; `look` is the `expand` of a model."""
