"""What each relay contact of a job really switches: contacts with their ratings, loads with their kind.

An output with an interposing relay has two contacts: the receiver's, which works the coil,
and the relay's, which works the load. Each is judged on its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.cabling import (
    COLD_DEGC,
    coil_supply,
    core_of_run,
    device_current_a,
    feeds_coil,
    loop_ohm_of,
)
from farpress.case.case import Case, OutputAt
from farpress.case.cores import first_m
from farpress.case.supply_ends import LOWEST_MAINS_V, is_mains_signal
from farpress.case.turned import turned_pair
from farpress.core.wiring.contacts import LoadKind
from farpress.domain.parts import DeviceInput, DeviceSheet, PanelInput, Part, RelaySheet
from farpress.domain.refs import DeviceRef, OutputRef, PanelRef, Ref
from farpress.sources import Citation, Mark

__all__ = ["LOWEST_MAINS_V", "Contact", "Load", "Switched", "is_mains_signal", "is_signal", "switched"]


LARGEST_SIGNAL_A: Final = 0.1
"""Above this an input draws the load itself; our choice, command inputs draw 3 to 20 mA."""


@dataclass(frozen=True)
class Contact:
    """A contact and its ratings; None where unknown. `life_is_usual`: its life is that of such contacts in
    general, as no data sheet gives it.
    """

    name: str
    rated_a: float | None
    rated_v: float | None
    make_a: float | None
    min_a: float | None
    min_v: float | None
    life: int | None
    mains_rated: bool | None
    sources: tuple[Citation, ...]
    is_relay: bool = False
    life_is_usual: bool = False


@dataclass(frozen=True)
class Load:
    """One thing a contact switches.

    Attributes:
        name: as messages call it.
        subjects: as findings name it.
        is_signal: a command input of a few milliamperes, not the device's own supply.
        kind: of load; None if unknown.
        volts, alternating: of the switched circuit; None if unknown.
        amperes: steady, all pieces; None if unknown.
        piece_peak_a, pieces: peak of one piece at switching on, and their number.
        peak_s: how long the peak lasts [s].
        loop_ohm: hot resistance of its cable [ohm]; None if unknown.
        is_mains: mains voltage.
        motors: motors in all pieces together.
        separation_relay: its motors are kept apart by a relay.
        reverses: how its motors are told their direction: "windings", "polarity"; None if unknown.
        coil_h, coil_ohm: inductance [H] and resistance [ohm] of one coil.
        pieces_said: somebody wrote how many there are.
        cold_loop_ohm: the same in frost, when most flows at switching on [ohm].
        highest_v: to which the volts of its supply can rise [V]; None if unknown.
        device: its sheet; None for a panel or a relay coil.
    """

    name: str
    subjects: tuple[Ref, ...]
    is_signal: bool
    kind: LoadKind | None
    volts: float | None
    alternating: bool | None
    amperes: float | None
    piece_peak_a: float | None = None
    pieces: int = 1
    peak_s: float | None = None
    loop_ohm: float | None = None
    is_mains: bool = False
    motors: int = 0
    separation_relay: bool | None = None
    coil_h: float | None = None
    coil_ohm: float | None = None
    is_lock_magnet: bool = False
    is_panel: bool = False
    sources: tuple[Citation, ...] = ()
    highest_v: float | None = None
    cold_loop_ohm: float | None = None
    reverses: str | None = None
    pieces_said: bool = True


@dataclass(frozen=True)
class Switched:
    """One contact with all it switches."""

    at: OutputAt
    contact: Contact
    loads: tuple[Load, ...]

    @property
    def about(self) -> str:
        """As findings call it: the output, and the relay if it is the relay's contact."""
        return f"{self.at.path} {self.contact.name}" if self.contact.is_relay else self.at.path

    @property
    def suppression(self) -> str | None:
        """What sits at the load; a job file names it for the receiver's contact only, so behind a relay it is
        unknown.
        """
        return None if self.contact.is_relay else self.at.output.suppression

    @property
    def subjects(self) -> tuple[Ref, ...]:
        """The output and everything it switches."""
        return (
            OutputRef(self.at.path),
            *dict.fromkeys(subject for load in self.loads for subject in load.subjects),
        )


def switched(case: Case) -> Iterator[Switched]:
    """Every contact of the job that works something, in the order of the file."""
    for output in case.outputs():
        if not output.works:
            continue
        loads = tuple(
            load
            for works in dict.fromkeys(output.works)
            for load in [_load(case, output, works)]
            if load is not None
        )
        relay = case.equipment.relays.get(output.output.via) if output.output.via else None
        receiver = _receiver_contact(case, output)
        if relay is None:
            yield Switched(output, receiver, _once(loads))
        else:
            yield Switched(output, receiver, (_coil(case, output, relay),))
            yield Switched(output, _relay_contact(output.output.via or "", relay), _once(loads))


def _once(loads: tuple[Load, ...]) -> tuple[Load, ...]:
    """A device's own current counts once even where two of its inputs are worked."""
    seen: dict[object, Load] = {}
    for number, load in enumerate(loads):
        seen.setdefault((number,) if load.is_signal else load.subjects, load)
    return tuple(seen.values())


def _receiver_contact(case: Case, output: OutputAt) -> Contact:
    part = case.equipment.receivers[output.receiver_path]
    sheet = part.sheet.contact_of(output.number)
    fields = (
        "contact_rated_a",
        "contact_rated_v",
        "contact_make_a",
        "contact_min_a",
        "contact_min_v",
        "contact_life",
        "mains_rated",
        *(("contacts",) if output.number in (part.sheet.contacts or {}) else ()),
    )
    return Contact(
        f"contact {output.number} of {output.receiver}",
        sheet.contact_rated_a,
        sheet.contact_rated_v,
        sheet.contact_make_a,
        sheet.contact_min_a,
        sheet.contact_min_v,
        sheet.contact_life,
        sheet.mains_rated,
        part.cite(*fields),
        life_is_usual=_is_usual(part.cite("contact_life")),
    )


def _is_usual(sources: tuple[Citation, ...]) -> bool:
    """Whether a value is one that such parts usually have, and not from a sheet."""
    return any(source.mark in (Mark.MEMORY, Mark.PRACTICE, Mark.CHOICE) for source in sources)


def _relay_contact(name: str, part: Part[RelaySheet]) -> Contact:
    sheet = part.sheet
    fields = (
        "contact_rated_a",
        "contact_rated_v",
        "contact_make_a",
        "contact_min_a",
        "contact_min_v",
        "contact_life",
        "mains_rated",
    )
    return Contact(
        f"contact of {name}",
        sheet.contact_rated_a,
        sheet.contact_rated_v,
        sheet.contact_make_a,
        sheet.contact_min_a,
        sheet.contact_min_v,
        sheet.contact_life,
        sheet.mains_rated,
        part.cite(*fields),
        is_relay=True,
        life_is_usual=_is_usual(part.cite("contact_life")),
    )


def _coil(case: Case, output: OutputAt, part: Part[RelaySheet]) -> Load:
    sheet = part.sheet
    fed = coil_supply(case, output)
    supply = case.equipment.supplies.get(f"{output.premises}/{fed}") if fed else None
    current = supply.sheet.supply if supply else None
    if sheet.coil_supply in ("ac", "dc"):
        current = sheet.coil_supply
    alternating = None if current is None else current == "ac"
    kind: LoadKind | None = None
    if alternating is not None:
        kind = "coil ac" if alternating else "inductive dc"
    return Load(
        f"coil of {output.output.via}",
        (),
        False,
        kind,
        sheet.coil_v,
        alternating,
        sheet.coil_a,
        sheet.coil_inrush_a,
        is_mains=is_mains_signal(sheet.coil_v),
        sources=part.cite("coil_v", "coil_a", "coil_supply", "coil_inrush_a"),
        highest_v=supply.sheet.voltage_max_v if supply else None,
    )


def _load(case: Case, output: OutputAt, works: str) -> Load | None:
    name, _, input_name = works.partition(".")
    path = f"{output.premises}/{name}"
    if path in case.equipment.panels:
        panel = case.equipment.panels[path]
        entry = (panel.sheet.inputs or {}).get(input_name)
        volts, amperes = _panel_signal(entry)
        return Load(
            works,
            (PanelRef(path),),
            True,
            "input",
            volts,
            False,
            amperes,
            is_panel=True,
            sources=panel.cite("inputs"),
        )
    if path not in case.equipment.devices:
        return None
    part = case.equipment.devices[path]
    sheet = part.sheet
    command = (sheet.inputs or {}).get(input_name)
    if output.output.load_from is None and is_signal(sheet, command):
        signal = command or DeviceInput()
        return Load(
            works,
            (DeviceRef(path),),
            True,
            "input",
            signal.voltage_v,
            False,
            signal.current_a,
            is_mains=is_mains_signal(signal.voltage_v),
            sources=part.cite("inputs"),
        )
    return _power_load(case, output, name, path, part)


def is_signal(sheet: DeviceSheet, command: DeviceInput | None) -> bool:
    """A command input, and not the device's own current: said so, or a few milliamperes of its own."""
    if sheet.load == "input" or sheet.supply == "potential-free":
        return True
    return command is not None and command.current_a is not None and command.current_a <= LARGEST_SIGNAL_A


def _panel_signal(entry: PanelInput | None) -> tuple[float | None, float | None]:
    """Volts over the open contact and amperes through the closed one, from the input or its loop."""
    if entry is None:
        return None, None
    volts, amperes, loop = entry.voltage_v, entry.current_a, entry.loop
    if loop is not None and loop.supply_v and loop.pull_up_ohm:
        volts = volts or loop.supply_v
        in_series = (
            loop.normal_ohm or 0.0
            if loop.scheme in ("single end-of-line", "double end-of-line", "masked")
            else 0.0
        )
        amperes = amperes or loop.supply_v / (loop.pull_up_ohm + in_series)
    return volts, amperes


def _power_load(case: Case, output: OutputAt, name: str, path: str, part: Part[DeviceSheet]) -> Load:
    sheet = part.sheet
    named = output.output.load_from if not feeds_coil(case, output) else None
    supply = case.equipment.supplies.get(f"{output.premises}/{named}") if named else None
    volts = supply.sheet.voltage_v if supply and supply.sheet.voltage_v else sheet.voltage_v
    kind_of_current = supply.sheet.supply if supply and supply.sheet.supply else sheet.supply
    alternating = {"ac": True, "mains": True, "dc": False}.get(kind_of_current or "")
    is_mains = sheet.supply == "mains" or bool(alternating and volts and volts >= LOWEST_MAINS_V)
    pair = turned_pair(case, output)
    run = output.output.cable if pair is None else pair.ahead.output.cable or output.output.cable
    cable, core = loop_ohm_of(case, run), core_of_run(case, run)
    if cable is not None and run is not None and run.length_m > 0:
        cable *= first_m(run) / run.length_m
    source = (supply.sheet.source_ohm or 0.0) if supply else 0.0
    return Load(
        name,
        (DeviceRef(path),),
        False,
        sheet.load,
        volts,
        alternating,
        device_current_a(sheet),
        sheet.peak_a,
        sheet.pieces or 1,
        sheet.peak_s,
        cable + source if cable is not None and supply is not None else None,
        is_mains,
        sheet.motors or (sheet.pieces or 1 if sheet.load == "motor" else 0),
        sheet.separation_relay,
        sheet.coil_h,
        sheet.coil_ohm,
        sheet.traits.is_magnet,
        sources=part.cite(
            "current_a",
            "power_w",
            "peak_a",
            "pieces",
            "load",
            "voltage_v",
            "supply",
            "motors",
            "coil_h",
            "coil_ohm",
        ),
        reverses=sheet.reverses,
        pieces_said=sheet.pieces is not None,
        highest_v=supply.sheet.voltage_max_v if supply else None,
        cold_loop_ohm=None
        if cable is None or core is None or supply is None
        else cable * core.ohm_per_km(COLD_DEGC) / core.hot_ohm_per_km + source,
    )
