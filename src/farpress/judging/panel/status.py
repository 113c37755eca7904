"""Judges whether whoever sets or unsets by radio is told that the panel took it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Stake
from farpress.domain.panel_reads import panel_reading
from farpress.domain.parts import PanelInput
from farpress.domain.refs import FunctionRef, OutputRef, PanelRef
from farpress.judging.check import Answer, Check
from farpress.judging.receiver.told_by import how_told, told_by
from farpress.phrases import listed
from farpress.sources import Citation, Mark
from farpress.units import write_quantity

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


_WAIT: Final = (
    Remedy("A lamp or short sound at the panel's set output, seen and heard where people leave"),
    Remedy("Let the receiver listen for longer than the exit time, where it can be set to that"),
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
    late = _too_late(case, output, panel, entry) if status else ""
    shown = _shown_by(case, output.premises, panel_name)
    told = {path: told_by(case, path) for path in status.values()}
    silent = next((path for path in told if told[path] is not Answer.YES), "")
    if shown or Answer.YES in told.values():
        answer = Answer.YES
    else:
        answer = Answer.UNKNOWN if Answer.UNKNOWN in told.values() else Answer.NO
    if late:
        answer = Answer.BARELY if shown else Answer.NO
        says = f"The panel's state comes back over {', '.join(status)}, but {late}"
        says += f"; only {listed(shown)} shows it." if shown else "."
    elif shown and not status:
        says = f"{listed(shown)} shows the panel's state."
    elif status and answer is not Answer.YES:
        says = f"The panel's state comes back over {', '.join(status)}, but {how_told(case, silent)}."
    elif status:
        says = f"The panel's state comes back to the receiver over {', '.join(status)}."
    else:
        says = f"Nothing tells the user of '{' and '.join(wanted)}' that the panel took the command."
    yield STATE_COMES_BACK.decide(
        about=f"{output.path} to {works}",
        subjects=(OutputRef(output.path), panel, *(FunctionRef(name) for name in wanted)),
        cause=panel,
        answer=answer,
        says=says,
        because=(
            "Whoever presses and hears nothing believes what he hopes: left unset over a weekend, or set with"
            " somebody inside."
        ),
        asks=tuple(
            Ask(
                f"Set the panel and listen whether {path.partition('/')[2]} tells it by a sounder.",
                minutes=3.0,
            )
            for path, word in told.items()
            if word is Answer.UNKNOWN and answer is Answer.UNKNOWN
        ),
        remedies=lambda verdict: _remedies(case, output, panel, late=late, is_wired=bool(status)),
        sources=(_TOLD,),
    )


def _shown_by(case: Case, premises: str, panel: str) -> list[str]:
    """Lamps and sounders on an output of the panel that shows whether it is set."""
    house = case.job.premises[premises]
    return [
        name
        for name, device in house.devices.items()
        if device.fed is not None
        and device.fed.from_.partition(".")[0] == panel
        and "set" in device.fed.from_.partition(".")[2].split()
        and (traits := case.equipment.devices[f"{premises}/{name}"].sheet.traits)
        and (traits.gives_light or traits.makes_sound)
    ]


def _too_late(case: Case, output: OutputAt, panel: PanelRef, entry: PanelInput) -> str:
    """Why a press that sets is never acknowledged: the exit time is longer than the receiver listens."""
    window = case.equipment.receivers[output.receiver_path].sheet.acknowledge_within_s
    leaving = case.equipment.panels[panel.path].sheet.exit_s
    if window is None or leaving is None or leaving < window or not panel_reading(entry.reads).sets:
        return ""
    return (
        f"it is set only {write_quantity(leaving, 'time')} after the press, and {output.receiver} tells a"
        f" change within {write_quantity(window, 'time')}"
    )


def _remedies(
    case: Case, output: OutputAt, panel: PanelRef, *, late: str, is_wired: bool
) -> tuple[Remedy, ...]:
    if late:
        return _WAIT
    if is_wired:
        return (Remedy("Lead the receiver's output 'acknowledge' to a sounder where people press"), _WAIT[0])
    return (_lead_back(case, output, panel),)


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


def status_inputs(case: Case, premises: str, panel: str) -> dict[str, str]:
    """Inputs of receivers that read an output of a panel, in words → "premises/receiver"."""
    return {
        f"input {number} of {name}": f"{premises}/{name}"
        for name, receiver in case.job.premises[premises].receivers.items()
        for number, entry in receiver.inputs.items()
        if entry.reads.split(".")[0] == panel
    }
