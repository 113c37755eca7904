"""Gas that a press lets on: what flows where nobody is, past a pilot flame that is out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, function_kinds
from farpress.case.worked import Worked, worked_devices
from farpress.domain.cautions import LOCAL_CODES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import FunctionRef, OutputRef
from farpress.domain.told_words import CHOKES, told
from farpress.judging.check import Answer, Check

__all__ = ["LETS_GAS_ON", "judge"]

_CHOKING: Final = (
    "Nobody smells it; it lies at the floor, and whoever goes in or bends down drops. Somebody may be in"
    " there when it is pressed, and nothing says when the air is good again."
)
_KEPT_OUT: Final = (
    Remedy(
        "A gas warning at breathing height and at the floor that shuts the valve, with a lamp outside the"
        " door; the fob at most shuts it"
    ),
    Remedy("A contact of the doors that shuts the valve, and a valve by the door that can be locked shut"),
)
_PROVEN: Final = (
    Remedy("Let the fob only shut it; on again by hand in the room, once each tap is seen to be shut"),
    Remedy("A gas proving system, fitted and kept by a licensed person, with a reset by hand"),
)

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
    """SAFE-45 of each valve: what it carries is asked unless somebody says that it is water.

    What a function shall work is judged before an output is drawn for it.
    """
    for worked in worked_devices(case):
        if not (worked.driven.traits.runs_water and worked.driven.traits.is_load):
            continue
        for output, driven in worked.uses:
            opens = output.output.contact == "normally open" and driven.logic not in ("stop", "close")
            is_water = "water" in function_kinds(case, output)
            yield from _of_valve(case, worked, driven, (output.path, OutputRef(output.path), opens, is_water))
        for name, driven in worked.wishes:
            is_water = case.job.functions[name].kind == "water"
            opens = driven.logic not in ("stop", "close")
            yield from _of_valve(case, worked, driven, (f"'{name}'", FunctionRef(name), opens, is_water))


def _of_valve(
    case: Case, worked: Worked, driven: Driven, by: tuple[str, OutputRef | FunctionRef, bool, bool]
) -> Iterator[Finding]:
    """SAFE-45 of a valve by one output or function: its name, itself, whether it opens, is for water."""
    what, ref, opens, is_for_water = by
    carries, name = driven.sheet.carries, worked.name
    chokes = carries == "choking gas" or (
        carries in (None, "gas", "something else") and bool(told(CHOKES, *worked.texts(case)))
    )
    if not chokes and ((carries is None and is_for_water) or carries not in (None, "gas")):
        return
    asks: tuple[Ask, ...] = ()
    if carries is None:
        answer, says = Answer.UNKNOWN, f"What flows through {name} is not said."
        asks = (Ask(f"Ask what flows through {name}, and write 'carries'.", Who.CUSTOMER, 2.0),)
    elif opens and chokes:
        answer = Answer.NO
        says = f"{what} lets gas that takes the breath out at {name}, whoever is in there: refused."
    elif opens:
        answer = Answer.NO
        says = f"{what} lets gas on at {name}, from wherever the fob is: refused."
    else:
        answer, says = Answer.YES, f"{what} only shuts the gas at {name}."
    because = "A flame that went out meanwhile lets the gas into the room. Gas is for a licensed person."
    yield LETS_GAS_ON.decide(
        about=f"{what}: {driven.works}",
        subjects=(ref, driven.subject),
        answer=answer,
        says=says,
        because=f"{_CHOKING if chokes else because} {LOCAL_CODES}",
        asks=asks,
        remedies=_KEPT_OUT if chokes else _PROVEN,
        sources=(*driven.cite("carries"), PRACTICE, GIVEN),
        cause=driven.subject,
    )
