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
from farpress.domain.finding import Finding, Link, Remedy, Stake
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
        if told:
            yield _judged(path, told, [use for use in found if use[1].logic in SHUTTING])


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
