"""Gas that a press lets on: what flows where nobody is, past a pilot flame that is out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, driven_of, function_kinds, subjects_of
from farpress.domain.cautions import LOCAL_CODES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.judging.check import Answer, Check

__all__ = ["LETS_GAS_ON", "judge"]

LETS_GAS_ON: Final = Check(
    "SAFE-45",
    Link.SAFETY,
    "A valve that a press opens: never one of gas.",
    stake=Stake.HARM,
    bars=True,
    halts=True,
    ask="Ask what flows through the valve.",
    who=Who.CUSTOMER,
    minutes=2.0,
    mends="A press that only shuts it; on again by hand in the room, by a licensed system that proves the"
    " pipes.",
)


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-45 of each valve: what it carries is asked unless somebody says that it is water."""
    for output in case.outputs():
        for driven in driven_of(case, output):
            if driven.traits.runs_water and driven.traits.is_load:
                yield from _of_valve(case, output, driven)


def _of_valve(case: Case, output: OutputAt, driven: Driven) -> Iterator[Finding]:
    carries, name = driven.sheet.carries, driven.path.split("/")[1]
    is_water = carries is None and "water" in function_kinds(case, output)
    if is_water or carries not in (None, "gas"):
        return
    opens = output.output.contact == "normally open" and driven.logic not in ("stop", "close")
    asks: tuple[Ask, ...] = ()
    if carries is None:
        answer, says = Answer.UNKNOWN, f"What flows through {name} is not said."
        asks = (Ask(f"Ask what flows through {name}, and write 'carries'.", Who.CUSTOMER, 2.0),)
    elif opens:
        answer = Answer.NO
        says = f"{output.path} lets gas on at {name}, from wherever the fob is: refused."
    else:
        answer, says = Answer.YES, f"{output.path} only shuts the gas at {name}."
    yield LETS_GAS_ON.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=answer,
        says=says,
        because="A flame that went out meanwhile lets the gas into the room. Gas is for a licensed person."
        f" {LOCAL_CODES}",
        asks=asks,
        remedies=(
            Remedy(
                "Let the fob only shut it; on again by hand in the room, once each tap is seen to be shut"
            ),
            Remedy("A gas proving system, fitted and kept by a licensed person, with a reset by hand"),
        ),
        sources=(*driven.cite("carries"), PRACTICE, GIVEN),
        cause=driven.subject,
    )
