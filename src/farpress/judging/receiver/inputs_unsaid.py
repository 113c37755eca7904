"""Status inputs of a receiver of which nobody says anything, though something hints that a wire is there."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.driven import alarm, driven_of, function_kinds
from farpress.domain.finding import Finding, Link, Stake, Who
from farpress.domain.premises import Receiver
from farpress.domain.refs import ReceiverRef
from farpress.judging.check import Answer, Check
from farpress.judging.panel.status import SETTING
from farpress.phrases import listed

__all__ = ["INPUTS_SAID", "judge"]

INPUTS_SAID: Final = Check(
    "RCV-75",
    Link.RECEIVER,
    "Status inputs of a receiver: whether anything is wired to them, where something hints at it.",
    stake=Stake.PROMISE,
    who=Who.INSTALLER,
    minutes=5.0,
    ask="Look whether a wire is on a status input of the receiver, and where it comes from.",
    mends="What each status input reads, written as 'inputs'; '{}' where there is no wire.",
)

_OF_INPUTS: Final = ("input_voltage_v", "input_current_a", "input_low_v")


def judge(case: Case) -> Iterator[Finding]:
    """RCV-75 of each receiver without a word about its status inputs, of which something hints at a wire."""
    for premises, house in case.job.premises.items():
        for name, box in house.receivers.items():
            if box.inputs or "inputs" in box.model_fields_set:
                continue
            hint = _hint(case, premises, name, box)
            if hint:
                path = f"{premises}/{name}"
                yield INPUTS_SAID.decide(
                    about=path,
                    subjects=(ReceiverRef(path),),
                    answer=Answer.UNKNOWN,
                    says=f"Nobody says what the status inputs of {name} read; {hint}.",
                    because="What is wired there may release a door, work an output, or tell nobody.",
                    asks=(f"Look whether a wire is on a status input of {name}; write 'inputs', or '{{}}'.",),
                )


def _hint(case: Case, premises: str, name: str, box: Receiver) -> str:
    """Why a wire may be there; empty for no reason."""
    if any(getattr(box, field) is not None for field in _OF_INPUTS):
        return "their volts or currents are given"
    house = case.job.premises[premises]
    read = {entry.reads for other in house.receivers.values() for entry in other.inputs.values()}
    panels: set[str] = set()
    for output in case.outputs():
        if output.receiver_path != f"{premises}/{name}":
            continue
        loads = driven_of(case, output)
        if not loads and function_kinds(case, output) & set(SETTING):
            return f"output {output.number} sets or unsets an alarm, and nobody says of which panel"
        panels |= {
            driven.works.partition(".")[0]
            for driven in loads
            if driven.panel is not None and (alarm(driven) or driven.input is None)
        }
    sheets = {panel: case.equipment.panels[f"{premises}/{panel}"].sheet for panel in sorted(panels)}
    loose = [
        f"{panel}.{output}"
        for panel, sheet in sheets.items()
        for output in sheet.outputs or {}
        if f"{panel}.{output}" not in read
    ]
    if loose:
        return f"it works a panel of which nothing reads {listed(loose)}"
    silent = [panel for panel, sheet in sheets.items() if sheet.outputs is None]
    return f"it works {listed(silent)}, whose outputs nobody describes" if silent else ""
