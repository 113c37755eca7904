"""A fault hidden for a learner: what is seen of it, what a meter reads, and the cheapest order of tests.

Every fault of one core that something tells of is as likely as any other. A test is a meter held between a
terminal and the 0 V of its supply; it splits the faults that are still possible by what it would read.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from farpress.case.case import Case
from farpress.case.circuit.electrics import electrics_of
from farpress.case.circuit.parts import Terminal
from farpress.case.terminals_there import terminals_at
from farpress.wiring.metering import METER_LEVELS, CoreFault, MeterReading, metered, volts_everywhere

__all__ = [
    "AT_BOX_MIN",
    "TO_BOX_MIN",
    "WRONG_MIN",
    "Hunt",
    "LearnerTouch",
    "Symptom",
    "hunt_of",
    "minutes_of",
]

AT_BOX_MIN: Final = 1.5
"""To hold a meter to two terminals of an open box and write down what it reads [min]; our choice."""

TO_BOX_MIN: Final = 4.0
"""To walk to another box and open it [min]; our choice."""

WRONG_MIN: Final = 15.0
"""To mend a core that was not the fault [min]; our choice."""

SEEN_SHARE: Final = 0.2
"""A load whose volts are off by a larger share does not do what it shall: our choice."""

SEEN_V: Final = 0.5
"""Volts that differ by less are not seen by anybody who looks; our choice."""

TOLD_SHARE: Final = 0.02
TOLD_V: Final = 0.05
"""Readings nearer than this are one to a hand meter; our choice, as on the page of the meter."""

_AS_READ: Final = next(iter(METER_LEVELS))


@dataclass(frozen=True)
class Symptom:
    """What somebody sees: in which moment, and the things that do not do what they shall then."""

    moment: str
    things: tuple[str, ...]


@dataclass(frozen=True)
class LearnerTouch:
    """Where a learner held the meter, in which state."""

    a: Terminal
    b: Terminal
    moment: str


@dataclass(frozen=True)
class Hunt:
    """A hidden fault of one premises, and how it can be found."""

    case: Case
    premises: str
    fault: CoreFault
    complaint: Symptom
    possible: tuple[CoreFault, ...]

    def reads(self, touch: LearnerTouch, *, right: bool = False) -> MeterReading:
        """What the meter reads; `right`: what it must read without the fault."""
        return metered(
            self.case,
            self.premises,
            touch.a,
            touch.b,
            moment=touch.moment,
            level=_AS_READ,
            fault=None if right else self.fault,
        )

    @cached_property
    def best(self) -> tuple[LearnerTouch, ...]:
        """The tests that find it with the fewest minutes a step, each the one that tells most a minute."""
        found: list[LearnerTouch] = []
        left = list(self.possible)
        while True:
            touch = self._next(left, found)
            if touch is None:
                return tuple(found)
            found.append(touch)
            left = self.left_after([touch], left)

    def next_touch(self, done: Sequence[LearnerTouch]) -> LearnerTouch | None:
        """The test that tells most a minute after what was read; None where none tells any more."""
        return self._next(self.left_after(done, self.possible), done)

    def left_after(self, done: Iterable[LearnerTouch], possible: Sequence[CoreFault]) -> list[CoreFault]:
        """The faults that what was read does not rule out."""
        left = list(possible)
        for touch in done:
            mine = _read(self._tables[self.fault, touch.moment], touch)
            left = [fault for fault in left if _read(self._tables[fault, touch.moment], touch) == mine]
        return left

    def _next(self, left: Sequence[CoreFault], done: Sequence[LearnerTouch]) -> LearnerTouch | None:
        opened = _boxes(done)
        best: tuple[float, str, LearnerTouch] | None = None
        for touch in self._touches:
            counts: dict[object, int] = {}
            for fault in left:
                read = _read(self._tables[fault, touch.moment], touch)
                counts[read] = counts.get(read, 0) + 1
            bits = _bits(counts.values())
            if bits <= 1e-9:
                continue
            worth = bits / _step_min(touch, opened)
            if best is None or (worth, touch.a) > (best[0], best[1]):
                best = (worth, touch.a, touch)
        return best[2] if best is not None else None

    @cached_property
    def _touches(self) -> tuple[LearnerTouch, ...]:
        moments = dict.fromkeys((self.complaint.moment, "at rest"))
        things = terminals_at(self.case, self.premises).things
        there = {str(terminal) for thing in things for terminal in thing}
        return tuple(
            LearnerTouch(terminal, ground, moment)
            for moment in moments
            for terminal, (_, ground) in _table(self.case, self.premises, moment, None).items()
            if ground and terminal in there
        )

    @cached_property
    def _tables(self) -> _Tables:
        return _Tables(self.case, self.premises)


class _Tables(dict[tuple[CoreFault, str], Mapping[Terminal, tuple[float | None, str]]]):
    """Volts at every terminal with a fault in a moment, each solved when it is first asked for."""

    def __init__(self, case: Case, premises: str) -> None:
        super().__init__()
        self._case, self._premises = case, premises

    def __missing__(self, key: tuple[CoreFault, str]) -> Mapping[Terminal, tuple[float | None, str]]:
        self[key] = _table(self._case, self._premises, key[1], key[0])
        return self[key]


def hunt_of(case: Case, premises: str, fault: CoreFault, possible: Sequence[CoreFault]) -> Hunt | None:
    """A fault to be found; None where nothing tells of it.

    Args:
        case: the job.
        premises: its name.
        fault: the hidden one.
        possible: every fault that a learner must think of, this one among them.
    """
    seen = [
        Symptom(moment.name, things)
        for moment in electrics_of(case, premises).moments
        if moment.function or moment.name == "at rest"
        for things in [_wrong_things(case, premises, moment.name, fault)]
        if things
    ]
    if not seen:
        return None
    complaint = max(seen, key=lambda known: (_is_meant(case, premises, known), -len(known.things)))
    alike = [
        other
        for other in possible
        if other == fault or _wrong_things(case, premises, complaint.moment, other) == complaint.things
    ]
    return Hunt(case, premises, fault, complaint, tuple(alike))


def _is_meant(case: Case, premises: str, complaint: Symptom) -> bool:
    """Whether what is pressed in the moment is meant to work one of the things."""
    function = case.job.functions.get(complaint.moment)
    paths = set(function.paths) if function is not None else set()
    worked = {
        works.partition(".")[0]
        for output in case.outputs()
        if output.premises == premises and output.path in paths
        for works in output.works
    }
    return not worked.isdisjoint(complaint.things)


def minutes_of(touches: Sequence[LearnerTouch], wrong: int = 0) -> float:
    """What tests cost, and cores that were mended without need [min]."""
    total = WRONG_MIN * wrong
    for number, touch in enumerate(touches):
        total += _step_min(touch, _boxes(touches[:number]))
    return total


def _boxes(touches: Iterable[LearnerTouch]) -> set[str]:
    return {end.partition(".")[0] for touch in touches for end in (touch.a, touch.b)}


def _step_min(touch: LearnerTouch, opened: set[str]) -> float:
    """A test in boxes that are open, and the way to those that are not; the 0 V comes on a long lead."""
    return AT_BOX_MIN + (0.0 if touch.a.partition(".")[0] in opened else TO_BOX_MIN)


def _wrong_things(case: Case, premises: str, moment: str, fault: CoreFault) -> tuple[str, ...]:
    """Things of which a load or an input has other volts with the fault than without."""
    circuit = electrics_of(case, premises).circuit
    right, wrong = (_table(case, premises, moment, which) for which in (None, fault))
    ends = [(draw.a, draw.b) for draw in circuit.draws]
    ends += [(pull.live, pull.common) for pull in circuit.pull_ups]
    found = []
    for a, b in ends:
        before, after = _between(right, a, b) or 0.0, _between(wrong, a, b) or 0.0
        if abs(before - after) > max(SEEN_V, SEEN_SHARE * abs(before)):
            found.append(a.partition(".")[0])
    return tuple(dict.fromkeys(found))


def _table(
    case: Case, premises: str, moment: str, fault: CoreFault | None
) -> Mapping[Terminal, tuple[float | None, str]]:
    rows = volts_everywhere(case, premises, moment=moment, level=_AS_READ, fault=fault)
    return {terminal: (volts, ground) for there, volts, ground in rows for terminal in there}


def _between(table: Mapping[Terminal, tuple[float | None, str]], a: Terminal, b: Terminal) -> float | None:
    first, second = table.get(a, (None, "")), table.get(b, (None, ""))
    if first[0] is None or second[0] is None or first[1] != second[1]:
        return None
    return first[0] - second[0]


def _read(table: Mapping[Terminal, tuple[float | None, str]], touch: LearnerTouch) -> float | None:
    """A reading as a hand meter can tell it from another."""
    value = _between(table, touch.a, touch.b)
    if value is None:
        return None
    decade: float = 10.0 ** math.floor(math.log10(max(abs(value), 1e-3)))
    step = max(TOLD_V, TOLD_SHARE * decade)
    return round(round(value / step) * step, 6)


def _bits(counts: Iterable[int]) -> float:
    given = list(counts)
    total = sum(given)
    return -sum(count / total * math.log2(count / total) for count in given if count)
