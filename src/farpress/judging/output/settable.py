"""Whether a receiver can be set to the pulse that its output is to give."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.domain.finding import Change, Finding, Link, Remedy
from farpress.domain.refs import OutputRef, ReceiverRef
from farpress.judging.check import WITHIN, Check, Estimate, Limit, no_edge
from farpress.units import write_quantity

__all__ = ["PULSE_RANGE", "judge"]

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
