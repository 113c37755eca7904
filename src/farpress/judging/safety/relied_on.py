"""What people rely on: power that must not go away by a press, and a press that must work in danger."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE, RADIO
from farpress.case.driven import Driven, driven_of, group_text, known_holders, subjects_of
from farpress.domain.cautions import LOCAL_CODES, caution
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.job import Function
from farpress.domain.refs import FunctionRef, OutputRef, Ref
from farpress.domain.told_words import DANGER, KEPT_ON, told
from farpress.judging.check import Answer, Check
from farpress.phrases import listed
from farpress.units import write_quantity

__all__ = ["RELIED_ON", "STAYS_ON", "judge"]

STAYS_ON: Final = Check(
    "SAFE-17",
    Link.SAFETY,
    "What must never be without power: no press, no lost relay and no power cut may leave it off.",
    stake=Stake.HARM,
    mends="A circuit of its own past the receiver; light to move by on its own battery.",
)
RELIED_ON: Final = Check(
    "SAFE-18",
    Link.SAFETY,
    "A press that somebody relies on in danger: refused as the only means.",
    stake=Stake.HARM,
    bars=True,
    halts=True,
    ask="Ask whether somebody relies on it when there is a fire or an attack.",
    who=Who.CUSTOMER,
    minutes=5.0,
    mends="A wired system for it, decided and approved by whoever answers for the building.",
)

_AFTER_CUT: Final = "works after power return"


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-17 of each output on something that must stay on, SAFE-18 of each function relied on in danger."""
    for output in case.outputs():
        for driven in driven_of(case, output):
            what = driven.sheet.must_stay_on
            if what is None:
                yield from _may_have_to_stay_on(case, output, driven)
            elif what.strip().casefold() not in _MAY_BE_OFF:
                yield _stays_on(case, output, driven, what)
    for name, function in case.job.functions.items():
        called = told(DANGER, name, function.says)
        if function.in_danger or (function.in_danger is None and called):
            yield _relied_on(name, function, called)


_MAY_BE_OFF: Final = frozenset({"", "nothing", "no", "none"})


def _may_have_to_stay_on(case: Case, output: OutputAt, driven: Driven) -> Iterator[Finding]:
    """SAFE-17 of what sounds as if it must never be without its power, as long as nobody says so or not."""
    if driven.device is None or driven.traits.is_lock or driven.traits.is_leaf:
        return
    name = driven.path.split("/")[1]
    says = [case.job.functions[function].says for function in output.functions]
    mounted = output.house.devices.get(name)
    there = (driven.device.says, mounted.says if mounted is not None else None)
    word = told(KEPT_ON, name, *output.functions, *says, *there)
    if not word:
        return
    yield STAYS_ON.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        cause=driven.subject,
        answer=Answer.UNKNOWN,
        says=f"{output.path} works {driven.works}, and '{word}' is written about it: whether it may ever be"
        " without its power is not said.",
        because=f"A radio link and a relay are no supply to rely on. {LOCAL_CODES}",
        asks=(
            Ask(
                f"Ask what happens while {name} is off: who walks in the dark, what spoils, what floods.",
                Who.CUSTOMER,
                3.0,
            ),
        ),
        sources=(PRACTICE, GIVEN),
    )


def _stays_on(case: Case, output: OutputAt, driven: Driven, what: str) -> Finding:
    """SAFE-17."""
    name, traits = driven.path.split("/")[1], output.output.traits
    is_broken_by_press = output.output.contact == "normally closed"
    people = known_holders(case, output)
    who = "whoever holds a fob" if people is None else f"each of {group_text(people)}"
    length = output.output.for_s
    lost: list[str] = []
    if not is_broken_by_press:
        lost.append("it is off whenever the receiver or its supply fails")
        if traits.wants_length and length is not None:
            lost.append(f"it goes off by itself {write_quantity(length, 'time')} after a press")
        elif traits.keeps_state:
            lost.append(f"{who} can switch it off")
        after = output.output.after_power_return
        back = case.equipment.receivers[output.receiver_path].sheet.toggle_after_power_return
        stays = after or (back if traits.keeps_state else "off")
        if stays != "as before":
            lost.append("after a power cut, be it a blink, it stays off until somebody comes")
    elif traits.keeps_state:
        lost.append(f"{who} can switch it off, and nothing switches it on again")
    wish = next(
        (
            number
            for number, rule in enumerate(case.job.rules, start=1)
            if rule.never == _AFTER_CUT and {*output.functions, name, driven.path, output.path} & set(rule.of)
        ),
        None,
    )
    against = (
        f" Rule {wish} wants that nothing comes on by itself after a power cut: the two wishes contradict"
        " each other, and whoever made them has to say what holds for this."
        if wish is not None and not is_broken_by_press
        else ""
    )
    needs = f"{what[0].upper()}{what[1:]} must never be without {name}"
    answer = Answer.NO if lost else Answer.BARELY
    says = (
        f"{needs}, and {output.path} works it: {listed(lost)}."
        if lost
        else (f"{needs}; a press of {output.path} takes its power away for as long as it lasts.")
    )
    remedies = [
        Remedy("Feed it past the receiver, on a circuit of its own; let the fob switch only what may be off")
    ]
    if driven.traits.gives_light:
        remedies.append(
            Remedy("Light to move by on its own battery, and a fixed switch to start the rest again")
        )
    if against:
        remedies.append(Remedy("Have it in writing, from the insurer too, what may come back by itself"))
    return STAYS_ON.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        cause=driven.subject,
        answer=answer,
        says=says,
        because=f"A radio link and a relay are no supply to rely on.{against} {LOCAL_CODES}",
        remedies=remedies,
        sources=(*driven.cite("must_stay_on"), PRACTICE, GIVEN),
    )


def _relied_on(name: str, function: Function, called: str) -> Finding:
    """SAFE-18; a name that only sounds like it is asked about."""
    subjects: tuple[Ref, ...] = (FunctionRef(name), *(OutputRef(path) for path in function.paths))
    asks: tuple[Ask, ...] = ()
    if not function.in_danger:
        answer = Answer.UNKNOWN
        says = f"'{name}' is called '{called}': does somebody rely on it in danger?"
        asks = (
            Ask(
                f"Ask whether somebody relies on '{name}' in a fire or an attack, and write 'in_danger'.",
                Who.CUSTOMER,
                5.0,
            ),
        )
    elif function.also_by:
        answer = Answer.BARELY
        says = f"'{name}' is relied on in danger; {function.also_by} does the same without radio."
    else:
        answer = Answer.NO
        says = f"'{name}' is relied on in danger, and only a press by radio does it: refused."
    return RELIED_ON.decide(
        about=name,
        subjects=subjects,
        answer=answer,
        says=says,
        because=(
            f"{caution('safety input')} What locks in an attack must never hold anybody in at a fire: in a"
            " fire everything must open, by wire and by hand."
        ),
        asks=asks,
        remedies=(
            Remedy("A wired system for it, approved, with no lock on a way out; who presses is written down"),
            Remedy("Say what does the same by wire ('also_by'); the fob then only comes beside it"),
        ),
        sources=(RADIO, GIVEN),
    )
