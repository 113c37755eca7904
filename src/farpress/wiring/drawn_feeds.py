"""What feeds a thing over drawn wires, as a drawing has it."""

from __future__ import annotations

from dataclasses import dataclass

from farpress.case.cables import cables_of
from farpress.case.case import Case
from farpress.case.drawn_wires import DrawnFeed, drawn_feed
from farpress.case.terminals_there import terminals_at
from farpress.case.wire_nets import nets_of
from farpress.domain.terminals import Terminal
from farpress.errors import InputError
from farpress.wiring.drawn import fuse_before

__all__ = ["FeedDrawn", "drawn_feed_of"]


@dataclass(frozen=True)
class FeedDrawn:
    """A feed over drawn wires.

    Attributes:
        feed: what feeds what.
        poles: of the supply or its branch, as they are printed.
        cores: live one and way back of the last cable; empty where there is none.
        fuse_a: before it [A].
    """

    feed: DrawnFeed
    poles: tuple[str, str]
    cores: tuple[str, str]
    fuse_a: float | None


def drawn_feed_of(case: Case, premises: str, thing: str) -> FeedDrawn | None:
    """What feeds a thing over drawn wires; None where nothing does."""
    feed = drawn_feed(case, premises, thing)
    if feed is None:
        return None
    is_ac = case.equipment.supplies[f"{premises}/{feed.supply}"].sheet.supply == "ac"
    live, back = ("~1", "~2") if is_ac else ("+", "0 V")
    head = f"branch {feed.branch}" if feed.branch else ""
    return FeedDrawn(
        feed,
        (f"{head} {live}".strip(), f"{head} {back}".strip()),
        (_core_at(case, premises, feed, ("+", "~1")), _core_at(case, premises, feed, ("0", "~2"))),
        fuse_before(case, premises, Terminal(feed.supply, f"{head}.{live}" if head else live)),
    )


def _core_at(case: Case, premises: str, feed: DrawnFeed, poles: tuple[str, str]) -> str:
    """The core of the last cable that is joined to a pole of the thing; empty where none is."""
    body = next((body for body in cables_of(case, premises) if body.label == feed.label), None)
    for pole in poles:
        try:
            end = terminals_at(case, premises).find(f"{feed.thing}.{pole}")
        except InputError:
            continue
        there = nets_of(case, premises).joined(end)
        cores = body.cores if body is not None else ()
        return next((core.name for core in cores if there & {*core.near, *core.far}), "")
    return ""
