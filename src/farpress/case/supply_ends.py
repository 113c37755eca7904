"""Everything that hangs on one supply: receivers, coils, devices, panels, with what they draw.

Directly, or over a receiver's contact. What is not known stays unknown.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.cores import HOT_DEGC
from farpress.case.drawn_wires import drawn_feeds
from farpress.case.feeding import panel_behind, supply_behind
from farpress.case.turned import turned_pair
from farpress.core.wiring.coils import hot_pull_in_v
from farpress.domain.parts import DeviceSheet, Part, RelaySheet
from farpress.domain.premises import CableRun, Premises
from farpress.domain.refs import DeviceRef, OutputRef, PanelRef, ReceiverRef, Ref, SupplyRef
from farpress.sources import Citation, cited

__all__ = [
    "EFFICIENCY_TAKEN",
    "LARGEST_RATIO",
    "LOWEST_MAINS_V",
    "End",
    "coil_end",
    "coil_needs_v",
    "coil_supply",
    "device_current_a",
    "ends_of",
    "exclusion_key",
    "feeds_coil",
    "is_mains_signal",
    "mirror_of",
    "works_mains",
]


LOWEST_MAINS_V: Final = 100.0
"""Of public supplies; IEC 60038, from memory."""


@dataclass(frozen=True)
class End:
    """Something that hangs on a supply.

    Attributes:
        name: unlike any other on this supply; may be named by `shares_return_with`.
        who: as it is called in messages.
        aliases: further names for that.
        subjects: as findings name them.
        run: its cable; None when it is not described.
        run_path: keys that lead to the cable in the job file.
        amperes: with everything of it on [A]; None if unknown.
        rest_a: at rest [A]; None if unknown.
        watts: instead of amperes, for a load of constant power [W].
        minimum_v, maximum_v: what it stands [V].
        nominal_v: on its label [V].
        current: "dc", "ac", "dc or ac", "mains", "potential-free" or None.
        ask: what is missing, in words.
        never_with: ends with the same text here are never on together.
        at: the output that switches it.
        is_coil: the coil of an interposing relay.
        is_panel: an alarm panel, whose voltages its own maker answers for.
        is_receiver: a radio receiver.
        relay_a: what each of its relays draws on top of its rest current [A].
        power_factor: on alternating current; 1 where unknown, which costs most volts in a cable.
        rectifies: "bridge", "half-wave" or "none"; None if unknown.
        peak_max_v: highest instantaneous voltage its electronics stand [V].
        coil_ohm: resistance of one of its coils on direct current [ohm]; None if unknown or none.
        pieces: how many of it there are.
        pull_in_a: while it pulls in, all pieces [A]; None if unknown.
        branch: of the supply, with a fuse of its own; empty for the supply's own terminals.
        is_drawn: its wires are drawn core by core; `run` is the cable whose core ends at it.
        signal: path of the receiver's own signal that switches it, "larkfen/R1/low cell"; empty for none.
        gives: name of the supply that it is, of one that is fed from another; empty for other things.
        panel_output: panel and output that it hangs on, ("alarm", "aux"); None where it hangs on the supply.
        sources: of its values.
    """

    name: str
    who: str
    subjects: tuple[Ref, ...]
    run: CableRun | None
    run_path: tuple[str | int, ...]
    amperes: float | None
    rest_a: float | None
    minimum_v: float | None
    maximum_v: float | None
    nominal_v: float | None = None
    current: str | None = None
    watts: float | None = None
    aliases: tuple[str, ...] = ()
    ask: str = ""
    never_with: str = ""
    at: OutputAt | None = None
    is_coil: bool = False
    is_panel: bool = False
    is_receiver: bool = False
    relay_a: float | None = None
    power_factor: float = 1.0
    rectifies: str | None = None
    peak_max_v: float | None = None
    coil_ohm: float | None = None
    pieces: int = 1
    pull_in_a: float | None = None
    branch: str = ""
    is_drawn: bool = False
    panel_output: tuple[str, str] | None = None
    gives: str = ""
    signal: str = ""
    sources: tuple[Citation, ...] = field(default=())

    @property
    def is_rectifier(self) -> bool:
        """Whether it is a supply that makes direct current of a transformer's and nothing else."""
        return bool(self.gives) and self.current == "ac"


EFFICIENCY_TAKEN: Final = 0.8
"""Of a converter, where nobody says: common practice, no source; it is asked for beside."""

LARGEST_RATIO: Final = 2.5
"""Transformer current over direct current behind a rectifier, at most: a small load on a large one."""


def device_current_a(sheet: DeviceSheet) -> float | None:
    """Steady current of all pieces of a device [A]; from its power, or the ohms of its coil on direct
    current, where only that is known.
    """
    piece_a = sheet.current_a
    if piece_a is None and sheet.power_w is not None and sheet.voltage_v:
        piece_a = sheet.power_w / sheet.voltage_v
    if piece_a is None and sheet.supply == "dc" and sheet.coil_ohm and sheet.voltage_v:
        piece_a = sheet.voltage_v / sheet.coil_ohm
    return None if piece_a is None else piece_a * (sheet.pieces or 1)


def is_mains_signal(volts: float | None) -> bool:
    """Whether a command stands at mains: its cable and contact are then those of mains."""
    return volts is not None and volts >= LOWEST_MAINS_V


def feeds_coil(case: Case, output: OutputAt) -> bool:
    """Whether the supply named as `load_from` works the relay's coil: its load is mains and cannot be
    meant.
    """
    return bool(output.output.via and output.output.load_from) and works_mains(case, output)


def works_mains(case: Case, output: OutputAt) -> bool:
    """Whether all devices that an output works are of the mains; False for none."""
    sheets = [
        case.equipment.devices[path].sheet
        for path in (f"{output.premises}/{works.split('.')[0]}" for works in output.works)
        if path in case.equipment.devices
    ]
    return bool(sheets) and all(sheet.supply == "mains" for sheet in sheets)


def coil_supply(case: Case, output: OutputAt) -> str | None:
    """Name of the supply that works the coil of an output's interposing relay; None for the mains, which a
    coil made for mains volts hangs on unless a supply is named for it.
    """
    if feeds_coil(case, output):
        return output.output.load_from
    part = case.equipment.relays.get(output.output.via or "")
    if part is not None and part.sheet.coil_supply == "ac" and is_mains_signal(part.sheet.coil_v):
        return None
    return output.box.fed.from_ if output.box.fed else None


def mirror_of(output: OutputAt) -> str:
    """A text that two outputs share when they are never on together, whichever of them names the other; empty
    for none.
    """
    other = output.output.interlock or next(
        (number for number, sibling in output.box.outputs.items() if sibling.interlock == output.number), None
    )
    if not other:
        return ""
    return "/".join(sorted(f"{output.receiver_path}/{number}" for number in (output.number, other)))


def exclusion_key(end: End, number: int) -> str:
    """A text that ends share which are never on together, coils and loads apart; else one of its own, from
    its number among the ends.
    """
    if not end.never_with:
        return f"#{number}"
    return f"{end.never_with} {'coil' if end.is_coil else 'load'}"


def ends_of(case: Case, premises: str, supply: str) -> tuple[End, ...]:
    """Everything a supply feeds, directly or over a receiver's contact, each under a name of its own."""
    house = case.job.premises[premises]
    found = (
        *_receivers(case, premises, house, supply),
        *_coils(case, premises, supply),
        *_direct(case, premises, house, supply),
        *_switched(case, premises, house, supply),
        *_drawn(case, premises, supply),
        *_supplies(case, premises, house, supply),
        *_own_signals(case, premises, house, supply),
    )
    seen: set[str] = set()
    made = []
    for end in found:
        name = end.name if end.name not in seen else f"{end.name} ({end.subjects[0].kind})"
        seen.add(name)
        made.append(end if name == end.name else replace(end, name=name))
    return tuple(made)


def _receivers(case: Case, premises: str, house: Premises, supply: str) -> Iterator[End]:
    for name, box in house.receivers.items():
        if box.fed is not None and box.fed.from_ == supply:
            path = ("premises", premises, "receivers", name, "fed", "cable")
            yield _receiver_end(case, premises, name, box.fed.cable, path, box.fed.branch or "")


def _receiver_end(
    case: Case, premises: str, name: str, run: CableRun | None, path: tuple[str | int, ...], branch: str
) -> End:
    part = case.equipment.receivers[f"{premises}/{name}"]
    sheet = part.sheet
    idle, relay = sheet.current_idle_a, sheet.current_per_relay_a
    together = len(
        {
            mirror_of(output) or output.path
            for output in case.outputs()
            if output.receiver_path == f"{premises}/{name}"
        }
    )
    amperes = idle if together == 0 else None
    if idle is not None and relay is not None:
        amperes = idle + relay * together
    return End(
        name,
        name,
        (ReceiverRef(f"{premises}/{name}"),),
        run,
        path,
        amperes,
        idle,
        sheet.voltage_min_v,
        sheet.voltage_max_v,
        current=sheet.supply,
        is_receiver=True,
        branch=branch,
        relay_a=relay,
        rectifies=sheet.rectifies,
        peak_max_v=sheet.peak_max_v,
        ask=f"current of {name}, at rest and for each relay" if amperes is None else "",
        sources=part.cite("current_idle_a", "current_per_relay_a", "voltage_min_v", "voltage_max_v"),
    )


def _coils(case: Case, premises: str, supply: str) -> Iterator[End]:
    """Coils of interposing relays: on the receiver's supply, or on the one named for a load that is mains."""
    for output in case.outputs():
        part = case.equipment.relays.get(output.output.via or "")
        if output.premises == premises and part is not None and coil_supply(case, output) == supply:
            yield coil_end(case, output, output.output.via or "", part)


def coil_end(case: Case, output: OutputAt, name: str, part: Part[RelaySheet]) -> End:
    """The coil of a relay at an output; beside the receiver, and fed through its cable, unless a supply is
    named for it.
    """
    coil, fed = part.sheet, output.box.fed
    house: tuple[str | int, ...] = ("premises", output.premises, "receivers", output.receiver)
    far = fed is None or coil_supply(case, output) != fed.from_ or feeds_coil(case, output)
    run, path = output.output.cable, (*house, "outputs", output.number, "cable")
    if not far:
        run, path = fed.cable if fed else None, (*house, "fed", "cable")
    beside = fed.branch if fed is not None else None
    return End(
        f"coil of {name} at output {output.number} of {output.receiver}",
        f"the coil of {name}",
        (OutputRef(output.path),),
        run,
        path,
        coil.coil_a,
        0.0,
        coil_needs_v(coil),
        None,
        coil.coil_v,
        coil.coil_supply,
        branch=(output.output.load_branch if feeds_coil(case, output) else beside) or "",
        never_with=mirror_of(output),
        at=output,
        is_coil=True,
        ask=f"coil current of {name}" if coil.coil_a is None else "",
        sources=(*part.cite("coil_a", "coil_min_v"), *cited(hot_pull_in_v)),
    )


def coil_needs_v(coil: RelaySheet) -> float | None:
    """Volts at which a coil pulls in where it is warm; on alternating current copper decides little [V]."""
    if coil.coil_min_v is None or coil.coil_supply == "ac":
        return coil.coil_min_v
    return hot_pull_in_v(pull_in_20_v=coil.coil_min_v, temperature_degc=HOT_DEGC)


def _direct(case: Case, premises: str, house: Premises, supply: str) -> Iterator[End]:
    for name, device in house.devices.items():
        if device.fed is not None and supply_behind(house, device.fed) == supply:
            path = ("premises", premises, "devices", name, "fed", "cable")
            end = _device_end(
                case,
                premises,
                name,
                device.fed.cable,
                path,
                output=None,
                rest=0.0 if device.fed.only == "in alarm" else _rest_share(case, premises, name),
            )
            yield replace(end, branch=device.fed.branch or "", panel_output=panel_behind(house, device.fed))
    for name, panel in house.panels.items():
        if panel.fed is not None and panel.fed.from_ == supply:
            path = ("premises", premises, "panels", name, "fed", "cable")
            yield _panel_end(case, premises, name, panel.fed.cable, path, panel.fed.branch or "")


def _panel_end(
    case: Case, premises: str, name: str, run: CableRun | None, path: tuple[str | int, ...], branch: str
) -> End:
    part = case.equipment.panels[f"{premises}/{name}"]
    amperes = part.sheet.current_a
    return End(
        name,
        name,
        (PanelRef(f"{premises}/{name}"),),
        run,
        path,
        amperes,
        amperes,
        None,
        None,
        ask=f"current of {name}" if amperes is None else "",
        nominal_v=part.sheet.voltage_v,
        is_panel=True,
        branch=branch,
        sources=part.cite("current_a", "voltage_v"),
    )


def _rest_share(case: Case, premises: str, name: str) -> float | None:
    """What of its current a device that is fed directly draws while nothing happens: all, none, or
    unknown. A drive with a control of its own draws it while it moves; what it waits with is asked.
    """
    sheet = case.equipment.devices[f"{premises}/{name}"].sheet
    if sheet.supply == "potential-free" and sheet.traits.moves:
        return None
    if sheet.load == "input" or sheet.supply == "potential-free" or sheet.traits.draws_at_rest:
        return 1.0
    working = [
        output
        for output in case.outputs()
        if output.premises == premises and name in {works.split(".")[0] for works in output.works}
    ]
    if not working or (sheet.load is None and sheet.traits.draws_at_rest is not False):
        return None
    return 0.0 if all(output.output.contact == "normally open" for output in working) else 1.0


def _switched(case: Case, premises: str, house: Premises, supply: str) -> Iterator[End]:
    """What outputs switch to a supply; what is drawn core by core comes in over its cores alone."""
    drawn = {
        (feed.output.path, feed.thing) for feed in drawn_feeds(case, premises) if feed.output is not None
    }
    for output in case.outputs():
        if output.premises != premises or output.output.load_from != supply or feeds_coil(case, output):
            continue
        pair = turned_pair(case, output)
        laid = output if pair is None or pair.ahead.output.cable is None else pair.ahead
        path = ("premises", premises, "receivers", output.receiver, "outputs", laid.number, "cable")
        for device in dict.fromkeys(works.split(".")[0] for works in output.works):
            if device in house.devices and (output.path, device) not in drawn:
                rest = float(output.output.contact == "normally closed")
                end = _device_end(case, premises, device, laid.output.cable, path, output=output, rest=rest)
                yield replace(end, branch=output.output.load_branch or "")


def _drawn(case: Case, premises: str, supply: str) -> Iterator[End]:
    """What a supply comes to over wires that are drawn core by core."""
    for feed in drawn_feeds(case, premises):
        if feed.supply != supply:
            continue
        path: tuple[str | int, ...] = ("premises", premises, "cables", feed.label)
        if feed.kind == "receiver":
            end = _receiver_end(case, premises, feed.thing, feed.run, path, feed.branch)
        elif feed.kind == "panel":
            end = _panel_end(case, premises, feed.thing, feed.run, path, feed.branch)
        else:
            breaks = feed.output is not None and feed.output.output.contact == "normally closed"
            rest = float(breaks) if feed.output is not None else _rest_share(case, premises, feed.thing)
            end = _device_end(case, premises, feed.thing, feed.run, path, output=feed.output, rest=rest)
        yield replace(end, branch=feed.branch, is_drawn=True)


def _own_signals(case: Case, premises: str, house: Premises, supply: str) -> Iterator[End]:
    """Lamps and sounders that a receiver's own signals switch."""
    for receiver, box in house.receivers.items():
        for signal, given in box.signals.items():
            device = given.works.partition(".")[0]
            if given.load_from != supply or device not in house.devices:
                continue
            path = ("premises", premises, "receivers", receiver, "signals", signal, "cable")
            end = _device_end(case, premises, device, given.cable, path, output=None, rest=0.0)
            yield replace(end, signal=f"{premises}/{receiver}/{signal}", branch=given.load_branch or "")


def _supplies(case: Case, premises: str, house: Premises, supply: str) -> Iterator[End]:
    """Supplies that hang on this one: converters and rectifiers, with what they take in at full load."""
    for name, entry in house.supplies.items():
        if entry.fed is None or entry.fed.from_ != supply:
            continue
        part = case.equipment.supplies[f"{premises}/{name}"]
        sheet, before_v = part.sheet, case.equipment.supplies[f"{premises}/{supply}"].sheet.voltage_v
        amperes, ask = None, ""
        current = "dc" if case.equipment.supplies[f"{premises}/{supply}"].sheet.supply == "dc" else None
        if sheet.rectifier is not None:
            current = "ac"
            amperes = None if sheet.rated_a is None else LARGEST_RATIO * sheet.rated_a
            ask = "" if sheet.smoothing_f is not None else f"smoothing capacitor of {name}"
        else:
            if sheet.rated_a and sheet.voltage_v and before_v:
                share = sheet.efficiency_share or EFFICIENCY_TAKEN
                amperes = sheet.rated_a * sheet.voltage_v / share / before_v
            ask = "" if sheet.efficiency_share is not None else f"efficiency of {name}"
        yield End(
            name,
            name,
            (SupplyRef(f"{premises}/{name}"),),
            entry.fed.cable,
            ("premises", premises, "supplies", name, "fed", "cable"),
            amperes,
            amperes,
            sheet.input_min_v,
            sheet.input_max_v,
            current=current,
            ask=ask,
            branch=entry.fed.branch or "",
            gives=name,
            sources=part.cite("rated_a", "rectifier", "smoothing_f", "efficiency_share", "input_min_v"),
        )


def _device_end(
    case: Case,
    premises: str,
    name: str,
    run: CableRun | None,
    path: tuple[str | int, ...],
    *,
    output: OutputAt | None,
    rest: float | None,
) -> End:
    part = case.equipment.devices[f"{premises}/{name}"]
    sheet = part.sheet
    amperes = device_current_a(sheet)
    steady_power = sheet.load == "constant power" and sheet.power_w is not None
    subjects = (DeviceRef(f"{premises}/{name}"), *((OutputRef(output.path),) if output else ()))
    return End(
        f"{name} over output {output.number} of {output.receiver}" if output else name,
        name,
        subjects,
        run,
        path,
        amperes,
        _rest_a(sheet, amperes, rest),
        sheet.voltage_min_v,
        sheet.voltage_max_v,
        sheet.voltage_v,
        sheet.supply,
        watts=(sheet.power_w or 0.0) * (sheet.pieces or 1) if steady_power else None,
        aliases=(name, output.path, f"{output.receiver}/{output.number}") if output else (),
        ask=f"current of {name}" if amperes is None else "",
        never_with=(mirror_of(output) or f"device {name}") if output else "",
        at=output,
        power_factor=sheet.power_factor or 1.0,
        rectifies=sheet.rectifies,
        coil_ohm=sheet.coil_ohm,
        pieces=sheet.pieces or 1,
        peak_max_v=sheet.peak_max_v,
        pull_in_a=None if sheet.pull_in_a is None else sheet.pull_in_a * (sheet.pieces or 1),
        sources=part.cite(
            "current_a", "power_w", *_coil_field(sheet), "pieces", "voltage_min_v", "voltage_max_v"
        ),
    )


def _coil_field(sheet: DeviceSheet) -> tuple[str, ...]:
    """The ohms of a coil, where its current is taken from them."""
    return ("coil_ohm",) if sheet.current_a is None and sheet.power_w is None else ()


def _rest_a(sheet: DeviceSheet, amperes: float | None, share: float | None) -> float | None:
    if sheet.current_rest_a is not None:
        return float(sheet.current_rest_a * (sheet.pieces or 1))
    if share == 0:
        return 0.0
    return None if share is None or amperes is None else share * amperes
