"""Judges supervised loops: the ohms of each state against the panel's bands, the way the contact works them,
what drives them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.behaviour import is_collector
from farpress.case.cabling import core_of
from farpress.case.case import Case, OutputAt
from farpress.case.circuit.states import AS_READ
from farpress.case.driven import change
from farpress.core.wiring.conductors import loop_resistance_ohm
from farpress.core.wiring.loop_tolerance import outside_share
from farpress.core.wiring.loops import (
    Band,
    LoopState,
    divider_thresholds_ohm,
    limits_of,
    overlaps,
    terminal_band,
    terminal_states,
)
from farpress.core.wiring.open_collector import equivalent
from farpress.core.wiring.wrong_wiring import state_at, wrong_wirings
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.parts import Loop, PanelInput
from farpress.domain.refs import OutputRef, PanelRef, Ref
from farpress.errors import InputError
from farpress.judging.check import WITHIN, Answer, Check, Estimate, Limit, share_edge
from farpress.judging.panel.loop_bands import (
    accepted_bands,
    bands_of,
    insulation_says,
    limits_near,
    odds_say,
    ohms,
    slack_ohm,
)
from farpress.judging.panel.loop_readings import readings_while_on
from farpress.sources import Citation, Mark, cited
from farpress.units import write_share

__all__ = [
    "CONTACT_ON_LOOP",
    "OHMS_OF_STATE",
    "RESTS_NORMAL",
    "WIDEST_SHARE",
    "accepted_bands",
    "judge_loops",
]

OHMS_OF_STATE: Final = Check(
    "PAN-03",
    Link.PANEL,
    "Resistance of each state of a supervised loop, with tolerance and cable, against the panel's bands.",
    unit="ohm",
    bound=WITHIN,
    thin=share_edge(0.015, "resistors and cable are counted at their worst corner already"),
    stake=Stake.PROMISE,
    ask="Find the resistors of the loop, and the bands in which the panel accepts each state.",
    who=Who.ALARM_COMPANY,
    minutes=10.0,
    mends="Resistors of 1 %, at the receiver's terminals, or a cable with less resistance.",
)

RESTS_NORMAL: Final = Check(
    "PAN-08",
    Link.PANEL,
    "What the panel reads while the receiver is at rest, against the state that is normal.",
    stake=Stake.PROMISE,
    ask="Find the resistors of the loop and the bands of the panel.",
    who=Who.ALARM_COMPANY,
    minutes=10.0,
    mends="The other contact of the output, or a panel that is told how the zone rests.",
)

CONTACT_ON_LOOP: Final = Check(
    "PAN-09",
    Link.PANEL,
    "A transistor output on a supervised loop: what the panel takes it for.",
    unit="ohm",
    stake=Stake.PROMISE,
    mends="A relay or an opto-relay between.",
)

WIDEST_SHARE: Final = 0.5
"""Tolerance beyond which a figure is taken for a slip; our choice."""

PLAIN: Final = ("closed", "open")
"""Schemes without a resistor."""

_REST: Final = Citation("a loop reads normal while nothing is pressed", mark=Mark.PRACTICE)


@dataclass(frozen=True)
class _Zone:
    """An output on a panel input with a loop."""

    output: OutputAt
    works: str
    panel: PanelRef
    loop: Loop
    sources: tuple[Citation, ...]

    @property
    def about(self) -> str:
        return f"{self.output.path} to {self.works}"

    @property
    def subjects(self) -> tuple[Ref, ...]:
        return (OutputRef(self.output.path), self.panel)


def judge_loops(case: Case) -> Iterator[Finding]:
    """Every output on an input of a panel: its loop, its rest, and what drives it."""
    for output in case.outputs():
        for works in output.works:
            name, _, input_name = works.partition(".")
            panel = case.equipment.panels.get(f"{output.premises}/{name}")
            entry = (panel.sheet.inputs or {}).get(input_name) if panel else None
            if panel is None or entry is None:
                continue
            ref = PanelRef(f"{output.premises}/{name}")
            if entry.loop is None:
                yield _not_described(output, works, ref, entry)
                continue
            zone = _Zone(output, works, ref, entry.loop, panel.cite("inputs"))
            yield _ohms_of_states(case, zone)
            yield _rest(case, zone)
            yield from _collector(case, zone)


def _not_described(output: OutputAt, works: str, panel: PanelRef, entry: PanelInput) -> Finding:
    """PAN-03 of an input whose loop nobody describes."""
    ask = Ask(
        f"Say which loop {works} is: its scheme, plain closed or open included, and its resistors.",
        Who.ALARM_COMPANY,
        5.0,
    )
    return OHMS_OF_STATE.judge(
        about=f"{output.path} to {works}",
        subjects=(OutputRef(output.path), panel),
        value=Estimate(None),
        limit=Limit(None),
        says=f"The loop of {works} ({entry.reads or 'reading not known'}) is not described.",
        asks=(ask,),
    )


def _rest(case: Case, zone: _Zone) -> Finding:
    """PAN-08."""
    loop, works, output = zone.loop, zone.works, zone.output
    breaks = output.output.contact == "normally closed"
    sources = (*zone.sources, *cited(wrong_wirings), _REST)
    bands = accepted_bands(loop)
    try:
        terminal_states(
            scheme=loop.scheme, normal_ohm=loop.normal_ohm, alarm_ohm=loop.alarm_ohm, mask_ohm=loop.mask_ohm
        )
        if bands is None:
            raise InputError("bands")
        right = wrong_wirings(
            scheme=loop.scheme,
            bands=bands,
            normal_ohm=loop.normal_ohm or 0.0,
            alarm_ohm=loop.alarm_ohm or 0.0,
            break_contact=breaks,
        )[0]
    except InputError:
        return RESTS_NORMAL.decide(
            about=zone.about,
            subjects=zone.subjects,
            answer=Answer.UNKNOWN,
            says=f"What {works} reads while nothing is pressed is not known.",
            sources=sources,
        )
    rest, worked = right.rest_state, right.worked_state
    if _is_transistor(case, output):
        rest, worked = _transistor_states(case, zone, bands, worked)
    shown = f"At rest the panel reads {works} as {rest}, while the output is on as {worked}"
    other = "make" if breaks else "break"
    swap = Remedy(
        f"Use the {other} contact.",
        changes=(change(output, "contact", "normally open" if breaks else "normally closed"),),
    )
    asks: tuple[Ask, ...] = ()
    because = ""
    if rest == worked:
        answer, says = Answer.NO, f"{shown}: a press changes nothing."
        because = "The contact does not change what the panel sees."
    elif rest == "normal":
        answer, says = Answer.YES, f"{shown}."
    else:
        answer, says = Answer.UNKNOWN, f"{shown}; right only if the panel is told so."
        because = "The resistors lie as the scheme has them; it is the contact that is the other way round."
        asks = (
            Ask(
                f"Use the {other} contact of output {output.path}, or find out whether the panel can be told"
                f" that {works} rests the other way round, and write that down.",
                Who.ALARM_COMPANY,
                10.0,
            ),
        )
    return RESTS_NORMAL.decide(
        about=zone.about,
        subjects=zone.subjects,
        answer=answer,
        says=says,
        because=because,
        asks=asks,
        remedies=(swap,),
        offers=(swap,),
        sources=sources,
    )


def _transistor_states(case: Case, zone: _Zone, bands: tuple[Band, ...], worked: str) -> tuple[str, str]:
    """What the panel reads of a transistor that is off, and of one that is on, in its worst moment."""
    states = [state_at(ohm, bands) for ohm in readings_while_on(case, zone.output, zone.works, zone.loop)]
    off = state_at(math.inf, bands)
    missed = next((state for state in states if state in ("normal", off)), None)
    return off, missed or (states[0] if states else worked)


def _is_transistor(case: Case, output: OutputAt) -> bool:
    """Whether it is the receiver's transistor that lies on the loop."""
    return is_collector(case, output) and not output.output.via


def _collector(case: Case, zone: _Zone) -> Iterator[Finding]:
    """PAN-09: a transistor pulls down to its receiver's 0 V and leaves volts of its own.

    A loop takes both for a resistance, and for another one each time something else returns there.
    """
    output, loop = zone.output, zone.loop
    if not _is_transistor(case, output):
        return
    part = case.equipment.receivers[output.receiver_path]
    seen = readings_while_on(case, output, zone.works, loop) if part.sheet.saturation_v is not None else ()
    bands = accepted_bands(loop)
    looks = ""
    asks: tuple[Ask, ...] = ()
    if part.sheet.saturation_v is None and loop.scheme not in PLAIN:
        asks = (
            Ask(f"Find the volts left across output {output.number} of {output.receiver} when it is on."),
        )
    if seen:
        alone, *others = dict.fromkeys(_told(ohm, bands) for ohm in (seen[0], min(seen), max(seen)))
        looks = f" To the panel it looks like {alone}."
        if others:
            looks += f" With what else returns over the receiver's 0 V it is {' or '.join(others)}."
        looks += _by_itself(case, zone, part.sheet.saturation_v or 0.0, bands)
    states = {state_at(ohm, bands) for ohm in seen} if bands else set[str]()
    plain = Answer.NO if "normal" in states or len(states) > 1 else Answer.BARELY
    yield CONTACT_ON_LOOP.decide(
        about=zone.about,
        subjects=zone.subjects,
        answer=plain if loop.scheme in PLAIN else Answer.NO,
        value=seen[0] if seen else None,
        says=(
            f"Output {output.number} of {output.receiver} is an open collector on the loop"
            f" {zone.works}.{looks}"
        ),
        because=(
            "A transistor output leaves a voltage of its own and needs the panel's 0 V; a loop with resistors"
            " wants a contact."
        ),
        asks=asks,
        remedies=(
            Remedy(
                "Put a relay or an opto-relay between: its contact is free of potential; resistors at the far"
                " end."
            ),
        ),
        sources=(*part.cite("output_form", "saturation_v"), *cited(equivalent)),
    )


def _by_itself(case: Case, zone: _Zone, saturation_v: float, bands: tuple[Band, ...] | None) -> str:
    """What it would look like with no volts between the two 0 V, and what a meter finds."""
    loop = zone.loop
    if not loop.supply_v or not loop.pull_up_ohm or saturation_v >= loop.supply_v:
        return ""
    own = equivalent(supply_v=loop.supply_v, pull_up_ohm=loop.pull_up_ohm, saturation_v=saturation_v).ohm
    says = f" With no volts between the two 0 V it is {_told(own, bands)}."
    read = readings_while_on(case, zone.output, zone.works, loop, AS_READ)
    if not read:
        return says
    volts = loop.supply_v
    if not math.isinf(max(read)):
        volts *= max(read) / (max(read) + loop.pull_up_ohm)
    return f"{says} A meter finds {volts:.2f} V there, {_told(max(read), bands)}."


def _told(ohm: float, bands: tuple[Band, ...] | None) -> str:
    read = f", which it reads as {state_at(ohm, bands)}" if bands else ""
    return f"{'an open line' if math.isinf(ohm) else ohms(ohm)}{read}"


def _ohms_of_states(case: Case, zone: _Zone) -> Finding:
    """PAN-03."""
    loop, works, run = zone.loop, zone.works, zone.output.output.cable
    if loop.scheme in PLAIN:
        broken = "short" if loop.scheme == "closed" else "cut"
        return OHMS_OF_STATE.decide(
            about=zone.about,
            subjects=zone.subjects,
            answer=Answer.YES,
            says=f"{works} is a plain {loop.scheme} loop: a {broken} in the cable goes unseen.",
            because="No resistor, so nothing to measure.",
            sources=zone.sources,
        )
    core = core_of(case.equipment.cables[run.part]) if run and run.part in case.equipment.cables else None
    asks, states = _asks(zone, core is not None)
    if asks or run is None or core is None or loop.tolerance_share is None:
        return OHMS_OF_STATE.decide(
            about=zone.about,
            subjects=zone.subjects,
            answer=Answer.UNKNOWN,
            says=f"Whether the panel tells the states of the loop at {works} apart is not known.",
            asks=asks,
            sources=zone.sources,
        )
    cable_ohm = loop_resistance_ohm(length_m=run.length_m, core_ohm_per_km=core.hot_ohm_per_km)
    return _held(zone, states, cable_ohm, loop.tolerance_share)


def _asks(zone: _Zone, is_cable_known: bool) -> tuple[list[Ask], tuple[LoopState, ...]]:
    """What is open about a loop with resistors, and its states as far as they are known."""
    loop, works = zone.loop, zone.works
    wanted: list[tuple[str, Who]] = []
    if loop.tolerance_share is None:
        wanted.append((f"Find the tolerance of the resistors of {works}.", Who.ALARM_COMPANY))
    elif loop.tolerance_share > WIDEST_SHARE:
        wanted.append(
            (
                f"Find the true tolerance of the resistors of {works}: {write_share(loop.tolerance_share)} is"
                " given, parts are 10 % or better.",
                Who.ALARM_COMPANY,
            )
        )
    if not is_cable_known:
        wanted.append((f"Name the cable to {works} and its length.", Who.INSTALLER))
    if loop.window_share is None and not loop.pull_up_ohm and loop.bands is None:
        wanted.append(
            (
                f"Find the bands in which the panel accepts each state of {works}, or its pull-up resistor.",
                Who.ALARM_COMPANY,
            )
        )
    try:
        states = terminal_states(
            scheme=loop.scheme,
            normal_ohm=loop.normal_ohm,
            alarm_ohm=loop.alarm_ohm,
            mask_ohm=loop.mask_ohm,
            normally_open=zone.output.output.contact == "normally open",
        )
    except InputError as missing:
        wanted.append((f"Find the resistors of {works}: {missing}", Who.ALARM_COMPANY))
        states = ()
    return [Ask(says, who, 5.0) for says, who in wanted], states


def _held(zone: _Zone, states: tuple[LoopState, ...], cable_ohm: float, tolerance_share: float) -> Finding:
    """The state that lies nearest to an end of its band, or beyond it."""
    loop, works = zone.loop, zone.works
    accepted = bands_of(loop, states)
    seen = tuple(
        terminal_band(state=state, tolerance_share=tolerance_share, loop_ohm=cable_ohm) for state in states
    )
    shown = "; ".join(
        f"{band.name} {ohms(band.low_ohm)} to {ohms(band.high_ohm)}"
        for band in seen
        if 0 < band.low_ohm < math.inf
    )
    because = (
        f"Cable {cable_ohm:.2f} ohm there and back, resistors {write_share(tolerance_share)}."
        f" {insulation_says(loop, states)}"
    )
    sources = (
        *zone.sources,
        *cited(terminal_band),
        *cited(outside_share),
        *(cited(divider_thresholds_ohm) if loop.window_share is None else cited(limits_of)),
    )
    clash = overlaps(tuple(band for band in accepted if band.high_ohm < math.inf))
    pairs = [(band, limits) for band in seen if (limits := limits_near(band, accepted)) is not None]
    if clash or not pairs:
        says = (
            f"The bands of {works} for {clash[0][0].name} and {clash[0][1].name} overlap: no resistor value"
            " tells them apart."
            if clash
            else f"The loop at {works} shows {shown}."
        )
        return OHMS_OF_STATE.decide(
            about=zone.about,
            subjects=zone.subjects,
            answer=Answer.of(not clash),
            says=says,
            because=because,
            remedies=(Remedy("Choose resistors further apart, or narrower bands in the panel."),),
            sources=sources,
        )
    worst, limits = min(pairs, key=lambda pair: slack_ohm(*pair))
    return OHMS_OF_STATE.judge(
        about=zone.about,
        subjects=zone.subjects,
        value=Estimate(_nearest_end(worst, limits)),
        limit=Limit(limits.low_ohm, upper=limits.high_ohm),
        says=f"The loop at {works} shows {shown}; {worst.name} must lie from {ohms(limits.low_ohm)} to"
        f" {ohms(limits.high_ohm)}.",
        because=f"{because} {odds_say(loop, states, accepted, cable_ohm)}".strip(),
        remedies=(
            Remedy("Use 1 % resistors, at the receiver's terminals and not in the panel."),
            Remedy("Use a cable with less resistance."),
        ),
        sources=sources,
    )


def _nearest_end(shown: Band, limits: Band) -> float:
    """The end of what is shown that lies nearest to an end of the accepted band, or furthest beyond it."""
    is_low = shown.low_ohm - limits.low_ohm <= limits.high_ohm - shown.high_ohm
    return shown.low_ohm if is_low else shown.high_ohm
