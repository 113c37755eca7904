"""Pulses to two directions of one drive: while one lasts, a press for the other is not obeyed."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import CHOICE, GIVEN
from farpress.case.driven import Driven, change, driven_of, seconds, subjects_of
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.judging.check import AT_MOST, Check, Estimate, Limit, no_edge

__all__ = ["OBEYED_SOON", "judge"]

OBEYED_SOON: Final = Check(
    "OUT-61",
    Link.OUTPUT,
    "A pulse to one direction of a drive, while which a press for the other direction is not obeyed.",
    unit="s",
    bound=AT_MOST,
    limit=Limit(1.0, (CHOICE,)),
    thin=no_edge("a pulse is set to a tenth of a second, and so is the least that an input needs"),
    stake=Stake.PROMISE,
    ask="Write how long the pulse lasts.",
    mends="A pulse a little longer than the input needs: the drive goes on by itself.",
)

LEAST_S: Final = 0.5
"""A pulse that such inputs take; common practice, no source."""

_AGAINST: Final = ({"up", "down"}, {"open only", "close"}, {"partial open", "close"})


def judge(case: Case) -> Iterator[Finding]:
    """OUT-61 of each pulse with another against it at the same drive, where the input wants a pulse."""
    worked = [(output, driven) for output in case.outputs() for driven in driven_of(case, output)]
    seen: set[str] = set()
    for (first, mine), (other, against) in permutations(worked, 2):
        is_against = mine.path == against.path and {mine.logic, against.logic} in _AGAINST
        if not is_against or mine.wants != "pulse" or not first.output.traits.wants_length:
            continue
        if first.path not in seen:
            seen.add(first.path)
            yield _pulse(first, mine, other, against)


def _pulse(output: OutputAt, driven: Driven, other: OutputAt, against: Driven) -> Finding:
    length = output.output.for_s
    least = (driven.input.min_pulse_s if driven.input is not None else None) or 0.0
    better = seconds(max(LEAST_S, 1.5 * least))
    lasts = "an unknown time" if length is None else seconds(length)
    return OBEYED_SOON.judge(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        value=Estimate(length, 0.0, (GIVEN,)),
        limit=Limit(max(1.0, 2.0 * least), (CHOICE,)),
        says=f"The pulse to {driven.works} lasts {lasts}; within that time a press for {against.works}"
        f" ({other.path}) closes both.",
        because="What a drive does with both closed is its own affair: it stops, goes on, or does nothing;"
        " whoever presses is not obeyed.",
        remedies=(
            Remedy(f"A pulse of {better}", "the drive goes on by itself", (change(output, "for", better),)),
        ),
        sources=driven.cite("inputs"),
    )
