"""A board that shall show who pressed: it takes as many outputs as are to be told apart."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import holders
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import FunctionRef, OutputRef, Ref
from farpress.judging.air.advice import is_call
from farpress.judging.check import AT_LEAST, Answer, Check, Estimate, Limit, no_edge
from farpress.phrases import plural

__all__ = ["TOLD_APART", "judge"]

TOLD_APART: Final = Check(
    "OUT-60",
    Link.OUTPUT,
    "People or rooms that a board shall tell apart, against the outputs that tell them apart.",
    unit="outputs",
    bound=AT_LEAST,
    thin=no_edge("outputs are counted: one for each that is to be told apart"),
    stake=Stake.PROMISE,
    ask="Ask whether whoever answers must see who or which room pressed, and how many there are.",
    who=Who.CUSTOMER,
    minutes=3.0,
    mends="An output and a function for each; or a system that shows the number of the fob.",
)


def judge(case: Case) -> Iterator[Finding]:
    """OUT-60 of each function whose presses shall be told apart, and of each call that several can make."""
    for name, function in case.job.functions.items():
        outputs = tuple(case.outputs_of(name))
        refs: tuple[Ref, ...] = (FunctionRef(name), *(OutputRef(output.path) for output in outputs))
        wanted = function.told_apart
        if wanted is None:
            if any(is_call(case, output) for output in outputs) and _several(case, name):
                yield _asked(name, refs)
        elif wanted > 1:
            yield _counted(case, name, wanted, refs)
        else:
            yield TOLD_APART.decide(
                about=name,
                subjects=refs,
                answer=Answer.YES,
                says=f"Nobody has to see who pressed '{name}'."
                if wanted == 0
                else f"'{name}' is pressed for one room or person alone.",
                sources=(GIVEN,),
            )


def _several(case: Case, name: str) -> bool:
    counts = [holders(group) for _, group in case.groups_with(name)]
    return None in counts or sum(count or 0 for count in counts) > 1


def _asked(name: str, refs: tuple[Ref, ...]) -> Finding:
    return replace(TOLD_APART, advice=True).decide(
        about=name,
        subjects=refs,
        answer=Answer.UNKNOWN,
        says=f"Whether whoever answers '{name}' must see who pressed is not said; an output does not tell.",
        asks=(
            Ask(
                f"Ask whether whoever answers '{name}' must see who or which room it was, and write"
                " 'told_apart'; 0 for no.",
                Who.CUSTOMER,
                3.0,
            ),
        ),
    )


def _counted(case: Case, name: str, wanted: int, refs: tuple[Ref, ...]) -> Finding:
    houses = {path.split("/")[0] for path in case.job.functions[name].paths}
    boxes = [
        (f"{premises}/{box}", len(receiver.outputs))
        for premises in sorted(houses)
        for box, receiver in case.job.premises[premises].receivers.items()
    ]
    relays = [case.equipment.receivers[path].sheet.relays for path, _ in boxes]
    known = [count for count in relays if count is not None]
    short = f"'{name}' is to tell {wanted} apart, and every press of it works the same output: it tells one."
    if known and len(known) == len(relays):
        free = max(0, sum(known) - sum(used for _, used in boxes))
        missing = max(0, wanted - 1 - free)
        short += f" Of {plural(sum(known), 'output')} there {'is' if free == 1 else 'are'} {free} free"
        most = max(known)
        short += f"; {missing} are missing" if missing else ", which would be enough"
        if missing and most:
            short += f", {plural(math.ceil(missing / most), 'more receiver')} of {most}"
        short += "."
    return TOLD_APART.judge(
        about=name,
        subjects=refs,
        value=Estimate(1.0, 0.0, (GIVEN,)),
        limit=Limit(float(wanted), (GIVEN,)),
        says=short,
        because="A relay closes, whoever pressed: it carries no name. Each fob has to be learned at an output"
        " of its own.",
        remedies=(
            Remedy("A call system that shows the number of the fob, or speaks with whoever called"),
            Remedy("A function and an output for each, its fobs learned at that alone"),
        ),
        sources=(PRACTICE,),
    )
