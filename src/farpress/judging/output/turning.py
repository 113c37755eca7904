"""A motor that turns round with its volts: what its two outputs must be, and what both of them on do."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, subjects_of
from farpress.case.turned import turned_pair, worked_by_turning
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.domain.refs import DeviceRef
from farpress.judging.check import Answer, Check
from farpress.phrases import listed

__all__ = ["TURNED_ROUND", "judge_turning"]

TURNED_ROUND: Final = Check(
    "OUT-19",
    Link.OUTPUT,
    "A motor that runs the other way with its volts changed over: whether its outputs can change them over,"
    " and what happens with both on.",
    stake=Stake.PROMISE,
    ask="Say which output opens and which shuts it, each with the supply that it switches.",
    mends="Two changeover contacts of one receiver on one supply: plus on both make sides, 0 V on both break"
    " sides, a core of the motor on each common; or a pair of reversing relays that bar each other.",
)

_CHANGEOVER: Final = Remedy(
    "Two changeover contacts of one receiver on one supply: plus on both make sides, 0 V on both break sides,"
    " a core of the motor on each common; both on it stands still"
)
_REVERSING: Final = Remedy(
    "A pair of reversing relays that bar each other by their own contacts, each worked by one output"
)


def judge_turning(case: Case) -> Iterator[Finding]:
    """OUT-19 of every motor that turns round with its volts and is fed over outputs."""
    for driven, rows in worked_by_turning(case):
        yield _judged(case, driven, [output for output, _ in rows])


def _judged(case: Case, driven: Driven, outputs: list[OutputAt]) -> Finding:
    device = driven.path.split("/")[1]
    names = listed(output.path for output in outputs)
    answer, because, says = Answer.NO, "", ""
    asks: tuple[str, ...] = ()
    pair = turned_pair(case, outputs[0])
    if pair is not None and device in pair.devices:
        answer = Answer.YES
        says = (
            f"{names} change the two cores of {device} over: with one on it runs, with both or none it stands"
            " still, and nothing is shorted."
        )
    elif len(outputs) == 1:
        answer = Answer.UNKNOWN
        says = f"{device} turns round with its volts, and {names} alone feeds it: it runs one way only."
    elif _are_barred(case, outputs):
        answer = Answer.YES
        says = f"{names} work reversing relays that bar each other, so that {device} gets one direction only."
    elif all(output.output.via for output in outputs):
        answer = Answer.UNKNOWN
        says = (
            f"{device} turns round with its volts over relays at {names}; whether these change its two cores"
            " over, or bar each other, is not known."
        )
        because = "Two-pole reversing relays that nothing bars short the supply when both are on."
        asks = (
            f"Look whether the relays at {names} lead plus on their make and 0 V on their break sides, or bar"
            " each other; of a pair that does, write 'interlocked: true' at the relay's part.",
        )
    else:
        says = (
            f"{device} turns round with its volts, and {names} do not change its two cores over:"
            f" {_why(case, outputs)}."
        )
        because = (
            "Make contacts alone lead plus to the motor one way only; as two-pole relays that nothing"
            " bars they short the supply when both are on, and one of them welds."
        )
    return TURNED_ROUND.decide(
        about=f"{device}: {names}",
        subjects=(DeviceRef(driven.path), *(ref for output in outputs for ref in subjects_of(output))),
        answer=answer,
        says=says,
        because=because,
        asks=asks,
        remedies=(_CHANGEOVER, _REVERSING),
        sources=(*driven.cite("reverses", "inputs"), PRACTICE, GIVEN),
    )


def _are_barred(case: Case, outputs: list[OutputAt]) -> bool:
    """Whether all work relays of which one kind bars the other."""
    relays = {output.output.via for output in outputs}
    part = case.equipment.relays.get(next(iter(relays)) or "") if len(relays) == 1 else None
    return part is not None and part.sheet.interlocked is True


def _why(case: Case, outputs: list[OutputAt]) -> str:
    """What of them hinders it, the first thing found."""
    if len({(output.output.load_from, output.output.load_branch) for output in outputs}) > 1:
        return "they switch different supplies"
    if len({output.receiver_path for output in outputs}) > 1:
        return "they are those of two receivers, of which one may be without power"
    if any(output.output.via for output in outputs):
        return "one works a relay and another does not"
    if len(outputs) > 2:
        return f"{len(outputs)} of them feed it"
    if any(output.output.contact == "normally closed" for output in outputs):
        return "one is wired by its break contact alone"
    form = case.equipment.receivers[outputs[0].receiver_path].sheet.contact_form
    if form in (None, "changeover"):
        return "nobody says which opens it and which shuts it"
    return f"their contacts are {form}"
