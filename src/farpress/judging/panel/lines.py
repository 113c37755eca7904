"""Judges the lines between panel and receivers: legs of tamper circuits; status lines and loops beside it."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median
from typing import Final

from farpress.case.case import Case
from farpress.core.wiring.loops import BAD_JOINT_OHM
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import CableRef, PanelRef, ReceiverRef, Ref
from farpress.judging.check import AT_MOST, Check, Estimate, Limit, no_edge
from farpress.judging.panel.loops import judge_loops
from farpress.judging.panel.status_lines import judge_status_line
from farpress.judging.panel.status_pulse import judge_status_pulse
from farpress.sources import Citation, Mark

__all__ = ["CHANGE_OF_LEG", "LEG_OF_LOOP", "judge_lines"]

LEG_OF_LOOP: Final = Check(
    "PAN-05",
    Link.PANEL,
    "Legs of a tamper loop: a leg that stands out, or has changed, has a bad joint.",
    unit="ohm",
    bound=AT_MOST,
    limit=Limit(
        BAD_JOINT_OHM,
        (
            Citation(
                f"more than {BAD_JOINT_OHM:g} ohm over the other legs, or of change, is a bad joint",
                mark=Mark.PRACTICE,
            ),
        ),
    ),
    stake=Stake.PROMISE,
    ask="Measure the other legs of the loop.",
    who=Who.METER,
    minutes=10.0,
    mends="The joints of the leg made again, or a pair of its own for it.",
)

SMALL_CHANGE_OHM: Final = 0.5
"""What a good leg may change between two readings; our choice, the meter's and the leads' share."""

CHANGE_OF_LEG: Final = Check(
    "PAN-14",
    Link.PANEL,
    "Change of a leg of a tamper loop between two readings, against the meter's and the leads' share.",
    unit="ohm",
    bound=AT_MOST,
    limit=Limit(
        SMALL_CHANGE_OHM, (Citation("meter and leads make 0.5 ohm between two readings", mark=Mark.CHOICE),)
    ),
    thin=no_edge("the share of meter and leads is the doubt itself"),
    stake=Stake.WEAR,
    advice=True,
    mends="The joints of the leg looked at before they fail.",
)


def judge_lines(case: Case) -> Iterator[Finding]:
    """Loops, status lines and tamper circuits, in the order of the job."""
    yield from judge_loops(case)
    for premises, house in case.job.premises.items():
        for receiver, box in house.receivers.items():
            for number, entry in box.inputs.items():
                yield from judge_status_line(case, ReceiverRef(f"{premises}/{receiver}"), number, entry)
                yield from judge_status_pulse(case, ReceiverRef(f"{premises}/{receiver}"), number, entry)
        for name, loop in house.tamper_loops.items():
            panel = PanelRef(f"{premises}/{loop.panel.split('.')[0]}")
            for leg in loop.legs:
                housing = (ReceiverRef(f"{premises}/{leg}"),) if leg in house.receivers else ()
                cable = CableRef(f"{premises}/{name}/{leg}")
                yield from _leg(
                    f"{premises}/{name}: {leg}",
                    leg,
                    dict(loop.legs),
                    loop.later.get(leg),
                    (panel, *housing, cable),
                    cable,
                )


def _leg(
    about: str,
    leg: str,
    legs: dict[str, float],
    later: float | None,
    subjects: tuple[Ref, ...],
    cable: CableRef,
) -> Iterator[Finding]:
    """PAN-05 by the other legs and by its own change; PAN-14 where it was read twice."""
    first = legs[leg]
    now = later if later is not None else first
    others = [ohm for name, ohm in legs.items() if name != leg]
    usual = median(others) if others else None
    change = None if later is None else abs(later - first)
    known = [value for value in (None if usual is None else now - usual, change) if value is not None]
    moved = (
        f"Leg {leg} went from {first:g} to {now:g} ohm"
        if later is not None
        else f"Leg {leg} reads {first:g} ohm"
    )
    says = f"{moved}." if usual is None else f"{moved}; the others read about {usual:g} ohm."
    because = (
        "A leg of a few metres reads about 1 ohm and stays there; a loose joint reads more and moves when"
        " tapped."
    )
    remedies = (
        Remedy(f"Tap along leg {leg} with a meter on it, redo its joints, and measure again."),
        Remedy("Give this leg a pair of its own to the panel, so that its alarms can be told apart."),
    )
    yield LEG_OF_LOOP.judge(
        about=about,
        subjects=subjects,
        cause=cable,
        value=Estimate(max(0.0, *known) if known else None),
        says=says,
        because=because,
        asks=()
        if known
        else (Ask(f"Measure the other legs of this loop, or leg {leg} again.", Who.METER, 10.0),),
        remedies=remedies,
    )
    if change is not None:
        yield CHANGE_OF_LEG.judge(
            about=about,
            subjects=subjects,
            cause=cable,
            value=Estimate(change),
            says=f"{moved}; meter and leads make up to {SMALL_CHANGE_OHM:g} ohm.",
            because=because,
            remedies=remedies,
        )
