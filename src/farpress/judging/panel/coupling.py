"""Judges the coupling to an alarm panel: pulses, kinds of input, and what the user is told.

Loops, open collectors and tamper circuits are judged in `panel_lines`,
the numbers of acknowledgement pulses in `panel_told`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.domain.finding import Change, Finding, Link, Remedy, Verdict
from farpress.domain.parts import PanelInput, PanelSheet, Part
from farpress.domain.refs import FunctionRef, OutputRef, PanelRef, Ref
from farpress.judging.panel.lines import LINE_CODES, judge_lines
from farpress.judging.panel.told import TOLD_CODES, judge_pulses
from farpress.sources import Citation, Mark
from farpress.units import write_quantity

__all__ = ["CODES", "judge"]

CODES: Final[dict[str, str]] = {
    "PAN-01": "Length of a pulse, against the time a panel input needs to notice it.",
    "PAN-02": "How an output behaves, against how the panel input reads it.",
    "PAN-06": "Whether whoever sets or unsets by radio is told that it worked.",
    "PAN-07": "Grade of the alarm system, against the grade of the radio coupling.",
    **LINE_CODES,
    **TOLD_CODES,
}

_SAFE_FACTOR: Final = 1.5
_SAFE_PULSE_S: Final = 1.0
_PULSE: Final = Citation(
    "pulse of 1 s or 1.5 times the response; inputs of three panels took 50 ms to 3 s",
    place="panel manuals",
    mark=Mark.COPY,
)
_STEP: Final = Citation("a toggling input loses step with a lost press or a keypad", mark=Mark.PRACTICE)
_TOLD: Final = Citation(
    "EN 50131-1", edition="2006", place="indication of setting and unsetting", mark=Mark.COPY
)
_LOWEST: Final = Citation(
    "EN 50131-1", edition="2006", place="grade of a system is that of its lowest component", mark=Mark.MEMORY
)


def judge(case: Case) -> Iterator[Finding]:
    """Every finding about panels, in the order of the job."""
    for at in case.outputs():
        for works in at.works:
            name, _, input_name = works.partition(".")
            panel = case.equipment.panels.get(f"{at.premises}/{name}")
            if panel is None:
                continue
            entry = (panel.sheet.inputs or {}).get(input_name)
            if entry is None:
                says = f"{works} is not an input that the panel's data name."
                ask = Remedy(
                    f"Describe the input {input_name} of {name}: how it reads, how fast, which loop."
                )
                yield Finding(
                    "PAN-02",
                    Link.PANEL,
                    Verdict.UNKNOWN,
                    _about(at, works),
                    says,
                    remedies=(ask,),
                    subjects=_subjects(at, name),
                )
                continue
            yield from _pulse(case, at, name, works, panel, entry)
            yield _reads(case, at, name, works, panel, entry)
            told = _told(case, at, name, works)
            if told is not None:
                yield told
    yield from judge_pulses(case)
    yield from judge_lines(case)
    yield from _grades(case)


def _pulse(
    case: Case, at: OutputAt, panel_name: str, works: str, panel: Part[PanelSheet], entry: PanelInput
) -> Iterator[Finding]:
    """PAN-01."""
    if not at.output.traits.wants_length:
        return
    about, subjects = _about(at, works), _subjects(at, panel_name)
    sources = (*panel.cite("inputs"), _PULSE)
    length = at.output.for_s
    needed = max((time for time in (entry.response_s, entry.min_pulse_s) if time is not None), default=None)
    if length is None or needed is None:
        ask = ["length of the pulse"] * (length is None) + [f"response time of {works}"] * (needed is None)
        shown = (
            f"A pulse of {write_quantity(length, 'time')}"
            if length is not None
            else "A pulse of unknown length"
        )
        says = (
            f"{shown} goes to {works}; whether it is long enough is not known. 1 s is enough for most panels."
        )
        yield Finding(
            "PAN-01",
            Link.PANEL,
            Verdict.UNKNOWN,
            about,
            says,
            value=length,
            limit=needed,
            unit="s",
            remedies=(Remedy(f"Find the {' and the '.join(ask)}."),),
            sources=sources,
            subjects=subjects,
        )
        return
    says = (
        f"The pulse of {write_quantity(length, 'time')} meets an input that needs"
        f" {write_quantity(needed, 'time')} ({works})."
    )
    because = f"Thin means less than {_SAFE_FACTOR:g} times the need: neither time is exact."
    verdict = (
        Verdict.FAILS
        if length < needed
        else Verdict.THIN
        if length < _SAFE_FACTOR * needed
        else Verdict.HOLDS
    )
    if entry.max_pulse_s is not None and length > entry.max_pulse_s:
        says = (
            f"The pulse of {write_quantity(length, 'time')} is longer than the"
            f" {write_quantity(entry.max_pulse_s, 'time')} that {works} takes for a pulse."
        )
        change = Change(_output_path(at, "for"), write_quantity(entry.max_pulse_s, "time"))
        yield Finding(
            "PAN-01",
            Link.PANEL,
            Verdict.FAILS,
            about,
            says,
            "",
            length,
            entry.max_pulse_s,
            "s",
            entry.max_pulse_s - length,
            None,
            (Remedy(f"Shorten it to {write_quantity(entry.max_pulse_s, 'time')}.", changes=(change,)),),
            sources,
            subjects,
        )
        return
    remedies = () if verdict is Verdict.HOLDS else (_longer(case, at, needed, entry.max_pulse_s),)
    yield Finding(
        "PAN-01",
        Link.PANEL,
        verdict,
        about,
        says,
        because,
        length,
        needed,
        "s",
        length - needed,
        None,
        remedies,
        sources,
        subjects,
    )


def _longer(case: Case, at: OutputAt, needed: float, most: float | None) -> Remedy:
    sheet = case.equipment.receivers[at.receiver_path].sheet
    wanted = max(_SAFE_PULSE_S, _SAFE_FACTOR * needed)
    limit = min((time for time in (most, sheet.pulse_max_s) if time is not None), default=wanted)
    if limit < needed:
        return Remedy(
            f"Put a time relay between: the receiver's pulse ends at {write_quantity(limit, 'time')}, the"
            f" input needs {write_quantity(needed, 'time')}."
        )
    length = min(wanted, limit)
    effect = f"{length / needed:.1f} times what the input needs"
    return Remedy(
        f"Make the pulse {write_quantity(length, 'time')} long.",
        effect,
        (Change(_output_path(at, "for"), write_quantity(length, "time")),),
    )


def _reads(
    case: Case, at: OutputAt, panel_name: str, works: str, panel: Part[PanelSheet], entry: PanelInput
) -> Finding:
    """PAN-02."""
    about, subjects, kind, reads = _about(at, works), _subjects(at, panel_name), at.output.traits, entry.reads
    sources = (*panel.cite("inputs", "keypad"), _STEP)

    def finding(verdict: Verdict, says: str, because: str = "", *remedies: Remedy) -> Finding:
        return Finding(
            "PAN-02",
            Link.PANEL,
            verdict,
            about,
            says,
            because,
            remedies=remedies,
            sources=sources,
            subjects=subjects,
        )

    pulse = Remedy(
        "Make the output a pulse of 1 s.",
        changes=(Change(_output_path(at, "kind"), "pulse"), Change(_output_path(at, "for"), "1 s")),
    )
    two = Remedy(
        "Use two outputs and two inputs of the panel, one to set and one to unset; neither can lose step."
    )
    if reads is None:
        return finding(
            Verdict.UNKNOWN,
            f"How {works} reads its contact is not known.",
            "",
            Remedy(
                "Find out whether the input toggles with each pulse, takes set and unset pulses apart, or"
                " follows a level."
            ),
        )
    if reads == "toggling pulse":
        if not kind.wants_length:
            return finding(
                Verdict.FAILS,
                f"Output {at.path} {kind.acts}, but {works} changes over with each pulse.",
                "Every second press would do nothing.",
                two,
                pulse,
            )
        status = _status_inputs(case, at.premises, panel_name)
        because = "One press that is lost, pressed twice, or a keypad used in between, and set means unset."
        if status:
            return finding(
                Verdict.THIN,
                f"{works} changes over with each pulse; only the status that comes back ({', '.join(status)})"
                " tells which way.",
                because,
                two,
            )
        return finding(
            Verdict.FAILS,
            f"{works} changes over with each pulse and nothing comes back: sooner or later it is unset when"
            " it should be set.",
            because,
            two,
            Remedy(
                "At the least, lead the panel's set output back to an input of the receiver, or to a lamp."
            ),
        )
    if reads in ("set pulse", "unset pulse"):
        article = "an" if reads.startswith("unset") else "a"
        if kind.wants_length:
            return finding(Verdict.HOLDS, f"{works} takes {article} {reads}; a second press does no harm.")
        return finding(
            Verdict.FAILS,
            f"Output {at.path} {kind.acts}, but {works} wants {article} {reads}.",
            "A contact that stays closed blocks the opposite command on many panels.",
            pulse,
        )
    if reads == "level":
        if not kind.keeps_state:
            return finding(
                Verdict.FAILS,
                f"{works} follows a level, but output {at.path} {kind.acts}: the system is set only"
                " while the contact is closed.",
                "",
                two,
            )
        keypad = panel.sheet.keypad
        because = (
            "After the keypad was used the contact says one thing and the panel another; the next press then"
            " seems to do nothing."
        )
        if keypad is None:
            return finding(
                Verdict.UNKNOWN,
                f"{works} follows a level; whether a keypad is used as well is not known.",
                because,
                Remedy("Ask whether anybody sets or unsets at a keypad."),
            )
        if keypad:
            return finding(
                Verdict.FAILS,
                f"{works} follows the contact of a {'toggling' if kind.turns_round else 'latched'} output,"
                " and a keypad is used as well: the two fall out of step.",
                because,
                two,
            )
        if kind.has_two_buttons:
            return finding(
                Verdict.HOLDS,
                f"{works} follows the contact of a latch: one button sets, another unsets, and repeating"
                " either does no harm.",
            )
        return finding(
            Verdict.THIN,
            f"{works} follows the contact of a toggling output; two people who press one after the other undo"
            " each other.",
            "",
            two,
        )
    if reads == "tamper":
        return finding(
            Verdict.FAILS,
            f"{works} is a tamper input; a press would raise a tamper alarm.",
            "A tamper circuit holds housings only.",
            Remedy("Use another input of the panel."),
        )
    return finding(Verdict.HOLDS, f"{works} is a zone; output {at.path} {kind.acts}.")


def _told(case: Case, at: OutputAt, panel_name: str, works: str) -> Finding | None:
    """PAN-06."""
    wanted = [
        name for name in at.functions if case.job.functions[name].kind in ("set", "unset", "set and unset")
    ]
    if not wanted:
        return None
    names = " and ".join(wanted)
    subjects = (*_subjects(at, panel_name), *(FunctionRef(name) for name in wanted))
    status = _status_inputs(case, at.premises, panel_name)
    because = (
        "Whoever presses and hears nothing believes what he hopes: left unset over a weekend, or set with"
        " somebody inside."
    )
    if status:
        says = f"The panel's state comes back to the receiver over {', '.join(status)}."
        return Finding(
            "PAN-06",
            Link.PANEL,
            Verdict.HOLDS,
            _about(at, works),
            says,
            because,
            sources=(_TOLD,),
            subjects=subjects,
        )
    panel = case.equipment.panels[f"{at.premises}/{panel_name}"].sheet
    says = f"Nothing tells the user of '{names}' that the panel took the command."
    outputs = panel.outputs or {}
    named = next(
        (name for name in outputs if name == "set"),
        next((name for name in outputs if "set" in name.split()), None),
    )
    lead = f"output {named} of {panel_name}" if named else f"an output of {panel_name} that shows 'set'"
    inputs = case.job.premises[at.premises].receivers[at.receiver].inputs
    free = str(next(number for number in range(1, len(inputs) + 2) if str(number) not in inputs))
    path = ("premises", at.premises, "receivers", at.receiver, "inputs", free)
    changes = (Change(path, {"reads": f"{panel_name}.{named}"}),) if named else ()
    remedies = (
        Remedy(
            f"Lead {lead} to a status input of {at.receiver}, or to a lamp or short sound outside.",
            changes=changes,
        ),
    )
    return Finding(
        "PAN-06",
        Link.PANEL,
        Verdict.FAILS,
        _about(at, works),
        says,
        because,
        remedies=remedies,
        sources=(_TOLD,),
        subjects=subjects,
    )


def _grades(case: Case) -> Iterator[Finding]:
    """PAN-07."""
    for path, part in case.equipment.panels.items():
        wanted, own = case.job.grade, part.sheet.grade
        if wanted is None and own is None:
            continue
        coupled = [
            at
            for at in case.outputs()
            if any(f"{at.premises}/{works.split('.')[0]}" == path for works in at.works)
        ]
        subjects = (PanelRef(path), *(OutputRef(at.path) for at in coupled))
        sources = (*part.cite("grade"), _LOWEST)
        if wanted is not None and own is not None and own < wanted:
            says = f"Grade {wanted} is wanted, but the panel {path} is of grade {own}."
            yield Finding(
                "PAN-07",
                Link.PANEL,
                Verdict.FAILS,
                path,
                says,
                "",
                float(own),
                float(wanted),
                "grade",
                float(own - wanted),
                None,
                (
                    Remedy(
                        f"Use a panel of grade {wanted}, or agree a lower grade with the insurer in writing."
                    ),
                ),
                sources,
                subjects,
            )
            continue
        if not coupled:
            continue
        yield _radio_grade(case, path, wanted if wanted is not None else own or 1, coupled, subjects, sources)


def _radio_grade(
    case: Case,
    path: str,
    grade: int,
    coupled: list[OutputAt],
    subjects: tuple[Ref, ...],
    sources: tuple[Citation, ...],
) -> Finding:
    """The lowest grade that is declared for the receivers and fobs that reach the panel."""
    receivers = {at.receiver: case.equipment.receivers[at.receiver_path] for at in coupled}
    pressed = dict.fromkeys(name for at in coupled for name in at.functions)
    groups = {
        group: case.equipment.fobs[group]
        for name in pressed
        for group, _ in case.groups_with(name)
        if group in case.equipment.fobs
    }
    declared = [(part.sheet.grade, f"receiver {name}") for name, part in receivers.items()] + [
        (part.sheet.grade, f"the fobs of {name}") for name, part in groups.items()
    ]
    unknown = [who for own, who in declared if own is None]
    known = [(own, who) for own, who in declared if own is not None]
    sources = (
        *sources,
        *(source for part in receivers.values() for source in part.cite("grade")),
        *(source for part in groups.values() for source in part.cite("grade")),
    )
    because = (
        "Receiver and fobs are ancillary control equipment: a system is only as good as its lowest part."
    )
    least, who = min(known, default=(None, ""))
    if least is not None and least < grade:
        says = f"The system is of grade {grade}; {who} is declared for grade {least} only."
        remedies = (
            Remedy(f"Use receivers and fobs of grade {grade}, or keep setting and unsetting off the radio."),
            Remedy(f"Or agree grade {least} for the whole system with the insurer in writing."),
        )
        return Finding(
            "PAN-07",
            Link.PANEL,
            Verdict.FAILS,
            path,
            says,
            because,
            float(least),
            float(grade),
            "grade",
            float(least - grade),
            None,
            remedies,
            sources,
            subjects,
        )
    if unknown:
        says = (
            f"The system is of grade {grade}; the grade of the radio coupling over {', '.join(receivers)} is"
            " not known."
        )
        ask = Remedy(
            f"Ask the makers for the grade they declare for {_some(unknown)}, or keep setting and unsetting"
            f" off the radio; the alarm company that looks after {path} signs for it."
        )
        return Finding(
            "PAN-07",
            Link.PANEL,
            Verdict.UNKNOWN,
            path,
            says,
            because,
            limit=float(grade),
            unit="grade",
            remedies=(ask,),
            sources=sources,
            subjects=subjects,
        )
    says = (
        f"The system is of grade {grade}; receivers and fobs that reach the panel are declared for grade"
        f" {least}."
    )
    return Finding(
        "PAN-07",
        Link.PANEL,
        Verdict.HOLDS,
        path,
        says,
        because,
        float(least or 0),
        float(grade),
        "grade",
        float((least or 0) - grade),
        None,
        (),
        sources,
        subjects,
    )


def _some(names: list[str]) -> str:
    shown = names[:3]
    return ", ".join(shown) + (f" and {len(names) - len(shown)} more" if len(names) > len(shown) else "")


def _status_inputs(case: Case, premises: str, panel: str) -> list[str]:
    house = case.job.premises[premises]
    return [
        f"input {number} of {name}"
        for name, box in house.receivers.items()
        for number, entry in box.inputs.items()
        if entry.reads.split(".")[0] == panel
    ]


def _about(at: OutputAt, works: str) -> str:
    return f"{at.path} to {works}"


def _subjects(at: OutputAt, panel: str) -> tuple[Ref, ...]:
    return (OutputRef(at.path), PanelRef(f"{at.premises}/{panel}"))


def _output_path(at: OutputAt, key: str) -> tuple[str, ...]:
    return ("premises", at.premises, "receivers", at.receiver, "outputs", at.number, key)
