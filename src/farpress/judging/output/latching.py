"""What stays as a pulse told it, without current: something must bring it back, and a power cut does not.

Part of the judgements on output logic.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import PRACTICE
from farpress.case.driven import Driven, driven_of, subjects_of
from farpress.case.left_on import SHUTTING, is_latching
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import DeviceRef
from farpress.judging.check import Answer, Check

__all__ = ["BROUGHT_BACK", "judge_latching"]

BROUGHT_BACK: Final = Check(
    "OUT-22",
    Link.OUTPUT,
    "What stays open or on after a pulse, without current: what brings it back, after a power cut too.",
    stake=Stake.PROMISE,
    mends="A controller that closes it by itself, or a kind that closes when its current is gone.",
)


def judge_latching(case: Case) -> Iterator[Finding]:
    """OUT-22 of each load that latches."""
    uses: dict[str, list[tuple[OutputAt, Driven]]] = {}
    for output in case.outputs():
        for driven in driven_of(case, output):
            uses.setdefault(driven.path, []).append((output, driven))
    for path, found in uses.items():
        told = [(output, driven) for output, driven in found if is_latching(driven)]
        unsaid = [use for use in found if is_latching(use[1]) is None]
        if told:
            yield _judged(path, told, [use for use in found if use[1].logic in SHUTTING])
        elif unsaid:
            yield _asked(path, unsaid[0])


def _judged(path: str, told: list[tuple[OutputAt, Driven]], back: list[tuple[OutputAt, Driven]]) -> Finding:
    name, (first, driven) = path.split("/")[1], told[0]
    opened = f"A pulse of {first.path} leaves {name} as it told it, without current"
    if back:
        answer = Answer.BARELY
        says = f"{opened}; a press at {back[0][0].path} brings it back, and in a power cut nothing does."
    else:
        answer = Answer.NO
        says = f"{opened}, and no output brings it back: its pulse ends, and the next press tells the same."
    return BROUGHT_BACK.decide(
        about=path,
        subjects=tuple(dict.fromkeys(ref for use in (*told, *back) for ref in subjects_of(*use))),
        cause=DeviceRef(path),
        answer=answer,
        says=says,
        because=(
            "A coil that latches is closed by a pulse the other way round: a make contact alone gives one"
            " direction. Whatever is open when the power goes stays open until somebody comes."
        ),
        remedies=(
            Remedy(
                "A controller for such valves, which closes them after its own time and when the power goes"
            ),
            Remedy("A kind that closes when its current is gone, with one ahead of all of them"),
        ),
        sources=(*driven.cite("device", f"inputs.{driven.works.partition('.')[2]}"), PRACTICE),
    )


def _asked(path: str, use: tuple[OutputAt, Driven]) -> Finding:
    name, works = path.split("/")[1], use[1].works
    return BROUGHT_BACK.decide(
        about=path,
        subjects=subjects_of(*use),
        cause=DeviceRef(path),
        answer=Answer.UNKNOWN,
        says=f"{works} only opens; whether {name} shuts again when its current is gone is not said.",
        asks=(
            Ask(
                f"Take the current off {name} and see whether it shuts; write 'wants: maintained' at {works}"
                " if it does, 'wants: pulse' if it stays.",
                Who.INSTALLER,
                3.0,
            ),
        ),
        sources=(PRACTICE,),
    )
