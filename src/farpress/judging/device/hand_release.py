"""Leaves with a drive: how a hand lets them go when the power is gone, and who has the key to that."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import EN_12453, GIVEN, PRACTICE
from farpress.case.worked import Worked, worked_devices
from farpress.domain.device_care import HandRelease
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.judging.check import Answer, Check
from farpress.phrases import listed

__all__ = ["HAND_RELEASE", "judge_hand_release"]

HAND_RELEASE: Final = Check(
    "DEV-57",
    Link.DEVICE,
    "A leaf with a drive is let go by hand when the power is gone, by somebody who has the key.",
    stake=Stake.HARM,
    ask="Try the hand release with the power off, and ask who has its key.",
    who=Who.INSTALLER,
    minutes=10.0,
    mends="A hand release that is reached from where people are, tried, and its key in named hands.",
)

_NONE: Final = frozenset({"none", "nothing", "no", "nobody"})


def judge_hand_release(case: Case) -> Iterator[Finding]:
    """DEV-57 of each leaf of which something is said about that."""
    for worked in worked_devices(case):
        release = worked.driven.sheet.hand_release
        if release is not None:
            yield _judged(worked, release)


def _judged(worked: Worked, release: HandRelease) -> Finding:
    name = worked.name
    has = release.how is None or release.how.strip().casefold() not in _NONE
    keyless = (release.key_with or "").strip().casefold()
    open_points = [
        words
        for is_open, words in (
            (release.how is None, "how a hand lets it go"),
            (release.key_with is None, "who has its key"),
            (release.reached_from is None, "from which side it is reached"),
            (release.tried is None, "whether it was tried with the power off"),
        )
        if is_open
    ]
    asks: tuple[Ask, ...] = ()
    if not has:
        answer, says = Answer.NO, f"No hand lets {name} go: without power it stays as it is."
    elif keyless in _NONE - {"no"}:
        answer, says = Answer.NO, f"{name} has a hand release, and nobody has its key."
    elif release.tried is False:
        answer = Answer.NO
        says = f"The hand release of {name} was tried with the power off, and {name} did not move."
    elif open_points:
        answer, says = Answer.UNKNOWN, f"Of the hand release of {name} it is not said {listed(open_points)}."
        asks = (
            Ask(
                f"Try the hand release of {name} with the power off, from both sides, and ask who has"
                " its key.",
                Who.INSTALLER,
                10.0,
            ),
        )
    elif release.reached_from != "both sides" and not worked.driven.sheet.opens_by_hand:
        other = "outside" if release.reached_from == "inside" else "inside"
        answer = Answer.BARELY
        says = f"The hand release of {name} is reached from {release.reached_from} only, not from {other}."
    else:
        answer = Answer.YES
        says = f"A hand lets {name} go without power: {release.how}; key: {release.key_with}."
    return HAND_RELEASE.decide(
        about=worked.path,
        subjects=worked.refs,
        answer=answer,
        says=says,
        because=""
        if answer is Answer.YES
        else "A power cut keeps somebody in, or the rescue out, until somebody comes who can let it go.",
        asks=asks,
        remedies=(
            Remedy(f"A hand release at {name}, reached from both sides, tried with the power off"),
            Remedy("Its key with somebody who is there at all hours, or in a key box; written on the card"),
        ),
        sources=(*worked.driven.cite("hand_release"), EN_12453, GIVEN, PRACTICE),
    )
