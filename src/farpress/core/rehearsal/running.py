"""A network as plain Python: what an event does to a state, and a search that needs no compiler.

It is slow (about 100 000 states a second) and short; the compiled kernel is held against
it, and small models are searched with it because nothing has to be loaded.
"""

from __future__ import annotations

import ast
import functools
import heapq
from collections import deque
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from types import CodeType
from typing import Any, cast

from farpress.core.rehearsal.model import TICK
from farpress.core.rehearsal.ready import Network
from farpress.core.rehearsal.wording import ModelError, text_lines, text_of, values_given
from farpress.sources import Mark, cites

__all__ = ["Runner", "SearchResult", "briefest_stories", "briefest_story", "search_plainly"]

TOLD = 10_000
"""States between two words about how far a search is; our choice, a tenth of a second."""

State = tuple[int, ...]
Step = Callable[[State], list[tuple[str, State, int]]]


@dataclass(frozen=True)
class SearchResult:
    """What a search found.

    Attributes:
        states, transitions: visited, and taken.
        finished: every state was looked at.
        depth: events and ticks up to which every story was tried.
        stories: bad condition → shortest list of events that leads to it.
    """

    states: int
    transitions: int
    finished: bool
    depth: int
    stories: Mapping[str, tuple[str, ...]]


class Runner:
    """Plain Python functions made from a network: one for each event, or one for all of them.

    Attributes:
        network: the network.
        start: state at the beginning, settled by nothing.
    """

    def __init__(self, network: Network) -> None:
        """Take the network; its functions are written and compiled when they are first asked for."""
        self.network = network
        self.start: State = network.starts
        self.events = tuple(event.name for event in network.events)
        self._numbers = {name: number for number, name in enumerate(self.events)}
        self._function: Callable[..., Any] | None = None
        self._state = f"({''.join(f'{name}, ' for name in network.variables)})"
        self._settling = text_lines(network.settling)
        self._bad = (
            " | ".join(
                f"({1 << bit} if ({text_of(tree)}) else 0)" for bit, tree in enumerate(network.bad.values())
            )
            or "0"
        )

    def step(self, state: State, event: str) -> tuple[State, int] | None:
        """State after an event and which bad conditions hold, one bit each; None if it cannot happen.

        Raises:
            ModelError: a variable left its range.
        """
        taken = self._taken()(state, self._numbers[event])
        return taken[0][1:] if taken else None

    def every_step(self) -> Step:
        """A function from a state to each event that can happen in it, the state after it and which bad
        conditions hold; in the order of the events. It raises what `step` raises.
        """
        return self._taken()

    def _taken(self) -> Callable[..., Any]:
        """One function for all events, or for the one whose number is given: compiled once, as what settles
        after each of them is most of it.
        """
        if self._function is None:
            space: dict[str, object] = {**self.network.numbers, "_left": self._left, "_names": self.events}
            restored = [f"{self._state} = _state", *self._nothing_passes()]
            guards = [text_of(event.when) for event in self.network.events]
            lines = [
                "def _taken(_state, _asked=None):",
                *(f" {line}" for line in restored),
                " _can, _found = [], []",
                *(f" if {guard}: _can.append({number})" for number, guard in enumerate(guards)),
                " if _asked is not None: _can = [_asked] if _asked in _can else []",
                " for _number in _can:",
                *(f"  {line}" for line in restored),
                *(f"  {line}" for line in self._begun(0, len(guards))),
                *(f"  {line}" for line in self._settled()),
                " return _found",
            ]
            exec(_code("\n".join(lines), "every event"), space)
            self._function = cast("Callable[..., Any]", space["_taken"])
        return self._function

    def _nothing_passes(self) -> list[str]:
        return [f"{' = '.join(self.network.passing)} = 0"] if self.network.passing else []

    def _begun(self, first: int, end: int) -> list[str]:
        """Lines for what the events of some numbers do before anything settles, found by halving."""
        if end - first == 1:
            return text_lines(self.network.events[first].does)
        if end == first:
            return ["pass"]
        middle = (first + end) // 2
        return [
            f"if _number < {middle}:",
            *(f" {line}" for line in self._begun(first, middle)),
            "else:",
            *(f" {line}" for line in self._begun(middle, end)),
        ]

    def _settled(self) -> list[str]:
        """Lines for what settles after any event, and what has been found then."""
        outside = " or ".join(f"not 0 <= {name} <= {high}" for name, high in self._may_leave())
        return [
            *self._settling,
            *([f"if {outside}: raise _left(_state, _names[_number], {self._state})"] if outside else []),
            f"_found.append((_names[_number], {self._state}, {self._bad}))",
        ]

    def _may_leave(self) -> list[tuple[str, int]]:
        """Variables that something may take out of their range, with its end; a constant in it does not."""
        network = self.network
        does = [statement for event in network.events for statement in event.does]
        highs = dict(zip(network.variables, network.highs, strict=True))
        may = {
            name
            for name, value in values_given((*does, *network.settling))
            if name in highs and not _stays(value, highs[name], network.numbers)
        }
        return [(name, high) for name, high in highs.items() if name in may]

    def _left(self, state: State, event: str, after: State) -> ModelError:
        name, value, high = next(
            change
            for change in zip(self.network.variables, after, self.network.highs, strict=True)
            if not 0 <= change[1] <= change[2]
        )
        return ModelError(
            f"{name} became {value} at {event}, outside 0 to {high}:"
            f" {dict(zip(self.network.variables, state, strict=True))}."
        )

    def tick(self, state: State, bits: int = 0) -> tuple[State, int]:
        """State and conditions one tick later; in a model without timers nothing changes."""
        return (self.step(state, TICK) or (state, bits)) if TICK in self.events else (state, bits)

    def probe(self, state: State, expressions: Mapping[str, str], event: str | None = None) -> dict[str, int]:
        """Values of expressions in a settled state; signals of an event if one is named."""
        network = self.network
        space: dict[str, object] = {
            **network.numbers,
            **dict.fromkeys(network.passing, 0),
            **dict(zip(network.variables, state, strict=True)),
        }
        does = () if event is None else next(ready.does for ready in network.events if ready.name == event)
        exec(_code("\n".join([*text_lines(does), *self._settling]) or "pass", "probe"), space)
        return {
            name: int(eval(_expression_code(expression), space)) for name, expression in expressions.items()
        }


def _stays(value: ast.expr, high: int, numbers: Mapping[str, int]) -> bool:
    """Whether a value can be seen to lie between 0 and an end, whatever the state is."""
    if isinstance(value, ast.IfExp):
        return _stays(value.body, high, numbers) and _stays(value.orelse, high, numbers)
    if isinstance(value, ast.Constant):
        return isinstance(value.value, int) and 0 <= value.value <= high
    if isinstance(value, ast.Name):
        return 0 <= numbers.get(value.id, -1) <= high
    return isinstance(value, ast.Compare) and high >= 1


@functools.lru_cache(maxsize=256)
def _code(text: str, name: str) -> CodeType:
    """Text as code that can be run; two searches of one model write the same."""
    return compile(text, f"<{name}>", "exec")


@functools.lru_cache(maxsize=4096)
def _expression_code(text: str) -> CodeType:
    return compile(text, "<expression>", "eval")


@cites("breadth-first search", mark=Mark.COMPUTED)
def search_plainly(
    network: Network,
    *,
    budget: int = 100_000,
    to_the_end: bool = False,
    progress: Callable[[int], None] | None = None,
) -> SearchResult:
    """Breadth-first search of all states, in plain Python.

    Args:
        network: what is searched.
        budget: most states kept.
        to_the_end: go on after every bad condition has been found.
        progress: told the number of states now and then; may raise to cancel.
    """
    runner = Runner(network)
    names = tuple(network.bad)
    every_step = runner.every_step()
    parents: dict[State, tuple[State, str] | None] = {runner.start: None}
    depths = {runner.start: 0}
    queue = deque([runner.start])
    stories: dict[str, tuple[str, ...]] = {}
    transitions, depth, looked = 0, 0, 0
    while queue and len(parents) <= budget and (to_the_end or len(stories) < len(names) or not names):
        state = queue.popleft()
        depth = depths[state]
        looked += 1
        if progress is not None and looked % TOLD == 0:
            progress(len(parents))
        for event, after, bad in every_step(state):
            transitions += 1
            if after not in parents:
                parents[after] = (state, event)
                depths[after] = depth + 1
                queue.append(after)
            if bad:
                for bit, name in enumerate(names):
                    if bad >> bit & 1 and name not in stories:
                        stories[name] = (*_path(parents, state), event)
    return SearchResult(len(parents), transitions, not queue, depth, stories)


def _path(parents: Mapping[State, tuple[State, str] | None], state: State) -> tuple[str, ...]:
    events: list[str] = []
    before = parents[state]
    while before is not None:
        state, event = before
        events.append(event)
        before = parents[state]
    return tuple(reversed(events))


@cites("shortest paths by Dijkstra's method, weight (steps, ticks)", mark=Mark.COMPUTED)
def briefest_stories(network: Network, bad: str, *, budget: int = 100_000) -> Iterator[tuple[str, ...]]:
    """Stories with the fewest steps first, and among those the shortest time; each order of steps once.

    A story with few presses is easier told than one with few ticks. Of every state only the briefest way to
    it is followed, so orders that meet on the way count as one.

    Args:
        network: what is searched.
        bad: name of the condition to be met.
        budget: most states kept; nothing more is told once they are used up.
    """
    runner = Runner(network)
    bit = tuple(network.bad).index(bad)
    every_step = runner.every_step()
    steps_of, told = network.steps, set()
    parents: dict[State, tuple[State, str] | None] = {}
    heap: list[tuple[int, int, int, State, tuple[State, str] | None]] = [(0, 0, 0, runner.start, None)]
    ends: dict[int, tuple[State, str]] = {}
    count = 0
    while heap and len(parents) <= budget:
        steps, ticks, order, state, before = heapq.heappop(heap)
        if order in ends:
            parent, event = ends.pop(order)
            story = (*_path(parents, parent), event)
            people = tuple(name for name in story if name in steps_of)
            if people not in told:
                told.add(people)
                yield story
            continue
        if state in parents:
            continue
        parents[state] = before
        for event, after, conditions in every_step(state):
            count += 1
            weight = (steps + (event in steps_of), ticks + (event == TICK), count)
            if conditions >> bit & 1:
                ends[count] = (state, event)
                heapq.heappush(heap, (*weight, after, (state, event)))
            elif after not in parents:
                heapq.heappush(heap, (*weight, after, (state, event)))


@cites("shortest paths by Dijkstra's method, weight (steps, ticks)", mark=Mark.COMPUTED)
def briefest_story(network: Network, bad: str, *, budget: int = 100_000) -> tuple[str, ...] | None:
    """The story with the fewest steps, and among those the shortest time; None if the budget is used up.

    Args:
        network, bad, budget: as for `briefest_stories`.
    """
    return next(briefest_stories(network, bad, budget=budget), None)
