"""A network of timed automata with whole-number clocks: how it is written.

A `StateModel` has variables, events, timers and bad conditions; one event is the tick of the
clock. Events take no time and come one at a time. In a search a timer that is due ends in an
event of its own and the clock waits for it, so that a press in the last instant before the end is
among the stories: all guards are closed, no two clocks are compared, and the tick divides every
time, so nothing is lost by counting in ticks as far as what can be reached goes. For a
player, who needs one order, a timer ends in the tick itself.

`ready` makes it ready to run, `search` searches it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from farpress.core.rehearsal.wording import ModelError
from farpress.sources import Mark, cites

__all__ = ["TICK", "EventAct", "ModelEvent", "StateModel", "Timer", "Variable", "join"]

TICK = "tick"
"""Name of the event in which time passes."""


@dataclass(frozen=True)
class Variable:
    """A whole number from 0 to `high`.

    Attributes:
        name: an identifier.
        high: largest value: a number, or the name of a time or constant.
        start: value at the beginning.
        passing: a signal that lives for one event only and is not part of the state.
    """

    name: str
    high: int | str = 1
    start: int = 0
    passing: bool = False


@dataclass(frozen=True)
class EventAct:
    """What somebody does in an event, as values: for whoever tells or plays a story in words of its own.

    Attributes:
        kind: what is done.
        thing: to what; the functions of a button as they are listed.
        who: first of those who may do it; of a vehicle the gate it takes; empty for the power and things.
        is_long: the button is pressed long.
        is_held: the thumb stays on the button.
    """

    kind: Literal[
        "power off",
        "power on",
        "press",
        "release",
        "keypad",
        "alarm",
        "entry",
        "under",
        "clear",
        "goes in",
        "goes out",
        "works on",
        "work over",
        "isolator on",
        "drives in",
        "drives out",
        "clock",
    ]
    thing: str = ""
    who: str = ""
    is_long: bool = False
    is_held: bool = False


@dataclass(frozen=True)
class ModelEvent:
    """Something that can happen at any instant while its guard holds.

    Attributes:
        name: an identifier.
        does: statements.
        when: guard.
        says: in the words of a story.
        act: the same as values, where a player has words for it.
        inner: it happens to a thing by itself and is no step of a story, as the end of a timer.
    """

    name: str
    does: str = "pass"
    when: str = "1"
    says: str = ""
    act: EventAct | None = None
    inner: bool = False


@dataclass(frozen=True)
class Timer:
    """A time that runs down and then ends.

    A statement begins it by giving `name` the value of its `time`, and takes it back by 0; while it runs, its
    end itself included, `name` is above 0; `{name}_due` is its value in its last instant where it waits there
    for its end, else 0.

    Attributes:
        name: identifier of its variable.
        time: name of its length among the times, the longest where it has several; a length of 0 never runs.
        ends: statements at its end, after `name` has become 0.
        runs_while: condition under which it goes on and may end, looking at variables only.
        begins: names of all lengths it may begin with, where it has several.
        counted: statements look at how much of it is left, not only at whether it runs.
    """

    name: str
    time: str
    ends: str = ""
    runs_while: str = "1"
    begins: tuple[str, ...] = ()
    counted: bool = False


@dataclass(frozen=True)
class StateModel:
    """A network of parts, each adding its variables, events and statements.

    Attributes:
        variables: of all parts; names are not given twice.
        events: what people and things may do.
        ticking: statements of the tick, one text for each part, in order.
        settling: statements after every event and tick, in order.
        times_ms: name → time [ms]; becomes a number of ticks.
        constants: name → number, or a function of the times in ticks.
        bad: name → condition that must never be true after an event.
        timers: what runs down with the clock.
    """

    variables: tuple[Variable, ...] = ()
    events: tuple[ModelEvent, ...] = ()
    ticking: tuple[str, ...] = ()
    settling: tuple[str, ...] = ()
    times_ms: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))
    constants: Mapping[str, int | Callable[[Mapping[str, int]], int]] = field(
        default_factory=lambda: MappingProxyType({})
    )
    bad: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    timers: tuple[Timer, ...] = ()


@cites("composition of automata by shared variables", mark=Mark.COMPUTED)
def join(parts: Iterable[StateModel]) -> StateModel:
    """All parts as one model, their statements in the order given.

    Raises:
        ModelError: a name given twice with different meanings.
    """
    variables: dict[str, Variable] = {}
    events: dict[str, ModelEvent] = {}
    times: dict[str, int] = {}
    constants: dict[str, int | Callable[[Mapping[str, int]], int]] = {}
    bad: dict[str, str] = {}
    ticking: list[str] = []
    settling: list[str] = []
    timers: list[Timer] = []
    for part in parts:
        for variable in part.variables:
            if variables.setdefault(variable.name, variable) != variable:
                raise ModelError(f"The variable {variable.name} is given twice.")
        for event in part.events:
            known = events.get(event.name)
            if known is not None and (known.when, known.says) != (event.when, event.says):
                raise ModelError(f"The event {event.name} is given twice.")
            events[event.name] = (
                event
                if known is None
                else ModelEvent(
                    event.name,
                    f"{known.does}\n{event.does}",
                    event.when,
                    event.says,
                    known.act or event.act,
                    event.inner,
                )
            )
        times.update(part.times_ms)
        constants.update(part.constants)
        bad.update(part.bad)
        ticking += part.ticking
        settling += part.settling
        timers += part.timers
    return StateModel(
        tuple(variables.values()),
        tuple(events.values()),
        tuple(ticking),
        tuple(settling),
        times,
        constants,
        bad,
        tuple(timers),
    )
