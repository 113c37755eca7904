"""A fault hidden for a learner: what is seen of it, what a meter and each test tell, and the cheapest order.

Every fault of the job that shows as this one does is as likely as any other. A test is a meter held between a
terminal and the 0 V of its supply, or a question of the book of faults; it splits the faults that are still
possible by what it would tell.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Final

from farpress.case.case import Case
from farpress.case.circuit.parts import Terminal
from farpress.case.terminals_there import terminals_at
from farpress.catalogue.faults import load_faults
from farpress.domain.fault import FaultTest
from farpress.wiring.core_faults import CoreFault
from farpress.wiring.metering import METER_LEVELS, MeterReading, metered
from farpress.wiring.staged_faults import (
    STAGED_KINDS,
    StagedFault,
    Symptom,
    VoltsTable,
    staged_faults,
    symptoms_of,
    table_of,
    told_of,
    volts_between,
    worked_things,
)

__all__ = [
    "AT_BOX_MIN",
    "LOOK",
    "TO_BOX_MIN",
    "Hunt",
    "LearnerStep",
    "LearnerTest",
    "LearnerTouch",
    "hunt_of",
    "learner_tests",
    "mending_min",
    "minutes_of",
]

AT_BOX_MIN: Final = 1.5
"""To hold a meter to two terminals of an open box and write down what it reads [min]; our choice."""

TO_BOX_MIN: Final = 4.0
"""To walk to another box and open it [min]; our choice."""

CHECK_MIN: Final = 1.5
"""To try whether the complaint has gone after something was mended [min]; our choice."""

TOLD_SHARE: Final = 0.02
TOLD_V: Final = 0.05
"""Readings nearer than this are one to a hand meter; our choice, as on the page of the meter."""

SURE: Final = 0.7
DOUBTFUL: Final = 0.25
"""A cause shows a learner the signs that the book of faults gives it at least the first chance of; a test
with a chance between the two tells nothing for sure and is not offered: our choice."""

LOOK: Final = "look"
"""Name of the one test that is not in the book: to stand before the things while the button is pressed."""

_LOOK_MIN: Final = 2.0
_REST: Final = "at rest"
_AS_READ: Final = next(iter(METER_LEVELS))


@dataclass(frozen=True)
class LearnerTouch:
    """Where a learner held the meter, in which state."""

    a: Terminal
    b: Terminal
    moment: str


@dataclass(frozen=True)
class LearnerTest:
    """A test of the book of faults by its name, or `LOOK`."""

    name: str


LearnerStep = LearnerTouch | LearnerTest


@dataclass(frozen=True)
class Hunt:
    """A hidden fault of one premises, and how it can be found."""

    case: Case
    premises: str
    fault: StagedFault
    complaint: Symptom
    possible: tuple[StagedFault, ...]

    def reads(self, touch: LearnerTouch, *, right: bool = False) -> MeterReading:
        """What the meter reads; `right`: what it must read without the fault.

        Raises:
            InputError: there is no such terminal or moment.
        """
        fault = None if right else self.fault
        heard = touch.moment if fault is None else _heard(self.complaint, touch.moment, fault)
        core = fault.core if fault is not None else None
        if heard != touch.moment:  # a moment that is not there is refused all the same
            metered(self.case, self.premises, touch.a, touch.b, moment=touch.moment, level=_AS_READ)
        return metered(self.case, self.premises, touch.a, touch.b, moment=heard, level=_AS_READ, fault=core)

    def tells(self, test: LearnerTest) -> str:
        """What a test tells, in words."""
        if test.name == LOOK:
            return told_of(self.case, self.premises, self.complaint, self.fault)
        found = learner_tests()[test.name]
        return found.yes if _shows(found, self.fault) else found.no

    @cached_property
    def best(self) -> tuple[LearnerStep, ...]:
        """The tests that find it with the fewest minutes a step, each the one that tells most a minute."""
        found: list[LearnerStep] = []
        left = list(self.possible)
        while True:
            step = self._next(left, found)
            if step is None:
                return tuple(found)
            found.append(step)
            left = self.left_after([step], left)

    def is_named_by(self, named: StagedFault) -> bool:
        """Whether it is the fault, or one that no test tells from it."""
        return named in self.left_after(self.best, self.possible)

    def next_step(self, done: Sequence[LearnerStep]) -> LearnerStep | None:
        """The test that tells most a minute after what was done; None where none tells any more."""
        return self._next(self.left_after(done, self.possible), done)

    def left_after(self, done: Iterable[LearnerStep], possible: Sequence[StagedFault]) -> list[StagedFault]:
        """The faults that what was told does not rule out."""
        left = list(possible)
        for step in done:
            mine = self._told(self.fault, step)
            left = [fault for fault in left if self._told(fault, step) == mine]
        return left

    def _told(self, fault: StagedFault, step: LearnerStep) -> object:
        """What a step tells of a fault, as far as it can be told from another."""
        if isinstance(step, LearnerTest):
            if step.name == LOOK:
                return told_of(self.case, self.premises, self.complaint, fault)
            return _shows(learner_tests()[step.name], fault)
        return _read(self._tables[fault.core, _heard(self.complaint, step.moment, fault)], step)

    def _next(self, left: Sequence[StagedFault], done: Sequence[LearnerStep]) -> LearnerStep | None:
        opened = _boxes(done)
        best: tuple[float, LearnerStep] | None = None
        steps: list[LearnerStep] = [*self._touches, *map(LearnerTest, learner_tests())]
        for step in steps:
            counts: dict[object, int] = {}
            for fault in left:
                told = self._told(fault, step)
                counts[told] = counts.get(told, 0) + 1
            bits = _bits(counts.values())
            worth = bits / _step_min(step, opened)
            if bits > 1e-9 and (best is None or worth > best[0]):
                best = (worth, step)
        return best[1] if best is not None else None

    @cached_property
    def _touches(self) -> tuple[LearnerTouch, ...]:
        moments = dict.fromkeys((self.complaint.moment, _REST))
        things = terminals_at(self.case, self.premises).things
        there = {str(terminal) for thing in things for terminal in thing}
        return tuple(
            LearnerTouch(terminal, ground, moment)
            for moment in moments
            for terminal, (_, ground) in table_of(self.case, self.premises, moment, None).items()
            if ground and terminal in there
        )

    @cached_property
    def _tables(self) -> _Tables:
        return _Tables(self.case, self.premises)


class _Tables(dict[tuple[CoreFault | None, str], VoltsTable]):
    """Volts at every terminal with a fault in a moment, each solved when it is first asked for."""

    def __init__(self, case: Case, premises: str) -> None:
        super().__init__()
        self._case, self._premises = case, premises

    def __missing__(self, key: tuple[CoreFault | None, str]) -> VoltsTable:
        self[key] = table_of(self._case, self._premises, key[1], key[0])
        return self[key]


def hunt_of(case: Case, premises: str, fault: StagedFault) -> Hunt | None:
    """A fault to be found among all that show as it does; None where nobody sees anything of it.

    Args:
        case: the job.
        premises: its name.
        fault: the hidden one.
    """
    seen = list(symptoms_of(case, premises, fault))
    if not seen:
        return None
    complaint = max(seen, key=lambda known: (_is_meant(case, premises, known), -len(known.things)))
    alike = [
        other
        for other in staged_faults(case, premises)
        if other == fault or complaint in symptoms_of(case, premises, other, complaint.moment)
    ]
    return Hunt(case, premises, fault, complaint, tuple(alike))


def _is_meant(case: Case, premises: str, complaint: Symptom) -> bool:
    """Whether what is pressed in the moment is meant to work one of the things."""
    return not set(worked_things(case, premises, complaint.moment)).isdisjoint(complaint.things)


@cache
def learner_tests() -> Mapping[str, FaultTest]:
    """Tests of the book that tell faults that can be hidden from each other, and to stand and look."""
    causes = {cause for cause, _ in STAGED_KINDS.values()}
    look = FaultTest(
        LOOK, "Stand before it while the button is pressed: what does it do?", "", "", _LOOK_MIN, 0.0, {}
    )
    book = load_faults().tests
    return {LOOK: look} | {
        name: test
        for name, test in book.items()
        if not test.needs
        and any(test.links.get(cause, 0.0) >= SURE for cause in causes)
        and not any(DOUBTFUL < test.links.get(cause, 0.0) < SURE for cause in causes)
    }


def _shows(test: FaultTest, fault: StagedFault) -> bool:
    return test.links.get(fault.cause, 0.0) >= SURE


def _heard(complaint: Symptom, moment: str, fault: StagedFault) -> str:
    """The moment that the circuit is in when the learner presses as the customer did."""
    return _REST if fault.is_unheard and moment == complaint.moment else moment


def minutes_of(steps: Sequence[LearnerStep], wrong: Iterable[StagedFault] = ()) -> float:
    """What tests cost, and what was mended without need [min]."""
    total = sum(map(mending_min, wrong), 0.0)
    for number, step in enumerate(steps):
        total += _step_min(step, _boxes(steps[:number]))
    return total


def mending_min(fault: StagedFault) -> float:
    """To mend it and to see whether that helped [min]."""
    return load_faults().causes[fault.cause].minutes + CHECK_MIN


def _boxes(steps: Iterable[LearnerStep]) -> set[str]:
    touches = (step for step in steps if isinstance(step, LearnerTouch))
    return {end.partition(".")[0] for touch in touches for end in (touch.a, touch.b)}


def _step_min(step: LearnerStep, opened: set[str]) -> float:
    """A test in boxes that are open, and the way to those that are not; the 0 V comes on a long lead."""
    if isinstance(step, LearnerTest):
        return learner_tests()[step.name].minutes
    return AT_BOX_MIN + (0.0 if step.a.partition(".")[0] in opened else TO_BOX_MIN)


def _read(table: VoltsTable, touch: LearnerTouch) -> float | None:
    """A reading as a hand meter can tell it from another."""
    value = volts_between(table, touch.a, touch.b)
    if value is None:
        return None
    decade: float = 10.0 ** math.floor(math.log10(max(abs(value), 1e-3)))
    step = max(TOLD_V, TOLD_SHARE * decade)
    return round(round(value / step) * step, 6)


def _bits(counts: Iterable[int]) -> float:
    given = list(counts)
    total = sum(given)
    return -sum(count / total * math.log2(count / total) for count in given if count)
