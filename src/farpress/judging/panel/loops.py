"""Judges supervised loops: the ohms of each state against the panel's bands, the way the contact works them,
what drives them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from farpress.case.cabling import core_of
from farpress.case.case import Case, OutputAt
from farpress.core.wiring.conductors import loop_resistance_ohm
from farpress.core.wiring.loop_tolerance import outside_share, parallel_outside_share
from farpress.core.wiring.loops import (
    Band,
    LoopState,
    divider_thresholds_ohm,
    least_leak_ohm,
    limits_of,
    overlaps,
    terminal_band,
    terminal_states,
)
from farpress.core.wiring.open_collector import equivalent
from farpress.core.wiring.wrong_wiring import state_at, wrong_wirings
from farpress.domain.finding import Change, Finding, Link, Remedy, Verdict
from farpress.domain.parts import Loop, PanelInput
from farpress.domain.refs import OutputRef, PanelRef, Ref
from farpress.errors import InputError
from farpress.sources import Citation, Mark, cited
from farpress.units import write_quantity

__all__ = ["LOOP_CODES", "WIDEST_SHARE", "accepted_bands", "judge_loops"]

LOOP_CODES: Final[dict[str, str]] = {
    "PAN-03": (
        "Resistance of each state of a supervised loop, with tolerance and cable, against the panel's bands."
    ),
    "PAN-08": "What the panel reads while the receiver is at rest, against the state that is normal.",
    "PAN-09": "A transistor output on a supervised loop: what the panel takes it for.",
}

WIDEST_SHARE: Final = 0.5
"""Tolerance beyond which a figure is taken for a slip; our choice."""

_REST: Final = Citation("a loop reads normal while nothing is pressed", mark=Mark.PRACTICE)


def judge_loops(case: Case) -> Iterator[Finding]:
    """Every finding of this module."""
    for at in case.outputs():
        for works in at.works:
            name, _, input_name = works.partition(".")
            panel = case.equipment.panels.get(f"{at.premises}/{name}")
            entry = (panel.sheet.inputs or {}).get(input_name) if panel else None
            if panel is None or entry is None or entry.loop is None:
                continue
            about, subjects = f"{at.path} to {works}", (OutputRef(at.path), PanelRef(f"{at.premises}/{name}"))
            yield _loop(case, about, works, entry.loop, at, subjects, panel.cite("inputs"))
            yield _rest(about, works, entry, at, subjects, panel.cite("inputs"))
            collector = _collector(case, about, works, entry.loop, at, subjects)
            if collector is not None:
                yield collector


def _rest(
    about: str,
    works: str,
    entry: PanelInput,
    at: OutputAt,
    subjects: tuple[Ref, ...],
    sources: tuple[Citation, ...],
) -> Finding:
    """PAN-08."""
    loop = entry.loop
    assert loop is not None
    breaks = at.output.contact == "normally closed"
    sources = (*sources, *cited(wrong_wirings), _REST)

    def finding(verdict: Verdict, says: str, because: str = "", *remedies: Remedy) -> Finding:
        return Finding(
            "PAN-08",
            Link.PANEL,
            verdict,
            about,
            says,
            because,
            remedies=remedies,
            sources=sources,
            subjects=subjects,
        )

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
        return finding(
            Verdict.UNKNOWN,
            f"What {works} reads while nothing is pressed is not known.",
            "",
            Remedy("Find the resistors of the loop and the bands of the panel."),
        )
    rest, worked = right.rest_state, right.worked_state
    shown = f"At rest the panel reads {works} as {rest}, while the output is on as {worked}"
    if rest == "normal" and worked != "normal":
        return finding(Verdict.HOLDS, f"{shown}.")
    other = "normally open" if breaks else "normally closed"
    swap = Remedy(
        f"Use the {'make' if breaks else 'break'} contact.",
        changes=(
            Change(
                ("premises", at.premises, "receivers", at.receiver, "outputs", at.number, "contact"), other
            ),
        ),
    )
    if rest == worked:
        return finding(
            Verdict.FAILS,
            f"{shown}: a press changes nothing.",
            "The contact does not change what the panel sees.",
            swap,
        )
    because = "The resistors lie as the scheme has them; it is the contact that is the other way round."
    invert = Remedy(
        f"Or find out whether the panel can be told that {works} rests the other way round, and write that"
        " down."
    )
    return finding(Verdict.UNKNOWN, f"{shown}; right only if the panel is told so.", because, swap, invert)


def _collector(
    case: Case, about: str, works: str, loop: Loop, at: OutputAt, subjects: tuple[Ref, ...]
) -> Finding | None:
    """PAN-09: a transistor pulls down to its own remaining voltage, which a loop takes for a resistance."""
    part = case.equipment.receivers[at.receiver_path]
    sheet = part.sheet
    if sheet.output_form != "open collector" or at.output.via:
        return None
    relay = Remedy("Put a relay or an opto-relay between: its contact is free of potential.")
    sources = (*part.cite("output_form", "saturation_v"), *cited(equivalent))
    because = (
        "A transistor output leaves a voltage of its own and needs the panel's 0 V; a loop with resistors"
        " wants a contact."
    )
    looks, ohm = "", None
    if (
        sheet.saturation_v is not None
        and loop.supply_v
        and loop.pull_up_ohm
        and sheet.saturation_v < loop.supply_v
    ):
        ohm = equivalent(
            supply_v=loop.supply_v, pull_up_ohm=loop.pull_up_ohm, saturation_v=sheet.saturation_v
        ).ohm
        bands = accepted_bands(loop)
        seen = f", which it reads as {state_at(ohm, bands)}" if bands else ""
        looks = f" To the panel it looks like {write_quantity(ohm, 'resistance')}{seen}."
    verdict = Verdict.THIN if loop.scheme in ("closed", "open") else Verdict.FAILS
    return Finding(
        "PAN-09",
        Link.PANEL,
        verdict,
        about,
        f"Output {at.number} of {at.receiver} is an open collector on the loop {works}.{looks}",
        because,
        ohm,
        None,
        "ohm" if ohm else "",
        remedies=(relay,),
        sources=sources,
        subjects=subjects,
    )


def _loop(
    case: Case,
    about: str,
    works: str,
    loop: Loop,
    at: OutputAt,
    subjects: tuple[Ref, ...],
    sources: tuple[Citation, ...],
) -> Finding:
    """PAN-03."""
    if loop.scheme in ("closed", "open"):
        says = (
            f"{works} is a plain {loop.scheme} loop: a {'short' if loop.scheme == 'closed' else 'cut'} in the"
            " cable goes unseen."
        )
        return Finding(
            "PAN-03",
            Link.PANEL,
            Verdict.HOLDS,
            about,
            says,
            "No resistor, so nothing to measure.",
            sources=sources,
            subjects=subjects,
        )
    run = at.output.cable
    core = core_of(case.equipment.cables[run.part]) if run and run.part in case.equipment.cables else None
    ask = [
        what
        for what, value in (
            ("tolerance of the resistors", loop.tolerance_share),
            (f"cable to {works} and its length", core),
        )
        if value is None
    ]
    if loop.tolerance_share is not None and loop.tolerance_share > WIDEST_SHARE:
        ask.append(
            f"true tolerance of the resistors: {100 * loop.tolerance_share:g} % is given, parts are 10 % or"
            " better"
        )
    if loop.window_share is None and not loop.pull_up_ohm:
        ask.append("bands in which the panel accepts each state, or its pull-up resistor")
    try:
        states = terminal_states(
            scheme=loop.scheme,
            normal_ohm=loop.normal_ohm,
            alarm_ohm=loop.alarm_ohm,
            mask_ohm=loop.mask_ohm,
            normally_open=at.output.contact == "normally open",
        )
    except InputError as missing:
        ask.append(str(missing))
        states = ()
    if ask or run is None or core is None or loop.tolerance_share is None:
        says = f"Whether the panel tells the states of the loop at {works} apart is not known."
        return Finding(
            "PAN-03",
            Link.PANEL,
            Verdict.UNKNOWN,
            about,
            says,
            remedies=(Remedy(f"Find out: {'; '.join(ask)}."),),
            sources=sources,
            subjects=subjects,
        )
    cable_ohm = loop_resistance_ohm(length_m=run.length_m, core_ohm_per_km=core.hot_ohm_per_km)
    seen = tuple(
        terminal_band(state=state, tolerance_share=loop.tolerance_share, loop_ohm=cable_ohm)
        for state in states
    )
    accepted = _accepted(loop, states)
    slack, worst = min(
        ((_slack(band, limits), band) for band in seen for limits in [_limits(band, accepted)] if limits),
        key=lambda pair: pair[0],
        default=(None, None),
    )
    clash = overlaps(tuple(band for band in accepted if band.high_ohm < math.inf))
    shown = "; ".join(
        f"{band.name} {_ohms(band.low_ohm)} to {_ohms(band.high_ohm)}"
        for band in seen
        if 0 < band.low_ohm < math.inf
    )
    because = (
        f"Cable {cable_ohm:.2f} ohm there and back, resistors {100 * loop.tolerance_share:g} %."
        f" {_insulation(loop, states)}"
    )
    cites = (
        *sources,
        *cited(terminal_band),
        *cited(outside_share),
        *(cited(divider_thresholds_ohm) if loop.window_share is None else cited(limits_of)),
    )
    if clash:
        says = (
            f"The bands of {works} for {clash[0][0].name} and {clash[0][1].name} overlap: no resistor value"
            " tells them apart."
        )
        return Finding(
            "PAN-03",
            Link.PANEL,
            Verdict.FAILS,
            about,
            says,
            because,
            remedies=(Remedy("Choose resistors further apart, or narrower bands in the panel."),),
            sources=cites,
            subjects=subjects,
        )
    if slack is None or worst is None:
        says = f"The loop at {works} shows {shown}."
        return Finding(
            "PAN-03", Link.PANEL, Verdict.HOLDS, about, says, because, sources=cites, subjects=subjects
        )
    band = _limits(worst, accepted)
    assert band is not None
    width = min(band.high_ohm, 1e9) - band.low_ohm
    verdict = (
        Verdict.FAILS
        if slack < 0
        else Verdict.THIN
        if slack < 0.05 * min(width, band.low_ohm or width)
        else Verdict.HOLDS
    )
    because = f"{because} {_odds(loop, states, accepted, cable_ohm)}".strip()
    says = (
        f"The loop at {works} shows {shown}; {worst.name} must lie from {_ohms(band.low_ohm)} to"
        f" {_ohms(band.high_ohm)}."
    )
    remedies = (
        ()
        if verdict is Verdict.HOLDS
        else (
            Remedy("Use 1 % resistors, at the receiver's terminals and not in the panel."),
            Remedy("Use a cable with less resistance."),
        )
    )
    return Finding(
        "PAN-03",
        Link.PANEL,
        verdict,
        about,
        says,
        because,
        worst.high_ohm,
        band.high_ohm if band.high_ohm < math.inf else band.low_ohm,
        "ohm",
        slack,
        None,
        remedies,
        cites,
        subjects,
    )


def accepted_bands(loop: Loop) -> tuple[Band, ...] | None:
    """Bands in which a panel takes a resistance of a loop for a state; None where they are not known.

    Plain loops are read as closed below 1 kohm and open above 20 kohm: common practice, no source.
    """
    if loop.scheme in ("closed", "open"):
        shut, cut = ("normal", "alarm") if loop.scheme == "closed" else ("alarm", "normal")
        return (Band(shut, 0.0, 1000.0), Band(cut, 20_000.0, math.inf))
    if loop.window_share is None and not loop.pull_up_ohm:
        return None
    try:
        states = terminal_states(
            scheme=loop.scheme, normal_ohm=loop.normal_ohm, alarm_ohm=loop.alarm_ohm, mask_ohm=loop.mask_ohm
        )
    except InputError:
        return None
    bands = _accepted(loop, states)
    if loop.scheme == "single end-of-line":  # its alarm has no resistor of its own
        normal = bands[0]
        return (normal, Band("alarm", 0.0, normal.low_ohm), Band("alarm", normal.high_ohm, math.inf))
    return bands


def _accepted(loop: Loop, states: tuple[LoopState, ...]) -> tuple[Band, ...]:
    """Bands in which the panel takes a resistance for a state."""
    if loop.window_share is not None:
        return limits_of(states=states, window_share=loop.window_share)
    assert loop.pull_up_ohm is not None
    ordered = sorted(
        {
            state.far_ohm: state.name
            for state in (*states, LoopState("tamper", 0.0), LoopState("tamper", math.inf))
        }.items()
    )
    edges = (
        0.0,
        *divider_thresholds_ohm(pull_up_ohm=loop.pull_up_ohm, states_ohm=tuple(ohm for ohm, _ in ordered)),
        math.inf,
    )
    bands = [Band(name, edges[number], edges[number + 1]) for number, (_, name) in enumerate(ordered)]
    return tuple(band for band, (ohm, _) in zip(bands, ordered) if 0 < ohm < math.inf)


def _limits(band: Band, accepted: tuple[Band, ...]) -> Band | None:
    """The accepted band that a shown band belongs to: same state, nearest."""
    same = [limits for limits in accepted if limits.name == band.name and 0 < band.low_ohm < math.inf]
    return min(same, key=lambda limits: abs(limits.low_ohm - band.low_ohm), default=None)


def _slack(band: Band, limits: Band) -> float:
    return min(band.low_ohm - limits.low_ohm, limits.high_ohm - band.high_ohm)


def _insulation(loop: Loop, states: tuple[LoopState, ...]) -> str:
    """The least insulation with which the resting state is still read as such."""
    normal = next(state.far_ohm for state in states if state.name == "normal")
    low = normal * (1 - (loop.tolerance_share or 0.0))
    lower = (
        normal * (1 - loop.window_share)
        if loop.window_share is not None
        else _accepted(loop, states)[0].low_ohm
    )
    if lower <= 0 or low <= lower:
        return ""
    leak = least_leak_ohm(far_ohm=low, threshold_ohm=lower)
    return f"Damp between the cores below {_ohms(leak)} would upset the resting state."


def _odds(loop: Loop, states: tuple[LoopState, ...], accepted: tuple[Band, ...], cable_ohm: float) -> str:
    """How likely a state strays out of its band, with resistors evenly spread over their tolerance."""
    worst = (0.0, "")
    for state in states:
        band = _limits(Band(state.name, state.far_ohm, state.far_ohm), accepted)
        if (
            band is None
            or not 0 < state.far_ohm < math.inf
            or loop.normal_ohm is None
            or loop.tolerance_share is None
        ):
            continue
        if loop.scheme == "two-resistor" and state.name == "alarm" and loop.alarm_ohm:
            share = parallel_outside_share(
                one_ohm=loop.normal_ohm,
                other_ohm=loop.alarm_ohm,
                tolerance_share=loop.tolerance_share,
                low_ohm=band.low_ohm,
                high_ohm=band.high_ohm,
                added_ohm=cable_ohm,
            )
        else:
            resistors = _resistors(loop, state)
            share = outside_share(
                resistors_ohm=resistors,
                tolerance_share=loop.tolerance_share,
                low_ohm=band.low_ohm,
                high_ohm=band.high_ohm,
                added_ohm=cable_ohm,
            )
        worst = max(worst, (share, state.name))
    return (
        f"Of loops built like this about {100 * worst[0]:.2g} % would show {worst[1]} outside its band."
        if worst[0] > 1e-6
        else ""
    )


def _resistors(loop: Loop, state: LoopState) -> tuple[float, ...]:
    """The resistors in series that make a state."""
    normal = loop.normal_ohm or 0.0
    for parts in (
        (normal,),
        (normal, loop.alarm_ohm or 0.0),
        (normal, loop.mask_ohm or 0.0),
        (normal, loop.alarm_ohm or 0.0, loop.mask_ohm or 0.0),
    ):
        if math.isclose(math.fsum(parts), state.far_ohm) and all(parts):
            return parts
    return (state.far_ohm,)


def _ohms(ohm: float) -> str:
    return write_quantity(ohm, "resistance")
