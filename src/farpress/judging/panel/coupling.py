"""Judges the coupling to an alarm panel: pulses, and kinds of input; then, room by room, the rest of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Stake, Who
from farpress.domain.panel_reads import panel_reading
from farpress.domain.parts import PanelInput, PanelSheet, Part
from farpress.domain.refs import OutputRef, PanelRef, Ref
from farpress.judging.check import AT_LEAST, AT_MOST, Answer, Check, Estimate, Limit, share_edge
from farpress.judging.panel.grades import judge_grades
from farpress.judging.panel.lines import judge_lines
from farpress.judging.panel.pulse_edge import SAFE_FACTOR
from farpress.judging.panel.status import judge_status, status_inputs
from farpress.judging.panel.told import judge_pulses
from farpress.judging.panel.zone_kind import judge_zone_kinds
from farpress.sources import Citation, Mark
from farpress.units import write_quantity

__all__ = ["LONGEST_PULSE", "PULSE_LENGTH", "READS_AS_IT_ACTS", "judge"]

SAFE_PULSE_S: Final = 1.0
"""A pulse that is enough for most panels [s]: read off the inputs of three panels."""

PULSE_LENGTH: Final = Check(
    "PAN-01",
    Link.PANEL,
    "Length of a pulse, against the time a panel input needs to notice it.",
    unit="s",
    bound=AT_LEAST,
    thin=share_edge(SAFE_FACTOR - 1, "neither the pulse nor the response of an input is exact"),
    stake=Stake.PROMISE,
    ask="Find the response time of the panel input, in its manual.",
    who=Who.ALARM_COMPANY,
    mends="A longer pulse, or a time relay between.",
)

LONGEST_PULSE: Final = Check(
    "PAN-12",
    Link.PANEL,
    "Length of a pulse, against the longest that a panel input takes for a pulse.",
    unit="s",
    bound=AT_MOST,
    stake=Stake.PROMISE,
    ask="Find how long a pulse may be, in the panel's manual.",
    who=Who.ALARM_COMPANY,
    mends="A shorter pulse.",
)

READS_AS_IT_ACTS: Final = Check(
    "PAN-02",
    Link.PANEL,
    "How an output behaves, against how the panel input reads it.",
    stake=Stake.PROMISE,
    ask="Find out how the panel input reads its contact.",
    who=Who.ALARM_COMPANY,
    minutes=5.0,
    mends="Another kind of output, or one input to set and one to unset.",
)

_PULSE_READERS: Final = frozenset({"toggling pulse", "set pulse", "unset pulse"})
"""Ways of reading for which a contact that stays closed is no pulse any more."""

_PULSE: Final = Citation(
    "pulse of 1 s or 1.5 times the response; inputs of three panels took 50 ms to 3 s",
    place="panel manuals",
    mark=Mark.COPY,
)
_STEP: Final = Citation("a toggling input loses step with a lost press or a keypad", mark=Mark.PRACTICE)


@dataclass(frozen=True)
class _Coupled:
    """An output on an input of a panel."""

    output: OutputAt
    name: str
    works: str
    panel: Part[PanelSheet]

    @property
    def about(self) -> str:
        return f"{self.output.path} to {self.works}"

    @property
    def subjects(self) -> tuple[Ref, ...]:
        return (OutputRef(self.output.path), PanelRef(f"{self.output.premises}/{self.name}"))


def judge(case: Case) -> Iterator[Finding]:
    """Every finding about panels, in the order of the job."""
    for output in case.outputs():
        for works in output.works:
            name, _, input_name = works.partition(".")
            panel = case.equipment.panels.get(f"{output.premises}/{name}")
            if panel is None:
                continue
            coupled = _Coupled(output, name, works, panel)
            entry = (panel.sheet.inputs or {}).get(input_name)
            if entry is None:
                yield _not_described(coupled, input_name)
                continue
            yield from _pulse(case, coupled, entry)
            yield _reads(case, coupled, entry)
            yield from judge_status(case, output, name, works, entry)
    yield from judge_pulses(case)
    yield from judge_lines(case)
    yield from judge_grades(case)
    yield from judge_zone_kinds(case)


def _not_described(coupled: _Coupled, input_name: str) -> Finding:
    ask = Ask(
        f"Describe the input {input_name} of {coupled.name}: how it reads, how fast, which loop.",
        Who.ALARM_COMPANY,
        5.0,
    )
    return READS_AS_IT_ACTS.decide(
        about=coupled.about,
        subjects=coupled.subjects,
        answer=Answer.UNKNOWN,
        says=f"{coupled.works} is not an input that the panel's data name.",
        asks=(ask,),
    )


def _pulse(case: Case, coupled: _Coupled, entry: PanelInput) -> Iterator[Finding]:
    """PAN-01, and PAN-12 where the input takes a longest pulse."""
    output, works = coupled.output, coupled.works
    if not output.output.traits.wants_length:
        return
    sources = (*coupled.panel.cite("inputs"), _PULSE)
    length, most = output.output.for_s, entry.max_pulse_s
    needed = max((time for time in (entry.response_s, entry.min_pulse_s) if time is not None), default=None)
    pulse = (
        "A pulse of unknown length" if length is None else f"The pulse of {write_quantity(length, 'time')}"
    )
    asks: list[str | Ask] = []
    if length is None:
        asks.append(Ask(f"Say how long the pulse of {output.path} is.", Who.INSTALLER, 1.0))
    if needed is None:
        says = f"{pulse} goes to {works}; whether it is long enough is not known."
        says += f" {SAFE_PULSE_S:g} s is enough for most panels."
    else:
        says = f"{pulse} meets an input that needs {write_quantity(needed, 'time')} ({works})."
    yield PULSE_LENGTH.judge(
        about=coupled.about,
        subjects=coupled.subjects,
        value=Estimate(length),
        limit=Limit(needed),
        says=says,
        because=f"Thin means less than {SAFE_FACTOR:g} times the need: neither time is exact.",
        asks=[
            *asks,
            *([f"Find the response time of {works} in the panel's manual."] if needed is None else []),
        ],
        remedies=lambda verdict: () if needed is None else (_longer(case, output, needed, most),),
        sources=sources,
    )
    if most is None:
        if entry.reads in _PULSE_READERS:
            yield _unknown_longest(coupled, pulse, length, sources)
        return
    longest = write_quantity(most, "time")
    yield LONGEST_PULSE.judge(
        about=coupled.about,
        subjects=coupled.subjects,
        value=Estimate(length),
        limit=Limit(most),
        says=f"{pulse} meets an input that takes up to {longest} for a pulse ({works}).",
        asks=asks,
        remedies=(
            Remedy(f"Shorten it to {longest}.", changes=(Change(_output_path(output, "for"), longest),)),
        ),
        sources=sources,
    )


def _unknown_longest(
    coupled: _Coupled, pulse: str, length: float | None, sources: tuple[Citation, ...]
) -> Finding:
    """PAN-12 of an input of which nobody says how long a pulse may be."""
    works = coupled.works
    return LONGEST_PULSE.judge(
        about=coupled.about,
        subjects=coupled.subjects,
        value=Estimate(length),
        limit=Limit(None),
        says=f"{pulse} goes to {works}; how long a pulse may be there is not known.",
        asks=(f"Find how long a pulse at {works} may be, in the panel's manual.",),
        sources=sources,
    )


def _longer(case: Case, output: OutputAt, needed: float, most: float | None) -> Remedy:
    sheet = case.equipment.receivers[output.receiver_path].sheet
    wanted = max(SAFE_PULSE_S, SAFE_FACTOR * needed)
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
        (Change(_output_path(output, "for"), write_quantity(length, "time")),),
    )


@dataclass(frozen=True)
class _Fit:
    """Whether an output acts as an input reads, and why."""

    answer: Answer
    says: str
    because: str = ""
    asks: tuple[Ask, ...] = ()
    remedies: tuple[Remedy, ...] = ()


_TWO: Final = Remedy(
    "Use two outputs and two inputs of the panel, one to set and one to unset; neither can lose step."
)


def _reads(case: Case, coupled: _Coupled, entry: PanelInput) -> Finding:
    """PAN-02."""
    fit = _fit(case, coupled, entry)
    return READS_AS_IT_ACTS.decide(
        about=coupled.about,
        subjects=coupled.subjects,
        answer=fit.answer,
        says=fit.says,
        because=fit.because,
        asks=fit.asks,
        remedies=fit.remedies,
        sources=(*coupled.panel.cite("inputs", "keypad"), _STEP),
    )


def _fit(case: Case, coupled: _Coupled, entry: PanelInput) -> _Fit:
    output, works, reads = coupled.output, coupled.works, entry.reads
    acts = f"output {output.path} {output.output.traits.acts}"
    if reads is None:
        ask = Ask(
            f"Find out whether {works} toggles with each pulse, takes set and unset pulses apart, or follows"
            " a level.",
            Who.ALARM_COMPANY,
            5.0,
        )
        return _Fit(Answer.UNKNOWN, f"How {works} reads its contact is not known.", asks=(ask,))
    kind = panel_reading(reads)
    if kind.turns_round:
        return _toggling(case, coupled, acts)
    if kind.is_pulse:
        article = kind.article
        if output.output.traits.wants_length:
            return _Fit(Answer.YES, f"{works} takes {article} {reads}; a second press does no harm.")
        return _Fit(
            Answer.NO,
            f"O{acts[1:]}, but {works} wants {article} {reads}.",
            "A contact that stays closed blocks the opposite command on many panels.",
            remedies=(_make_pulse(output),),
        )
    if reads == "level":
        return _level(coupled, acts)
    if reads == "tamper":
        return _Fit(
            Answer.NO,
            f"{works} is a tamper input; a press would raise a tamper alarm.",
            "A tamper circuit holds housings only.",
            remedies=(Remedy("Use another input of the panel."),),
        )
    return _Fit(Answer.YES, f"{works} is a zone; {acts}.")


def _toggling(case: Case, coupled: _Coupled, acts: str) -> _Fit:
    output, works = coupled.output, coupled.works
    if not output.output.traits.wants_length:
        return _Fit(
            Answer.NO,
            f"O{acts[1:]}, but {works} changes over with each pulse.",
            "Every second press would do nothing.",
            remedies=(_TWO, _make_pulse(output)),
        )
    status = status_inputs(case, output.premises, coupled.name)
    because = "One press that is lost, pressed twice, or a keypad used in between, and set means unset."
    if status:
        return _Fit(
            Answer.BARELY,
            f"{works} changes over with each pulse; only the status that comes back ({', '.join(status)})"
            " tells which way.",
            because,
            remedies=(_TWO,),
        )
    lead = Remedy("At the least, lead the panel's set output back to an input of the receiver, or to a lamp.")
    return _Fit(
        Answer.NO,
        f"{works} changes over with each pulse and nothing comes back: sooner or later it is unset when"
        " it should be set.",
        because,
        remedies=(_TWO, lead),
    )


def _level(coupled: _Coupled, acts: str) -> _Fit:
    kind, works, keypad = coupled.output.output.traits, coupled.works, coupled.panel.sheet.keypad
    if not kind.keeps_state:
        return _Fit(
            Answer.NO,
            f"{works} follows a level, but {acts}: the system is set only while the contact is closed.",
            remedies=(_TWO,),
        )
    because = (
        "After the keypad was used the contact says one thing and the panel another; the next press then"
        " seems to do nothing."
    )
    if keypad is None:
        ask = Ask("Ask whether anybody sets or unsets at a keypad.", Who.CUSTOMER, 2.0)
        says = f"{works} follows a level; whether a keypad is used as well is not known."
        return _Fit(Answer.UNKNOWN, says, because, asks=(ask,))
    if keypad:
        return _Fit(
            Answer.NO,
            f"{works} follows the contact of a {'toggling' if kind.turns_round else 'latched'} output,"
            " and a keypad is used as well: the two fall out of step.",
            because,
            remedies=(_TWO,),
        )
    if kind.has_two_buttons:
        return _Fit(
            Answer.YES,
            f"{works} follows the contact of a latch: one button sets, another unsets, and repeating"
            " either does no harm.",
        )
    return _Fit(
        Answer.BARELY,
        f"{works} follows the contact of a toggling output; two people who press one after the other undo"
        " each other.",
        remedies=(_TWO,),
    )


def _make_pulse(output: OutputAt) -> Remedy:
    length = write_quantity(SAFE_PULSE_S, "time")
    return Remedy(
        f"Make the output a pulse of {length}.",
        changes=(Change(_output_path(output, "kind"), "pulse"), Change(_output_path(output, "for"), length)),
    )


def _output_path(output: OutputAt, key: str) -> tuple[str, ...]:
    return ("premises", output.premises, "receivers", output.receiver, "outputs", output.number, key)
