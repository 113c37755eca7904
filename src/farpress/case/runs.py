"""Every run of a job in its short form with its two ends: what cables, schedule and drawings are made from.

Terminals of relay contacts are numbered after EN 50005 and EN 50011: the first figure is the
output, then 1 common, 2 break, 4 make (3 and 4 for a contact that only makes).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from farpress.case.cabling import End, ends_of, feeds_coil
from farpress.case.case import Case, OutputAt
from farpress.case.feeding import supply_behind
from farpress.case.signals import signals_of
from farpress.case.switched import is_mains_signal, is_signal
from farpress.case.tampers import tamper_circuits
from farpress.case.turned import turned_pair
from farpress.domain.parts import DeviceInput, Loop
from farpress.domain.premises import CableRun, Fed
from farpress.domain.refs import DeviceRef, ref_from_tag

__all__ = ["Run", "RunKind", "contact_terminals", "supply_terminals", "unlabelled_runs"]

RunKind = Literal["supply", "power", "coil", "command", "status", "signal", "tamper"]


@dataclass(frozen=True)
class Run:
    """A pair of cores between two things.

    Attributes:
        premises: its premises.
        name: the label of its cable, as "W3"; empty until it is put into one.
        kind: what flows in it: a supply, a load's power, a relay's coil, a command, a status, a signal of the
            receiver's own, the tamper circuit.
        start, start_terminals: where it begins; of the outgoing core and the way back.
        back: where the way back begins, if elsewhere; empty for `start`.
        target, target_terminals: where it ends.
        run: the cable; None where it is not described.
        supply: name of the supply in it; None for a contact free of potential.
        end: what hangs on that supply through it.
        at: the output that works it.
        loop: the supervised loop it is.
        volts, amperes: of a command or status line; None if unknown.
        is_mains: its far side is mains.
        common: terminal of the contact that the supply's live side goes to; empty for none.
        is_link: from one device to the next on the same cable.
        turned: the other output of a pair that changes its two cores over.
        own_contact: which side of the relay of a receiver's own signal is wired; empty for anything else.
    """

    premises: str
    name: str
    kind: RunKind
    start: str
    start_terminals: tuple[str, str]
    target: str
    target_terminals: tuple[str, str]
    run: CableRun | None
    back: str = ""
    supply: str | None = None
    end: End | None = None
    at: OutputAt | None = None
    loop: Loop | None = None
    volts: float | None = None
    amperes: float | None = None
    is_mains: bool = False
    common: str = ""
    is_link: bool = False
    turned: OutputAt | None = None
    own_contact: Literal["", "make", "break"] = ""

    @property
    def is_worked(self) -> bool:
        """A contact of a receiver works it: of an output, or of a signal of its own."""
        return self.at is not None or self.own_contact != ""

    @property
    def has_break_contact(self) -> bool:
        """That contact is closed at rest."""
        return self.own_contact == "break" or (
            self.at is not None and self.at.output.contact == "normally closed"
        )


def unlabelled_runs(case: Case, premises: str) -> tuple[Run, ...]:
    """Every run of one premises, in the order of the file: supplies, outputs, inputs, tamper circuits.

    Under the label of its cable it is found by `cables.runs`.
    """
    return (
        *_supplies(case, premises),
        *_outputs(case, premises),
        *_inputs(case, premises),
        *_signals(case, premises),
        *_tampers(case, premises),
    )


def contact_terminals(form: str | None, number: str) -> tuple[str, str, str]:
    """Terminals of output `number`: common, break, make; empty where the contact has none."""
    if form == "normally open":
        return f"{number}3", "", f"{number}4"
    return f"{number}1", f"{number}2", "" if form == "normally closed" else f"{number}4"


def supply_terminals(case: Case, path: str) -> tuple[str, str]:
    """Live side and way back of a supply."""
    return ("~1", "~2") if case.equipment.supplies[path].sheet.supply == "ac" else ("+", "0 V")


def _supplies(case: Case, premises: str) -> Iterator[Run]:
    house = case.job.premises[premises]
    ends = {name: ends_of(case, premises, name) for name in house.supplies}
    fed: list[tuple[str, str, Fed | None]] = [
        ("receiver", name, box.fed) for name, box in house.receivers.items()
    ]
    fed += [("device", name, device.fed) for name, device in house.devices.items()]
    fed += [("panel", name, panel.fed) for name, panel in house.panels.items()]
    fed += [("supply", name, supply.fed) for name, supply in house.supplies.items()]
    for kind, name, feed in fed:
        behind = supply_behind(house, feed)
        if feed is None or behind is None:
            continue
        end = next(
            (
                candidate
                for candidate in ends[behind]
                if candidate.at is None and candidate.subjects[0] == ref_from_tag(f"{kind}:{premises}/{name}")
            ),
            None,
        )
        poles = supply_terminals(case, f"{premises}/{behind}")
        near = poles if feed.branch is None else tuple(f"branch {feed.branch} {pole}" for pole in poles)
        yield Run(
            premises,
            "",
            "supply",
            feed.from_,
            (near[0], near[1]),
            name,
            (f"in {poles[0]}", f"in {poles[1]}") if kind == "supply" else poles,
            feed.cable,
            supply=behind,
            end=end,
        )


def _outputs(case: Case, premises: str) -> Iterator[Run]:
    ends = {name: ends_of(case, premises, name) for name in case.job.premises[premises].supplies}
    for output in case.outputs():
        if output.premises != premises or not output.works:
            continue
        common, breaks, makes = contact_terminals(
            case.equipment.receivers[output.receiver_path].sheet.contact_form, output.number
        )
        used = breaks if output.output.contact == "normally closed" else makes
        if output.output.via:
            yield from _over_relay(case, output, ends, (used, common))
            continue
        yield from _loads(case, output, ends, output.receiver, (used, common))


def _over_relay(
    case: Case, output: OutputAt, ends: dict[str, tuple[End, ...]], contact: tuple[str, str]
) -> Iterator[Run]:
    relay = output.output.via or ""
    coil = next(
        (
            (supply, end)
            for supply, own in ends.items()
            for end in own
            if end.is_coil and end.at is not None and end.at.path == output.path
        ),
        None,
    )
    supply, end = coil if coil is not None else (None, None)
    far = feeds_coil(case, output)
    back = supply_terminals(case, f"{output.premises}/{supply}")[1] if supply else contact[1]
    yield Run(
        output.premises,
        "",
        "coil",
        output.receiver,
        (contact[0], back),
        f"{relay} at {output.receiver}/{output.number}",
        ("A1", "A2"),
        output.output.cable if far else None,
        back=supply or "",
        supply=supply,
        end=end,
        at=output,
        common=contact[1],
    )
    for run in _loads(case, output, ends, f"{relay} at {output.receiver}/{output.number}", ("14", "13")):
        yield replace(run, run=None) if far else run


def _loads(
    case: Case, output: OutputAt, ends: dict[str, tuple[End, ...]], start: str, contact: tuple[str, str]
) -> Iterator[Run]:
    """What one contact works: the first over the cable, the others from the first."""
    first: Run | None = None
    pair = turned_pair(case, output)
    for works in dict.fromkeys(output.works):
        run = _load(case, output, works, ends, start, contact)
        if pair is not None and run.target in pair.devices:
            if pair.back.path == output.path:
                continue  # both cores are those of the output that runs it ahead
            form = case.equipment.receivers[output.receiver_path].sheet.contact_form
            far = contact_terminals(form, pair.back.number)[0]
            run = replace(run, start_terminals=(contact[1], far), back="", common="", turned=pair.back)
        if first is None:
            first = run
            yield run
        elif run.target != first.target:
            yield replace(
                run,
                start=first.target,
                start_terminals=first.target_terminals,
                run=None,
                back="",
                common="",
                is_link=True,
            )


def _load(
    case: Case,
    output: OutputAt,
    works: str,
    ends: dict[str, tuple[End, ...]],
    start: str,
    contact: tuple[str, str],
) -> Run:
    name, _, entry_name = works.partition(".")
    path = f"{output.premises}/{name}"
    fed = (
        output.output.load_from if not feeds_coil(case, output) and output.output.load_from in ends else None
    )
    device = case.equipment.devices.get(path)
    mains = (
        device is not None
        and device.sheet.supply == "mains"
        and not is_signal(device.sheet, (device.sheet.inputs or {}).get(entry_name))
    )
    if fed and device is not None:
        end = next(
            (
                candidate
                for candidate in ends.get(fed, ())
                if DeviceRef(path) in candidate.subjects
                and candidate.at is not None
                and candidate.at.path == output.path
            ),
            None,
        )
        poles = supply_terminals(case, f"{output.premises}/{fed}")
        return Run(
            output.premises,
            "",
            "power",
            start,
            (contact[0], poles[1]),
            name,
            poles if poles[0] == "~1" else ("+", "−"),
            output.output.cable,
            back=fed,
            supply=fed,
            end=end,
            at=output,
            common=contact[1],
        )
    if mains:
        return Run(
            output.premises,
            "",
            "power",
            start,
            contact,
            name,
            ("L", "N"),
            output.output.cable,
            at=output,
            is_mains=True,
        )
    entry = _input(case, path, entry_name)
    loop = getattr(entry, "loop", None)
    volts = loop.supply_v if loop is not None else None
    if entry is not None and entry.voltage_v is not None:
        volts = entry.voltage_v
    return Run(
        output.premises,
        "",
        "command",
        start,
        contact,
        name,
        (entry_name or "input", f"{entry_name} common".strip()),
        output.output.cable,
        at=output,
        loop=loop,
        volts=volts,
        amperes=entry.current_a if entry is not None else None,
        is_mains=is_mains_signal(volts),
    )


def _input(case: Case, path: str, name: str) -> DeviceInput | None:
    """An input of a panel, or else of a device; None where nothing is known of it."""
    panel, device = case.equipment.panels.get(path), case.equipment.devices.get(path)
    if panel is not None:
        return (panel.sheet.inputs or {}).get(name)
    return (device.sheet.inputs or {}).get(name) if device is not None else None


def _inputs(case: Case, premises: str) -> Iterator[Run]:
    for name, box in case.job.premises[premises].receivers.items():
        sheet = case.equipment.receivers[f"{premises}/{name}"].sheet
        for number, entry in box.inputs.items():
            source, _, output = entry.reads.partition(".")
            yield Run(
                premises,
                "",
                "status",
                source,
                (
                    output or "contact",
                    "0 V" if _is_collector(case, premises, source, output) else f"{output} common",
                ),
                name,
                (f"input {number}", "0 V"),
                entry.cable,
                volts=sheet.input_voltage_v,
                amperes=sheet.input_current_a,
            )


def _is_collector(case: Case, premises: str, panel: str, output: str) -> bool:
    part = case.equipment.panels.get(f"{premises}/{panel}")
    found = (part.sheet.outputs or {}).get(output) if part else None
    return found is not None and found.form == "open collector"


def _signals(case: Case, premises: str) -> Iterator[Run]:
    """From a receiver's own signals to what they work: a lamp or sounder with its supply, or a panel."""
    for signal in signals_of(case):
        given = signal.given
        if signal.premises != premises or given is None:
            continue
        target, _, entry = given.works.partition(".")
        is_sunk = signal.sheet is None or signal.sheet.form != "relay"
        side: Literal["make", "break"] = "break" if signal.breaks else "make"
        own = signal.terminals
        supply = given.load_from if signal.device is not None else None
        if supply is None:
            yield Run(
                premises,
                "",
                "signal",
                signal.receiver,
                own,
                target,
                (entry or "input", f"{entry} common".strip()),
                given.cable,
                loop=signal.panel_input.loop if signal.panel_input is not None else None,
                amperes=signal.load_a,
                own_contact="" if is_sunk else side,
            )
            continue
        poles = supply_terminals(case, f"{premises}/{supply}")
        ends = ends_of(case, premises, supply)
        path = f"{premises}/{signal.receiver}/{signal.name}"
        yield Run(
            premises,
            "",
            "signal",
            supply if is_sunk else signal.receiver,
            (poles[0], own[0]) if is_sunk else (own[0], poles[1]),
            target,
            ("+", "−"),
            given.cable,
            back=signal.receiver if is_sunk else supply,
            supply=supply,
            end=next((end for end in ends if end.signal == path), None),
            common="" if is_sunk else own[1],
        )


def _tampers(case: Case, premises: str) -> Iterator[Run]:
    for circuit in tamper_circuits(case, premises):
        for name in (*circuit.receivers, *circuit.across):
            yield Run(premises, "", "tamper", circuit.panel, circuit.pair_of(name), name, ("T1", "T2"), None)
