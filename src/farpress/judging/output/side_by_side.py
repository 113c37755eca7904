"""Outputs side by side on one input: two that keep a state fall out of step with each other.

Part of the judgements on output logic.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, driven_of
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.domain.refs import OutputRef
from farpress.judging.air.advice import is_call
from farpress.judging.check import Answer, Check
from farpress.phrases import listed

__all__ = ["ONE_KEEPER", "judge_side_by_side"]

ONE_KEEPER: Final = Check(
    "OUT-20",
    Link.OUTPUT,
    "One input worked by several outputs: at most one of them may keep a state.",
    stake=Stake.PROMISE,
    mends="One receiver for what keeps a state, its aerial where all are heard; or pulses on both.",
)


def judge_side_by_side(case: Case) -> Iterator[Finding]:
    """OUT-20 of each input that several outputs work, one of which at least keeps a state."""
    uses: dict[tuple[str, str], list[tuple[OutputAt, Driven]]] = {}
    for output in case.outputs():
        for driven in driven_of(case, output):
            uses.setdefault((driven.path, driven.works), []).append((output, driven))
    for (_, works), pairs in uses.items():
        keepers = [output for output, _ in pairs if output.output.traits.keeps_state]
        if len(pairs) > 1 and keepers:
            yield _judged(case, works, pairs, keepers)


def _judged(case: Case, works: str, pairs: list[tuple[OutputAt, Driven]], keepers: list[OutputAt]) -> Finding:
    outputs = [output for output, _ in pairs]
    paths = listed([output.path for output in outputs])
    is_called = any(is_call(case, output) for output in outputs)
    check = replace(ONE_KEEPER, stake=Stake.HARM) if is_called else ONE_KEEPER
    if len(keepers) > 1:
        answer = Answer.NO
        says = f"{paths} lie side by side on {works}, and {len(keepers)} of them keep a state."
        because = (
            "A press that one of them hears and another does not puts them out of step; from then on each"
            " press switches one on and the other off, and it is never off again."
        )
    else:
        answer = Answer.BARELY
        says = f"{paths} lie side by side on {works}; {keepers[0].path} alone keeps a state."
        because = f"While {keepers[0].path} is on, nothing that the others do is seen."
    return check.decide(
        about=f"{pairs[0][1].path}: {works}",
        subjects=(*(OutputRef(output.path) for output in outputs), pairs[0][1].subject),
        answer=answer,
        says=says,
        because=because,
        remedies=(
            Remedy("One receiver that works it, its aerial where it hears all of them"),
            Remedy("Pulses on each, to an input that keeps the state itself and is reset in one place"),
        ),
        sources=(PRACTICE, GIVEN),
    )
