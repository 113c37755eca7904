"""The lines of a circuit that carry commands, zones, statuses and tamper circuits."""

from __future__ import annotations

from collections.abc import Sequence

from farpress.case.case import OutputAt
from farpress.case.circuit.loop_resistors import LoopLine, leak, loop_line, zone_of
from farpress.case.circuit.own_signals import add_own_signals
from farpress.case.circuit.parts import ClosingContact, NotKnown, PullUp, Terminal
from farpress.case.circuit.workshop import (
    Workshop,
    contact_of,
    is_collector,
    panel_contact,
    panel_sink,
    pull_up,
    sink_of,
)
from farpress.case.circuit.zones import add_zones
from farpress.case.cores import cores_of_run, named_cores
from farpress.case.drawn_wires import drawn_feeds
from farpress.case.supply_ends import feeds_coil
from farpress.case.switched import is_signal
from farpress.case.tampers import tamper_circuits
from farpress.domain.parts import DeviceInput, Loop, PanelInput, PanelSheet
from farpress.domain.premises import CableRun, ReceiverInput
from farpress.domain.terminals import panel_terminal

__all__ = ["add_signals"]


def add_signals(shop: Workshop, outputs: Sequence[OutputAt]) -> None:
    """Every command, zone and status line, and the tamper circuits."""
    for output in outputs:
        _commands(shop, output)
    for receiver, box in shop.case.job.premises[shop.premises].receivers.items():
        for number, entry in box.inputs.items():
            _status(shop, receiver, number, entry)
    _tampers(shop)
    add_zones(shop)
    add_own_signals(shop)


def _commands(shop: Workshop, output: OutputAt) -> None:
    """What a contact works without feeding it: the first input over the cable, the others beside it."""
    first: tuple[Terminal, Terminal] | None = None
    feeds = output.output.load_from is not None and not feeds_coil(shop.case, output)
    for works in dict.fromkeys(output.works):
        name, _, entry_name = works.partition(".")
        path = f"{shop.premises}/{name}"
        panel, device = shop.case.equipment.panels.get(path), shop.case.equipment.devices.get(path)
        if panel is not None:
            entry: DeviceInput | None = (panel.sheet.inputs or {}).get(entry_name)
        elif device is not None:
            entry = (device.sheet.inputs or {}).get(entry_name)
            if (
                feeds
                or _is_fed_over(shop, output, name)
                or (device.sheet.supply == "mains" and not is_signal(device.sheet, entry))
            ):
                continue
        else:
            continue
        if feeds:
            shop.unknown.append(NotKnown(works, f"how it is wired to a contact that feeds {output.works[0]}"))
            continue
        thing = shop.thing(name, "device" if panel is None else "panel")
        entered = entry_name if panel is None else panel_terminal(panel.sheet, entry_name)
        live = f"{thing}.{entered or 'input'}"
        common = f"{live} common"
        pull_up(shop, live, common, entry)
        if panel is not None:
            shop.join(common, f"{thing}.0")
        if first is None:
            first = (live, common)
            loop = entry.loop if isinstance(entry, PanelInput) else None
            _command_line(shop, output, works, (live, common), loop)
        else:
            shop.join(first[0], live)
            shop.join(first[1], common)


def _is_fed_over(shop: Workshop, output: OutputAt, device: str) -> bool:
    """Whether drawn wires lead a supply over an output's contact to a device."""
    return any(
        feed.thing == device and feed.output is not None and feed.output.path == output.path
        for feed in drawn_feeds(shop.case, shop.premises)
    )


def _command_line(
    shop: Workshop, output: OutputAt, works: str, entry: tuple[Terminal, Terminal], loop: Loop | None
) -> None:
    run = output.output.cable
    path = ("premises", output.premises, "receivers", output.receiver, "outputs", output.number, "cable")
    (out, back), _ = cores_of_run(run)
    place = f"{output.receiver}.{output.number}"
    line = _loop_of(shop, output, place, loop, works, entry)
    zone = zone_of(shop, works)
    if zone is not None and zone.found is not None:
        leak(shop, place, (line.near, line.far), zone.found.leak_ohm)
    metres = run.length_m if run is not None else 0.0
    shop.conduct(f"{place} to {works}, out", line.near, line.panel, run, path, metres, out)
    is_sunk = line.far == f"{output.receiver}.0"
    if not is_sunk or _has_return(run):
        shop.conduct(f"{place} to {works}, back", line.far, entry[1], run, path, metres, back)


def _loop_of(
    shop: Workshop,
    output: OutputAt,
    place: str,
    loop: Loop | None,
    works: str,
    entry: tuple[Terminal, Terminal],
) -> LoopLine:
    """The line from the panel's terminals to the contact, with the resistors of a supervised loop at their
    place; a transistor lies on the line itself.
    """
    is_sunk = is_collector(shop, output) and not output.output.via
    if is_sunk:
        sink = sink_of(shop, output)
        near, far = sink.collector, sink.zero
    else:
        contact = contact_of(shop, output, of_relay=bool(output.output.via))
        near, far = contact.b, contact.a
    if loop is None or loop.scheme in ("closed", "open") or is_sunk:
        return LoopLine(entry[0], near, far)
    if loop.normal_ohm is None or (loop.alarm_ohm is None and loop.scheme != "single end-of-line"):
        shop.unknown.append(NotKnown(works, "the resistors of its loop"))
        return LoopLine(entry[0], near, far)
    return loop_line(
        shop,
        place,
        loop,
        entry[0],
        (near, far),
        zone_of(shop, works),
        is_closed_at_rest=output.output.contact != "normally open",
    )


def _status(shop: Workshop, receiver: str, number: str, entry: ReceiverInput) -> None:
    """A status input and what it reads: a panel's output, or a device's contact."""
    sheet = shop.case.equipment.receivers[f"{shop.premises}/{receiver}"].sheet
    live, common = f"{receiver}.in{number}", f"{receiver}.in{number} common"
    shop.join(common, f"{receiver}.0")
    if sheet.input_voltage_v and sheet.input_current_a:
        shop.pull_ups[live] = PullUp(
            f"pull-up of {live}",
            live,
            common,
            sheet.input_voltage_v,
            sheet.input_voltage_v / sheet.input_current_a,
            sheet.input_low_v,
        )
    else:
        shop.unknown.append(NotKnown(live, "the volts and amperes of the input"))
    source, _, name = entry.reads.partition(".")
    panel = shop.case.equipment.panels.get(f"{shop.premises}/{source}")
    start, back = _signal_of(shop, source, name, panel.sheet if panel is not None else None, entry.reads)
    path = ("premises", shop.premises, "receivers", receiver, "inputs", number, "cable")
    run = entry.cable
    metres = run.length_m if run is not None else 0.0
    (out_core, back_core), is_named = cores_of_run(run)
    shop.conduct(f"{entry.reads} to {live}, out", start, live, run, path, metres, out_core)
    if _has_return(run) and not shop.is_laid(source, receiver, run, back_core, is_named=is_named):
        shop.conduct(f"{entry.reads} to {live}, back", back, common, run, path, metres, back_core)


def _has_return(run: CableRun | None) -> bool:
    """Whether a 0 V core of its own goes with a status line: not where it names another's, or one core."""
    return run is not None and run.shares_return_with is None and len(named_cores(run)) != 1


def _signal_of(
    shop: Workshop, source: str, name: str, panel: PanelSheet | None, reads: str
) -> tuple[Terminal, Terminal]:
    """The two terminals of what a status input reads."""
    if panel is None:
        contact = ClosingContact(
            f"contact {reads}", f"{source}.{name or 'contact'} 1", f"{source}.{name or 'contact'} 2", reads
        )
        shop.contacts[contact.name] = contact
        return contact.a, contact.b
    output = (panel.outputs or {}).get(name)
    if output is not None and output.form == "relay":
        contact = panel_contact(shop, source, name)
        return contact.a, contact.b
    if output is None or output.form is None:
        shop.unknown.append(NotKnown(reads, "whether it is a relay contact or an open collector"))
        return f"{source}.{panel_terminal(panel, name, is_output=True)}", f"{source}.0"
    sink = panel_sink(shop, source, name)
    return sink.collector, sink.zero


def _tampers(shop: Workshop) -> None:
    """Contacts of the housings in series, from the panel's terminal through each of them and back."""
    for tamper in tamper_circuits(shop.case, shop.premises):
        panel = shop.case.equipment.panels.get(f"{shop.premises}/{tamper.panel}")
        entry = (panel.sheet.inputs or {}).get(tamper.entry) if panel is not None else None
        live, common = f"{tamper.panel}.{tamper.entry}", f"{tamper.panel}.{tamper.entry} common"
        if entry is not None:
            pull_up(shop, live, common, entry)
        shop.join(common, f"{tamper.panel}.0")
        for leg in tamper.legs:
            start, target = f"{leg.start}.{leg.start_terminal}", f"{leg.target}.{leg.target_terminal}"
            if shop.drawn.isdisjoint((start, target)):
                shop.join(start, target)
        for receiver in (*tamper.receivers, *tamper.across):
            contact = ClosingContact(
                f"tamper contact of {receiver}",
                f"{receiver}.tamper 1",
                f"{receiver}.tamper 2",
                f"{receiver}.tamper",
                closed_at_rest=receiver in tamper.receivers,
            )
            shop.contacts[contact.name] = contact
