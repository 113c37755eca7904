"""A network as plain Python: what an event does to a state, and a search that needs no compiler.

It is slow (about 100 000 states a second) and short; the compiled kernel is held against
it, and small models are searched with it because nothing has to be loaded.
"""

from __future__ import annotations

import ast
import heapq
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from farpress.core.rehearsal.model import TICK, Network
from farpress.core.rehearsal.wording import ModelError, written_by
from farpress.sources import Mark, cites

__all__ = ["Runner", "SearchResult", "briefest_story", "search_plainly"]

State = tuple[int, ...]
Step = Callable[..., Any]


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
    """Plain Python functions made from a network: one for each event.

    Attributes:
        network: the network.
        start: state at the beginning, settled by nothing.
    """

    def __init__(self, network: Network) -> None:
        """Write the functions and compile them."""
        self.network = network
        self.start: State = network.starts
        self._steps: dict[str, Step] = {}
        space: dict[str, object] = dict(network.numbers)
        self._settling = [
            line for statement in network.settling for line in ast.unparse(statement).splitlines()
        ]
        for index, event in enumerate(network.events):
            exec(compile(self._text(index), f"<{event.name}>", "exec"), space)
            step: Step = space[f"_e{index}"]  # type: ignore[assignment]
            self._steps[event.name] = step
        self.events = tuple(self._steps)

    def _text(self, index: int) -> str:
        network, event = self.network, self.network.events[index]
        lines = [f"def _e{index}({', '.join(network.variables)}):"]
        if network.passing:
            lines.append(f" {' = '.join(network.passing)} = 0")
        lines.append(f" if not ({ast.unparse(event.when)}): return None")
        for statement in event.does:
            lines += [f" {line}" for line in ast.unparse(statement).splitlines()]
        lines += [f" {line}" for line in self._settling]
        written = written_by((*event.does, *network.settling))
        outside = " or ".join(
            f"not 0 <= {name} <= {high}"
            for name, high in zip(network.variables, network.highs, strict=True)
            if name in written
        )
        if outside:
            lines.append(
                f" if {outside}: return None, ({''.join(f'{name}, ' for name in network.variables)})"
            )
        bad = (
            " | ".join(
                f"({1 << bit} if ({ast.unparse(tree)}) else 0)"
                for bit, tree in enumerate(network.bad.values())
            )
            or "0"
        )
        state = "".join(f"{name}, " for name in network.variables)
        lines.append(f" return ({state}), {bad}")
        return "\n".join(lines)

    def step(self, state: State, event: str) -> tuple[State, int] | None:
        """State after an event and which bad conditions hold, one bit each; None if it cannot happen.

        Raises:
            ModelError: a variable left its range.
        """
        after: tuple[Any, Any] | None = self._steps[event](*state)
        if after is not None and after[0] is None:
            raise self._left(state, event, after[1])
        return after

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
        return (self.step(state, TICK) or (state, bits)) if TICK in self._steps else (state, bits)

    def probe(self, state: State, expressions: Mapping[str, str], event: str | None = None) -> dict[str, int]:
        """Values of expressions in a settled state; signals of an event if one is named."""
        network = self.network
        space: dict[str, object] = {
            **network.numbers,
            **dict.fromkeys(network.passing, 0),
            **dict(zip(network.variables, state, strict=True)),
        }
        text = (
            []
            if event is None
            else [
                ast.unparse(statement)
                for statement in next(ready for ready in network.events if ready.name == event).does
            ]
        )
        exec("\n".join([*text, *(ast.unparse(statement) for statement in network.settling)]) or "pass", space)
        return {name: int(eval(expression, space)) for name, expression in expressions.items()}


@cites("breadth-first search", mark=Mark.COMPUTED)
def search_plainly(network: Network, *, budget: int = 100_000, to_the_end: bool = False) -> SearchResult:
    """Breadth-first search of all states, in plain Python.

    Args:
        network: what is searched.
        budget: most states kept.
        to_the_end: go on after every bad condition has been found.
    """
    runner = Runner(network)
    names = tuple(network.bad)
    parents: dict[State, tuple[State, str] | None] = {runner.start: None}
    depths = {runner.start: 0}
    queue = deque([runner.start])
    stories: dict[str, tuple[str, ...]] = {}
    transitions, depth = 0, 0
    while queue and len(parents) <= budget and (to_the_end or len(stories) < len(names) or not names):
        state = queue.popleft()
        depth = depths[state]
        for event in runner.events:
            taken = runner.step(state, event)
            if taken is None:
                continue
            transitions += 1
            after, bad = taken
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


@cites("shortest paths by Dijkstra's method, weight (events, ticks)", mark=Mark.COMPUTED)
def briefest_story(network: Network, bad: str, *, budget: int = 100_000) -> tuple[str, ...] | None:
    """The story with the fewest events, and among those the shortest time; None if the budget is used up.

    A story with few presses is easier told than one with few ticks.

    Args:
        network: what is searched.
        bad: name of the condition to be met.
        budget: most states kept.
    """
    runner = Runner(network)
    bit = tuple(network.bad).index(bad)
    parents: dict[State, tuple[State, str] | None] = {}
    heap: list[tuple[int, int, int, State, tuple[State, str] | None]] = [(0, 0, 0, runner.start, None)]
    ends: dict[int, tuple[State, str]] = {}
    count = 0
    while heap and len(parents) <= budget:
        events, ticks, order, state, before = heapq.heappop(heap)
        if order in ends:
            parent, event = ends[order]
            return (*_path(parents, parent), event)
        if state in parents:
            continue
        parents[state] = before
        for event in runner.events:
            taken = runner.step(state, event)
            if taken is None:
                continue
            is_tick = event == TICK
            count += 1
            weight = (events + (not is_tick), ticks + is_tick, count)
            if taken[1] >> bit & 1:
                ends[count] = (state, event)
                heapq.heappush(heap, (*weight, taken[0], (state, event)))
            elif taken[0] not in parents:
                heapq.heappush(heap, (*weight, taken[0], (state, event)))
    return None
