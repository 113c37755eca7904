"""The receiver's own signals: what their outputs carry, and whether anybody is told."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import PRACTICE
from farpress.case.signals import SignalAt, signals_of
from farpress.core.wiring.wrong_wiring import state_at, wrong_wirings
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Stake, Who
from farpress.domain.parts import Loop
from farpress.domain.refs import ReceiverRef
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit
from farpress.judging.panel.loop_bands import accepted_bands, ohms
from farpress.judging.panel.loop_readings import readings_while
from farpress.units import write_quantity

__all__ = ["SIGNAL_CURRENT", "SIGNAL_TOLD", "judge"]

SIGNAL_CURRENT: Final = Check(
    "RCV-06",
    Link.RECEIVER,
    "Current of what a receiver's own signal works, against the most its output may carry.",
    unit="A",
    bound=AT_MOST,
    stake=Stake.WEAR,
    ask="Read the most current of this output off the receiver's data sheet.",
    mends="A relay between, or a lamp that draws less.",
)
SIGNAL_TOLD: Final = Check(
    "RCV-07",
    Link.RECEIVER,
    "Whether a receiver's own signal reaches somebody who sees to it.",
    stake=Stake.PROMISE,
    advice=True,
    ask="Say who is told of it, by name.",
    who=Who.CUSTOMER,
    minutes=2.0,
    mends="The signal led to a zone, a lamp or a sounder, and a name written down.",
)

_PLAIN: Final = ("closed", "open")
"""Schemes without a resistor: a transistor may work them."""


def judge(case: Case) -> Iterator[Finding]:
    """RCV-06 of each signal that works something, RCV-07 of each there is."""
    for signal in signals_of(case):
        if signal.given is not None:
            yield _current(signal)
        yield _told(case, signal)


def _current(signal: SignalAt) -> Finding:
    """RCV-06."""
    given, sheet = signal.given, signal.sheet
    works = given.works if given is not None else ""
    most = sheet.current_max_a if sheet is not None else None
    load = signal.load_a
    asks: list[Ask] = []
    if load is None:
        asks.append(Ask(f"Find the current that {works} draws from the contact.", Who.LABEL))
    if sheet is None or sheet.form is None:
        asks.append(
            Ask(
                f"Find out whether the output '{signal.name}' of {signal.receiver} is a relay contact or a"
                " transistor to 0 V.",
                Who.LABEL,
            )
        )
    carries = (
        "what it may carry is not known"
        if most is None
        else f"it may carry {write_quantity(most, 'current')}"
    )
    draws = "an unknown current" if load is None else write_quantity(load, "current")
    return SIGNAL_CURRENT.judge(
        about=signal.path,
        subjects=signal.subjects,
        cause=ReceiverRef(f"{signal.premises}/{signal.receiver}"),
        value=Estimate(load),
        limit=Limit(most, signal.part.cite("low_cell", "acknowledge")),
        says=f"The output '{signal.name}' of {signal.receiver} works {works}, {draws}; {carries}.",
        asks=asks,
        remedies=(Remedy("A relay between, whose coil draws less"), Remedy("A lamp that draws less")),
    )


def _told(case: Case, signal: SignalAt) -> Finding:
    """RCV-07: not wired, on a tamper input, on a loop that takes a transistor for a resistor, lost in a shift
    of 0 V, or told to nobody.
    """
    given, name = signal.given, signal.receiver
    loop = signal.panel_input.loop if signal.panel_input is not None else None
    is_low_cell = signal.name == "low cell"
    is_tamper = signal.panel_input is not None and signal.panel_input.reads == "tamper"
    is_transistor = signal.sheet is not None and signal.sheet.form == "open collector"
    misread = _misread(signal) if not is_tamper else None
    asks: tuple[Ask, ...] = ()
    because = (
        "A fob with a weak cell fails on a cold evening; the signal comes at the first weak press."
        if is_low_cell
        else "Whoever presses and is told nothing believes what he hopes."
    )
    if given is None:
        answer, says = Answer.NO, f"The output '{signal.name}' of {name} works nothing: nobody is told."
    elif is_transistor and loop is not None and loop.scheme not in _PLAIN:
        answer = Answer.NO
        says = (
            f"The output '{signal.name}' of {name} is a transistor on the loop with resistors {given.works}."
        )
        because = "The panel takes its volts for a resistance, and may read it as normal."
    elif is_tamper:
        answer = Answer.NO
        says = f"The output '{signal.name}' of {name} works {given.works}, which reads tamper."
        because = (
            "Each such press is told as an opened housing, a loud alarm while it is set; and an opened"
            " housing is then taken for a weak cell."
        )
    elif misread is not None:
        answer, says = Answer.NO, misread
        because = "A zone that reads an alarm at rest cannot be set; one that stays normal tells nobody."
    elif (lost := _lost(case, signal)) is not None:
        answer, says = Answer.NO, lost
        because = "A transistor pulls down to its receiver's 0 V, which loads on a shared core lift."
    elif not is_low_cell and signal.device is None:
        answer = Answer.NO
        says = f"The pulses of {name} go to {given.works}: the panel is told what it said itself."
    elif is_low_cell and given.tells is None:
        answer = Answer.UNKNOWN
        says = f"A weak cell at {name} shows at {given.works}; who sees to it is not written down."
        asks = (Ask(f"Say who changes a cell when {given.works} shows that one is weak.", Who.CUSTOMER, 2.0),)
    else:
        answer = Answer.YES
        says = f"The output '{signal.name}' of {name} works {given.works}"
        says += f"; {given.tells} sees to it." if given.tells else "."
        because = ""
    if answer is Answer.YES and given is not None and signal.device is None:
        asks = _asks_of_line(signal, loop) if is_transistor and loop is not None else _asks_of_bands(signal)
        answer = Answer.UNKNOWN if asks else answer
    stops = is_tamper or misread is not None
    return replace(SIGNAL_TOLD, advice=not stops).decide(
        about=signal.path,
        subjects=signal.subjects,
        cause=ReceiverRef(f"{signal.premises}/{signal.receiver}"),
        answer=answer,
        says=says,
        because=because,
        asks=asks,
        remedies=(
            *_other_side(signal, misread),
            Remedy("Lead it to a lamp or sounder where people press")
            if not is_low_cell
            else Remedy(
                "Lead it over a relay contact to a zone of the panel, or to a lamp that somebody sees"
            ),
            Remedy("Write down by name who sees to it"),
        ),
        sources=(*signal.part.cite("low_cell", "acknowledge"), PRACTICE),
    )


def _misread(signal: SignalAt) -> str | None:
    """What a panel's zone makes of a relay contact that rests on the wrong side, or changes nothing."""
    loop, given = signal.panel_input.loop if signal.panel_input is not None else None, signal.given
    bands = accepted_bands(loop) if loop is not None else None
    if loop is None or bands is None or given is None or signal.sheet is None or signal.sheet.form != "relay":
        return None
    right = wrong_wirings(
        scheme=loop.scheme,
        bands=bands,
        normal_ohm=loop.normal_ohm or 0.0,
        alarm_ohm=loop.alarm_ohm or 0.0,
        break_contact=signal.breaks,
    )[0]
    if right.rest_state == "normal" and right.worked_state != "normal":
        return None
    return (
        f"{given.works} reads '{signal.name}' of {signal.receiver}, over its {_side(signal.breaks)} contact,"
        f" as {ohms(right.rest_ohm)} ({right.rest_state}) at rest, and as {ohms(right.worked_ohm)}"
        f" ({right.worked_state}) while it tells."
    )


def _side(breaks: bool) -> str:
    return "break" if breaks else "make"


def _other_side(signal: SignalAt, misread: str | None) -> Iterator[Remedy]:
    """The other side of the contact, where that is read as it should be."""
    if misread is None or signal.given is None:
        return
    contact = "normally open" if signal.breaks else "normally closed"
    other = replace(signal, given=signal.given.model_copy(update={"contact": contact}))
    if _misread(other) is None:
        house = ("premises", signal.premises, "receivers", signal.receiver)
        change = Change((*house, "signals", signal.name, "contact"), contact)
        yield Remedy(f"Wire the {_side(other.breaks)} side of its contact instead", changes=(change,))


def _asks_of_bands(signal: SignalAt) -> tuple[Ask, ...]:
    """What must be known of a zone before it is said that a contact is read there."""
    loop = signal.panel_input.loop if signal.panel_input is not None else None
    if loop is not None and accepted_bands(loop) is not None:
        return ()
    works = signal.given.works if signal.given is not None else ""
    says = f"Find how {works} is supervised: its resistors, and which ohms the panel takes for an alarm."
    return (Ask(says, Who.ALARM_COMPANY),)


def _asks_of_line(signal: SignalAt, loop: Loop) -> tuple[Ask, ...]:
    """What must be known of a transistor's line before a shift of 0 V can be seen."""
    given = signal.given
    works = given.works if given is not None else ""
    asks: list[Ask] = []
    if signal.part.sheet.saturation_v is None:
        says = f"Find the volts left across the output '{signal.name}' of {signal.receiver}."
        asks.append(Ask(says, Who.LABEL))
    if not loop.supply_v or not loop.pull_up_ohm:
        asks.append(
            Ask(f"Find the volts that the panel puts on {works}, and its resistor.", Who.ALARM_COMPANY)
        )
    if given is None or given.cable is None:
        asks.append(Ask(f"Name the cable from {signal.receiver} to {works}, and its length.", Who.INSTALLER))
    return tuple(asks)


def _lost(case: Case, signal: SignalAt) -> str | None:
    """What a panel's input makes of a transistor, where that changes with what else is on; else None."""
    loop, given = signal.panel_input.loop if signal.panel_input is not None else None, signal.given
    is_transistor = signal.sheet is not None and signal.sheet.form == "open collector"
    bands = accepted_bands(loop) if loop is not None else None
    if loop is None or bands is None or given is None or not is_transistor:
        return None
    path = f"{signal.premises}/{signal.receiver}/{signal.name}"
    seen = readings_while(case, signal.premises, path, given.works, loop)
    states = [state_at(ohm, bands) for ohm in seen]
    other = next((place for place, state in enumerate(states) if state != states[0]), None)
    if other is None:
        return None
    return (
        f"{given.works} reads '{signal.name}' of {signal.receiver} as {ohms(seen[0])} ({states[0]}), and as"
        f" {ohms(seen[other])} ({states[other]}) while more is on."
    )
