"""One button learned for several things: a press for the one starts the other, which may be a machine."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import Final

from farpress.case.access import SinglePress, single_presses
from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, driven_of, moves
from farpress.domain.cautions import DUTIES
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.domain.refs import DeviceRef
from farpress.judging.check import Answer, Check

__all__ = ["STARTS_BESIDES", "judge"]

STARTS_BESIDES: Final = Check(
    "SAFE-21",
    Link.SAFETY,
    "One button that is learned for a machine, or for something that moves, and for another thing as well.",
    stake=Stake.HARM,
    mends="A button of its own for each, or a fob of its own for whoever works the machine.",
)


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-21 of each button that starts a machine besides another thing, or moves two things apart."""
    for press in single_presses(case):
        if press.group is None:
            continue
        pair = _worst_pair(case, press)
        if pair is not None:
            yield _finding(press, *pair)


def _worst_pair(case: Case, press: SinglePress) -> tuple[str, str, Driven] | None:
    """The function pressed for, the one that starts besides, and what that works; None where all is meant."""
    worked = {
        name: [
            (output.receiver_path, driven)
            for output in case.outputs_of(name)
            for driven in driven_of(case, output)
        ]
        for name in press.functions
    }
    for name, uses in worked.items():
        for _, driven in uses:
            others = [other for other in worked if other != name and not _same_thing(worked[other], driven)]
            if driven.traits.hurts and others:
                return others[0], name, driven
    for first, other in combinations(worked, 2):
        for receiver, driven in worked[first]:
            for beside, moved in worked[other]:
                apart = not _places(case, press, first) & _places(case, press, other)
                if (
                    receiver == beside
                    and driven.path != moved.path
                    and moves(driven)
                    and moves(moved)
                    and apart
                ):
                    return first, other, moved
    return None


def _same_thing(uses: list[tuple[str, Driven]], driven: Driven) -> bool:
    return bool(uses) and all(other.path == driven.path for _, other in uses)


def _places(case: Case, press: SinglePress, function: str) -> set[str]:
    return {
        promise.from_
        for promise in case.job.promises
        if promise.to == press.group and promise.function == function
    }


def _finding(press: SinglePress, wanted: str, besides: str, driven: Driven) -> Finding:
    name = driven.path.split("/")[1]
    hurts = f" {driven.traits.hurts[0].upper()}{driven.traits.hurts[1:]}." if driven.traits.hurts else ""
    return STARTS_BESIDES.decide(
        about=press.name,
        subjects=(*press.subjects, DeviceRef(driven.path)),
        answer=Answer.NO,
        says=f"{press.name} is for '{wanted}' and for '{besides}': whoever presses for the one starts {name}"
        " as well.",
        because=f"Nobody looks at {name} then.{hurts} {DUTIES['machine']}",
        remedies=(
            Remedy("A button of its own for each of them"),
            Remedy(f"A fob of its own, kept at {name}, for whoever works it"),
        ),
        sources=(PRACTICE, GIVEN),
    )
