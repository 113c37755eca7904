"""Judges the lines between panel and receivers: supervised loops, open collectors, tamper circuits."""

from __future__ import annotations

import math
from collections.abc import Iterator
from statistics import median
from typing import Final

from farpress.core.wiring.conductors import loop_resistance_ohm
from farpress.core.wiring.loops import (
    BAD_JOINT_OHM,
    Band,
    LoopState,
    divider_thresholds_ohm,
    least_leak_ohm,
    limits_of,
    overlaps,
    terminal_band,
    terminal_states,
)
from farpress.core.wiring.open_collector import equivalent, ground_shift_v, low_level_v
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.domain.parts import Loop, PanelOutput
from farpress.domain.premises import CableRun
from farpress.errors import InputError
from farpress.sources import Citation, Mark, cited
from farpress.tasks.cabling import core_of
from farpress.tasks.case import Case
from farpress.units import write_quantity

__all__ = ["LINE_CODES", "accepted_bands", "judge_lines"]

LINE_CODES: Final[dict[str, str]] = {
    "PAN-03": "Resistance of each state of a supervised loop, with tolerance and cable, against the panel's bands.",
    "PAN-04": "A panel's transistor output on an input: current, remaining voltage, common 0 V.",
    "PAN-05": "Legs of a tamper loop: a leg that stands out, or has changed, has a bad joint.",
}

_JOINT: Final = Citation("more than 5 ohm over the other legs, or of change, is a bad joint", mark=Mark.PRACTICE)
_SMALL_CHANGE_OHM: Final = 0.5
"""What a good leg may change between two readings; our choice, the meter's and the leads' share."""


def judge_lines(case: Case) -> Iterator[Finding]:
    """Every finding of this module."""
    for at in case.outputs():
        for works in at.works:
            name, _, input_name = works.partition(".")
            panel = case.equipment.panels.get(f"{at.premises}/{name}")
            entry = (panel.sheet.inputs or {}).get(input_name) if panel else None
            if panel is not None and entry is not None and entry.loop is not None:
                subjects = (f"output:{at.path}", f"panel:{at.premises}/{name}")
                yield _loop(case, f"{at.path} to {works}", works, entry.loop, at.output.cable, subjects, panel.cite("inputs"))
    for premises, house in case.job.premises.items():
        for receiver in house.receivers:
            yield from _collectors(case, premises, receiver)
        for name, loop in house.tamper_loops.items():
            touched = (f"panel:{premises}/{loop.panel.split('.')[0]}", *(f"receiver:{premises}/{leg}" for leg in loop.legs if leg in house.receivers))
            for leg in loop.legs:
                yield _leg(f"{premises}/{name}: {leg}", leg, dict(loop.legs), loop.later.get(leg), touched)


def _loop(case: Case, about: str, works: str, loop: Loop, run: CableRun | None, subjects: tuple[str, ...], sources: tuple[Citation, ...]) -> Finding:
    """PAN-03."""
    if loop.scheme in ("closed", "open"):
        says = f"{works} is a plain {loop.scheme} loop: a {'short' if loop.scheme == 'closed' else 'cut'} in the cable goes unseen."
        return Finding("PAN-03", Link.PANEL, Verdict.HOLDS, about, says, "No resistor, so nothing to measure.", sources=sources, subjects=subjects)
    core = core_of(case.equipment.cables[run.part]) if run and run.part in case.equipment.cables else None
    ask = [what for what, value in (("tolerance of the resistors", loop.tolerance_share), (f"cable to {works} and its length", core)) if value is None]
    if loop.window_share is None and loop.pull_up_ohm is None:
        ask.append("bands in which the panel accepts each state, or its pull-up resistor")
    try:
        states = terminal_states(scheme=loop.scheme, normal_ohm=loop.normal_ohm, alarm_ohm=loop.alarm_ohm, mask_ohm=loop.mask_ohm)
    except InputError as missing:
        ask.append(str(missing))
        states = ()
    if ask or run is None or core is None or loop.tolerance_share is None:
        says = f"Whether the panel tells the states of the loop at {works} apart is not known."
        return Finding("PAN-03", Link.PANEL, Verdict.OPEN, about, says, remedies=(Remedy(f"Find out: {'; '.join(ask)}."),), sources=sources, subjects=subjects)
    cable_ohm = loop_resistance_ohm(length_m=run.length_m, core_ohm_per_km=core.hot_ohm_per_km)
    seen = tuple(terminal_band(state=state, tolerance_share=loop.tolerance_share, loop_ohm=cable_ohm) for state in states)
    accepted = _accepted(loop, states)
    slack, worst = min(((_slack(band, limits), band) for band in seen for limits in [_limits(band, accepted)] if limits), key=lambda pair: pair[0], default=(None, None))
    clash = overlaps(tuple(band for band in accepted if band.high_ohm < math.inf))
    shown = "; ".join(f"{band.name} {_ohms(band.low_ohm)} to {_ohms(band.high_ohm)}" for band in seen if 0 < band.low_ohm < math.inf)
    because = f"Cable {cable_ohm:.2f} ohm there and back, resistors {100 * loop.tolerance_share:g} %. {_insulation(loop, states)}"
    cites = (*sources, *cited(terminal_band), *(cited(divider_thresholds_ohm) if loop.window_share is None else cited(limits_of)))
    if clash:
        says = f"The bands of {works} for {clash[0][0].name} and {clash[0][1].name} overlap: no resistor value tells them apart."
        return Finding("PAN-03", Link.PANEL, Verdict.FAILS, about, says, because, remedies=(Remedy("Choose resistors further apart, or narrower bands in the panel."),), sources=cites, subjects=subjects)
    if slack is None or worst is None:
        says = f"The loop at {works} shows {shown}."
        return Finding("PAN-03", Link.PANEL, Verdict.HOLDS, about, says, because, sources=cites, subjects=subjects)
    band = _limits(worst, accepted)
    assert band is not None
    width = min(band.high_ohm, 1e9) - band.low_ohm
    verdict = Verdict.FAILS if slack < 0 else Verdict.THIN if slack < 0.05 * min(width, band.low_ohm or width) else Verdict.HOLDS
    says = f"The loop at {works} shows {shown}; {worst.name} must lie from {_ohms(band.low_ohm)} to {_ohms(band.high_ohm)}."
    remedies = () if verdict is Verdict.HOLDS else (Remedy("Use 1 % resistors, at the receiver's terminals and not in the panel."), Remedy("Use a cable with less resistance."))
    return Finding("PAN-03", Link.PANEL, verdict, about, says, because, worst.high_ohm, band.high_ohm if band.high_ohm < math.inf else band.low_ohm, "ohm", slack, None, remedies, cites, subjects)


def accepted_bands(loop: Loop) -> tuple[Band, ...] | None:
    """Bands in which a panel takes a resistance of a loop for a state; None where they are not known.

    Plain loops are read as closed below 1 kohm and open above 20 kohm: common practice, no source.
    """
    if loop.scheme in ("closed", "open"):
        shut, cut = ("normal", "alarm") if loop.scheme == "closed" else ("alarm", "normal")
        return (Band(shut, 0.0, 1000.0), Band(cut, 20_000.0, math.inf))
    if loop.window_share is None and loop.pull_up_ohm is None:
        return None
    try:
        states = terminal_states(scheme=loop.scheme, normal_ohm=loop.normal_ohm, alarm_ohm=loop.alarm_ohm, mask_ohm=loop.mask_ohm)
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
    ordered = sorted({state.far_ohm: state.name for state in (*states, LoopState("tamper", 0.0), LoopState("tamper", math.inf))}.items())
    edges = (0.0, *divider_thresholds_ohm(pull_up_ohm=loop.pull_up_ohm, states_ohm=tuple(ohm for ohm, _ in ordered)), math.inf)
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
    lower = normal * (1 - loop.window_share) if loop.window_share is not None else _accepted(loop, states)[0].low_ohm
    if lower <= 0 or low <= lower:
        return ""
    leak = least_leak_ohm(far_ohm=low, threshold_ohm=lower)
    return f"Damp between the cores below {_ohms(leak)} would upset the resting state."


def _collectors(case: Case, premises: str, receiver: str) -> Iterator[Finding]:
    """PAN-04."""
    house = case.job.premises[premises]
    box, part = house.receivers[receiver], case.equipment.receivers[f"{premises}/{receiver}"]
    for number, entry in box.inputs.items():
        panel_name, _, output_name = entry.reads.partition(".")
        panel = case.equipment.panels.get(f"{premises}/{panel_name}")
        output = (panel.sheet.outputs or {}).get(output_name) if panel else None
        if panel is None:
            continue
        about = f"{premises}/{receiver} input {number} from {entry.reads}"
        subjects = (f"receiver:{premises}/{receiver}", f"panel:{premises}/{panel_name}")
        if output is None or output.form is None:
            says = f"Whether {entry.reads} is a relay contact or an open collector is not known."
            yield Finding("PAN-04", Link.PANEL, Verdict.OPEN, about, says, remedies=(Remedy(f"Find the form of {entry.reads} in the panel's manual."),), subjects=subjects)
        elif output.form == "relay":
            yield Finding("PAN-04", Link.PANEL, Verdict.HOLDS, about, f"{entry.reads} is a relay contact, free of potential.", sources=panel.cite("outputs"), subjects=subjects)
        else:
            fed = {one.from_ for one in (box.fed, house.panels[panel_name].fed) if one is not None}
            same = len(fed) == 1 and box.fed is not None and house.panels[panel_name].fed is not None
            core = core_of(case.equipment.cables[entry.cable.part]) if entry.cable and entry.cable.part in case.equipment.cables else None
            core_ohm = core.hot_ohm_per_km * entry.cable.length_m / 1000 if core and entry.cable else None
            returns = part.sheet.current_idle_a
            yield _collector(about, entry.reads, output, (part.sheet.input_voltage_v, part.sheet.input_current_a, part.sheet.input_low_v), same, core_ohm, returns,
                             (*panel.cite("outputs"), *part.cite("input_voltage_v", "input_current_a", "input_low_v"), *cited(low_level_v)), subjects)


def _collector(
    about: str, reads: str, output: PanelOutput, entry: tuple[float | None, float | None, float | None], same_supply: bool,
    core_ohm: float | None, return_a: float | None, sources: tuple[Citation, ...], subjects: tuple[str, ...],
) -> Finding:
    """An open collector on a receiver's status input; its 0 V wire is taken to be the receiver's own return."""
    volts, amperes, low = entry
    relay = Remedy("Put a small relay or optocoupler between; then nothing of this matters.")
    because = "An open collector only pulls down to the 0 V of its panel."
    if amperes is not None and output.current_max_a is not None and amperes > output.current_max_a:
        says = f"The input draws {write_quantity(amperes, 'current')}; {reads} may sink {write_quantity(output.current_max_a, 'current')}."
        return Finding("PAN-04", Link.PANEL, Verdict.FAILS, about, says, because, amperes, output.current_max_a, "A", output.current_max_a - amperes, None, (relay,), sources, subjects)
    named = (("current of the status input", amperes), (f"current that {reads} may sink", output.current_max_a), (f"saturation voltage of {reads}", output.saturation_v),
             ("voltage below which the status input counts as closed", low), ("cable of the status line", core_ohm))
    ask = [what for what, value in named if value is None]
    if ask or low is None or output.saturation_v is None or core_ohm is None:
        says = f"{reads} is an open collector; whether the receiver's input takes it for closed is not known."
        wire = () if same_supply else (Remedy("Join the 0 V of panel and receiver, never their positives."),)
        return Finding("PAN-04", Link.PANEL, Verdict.OPEN, about, says, because, remedies=(Remedy(f"Find out: {'; '.join(ask)}."), *wire, relay), sources=sources, subjects=subjects)
    shift = ground_shift_v(return_a=(return_a or 0.0) + (amperes or 0.0), core_ohm=core_ohm)
    level = low_level_v(saturation_v=output.saturation_v, shift_v=shift)
    margin = low - level
    looks = ""
    if volts and amperes:
        looks = f" To the input it looks like {_ohms(equivalent(supply_v=volts, pull_up_ohm=volts / amperes, saturation_v=output.saturation_v).ohm)}." if output.saturation_v < volts else ""
    because = f"{because} {output.saturation_v:g} V remain at it, and {shift:.2f} V are lost if the receiver's return current shares its 0 V core.{looks}"
    says = f"{level:.2f} V are left at the input when {reads} is on; up to {low:g} V count as closed."
    if not same_supply:
        joined = Remedy("Join the 0 V of panel and receiver, never their positives, and earth one at most.")
        return Finding("PAN-04", Link.PANEL, Verdict.OPEN if margin >= 0 else Verdict.FAILS, about, f"{says} Panel and receiver are not named as fed from one supply.", because, level, low, "V", margin, None, (joined, relay), sources, subjects)
    verdict = Verdict.FAILS if margin < 0 else Verdict.THIN if margin < 0.1 * low else Verdict.HOLDS
    return Finding("PAN-04", Link.PANEL, verdict, about, says, because, level, low, "V", margin, None, () if verdict is Verdict.HOLDS else (relay,), sources, subjects)


def _leg(about: str, leg: str, legs: dict[str, float], later: float | None, subjects: tuple[str, ...]) -> Finding:
    """PAN-05."""
    first = legs[leg]
    now = later if later is not None else first
    others = [ohm for name, ohm in legs.items() if name != leg]
    usual = median(others) if others else now
    over, change = now - usual, abs(now - first)
    worst = max(over, change)
    moved = f"Leg {leg} went from {first:g} to {now:g} ohm" if later is not None else f"Leg {leg} reads {first:g} ohm"
    says = f"{moved}; the others read about {usual:g} ohm." if others else f"{moved}."
    because = "A leg of a few metres reads about 1 ohm and stays there; a loose joint reads more and moves when tapped."
    verdict = Verdict.FAILS if worst > BAD_JOINT_OHM else Verdict.THIN if change > _SMALL_CHANGE_OHM else Verdict.HOLDS
    remedies = () if verdict is Verdict.HOLDS else (Remedy(f"Tap along leg {leg} with a meter on it, redo its joints, and measure again."), Remedy("Give this leg a pair of its own to the panel, so that its alarms can be told apart."))
    return Finding("PAN-05", Link.PANEL, verdict, about, says, because, worst, BAD_JOINT_OHM, "ohm", BAD_JOINT_OHM - worst, None, remedies, (_JOINT,), subjects)


def _ohms(ohm: float) -> str:
    return write_quantity(ohm, "resistance")
