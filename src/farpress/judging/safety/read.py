"""What a meter read of a thing that radio works: its safeguards at rest and pressed, its insulation."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN
from farpress.case.driven import Driven, driven_of
from farpress.case.found_on_site import fault_of, is_settled
from farpress.domain.cautions import DUTIES, caution
from farpress.domain.device_sheets import SafeguardReading
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import DeviceRef, OutputRef, Ref
from farpress.judging.check import AT_LEAST, Answer, Check, Estimate, Limit, no_edge
from farpress.sources import Citation, Mark
from farpress.units import write_quantity

__all__ = ["INSULATION", "READ_SOUND", "judge"]

LEAST_INSULATION_OHM: Final = 1e6

READ_SOUND: Final = Check(
    "SAFE-22",
    Link.SAFETY,
    "Safeguards as read with a meter, against what sound ones read by their sheet.",
    stake=Stake.HARM,
    halts=True,
    ask="Read it at rest, and an edge while it is pressed, and take what it should read from its sheet.",
    who=Who.METER,
    minutes=10.0,
    mends="It mended, read again at rest and pressed, and tried with the leaf moving.",
)
INSULATION: Final = Check(
    "SAFE-23",
    Link.SAFETY,
    "Insulation of mains parts to earth, as measured.",
    unit="ohm",
    bound=AT_LEAST,
    thin=no_edge("what the standard wants has its reserve in it"),
    limit=Limit(
        LEAST_INSULATION_OHM,
        (Citation("IEC 60364-6", place="Table 6A, up to 500 V, tested with 500 V DC", mark=Mark.MEMORY),),
    ),
    stake=Stake.HARM,
    bars=True,
    who=Who.METER,
    mends="It switched off and mended by a licensed electrician, and measured again.",
)

_HOW: Final = {
    "open": "it is open: it notices nobody",
    "shorted": "it is shorted, or a part of it is bridged",
    "pressing it is not seen": "pressing it is not seen, so that it stops nothing",
    "pressing it changes nothing": "pressing it changes nothing: what is read is not the edge",
}


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-22 of each safeguard that was read, SAFE-23 of each insulation."""
    worked: dict[str, list[tuple[OutputAt, Driven]]] = {}
    for output in case.outputs():
        for driven in driven_of(case, output):
            if driven.device is not None:
                worked.setdefault(driven.path, []).append((output, driven))
    for uses in worked.values():
        for number, reading in enumerate(uses[0][1].sheet.safeguard_readings or (), 1):
            yield _read(uses, number, reading)
        if uses[0][1].sheet.insulation_ohm is not None:
            yield _insulation(uses)


def _refs(uses: list[tuple[OutputAt, Driven]]) -> tuple[Ref, ...]:
    return (DeviceRef(uses[0][1].path), *(OutputRef(output.path) for output, _ in uses))


def _read(uses: list[tuple[OutputAt, Driven]], number: int, reading: SafeguardReading) -> Finding:
    driven = uses[0][1]
    name = driven.path.split("/")[1]
    head = f"The {reading.of} of {name} reads {_ohms(reading.at_rest_ohm)} at rest"
    if reading.pressed_ohm is not None:
        head += f" and {_ohms(reading.pressed_ohm)} pressed"
    asks: tuple[Ask, ...] = ()
    fault = fault_of(reading)
    if fault:
        answer, says = Answer.NO, f"{head}: {_HOW[fault]}."
    elif is_settled(reading):
        answer, says = Answer.YES, f"{head}, as a sound one does."
    else:
        what = "press it all along by hand and read again" if reading.of == "edge" else "read it at rest"
        answer, says = Answer.UNKNOWN, f"{head}; whether that is sound is not settled."
        asks = (
            Ask(f"At {name}, {what}; take what a sound {reading.of} reads from its sheet.", Who.METER, 10.0),
        )
    return READ_SOUND.decide(
        about=f"{driven.path}: {reading.of} {number}",
        subjects=_refs(uses),
        cause=DeviceRef(driven.path),
        answer=answer,
        says=says,
        because="" if answer is Answer.YES else f"A reading at rest proves no safeguard. {DUTIES['machine']}",
        asks=asks,
        remedies=(
            Remedy("Have it mended by a competent person, read it again at rest and pressed, and test it"),
            Remedy("Until then no closing by time or by a fob: by hand, in sight of it"),
        ),
        sources=(*driven.cite("safeguard_readings"), GIVEN),
    )


def _insulation(uses: list[tuple[OutputAt, Driven]]) -> Finding:
    driven = uses[0][1]
    name, read = driven.path.split("/")[1], driven.sheet.insulation_ohm
    least = _ohms(LEAST_INSULATION_OHM)
    return INSULATION.judge(
        about=driven.path,
        subjects=_refs(uses),
        cause=DeviceRef(driven.path),
        value=Estimate(read),
        says=f"The insulation of {name} to earth is {_ohms(read)}; {least} is the least.",
        because=f"Water or a worn cable puts mains on its frame. {caution('mains')}",
        remedies=(
            Remedy(
                "Switch it off and lock it; a licensed electrician finds the water or the damage, mends it,"
                " measures again and looks for its residual current device"
            ),
        ),
        sources=(*driven.cite("insulation_ohm"), GIVEN),
    )


def _ohms(value: float | None) -> str:
    return "nothing that was noted" if value is None else write_quantity(value, "resistance")
