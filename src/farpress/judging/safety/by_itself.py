"""What has to happen without anybody's press: storm, heat, frost and smoke do not wait for a fob."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.worked import Worked, worked_devices
from farpress.domain.cautions import LOCAL_CODES
from farpress.domain.device_care import ByItself
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.told_words import WEATHER, told
from farpress.judging.check import Answer, Check
from farpress.phrases import listed
from farpress.units import write_quantity

__all__ = ["BY_ITSELF", "WHICH_FIRST", "judge"]

BY_ITSELF: Final = Check(
    "SAFE-55",
    Link.SAFETY,
    "What has to happen without a press, as storm, heat, frost or smoke demands: something else than a fob"
    " does it, during a power cut too, or somebody is told that it did not.",
    stake=Stake.HARM,
    halts=True,
    ask="Ask what it must do by itself, and what makes it do so.",
    who=Who.CUSTOMER,
    minutes=5.0,
    mends="A control with its own sensors that has the last word, fed through a power cut, and an alarm that"
    " reaches somebody when it does not work.",
)
WHICH_FIRST: Final = Check(
    "SAFE-56",
    Link.SAFETY,
    "Two things that have to happen by themselves, against each other: it is said which goes first.",
    stake=Stake.HARM,
    halts=True,
    ask="Ask who decides which of the two goes first, and write it down.",
    who=Who.CUSTOMER,
    minutes=15.0,
    mends="One control that knows both, with the order agreed in writing.",
)

_AGAINST: Final = ({"open", "close"}, {"start", "stop"})
_CONTROL: Final = Remedy(
    "A control with its own sensors that has the last word; the fob gives it a wish only"
)
_TOLD: Final = Remedy("An alarm of its own that reaches somebody wherever he is, tried with the power off")
_WORST_FIRST: Final = (Answer.NO, Answer.UNKNOWN, Answer.BARELY, Answer.YES)
_ACTED: Final = {"open": "opens", "close": "closes", "start": "starts", "stop": "stops"}


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-55 of each thing with such a need, SAFE-56 where two of them stand against each other."""
    for worked in worked_devices(case):
        there = worked.driven.sheet.by_itself
        if there is None:
            yield from _asked(case, worked)
            continue
        if there:
            yield _done(worked, [_duty(case, worked, when, duty) for when, duty in there.items()])
        against = [
            (first, second)
            for first, second in combinations(there.items(), 2)
            if {first[1].does, second[1].does} in _AGAINST
        ]
        if against:
            yield _first(worked, against)


def _asked(case: Case, worked: Worked) -> Iterator[Finding]:
    """SAFE-55 of what people write weather, heat or smoke about and say nothing of what it must do then."""
    traits = worked.driven.traits
    word = told(WEATHER, *worked.texts(case)) or (traits.name if traits.lets_weather_in else "")
    heeds_none = traits.makes_sound or traits.calls_help or traits.gives_light or traits.is_leaf
    if not word or heeds_none or traits.is_lock or traits.fears_wind:
        return
    name = worked.name
    yield BY_ITSELF.decide(
        about=worked.path,
        subjects=worked.refs,
        answer=Answer.UNKNOWN,
        says=f"'{word}' is written about {name}; what it must do by itself then is not said.",
        because="Whoever has the fob may be asleep or in town, and a power cut comes with the weather.",
        stake=Stake.PROMISE,
        halts=False,
        asks=(
            Ask(
                f"Ask what {name} must do by itself in storm, rain, heat, frost or smoke, what makes it do so"
                " and during a power cut; write 'by_itself', {} for nothing.",
                Who.CUSTOMER,
                5.0,
            ),
        ),
        sources=(*worked.driven.cite("device"), GIVEN, PRACTICE),
    )


def _input_drawn(case: Case, worked: Worked) -> bool:
    """Whether a receiver that works it has an input that works the same output."""
    return any(
        wired.works is not None and wired.works == output.number
        for output, _ in worked.uses
        for wired in output.box.inputs.values()
    )


@dataclass(frozen=True)
class _Duty:
    """One need as far as something fulfils it: the answer, in words, and what is to be asked."""

    answer: Answer
    says: str
    asks: tuple[Ask, ...] = ()
    late: str = ""


def _duty(case: Case, worked: Worked, when: str, duty: ByItself) -> _Duty:
    """What is known of one need."""
    name = worked.name
    head = f"{when}: {name} must {duty.does} by itself"
    late = ""
    if duty.harm_after_s is not None:
        late = f" At {when} the harm is done after {write_quantity(duty.harm_after_s, 'time')}."
    if duty.by is None:
        ask = Ask(f"Ask what makes {name} {duty.does} at {when}, and try it.", Who.INSTALLER, 15.0)
        return _Duty(Answer.UNKNOWN, f"{head}; what makes it do so is not said.", (ask,), late)
    if duty.by == "nothing":
        return _Duty(Answer.NO, f"{head}, and nothing makes it do so.", (), late)
    if duty.by == "people":
        return _Duty(Answer.NO, f"{head}, and only somebody's press does it.", (), late)
    if duty.by == "a receiver's input" and not _input_drawn(case, worked):
        boxes = listed(
            dict.fromkeys(output.receiver_path for output, _ in worked.uses), nothing="no receiver"
        )
        says = f"{head} over an input of a receiver, and {boxes} has no input that works it."
        return _Duty(Answer.NO, says, (), late)
    answer, more, asks = _in_a_cut(name, when, duty)
    return _Duty(answer, f"{head}; {duty.by} does it{more}", tuple(asks), late)


def _done(worked: Worked, duties: list[_Duty]) -> Finding:
    """SAFE-55: the worst of its needs first."""
    duties = sorted(duties, key=lambda duty: _WORST_FIRST.index(duty.answer))
    answer = duties[0].answer
    late = "".join(duty.late for duty in duties if duty.answer is not Answer.YES)
    return BY_ITSELF.decide(
        about=worked.path,
        subjects=worked.refs,
        answer=answer,
        says=" ".join(duty.says for duty in duties),
        because=""
        if answer is Answer.YES
        else f"Whoever has the fob may be asleep or in town; no press may be needed for it.{late}",
        asks=tuple(ask for duty in duties for ask in duty.asks),
        remedies=(_CONTROL, _TOLD),
        sources=(*worked.driven.cite("by_itself"), GIVEN, PRACTICE),
    )


def _in_a_cut(name: str, when: str, duty: ByItself) -> tuple[Answer, str, list[Ask]]:
    """The answer for a power cut, where something does it otherwise; what is said of it, and questions."""
    if duty.without_power:
        return Answer.YES, ", during a power cut as well.", []
    tells = duty.told_by
    if duty.without_power is None:
        ask = Ask(
            f"Try with the power off whether {name} {_ACTED[duty.does]} at {when} all the same.",
            Who.INSTALLER,
            10.0,
        )
        return Answer.UNKNOWN, "; whether during a power cut too is not said.", [ask]
    if tells is None:
        ask = Ask(
            f"Ask what tells somebody, wherever he is, that {name} did not {duty.does} at {when}.",
            Who.CUSTOMER,
            5.0,
        )
        return Answer.UNKNOWN, "; not during a power cut, and who is told then is not said.", [ask]
    if tells.strip().casefold() == "nothing":
        return Answer.NO, "; not during a power cut, and then nobody is told.", []
    return Answer.BARELY, f"; not during a power cut, of which {tells} tells.", []


def _first(worked: Worked, against: list[tuple[tuple[str, ByItself], tuple[str, ByItself]]]) -> Finding:
    """SAFE-56."""
    orders = sorted(
        (_order(worked.name, first, second) for first, second in against),
        key=lambda order: _WORST_FIRST.index(order.answer),
    )
    answer = orders[0].answer
    return WHICH_FIRST.decide(
        about=worked.path,
        subjects=worked.refs,
        answer=answer,
        says=" ".join(order.says for order in orders),
        because="" if answer is Answer.YES else f"The wishes contradict each other. {LOCAL_CODES}",
        asks=tuple(ask for order in orders for ask in order.asks),
        remedies=(Remedy("One control that knows both, with the order agreed in writing"),),
        sources=(*worked.driven.cite("by_itself"), GIVEN, PRACTICE),
    )


def _order(name: str, first: tuple[str, ByItself], second: tuple[str, ByItself]) -> _Duty:
    """Which of two needs goes first, as far as it is said."""
    (one_when, one_duty), (other_when, other) = first, second
    goes = (other_when in one_duty.before, one_when in other.before)
    both = f"{one_when} and {other_when} at once: {name} must {one_duty.does} and must {other.does}"
    if all(goes):
        return _Duty(Answer.NO, f"{both}, and each is said to go before the other.")
    if any(goes):
        return _Duty(Answer.YES, f"{both}; {one_when if goes[0] else other_when} goes first.")
    ask = Ask(
        f"Ask who decides whether {name} shall {one_duty.does} or {other.does} when {one_when} and"
        f" {other_when} come together; write it under 'before'.",
        Who.CUSTOMER,
        15.0,
    )
    return _Duty(Answer.UNKNOWN, f"{both}; which goes first is not said.", (ask,))
