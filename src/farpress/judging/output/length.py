"""The length of a pulse against the shortest and the longest that the driven input takes."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from farpress.case.behaviour import PULSE_LONGEST_S
from farpress.case.case import OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, change, seconds, subjects_of
from farpress.domain.finding import Finding, Link, Remedy, Stake, Verdict
from farpress.judging.check import AT_LEAST, AT_MOST, WITHIN, Answer, Check, Estimate, Limit
from farpress.judging.output.held_start import as_held, is_held

__all__ = ["SUITS_INPUT", "judge_length"]

SUITS_INPUT: Final = Check(
    "OUT-01",
    Link.OUTPUT,
    "Kind and length of an output against what the driven input wants: pulse, maintained contact,"
    " shortest and longest pulse.",
    unit="s",
    bound=WITHIN,
    stake=Stake.PROMISE,
    ask="Read in the sheet of the drive what its input wants.",
    mends="A pulse of a length that the input takes, or an output that stays closed where it wants that.",
)

_BETTER: Final = 1.5
"""A pulse is made so many times the shortest: half as long again, as clocks differ; our choice."""

_SHORTEST_USUAL_S: Final = 0.5
"""What a pulse is made where only the longest is known; common practice, 0.2 to 2 s."""

_NEVER_HELD_S: Final = 0.5
"""No start input takes a pulse as short as this for a contact that is held; common practice, no source."""

_START: Final = frozenset({"start", "open only", "partial open", "close"})
"""Inputs that begin a movement, and may take a long closure for another command."""


def judge_length(output: OutputAt, driven: Driven) -> Finding:
    """OUT-01, of a pulse on an input that takes one."""
    for_s = output.output.for_s
    if for_s is None:
        return SUITS_INPUT.decide(
            about=f"{output.path}: {driven.works}",
            subjects=subjects_of(output, driven),
            answer=Answer.UNKNOWN,
            says=f"{output.path} gives a pulse to {driven.works}, but its length is not given.",
            asks=(f"Write how long the pulse of {output.path} lasts, as 'for: 0.5 s'.",),
        )
    shortest = driven.input.min_pulse_s if driven.input else None
    longest = driven.input.max_pulse_s if driven.input else None
    if is_held(output, driven):
        return as_held(SUITS_INPUT, output, driven)
    may_be_held = longest is None and driven.wants == "pulse" and driven.logic in _START
    is_short = shortest is not None and for_s < shortest
    if may_be_held and for_s > _NEVER_HELD_S and not is_short:
        return _unknown_longest(output, driven, for_s)
    if shortest is None and for_s < _SHORTEST_USUAL_S:
        return _unknown_shortest(output, driven, for_s)
    if shortest is None and longest is None:
        return SUITS_INPUT.decide(
            about=f"{output.path}: {driven.works}",
            subjects=subjects_of(output, driven),
            answer=Answer.YES,
            says=f"The pulse of {output.path} lasts {seconds(for_s)}; {driven.works} wants a pulse.",
            sources=(*driven.cite("inputs"), GIVEN),
            value=for_s,
        )
    return _by_the_sheet(output, driven, for_s, shortest, longest)


def _unknown_shortest(output: OutputAt, driven: Driven, for_s: float) -> Finding:
    """Shorter than what every input takes, where the sheet gives no shortest pulse: asked."""
    return SUITS_INPUT.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=Answer.UNKNOWN,
        says=f"The pulse of {output.path} lasts {seconds(for_s)}; how short {driven.works} takes it"
        " is not known.",
        because=f"{seconds(_SHORTEST_USUAL_S)} are taken by all; some take no less.",
        asks=(
            f"Ask how short a pulse {driven.works} surely takes, or make it {seconds(_SHORTEST_USUAL_S)}.",
        ),
        offers=(
            Remedy(
                f"Make the pulse {seconds(_SHORTEST_USUAL_S)}",
                "",
                (change(output, "for", seconds(_SHORTEST_USUAL_S)),),
            ),
        ),
        sources=(PRACTICE, GIVEN),
        value=for_s,
    )


def _by_the_sheet(
    output: OutputAt, driven: Driven, for_s: float, shortest: float | None, longest: float | None
) -> Finding:
    """Against one end or both, as far as the sheet gives them."""
    source = driven.cite("inputs")
    check, limit = replace(SUITS_INPUT, bound=AT_LEAST), Limit(shortest, source)
    if longest is not None:
        check, limit = replace(SUITS_INPUT, bound=AT_MOST), Limit(longest, source)
        if shortest is not None:
            check, limit = SUITS_INPUT, Limit(shortest, source, upper=longest)
    is_long = longest is not None and for_s > longest
    is_short = shortest is not None and for_s < shortest
    says = f"The pulse of {output.path} lasts {seconds(for_s)}; {driven.works} "
    because = "Within 10 % of the shortest or longest pulse, and clocks differ."
    if is_long and longest is not None:
        says += f"takes at most {seconds(longest)}{_longer(driven)}."
        because = "A longer closure counts as another command or as a held contact."
    elif is_short and shortest is not None:
        says += f"needs at least {seconds(shortest)} and will not see it."
        because = "An input does not notice a pulse shorter than its own response."
    elif shortest is not None:
        says += f"needs at least {seconds(shortest)}."
    else:
        says += "wants a pulse."
    is_bad = is_long or is_short
    return check.judge(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        value=Estimate(for_s, None, (GIVEN,)),
        limit=limit,
        says=says,
        because=lambda verdict: because if is_bad or verdict is not Verdict.HOLDS else "",
        remedies=(_better(output, shortest, longest, is_long=is_long),),
    )


def _longer(driven: Driven) -> str:
    """What it does at a longer command, as its sheet says."""
    said = driven.input.longer if driven.input is not None else None
    return f", and at a longer one {said}" if said else ""


def _better(output: OutputAt, shortest: float | None, longest: float | None, *, is_long: bool) -> Remedy:
    if is_long and longest is not None:
        length = seconds(min(longest, max(_SHORTEST_USUAL_S, shortest or 0.0)))
        return Remedy(f"Make the pulse {seconds(longest)} or shorter", "", (change(output, "for", length),))
    length_s = _BETTER * (shortest or _SHORTEST_USUAL_S)
    if longest is not None:
        length_s = min(length_s, ((shortest or 0.0) + longest) / 2)
    length = seconds(length_s)
    return Remedy(
        f"Make the pulse {length}",
        f"{length} against {seconds(shortest)} needed" if shortest is not None else "",
        (change(output, "for", length),),
    )


def _unknown_longest(output: OutputAt, driven: Driven, for_s: float) -> Finding:
    """Against what is usual, where the sheet gives no longest pulse: asked."""
    return replace(SUITS_INPUT, bound=AT_MOST).judge(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        value=Estimate(for_s),
        limit=Limit(PULSE_LONGEST_S, (PRACTICE,)),
        says=f"The pulse of {output.path} lasts {seconds(for_s)}; start contacts are usually closed for 0.2"
        f" to {PULSE_LONGEST_S:g} s.",
        because=f"How {driven.works} takes a contact that is closed for longer is not known.",
        asks=(f"Ask how long the contact at {driven.works} may stay closed and still be one command.",),
        failure_stands=False,
        offers=(
            Remedy(
                f"Make the pulse {seconds(_NEVER_HELD_S)}",
                "",
                (change(output, "for", seconds(_NEVER_HELD_S)),),
            ),
        ),
    )
