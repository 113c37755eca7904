"""Output logic: does what the receiver's output does suit what the driven input wants?

Kind of output here; the length of pulses, toggles, power return, times, pairs and traffic stand in the
modules beside this one. Contacts and cables are judged elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, change, driven_of, moves, seconds, subjects_of
from farpress.domain.finding import Finding, Remedy, Stake
from farpress.judging.check import Answer
from farpress.judging.output.at_rest import judge_at_rest
from farpress.judging.output.clock import judge_clock
from farpress.judging.output.commons import judge_commons
from farpress.judging.output.held_start import DANGER, as_held_at_rest, is_held_at_rest, starts
from farpress.judging.output.lamp_times import judge_lamp_times
from farpress.judging.output.latch import judge_latches
from farpress.judging.output.latching import judge_latching
from farpress.judging.output.later import judge_later
from farpress.judging.output.length import SUITS_INPUT, judge_length
from farpress.judging.output.let_go import judge_let_go
from farpress.judging.output.light_goes_out import judge_lights
from farpress.judging.output.lock_return import judge_lock_return
from farpress.judging.output.pairs import judge_pairs
from farpress.judging.output.power_return import judge_power_return
from farpress.judging.output.side_by_side import judge_side_by_side
from farpress.judging.output.times import judge_times
from farpress.judging.output.toggling import judge_toggling, toggle_barred, toggles
from farpress.judging.output.turning import judge_turning
from farpress.judging.output.turns import judge_turns
from farpress.judging.output.use import judge_use

__all__ = ["judge", "toggle_barred", "toggles"]

_USUAL_PULSE_S: Final = 0.5
"""A pulse that every start input takes, unless it asks for a longer one; common practice, 0.2 to 2 s."""

_OPENING: Final = frozenset({"open only", "partial open"})
"""Inputs that may be held without turning the leaf."""


def judge(case: Case) -> Iterator[Finding]:
    """All findings about output logic."""
    for output in case.outputs():
        for driven in driven_of(case, output):
            if driven.panel is None:  # how a panel reads its inputs is judged with the panel
                yield from _suits(output, driven)
        yield from judge_toggling(case, output)
        yield from judge_power_return(case, output)
    yield from judge_times(case)
    yield from judge_pairs(case)
    yield from judge_use(case)
    yield from judge_latches(case)
    yield from judge_side_by_side(case)
    yield from judge_lights(case)
    yield from judge_later(case)
    yield from judge_latching(case)
    yield from judge_turns(case)
    yield from judge_turning(case)
    yield from judge_clock(case)
    yield from judge_lock_return(case)
    yield from judge_let_go(case)
    yield from judge_at_rest(case)
    yield from judge_commons(case)
    yield from judge_lamp_times(case)


def _suits(output: OutputAt, driven: Driven) -> Iterator[Finding]:
    """OUT-01."""
    kind = output.output.traits
    if driven.traits.is_magnet and output.output.contact == "normally open" and output.output.via is None:
        yield _magnet(output, driven)
    elif is_held_at_rest(output, driven):
        yield as_held_at_rest(SUITS_INPUT, output, driven)
    elif driven.wants is None:
        yield from _unknown_wants(output, driven)
    elif driven.wants == "pulse" and not kind.wants_length:
        yield _held_input(output, driven)
    elif kind.wants_length and (driven.wants in ("pulse", "either") or output.output.for_s is None):
        yield judge_length(output, driven)
    else:
        called = kind.name if not kind.has_two_buttons else kind.called
        yield SUITS_INPUT.decide(
            about=f"{output.path}: {driven.works}",
            subjects=subjects_of(output, driven),
            answer=Answer.YES,
            says=f"{output.path} ({called}) suits {driven.works}, which is worked as long as its contact is"
            " closed.",
            sources=(*driven.cite("inputs"), GIVEN),
        )


def _magnet(output: OutputAt, driven: Driven) -> Finding:
    return SUITS_INPUT.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=Answer.NO,
        says=f"{output.path} feeds the magnetic lock {driven.works} only while it is on: a press locks it,"
        " and otherwise it stands unlocked.",
        because="A magnetic lock holds while current flows and is released by taking the current away.",
        remedies=(
            Remedy(
                "Break the lock's supply with the normally closed contact, so that a press unlocks",
                "",
                (change(output, "contact", "normally closed"),),
            ),
        ),
        sources=(*driven.cite("device", "fails"), PRACTICE),
    )


def _unknown_wants(output: OutputAt, driven: Driven) -> Iterator[Finding]:
    if driven.device is not None and driven.kind is None and driven.input is None:
        says = f"What {driven.works} is and wants is not known, so {output.path} cannot be judged."
        ask = (
            f"Find out what device {driven.works} is, and whether its input wants a pulse or a maintained"
            " contact."
        )
    elif moves(driven) or driven.device is not None:
        says = f"Whether {driven.works} wants a pulse or a maintained contact is not known."
        ask = f"Read the description of the terminal {driven.works} in the sheet of the drive."
    else:
        return  # what is worked is not there; the job file says so
    yield SUITS_INPUT.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=Answer.UNKNOWN,
        says=says,
        asks=(ask,),
    )


def _held_input(output: OutputAt, driven: Driven) -> Finding:
    """An input that wants a pulse, on an output that gives none."""
    kind = output.output.traits
    shortest = max(_USUAL_PULSE_S, (driven.input.min_pulse_s or 0.0) if driven.input else 0.0)
    if driven.logic == "stop" and kind.while_held:
        answer = Answer.YES
        says = f"{output.path} holds the stop input {driven.works} as long as the button is held."
        because = "A longer stop does no harm."
    elif driven.logic in _OPENING and kind.while_held:
        answer = Answer.BARELY
        says = f"{output.path} follows the press, so {driven.works} is held as long as the button is."
        because = "While it is held the leaf stays open and timed closing waits."
    else:
        answer = Answer.NO
        says = (
            f"{output.path} is a {kind.name} output on {driven.works}, which wants a pulse: its contact"
            f" {kind.acts}."
        )
        because = DANGER
        if driven.logic in _OPENING:
            because = (
                "A held open command keeps the leaf open and stops timed closing: it will not close at night."
            )
    return SUITS_INPUT.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=answer,
        says=says,
        because=because,
        stake=Stake.HARM if answer is Answer.NO and kind.keeps_state and starts(driven) else None,
        remedies=(
            Remedy(
                f"Make it a pulse of {seconds(shortest)}",
                "one press, one command",
                (change(output, "kind", "pulse"), change(output, "for", seconds(shortest))),
            ),
        ),
        sources=(PRACTICE, GIVEN),
    )
