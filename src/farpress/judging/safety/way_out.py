"""A way out that hangs on a receiver: an exit button wired into its box instead of into the lock's supply."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import EN_13637
from farpress.case.driven import Driven, driven_of
from farpress.domain.cautions import DUTIES, caution
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.premises import Receiver, ReceiverInput
from farpress.domain.refs import DeviceRef, InputRef, OutputRef, Ref
from farpress.judging.check import Answer, Check

__all__ = ["FREE_OF_RECEIVER", "judge"]

FREE_OF_RECEIVER: Final = Check(
    "SAFE-14",
    Link.SAFETY,
    "An exit button that works through a receiver: the way out hangs on its supply and its program. Refused.",
    stake=Stake.HARM,
    bars=True,
    halts=True,
    ask="Follow the cable of the exit button: to the lock's supply, or into the receiver.",
    who=Who.INSTALLER,
    minutes=10.0,
    mends="Exit button, green call point and fire alarm break the lock's supply directly; the"
    " fob only lets in.",
)


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-14, of each input of a receiver that works a lock, or reads something at one."""
    for premises, house in case.job.premises.items():
        for name, box in house.receivers.items():
            for number, entry in box.inputs.items():
                yield from _input(case, premises, name, box, number, entry)


def _input(
    case: Case, premises: str, name: str, box: Receiver, number: str, entry: ReceiverInput
) -> Iterator[Finding]:
    worked = [
        (output, driven)
        for output in case.outputs()
        if output.receiver_path == f"{premises}/{name}"
        for driven in driven_of(case, output)
        if driven.traits.shuts_a_way or driven.sheet.escape_route
    ]
    through = [(output, driven) for output, driven in worked if output.number == entry.works]
    read = entry.reads.split(".")[0]
    at_lock = [
        (output, driven)
        for output, driven in worked
        if driven.path == f"{premises}/{read}" and (driven.traits.is_lock or driven.sheet.escape_route)
    ]
    if through:
        yield _finding(f"{premises}/{name}", number, entry, through[0])
    elif entry.works is None and at_lock:
        yield _finding(f"{premises}/{name}", number, entry, at_lock[0], asked=True)


def _finding(
    receiver: str, number: str, entry: ReceiverInput, use: tuple[OutputAt, Driven], *, asked: bool = False
) -> Finding:
    output, driven = use
    name, path = driven.path.split("/")[1], f"{receiver}/in{number}"
    is_escape = driven.sheet.escape_route
    refs: tuple[Ref, ...] = (InputRef(path), OutputRef(output.path), DeviceRef(driven.path))
    asks: tuple[Ask, ...] = ()
    says = f"{entry.reads} releases {name} through the receiver: the way out hangs on a radio receiver."
    answer = Answer.NO
    if asked:
        answer = Answer.UNKNOWN
        says = f"Input {number} of {receiver} reads {entry.reads}; whether it releases {name} is not said."
        asks = (
            Ask(
                f"Say which output input {number} works, if any: a way out must not go through a receiver.",
                Who.INSTALLER,
            ),
        )
    elif is_escape is None:
        answer = Answer.UNKNOWN
        says = f"{entry.reads} releases {name} through the receiver; whether people leave there is not known."
        asks = (Ask(f"Ask who leaves through {name} when there is a fire.", Who.CUSTOMER, 2.0),)
    elif not is_escape:
        answer = Answer.BARELY
    return FREE_OF_RECEIVER.decide(
        about=path,
        subjects=refs,
        answer=answer,
        says=says,
        because=(
            "A receiver restarts when its supply sags, and lets nobody out meanwhile."
            f" {caution('escape')} {DUTIES['escape']}"
        ),
        asks=asks,
        remedies=(
            Remedy(
                "Let exit button, green call point and fire alarm break the lock's supply directly, by wire"
            ),
            Remedy("Keep the fob for coming in"),
        ),
        sources=(*driven.cite("escape_route"), EN_13637),
        cause=InputRef(path),
    )
