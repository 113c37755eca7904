"""A network of timed automata with whole-number clocks: how it is written, how it is made ready.

A `StateModel` has variables, events and bad conditions; one event is the tick of the clock.
Events take no time and come one at a time; a timer that is due acts at the tick. Guards
are closed (whole numbers of ticks), no two clocks are compared, and the tick divides every
time, so nothing is lost by counting in ticks as far as what can be reached goes.

Nothing here searches: that is `search`.
"""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from math import gcd
from types import MappingProxyType
from typing import Literal

from farpress.core.rehearsal.wording import (
    ModelError,
    depends_on,
    names_read,
    parse_expression,
    parse_statements,
    slice_statements,
    written_by,
)
from farpress.sources import Mark, cites

__all__ = [
    "TICK",
    "EventAct",
    "ModelEvent",
    "Network",
    "ReadyEvent",
    "StateModel",
    "Variable",
    "join",
    "make_ready",
]

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
        who: first of those who may do it; empty for the power and things.
        is_long: the button is pressed long.
        is_held: the thumb stays on the button.
    """

    kind: Literal["power off", "power on", "press", "release", "keypad", "alarm", "entry", "under", "clear"]
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
    """

    name: str
    does: str = "pass"
    when: str = "1"
    says: str = ""
    act: EventAct | None = None


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


@dataclass(frozen=True)
class ReadyEvent:
    """An event with its guard and statements as syntax trees."""

    name: str
    when: ast.expr
    does: tuple[ast.stmt, ...]
    says: str
    act: EventAct | None = None


@dataclass(frozen=True)
class Network:
    """A model with whole numbers everywhere, ready to run.

    Attributes:
        variables, highs, starts: of the state, in order.
        passing: names of signals.
        events: the tick is the last one, if the model has one.
        settling: statements after every event.
        bad: name → condition.
        numbers: constants and times in ticks.
        tick_ms: length of a tick [ms].
    """

    variables: tuple[str, ...]
    highs: tuple[int, ...]
    starts: tuple[int, ...]
    passing: tuple[str, ...]
    events: tuple[ReadyEvent, ...]
    settling: tuple[ast.stmt, ...]
    bad: Mapping[str, ast.expr]
    numbers: Mapping[str, int]
    tick_ms: int

    def says(self, event: str) -> str:
        """An event in the words of a story."""
        return next((ready.says for ready in self.events if ready.name == event), "") or event

    def act(self, event: str) -> EventAct | None:
        """What is done in an event, as values; None where no player has words for it."""
        return next((ready.act for ready in self.events if ready.name == event), None)


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
                    event.name, f"{known.does}\n{event.does}", event.when, event.says, known.act or event.act
                )
            )
        times.update(part.times_ms)
        constants.update(part.constants)
        bad.update(part.bad)
        ticking += part.ticking
        settling += part.settling
    return StateModel(
        tuple(variables.values()),
        tuple(events.values()),
        tuple(ticking),
        tuple(settling),
        times,
        constants,
        bad,
    )


@cites("cone of influence; tick = greatest common divisor of the times that matter", mark=Mark.COMPUTED)
def make_ready(
    model: StateModel,
    *,
    bad: Iterable[str] | None = None,
    slicing: bool = True,
    moments_ms: Iterable[int] = (),
) -> Network:
    """Keep what the bad conditions depend on, find the tick, and fill in all numbers.

    Args:
        model: the model.
        bad: names of the conditions that matter; all if absent.
        slicing: leave out variables, statements and events that no condition depends on.
        moments_ms: further times that the tick has to divide, as the moments of a story [ms].

    Raises:
        ModelError: an unknown name, a negative time, a start above its largest value.
    """
    conditions = {
        name: parse_expression(text) for name, text in model.bad.items() if bad is None or name in set(bad)
    }
    settling = tuple(statement for text in model.settling for statement in parse_statements(text))
    ticking = tuple(statement for text in model.ticking for statement in parse_statements(text))
    events = [
        ReadyEvent(
            event.name, parse_expression(event.when), parse_statements(event.does), event.says, event.act
        )
        for event in model.events
    ]
    if ticking:
        events.append(ReadyEvent(TICK, parse_expression("1"), ticking, "time passes"))
    if slicing:
        wanted = _wanted(conditions.values(), events, settling)
        settling = slice_statements(settling, wanted)
        sliced = [
            ReadyEvent(event.name, event.when, slice_statements(event.does, wanted), event.says, event.act)
            for event in events
        ]
        events = [event for event in sliced if event.does]
    else:
        wanted = frozenset(variable.name for variable in model.variables)
    kept = [variable for variable in model.variables if variable.name in wanted]
    numbers, length = _numbers(
        model,
        _names(conditions.values(), events, settling) | {str(variable.high) for variable in kept},
        tuple(moments_ms),
    )
    known = {variable.name for variable in kept} | set(numbers)
    written = written_by([*settling, *(statement for event in events for statement in event.does)]) - {
        variable.name for variable in kept
    }
    unknown = (_names(conditions.values(), events, settling) - known) | written
    if unknown:
        raise ModelError(f"The model speaks of {', '.join(sorted(unknown))}, which nothing in it is called.")
    state = [variable for variable in kept if not variable.passing]
    highs = tuple(
        variable.high if isinstance(variable.high, int) else numbers[variable.high] for variable in state
    )
    for variable, high in zip(state, highs, strict=True):
        if not 0 <= variable.start <= high:
            raise ModelError(f"{variable.name} starts at {variable.start}, outside 0 to {high}.")
    passing = tuple(variable.name for variable in kept if variable.passing)
    return Network(
        tuple(variable.name for variable in state),
        highs,
        tuple(variable.start for variable in state),
        passing,
        tuple(events),
        settling,
        conditions,
        numbers,
        length,
    )


def _names(
    conditions: Iterable[ast.expr], events: Iterable[ReadyEvent], settling: Iterable[ast.stmt]
) -> set[str]:
    trees: list[ast.AST] = [*conditions, *settling]
    for event in events:
        trees += [event.when, *event.does]
    return {name for tree in trees for name in names_read(tree)}


def _wanted(
    conditions: Iterable[ast.expr], events: list[ReadyEvent], settling: tuple[ast.stmt, ...]
) -> frozenset[str]:
    needs: dict[str, set[str]] = {}
    for statement in settling:
        for name, reads in depends_on(statement):
            needs.setdefault(name, set()).update(reads)
    for event in events:
        guard = names_read(event.when)
        for statement in event.does:
            for name, reads in depends_on(statement):
                needs.setdefault(name, set()).update(reads, guard)
    wanted: set[str] = set()
    ahead = [name for tree in conditions for name in names_read(tree)]
    while ahead:
        name = ahead.pop()
        if name not in wanted:
            wanted.add(name)
            ahead += needs.get(name, ())
    return frozenset(wanted)


def _numbers(model: StateModel, used: set[str], moments_ms: tuple[int, ...]) -> tuple[dict[str, int], int]:
    # a constant that is worked out may look at times that stand in no statement: those its function reads
    looked: set[str] = set()

    class _Watching(dict[str, int]):
        def __getitem__(self, name: str) -> int:
            looked.add(name)
            return super().__getitem__(name)

    for name in used & set(model.constants):
        worked = model.constants[name]
        if callable(worked):
            worked(_Watching({key: max(time, 1) for key, time in model.times_ms.items()}))
    times = {name: time for name, time in model.times_ms.items() if name in used or name in looked}
    wrong = [f"{name} of {time} ms" for name, time in times.items() if time < 0]
    if wrong:
        raise ModelError(f"A time is not negative: {', '.join(wrong)}.")
    length = gcd(*times.values(), *moments_ms) or 1000
    numbers = {name: time // length for name, time in times.items()}
    for name in sorted(used & set(model.constants)):
        given = model.constants[name]
        numbers[name] = given(numbers) if callable(given) else given
    return numbers, length
