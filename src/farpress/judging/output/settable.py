"""Whether a receiver can be set to the pulse that its output is to give."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.domain.finding import Change, Finding, Link, Remedy
from farpress.domain.refs import OutputRef, ReceiverRef
from farpress.judging.check import AT_MOST, WITHIN, Check, Estimate, Limit, no_edge
from farpress.units import write_quantity

__all__ = ["LATER", "PULSE_RANGE", "judge"]

PULSE_RANGE: Final = Check(
    "OUT-10",
    Link.OUTPUT,
    "Length of a pulse, against what its receiver can be set to.",
    unit="s",
    bound=WITHIN,
    thin=no_edge("a setting can be made or it cannot"),
    ask="Find the shortest and the longest pulse of the receiver, in its data sheet.",
    mends="A length within its range, a time relay, or a receiver that can be set to it.",
)


def judge(case: Case) -> Iterator[Finding]:
    """One finding for each output that gives a pulse of a length."""
    for output in case.outputs():
        yield from _later(case, output)
        length = output.output.for_s
        if length is None or not output.output.traits.wants_length:
            continue
        part = case.equipment.receivers[output.receiver_path]
        shortest, longest = part.sheet.pulse_min_s, part.sheet.pulse_max_s
        ref = OutputRef(output.path)
        pulse = write_quantity(length, "time")
        if longest is None or shortest is None:
            reach = "what its receiver can be set to is not known"
        else:
            least = write_quantity(shortest, "time")
            reach = f"its receiver can be set from {least} to {write_quantity(longest, 'time')}"
        yield PULSE_RANGE.judge(
            about=output.path,
            subjects=(ref,),
            cause=ReceiverRef(output.receiver_path),
            says=f"The pulse of {output.path} is {pulse} long; {reach}.",
            value=Estimate(length),
            limit=Limit(
                None if longest is None else shortest, part.cite("pulse_min_s", "pulse_max_s"), upper=longest
            ),
            remedies=_within(output.path, length, shortest, longest),
        )


LATER: Final = Check(
    "OUT-53",
    Link.OUTPUT,
    "How much later than the press an output begins or ends, against what its receiver can be set to.",
    unit="s",
    bound=AT_MOST,
    thin=no_edge("a setting can be made or it cannot"),
    ask="Find in the data sheet of the receiver how much later an output can begin or end.",
    mends="A time relay behind the output, or a receiver that can be set to it.",
)


def _later(case: Case, output: OutputAt) -> Iterator[Finding]:
    """OUT-53, of an output that begins or ends later than the press."""
    later = max(output.output.delay_s or 0.0, output.output.stays_s or 0.0)
    if later <= 0.0:
        return
    part = case.equipment.receivers[output.receiver_path]
    longest, much = part.sheet.delay_max_s, write_quantity(later, "time")
    reach = "can do so is not known"
    if longest is not None:
        reach = f"can do so by {write_quantity(longest, 'time')}"
    says = f"{output.path} begins or ends {much} later than the press; its receiver {reach}."
    if longest is None:
        says = f"{output.path} begins or ends {much} later than the press; whether its receiver {reach}."
    yield LATER.judge(
        about=output.path,
        subjects=(OutputRef(output.path),),
        cause=ReceiverRef(output.receiver_path),
        says=says,
        value=Estimate(later),
        limit=Limit(longest, part.cite("delay_max_s")),
        remedies=(Remedy("Put a time relay behind it, or take a receiver that can be set to it."),),
    )


def _within(path: str, length: float, shortest: float | None, longest: float | None) -> tuple[Remedy, ...]:
    if longest is None or shortest is None:
        return ()
    premises, receiver, number = path.split("/")
    nearest = write_quantity(min(max(length, shortest), longest), "time")
    change = Change(("premises", premises, "receivers", receiver, "outputs", number, "for"), nearest)
    return (
        Remedy(f"Set it to {nearest}, if that suits what it works.", changes=(change,)),
        Remedy("Put a time relay between, or take a receiver that can be set to it."),
    )
