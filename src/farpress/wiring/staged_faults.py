"""Faults of a job that can be hidden for a learner, and what a customer sees of each.

In the wiring: a core broken, two changed over, a resistor never fitted, put into the circuit. In what is set
or held: a fob's cell dead, a button not learned, an output set to another kind or length, put into a copy of
the job and played. The book of faults says what each of them shows when it is looked for.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.changed import tried_with
from farpress.case.circuit.electrics import electrics_of
from farpress.case.circuit.parts import Terminal
from farpress.domain.finding import Change
from farpress.domain.job import Button, as_names
from farpress.domain.kinds import OUTPUT_KINDS
from farpress.errors import InputError, JobFileError
from farpress.rehearsal.play import play
from farpress.rehearsal.search import time_text
from farpress.rehearsal.timeline import Timeline
from farpress.wiring.core_faults import CoreFault, core_faults, left_out_faults
from farpress.wiring.metering import METER_LEVELS, volts_everywhere

__all__ = [
    "STAGED_KINDS",
    "StagedFault",
    "Symptom",
    "VoltsTable",
    "staged_faults",
    "symptoms_of",
    "table_of",
    "told_of",
    "volts_between",
    "worked_things",
]

SEEN_SHARE: Final = 0.2
"""A load whose volts are off by a larger share does not do what it shall: our choice."""

SEEN_V: Final = 0.5
"""Volts that differ by less are not seen by anybody who looks; our choice."""

LONG_S: Final = 2.0
"""A time above this is tried as a fifth of it, a shorter one as ten times it; our choice."""

NOTHING_RIGHT: Final = "Nothing of it works as it shall."

STAGED_KINDS: Final = {
    "broken": ("cable cut", "{of} is broken"),
    "swapped": ("cable cut", "{of} is changed over with {other}"),
    "left out": ("panel input", "{of} was never fitted"),
    "dead cell": ("cell", "the fob of {of} has a dead cell"),
    "not learned": ("not learned", "button {other} of {of} is not learned"),
    "wrong kind": ("kind wrong", "output {of} is set to another kind"),
    "wrong time": ("timer", "output {of} is set to another time"),
}
"""Kind of fault → its cause in the book of faults, and how it is told."""

_AS_READ: Final = next(iter(METER_LEVELS))

VoltsTable = Mapping[Terminal, tuple[float | None, str]]


@dataclass(frozen=True)
class Symptom:
    """What somebody sees: in which moment, the things that do not do what they shall then, and who presses.

    Attributes:
        moment: name of a function that is pressed, or "at rest".
        things: names of devices and panels.
        who: a group with a button for it; empty where nobody presses.
    """

    moment: str
    things: tuple[str, ...]
    who: str = ""


@dataclass(frozen=True)
class StagedFault:
    """One fault that can be hidden.

    Attributes:
        kind: one of `STAGED_KINDS`.
        of: the core, resistor, group or path of the output that has it.
        other: the core it is changed over with, or the button; empty otherwise.
        changes: what makes the copy of the job that it is played on.
    """

    kind: str
    of: str
    other: str = ""
    changes: tuple[Change, ...] = field(default=(), compare=False, repr=False)

    @property
    def cause(self) -> str:
        """Its name in the book of faults."""
        return STAGED_KINDS[self.kind][0]

    @property
    def core(self) -> CoreFault | None:
        """As a fault of the circuit; None where the circuit is sound."""
        match self.kind:
            case "broken" | "swapped" | "left out":
                return CoreFault(self.kind, self.of, self.other)
        return None

    @property
    def is_unheard(self) -> bool:
        """No press of it reaches the receiver."""
        return self.kind in ("dead cell", "not learned")

    def __str__(self) -> str:
        """In words, as "R1 to gate, out is broken"."""
        return STAGED_KINDS[self.kind][1].format(of=self.of, other=self.other)


def staged_faults(case: Case, premises: str) -> Iterator[StagedFault]:
    """Every fault that may be hidden in one premises, whether anybody sees it or not."""
    circuit = electrics_of(case, premises).circuit
    for fault in (*core_faults(circuit), *left_out_faults(circuit)):
        yield StagedFault(fault.kind, fault.core, fault.other)
    pressed = {moment.function for moment in electrics_of(case, premises).moments if moment.function}
    for group, entry in case.job.groups.items():
        buttons = [
            (button, names)
            for button, names in ((key, _functions(made)) for key, made in entry.buttons.items())
            if pressed & set(names)
        ]
        if buttons:
            yield StagedFault("dead cell", group)
        for button, _ in buttons:
            gone = Change(("groups", group, "buttons", button), None)
            yield StagedFault("not learned", group, button, (gone,))
    for output in case.outputs():
        if output.premises == premises:
            yield from _set_wrong(output)


def symptoms_of(case: Case, premises: str, fault: StagedFault, moment: str = "") -> Iterator[Symptom]:
    """What is seen of a fault, in every moment that shows it or in one alone."""
    for known in electrics_of(case, premises).moments:
        if moment not in ("", known.name) or not (known.function or known.name == "at rest"):
            continue
        if fault.core is not None:
            things = _wrong_things(case, premises, known.name, fault.core)
            who = next(iter(_groups_with(case, known.function)), "")
            if things and (who or not known.function):
                yield Symptom(known.name, things, who)
        elif known.function:
            yield from _seen_when_pressed(case, premises, known.function, fault)


def told_of(case: Case, premises: str, complaint: Symptom, fault: StagedFault) -> str:
    """What somebody sees who stands before the things while the button is pressed, in words."""
    if not fault.changes or fault.is_unheard:
        return NOTHING_RIGHT
    press = _press_of(case, complaint.who, complaint.moment)
    line = _played_with(case, fault, press)
    if line is None:
        return NOTHING_RIGHT
    told = [_states_told(line, f"{premises}/{thing}") for thing in complaint.things]
    return f"{'; '.join(told)}."


def _seen_when_pressed(case: Case, premises: str, function: str, fault: StagedFault) -> Iterator[Symptom]:
    worked = worked_things(case, premises, function)
    if not worked:
        return
    if fault.is_unheard:
        has_it = _groups_with(case, function).get(fault.of)
        if has_it is not None and fault.other in ("", has_it):
            yield Symptom(function, worked, fault.of)
        return
    paths = {output.path for output in case.outputs_of(function)}
    for group in _groups_with(case, function):
        if fault.of in paths:
            press = _press_of(case, group, function)
            right, wrong = _played(case, press), _played_with(case, fault, press)
            if right is None or wrong is None:
                return
            things = tuple(name for name in worked if _differ(right, wrong, f"{premises}/{name}"))
            if things:
                yield Symptom(function, things, group)
        return


def _set_wrong(output: OutputAt) -> Iterator[StagedFault]:
    _, receiver, number = output.path.split("/")
    place = ("premises", output.premises, "receivers", receiver, "outputs", number)
    made = output.output
    traits = made.traits
    if traits.ends_by_itself and traits.wants_length:
        other = next(kind for kind in OUTPUT_KINDS.values() if kind.turns_round)
        changes = (Change((*place, "kind"), other.name), Change((*place, "for"), None))
        yield StagedFault("wrong kind", output.path, changes=changes)
    if made.for_s:
        wrong_s = made.for_s / 5 if made.for_s > LONG_S else made.for_s * 10
        yield StagedFault("wrong time", output.path, changes=(Change((*place, "for"), f"{wrong_s:g} s"),))


def _differ(right: Timeline, wrong: Timeline, path: str) -> bool:
    return _spans(right, path) != _spans(wrong, path)


def _spans(line: Timeline, path: str) -> list[tuple[float, str]]:
    """States of a thing and how long each lasts, to half a second; those that last to the end for ever."""
    return [
        (-1.0 if span.to_s >= line.ends_s else round(2 * (span.to_s - span.from_s)) / 2, span.state)
        for track in line.tracks
        if track.name == path
        for span in track.spans
    ]


def _states_told(line: Timeline, path: str) -> str:
    told = [
        f"{state} and stays so" if lasts_s < 0 else f"{state} for {time_text(lasts_s)}"
        for lasts_s, state in _spans(line, path)
    ]
    return f"{path.partition('/')[2]}: {', then '.join(told) or 'nothing happens'}"


def _played(case: Case, story: str) -> Timeline | None:
    with contextlib.suppress(InputError):  # what cannot be played shows nobody anything
        return play(case, story)
    return None


def _played_with(case: Case, fault: StagedFault, story: str) -> Timeline | None:
    """On a copy with the fault; None where such a copy is no job that can be used."""
    with contextlib.suppress(JobFileError):
        return _played(tried_with(case, fault.changes), story)
    return None


def _press_of(case: Case, group: str, function: str) -> str:
    return f"0 s: {group} press {_groups_with(case, function)[group]}"


def _groups_with(case: Case, function: str) -> dict[str, str]:
    """Groups that have a function on the short press of a button → that button."""
    found: dict[str, str] = {}
    for group, entry in case.job.groups.items():
        for button, made in entry.buttons.items():
            if function in _functions(made):
                found.setdefault(group, button)
    return found


def _functions(made: str | tuple[str, ...] | Button) -> tuple[str, ...]:
    """Those of a short press."""
    return as_names(made.short if isinstance(made, Button) else made)


def worked_things(case: Case, premises: str, function: str) -> tuple[str, ...]:
    """Things that a function is meant to work in one premises."""
    worked = {
        works.partition(".")[0]
        for output in case.outputs_of(function)
        if output.premises == premises
        for works in output.works
    }
    return tuple(sorted(worked))


def _wrong_things(case: Case, premises: str, moment: str, fault: CoreFault) -> tuple[str, ...]:
    """Things of which a load or an input has other volts with the fault than without; of a receiver nobody
    sees more than what its outputs work.
    """
    circuit = electrics_of(case, premises).circuit
    right, wrong = (table_of(case, premises, moment, which) for which in (None, fault))
    ends = [(draw.a, draw.b) for draw in circuit.draws if not draw.end.is_receiver]
    ends += [(pull.live, pull.common) for pull in circuit.pull_ups]
    receivers = case.job.premises[premises].receivers
    found = set()
    for a, b in ends:
        before, after = volts_between(right, a, b) or 0.0, volts_between(wrong, a, b) or 0.0
        if abs(before - after) > max(SEEN_V, SEEN_SHARE * abs(before)):
            found.add(a.partition(".")[0])
    return tuple(sorted(found - set(receivers)))


def table_of(case: Case, premises: str, moment: str, fault: CoreFault | None) -> VoltsTable:
    """Terminal → its volts over the 0 V of what feeds it, and which that is."""
    rows = volts_everywhere(case, premises, moment=moment, level=_AS_READ, fault=fault)
    return {terminal: (volts, ground) for there, volts, ground in rows for terminal in there}


def volts_between(table: VoltsTable, a: Terminal, b: Terminal) -> float | None:
    """Volts of the first terminal over the second; None where they have no 0 V in common."""
    first, second = table.get(a, (None, "")), table.get(b, (None, ""))
    if first[0] is None or second[0] is None or first[1] != second[1]:
        return None
    return first[0] - second[0]
