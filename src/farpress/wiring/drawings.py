"""Drawings of a job's wiring: terminals of each receiver, block diagram of each premises, as SVG text."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from farpress.case.cables import runs
from farpress.case.case import Case, OutputAt
from farpress.case.cores import cores_of_run
from farpress.case.corners import EndVolts, corners
from farpress.case.drawn_wires import drawn_feed
from farpress.case.runs import Run, contact_terminals, supply_terminals
from farpress.case.tampers import tamper_circuits
from farpress.domain.parts import Loop
from farpress.domain.premises import CableRun, Output
from farpress.errors import InputError
from farpress.papers.drawings.blocks import (
    Block,
    BlockPlan,
    BlockReceiver,
    Wire,
    block_drawing,
    block_drawings,
)
from farpress.papers.drawings.terminal_plan import Feed, Lane, LoadMark, Side, TerminalPlan
from farpress.papers.drawings.terminals import terminal_drawing as draw_terminals
from farpress.units import write_quantity
from farpress.wiring.drawn_feeds import drawn_feed_of

__all__ = [
    "block_diagram",
    "block_diagrams",
    "block_sheets",
    "output_drawing",
    "terminal_drawing",
    "terminal_drawings",
]


def terminal_drawing(case: Case, receiver: str, barred: Mapping[str, str] | None = None) -> str:
    """Terminals of one receiver with all they lead to, as SVG.

    Args:
        case: the job.
        receiver: "premises/name".
        barred: path of an output that must not be wired → why.

    Raises:
        InputError: the job has no such receiver.
    """
    return draw_terminals(_plan(case, receiver, barred or {}))


def output_drawing(case: Case, output: OutputAt, barred: str = "") -> str:
    """Terminals of one output alone with what it works, as SVG.

    Args:
        case: the job.
        output: one of its outputs.
        barred: why it must not be wired; empty where nothing bars it.
    """
    plan = _plan(case, output.receiver_path, {output.path: barred})
    lanes = tuple(lane for lane in plan.lanes if lane.number == output.number)
    return draw_terminals(replace(plan, feed=None, sides=(), lanes=lanes))


def _plan(case: Case, receiver: str, barred: Mapping[str, str]) -> TerminalPlan:
    if receiver not in case.equipment.receivers:
        raise InputError(
            f"There is no receiver '{receiver}'; there are {', '.join(case.equipment.receivers) or 'none'}."
        )
    premises, name = receiver.split("/", 1)
    house, box = case.job.premises[premises], case.job.premises[premises].receivers[name]
    part = case.equipment.receivers[receiver]
    all_runs = runs(case, premises)
    volts = {
        (supply, end_volts.end.name): end_volts
        for supply in house.supplies
        for end_volts in corners(case, premises, supply)[1]
    }
    fed = next((run for run in all_runs if run.kind == "supply" and run.target == name), None)
    feed = None
    if fed is not None and fed.supply is not None:
        sheet = case.equipment.supplies[f"{premises}/{fed.supply}"].sheet
        feed = Feed(
            fed.supply,
            _supply_says(case, f"{premises}/{fed.supply}"),
            fed.start_terminals,
            _cable_says(fed.run),
            _core_names(fed.run),
            _amperes(sheet.fuse_a),
        )
    drawn = drawn_feed_of(case, premises, name) if feed is None else None
    if drawn is not None:
        feed = Feed(
            drawn.feed.supply,
            _supply_says(case, f"{premises}/{drawn.feed.supply}"),
            drawn.poles,
            _cable_says(drawn.feed.run),
            (f"core {drawn.cores[0]}", f"core {drawn.cores[1]}") if all(drawn.cores) else ("", ""),
            _amperes(drawn.fuse_a),
        )
    lanes = tuple(
        lane
        for output in case.outputs()
        if output.receiver_path == receiver
        for lane in [_lane(case, output, all_runs, volts, barred.get(output.path, ""))]
        if lane is not None
    )
    sides = tuple(
        Side(
            run.target_terminals,
            _leads_to(run),
            _cable_says(run.run),
            _core_names(run.run) if run.run else ("", ""),
            run.kind == "tamper",
        )
        for run in all_runs
        if run.target == name and run.kind in ("status", "tamper")
    )
    aerial = ""
    if box.antenna is not None:
        aerial = box.antenna.part + (
            f" on {write_quantity(box.antenna.coax.length_m, 'length')} of {box.antenna.coax.part}"
            if box.antenna.coax
            else ""
        )
    return TerminalPlan(name, part.says or part.name, feed, lanes, sides, aerial)


def _leads_to(run: Run) -> str:
    """What an input or a tamper contact leads to; a contact in series lies between two terminals."""
    out, back = run.start_terminals
    if run.kind != "tamper" or back == f"{out} common":
        return f"{run.start}.{out}"
    return f"{run.start}: {out}, {back}"


def terminal_drawings(case: Case, barred: Mapping[str, str] | None = None) -> dict[str, str]:
    """Every receiver's drawing, by "premises/name"; `barred` as for one."""
    return {path: terminal_drawing(case, path, barred) for path in case.equipment.receivers}


def block_diagram(case: Case, premises: str | None = None) -> str:
    """Supplies, receivers and what they work, as SVG.

    Args:
        case: the job.
        premises: one of its premises; None for all, one below the other.

    Raises:
        InputError: the job has no such premises.
    """
    if premises is not None and premises not in case.job.premises:
        raise InputError(f"There are no premises '{premises}'; there are {', '.join(case.job.premises)}.")
    shown = case.job.premises if premises is None else (premises,)
    return block_drawing(*(_block_plan(case, name) for name in shown))


def block_diagrams(case: Case) -> dict[str, str]:
    """Every premises' diagram, by its name."""
    return {premises: block_diagram(case, premises) for premises in case.job.premises}


def block_sheets(case: Case) -> dict[str, tuple[str, ...]]:
    """Every premises' diagram in as many drawings as stay readable on paper, by its name."""
    return {premises: block_drawings(_block_plan(case, premises)) for premises in case.job.premises}


def _lane(
    case: Case,
    output: OutputAt,
    all_runs: tuple[Run, ...],
    volts: dict[tuple[str, str], EndVolts],
    barred: str,
) -> Lane | None:
    mine = [
        run
        for run in all_runs
        if output.path in {side.path for side in (run.at, run.turned) if side is not None}
    ]
    loads = [run for run in mine if run.kind != "coil"]
    if not loads:
        return None
    run = loads[0]
    coil = next((run for run in mine if run.kind == "coil"), None)
    form = case.equipment.receivers[output.receiver_path].sheet.contact_form or "changeover"
    name, _, entry = (output.output.works or output.works[0]).partition(".")
    device = case.equipment.devices.get(f"{output.premises}/{name}")
    kind = device.sheet.device if device else None
    more = f" and {', '.join(run.target for run in loads[1:])}" if len(loads) > 1 else ""
    supply = (coil or run).supply
    fuse = case.equipment.supplies[f"{output.premises}/{supply}"].sheet.fuse_a if supply else None
    resistors = (
        tuple(
            write_quantity(ohm, "resistance")
            for ohm in (
                run.loop.normal_ohm,
                run.loop.alarm_ohm,
                run.loop.mask_ohm if run.loop.scheme == "masked" else None,
            )
            if ohm is not None
        )
        if run.loop
        else ()
    )
    says = " ".join(
        part
        for part in (", ".join(words for words in (kind, entry) if words), _scheme(run.loop), _shared(run))
        if part
    )
    is_far = run.turned is not None and run.turned.path == output.path
    cores = _core_names(run.run)
    load_terminals = (run.target_terminals[0], "common") if run.kind == "command" else run.target_terminals
    if is_far:
        cores, load_terminals = (cores[1], cores[0]), (load_terminals[1], load_terminals[0])
    return Lane(
        output.number,
        _behaviour(output.output),
        form,
        contact_terminals(form, output.number),
        output.output.contact == "normally closed",
        f"{name}{more}",
        says,
        _mark(case, output, name, run),
        load_terminals,
        _cable_says(run.run or (coil.run if coil else None)),
        cores,
        supply,
        supply_terminals(case, f"{output.premises}/{supply}") if supply else ("+", "0 V"),
        _amperes(fuse),
        output.output.via,
        output.output.suppression if output.output.suppression != "none" else None,
        run.loop.scheme if run.loop else "",
        resistors,
        run.is_mains,
        _numbers(run, volts),
        barred,
        turns=run.turned is not None,
    )


def _shared(run: Run) -> str:
    return (
        f"on the way back of {run.run.shares_return_with}"
        if run.run is not None and run.run.shares_return_with
        else ""
    )


def _scheme(loop: Loop | None) -> str:
    if loop is None:
        return ""
    return f"({loop.scheme})"


def _mark(case: Case, output: OutputAt, name: str, run: Run) -> LoadMark:
    part = case.equipment.devices.get(f"{output.premises}/{name}")
    if part is None or run.kind == "command":
        return "input"
    sheet = part.sheet
    if sheet.traits.mark is not None:
        return sheet.traits.mark
    if sheet.load == "motor":
        return "motor"
    return "coil" if sheet.load in ("inductive dc", "coil ac") else "load"


def _numbers(run: Run, volts: dict[tuple[str, str], EndVolts]) -> str:
    """Volts and amperes of a load, in words."""
    if run.is_mains:
        return "mains side by a licensed electrician"
    seen = volts.get((run.supply, run.end.name)) if run.supply and run.end is not None else None
    amperes = run.end.amperes if run.end is not None else run.amperes
    shown = []
    if seen is not None and seen.lowest_v is not None and seen.highest_v is not None:
        shown.append(f"{seen.lowest_v:.1f} to {seen.highest_v:.1f} V")
    elif run.volts is not None:
        shown.append(write_quantity(run.volts, "voltage"))
    if amperes is not None:
        shown.append(write_quantity(amperes, "current"))
    return ", ".join(shown)


def _behaviour(output: Output) -> str:
    if output.traits.wants_length:
        length = f" {write_quantity(output.for_s, 'time')}" if output.for_s is not None else ""
        later = f", {write_quantity(output.delay_s, 'time')} later" if output.delay_s else ""
        return f"pulse{length}{', starts anew' if output.retrigger else ''}{later}"
    return output.traits.drawn


def _supply_says(case: Case, path: str) -> str:
    sheet = case.equipment.supplies[path].sheet
    volts = (
        f"{sheet.voltage_v:g} V {'AC' if sheet.supply == 'ac' else 'DC'}"
        if sheet.voltage_v is not None
        else ""
    )
    return ", ".join(part for part in (volts, "battery" if path in case.equipment.batteries else "") if part)


def _cable_says(run: CableRun | None) -> str:
    return f"{run.part}, {write_quantity(run.length_m, 'length')}" if run is not None else ""


def _core_names(run: CableRun | None) -> tuple[str, str]:
    if run is None:
        return ("", "")
    (out, back), named = cores_of_run(run)
    return (out, back) if named and not out.isdigit() else (f"core {out}", f"core {back}")


def _amperes(amperes: float | None) -> str:
    return write_quantity(amperes, "current") if amperes is not None else ""


def _block_plan(case: Case, premises: str) -> BlockPlan:
    house = case.job.premises[premises]
    supplies = tuple(Block(name, _supply_says(case, f"{premises}/{name}")) for name in house.supplies)
    receivers, wires = [], []
    for name, box in house.receivers.items():
        ports = []
        for number, output in box.outputs.items():
            port = f"{number}  {_behaviour(output)}{f', over {output.via}' if output.via else ''}"
            ports.append(port)
            for works in dict.fromkeys(((output.works,) if output.works else ()) + output.with_):
                thing, _, entry = works.partition(".")
                wires.append(Wire(name, port, thing, entry))
        for number, given in box.inputs.items():
            port = f"input {number}"
            ports.append(port)
            thing, _, entry = given.reads.partition(".")
            wires.append(Wire(name, port, thing, entry, comes_back=True))
        if box.tamper:
            thing, _, entry = box.tamper.partition(".")
            port = "tamper, in series" if _in_series(case, premises, name) else "tamper"
            ports.append(port)
            wires.append(Wire(name, port, thing, entry or "tamper"))
        receivers.append(
            BlockReceiver(
                name,
                case.equipment.receivers[f"{premises}/{name}"].says,
                _fed_from(case, premises, name),
                tuple(ports),
            )
        )
    things = tuple(Block(name, _thing_says(case, premises, name)) for name in (*house.devices, *house.panels))
    return BlockPlan(premises, supplies, tuple(receivers), things, tuple(wires))


def _in_series(case: Case, premises: str, receiver: str) -> bool:
    """Whether other housings lie in the same tamper circuit."""
    return any(
        receiver in circuit.receivers and len(circuit.receivers) > 1
        for circuit in tamper_circuits(case, premises)
    )


def _fed_from(case: Case, premises: str, name: str) -> str | None:
    """What feeds a thing, in the short form or over drawn wires."""
    house = case.job.premises[premises]
    thing = house.receivers.get(name) or house.devices.get(name) or house.panels.get(name)
    if thing is not None and thing.fed is not None:
        return thing.fed.from_
    drawn = drawn_feed(case, premises, name)
    return drawn.supply if drawn is not None and drawn.output is None else None


def _thing_says(case: Case, premises: str, name: str) -> str:
    house = case.job.premises[premises]
    if name in house.panels:
        feed = _fed_from(case, premises, name)
        return "alarm panel" + (f", fed from {feed}" if feed else "")
    sheet = case.equipment.devices[f"{premises}/{name}"].sheet
    over = {
        output.output.load_from
        for output in case.outputs()
        if output.premises == premises
        and output.output.load_from
        and name in {works.split(".")[0] for works in output.works}
    }
    own = _fed_from(case, premises, name)
    fed = f"fed from {', '.join(sorted(over))} over the contact" if over else ""
    if own:
        fed = f"fed from {own}"
    elif sheet.supply == "mains":
        fed = "mains, licensed electrician"
    return ", ".join(part for part in (sheet.device or "device", fed) if part)
