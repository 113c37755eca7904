"""A short pulse of a panel on an input of a receiver: long enough to be read, with a pause that parts two."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.parts import Part, ReceiverSheet
from farpress.domain.premises import ReceiverInput
from farpress.domain.refs import InputRef, PanelRef, ReceiverRef
from farpress.judging.check import AT_LEAST, Check, Estimate, Limit, share_edge
from farpress.judging.panel.pulse_edge import SAFE_FACTOR
from farpress.units import write_quantity

__all__ = ["LONG_ENOUGH", "judge_status_pulse"]

LONG_ENOUGH: Final = Check(
    "PAN-28",
    Link.PANEL,
    "Pulse of a panel's output, against the shortest that the receiver's input reads.",
    unit="s",
    bound=AT_LEAST,
    thin=share_edge(SAFE_FACTOR - 1, "neither the pulse nor what the input needs is exact"),
    stake=Stake.PROMISE,
    ask="Find the shortest closure that the receiver's input reads.",
    who=Who.LABEL,
    minutes=5.0,
    mends="A longer pulse set in the panel, or a small timer relay that stretches it.",
)


def judge_status_pulse(
    case: Case, receiver: ReceiverRef, number: str, entry: ReceiverInput
) -> Iterator[Finding]:
    """PAN-28 of an input that reads pulses of a panel; an output that stays on is read in any case."""
    reads, premises = entry.reads, receiver.premises.path
    panel_name, _, output_name = reads.partition(".")
    panel = case.equipment.panels.get(f"{premises}/{panel_name}")
    output = (panel.sheet.outputs or {}).get(output_name) if panel is not None else None
    if panel is None or output is None or output.pulse_s is None:
        return
    part: Part[ReceiverSheet] = case.equipment.receivers[receiver.path]
    needed = part.sheet.input_min_s
    says = f"{reads} gives pulses of {write_quantity(output.pulse_s, 'time')}"
    says += (
        f"; input {number} of {receiver.path} reads a closure of at least {write_quantity(needed, 'time')}."
        if needed is not None
        else f"; the shortest closure that input {number} of {receiver.path} reads is not known."
    )
    yield LONG_ENOUGH.judge(
        about=f"{receiver} input {number} from {reads}: length",
        subjects=(receiver, PanelRef(f"{premises}/{panel_name}")),
        cause=InputRef(f"{receiver}/in{number}"),
        value=Estimate(output.pulse_s),
        limit=Limit(needed, part.cite("input_min_s") if needed is not None else ()),
        says=says,
        because="A pulse that comes through only sometimes tells sometimes that it is set.",
        asks=()
        if needed is not None
        else (Ask(f"Find the shortest closure that an input of {receiver.path} reads.", Who.LABEL, 5.0),),
        remedies=(
            Remedy("Set a longer pulse in the panel, with a pause as long between two"),
            Remedy("Stretch it by a small timer relay between panel and receiver"),
        ),
        sources=panel.cite("outputs"),
    )
