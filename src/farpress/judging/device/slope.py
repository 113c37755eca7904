"""Leaves that roll: what ground that is not level does to them, driven and let go by hand."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import EN_12453, GIVEN, PRACTICE
from farpress.case.worked import Worked, worked_devices
from farpress.core.rehearsal.around import climbing_force_n, rolled_off
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Verdict, Who
from farpress.domain.place_sheets import Slope
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit, share_edge
from farpress.sources import Citation, Mark, cited

__all__ = ["LET_GO", "PUSHED_UP", "judge_slope"]

FRICTION: Final = 0.02
"""Rolling friction of a leaf over its weight, on a clean rail."""
_FRICTION: Final = Citation("rolling friction of a leaf, 0.02 of its weight", mark=Mark.PRACTICE)

LET_GO: Final = Check(
    "DEV-72",
    Link.DEVICE,
    "A leaf that rolls stays where it is when a hand lets its drive go.",
    stake=Stake.HARM,
    ask="Let the drive go with the leaf half open, somebody holding it, and see whether it pulls.",
    who=Who.INSTALLER,
    minutes=10.0,
    mends="A brake or counterweight that holds it, stops at both ends, and a wedge before it is let go.",
)
PUSHED_UP: Final = Check(
    "DEV-73",
    Link.DEVICE,
    "Force that pushes a leaf up its slope, against the rated thrust of its drive.",
    unit="N",
    bound=AT_MOST,
    thin=share_edge(0.33, "wind, frost and dirt want half as much again; common practice, no source"),
    stake=Stake.PROMISE,
    ask="Measure the slope and find mass of the leaf and thrust of the drive.",
    who=Who.LABEL,
    minutes=10.0,
    mends="A stronger drive, a counterweight, or a leaf that runs level.",
)


def judge_slope(case: Case) -> Iterator[Finding]:
    """DEV-72 of each leaf that rolls, DEV-73 of each that climbs."""
    for worked in worked_devices(case):
        slope = worked.driven.sheet.slope
        if worked.driven.traits.rolls or slope is not None:
            yield _let_go(worked, slope or Slope())
        if slope is not None and slope.climbs_m != 0.0:
            yield _pushed(worked, slope)


def _is_absurd(climbs_m: float | None, leaf_m: float | None) -> bool:
    """Whether it would climb more than it goes."""
    return climbs_m is not None and leaf_m is not None and climbs_m > leaf_m


def _let_go(worked: Worked, slope: Slope) -> Finding:
    """DEV-72."""
    name, leaf = worked.name, worked.driven.sheet.leaf_m
    climbs, held = slope.climbs_m, slope.held_by
    asks: tuple[Ask, ...] = ()
    speed: float | None = None
    is_absurd = _is_absurd(climbs, leaf)
    if climbs is not None and leaf and not is_absurd:
        speed, time_s = rolled_off(climbs_m=climbs, leaf_m=leaf, friction=FRICTION)
    if is_absurd:
        answer = Answer.UNKNOWN
        says = f"{name} cannot climb {climbs:g} m on a way of {leaf:g} m."
        asks = (Ask(f"Measure the way of {name}, and what it climbs on it.", Who.METER, 5.0),)
    elif climbs == 0.0 or speed == 0.0:
        answer, says = Answer.YES, f"{name} runs so level that it stays where a hand lets it go."
    elif climbs is None:
        answer = Answer.UNKNOWN
        says = f"Whether {name} runs level, and stays where a hand lets its drive go, is not said."
        asks = (
            Ask(
                f"See with a level whether {name} runs level, and write what it climbs on its way as"
                " 'slope: climbs', where it is level too.",
                Who.INSTALLER,
                5.0,
            ),
        )
    elif held in ("brake", "counterweight"):
        answer, says = Answer.YES, f"{name} climbs {climbs:g} m on its way, and a {held} holds it."
    else:
        runs = f"{name} climbs {climbs:g} m on its way: let go by hand it runs off"
        if speed is not None and leaf:
            runs += f" and comes to its end at {speed:.2f} m/s after {time_s:.1f} s"
            if slope.leaf_kg is not None:
                runs += f", {0.5 * slope.leaf_kg * speed * speed:.0f} J"
        answer, says = Answer.NO, f"{runs}."
        if held is None:
            says += " What would hold it is not said."
    return LET_GO.decide(
        about=worked.path,
        subjects=worked.refs,
        answer=answer,
        says=says,
        because=""
        if answer is Answer.YES
        else "It strikes or rolls over whoever let it go, or its end stop.",
        bars=answer is Answer.NO,
        halts=answer is Answer.NO,
        asks=asks,
        remedies=(
            Remedy(
                f"A brake or a self-locking drive that holds {name} when it is let go, and rated end stops"
            ),
            Remedy("A chain or wedge set before it is let go; written beside the lever and on the card"),
        ),
        sources=(*worked.driven.cite("slope", "leaf_m"), _FRICTION, *cited(rolled_off), EN_12453, PRACTICE),
    )


def _pushed(worked: Worked, slope: Slope) -> Finding:
    """DEV-73."""
    name, leaf = worked.name, worked.driven.sheet.leaf_m
    force: float | None = None
    climbs = None if _is_absurd(slope.climbs_m, leaf) else slope.climbs_m
    if climbs is not None and slope.leaf_kg is not None and leaf:
        force = climbing_force_n(leaf_kg=slope.leaf_kg, climbs_m=climbs, leaf_m=leaf, friction=FRICTION)
    named = (
        (climbs, f"Measure what {name} climbs on its way.", Who.METER),
        (leaf, f"Measure the way of {name}.", Who.METER),
        (slope.leaf_kg, f"Find the mass of the leaf of {name}.", Who.LABEL),
        (slope.thrust_n, f"Find the rated thrust of the drive of {name}.", Who.LABEL),
    )
    says = f"The force that pushes {name} up its slope is not known."
    if force is not None:
        says = f"{force:.0f} N push {name} up its slope of {slope.climbs_m:g} m on {leaf:g} m"
        says += f"; its drive gives {slope.thrust_n:g} N." if slope.thrust_n is not None else "."
    words = {
        Verdict.FAILS: "It stops on the way, or no limit of force can be set that still moves it.",
        Verdict.THIN: "Wind, frost or dirt stops it on the way.",
    }
    return PUSHED_UP.judge(
        about=worked.path,
        subjects=worked.refs,
        value=Estimate(force, None, cited(climbing_force_n)),
        limit=Limit(slope.thrust_n, worked.driven.cite("slope")),
        says=says,
        because=lambda verdict: words.get(verdict, ""),
        asks=[Ask(ask, who, 5.0) for value, ask, who in named if value is None],
        remedies=(
            Remedy("A drive with half as much thrust again as the slope takes"),
            Remedy("A counterweight, or a leaf that runs level"),
        ),
        sources=(_FRICTION, GIVEN),
    )
