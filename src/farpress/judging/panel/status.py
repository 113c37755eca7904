"""Judges whether whoever sets or unsets by radio is told that the panel took it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.domain.finding import Change, Finding, Link, Remedy, Stake
from farpress.domain.panel_reads import panel_reading
from farpress.domain.parts import PanelInput
from farpress.domain.refs import FunctionRef, OutputRef, PanelRef
from farpress.judging.check import Answer, Check
from farpress.sources import Citation, Mark

__all__ = ["STATE_COMES_BACK", "judge_status", "status_inputs"]

STATE_COMES_BACK: Final = Check(
    "PAN-06",
    Link.PANEL,
    "Whether whoever sets or unsets by radio is told that it worked.",
    stake=Stake.PROMISE,
    mends="The panel's set output on a status input of the receiver, or a lamp or short sound outside.",
)

SETTING: Final = ("set", "unset", "set and unset", "part set")
"""Kinds of function that change the state of an alarm system."""

_TOLD: Final = Citation(
    "EN 50131-1", edition="2006", place="indication of setting and unsetting", mark=Mark.COPY
)


def judge_status(
    case: Case, output: OutputAt, panel_name: str, works: str, entry: PanelInput
) -> Iterator[Finding]:
    """PAN-06 of every output that sets or unsets; a function that does not say so is taken by its input."""
    kinds = {name: case.job.functions[name].kind for name in output.functions}
    wanted = [
        name
        for name, kind in kinds.items()
        if kind in SETTING or (kind is None and panel_reading(entry.reads).changes_state)
    ]
    if not wanted:
        return
    panel = PanelRef(f"{output.premises}/{panel_name}")
    status = status_inputs(case, output.premises, panel_name)
    if status:
        says = f"The panel's state comes back to the receiver over {', '.join(status)}."
    else:
        says = f"Nothing tells the user of '{' and '.join(wanted)}' that the panel took the command."
    yield STATE_COMES_BACK.decide(
        about=f"{output.path} to {works}",
        subjects=(OutputRef(output.path), panel, *(FunctionRef(name) for name in wanted)),
        cause=panel,
        answer=Answer.of(bool(status)),
        says=says,
        because=(
            "Whoever presses and hears nothing believes what he hopes: left unset over a weekend, or set with"
            " somebody inside."
        ),
        remedies=lambda verdict: (_lead_back(case, output, panel),),
        sources=(_TOLD,),
    )


def _lead_back(case: Case, output: OutputAt, panel: PanelRef) -> Remedy:
    outputs = case.equipment.panels[panel.path].sheet.outputs or {}
    named = next(
        (name for name in outputs if name == "set"),
        next((name for name in outputs if "set" in name.split()), None),
    )
    lead = f"output {named} of {panel.name}" if named else f"an output of {panel.name} that shows 'set'"
    inputs = case.job.premises[output.premises].receivers[output.receiver].inputs
    free = str(next(number for number in range(1, len(inputs) + 2) if str(number) not in inputs))
    path = ("premises", output.premises, "receivers", output.receiver, "inputs", free)
    return Remedy(
        f"Lead {lead} to a status input of {output.receiver}, or to a lamp or short sound outside.",
        changes=(Change(path, {"reads": f"{panel.name}.{named}"}),) if named else (),
    )


def status_inputs(case: Case, premises: str, panel: str) -> list[str]:
    """Inputs of receivers that read an output of a panel, in words."""
    return [
        f"input {number} of {name}"
        for name, receiver in case.job.premises[premises].receivers.items()
        for number, entry in receiver.inputs.items()
        if entry.reads.split(".")[0] == panel
    ]
