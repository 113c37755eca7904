"""Presses held while others send by themselves: a hold that breaks off, a toggle that turns back."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import PRACTICE
from farpress.case.driven import driven_of, subjects_of
from farpress.core.reach.contention import breaks_in_press
from farpress.domain.finding import Ask, Finding, Link, Remedy, Who
from farpress.domain.refs import GroupRef, PlanRef
from farpress.judging.check import AT_MOST, Check, Estimate, Limit
from farpress.judging.fob.cells import SHORT_PRESS_S
from farpress.reach.channel import hit_share
from farpress.sources import Citation, Mark, cited

__all__ = ["UNBROKEN", "judge"]

BREAKS_ALLOWED: Final = 0.05
"""Breaks of one press that may come on average, one press in twenty; our choice."""

_CHOICE: Final = Citation("one press in twenty may break", mark=Mark.CHOICE)

UNBROKEN: Final = Check(
    "AIR-11",
    Link.AIR,
    "How often a press that is held breaks off, as telegrams of others meet its own.",
    unit="breaks",
    bound=AT_MOST,
    limit=Limit(BREAKS_ALLOWED, (_CHOICE,)),
    ask="Count what sends on the fobs' channel by itself: how long a telegram is, and how often it comes.",
    who=Who.METER,
    minutes=15.0,
    mends="A pulse instead of a hold or toggle, a longer drop-out, or the others on another channel.",
)

HELD_S: Final = 30.0
"""A hold of which nobody knows how long it takes; common practice, where fobs stop by themselves."""


def judge(case: Case) -> Iterator[Finding]:
    """AIR-11 of each output that is held or toggles, for each group that presses it, where others send."""
    sources = [source for house in case.job.premises.values() for source in house.interference.values()]
    if not any(source.sends for source in sources):
        return
    for output in case.outputs():
        traits = output.output.traits
        if not (traits.while_held or traits.turns_round):
            continue
        groups = {name: None for function in output.functions for name, _ in case.groups_with(function)}
        for name in groups:
            if hit_share(case, output.premises, output.receiver, 0.1) != 0.0:
                yield _judged(case, output, name)


def _judged(case: Case, output: OutputAt, name: str) -> Finding:
    fob, box = case.equipment.fobs.get(name), case.equipment.receivers[output.receiver_path]
    telegram = fob.sheet.telegram_s if fob is not None else None
    repeat = fob.sheet.repeat_s if fob is not None else None
    dropout = box.sheet.dropout_s
    lost = hit_share(case, output.premises, output.receiver, telegram)
    is_held = output.output.traits.while_held
    press = _held_s(case, output, None if fob is None else fob.sheet.cut_off_s) if is_held else SHORT_PRESS_S
    asks = []
    if telegram is None or repeat is None:
        asks.append(Ask(f"Find length and repeat of the telegrams of the fob of {name}.", Who.LABEL, 3.0))
    if dropout is None:
        asks.append(Ask(f"Find the drop-out time of {output.receiver}, in its data sheet.", Who.LABEL, 3.0))
    if lost is None and telegram is not None:
        asks.append(Ask(UNBROKEN.ask, Who.METER, 15.0))
    breaks: float | None = None
    if lost is not None and repeat and dropout is not None:
        breaks = breaks_in_press(press_s=press, repeat_s=repeat, dropout_s=dropout, lost_share=lost)
    what = "breaks off" if is_held else "counts once more, and turns back what it did,"
    says = (
        f"How often a press of {name} at {output.path} {what} is not known."
        if breaks is None or lost is None
        else (
            f"A press of {press:g} s by {name} at {output.path} {what} {breaks:.2g} times on average: others"
            f" meet {lost:.0%} of its telegrams."
        )
    )
    works = tuple(driven_of(case, output))
    return UNBROKEN.judge(
        about=f"{name} at {output.path}",
        subjects=(*subjects_of(output, *works), GroupRef(name)),
        cause=PlanRef(f"{output.premises}/{_sender(case, output)}"),
        says=says,
        because=(
            ""
            if dropout is None
            else f"{output.receiver} takes a press for ended {dropout:g} s after the last telegram heard."
        ),
        value=Estimate(breaks, None, cited(breaks_in_press)),
        asks=asks,
        remedies=(
            Remedy("A pulse that one telegram starts, instead of a hold or a toggle"),
            Remedy("What sends by itself on another channel, or less often"),
        ),
        sources=(*box.cite("dropout_s"), PRACTICE),
    )


def _sender(case: Case, output: OutputAt) -> str:
    """What sends by itself near the receiver of an output, the first of several."""
    return next(
        name
        for name, source in case.job.premises[output.premises].interference.items()
        if source.sends and (not source.at or output.receiver in source.at)
    )


def _held_s(case: Case, output: OutputAt, cut_off_s: float | None) -> float:
    """How long a button is held: for the travel, no longer than the fob sends [s]."""
    travels = [
        driven.sheet.travel_worst_s or driven.sheet.travel_s
        for driven in driven_of(case, output)
        if driven.device is not None
    ]
    known = [travel for travel in travels if travel is not None]
    return min(max(known, default=HELD_S), cut_off_s or HELD_S)
