"""Up and down of one motor: what keeps them apart, and for how long in between.

Part of the judgements on output logic; see `output` for the list of codes. How many
motors may hang on one contact is a matter of contacts.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, change, driven_of, subjects_of
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.sources import Citation

__all__ = ["Apart", "judge_pairs", "keeps_apart", "opposite"]

_OPPOSITE: Final = ({"up", "down"},)

PAUSE_USUAL_S: Final = 0.5
"""Pause before a motor turns round where its sheet gives none; common practice, no source (1 s for heavy
ones)."""


@dataclass(frozen=True)
class Apart:
    """What keeps two outputs from being on together.

    Attributes:
        says: what it is, as "the interlock of receiver R3"; empty if nothing does.
        pause_s: both off for this long in between; None if not known.
        own: the device does it itself, pause included.
    """

    says: str
    pause_s: float | None = None
    own: bool = False


def judge_pairs(case: Case) -> Iterator[Finding]:
    """Findings about pairs of outputs that work one motor in opposite directions."""
    worked = [(at, one) for at in case.outputs() for one in driven_of(case, at)]
    for (first, up), (second, down) in combinations(worked, 2):
        if opposite(up, down):
            yield _pair(case, first, up, second, down)


def opposite(first: Driven, second: Driven) -> bool:
    """Whether two inputs drive the same motor in opposite directions."""
    return first.path == second.path and {first.logic, second.logic} in _OPPOSITE


def keeps_apart(case: Case, first: OutputAt, second: OutputAt) -> Apart:
    """What keeps two outputs apart: the device itself, a relay, or the receiver; `says` is empty if
    nothing.
    """
    if first.path == second.path:
        return Apart("")
    shared = [(a, b) for a in driven_of(case, first) for b in driven_of(case, second) if a.path == b.path]
    if shared and all(a.sheet.interlocked for a, _ in shared):
        return Apart(f"{shared[0][0].path.split('/')[1]} itself", own=True)
    relays = [case.equipment.relays.get(at.output.via or "") for at in (first, second)]
    if (
        first.output.via
        and first.output.via == second.output.via
        and all(relay is not None and relay.sheet.interlocked for relay in relays)
    ):
        return Apart(f"the interlocked relays {first.output.via}", _pause(first, second))
    same = first.receiver_path == second.receiver_path
    if same and first.output.interlock == second.number and second.output.interlock == first.number:
        return Apart(f"the interlock of receiver {first.receiver}", _pause(first, second))
    return Apart("")


def _pause(first: OutputAt, second: OutputAt) -> float | None:
    pauses = [at.output.interlock_pause_s for at in (first, second)]
    known = [pause for pause in pauses if pause is not None]
    return min(known) if len(known) == 2 else None


def _pair(case: Case, first: OutputAt, up: Driven, second: OutputAt, down: Driven) -> Finding:
    device = up.path.split("/")[1]
    about = f"{first.path} and {second.path}: {device}"
    subjects = tuple(dict.fromkeys((*subjects_of(first, up), *subjects_of(second, down))))
    sources: tuple[Citation, ...] = (*up.cite("interlocked", "reversal_pause_s"), PRACTICE, GIVEN)
    if first.path == second.path:
        says = (
            f"{first.path} works {up.works} and {down.works} with the same contact: both directions at once."
        )
        return Finding(
            "OUT-06",
            Link.OUTPUT,
            Verdict.FAILS,
            about,
            says,
            "Both directions together destroy the motor or its capacitor.",
            sources=sources,
            subjects=subjects,
        )
    apart = keeps_apart(case, first, second)
    if not apart.says:
        if first.receiver_path == second.receiver_path:
            remedy = Remedy(
                "Interlock the two outputs, and better the two relays too",
                "the second press switches the first off",
                (change(first, "interlock", second.number), change(second, "interlock", first.number)),
            )
        else:
            remedy = Remedy(
                "Interlock by wiring: lead each contact through the break contact of the other, two"
                " changeover relays in series"
            )
        one_sided = first.output.interlock == second.number or second.output.interlock == first.number
        because = (
            "Only one of the two names the other; an interlock works both ways or not at all. "
            if one_sided
            else ""
        )
        because += (
            "Two fobs, or one press after the other, put both directions on together; that destroys the motor"
            " or its capacitor."
        )
        says = (
            f"Nothing keeps {up.works} ({first.path}) and {down.works} ({second.path}) from being on"
            " together."
        )
        return Finding(
            "OUT-06",
            Link.OUTPUT,
            Verdict.FAILS,
            about,
            says,
            because,
            remedies=(remedy,),
            sources=sources,
            subjects=subjects,
        )
    if apart.own:
        says = f"{device} keeps its two directions apart by itself, its pause included."
        return Finding("OUT-06", Link.OUTPUT, Verdict.HOLDS, about, says, sources=sources, subjects=subjects)
    needed = up.sheet.reversal_pause_s
    wanted = needed if needed is not None else PAUSE_USUAL_S
    by = (
        f"{needed:g} s by its sheet"
        if needed is not None
        else f"usually {PAUSE_USUAL_S:g} s, 1 s for heavy ones"
    )
    if apart.pause_s is None:
        says = (
            f"{apart.says[0].upper()}{apart.says[1:]} keeps the directions of {device} apart, but for how"
            " long both stay off is not known."
        )
        because = (
            f"The motor needs a pause before it turns round ({by}), counted from relay off. Ask for it or"
            " measure it with a meter on both outputs."
        )
        return Finding(
            "OUT-06",
            Link.OUTPUT,
            Verdict.UNKNOWN,
            about,
            says,
            because,
            limit=wanted,
            unit="s",
            sources=sources,
            subjects=subjects,
        )
    margin = apart.pause_s - wanted
    verdict = (
        Verdict.FAILS
        if margin < 0
        else Verdict.THIN
        if margin < 0.1 * wanted and needed is None
        else Verdict.HOLDS
    )
    says = (
        f"{apart.says[0].upper()}{apart.says[1:]} keeps the directions of {device} apart with a pause of"
        f" {apart.pause_s:g} s; {by} is needed."
    )
    because = "The pause counts from relay off, not from letting go." if margin < 0 else ""
    remedies = (
        (
            Remedy(
                f"A pause of {wanted:g} s",
                "",
                tuple(change(at, "interlock_pause", f"{wanted:g} s") for at in (first, second)),
            ),
        )
        if margin < 0
        else ()
    )
    return Finding(
        "OUT-06",
        Link.OUTPUT,
        verdict,
        about,
        says,
        because,
        apart.pause_s,
        wanted,
        "s",
        margin,
        remedies=remedies,
        sources=sources,
        subjects=subjects,
    )
