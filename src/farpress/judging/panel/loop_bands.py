"""The bands in which a panel takes the ohms of a loop for a state, and how loops stray from them."""

from __future__ import annotations

import math

from farpress.core.wiring.loop_tolerance import outside_share, parallel_outside_share
from farpress.core.wiring.loops import (
    Band,
    LoopState,
    divider_thresholds_ohm,
    least_leak_ohm,
    limits_of,
    terminal_states,
)
from farpress.domain.device_sheets import LoopBand
from farpress.domain.parts import Loop
from farpress.errors import InputError
from farpress.units import write_quantity, write_share

__all__ = [
    "accepted_bands",
    "bands_of",
    "insulation_says",
    "limits_near",
    "odds_say",
    "ohms",
    "published_bands",
    "slack_ohm",
]


def accepted_bands(loop: Loop) -> tuple[Band, ...] | None:
    """Bands in which a panel takes a resistance of a loop for a state; None where they are not known.

    Plain loops are read as closed below 1 kohm and open above 20 kohm: common practice, no source.
    """
    if loop.bands is not None:
        return published_bands(loop.bands)
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
    bands = bands_of(loop, states)
    if loop.scheme == "single end-of-line":  # its alarm has no resistor of its own
        normal = bands[0]
        return (normal, Band("alarm", 0.0, normal.low_ohm), Band("alarm", normal.high_ohm, math.inf))
    return bands


def published_bands(bands: tuple[LoopBand, ...]) -> tuple[Band, ...]:
    """A panel's bands as it publishes them; shorted and open lines are told as tamper."""
    names = {"short": "tamper", "open": "tamper"}
    return tuple(
        Band(
            names.get(band.reads, band.reads),
            band.from_ohm,
            band.to_ohm if band.to_ohm is not None else math.inf,
        )
        for band in bands
    )


def bands_of(loop: Loop, states: tuple[LoopState, ...]) -> tuple[Band, ...]:
    """Bands in which the panel takes a resistance for a state."""
    if loop.bands is not None:
        return published_bands(loop.bands)
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


def limits_near(band: Band, accepted: tuple[Band, ...]) -> Band | None:
    """The accepted band that a shown band belongs to: same state, nearest."""
    same = [limits for limits in accepted if limits.name == band.name and 0 < band.low_ohm < math.inf]
    return min(same, key=lambda limits: abs(limits.low_ohm - band.low_ohm), default=None)


def slack_ohm(band: Band, limits: Band) -> float:
    """How far a shown band lies within an accepted one, at its nearer end; negative beyond it [ohm]."""
    return min(band.low_ohm - limits.low_ohm, limits.high_ohm - band.high_ohm)


def insulation_says(loop: Loop, states: tuple[LoopState, ...]) -> str:
    """The least insulation with which the resting state is still read as such, and an alarm as an alarm.

    The alarm is told first: it has more ohms, so the same damp takes more of it away.
    """
    share = loop.tolerance_share or 0.0
    bands = bands_of(loop, states)
    leaks: dict[str, float] = {}
    for state in states:
        band = limits_near(Band(state.name, state.far_ohm, state.far_ohm), bands)
        low = state.far_ohm * (1 - share)
        if state.name in ("normal", "alarm") and band is not None and 0 < band.low_ohm < low:
            leaks[state.name] = least_leak_ohm(far_ohm=low, threshold_ohm=band.low_ohm)
        elif state.name == "alarm" and math.isinf(state.far_ohm):  # damp stands for what the contact opens
            leaks[state.name] = max((rest.high_ohm for rest in bands if rest.name == "normal"), default=0.0)
    leaks = {name: ohm for name, ohm in leaks.items() if 0 < ohm < math.inf}
    told = []
    if "alarm" in leaks:
        told.append(f"Damp between the cores below {ohms(leaks['alarm'])} would hide an alarm")
    if "normal" in leaks:
        upset = f"below {ohms(leaks['normal'])} would upset the resting state"
        told.append(upset if told else f"Damp between the cores {upset}")
    return f"{', '.join(told)}." if told else ""


def odds_say(loop: Loop, states: tuple[LoopState, ...], accepted: tuple[Band, ...], cable_ohm: float) -> str:
    """How likely a state strays out of its band, with resistors evenly spread over their tolerance."""
    worst = (0.0, "")
    for state in states:
        band = limits_near(Band(state.name, state.far_ohm, state.far_ohm), accepted)
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
        f"Of loops built like this about {write_share(worst[0], '.2g')} would show {worst[1]}"
        " outside its band."
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


def ohms(ohm: float) -> str:
    """A resistance for people."""
    return write_quantity(ohm, "resistance")
