"""Output logic: does what the receiver's output does suit what the driven input wants?

Kind and length of the pulse, toggles, power return; times, pairs and traffic stand in the
modules beside this one. Contacts and cables are judged elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import CHOICE, GIVEN, MACHINES, PRACTICE, PRESSES
from farpress.case.driven import (
    Driven,
    alarm,
    change,
    driven_of,
    function_kinds,
    group_text,
    known_holders,
    moves,
    seconds,
    subjects_of,
)
from farpress.core.rehearsal.parity import share_odd
from farpress.domain.cautions import CAUTIONS
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.domain.refs import Ref
from farpress.judging.output.latch import judge_latches
from farpress.judging.output.pairs import judge_pairs
from farpress.judging.output.times import judge_times
from farpress.judging.output.use import judge_use

__all__ = ["CODES", "after_power_return", "judge", "toggle_barred", "toggles"]

CODES: Final[dict[str, str]] = {
    "OUT-01": (
        "Kind and length of an output against what the driven input wants: pulse, maintained contact,"
        " shortest and longest pulse."
    ),
    "OUT-02": "Toggling where a known state is needed, and how surely a toggled state is known otherwise.",
    "OUT-03": "A press held for the whole travel against the time after which the fob gives up by itself.",
    "OUT-04": "After the power returns nothing that moves, waters, heats or sounds may come on by itself.",
    "OUT-05": "How long an output can stay on, against the longest run of what it works.",
    "OUT-06": "Up and down of one motor never together, and the pause before it turns round.",
    "OUT-07": "Another press during the movement, where a second press stops or turns the leaf.",
    "OUT-08": "Functions and outputs that lead nowhere.",
    "OUT-09": "Two-button latch: one button switches it on, another off, and no press does both.",
}

LONG_PULSE_S: Final = 10.0
"""A pulse that could be resumed after a power cut and matter; our choice."""

PULSE_LONGEST_S: Final = 2.0
"""A start contact closed longer counts as held where the sheet gives no limit; common practice, 0.2 to 2
s."""

_START: Final = frozenset({"start", "open only", "partial open", "close"})


def judge(case: Case) -> Iterator[Finding]:
    """All findings about output logic."""
    for at in case.outputs():
        for one in driven_of(case, at):
            if one.panel is None:  # how a panel reads its inputs is judged with the panel
                yield from _kind_and_length(at, one)
        yield from _toggle(case, at)
        yield from _power_return(case, at)
    yield from judge_times(case)
    yield from judge_pairs(case)
    yield from judge_use(case)
    yield from judge_latches(case)


def _kind_and_length(at: OutputAt, one: Driven) -> Iterator[Finding]:
    about, subjects = f"{at.path}: {one.works}", subjects_of(at, one)
    if one.traits.is_magnet and at.output.contact == "normally open" and at.output.via is None:
        says = (
            f"{at.path} feeds the magnetic lock {one.works} only while it is on: a press locks it, and"
            " otherwise it stands unlocked."
        )
        yield Finding(
            "OUT-01",
            Link.OUTPUT,
            Verdict.FAILS,
            about,
            says,
            "A magnetic lock holds while current flows and is released by taking the current away.",
            remedies=(
                Remedy(
                    "Break the lock's supply with the normally closed contact, so that a press unlocks",
                    "",
                    (change(at, "contact", "normally closed"),),
                ),
            ),
            sources=(*one.cite("device", "fails"), PRACTICE),
            subjects=subjects,
        )
        return
    if one.wants is None:
        if one.device is not None and one.kind is None and one.input is None:
            says = f"What {one.works} is and wants is not known, so {at.path} cannot be judged."
            yield Finding(
                "OUT-01",
                Link.OUTPUT,
                Verdict.UNKNOWN,
                about,
                says,
                "Ask what device it is and whether its input wants a pulse or a maintained contact.",
                subjects=subjects,
            )
        elif moves(one):
            says = f"Whether {one.works} wants a pulse or a maintained contact is not known."
            yield Finding(
                "OUT-01",
                Link.OUTPUT,
                Verdict.UNKNOWN,
                about,
                says,
                "Read the terminal's description in the sheet of the drive or panel.",
                subjects=subjects,
            )
        return
    sources = (*one.cite("inputs"), GIVEN)
    kind = at.output.kind
    if one.wants == "pulse" and kind != "pulse":
        yield _held_input(at, one, about, subjects)
    elif kind == "pulse" and at.output.for_s is None:
        says = f"{at.path} gives a pulse to {one.works}, but its length is not given."
        yield Finding(
            "OUT-01",
            Link.OUTPUT,
            Verdict.UNKNOWN,
            about,
            says,
            "Write how long the pulse lasts, as 'for: 0.5 s'.",
            subjects=subjects,
        )
    elif kind == "pulse" and one.wants in ("pulse", "either") and at.output.for_s is not None:
        yield from _length(at, one, at.output.for_s, about, subjects)
    else:
        says = (
            f"{at.path} ({at.output.traits.called}) suits {one.works}, which is"
            " worked as long as its contact is closed."
        )
        yield Finding("OUT-01", Link.OUTPUT, Verdict.HOLDS, about, says, sources=sources, subjects=subjects)


def _held_input(at: OutputAt, one: Driven, about: str, subjects: tuple[Ref, ...]) -> Finding:
    kind = at.output.kind
    shortest = max(0.5, (one.input.min_pulse_s or 0.0) if one.input else 0.0)
    remedy = Remedy(
        f"Make it a pulse of {seconds(shortest)}",
        "one press, one command",
        (change(at, "kind", "pulse"), change(at, "for", seconds(shortest))),
    )
    if one.logic == "stop" and at.output.traits.while_held:
        says = f"{at.path} holds the stop input {one.works} as long as the button is held."
        return Finding(
            "OUT-01",
            Link.OUTPUT,
            Verdict.HOLDS,
            about,
            says,
            "A longer stop does no harm.",
            sources=(PRACTICE,),
            subjects=subjects,
        )
    if one.logic in ("open only", "partial open") and at.output.traits.while_held:
        says = f"{at.path} follows the press, so {one.works} is held as long as the button is."
        because = "While it is held the leaf stays open and timed closing waits."
        return Finding(
            "OUT-01",
            Link.OUTPUT,
            Verdict.THIN,
            about,
            says,
            because,
            remedies=(remedy,),
            sources=(PRACTICE,),
            subjects=subjects,
        )
    how = at.output.traits.acts
    says = f"{at.path} is a {kind} output on {one.works}, which wants a pulse: its contact {how}."
    if one.logic in ("open only", "partial open"):
        because = (
            "A held open command keeps the leaf open and stops timed closing: it will not close at night."
        )
    else:
        because = (
            "A start input that is held stops or turns the leaf, or blocks its closing, depending on the"
            " drive."
        )
    return Finding(
        "OUT-01",
        Link.OUTPUT,
        Verdict.FAILS,
        about,
        says,
        because,
        remedies=(remedy,),
        sources=(PRACTICE, GIVEN),
        subjects=subjects,
    )


def _length(
    at: OutputAt, one: Driven, for_s: float, about: str, subjects: tuple[Ref, ...]
) -> Iterator[Finding]:
    shortest = one.input.min_pulse_s if one.input else None
    longest = one.input.max_pulse_s if one.input else None
    sources = (*one.cite("inputs"), GIVEN)
    if shortest is not None and for_s < shortest:
        better = 1.5 * shortest
        if longest is not None:
            better = min(better, (shortest + longest) / 2)
        remedy = Remedy(
            f"Make the pulse {seconds(better)}",
            f"{seconds(better)} against {seconds(shortest)} needed",
            (change(at, "for", seconds(better)),),
        )
        says = (
            f"The pulse of {at.path} lasts {seconds(for_s)}; {one.works} needs at least {seconds(shortest)}"
            " and will not see it."
        )
        yield Finding(
            "OUT-01",
            Link.OUTPUT,
            Verdict.FAILS,
            about,
            says,
            "An input does not notice a pulse shorter than its own response.",
            for_s,
            shortest,
            "s",
            for_s - shortest,
            remedies=(remedy,),
            sources=sources,
            subjects=subjects,
        )
        return
    if longest is not None and for_s > longest:
        remedy = Remedy(
            f"Make the pulse {seconds(longest)} or shorter",
            "",
            (change(at, "for", seconds(min(longest, max(0.5, shortest or 0.0)))),),
        )
        says = f"The pulse of {at.path} lasts {seconds(for_s)}; {one.works} takes at most {seconds(longest)}."
        yield Finding(
            "OUT-01",
            Link.OUTPUT,
            Verdict.FAILS,
            about,
            says,
            "A longer closure counts as another command or as a held contact.",
            for_s,
            longest,
            "s",
            longest - for_s,
            remedies=(remedy,),
            sources=sources,
            subjects=subjects,
        )
        return
    if longest is None and one.wants == "pulse" and one.logic in _START and for_s > PULSE_LONGEST_S:
        says = (
            f"The pulse of {at.path} lasts {seconds(for_s)}; start contacts are usually closed for 0.2 to"
            " 2 s."
        )
        yield Finding(
            "OUT-01",
            Link.OUTPUT,
            Verdict.THIN,
            about,
            says,
            f"Ask how {one.works} takes a contact that stays closed.",
            for_s,
            PULSE_LONGEST_S,
            "s",
            PULSE_LONGEST_S - for_s,
            remedies=(Remedy("Make the pulse 0.5 s", "", (change(at, "for", "0.5 s"),)),),
            sources=(PRACTICE,),
            subjects=subjects,
        )
        return
    margins = [] if shortest is None else [for_s - shortest]
    margins += [] if longest is None else [longest - for_s]
    margin = min(margins, default=None)
    is_thin = shortest is not None and for_s < 1.1 * shortest
    says = f"The pulse of {at.path} lasts {seconds(for_s)}; {one.works} " + (
        f"needs at least {seconds(shortest)}." if shortest is not None else "wants a pulse."
    )
    because = (
        "Within 10 % of the shortest pulse, and clocks differ: make it half as long again." if is_thin else ""
    )
    yield Finding(
        "OUT-01",
        Link.OUTPUT,
        Verdict.THIN if is_thin else Verdict.HOLDS,
        about,
        says,
        because,
        for_s,
        shortest,
        "s",
        margin,
        sources=sources,
        subjects=subjects,
    )


def toggles(at: OutputAt, one: Driven | None) -> bool:
    """Whether each press turns the state round: by the output, or by the panel's own input."""
    return at.output.traits.turns_round or (one is not None and one.reads == "toggling pulse")


def toggle_barred(case: Case, at: OutputAt, one: Driven) -> str | None:
    """Why a toggle is refused on what an output works; None where it is not."""
    kinds = function_kinds(case, at)
    if alarm(one) or kinds & {"set", "unset", "set and unset"}:
        return "setting and unsetting an alarm"
    for kind, what in (("water", "water"), ("heat", "heat"), ("sound", "a sounder")):
        if kind in kinds:
            return what
    if one.traits.not_toggled:
        return one.traits.not_toggled
    if one.sheet.escape_route and (one.traits.is_lock or one.logic == "release"):
        return "the lock of an escape door"
    return None


def _toggle(case: Case, at: OutputAt) -> Iterator[Finding]:
    for one in driven_of(case, at):
        if not toggles(at, one):
            continue
        about, subjects = f"{at.path}: {one.works}", subjects_of(at, one)
        barred = toggle_barred(case, at, one)
        if barred is not None:
            by = "the output toggles" if at.output.traits.turns_round else "the panel's input toggles"
            says = f"{at.path} works {one.works} and {by}: refused for {barred}."
            because = (
                "A lost press, or a second one, leaves it the other way round and nobody knows; the state"
                " must follow from the command."
            )
            if barred == "setting and unsetting an alarm":
                because += f" {CAUTIONS['alarm']}"
                remedies = (
                    Remedy(
                        "Separate buttons and outputs for set and unset, on separate inputs of the panel,"
                        " with its set output read back",
                        "a repeated press then does no harm",
                    ),
                )
            else:
                remedies = (
                    Remedy(
                        "Make it a pulse of fixed length, or a latch with a button for on and one for off",
                        "the state follows from the command",
                    ),
                )
            yield Finding(
                "OUT-02",
                Link.OUTPUT,
                Verdict.FAILS,
                about,
                says,
                because,
                remedies=remedies,
                sources=(PRACTICE, GIVEN),
                subjects=subjects,
            )
        elif at.output.traits.turns_round and one.wants != "pulse":
            yield from _parity(case, at, one, about, subjects)


def _parity(
    case: Case, at: OutputAt, one: Driven, about: str, subjects: tuple[Ref, ...]
) -> Iterator[Finding]:
    people = known_holders(case, at)
    if people is None:
        return
    if people < 2:
        says = f"{at.path} toggles {one.works}; only {group_text(people)} can press it."
        yield Finding(
            "OUT-02",
            Link.OUTPUT,
            Verdict.HOLDS,
            about,
            says,
            "One person who sees it knows how it stands.",
            sources=(GIVEN,),
            subjects=subjects,
        )
        return
    wrong = share_odd(shares=[0.9, 0.9])
    spread = share_odd(shares=[0.3] * min(people, 4))
    says = (
        f"{at.path} toggles {one.works} for {group_text(people)}: two who each switch it nine times in ten"
        f" leave it wrong in {wrong:.0%}, {min(people, 4)} who switch it three times in ten in {spread:.0%}."
    )
    because = (
        "After several presses only an odd or even number counts; a toggle is good only for what is seen when"
        " pressing."
    )
    remedies = (
        Remedy(
            "A two-button latch: one button switches on, another off; or a retriggerable time",
            "the last press decides",
        ),
    )
    yield Finding(
        "OUT-02",
        Link.OUTPUT,
        Verdict.THIN,
        about,
        says,
        because,
        max(wrong, spread),
        0.05,
        "",
        0.05 - max(wrong, spread),
        remedies=remedies,
        sources=(PRESSES, CHOICE),
        subjects=subjects,
    )


def after_power_return(case: Case, at: OutputAt) -> str:
    """How an output stands once power is back: `off`, `on`, `as before` or `unknown`.

    A pulse and a follow output fall off and stay off unless the job says otherwise; a
    long pulse is unknown until somebody has asked, because some receivers resume it.
    """
    stated = at.output.after_power_return
    part = case.equipment.receivers.get(at.receiver_path)
    keeps_state = at.output.traits.keeps_state
    if stated is None and keeps_state and part is not None:
        stated = part.sheet.toggle_after_power_return
    if stated is None and not keeps_state:
        is_long = at.output.traits.wants_length and (at.output.for_s or 0.0) > LONG_PULSE_S
        stated = "unknown" if is_long else "off"
    state = stated or "unknown"
    return "on" if state == "off" and at.output.contact == "normally closed" else state


def _power_return(case: Case, at: OutputAt) -> Iterator[Finding]:
    kinds = function_kinds(case, at)
    driven = [one for one in driven_of(case, at) if _dangerous(one, kinds)]
    if not driven:
        return
    what, state = driven[0], after_power_return(case, at)
    about, subjects = at.path, subjects_of(at, *driven)
    sources = (MACHINES, GIVEN)
    remedy = Remedy(
        "Choose 'off' after power return, and prove it by switching the supply off three times",
        "",
        (change(at, "after_power_return", "off"),),
    )
    if state == "off":
        says = f"After the power returns {at.path} stays off; {what.works} is not worked by itself."
        yield Finding(
            "OUT-04",
            Link.OUTPUT,
            Verdict.HOLDS,
            about,
            says,
            "Prove it by switching the supply off three times.",
            sources=sources,
            subjects=subjects,
        )
    elif state == "unknown":
        says = f"How {at.path} stands after the power returns is not known, and it works {what.works}."
        ask = (
            "Ask whether the rest of the time is resumed"
            if at.output.traits.wants_length
            else "Ask how the output stands after power return"
        )
        yield Finding(
            "OUT-04",
            Link.OUTPUT,
            Verdict.UNKNOWN,
            about,
            says,
            f"{ask}, or switch the supply off three times while it is on, and write what was found.",
            remedies=(remedy,),
            sources=sources,
            subjects=subjects,
        )
    elif state == "on":
        says = (
            f"{at.path} uses the normally closed contact: without power, and right after it returns,"
            f" {what.works} is worked."
        )
        yield Finding(
            "OUT-04",
            Link.OUTPUT,
            Verdict.FAILS,
            about,
            says,
            "Nothing that moves, waters, heats or sounds may start by itself.",
            remedies=(
                Remedy("Use the normally open contact", "", (change(at, "contact", "normally open"),)),
            ),
            sources=sources,
            subjects=subjects,
        )
    else:
        says = f"After the power returns {at.path} stands as before, so {what.works} can come on by itself."
        yield Finding(
            "OUT-04",
            Link.OUTPUT,
            Verdict.FAILS,
            about,
            says,
            "Nothing that moves, waters, heats or sounds may start by itself.",
            remedies=(remedy,),
            sources=sources,
            subjects=subjects,
        )


def _dangerous(one: Driven, kinds: frozenset[str]) -> bool:
    return (
        (moves(one) and one.logic not in ("stop", "safety"))
        or one.traits.runs_water
        or one.traits.makes_sound
        or bool(kinds & {"water", "heat", "sound"})
    )
