"""Status inputs of a receiver: whether what they read does anything, and whether anybody is told of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import PRACTICE
from farpress.case.signals import signals_of
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Stake, Who
from farpress.domain.premises import WORKS_NOTHING, ReceiverInput
from farpress.domain.refs import InputRef, ReceiverRef
from farpress.judging.check import Answer, Check
from farpress.judging.receiver.told_by import how_told, told_by

__all__ = ["INPUT_USED", "judge"]

INPUT_USED: Final = Check(
    "RCV-09",
    Link.RECEIVER,
    "What a status input of a receiver reads: whether it works anything, or somebody is told of it.",
    stake=Stake.PROMISE,
    advice=True,
    ask="Say which output the input works, or 'nothing'.",
    who=Who.INSTALLER,
    minutes=2.0,
    mends="An output that the input works, the receiver's acknowledgement led to a sounder, or the wire taken"
    " off.",
)


def judge(case: Case) -> Iterator[Finding]:
    """RCV-09 of each status input."""
    wired = {
        f"{signal.premises}/{signal.receiver}"
        for signal in signals_of(case)
        if signal.name == "acknowledge" and signal.given is not None
    }
    for premises, house in case.job.premises.items():
        for name, box in house.receivers.items():
            path = f"{premises}/{name}"
            for number, entry in box.inputs.items():
                if entry.reads.partition(".")[0] in house.panels and entry.works in (None, WORKS_NOTHING):
                    yield _of_panel(case, path, number, entry, is_wired=path in wired)
                else:
                    yield _of_contact(path, number, entry)


def _of_contact(path: str, number: str, entry: ReceiverInput) -> Finding:
    """A contact of a device, or whatever works an output: nothing else is made of it."""
    name = path.partition("/")[2]
    asks: tuple[Ask, ...] = ()
    because, remedies = "", (Remedy("Say by its 'works' which output it works"),)
    if entry.works is None:
        answer = Answer.UNKNOWN
        says = f"Input {number} of {name} reads {entry.reads}; which output it works, if any, is not said."
        asks = (
            Ask(
                f"Close {entry.reads} and watch which relay of {name} clicks; write its number as 'works',"
                f" or '{WORKS_NOTHING}'.",
                Who.INSTALLER,
                2.0,
            ),
        )
    elif entry.works == WORKS_NOTHING:
        answer = Answer.NO
        says = f"Input {number} of {name} reads {entry.reads} and works no output."
        because = f"Whoever counts on {entry.reads} waits for something that does not come."
        remedies = (Remedy("Let it work an output, or take the wire off and write why"),)
    else:
        answer = Answer.YES
        says = f"Input {number} of {name} reads {entry.reads} and works output {entry.works}."
    return INPUT_USED.decide(
        about=f"{path} input {number}",
        subjects=(InputRef(f"{path}/in{number}"), ReceiverRef(path)),
        cause=InputRef(f"{path}/in{number}"),
        answer=answer,
        says=says,
        because=because,
        asks=asks,
        remedies=remedies,
        sources=(PRACTICE,),
    )


def _of_panel(case: Case, path: str, number: str, entry: ReceiverInput, *, is_wired: bool) -> Finding:
    """A state of a panel, of which a receiver only tells."""
    premises, _, name = path.partition("/")
    answer = told_by(case, path)
    house = case.job.premises[premises]
    sounders = [
        key
        for key in house.devices
        if case.equipment.devices[f"{premises}/{key}"].sheet.traits.makes_sound and not is_wired
    ]
    ways = (
        Remedy(
            f"Lead the output 'acknowledge' of {name} to {sounders[0]}, heard where people press",
            changes=(
                Change(
                    ("premises", premises, "receivers", name, "signals", "acknowledge"),
                    {"works": f"{sounders[0]}.on"},
                ),
            )
            if len(sounders) == 1
            else (),
        )
        if sounders
        else Remedy(f"Lead the output 'acknowledge' of {name} to a lamp or sounder where people press"),
        Remedy(f"A lamp at {entry.reads} itself, seen where people press"),
    )
    return INPUT_USED.decide(
        about=f"{path} input {number}",
        subjects=(InputRef(f"{path}/in{number}"), ReceiverRef(path)),
        cause=InputRef(f"{path}/in{number}"),
        answer=answer,
        says=f"Input {number} of {name} reads {entry.reads}; {how_told(case, path)}.",
        because="" if answer is Answer.YES else "A wire that ends in a box tells nobody.",
        asks=(
            (
                Ask(
                    f"Set the panel and listen: does {name} itself sound, or what hangs on its output"
                    " 'acknowledge'? Write it as 'acknowledges_by'.",
                    Who.INSTALLER,
                    3.0,
                ),
            )
            if answer is Answer.UNKNOWN
            else ()
        ),
        remedies=ways,
        sources=(*case.equipment.receivers[path].cite("acknowledges_by", "acknowledge"), PRACTICE),
    )
