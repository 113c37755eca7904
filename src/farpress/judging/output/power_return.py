"""How outputs stand after a power cut, and that nothing dangerous then starts by itself."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.behaviour import after_power_return
from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, MACHINES
from farpress.case.driven import Driven, change, driven_of, function_kinds, moves, subjects_of
from farpress.case.feeding import supply_behind
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.judging.check import Answer, Check
from farpress.judging.hurting import ask_what_it_is, may_hurt, surely_hurts
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

NO_VOLT_RELEASE: Final = Remedy(
    "A contactor at the device that holds itself and falls off without mains, started by a press there"
)

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
    carried = _carried_through(case, output, dangerous)
    if carried is not None and answer is not Answer.NO:
        answer, says, because, remedies = carried.answer, carried.says, _NOTHING_STARTS, (NO_VOLT_RELEASE,)
        asks = (*asks, *carried.asks)
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


@dataclass(frozen=True)
class _Carried:
    """What a receiver that lives through a cut of the mains leaves switched on."""

    answer: Answer
    says: str
    asks: tuple[Ask, ...] = ()


def _carried_through(case: Case, output: OutputAt, dangerous: list[Driven]) -> _Carried | None:
    """A receiver on a battery never notices the cut: what it left on starts as soon as the mains are back.

    None where the output lets go by itself, or the device lives through the cut as well.
    """
    if not output.output.traits.keeps_state:
        return None
    house, behind = output.house, supply_behind(output.house, output.box.fed)
    apart = [
        driven
        for driven in dangerous
        if driven.wants != "pulse" and not _lives_through(output, driven, behind)
    ]
    if not apart:
        return None
    names = listed(dict.fromkeys(driven.path.split("/")[1] for driven in apart))
    if behind is None:
        return _Carried(
            Answer.UNKNOWN,
            f"What feeds {output.receiver} is not known: on a battery it lives through a cut of the mains,"
            f" leaves {output.path} on, and {names} starts by itself afterwards.",
            (
                Ask(
                    f"Say what feeds {output.receiver}, and whether a battery stands behind it.",
                    Who.INSTALLER,
                ),
            ),
        )
    if house.supplies[behind].battery is None:
        return None
    return _Carried(
        Answer.NO,
        f"The battery of {behind} carries {output.receiver} through a cut of the mains: {output.path} stays"
        f" on, and {names} starts by itself when the mains are back.",
    )


def _lives_through(output: OutputAt, driven: Driven, behind: str | None) -> bool:
    """Whether a device notices no cut that its receiver does not: it has its current from the same supply, or
    from another one with a battery.
    """
    device = output.house.devices.get(driven.path.partition("/")[2])
    own = output.output.load_from or supply_behind(output.house, device.fed if device is not None else None)
    supply = output.house.supplies.get(own or "")
    return own is not None and (own == behind or (supply is not None and supply.battery is not None))


def _is_dangerous(driven: Driven, kinds: frozenset[str]) -> bool:
    if kinds & _DANGEROUS:
        return True
    if driven.logic in ("stop", "safety") or driven.panel is not None:
        return False
    return (
        may_hurt(driven)
        or surely_hurts(driven)
        or (driven.traits.starts_unseen and not driven.traits.is_unsaid)
    )
