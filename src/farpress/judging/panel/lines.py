"""Judges the lines between panel and receivers: open collectors, tamper circuits; loops in `panel_loops`."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median
from typing import Final

from farpress.case.cabling import core_of
from farpress.case.case import Case
from farpress.core.wiring.loops import BAD_JOINT_OHM
from farpress.core.wiring.open_collector import equivalent, ground_shift_v, low_level_v
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.domain.parts import PanelOutput
from farpress.domain.refs import CableRef, InputRef, PanelRef, ReceiverRef, Ref
from farpress.judging.panel.loops import LOOP_CODES, judge_loops
from farpress.sources import Citation, Mark, cited
from farpress.units import write_quantity

__all__ = ["LINE_CODES", "judge_lines"]

LINE_CODES: Final[dict[str, str]] = {
    "PAN-04": "A panel's transistor output on an input: current, remaining voltage, common 0 V.",
    "PAN-05": "Legs of a tamper loop: a leg that stands out, or has changed, has a bad joint.",
    **LOOP_CODES,
}

_JOINT: Final = Citation(
    "more than 5 ohm over the other legs, or of change, is a bad joint", mark=Mark.PRACTICE
)
_SMALL_CHANGE_OHM: Final = 0.5
"""What a good leg may change between two readings; our choice, the meter's and the leads' share."""


def judge_lines(case: Case) -> Iterator[Finding]:
    """Every finding of this module."""
    yield from judge_loops(case)
    for premises, house in case.job.premises.items():
        for receiver in house.receivers:
            yield from _collectors(case, premises, receiver)
        for name, loop in house.tamper_loops.items():
            touched = (
                PanelRef(f"{premises}/{loop.panel.split('.')[0]}"),
                *(ReceiverRef(f"{premises}/{leg}") for leg in loop.legs if leg in house.receivers),
            )
            for leg in loop.legs:
                subjects = (CableRef(f"{premises}/{name}/{leg}"), *touched)
                yield _leg(f"{premises}/{name}: {leg}", leg, dict(loop.legs), loop.later.get(leg), subjects)


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
        subjects = (
            InputRef(f"{premises}/{receiver}/in{number}"),
            ReceiverRef(f"{premises}/{receiver}"),
            PanelRef(f"{premises}/{panel_name}"),
        )
        if output is None or output.form is None:
            says = f"Whether {entry.reads} is a relay contact or an open collector is not known."
            yield Finding(
                "PAN-04",
                Link.PANEL,
                Verdict.UNKNOWN,
                about,
                says,
                remedies=(Remedy(f"Find the form of {entry.reads} in the panel's manual."),),
                subjects=subjects,
            )
        elif output.form == "relay":
            yield Finding(
                "PAN-04",
                Link.PANEL,
                Verdict.HOLDS,
                about,
                f"{entry.reads} is a relay contact, free of potential.",
                sources=panel.cite("outputs"),
                subjects=subjects,
            )
        else:
            fed = {one.from_ for one in (box.fed, house.panels[panel_name].fed) if one is not None}
            same = len(fed) == 1 and box.fed is not None and house.panels[panel_name].fed is not None
            core = (
                core_of(case.equipment.cables[entry.cable.part])
                if entry.cable and entry.cable.part in case.equipment.cables
                else None
            )
            core_ohm = core.hot_ohm_per_km * entry.cable.length_m / 1000 if core and entry.cable else None
            returns = part.sheet.current_idle_a
            yield _collector(
                about,
                entry.reads,
                output,
                (part.sheet.input_voltage_v, part.sheet.input_current_a, part.sheet.input_low_v),
                same,
                core_ohm,
                returns,
                (
                    *panel.cite("outputs"),
                    *part.cite("input_voltage_v", "input_current_a", "input_low_v"),
                    *cited(low_level_v),
                ),
                subjects,
            )


def _collector(
    about: str,
    reads: str,
    output: PanelOutput,
    entry: tuple[float | None, float | None, float | None],
    same_supply: bool,
    core_ohm: float | None,
    return_a: float | None,
    sources: tuple[Citation, ...],
    subjects: tuple[Ref, ...],
) -> Finding:
    """An open collector on a receiver's status input; its 0 V wire is taken to be the receiver's own
    return.
    """
    volts, amperes, low = entry
    relay = Remedy("Put a small relay or optocoupler between; then nothing of this matters.")
    because = "An open collector only pulls down to the 0 V of its panel."
    if amperes is not None and output.current_max_a is not None and amperes > output.current_max_a:
        says = (
            f"The input draws {write_quantity(amperes, 'current')}; {reads} may sink"
            f" {write_quantity(output.current_max_a, 'current')}."
        )
        return Finding(
            "PAN-04",
            Link.PANEL,
            Verdict.FAILS,
            about,
            says,
            because,
            amperes,
            output.current_max_a,
            "A",
            output.current_max_a - amperes,
            None,
            (relay,),
            sources,
            subjects,
        )
    named = (
        ("current of the status input", amperes),
        (f"current that {reads} may sink", output.current_max_a),
        (f"saturation voltage of {reads}", output.saturation_v),
        ("voltage below which the status input counts as closed", low),
        ("cable of the status line", core_ohm),
    )
    ask = [what for what, value in named if value is None]
    if ask or low is None or output.saturation_v is None or core_ohm is None:
        says = (
            f"{reads} is an open collector; whether the receiver's input takes it for closed is not"
            f" known.{_decides(output, low, core_ohm, return_a)}"
        )
        wire = () if same_supply else (Remedy("Join the 0 V of panel and receiver, never their positives."),)
        return Finding(
            "PAN-04",
            Link.PANEL,
            Verdict.UNKNOWN,
            about,
            says,
            because,
            remedies=(Remedy(f"Find out: {'; '.join(ask)}."), *wire, relay),
            sources=sources,
            subjects=subjects,
        )
    shift = ground_shift_v(return_a=(return_a or 0.0) + (amperes or 0.0), core_ohm=core_ohm)
    level = low_level_v(saturation_v=output.saturation_v, shift_v=shift)
    margin = low - level
    looks = ""
    if volts and amperes:
        looks = (
            " To the input it looks like"
            f" {_ohms(equivalent(supply_v=volts, pull_up_ohm=volts / amperes, saturation_v=output.saturation_v).ohm)}."  # noqa: E501
            if output.saturation_v < volts
            else ""
        )
    because = (
        f"{because} {output.saturation_v:g} V remain at it, and {shift:.2f} V are lost if the receiver's"
        f" return current shares its 0 V core.{looks}"
    )
    says = f"{level:.2f} V are left at the input when {reads} is on; up to {low:g} V count as closed."
    if not same_supply:
        joined = Remedy("Join the 0 V of panel and receiver, never their positives, and earth one at most.")
        return Finding(
            "PAN-04",
            Link.PANEL,
            Verdict.UNKNOWN if margin >= 0 else Verdict.FAILS,
            about,
            f"{says} Panel and receiver are not named as fed from one supply.",
            because,
            level,
            low,
            "V",
            margin,
            None,
            (joined, relay),
            sources,
            subjects,
        )
    verdict = Verdict.FAILS if margin < 0 else Verdict.THIN if margin < 0.1 * low else Verdict.HOLDS
    alone = low_level_v(
        saturation_v=output.saturation_v, shift_v=ground_shift_v(return_a=amperes or 0.0, core_ohm=core_ohm)
    )
    own = (
        (
            Remedy(
                "Give the status line a 0 V core that nothing else returns in.",
                f"{alone:.2f} V are left at the input",
            ),
        )
        if alone < low
        else ()
    )
    return Finding(
        "PAN-04",
        Link.PANEL,
        verdict,
        about,
        says,
        because,
        level,
        low,
        "V",
        margin,
        None,
        () if verdict is Verdict.HOLDS else (*own, relay),
        sources,
        subjects,
    )


def _decides(output: PanelOutput, low: float | None, core_ohm: float | None, return_a: float | None) -> str:
    """Which value of the receiver's input would do, as far as the line is known."""
    sink = (
        f" It must not draw more than {write_quantity(output.current_max_a, 'current')}."
        if output.current_max_a is not None
        else ""
    )
    if low is None and output.saturation_v is not None and core_ohm is not None:
        left = output.saturation_v + (return_a or 0.0) * core_ohm
        return f" It must still count {left:.2f} V as closed.{sink}"
    return sink


def _leg(
    about: str, leg: str, legs: dict[str, float], later: float | None, subjects: tuple[Ref, ...]
) -> Finding:
    """PAN-05."""
    first = legs[leg]
    now = later if later is not None else first
    others = [ohm for name, ohm in legs.items() if name != leg]
    usual = median(others) if others else now
    over, change = now - usual, abs(now - first)
    worst = max(over, change)
    moved = (
        f"Leg {leg} went from {first:g} to {now:g} ohm"
        if later is not None
        else f"Leg {leg} reads {first:g} ohm"
    )
    says = f"{moved}; the others read about {usual:g} ohm." if others else f"{moved}."
    because = (
        "A leg of a few metres reads about 1 ohm and stays there; a loose joint reads more and moves when"
        " tapped."
    )
    verdict = (
        Verdict.FAILS
        if worst > BAD_JOINT_OHM
        else Verdict.THIN
        if change > _SMALL_CHANGE_OHM
        else Verdict.HOLDS
    )
    remedies = (
        ()
        if verdict is Verdict.HOLDS
        else (
            Remedy(f"Tap along leg {leg} with a meter on it, redo its joints, and measure again."),
            Remedy("Give this leg a pair of its own to the panel, so that its alarms can be told apart."),
        )
    )
    return Finding(
        "PAN-05",
        Link.PANEL,
        verdict,
        about,
        says,
        because,
        worst,
        BAD_JOINT_OHM,
        "ohm",
        BAD_JOINT_OHM - worst,
        None,
        remedies,
        (_JOINT,),
        subjects,
    )


def _ohms(ohm: float) -> str:
    return write_quantity(ohm, "resistance")
