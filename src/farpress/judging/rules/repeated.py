"""Rules about what repeated presses do: they turn it round, leave it out of step, hold it.

Each function takes the case, the rule and the outputs it names, and yields rulings; `built` makes findings
of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.behaviour import second_press_counts
from farpress.case.case import Case, OutputAt
from farpress.case.citations import PRACTICE, PRESSES
from farpress.case.driven import (
    Driven,
    alarm,
    change,
    driven_of,
    moves,
    presses_per_second,
    seconds,
    subjects_of,
)
from farpress.core.rehearsal.barrier import share_another_press
from farpress.core.rehearsal.parity import share_out_of_step
from farpress.domain.finding import Remedy
from farpress.domain.job import Rule
from farpress.judging.check import Answer
from farpress.judging.device.safeguards import ask_what_it_does
from farpress.judging.output.suits import toggles
from farpress.judging.rules.ruling import Ruling

__all__ = ["alarm_despite_unsetting", "held_on_start", "never_toggles", "out_of_step", "second_press"]

LONGEST_PULSE_S: Final = 2.0
"""The longest pulse a start input takes as a short press where its sheet says nothing; common practice."""

PRESSES_LOOKED_AT: Final = 20
HEARD_SHARE: Final = 0.95
"""After so many presses, of which such a share is heard, belief and state are compared; our choice."""


def second_press(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never a second press that counts within a time."""
    limit = rule.for_s or 0.0
    for output in outputs:
        for driven in driven_of(case, output):
            about, subjects, counts = (
                f"{output.path}: {driven.works}",
                subjects_of(output, driven),
                second_press_counts(driven),
            )
            lockout = driven.input.lockout_s if driven.input is not None else None
            if counts is False or (lockout is not None and lockout >= limit):
                why = (
                    f"it takes no command for {lockout:g} s after one"
                    if lockout is not None and lockout >= limit
                    else "further presses while it opens change nothing"
                )
                yield Ruling(
                    Answer.YES,
                    f"A second press of {driven.works} within {seconds(limit)} does nothing: {why}.",
                    "",
                    about,
                    sources=driven.cite("inputs"),
                    subjects=subjects,
                )
                continue
            rate = presses_per_second(case, output)
            number = (
                f" It happens in {share_another_press(rate_per_s=rate[0], within_s=limit):.0%} of all uses"
                f" ({rate[1]})."
                if rate is not None
                else ""
            )
            fix = (Remedy("Use an open-only input, with timed closing and its safeguards"),)
            if counts:
                yield Ruling(
                    Answer.NO,
                    f"A second press of {driven.works} within {seconds(limit)} stops or turns it.{number}",
                    "",
                    about,
                    remedies=fix,
                    sources=(*driven.cite("inputs"), PRESSES),
                    subjects=subjects,
                )
            else:
                yield Ruling(
                    Answer.UNKNOWN,
                    f"Whether a second press of {driven.works} stops or turns it is not known.{number}",
                    "Press twice in a row and watch.",
                    about,
                    remedies=fix,
                    subjects=subjects,
                )


def out_of_step(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never a state out of step: no toggling, no level beside a keypad."""
    for output in outputs:
        for driven in driven_of(case, output):
            about, subjects = f"{output.path}: {driven.works}", subjects_of(output, driven)
            if driven.reads == "level":
                keypad = driven.panel.sheet.keypad if driven.panel is not None else None
                if keypad is None:
                    yield Ruling(
                        Answer.UNKNOWN,
                        f"{driven.works} follows a level; whether a keypad is used as well is not known.",
                        "Ask whether anybody sets or unsets at a keypad.",
                        about,
                        subjects=subjects,
                    )
                    continue
                if keypad:
                    yield Ruling(
                        Answer.NO,
                        f"{driven.works} follows a level and the panel has a keypad too.",
                        "Once the keypad has been used, contact and panel disagree.",
                        about,
                        remedies=(
                            Remedy("Separate set and unset pulse inputs, with the set output read back"),
                        ),
                        sources=driven.cite("keypad", "inputs"),
                        subjects=subjects,
                    )
                    continue
            if toggles(output, driven):
                wrong = share_out_of_step(presses=PRESSES_LOOKED_AT, heard_share=HEARD_SHARE)
                says = (
                    f"{output.path} toggles {driven.works}: if {HEARD_SHARE:.0%} of presses are heard, after"
                    f" {PRESSES_LOOKED_AT} presses belief and state differ in {wrong:.0%}."
                )
                yield Ruling(
                    None,
                    says,
                    "Each unheard press turns it round.",
                    about,
                    value=wrong,
                    limit=0.0,
                    remedies=(
                        Remedy(
                            "Separate commands for either state",
                            "two presses, of which 9 in 10 are heard, leave it wrong in 1 %",
                        ),
                    ),
                    sources=(PRESSES,),
                    subjects=subjects,
                )
            else:
                says = f"{output.path} gives {driven.works} a command of its own; repeating it does no harm."
                yield Ruling(
                    Answer.YES,
                    says,
                    (
                        "A press that is not heard at all still leaves it as it was: watch the indication."
                        if alarm(driven)
                        else ""
                    ),
                    about,
                    sources=(PRESSES,),
                    subjects=subjects,
                )


def alarm_despite_unsetting(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never an alarm although a press to unset was heard in the entry time: no level beside a keypad, no
    pulse too short.
    """
    for output in outputs:
        for driven in driven_of(case, output):
            if driven.panel is None or not driven.reading.unsets:
                continue
            about, subjects, sheet = (
                f"{output.path}: {driven.works}",
                subjects_of(output, driven),
                driven.panel.sheet,
            )
            if sheet.entry_s is None:
                yield Ruling(
                    Answer.UNKNOWN,
                    f"The entry time of {driven.path} is not known.",
                    "Read it from the panel, and write 'entry'.",
                    about,
                    subjects=subjects,
                )
            elif sheet.entry_s <= 0 or sheet.detectors == "no entry route":
                yield Ruling(
                    Answer.UNKNOWN,
                    f"{driven.path} has no entry time: whoever comes in before unsetting raises the alarm.",
                    "Unset before the door is opened, and tell the users so.",
                    about,
                    never_matters=True,
                    subjects=subjects,
                )
            elif driven.reads == "level" and sheet.keypad is not False:
                yield Ruling(
                    Answer.of(None if sheet.keypad is None else False),
                    f"{driven.works} follows a level: where the"
                    f" keypad{'' if sheet.keypad else ', if there is one,'} has set the panel, a press to"
                    " unset does nothing and the entry time runs out.",
                    "Once the keypad has been used, contact and panel disagree.",
                    about,
                    remedies=(Remedy("Separate set and unset pulse inputs, with the set output read back"),),
                    sources=driven.cite("keypad", "inputs", "entry"),
                    subjects=subjects,
                )
            else:
                yield Ruling(
                    Answer.YES,
                    f"A press of {output.path} that is heard unsets {driven.path} before its entry time of"
                    f" {seconds(sheet.entry_s)} is over.",
                    "A press that is not heard does not: watch the indication.",
                    about,
                    sources=driven.cite("inputs", "entry"),
                    subjects=subjects,
                )


def never_toggles(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never toggles: neither the output nor the panel's input."""
    for output in outputs:
        worked = driven_of(case, output)
        by = next((f"the input {driven.works}" for driven in worked if toggles(output, driven)), "")
        if output.output.traits.turns_round:
            by = "the output"
        step = next((driven.works for driven in worked if second_press_counts(driven)), "")
        subjects = subjects_of(output, *worked)
        if by:
            yield Ruling(
                Answer.NO,
                f"{output.path}: {by} toggles.",
                "",
                output.path,
                remedies=(Remedy("A pulse of fixed length, or a command for either state"),),
                subjects=subjects,
            )
        elif step:
            yield Ruling(
                Answer.NO,
                f"{output.path} gives a pulse, but each press of {step} turns it round: open, stop,"
                " close, stop.",
                "",
                output.path,
                remedies=(Remedy("Use an open-only input"),),
                subjects=subjects,
            )
        elif dark := next((driven.works for driven in worked if _may_turn_round(driven)), ""):
            yield Ruling(
                Answer.UNKNOWN,
                f"{output.path} does not toggle; what a press of {dark} does is not said.",
                "It may turn round with each press.",
                output.path,
                asks=(ask_what_it_does(dark),),
                subjects=subjects,
            )
        else:
            yield Ruling(Answer.YES, f"{output.path} does not toggle.", "", output.path, subjects=subjects)


def _may_turn_round(driven: Driven) -> bool:
    """Whether it is an input of something that moves, and nobody says what it does."""
    return driven.panel is None and moves(driven) and driven.logic is None and "." in driven.works


def held_on_start(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never held on a start input: short pulses only."""
    has_start = False
    for output in outputs:
        for driven in driven_of(case, output):
            if driven.wants != "pulse" or driven.panel is not None:
                continue
            has_start = True
            about, subjects = f"{output.path}: {driven.works}", subjects_of(output, driven)
            longest = (driven.input.max_pulse_s if driven.input is not None else None) or LONGEST_PULSE_S
            for_s = output.output.for_s
            if not output.output.traits.wants_length or (for_s is not None and for_s > longest):
                held = (
                    f"a pulse of {seconds(for_s)}"
                    if output.output.traits.wants_length and for_s is not None
                    else f"a {output.output.kind} output"
                )
                fix = (
                    Remedy(
                        "A pulse of 0.5 s",
                        "",
                        (change(output, "kind", "pulse"), change(output, "for", "0.5 s")),
                    ),
                )
                yield Ruling(
                    None if output.output.traits.wants_length else Answer.NO,
                    f"{output.path} holds {driven.works}: {held}.",
                    "",
                    about,
                    value=for_s if output.output.traits.wants_length else None,
                    limit=longest,
                    remedies=fix,
                    sources=(PRACTICE,),
                    subjects=subjects,
                )
            elif for_s is None:
                yield Ruling(
                    None,
                    f"The length of the pulse of {output.path} is not given.",
                    "",
                    about,
                    limit=longest,
                    asks=(f"Say how long the pulse of {output.path} is.",),
                    subjects=subjects,
                )
            else:
                yield Ruling(
                    None,
                    f"{output.path} gives {driven.works} a pulse of {seconds(for_s)} only.",
                    "",
                    about,
                    value=for_s,
                    limit=longest,
                    sources=driven.cite("inputs"),
                    subjects=subjects,
                )
    if not has_start and rule.of:
        yield Ruling(Answer.UNKNOWN, "none of it works a start input.", never_matters=True)
