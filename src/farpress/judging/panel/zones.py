"""Zones: every number of contacts open against the panel's bands, and how far the cable is watched."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.core.wiring.zones import zone_ohm
from farpress.domain.cables import CableRun
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Stake, Who
from farpress.judging.check import WITHIN, Answer, Check, Estimate, Limit, share_edge
from farpress.judging.panel.loop_bands import ohms
from farpress.judging.panel.taken_away import judge_away
from farpress.judging.panel.zone_found import judge_found
from farpress.judging.panel.zone_returns import judge_return
from farpress.judging.panel.zone_states import (
    KnownZone,
    ZoneAt,
    known_zone,
    states_of_zone,
    told,
    worst_state,
)
from farpress.sources import cited
from farpress.units import write_share

__all__ = ["AS_DRAWN", "RESISTOR_AT_END", "judge"]

AS_DRAWN: Final = Check(
    "PAN-21",
    Link.PANEL,
    "Ohms of a zone with every number of its contacts open, against the panel's bands.",
    unit="ohm",
    bound=WITHIN,
    thin=share_edge(0.015, "resistors and cable are counted at their worst corner already"),
    stake=Stake.PROMISE,
    ask="Find resistors, contacts and cable of the zone, and the bands of the panel.",
    who=Who.ALARM_COMPANY,
    minutes=10.0,
    mends="One resistor across the whole chain of contacts, so that one or many open ones read the same.",
)
RESISTOR_AT_END: Final = Check(
    "PAN-22",
    Link.PANEL,
    "Where the resistor at the end of the line sits: only up to there is the cable watched.",
    stake=Stake.PROMISE,
    ask="Open panel and contact housing and look for the resistor.",
    who=Who.ALARM_COMPANY,
    minutes=10.0,
    mends="The resistor moved into the housing of the last contact.",
)


def judge(case: Case) -> Iterator[Finding]:
    """PAN-21 to PAN-24 of each zone that the job describes."""
    for premises, house in case.job.premises.items():
        for panel, entry in house.panels.items():
            part = case.equipment.panels[f"{premises}/{panel}"]
            for name, zone in entry.zones.items():
                given = (part.sheet.inputs or {}).get(name)
                loop = zone.loop or (given.loop if given is not None else None) or part.sheet.zone_loop
                zone_at = ZoneAt(f"{premises}/{panel}", name, zone, loop, (*part.cite("zone_loop"), GIVEN))
                known = known_zone(case, zone_at)
                yield _drawn(zone_at, known)
                yield _resistor(zone_at, known)
                yield from judge_return(case, zone_at, known)
                yield from judge_away(zone_at, entry)
                if zone.found is not None:
                    yield from judge_found(zone_at, known)


def _drawn(zone_at: ZoneAt, known: KnownZone | tuple[Ask, ...]) -> Finding:
    """PAN-21."""
    if not isinstance(known, KnownZone):
        return AS_DRAWN.judge(
            about=zone_at.about,
            subjects=zone_at.subjects,
            cause=zone_at.ref,
            value=Estimate(None),
            limit=Limit(None),
            says=f"What the panel reads of {zone_at.called} is not known.",
            asks=known,
            sources=zone_at.sources,
        )
    chain = known.chain
    states = states_of_zone(known, chain)
    worst = worst_state(known, states)
    remedies = [Remedy("Use resistors of 1 %, or a cable with less resistance.")]
    if chain.makes and chain.contacts > 1:
        remedies.insert(
            0,
            Remedy(
                "An input for each contact, or contacts that break in series",
                "one or many worked read the same",
            ),
        )
    if chain.parallel and chain.contacts > 1:
        remedies.insert(
            0, Remedy("The contacts in series, so that each of them opens the line", "none unseen")
        )
    elif chain.each and not chain.makes and chain.contacts > 1 and chain.alarm_ohm is not None:
        single = zone_ohm(chain=replace(chain, each=False), worked=1, loop_ohm=known.loop_ohm)
        remedies.insert(
            0,
            Remedy(
                "One resistor across the whole chain of contacts",
                f"always {ohms(single)}, however many open",
                (Change((*_entry(zone_at), "each_resistor"), False),),
            ),
        )
    says = f"{zone_at.head} with {chain.contacts} contact{'' if chain.contacts == 1 else 's'}:"
    if worst is None:
        opened = states[-1][1]
        return AS_DRAWN.decide(
            about=zone_at.about,
            subjects=zone_at.subjects,
            cause=zone_at.ref,
            answer=Answer.of(known.read(states[0][1]) == "normal" and known.read(opened) == "alarm"),
            says=f"{says} {told(known, states)}.",
            because="No resistor lies across the contacts, so that an open contact and a cut line are one.",
            asks=known.asks,
            remedies=remedies,
            sources=(*zone_at.sources, *cited(zone_ohm)),
        )
    return AS_DRAWN.judge(
        about=zone_at.about,
        subjects=zone_at.subjects,
        cause=zone_at.ref,
        value=Estimate(worst[1], None, cited(zone_ohm)),
        limit=Limit(worst[2].low_ohm, upper=worst[2].high_ohm),
        says=f"{says} {told(known, states)}.",
        because=f"{_cable_words(known)}, {_tolerance_words(known)}.",
        asks=known.asks,
        remedies=remedies,
        sources=zone_at.sources,
    )


def _cable_words(known: KnownZone) -> str:
    if not known.cable_known:
        return "Its cable is not known and counts for nothing"
    return f"Cable {known.loop_ohm:.2f} ohm there and back"


def _tolerance_words(known: KnownZone) -> str:
    if not known.tolerance_known:
        return "its resistors taken as they are marked, as their tolerance is not known"
    return f"resistors {write_share(known.tolerance_share)}"


def _unwatched(behind: float | None, cable: CableRun | None) -> str:
    """How much of a cable lies behind a resistor that sits on the way."""
    if behind is None:
        return "how much of the cable lies behind it, unwatched, is not said"
    if behind == 0:
        return "no cable lies behind it"
    of = f" of {cable.length_m:g} m" if cable is not None and cable.length_m > behind else ""
    return f"{behind:g} m{of} of cable behind it are not watched"


def _resistor(zone_at: ZoneAt, known: KnownZone | tuple[Ask, ...]) -> Finding:
    """PAN-22."""
    place, loop = zone_at.zone.resistor, zone_at.loop
    plain = loop is not None and loop.scheme in ("closed", "open")
    behind, cable = zone_at.zone.unwatched_m, zone_at.zone.cable
    answer = Answer.of(None if place is None else place == "far end")
    if place == "between":
        answer = Answer.of(None if behind is None else behind == 0)
    seen = ""
    if isinstance(known, KnownZone):
        rest = zone_ohm(chain=known.chain, worked=0, loop_ohm=0.0)
        seen = f": a wire across the cable still shows {ohms(rest)} ({known.read(rest)})"
    says = {
        "far end": f"The resistor of {zone_at.called} sits at its far end; the whole cable is watched.",
        "panel": f"The resistor of {zone_at.called} sits in the panel; nothing of the cable is"
        f" watched{seen}.",
        "between": f"The resistor of {zone_at.called} sits on the way; {_unwatched(behind, cable)}.",
        None: f"Where the resistor of {zone_at.called} sits is not recorded.",
    }[place]
    asks: tuple[Ask, ...] = ()
    if plain:
        answer = Answer.BARELY
        says = f"{zone_at.head} has no resistor: a cut or a short of its cable goes unseen one way."
    elif answer is Answer.UNKNOWN:
        asks = (
            Ask(
                f"Look where the resistor of {zone_at.called} sits, and how much cable lies behind it"
                " ('unwatched').",
                Who.ALARM_COMPANY,
                10.0,
            ),
        )
    return RESISTOR_AT_END.decide(
        about=zone_at.about,
        subjects=zone_at.subjects,
        cause=zone_at.ref,
        answer=answer,
        says=says,
        because="Whoever bridges the cable before the resistor opens the door unseen." if not plain else "",
        asks=asks,
        remedies=(
            Remedy(
                "Move the resistor into the housing of the last contact, and measure again",
                "",
                _moved(zone_at) if not plain else (),
            ),
        ),
        sources=(PRACTICE, *zone_at.sources),
    )


def _moved(zone_at: ZoneAt) -> tuple[Change, ...]:
    """The resistor at the far end, and no cable behind it any more."""
    moved = Change((*_entry(zone_at), "resistor"), "far end")
    if zone_at.zone.unwatched_m is None:
        return (moved,)
    return moved, Change((*_entry(zone_at), "unwatched"), None)


def _entry(zone_at: ZoneAt) -> tuple[str, ...]:
    """Where the zone stands in the job file."""
    premises, _, panel = zone_at.path.partition("/")
    return ("premises", premises, "panels", panel, "zones", zone_at.name)
