"""How outputs stand after a power cut, and that nothing dangerous then starts by itself."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.behaviour import after_power_return
from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, MACHINES
from farpress.case.driven import Driven, change, driven_of, function_kinds, moves, subjects_of
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.judging.check import Answer, Check
from farpress.judging.hurting import ask_what_it_is, may_hurt
from farpress.phrases import listed
from farpress.sources import Citation

__all__ = ["WAITS_FOR_COMMAND", "judge_power_return"]

STAYS_OFF: Final = Check(
    "OUT-04",
    Link.OUTPUT,
    "After the power returns nothing that moves, waters, heats or sounds may come on by itself.",
    stake=Stake.HARM,
    ask="Switch the supply off three times while the output is on, and write what was seen.",
    who=Who.INSTALLER,
    mends="An output that stays off after power return, proven by switching the supply off three times.",
)

_ANSWERS: Final = {"off": Answer.YES, "unknown": Answer.UNKNOWN}
"""State after power return → the answer; every other state is one that can start something."""

_DANGEROUS: Final = frozenset({"water", "heat", "sound"})
"""Kinds of functions that may not begin by themselves, whatever they work."""

WAITS_FOR_COMMAND: Final = Remedy("Have the drive wait for a command after the power returns")

_NOTHING_STARTS: Final = "Nothing that moves, waters, heats or sounds may start by itself."


def judge_power_return(case: Case, output: OutputAt) -> Iterator[Finding]:
    """OUT-04, of an output that works something dangerous when it starts by itself."""
    kinds = function_kinds(case, output)
    dangerous = [driven for driven in driven_of(case, output) if _is_dangerous(driven, kinds)]
    if not dangerous:
        return
    works, state = dangerous[0].works, after_power_return(case, output)
    asks: tuple[Ask, ...] = ()
    because = _NOTHING_STARTS
    remedy = Remedy(
        "Choose 'off' after power return, and prove it by switching the supply off three times",
        "",
        (change(output, "after_power_return", "off"),),
    )
    if state == "off":
        says = f"After the power returns {output.path} stays off; {works} is not worked by itself."
        because = "Prove it by switching the supply off three times."
    elif state == "unknown":
        says = f"How {output.path} stands after the power returns is not known, and it works {works}."
        what = "how the output stands after power return"
        if output.output.traits.wants_length:
            what = "whether the rest of the time is resumed"
        asks = (
            Ask(
                f"Find out of {output.path} {what}, or switch the supply off three times while it is on, and"
                " write what was found.",
                Who.INSTALLER,
            ),
        )
    elif state == "on":
        says = (
            f"{output.path} uses the normally closed contact: without power, and right after it returns,"
            f" {works} is worked."
        )
        remedy = Remedy("Use the normally open contact", "", (change(output, "contact", "normally open"),))
    else:
        says = f"After the power returns {output.path} stands as before, so {works} can come on by itself."
    hurts = any(moves(driven) or driven.traits.hurts for driven in dangerous)
    answer = _ANSWERS.get(state, Answer.NO)
    remedies: tuple[Remedy, ...] = (remedy,)
    sources: tuple[Citation, ...] = (MACHINES, GIVEN)
    itself = [driven for driven in dangerous if moves(driven) and driven.sheet.closes_after_power_return]
    if itself:
        answer, because = Answer.NO, _NOTHING_STARTS
        names = listed(dict.fromkeys(driven.path.split("/")[1] for driven in itself))
        own = f"{names} begins to close by itself once the power is back, whatever the receiver does."
        remedies = (WAITS_FOR_COMMAND, remedy) if state not in ("off", "unknown") else (WAITS_FOR_COMMAND,)
        says = f"{says} {own}" if state not in ("off", "unknown") else own
        sources = (*sources, *itself[0].cite("closes_after_power_return"))
    if answer is Answer.NO and not kinds & _DANGEROUS and all(may_hurt(driven) for driven in dangerous):
        answer = Answer.UNKNOWN
        asks = tuple(ask_what_it_is(driven) for driven in dangerous)
    yield STAYS_OFF.decide(
        about=output.path,
        subjects=subjects_of(output, *dangerous),
        answer=answer,
        says=says,
        because=because,
        asks=asks,
        remedies=remedies,
        offers=(remedy,),
        sources=sources,
        stake=Stake.HARM if hurts else Stake.PROMISE,
        bars=hurts,
    )


def _is_dangerous(driven: Driven, kinds: frozenset[str]) -> bool:
    if kinds & _DANGEROUS:
        return True
    if driven.logic in ("stop", "safety") or driven.panel is not None:
        return False
    return may_hurt(driven) or (driven.traits.starts_unseen and not driven.traits.is_unsaid)
