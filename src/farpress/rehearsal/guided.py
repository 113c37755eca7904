"""From a story in which leaves may take any time to one with the true times.

Where the exact model is too large to search, the order of events of the looser model is
followed step by step: each event of people and power at once, each movement waited for.
What comes out is a story that was played, not the shortest one.
"""

from __future__ import annotations

from farpress.core.rehearsal.model import TICK, Network, join, make_ready
from farpress.core.rehearsal.running import Runner, State
from farpress.rehearsal.searched import SearchedCheck
from farpress.rehearsal.site import Site, thing_id

__all__ = ["MOVEMENTS", "follow"]

MOVEMENTS = ("_goes_on", "_half_way", "_half_open", "_time_is_over")
"""Events of a leaf without times; in the true model the tick does them."""

_PATIENCE = 200_000


def follow(
    check: SearchedCheck, loose: Network, events: tuple[str, ...], site: Site
) -> tuple[Network, tuple[str, ...]] | None:
    """Events and ticks of the true model that end in what a check forbids; None if this order does not lead
    there.
    """
    watch = check.watch(site)
    if isinstance(watch, str):
        return None
    network = make_ready(join([site.model, watch]), slicing=False)
    runner, guide = Runner(network), Runner(loose)
    leaves = [thing_id(path) for path, thing in site.things.items() if thing.kind == "leaf"]
    state, wanted, done, patience = network.starts, loose.starts, [], _PATIENCE

    def zones(played: Runner, stands: State, open_at: dict[str, int]) -> tuple[tuple[int, int], ...]:
        values = dict(zip(played.network.variables, stands, strict=True))
        return tuple(
            (values[f"{d}_mode"], _zone(values[f"{d}_pos"], open_at[d]))
            for d in leaves
            if f"{d}_mode" in guide.network.variables
        )

    true_open = {d: network.numbers[f"{d}_N"] for d in leaves}
    loose_open = dict.fromkeys(leaves, 2)
    for event in (*events, ""):
        ticks = 0
        if event:
            after = guide.step(wanted, event)
            if after is None:
                return None
            wanted = after[0]
        if event == TICK:
            ticks = max(loose.tick_ms // network.tick_ms, 1)
        elif event and not event.endswith(MOVEMENTS):
            taken = runner.step(state, event)
            if taken is None:
                return None
            state = taken[0]
            done.append(event)
            if taken[1]:
                return network, tuple(done)
        waits = event.endswith(MOVEMENTS) or not event
        while ticks > 0 or (
            waits and (not event or zones(runner, state, true_open) != zones(guide, wanted, loose_open))
        ):
            taken = runner.tick(state)
            patience -= 1
            if patience <= 0 or (not event and taken[0] == state):
                return None
            state, ticks = taken[0], ticks - 1
            done.append(TICK)
            if taken[1]:
                return network, tuple(done)
    return None


def _zone(position: int, open_at: int) -> int:
    """0 closed, 1 on the way, 2 open."""
    if position == 0:
        return 0
    return 2 if position >= open_at else 1
