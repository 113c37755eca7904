"""A start input that is held closed: far too long a pulse, an output that stays on, a break contact.

What a drive does with such a contact nobody tells from outside: it may take no other press, or start its
leaf anew as soon as an edge, a stop or a power cut has let go of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from farpress.case.case import OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, change, moves, seconds, subjects_of
from farpress.domain.believable import START_PULSE
from farpress.domain.finding import Ask, Finding, Remedy, Stake, Who
from farpress.judging.check import Answer, Check

__all__ = ["DANGER", "as_held", "as_held_at_rest", "is_held", "is_held_at_rest", "starts"]

DANGER: Final = (
    "A start input that is held may start it again by itself, after an edge, a stop or a power cut has halted"
    " it, and takes no other press meanwhile."
)
"""Common practice, no source; each drive has its own way, which only its sheet or a trial tells."""

_STARTS: Final = frozenset({"start", "close"})
"""Commands that set something going, as far as a closed contact repeats them; opening only keeps it open."""

_RUNS: Final = frozenset({"open only", "partial open", "up", "down", "on", "start", "close"})
"""Commands that a contact closed at rest gives without anybody's press."""

_USUAL_S: Final = 0.5


def starts(driven: Driven) -> bool:
    """Whether a closed contact at this input sets going what can hurt somebody."""
    return driven.logic in _STARTS and (moves(driven) or bool(driven.traits.hurts) or driven.traits.is_unsaid)


def is_held(output: OutputAt, driven: Driven) -> bool:
    """Whether a pulse on a start input is so long that no command can be meant, and no sheet takes it."""
    for_s = output.output.for_s
    longest = driven.input.max_pulse_s if driven.input else None
    return (
        for_s is not None
        and driven.wants == "pulse"
        and driven.logic in _STARTS
        and for_s > START_PULSE.high
        and (longest is None or for_s > longest)
    )


def as_held(check: Check, output: OutputAt, driven: Driven) -> Finding:
    """The judgement on such a pulse, with the length that was probably meant."""
    for_s = output.output.for_s or 0.0
    longest = driven.input.max_pulse_s if driven.input else None
    most = longest if longest is not None else START_PULSE.high
    return check.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=Answer.NO,
        value=for_s,
        limit=most,
        says=f"The pulse of {output.path} lasts {_given(for_s)}: {driven.works} is held closed all that"
        f" time, and takes at most {seconds(most)} for one command.",
        because=DANGER,
        asks=(Ask(_question(output, for_s), Who.INSTALLER, 1.0),),
        remedies=_remedies(output, driven, for_s, most),
        stake=Stake.HARM if starts(driven) else None,
        sources=(*driven.cite("inputs"), PRACTICE, GIVEN),
    )


def is_held_at_rest(output: OutputAt, driven: Driven) -> bool:
    """Whether a break contact gives a command of something that moves or hurts, as long as nobody presses."""
    can_hurt = moves(driven) or bool(driven.traits.hurts)
    is_straight = output.output.contact == "normally closed" and output.output.via is None
    return is_straight and can_hurt and driven.logic in _RUNS


def as_held_at_rest(check: Check, output: OutputAt, driven: Driven) -> Finding:
    """The judgement on such a contact."""
    return check.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=Answer.NO,
        says=f"{output.path} closes {driven.works} by its break contact: the command stands all the time,"
        " and only a press takes it away.",
        because=DANGER if driven.wants == "pulse" else "It runs whenever nobody presses.",
        remedies=(Remedy("Use the make contact", "", (change(output, "contact", "normally open"),)),),
        stake=Stake.HARM,
        sources=(*driven.cite("inputs"), PRACTICE, GIVEN),
    )


def _question(output: OutputAt, for_s: float) -> str:
    likely = START_PULSE.likely(for_s)
    if likely is None:
        return f"{_given(for_s)} for the pulse of {output.path}: how long shall one command last?"
    return f"{_given(for_s)} for the pulse of {output.path}: was {seconds(likely)} meant?"


def _remedies(output: OutputAt, driven: Driven, for_s: float, most: float) -> Sequence[Remedy]:
    shortest = (driven.input.min_pulse_s or 0.0) if driven.input else 0.0
    likely = START_PULSE.likely(for_s)
    length_s = likely if likely is not None and shortest <= likely <= most else max(_USUAL_S, shortest)
    length = seconds(min(length_s, most))
    meant = f", which {_given(for_s)} was perhaps meant to be" if length_s == likely else ""
    return (Remedy(f"Make the pulse {length}{meant}", "", (change(output, "for", length),)),)


def _given(for_s: float) -> str:
    """In seconds, as a typing slip is seen there, and as it is said."""
    said = seconds(for_s)
    return said if said == f"{for_s:g} s" else f"{for_s:g} s ({said})"
