"""A story of a looser model looked for in the true one: the same presses in the same order, at any moments.

The looser model may do more than a real device, so a story found in it may not happen. What people do in it
is kept as an order; in the true model everything else is free: when each step comes, and what devices and
timers do by themselves.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable
from dataclasses import replace

from farpress.core.rehearsal.ready import Network
from farpress.core.rehearsal.running import Runner
from farpress.core.rehearsal.wording import parse_expression, parse_statements

__all__ = ["in_order", "moments_in"]

_PLACE = "steps_done"


def in_order(network: Network, steps: Iterable[str]) -> Network:
    """The same model in which people do these steps and no others, in this order; steps it does not know are
    passed over.
    """
    order = [step for step in steps if step in network.steps]
    events = []
    for event in network.events:
        if event.name not in network.steps:
            events.append(event)
        elif event.name in order:
            now = " or ".join(
                f"{_PLACE} == {place}" for place, step in enumerate(order) if step == event.name
            )
            when = parse_expression(f"({now}) and ({ast.unparse(event.when)})")
            does = (*event.does, *parse_statements(f"{_PLACE} = {_PLACE} + 1"))
            events.append(replace(event, when=when, does=does))
    return replace(
        network,
        variables=(*network.variables, _PLACE),
        highs=(*network.highs, max(len(order), 1)),
        starts=(*network.starts, 0),
        events=tuple(events),
    )


def moments_in(network: Network, events: Iterable[str], *, early_ms: int) -> list[tuple[int, str]]:
    """The steps of a story, each with its moment [ms]; one that comes in the last instant of a timer, before
    its end, comes `early_ms` earlier, and all that follows with it.
    """
    runner, state = Runner(network), network.starts
    timers = [network.variables.index(name) for name in network.due]
    at_ms, earlier_ms, found, is_shifted = 0, 0, [], False
    for event in events:
        if event in network.steps:
            if early_ms and not is_shifted and any(state[place] == 1 for place in timers):
                earlier_ms, is_shifted = earlier_ms + early_ms, True
            found.append((at_ms - earlier_ms, event))
        elif event == "tick":
            at_ms, is_shifted = at_ms + network.tick_ms, False
        taken = runner.step(state, event)
        if taken is None:
            break
        state = taken[0]
    return found
