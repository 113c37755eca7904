"""Zones as they are found on site: what swapped resistors, bridges and damp tell the panel."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.core.wiring.loops import least_leak_ohm
from farpress.core.wiring.zones import ZoneChain, leak_for_ohm, zone_ohm
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.zones import FoundZone, Zone
from farpress.judging.check import WITHIN, Answer, Check, Estimate, Limit, share_edge
from farpress.judging.panel.loop_bands import ohms
from farpress.judging.panel.zone_states import KnownZone, ZoneAt, states_of_zone, told, worst_state
from farpress.phrases import listed
from farpress.sources import cited

__all__ = ["AS_FOUND", "IN_THE_WET", "judge_found"]

AS_FOUND: Final = Check(
    "PAN-23",
    Link.PANEL,
    "What a zone as it is found on site tells the panel, at rest and with a contact open.",
    unit="ohm",
    bound=WITHIN,
    thin=share_edge(0.015, "resistors and cable are counted at their worst corner already"),
    stake=Stake.PROMISE,
    ask="Take the zone off the panel and measure it, at rest and with a contact open.",
    who=Who.METER,
    minutes=10.0,
    mends="The wiring put right, joints made anew, and the zone measured again.",
)

IN_THE_WET: Final = replace(
    AS_FOUND,
    code="PAN-51",
    says="What a zone tells the panel in rain, at rest and with a contact open, as measured wet.",
    ask="Measure the zone again in rain, or with its joints wetted.",
    mends="Joints and plugs made anew, sealed against water, and the zone measured again in rain.",
)

INSULATION: Final = 100.0
"""A dry cable has this many times the end-of-line resistor between its cores; common practice, no source."""

USUAL_TOLERANCE: Final = 0.05
"""Of a resistor whose tolerance nobody read; common practice, no source."""

TWIN: Final = 0.1
"""So near to a resistor of the zone, what lies across is a second one: 5 % each, and a meter; our choice."""


def judge_found(zone_at: ZoneAt, known: KnownZone | tuple[Ask, ...]) -> Iterator[Finding]:
    """PAN-23, of what is found; where only ohms are read, of what they show; PAN-51, the same in the wet."""
    found = zone_at.zone.found
    if found is None:
        return
    yield from _judged(AS_FOUND, zone_at, known, found)
    if found.leak_wet_ohm is not None:
        wet = found.model_copy(update={"leak_ohm": found.leak_wet_ohm, "read_ohm": None})
        there = replace(zone_at, zone=zone_at.zone.model_copy(update={"found": wet}))
        yield from _judged(IN_THE_WET, there, known, wet)


def _judged(
    check: Check, zone_at: ZoneAt, known: KnownZone | tuple[Ask, ...], found: FoundZone
) -> Iterator[Finding]:
    """One state in which it was found."""
    state = "in the wet" if check is IN_THE_WET else "as found"
    if not isinstance(known, KnownZone):
        yield check.judge(
            about=zone_at.about,
            subjects=zone_at.subjects,
            cause=zone_at.ref,
            value=Estimate(found.read_ohm),
            limit=Limit(None),
            says=f"{zone_at.head} is not as drawn; what the panel makes of it is not known.",
            asks=known,
            sources=zone_at.sources,
        )
        return
    drawn = known.chain
    chain = _as_found(drawn, zone_at.zone)
    low, high = known.shown(drawn, 0)
    implied = None
    if found.read_ohm is not None and chain == drawn and not low <= found.read_ohm <= high:
        rest = drawn.normal_ohm + drawn.contacts * drawn.contact_ohm
        implied = leak_for_ohm(far_ohm=rest, loop_ohm=known.loop_ohm, read_ohm=found.read_ohm)
        if implied is not None and implied > 0:
            chain = replace(drawn, leak_ohm=implied)
    states = states_of_zone(known, chain)[:2]
    worst = worst_state(known, states)
    twin = _twin_ohm(drawn, implied)
    what = _what(zone_at.zone, implied, twin)
    read_words = f"{ohms(found.read_ohm)} read, {ohms(low)} to {ohms(high)} drawn; " if found.read_ohm else ""
    if chain == drawn:
        is_right = None if found.read_ohm is None else low <= found.read_ohm <= high
        shows = {None: "what is found is not said", True: "as drawn", False: "not what is drawn"}[is_right]
        if is_right is False and _may_be_cable(known, found.read_ohm or 0.0, high):
            is_right = None
            shows = "the panel takes it for normal, and cable or resistors may make the rest"
        yield check.decide(
            about=zone_at.about,
            subjects=zone_at.subjects,
            cause=zone_at.ref,
            answer=Answer.of(is_right),
            says=f"{zone_at.head}: {read_words}{shows}.",
            because="No leak explains it: a wrong resistor, a bridge, another zone."
            if is_right is False
            else "",
            asks=known.asks,
            remedies=(Remedy("Follow the zone from the panel outwards with a meter, housing by housing"),),
            value=found.read_ohm,
            sources=zone_at.sources,
        )
        return
    value, band = (worst[1], worst[2]) if worst is not None else (None, None)
    yield check.judge(
        about=zone_at.about,
        subjects=zone_at.subjects,
        cause=zone_at.ref,
        value=Estimate(value, None, cited(zone_ohm)),
        limit=Limit(band.low_ohm if band else None, upper=band.high_ohm if band else None),
        says=f"{zone_at.head} {state}, {what}: {read_words}{told(known, states)}.",
        because=_missed(known, states),
        asks=known.asks if worst is not None else (f"Measure {zone_at.called} with a contact open.",),
        remedies=_put_right(known, zone_at.zone, implied, twin),
        sources=zone_at.sources,
    )


def _may_be_cable(known: KnownZone, read_ohm: float, most_ohm: float) -> bool:
    """Whether a reading over what is drawn may come of what is not known of cable or resistors: as long as
    the panel takes it for normal, and no more than what is usual is missing.
    """
    if known.read(read_ohm) != "normal" or read_ohm < most_ohm:
        return False
    allowed = 0.0 if known.tolerance_known else USUAL_TOLERANCE * known.chain.normal_ohm
    return not known.cable_known or read_ohm - most_ohm <= allowed


def _as_found(drawn: ZoneChain, zone: Zone) -> ZoneChain:
    """The chain with what was found."""
    found = zone.found
    if found is None:
        return drawn
    chain = drawn
    if found.swapped and drawn.alarm_ohm is not None:
        chain = replace(chain, normal_ohm=drawn.alarm_ohm, alarm_ohm=drawn.normal_ohm)
    if found.missing == "normal":
        chain = replace(chain, normal_ohm=0.0)
    if found.missing == "alarm":
        chain = replace(chain, alarm_ohm=None)
    if found.leak_ohm is not None:
        chain = replace(chain, leak_ohm=found.leak_ohm)
    return replace(chain, bridged=chain.bridged or found.bridged)


def _twin_ohm(drawn: ZoneChain, implied_ohm: float | None) -> float | None:
    """A resistor of the zone's own value that lies across it a second time, as one left in the panel's
    terminals beside that at the far end [ohm]; None where the reading shows no such thing.
    """
    if implied_ohm is None:
        return None
    fitted = (ohm for ohm in (drawn.normal_ohm, drawn.alarm_ohm) if ohm)
    return next((ohm for ohm in fitted if abs(implied_ohm / ohm - 1) <= TWIN), None)


def _what(zone: Zone, implied: float | None, twin: float | None) -> str:
    """What was found, in words."""
    found = zone.found
    if found is None:
        return ""
    words = []
    if found.swapped:
        words.append("the resistors in each other's place")
    if found.bridged:
        words.append("a wire across the contacts")
    if found.missing:
        words.append(f"the {found.missing} resistor missing")
    if found.leak_ohm is not None:
        words.append(f"{ohms(found.leak_ohm)} between the cores")
    if twin is not None:
        words.append(f"by its reading a second resistor of {ohms(twin)} across it")
    elif implied is not None:
        words.append(f"something of {ohms(implied)} between the cores")
    return listed(words)


def _missed(known: KnownZone, states: list[tuple[int, float, float, float]]) -> str:
    """What the panel makes of it, where it looks healthy and is not."""
    rest, opened = known.read(states[0][1]), known.read(states[-1][1])
    if opened == "normal":
        return "An open contact is read as one at rest: whoever comes in there is not told of."
    if rest == "normal" and opened != "alarm":
        return "At rest it looks healthy, and an open contact is not told as an alarm."
    return "" if opened == "alarm" and rest == "normal" else "The panel reads a fault, or an alarm, at rest."


def _by_hand(zone: Zone) -> str:
    """What has to be done where no leak is to be dried."""
    found = zone.found
    deeds = []
    if found is not None and found.swapped:
        deeds.append("let the two resistors change places")
    if found is not None and found.bridged:
        deeds.append("take off the wire across the contacts")
    if found is not None and found.missing:
        deeds.append(f"fit the {found.missing} resistor")
    text = listed(deeds) if deeds else "put the resistors where they are drawn"
    return text[0].upper() + text[1:]


def _put_right(
    known: KnownZone, zone: Zone, implied: float | None, twin: float | None = None
) -> tuple[Remedy, ...]:
    found, chain = zone.found, known.chain
    if twin is not None:
        return (
            Remedy(
                f"Take off the second resistor of {ohms(twin)}, at the panel's terminals or on the way, and"
                " try every contact of the zone"
            ),
            Remedy("If there is none: dry the joints, make them anew, and measure the insulation"),
        )
    if found is None or (found.leak_ohm is None and implied is None):
        return (Remedy(f"{_by_hand(zone)}, and measure again"),)
    least = [
        least_leak_ohm(far_ohm=far, threshold_ohm=band.low_ohm - known.loop_ohm)
        for opened, name in ((0, "normal"), (1, "alarm"))
        for band in known.bands
        if band.name == name
        and band.low_ohm - known.loop_ohm > 0
        and (far := zone_ohm(chain=chain, worked=opened, loop_ohm=0.0)) > band.low_ohm - known.loop_ohm
    ]
    needed = f"at least {ohms(max(least))} between the cores" if least else ""
    return (
        Remedy("Dry the joint and make it anew", needed),
        Remedy(f"Measure the insulation: a sound cable has {ohms(INSULATION * chain.normal_ohm)} and more"),
        Remedy("Take off a resistor that was left across it, at the panel's terminals or on the way"),
    )
