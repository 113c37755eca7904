"""An alarm that is set and unset by one toggling input: a button, an output and an input for each instead.

The function keeps its name and unsets from then on, so that rules about it still speak of what is dangerous;
a second function sets. The panel's inputs are programmed, or it is changed, only by the alarm company.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, Final

from farpress.case.case import Case, OutputAt
from farpress.case.driven import driven_of
from farpress.domain.finding import Change, Finding, Link
from farpress.mending.candidates import Candidate
from farpress.mending.structural.as_written import as_written, free_name, free_number, new_receiver
from farpress.mending.structural.failing import failing_outputs
from farpress.units import write_quantity

__all__ = ["set_and_unset"]

_MINUTES: Final = 240
"""A second input, an output, and a button on each fob; our choice, a firm's own norms come first."""

_LATCH_MINUTES: Final = 60
"""The output set, buttons learned and shown; our choice, a firm's own norms come first."""

_PULSE_S: Final = 1.0
"""Of a command to a panel, where nothing says how long; our choice."""

_CODES: Final = frozenset({"OUT-02", "PAN-02"})


def set_and_unset(case: Case, findings: Iterable[Finding]) -> Iterator[Candidate]:
    """One candidate for each output that toggles an alarm, or follows it, by a pulse on one input."""
    for path in failing_outputs(findings, _CODES):
        output = case.output(path)
        if output is not None:
            tries = (_latched(case, output), _apart(case, output))
            yield from (made for made in tries if made is not None)


def _apart(case: Case, output: OutputAt) -> Candidate | None:
    panel, _, name = (output.output.works or "").partition(".")
    functions = [
        function for function in output.functions if case.job.functions[function].kind == "set and unset"
    ]
    inputs = _inputs(case, output.premises, panel)
    mine = as_written(
        case, "premises", output.premises, "receivers", output.receiver, "outputs", output.number
    )
    if len(functions) != 1 or name not in inputs or not isinstance(mine, dict):
        return None
    function = functions[0]
    if len(case.job.functions[function].paths) != 1:
        return None
    like = {key: value for key, value in inputs.pop(name).items() if key != "wants"} | {"wants": "pulse"}
    sets, unsets = free_name("set", inputs), free_name("unset", inputs)
    inputs |= {sets: like | {"reads": "set pulse"}, unsets: like | {"reads": "unset pulse"}}
    root = ("premises", output.premises, "receivers")
    own = (*root, output.receiver, "outputs", output.number)
    changes = [
        Change(("premises", output.premises, "panels", panel, "inputs"), inputs),
        Change((*own, "works"), f"{panel}.{unsets}"),
    ]
    laid = mine | {"works": f"{panel}.{sets}"}
    if output.output.kind != "pulse":
        changes.append(Change((*own, "kind"), "pulse"))
        laid |= {"kind": "pulse"}
    length_s = _pulse_s(case, output, panel, name)
    if length_s != output.output.for_s or output.output.kind != "pulse":
        changes.append(Change((*own, "for"), write_quantity(length_s, "time")))
        laid |= {"for": write_quantity(length_s, "time")}
    place = _place_for(case, output)
    if place is None:
        return None
    receiver, number, box = place
    if box is None:
        changes.append(Change((*root, receiver, "outputs", number), laid))
    else:
        changes.append(Change((*root, receiver), box | {"outputs": {1: laid}}))
    changes += _told(case, output, panel, receiver, is_new=box is not None)
    setting = free_name(f"{function} set", case.job.functions)
    changes += [
        Change(("functions", function, "kind"), "unset"),
        Change(("functions", setting), {"output": f"{output.premises}/{receiver}/{number}", "kind": "set"}),
        *_for_people(case, function, setting),
    ]
    return Candidate(
        f"Set and unset '{function}' by buttons, outputs and inputs of their own ({receiver}, output {number}"
        f" sets); the panel only by the alarm company",
        tuple(changes),
        Link.PANEL,
        _MINUTES,
    )


def _latched(case: Case, output: OutputAt) -> Candidate | None:
    """Two buttons for one contact: one sets, one unsets, where the panel reads a level; its input stays."""
    driven = next((driven for driven in driven_of(case, output) if driven.panel is not None), None)
    functions = [name for name in output.functions if case.job.functions[name].kind == "set and unset"]
    if driven is None or driven.wants != "maintained" or len(functions) != 1:
        return None
    function = functions[0]
    if case.job.functions[function].paths != (output.path,) or len(output.functions) != 1:
        return None
    root = ("premises", output.premises, "receivers", output.receiver, "outputs", output.number)
    setting = free_name(f"{function} set", case.job.functions)
    changes = [
        Change((*root, "kind"), "latch"),
        *((Change((*root, "for"), None),) if output.output.for_s is not None else ()),
        Change(("functions", function, "kind"), "unset"),
        Change(("functions", function, "switches"), "off"),
        Change(("functions", setting), {"output": output.path, "kind": "set", "switches": "on"}),
        *_told(case, output, driven.works.partition(".")[0], output.receiver, is_new=False),
        *_for_people(case, function, setting),
    ]
    return Candidate(
        f"A button that sets '{function}' and another that unsets it (two-button latch); the panel's input"
        " stays",
        tuple(changes),
        Link.OUTPUT,
        _LATCH_MINUTES,
    )


def _pulse_s(case: Case, output: OutputAt, panel: str, name: str) -> float:
    """The pulse as it is where the input takes it; else a second, or twice what the input needs [s]."""
    part = case.equipment.panels.get(f"{output.premises}/{panel}")
    entry = (part.sheet.inputs or {}).get(name) if part is not None else None
    needs_s = max((entry.min_pulse_s or 0.0, entry.response_s or 0.0)) if entry is not None else 0.0
    now_s = output.output.for_s if output.output.kind == "pulse" else None
    return now_s if now_s is not None and now_s >= needs_s else max(_PULSE_S, 2.0 * needs_s)


def _inputs(case: Case, premises: str, panel: str) -> dict[str, Any]:
    """The panel's inputs as they are written, at the panel or in its part; empty where they are nowhere."""
    entry = as_written(case, "premises", premises, "panels", panel)
    if not isinstance(entry, dict):
        return {}
    part = as_written(case, "parts", str(entry.get("part", "")))
    own = entry.get("inputs") or (part.get("inputs") if isinstance(part, dict) else None)
    return {str(name): value for name, value in own.items()} if isinstance(own, dict) else {}


def _place_for(case: Case, output: OutputAt) -> tuple[str, int | str, dict[str, Any] | None] | None:
    """Receiver and number of a free output; with the entry of a new receiver where none is free there."""
    sheet = case.equipment.receivers.get(output.receiver_path)
    relays = sheet.sheet.relays if sheet is not None else None
    free = [str(n) for n in range(1, (relays or 0) + 1) if str(n) not in output.box.outputs]
    if free:
        return output.receiver, free[0], None
    made = new_receiver(case, output.premises, output.receiver, outputs=1)
    return (made[0], 1, made[1]) if made is not None else None


def _told(case: Case, output: OutputAt, panel: str, receiver: str, *, is_new: bool) -> Iterator[Change]:
    """The panel's set output led to a status input of both receivers, where they do not read it yet."""
    part = case.equipment.panels.get(f"{output.premises}/{panel}")
    if part is None or "set" not in (part.sheet.outputs or {}):
        return
    read = f"{panel}.set"
    run = output.output.cable
    entry: dict[str, Any] = {"reads": read}
    if run is not None:
        entry["cable"] = {"part": run.part, "length": write_quantity(run.length_m, "length")}
    boxes = [(output.receiver, output.box.inputs)]
    if is_new:
        boxes.append((receiver, {}))
    for name, there in boxes:
        if all(known.reads != read for known in there.values()):
            number = free_number(there)
            yield Change(("premises", output.premises, "receivers", name, "inputs", number), entry)


def _for_people(case: Case, function: str, setting: str) -> Iterator[Change]:
    """A button that sets for each group that has one that unsets, on a second fob where none is free; and
    each promise of it for both.
    """
    ends_at = len(case.job.promises)
    holders: dict[str, str] = {}
    for name, group in case.job.groups.items():
        if function not in case.job.functions_of(group):
            continue
        fob = case.equipment.fobs.get(name)
        buttons = fob.sheet.buttons if fob is not None else None
        free = [str(n) for n in range(1, (buttons or 0) + 1) if str(n) not in group.buttons]
        if free:
            holders[name] = name
            yield Change(("groups", name, "buttons", free[0]), setting)
            continue
        written = as_written(case, "groups", name)
        second = free_name(f"{name} set", case.job.groups)
        holders[name] = second
        kept = {key: value for key, value in written.items() if key not in ("uses", "visits")}
        yield Change(("groups", second), kept | {"buttons": {1: setting}, "presses": "2 per day"})
    added = 0
    for number, promise in enumerate(case.job.promises):
        if promise.function == function and promise.to in holders:
            written = as_written(case, "promises", str(number))
            yield Change(
                ("promises", ends_at + added), written | {"to": holders[promise.to], "function": setting}
            )
            added += 1
