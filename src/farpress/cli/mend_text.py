"""A mending plan in a terminal: what to change in order of work, what each gives, what is left."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from farpress.cli.text import to_ascii, wrapped
from farpress.mending.telling import plan_told

if TYPE_CHECKING:
    from farpress.mending.result import MendingPlan
    from farpress.mending.telling import PlanTold

__all__ = ["mending_text"]


def mending_text(
    plan: MendingPlan,
    *,
    takes: tuple[str, ...] = (),
    first: tuple[str, ...] = (),
    width: int = 80,
    plain: bool = False,
) -> str:
    """The plan as lines, without an end of line after the last."""
    lines = [*_first(first, max(width, 60)), *_lines(plan_told(plan, takes), max(width, 60))]
    return "\n".join(to_ascii(line) if plain else line for line in lines)


def _first(first: tuple[str, ...], width: int) -> Iterator[str]:
    """What made a job readable that was refused."""
    if first:
        yield "FIRST: as it stands the job cannot be used, as outputs are not there"
    for does in first:
        yield from wrapped(does, width, "  - ", "    ")
    if first:
        yield from wrapped("Its part and its work are not counted below.", width, "    ", "    ")
        yield ""


def _lines(told: PlanTold, width: int) -> Iterator[str]:
    yield from wrapped(told.head, width)
    if told.cut_short:
        yield from wrapped(told.cut_short, width)
    if told.steps:
        yield ""
        yield "CHANGE, in order of work; each was tried on a copy, and all of them together"
    for number, step in enumerate(told.steps, start=1):
        yield from wrapped(f"{step.does} ({step.minutes} min)", width, f"{number:2} ", "   ")
        yield from wrapped(f"at {step.where}", width, "   ", "   ")
        for gives in step.gives:
            yield from wrapped(gives, width, "   - ", "     ")
    if told.takes:
        yield ""
        yield "WHAT IT TAKES beside time"
    for says in told.takes:
        yield from wrapped(says, width, "  - ", "    ")
    if told.left:
        yield ""
        yield "LEFT FOR A PERSON: no change that was offered mends it without harm elsewhere"
    for says, lines in told.left:
        yield from wrapped(says, width, "  - ", "    ")
        for line in lines:
            yield from wrapped(line, width, "    ", "      ")
    yield ""
    yield from wrapped(told.foot, width)
