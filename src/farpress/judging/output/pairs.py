"""Up and down of one motor: what keeps them apart, and for how long in between.

Part of the judgements on output logic. How many
motors may hang on one contact is a matter of contacts.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import Final

from farpress.case.behaviour import keeps_apart
from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, change, driven_of, function_kinds, subjects_of
from farpress.case.turned import TurnedPair, turned_pair
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Verdict, Who
from farpress.judging.check import AT_LEAST, Answer, Check, Estimate, Limit, no_edge
from farpress.phrases import listed
from farpress.units import write_quantity

__all__ = ["judge_pairs", "opposite"]

KEPT_APART: Final = Check(
    "OUT-06",
    Link.OUTPUT,
    "Up and down of one motor never together, and the pause before it turns round.",
    unit="s",
    bound=AT_LEAST,
    thin=no_edge("a pause of the sheet has its reserve in it; a usual one is known to a tenth"),
    stake=Stake.WEAR,
    ask="Ask for the pause, or measure it with a meter on both outputs.",
    who=Who.METER,
    mends="An interlock of the two outputs with a pause, and better of the two relays too.",
)

_DOUBT_OF_USUAL: Final = 0.1
"""Share by which the usual pause is uncertain; our choice."""

_OPPOSITE: Final = ({"up", "down"},)

PAUSE_USUAL_S: Final = 0.5
"""Pause before a motor turns round where its sheet gives none; common practice, no source (1 s for heavy
ones)."""


def judge_pairs(case: Case) -> Iterator[Finding]:
    """Findings about pairs of outputs that work one motor in opposite directions."""
    worked = [(output, driven) for output in case.outputs() for driven in driven_of(case, output)]
    for (first, up), (second, down) in combinations(worked, 2):
        ways = {_way(case, first, up), _way(case, second, down)}
        if opposite(up, down) or (up.path == down.path and up.traits.moves and ways in _OPPOSITE):
            yield _pair(case, first, up, second, down)


def opposite(first: Driven, second: Driven) -> bool:
    """Whether two inputs drive the same motor in opposite directions."""
    return first.path == second.path and {first.logic, second.logic} in _OPPOSITE


def _way(case: Case, output: OutputAt, driven: Driven) -> str | None:
    """Up or down: as its sheet has it, else as the function that presses it, else as the input is called."""
    kinds = function_kinds(case, output) & {"up", "down"}
    named = driven.works.partition(".")[2]
    return driven.logic or (next(iter(kinds)) if len(kinds) == 1 else named)


def _pair(case: Case, first: OutputAt, up: Driven, second: OutputAt, down: Driven) -> Finding:
    """OUT-06."""
    device = up.path.split("/")[1]
    about = f"{first.path} and {second.path}: {device}"
    subjects = (*subjects_of(first, up), *subjects_of(second, down))
    apart = keeps_apart(case, first, second)
    if not apart.says:
        return _together(about, first, up, second, down, turned_pair(case, first))
    if apart.own:
        return _by_itself(about, first, up, second, down)
    needed = up.sheet.reversal_pause_s
    wanted = needed if needed is not None else PAUSE_USUAL_S
    by = f"usually {PAUSE_USUAL_S:g} s, 1 s for heavy ones"
    if needed is not None:
        by = f"{needed:g} s by its sheet"
    keeper = f"{apart.says[0].upper()}{apart.says[1:]}"
    asks: tuple[Ask, ...] = ()
    because = "The pause counts from relay off, not from letting go."
    if apart.pause_s is None:
        says = (
            f"{keeper} keeps the directions of {device} apart, but for how long both stay off is not known."
        )
        because = f"The motor needs a pause before it turns round ({by}), counted from relay off."
        asks = (
            Ask(
                f"Ask for the pause between {first.path} and {second.path}, or measure it with a meter on"
                " both outputs.",
                Who.METER,
            ),
        )
    else:
        says = (
            f"{keeper} keeps the directions of {device} apart with a pause of {apart.pause_s:g} s; {by} is"
            " needed."
        )
    return KEPT_APART.judge(
        about=about,
        subjects=subjects,
        value=Estimate(apart.pause_s, _DOUBT_OF_USUAL * wanted if needed is None else None, (GIVEN,)),
        limit=Limit(wanted, (*up.cite("reversal_pause_s"), *((PRACTICE,) if needed is None else ()))),
        says=says,
        because=lambda verdict: "" if verdict is Verdict.HOLDS else because,
        asks=asks,
        remedies=(
            Remedy(
                f"A pause of {wanted:g} s",
                "",
                tuple(change(output, "interlock_pause", f"{wanted:g} s") for output in (first, second)),
            ),
        ),
    )


def _by_itself(about: str, first: OutputAt, up: Driven, second: OutputAt, down: Driven) -> Finding:
    """OUT-06 of what keeps its directions apart itself; of what can hurt, how it does so is asked."""
    device, by = up.path.split("/")[1], up.sheet.interlocked_by
    says = f"{device} keeps its two directions apart by itself, its pause included."
    asks: tuple[Ask, ...] = ()
    if up.traits.hurts:
        both = _both_closed(first, second)
        says = f"{says[:-1]}{f': {listed(by)}' if by else ''}.{both}"
        if not by:
            asks = (
                Ask(
                    f"See in the plan of {device} whether break contacts and a bar keep its two contactors"
                    " apart, and press both directions at once with somebody at its isolator.",
                    Who.INSTALLER,
                    15.0,
                ),
            )
    return KEPT_APART.decide(
        about=about,
        subjects=(*subjects_of(first, up), *subjects_of(second, down)),
        answer=Answer.YES,
        says=says,
        asks=asks,
        sources=up.cite("interlocked", "interlocked_by"),
        stake=Stake.HARM if asks else None,
    )


def _both_closed(first: OutputAt, second: OutputAt) -> str:
    """For how long both contacts are closed where one is pressed after the other, in words."""
    lasts = [
        output.output.for_s
        for output in (first, second)
        if output.output.traits.wants_length and output.output.for_s is not None
    ]
    if len(lasts) < 2:
        return ""
    return (
        f" Pressed within {write_quantity(max(lasts), 'time')} of each other, both contacts are closed, and"
        " nothing else keeps them apart."
    )


def _together(
    about: str, first: OutputAt, up: Driven, second: OutputAt, down: Driven, pair: TurnedPair | None
) -> Finding:
    """Both directions can be on at once: by one contact, or because nothing keeps two apart."""
    remedies: tuple[Remedy, ...] = ()
    if first.path == second.path:
        says = (
            f"{first.path} works {up.works} and {down.works} with the same contact: both directions at once."
        )
        because = "Both directions together destroy the motor or its capacitor."
    else:
        says = (
            f"Nothing keeps {up.works} ({first.path}) and {down.works} ({second.path}) from being on"
            " together."
        )
        because = (
            "Two fobs, or one press after the other, put both directions on together; that destroys the motor"
            " or its capacitor."
        )
        if pair is not None:
            because = (
                "With both on it stands still; but let go of the one in the moment of pressing the other, it"
                " turns round at once, at twice its starting current."
            )
        if first.output.interlock == second.number or second.output.interlock == first.number:
            because = (
                f"Only one of the two names the other; an interlock works both ways or not at all. {because}"
            )
        remedies = (_interlock(first, second),)
    return KEPT_APART.decide(
        about=about,
        subjects=(*subjects_of(first, up), *subjects_of(second, down)),
        answer=Answer.NO if pair is None else Answer.BARELY,
        says=says,
        because=because,
        remedies=remedies,
        sources=(*up.cite("interlocked", "reversal_pause_s"), PRACTICE, GIVEN),
    )


def _interlock(first: OutputAt, second: OutputAt) -> Remedy:
    if first.receiver_path == second.receiver_path:
        return Remedy(
            f"Interlock the two outputs, and better the two relays too, with {PAUSE_USUAL_S:g} to 1 s of"
            " pause before it turns round",
            "the second press switches the first off",
            (change(first, "interlock", second.number), change(second, "interlock", first.number)),
        )
    return Remedy(
        "Interlock by wiring: lead each contact through the break contact of the other, two changeover relays"
        " in series"
    )
