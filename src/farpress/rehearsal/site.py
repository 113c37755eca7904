"""From a job to a model: the outputs, devices, panel and people that touch each other.

What is not known is listed, never guessed: `Site.asks` says what to ask, and the thing is
left out. Nothing here searches.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from farpress.case.areas import state_paths
from farpress.case.behaviour import keeps_apart, runs_only_with, waits_for
from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, driven_of
from farpress.core.rehearsal.model import EventAct, ModelEvent, StateModel
from farpress.core.rehearsal.supplies import fed_by
from farpress.rehearsal.feeds import Feeds
from farpress.rehearsal.presses import Presser, word

__all__ = [
    "ModelledThing",
    "Site",
    "halves_of_a_pair",
    "input_id",
    "milliseconds",
    "neighbour_paths",
    "neighbours",
    "not_closed",
    "off_hours",
    "output_id",
    "receiver_number",
    "signals_of",
    "thing_id",
    "unseen_event",
]


@dataclass(frozen=True)
class ModelledThing:
    """One device or panel as it stands in the model.

    Attributes:
        path: "premises/name".
        kind: "leaf", "motor", "load" or "panel".
        active: expression: it moves, it is fed, it is set.
        rises: signals of its inputs that have just closed.
        load: a use of it, as the job wires it.
        delays: timers of its inputs that take their time to believe a change.
    """

    path: str
    kind: str
    active: str
    rises: tuple[str, ...]
    load: Driven
    delays: tuple[str, ...] = ()


@dataclass
class Site:
    """A model of a few outputs and all they touch.

    Attributes:
        outputs: in the order of the job.
        lengths: whether pulses have their length.
        things: path → device or panel.
        pressers: who presses what.
        model: the parts, joined.
        starts: signals of a new press seen: `o_start` for each output, `o_reset` too for a latch.
        held: thumbs.
        resumes: whether timed closing was taken to go on after the power returns.
        feeds: what hangs on which supply, where supplies may fail one by one; else None.
        states: "premises/thing.input" → paths of what it works: areas of a panel with a state each, or
            the thing.
        by: input of a panel → number of the receiver that asks through it.
        pauses: pauses of interlocks that are not given, as sentences.
        asks: what is missing, as sentences; the thing is left out.
        taken: what was taken where the sheet is silent.
        digest: hash of the model, once somebody asked for it.
    """

    outputs: tuple[OutputAt, ...]
    lengths: bool = True
    things: dict[str, ModelledThing] = field(default_factory=dict)
    pressers: tuple[Presser, ...] = ()
    model: StateModel = field(default_factory=StateModel)
    starts: tuple[str, ...] = ()
    held: tuple[str, ...] = ()
    resumes: bool | None = None
    feeds: Feeds | None = None
    by: dict[str, int] = field(default_factory=dict)
    states: dict[str, tuple[str, ...]] = field(default_factory=dict)
    pauses: list[str] = field(default_factory=list)
    asks: list[str] = field(default_factory=list)
    taken: list[str] = field(default_factory=list)
    digest: bytes = b""

    def hung(self, path: str, model: StateModel) -> StateModel:
        """A part of the model hung on the supply of its output or thing, where supplies may fail alone."""
        if self.feeds is None:
            return model
        k = self.feeds.outputs.get(path) or self.feeds.things.get(path)
        return fed_by(model, k, self.feeds.cuts) if k is not None else model

    def is_fed(self, path: str) -> str:
        """Condition that a thing has current; empty where supplies do not fail alone, and of a panel."""
        k = self.feeds.things.get(path) if self.feeds is not None else None
        return f"up_{k}" if k is not None else ""

    def thing_of(self, output: OutputAt) -> tuple[ModelledThing, ...]:
        """What an output works, as far as it is in the model."""
        paths = [
            path
            for works in output.works
            for path in self.states.get(
                f"{output.premises}/{works}", (f"{output.premises}/{works.partition('.')[0]}",)
            )
        ]
        return tuple(self.things[path] for path in dict.fromkeys(paths) if path in self.things)


def output_id(output: OutputAt) -> str:
    """Identifier of an output in a model."""
    return f"o_{word(output.path)}"


def off_hours(output: OutputAt) -> str:
    """Signal that what keeps an output's hours has switched it off."""
    return f"{output_id(output)}_off_hours"


def thing_id(path: str) -> str:
    """Identifier of a device or panel in a model."""
    return f"d_{word(path)}"


def not_closed(path: str) -> str:
    """Whether a leaf has left its end contact, as an expression."""
    return f"{thing_id(path)}_pos > 0 or {thing_id(path)}_mode == 1"


def receiver_number(output: OutputAt) -> int:
    """Number of a receiver among those of its premises, from 3 on; 1 and 2 mean a fob and the keypad."""
    return 3 + list(output.house.receivers).index(output.receiver)


def signals_of(site: Site, outputs: Iterable[OutputAt]) -> tuple[str, ...]:
    """Signals of a press seen of these outputs, as far as they are in the model."""
    own = tuple(f"{output_id(output)}_" for output in outputs)
    return tuple(signal for signal in site.starts if signal.rpartition("_")[0] + "_" in own)


def input_id(premises: str, works: str) -> str:
    """Identifier of an input in a model."""
    return f"i_{word(premises)}_{word(works)}"


def neighbours(case: Case, seeds: Iterable[OutputAt]) -> tuple[OutputAt, ...]:
    """The outputs that share a device, a panel, an interlock or what one thing waits for with the given
    ones, themselves included.
    """
    paths = neighbour_paths(case, (seed.path for seed in seeds))
    return tuple(output for output in case.outputs() if output.path in paths)


def neighbour_paths(case: Case, seeds: Iterable[str]) -> tuple[str, ...]:
    """Paths of the neighbours of some outputs, in the order of the job."""
    return case.found(_found_neighbours, *sorted(set(seeds)))


def _found_neighbours(case: Case, *seeds: str) -> tuple[str, ...]:
    every = tuple(case.outputs())
    inside = set(seeds)
    worked = {
        output.path: {path for load in driven_of(case, output) for path in state_paths(case, load)}
        for output in every
    }
    while True:
        works = {path for output in every if output.path in inside for path in worked[output.path]}
        works |= {other for path in works for other in (*waits_for(case, path), *runs_only_with(case, path))}
        more = {
            output.path
            for output in every
            if output.path in inside
            or works & worked[output.path]
            or (output.output.interlock and f"{output.receiver_path}/{output.output.interlock}" in inside)
            or any(halves_of_a_pair(case, output, other) for other in every if other.path in inside)
        }
        if more == inside:
            return tuple(output.path for output in every if output.path in inside)
        inside = more


def halves_of_a_pair(case: Case, output: OutputAt, other: OutputAt) -> bool:
    """Whether both work through the two halves of one pair of relays interlocked by wiring."""
    if (
        output.path == other.path
        or not output.output.via
        or output.output.via != other.output.via
        or output.premises != other.premises
    ):
        return False
    part = case.equipment.relays.get(output.output.via)
    return part is not None and part.sheet.interlocked is True and keeps_apart(case, output, other).says != ""


def milliseconds(seconds: float) -> int:
    """Whole milliseconds of a time [s]."""
    return round(seconds * 1000.0)


def unseen_event(name: str, starts: Iterable[str], says: str, act: EventAct | None = None) -> ModelEvent:
    """A press from where nothing is seen."""
    does = "\n".join([*(f"{start} = 1" for start in starts), "unseen = 1"])
    return ModelEvent(name, does, "power", says, act)
