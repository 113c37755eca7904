"""A model made ready to run: cut to what matters, with a tick, and with a number for every name.

In a search a timer that is due ends in an event of its own and the clock waits for it, so that a press
in the last instant before the end is among the stories; for a player, who needs one order, it ends
in the tick itself. Nothing here searches: that is `search`.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from math import gcd
from types import MappingProxyType

from farpress.core.rehearsal.model import TICK, EventAct, ModelEvent, StateModel, Variable
from farpress.core.rehearsal.wording import (
    ModelError,
    depends_on,
    names_read,
    parse_expression,
    parse_statements,
    slice_statements,
    text_of,
    written_by,
)
from farpress.sources import Mark, cites

__all__ = ["Network", "ReadyEvent", "make_ready"]


@dataclass(frozen=True)
class ReadyEvent:
    """An event with its guard and statements as syntax trees."""

    name: str
    when: ast.expr
    does: tuple[ast.stmt, ...]
    says: str
    act: EventAct | None = None
    inner: bool = False


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
        due: name of a timer → condition under which it is due, where timers end in events of their own.
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
    due: Mapping[str, ast.expr] = field(default_factory=lambda: MappingProxyType({}))

    def says(self, event: str) -> str:
        """An event in the words of a story."""
        return next((ready.says for ready in self.events if ready.name == event), "") or event

    def act(self, event: str) -> EventAct | None:
        """What is done in an event, as values; None where no player has words for it."""
        return next((ready.act for ready in self.events if ready.name == event), None)

    @property
    def steps(self) -> frozenset[str]:
        """Names of the events that are steps of a story: neither the tick nor what happens by itself."""
        return frozenset(ready.name for ready in self.events if ready.name != TICK and not ready.inner)


@cites("cone of influence; tick = greatest common divisor of the times that matter", mark=Mark.COMPUTED)
def make_ready(
    model: StateModel,
    *,
    bad: Iterable[str] | None = None,
    slicing: bool = True,
    moments_ms: Iterable[int] = (),
    closed: bool = False,
    loose_below_ms: int = 0,
) -> Network:
    """Keep what the bad conditions depend on, find the tick, and fill in all numbers.

    Args:
        model: the model.
        bad: names of the conditions that matter; all if absent.
        slicing: leave out variables, statements and events that no condition depends on.
        moments_ms: further times that the tick has to divide, as the moments of a story [ms].
        closed: a timer that is due ends in an event of its own, before or after others of the same
            instant; else in the tick, before them.
        loose_below_ms: a timer whose lengths are all below this may end at any instant from its beginning
            to the next whole tick after its length, which leaves more stories, never fewer, and a longer
            tick; only where `closed`.

    Raises:
        ModelError: an unknown name, a negative time, a start above its largest value.
    """
    conditions = {
        name: parse_expression(text) for name, text in model.bad.items() if bad is None or name in set(bad)
    }
    settling = tuple(statement for text in model.settling for statement in parse_statements(text))
    loose = frozenset(
        timer.name
        for timer in model.timers
        if closed
        and not timer.counted
        and all(0 < model.times_ms[name] < loose_below_ms for name in (timer.time, *timer.begins))
    )
    model = _with_timers(model, closed=closed, loose=loose)
    ticking = tuple(statement for text in model.ticking for statement in parse_statements(text))
    events = [
        ReadyEvent(
            event.name,
            parse_expression(event.when),
            parse_statements(event.does),
            event.says,
            event.act,
            event.inner,
        )
        for event in model.events
    ]
    if ticking:
        events.append(ReadyEvent(TICK, parse_expression("1"), ticking, "time passes"))
    if slicing:
        wanted = _wanted(conditions.values(), events, settling)
        settling = slice_statements(settling, wanted)
        sliced = [replace(event, does=slice_statements(event.does, wanted)) for event in events]
        events = [event for event in sliced if event.does]
    else:
        wanted = frozenset(variable.name for variable in model.variables)
    due = {
        timer.name: parse_expression(f"{timer.name} == 1 and ({timer.runs_while})")
        for timer in model.timers
        if closed and timer.name in wanted
    }
    if due:
        waits = parse_expression(" and ".join(f"not ({text_of(tree)})" for tree in due.values()))
        events = [replace(event, when=waits) if event.name == TICK else event for event in events]
    kept = [variable for variable in model.variables if variable.name in wanted]
    names = _names(conditions.values(), events, settling)
    numbers, length = _numbers(
        model,
        names | {str(variable.high) for variable in kept},
        tuple(moments_ms),
        {
            name: timer.name in loose
            for timer in model.timers
            for name in (timer.time, *timer.begins)
            if closed
        },
    )
    known = {variable.name for variable in kept} | set(numbers)
    written = written_by([*settling, *(statement for event in events for statement in event.does)]) - {
        variable.name for variable in kept
    }
    unknown = (names - known) | written
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
        due,
    )


def _with_timers(model: StateModel, *, closed: bool, loose: frozenset[str]) -> StateModel:
    """Timers as variables, statements of the tick and events."""
    variables = [*model.variables]
    ticking, events = [*model.ticking], [*model.events]
    for timer in model.timers:
        name, ends = timer.name, timer.ends or "pass"
        variables.append(Variable(name, timer.time))
        if closed:
            ticking.append(f"if {name} > 1 and ({timer.runs_while}):\n    {name} = {name} - 1")
            does = f"{name} = 0\n{ends}"
            due = f"{name} {'> 0' if name in loose else '== 1'} and ({timer.runs_while})"
            events.append(ModelEvent(f"{name}_ends", does, due, inner=True))
        else:
            inside = "".join(f"\n        {line}" for line in ends.splitlines())
            ticking.append(
                f"if {name} > 0 and ({timer.runs_while}):\n    {name} = {name} - 1\n    if {name} =="
                f" 0:{inside}"
            )
    return replace(model, variables=tuple(variables), ticking=tuple(ticking), events=tuple(events))


def _names(
    conditions: Iterable[ast.expr], events: Iterable[ReadyEvent], settling: Iterable[ast.stmt]
) -> set[str]:
    trees: list[ast.AST] = [*conditions, *settling]
    for event in events:
        trees += [event.when, *event.does]
    return set().union(*map(names_read, trees))


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


def _numbers(
    model: StateModel, used: set[str], moments_ms: tuple[int, ...], lasting: Mapping[str, bool]
) -> tuple[dict[str, int], int]:
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
    loose = {name for name, is_loose in lasting.items() if is_loose}
    length = gcd(*(time for name, time in times.items() if name not in loose), *moments_ms) or 1000
    # a timer that ends in an event of its own counts its last instant too: 1 is due, 0 is over
    numbers = {name: -(-time // length) + (name in lasting and time > 0) for name, time in times.items()}
    numbers |= {f"{timer.name}_due": int(lasting.get(timer.time) is False) for timer in model.timers}
    for name in sorted(used & set(model.constants)):
        given = model.constants[name]
        numbers[name] = given(numbers) if callable(given) else given
    return numbers, length
