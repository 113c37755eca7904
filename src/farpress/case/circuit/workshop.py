"""What a circuit is put together on: lists that grow, and how a cable or a contact is added to them."""

from __future__ import annotations

from collections.abc import Mapping

from farpress.case import behaviour
from farpress.case.case import Case, OutputAt
from farpress.case.circuit.parts import (
    ClosingContact,
    Conductor,
    Draw,
    EndOfLine,
    FusedBranch,
    Joint,
    NotKnown,
    OneWay,
    PullUp,
    Sink,
    SupplySource,
    Terminal,
)
from farpress.case.cores import core_of_run, hot_degc_of, is_clad
from farpress.case.drawn_wires import drawn_ends
from farpress.core.wiring.conductors import COPPER_CLAD_FACTOR_HIGH
from farpress.domain.parts import DeviceInput, PanelInput
from farpress.domain.premises import CableRun
from farpress.domain.terminals import panel_terminal

__all__ = [
    "Workshop",
    "contact_of",
    "is_collector",
    "panel_contact",
    "panel_sink",
    "pull_up",
    "rest_contact_of",
    "sink_of",
]


class Workshop:
    """The pieces of one premises' circuit so far."""

    def __init__(self, case: Case, premises: str) -> None:
        self.case, self.premises = case, premises
        self.sources: list[SupplySource] = []
        self.conductors: list[Conductor] = []
        self.joints: list[Joint] = []
        self.contacts: dict[str, ClosingContact] = {}
        self.sinks: dict[str, Sink] = {}
        self.draws: dict[str, Draw] = {}
        self.pull_ups: dict[str, PullUp] = {}
        self.resistors: list[EndOfLine] = []
        self.branches: dict[str, FusedBranch] = {}
        self.diodes: list[OneWay] = []
        self.terminals_of: dict[tuple[str, str], tuple[Terminal, Terminal, str]] = {}
        self.moved: dict[Terminal, Terminal] = {}
        self.unknown: list[NotKnown] = []
        self.drawn = frozenset(map(str, drawn_ends(case, premises)))
        supplies = case.job.premises[premises].supplies
        self._drawn_at_things = frozenset(
            str(end) for end in drawn_ends(case, premises) if end.thing not in supplies
        )
        self._laid: set[tuple[str, ...]] = set()

    def thing(self, name: str, kind: str) -> str:
        """A name as terminals bear it: with its kind where another kind of thing has the same name."""
        house = self.case.job.premises[self.premises]
        before: dict[str, tuple[Mapping[str, object], ...]] = {
            "device": (house.supplies, house.receivers),
            "panel": (house.supplies, house.receivers, house.devices),
            "receiver": (house.supplies,),
        }
        taken = any(name in others for others in before.get(kind, ()))
        return f"{name} ({kind})" if taken else name

    def join(self, a: Terminal, b: Terminal) -> None:
        """A link between two terminals, once."""
        joint = Joint(a, b)
        if a != b and joint not in self.joints:
            self.joints.append(joint)

    def conduct(
        self,
        name: str,
        a: Terminal,
        b: Terminal,
        run: CableRun | None,
        run_path: tuple[str | int, ...],
        length_m: float,
        core: str,
        *,
        found_ohm: float | None = None,
        metal: str | None = None,
    ) -> None:
        """One core of a cable; a joint where nobody describes the cable, or where it has no length.

        What was measured of it counts, as it is cold; else the metal that it was found to be made of.
        """
        if run is None and not self._drawn_at_things.isdisjoint((a, b)):
            return  # its wires are drawn; that something else is drawn at the supply says nothing of them
        known = core_of_run(self.case, run)
        if run is None:
            self.unknown.append(NotKnown(name, "its cable"))
        elif known is None:
            self.unknown.append(NotKnown(name, f"the cores of {run.part}"))
        if run is None or known is None or length_m <= 0 or known.cold_ohm_per_km <= 0:
            self.join(a, b)
            return
        cold = known.cold_ohm_per_km
        if found_ohm is not None:
            cold = 1000 * found_ohm / length_m
        elif metal == "copper-clad aluminium" and not is_clad(self.case, run):
            cold *= COPPER_CLAD_FACTOR_HIGH
        if cold <= 0:
            self.join(a, b)
            return
        self.conductors.append(
            Conductor(name, a, b, cold, length_m, hot_degc_of(run), run.part, run_path, core)
        )

    def tap(self, supply: str, branch: str) -> tuple[Terminal, Terminal]:
        """The terminals of a branch: its fuse lies in its live side, its way back is the supply's."""
        sheet = self.case.equipment.supplies[f"{self.premises}/{supply}"].sheet
        live, back = ("~1", "~2") if sheet.supply == "ac" else ("+", "0")
        place = f"{supply}.branch {branch}"
        taps = f"{place}.{live}", f"{place}.{back}"
        self.join(f"{supply}.{back}", taps[1])
        fuse = self.case.job.premises[self.premises].supplies[supply].branches.get(branch)
        self.branches[taps[0]] = FusedBranch(
            f"fuse of {place}", f"{supply}.{live}", taps[0], None if fuse is None else fuse.fuse_a
        )
        return taps

    def is_laid(self, start: str, target: str, run: CableRun | None, core: str, *, is_named: bool) -> bool:
        """Whether a core of this name lies already in the same cable between the same two things."""
        if run is None or not is_named:
            return False
        key = (*sorted((start, target)), run.part, f"{run.length_m:g}", core)
        was = key in self._laid
        self._laid.add(key)
        return was


def contact_of(shop: Workshop, output: OutputAt, *, of_relay: bool) -> ClosingContact:
    """The contact of an output, or of the interposing relay behind it; `a` is its common side.

    The relay closes while the receiver's contact feeds its coil.
    """
    name = f"contact of relay {output.path}" if of_relay else f"contact {output.path}"
    known = shop.contacts.get(name)
    if known is not None:
        return known
    breaks = output.output.contact == "normally closed"
    place = f"{output.receiver}.{output.number}"
    if of_relay:
        a, b = f"{place} relay.13", f"{place} relay.14"
    else:
        a, b = f"{place}.common", f"{place}.{'break' if breaks else 'make'}"
    shop.contacts[name] = ClosingContact(name, a, b, output.path, breaks)
    return shop.contacts[name]


def rest_contact_of(shop: Workshop, output: OutputAt) -> ClosingContact:
    """The break side of the changeover contact of an output, beside its make side."""
    name, place = f"rest contact {output.path}", f"{output.receiver}.{output.number}"
    contact = ClosingContact(name, f"{place}.common", f"{place}.break", output.path, closed_at_rest=True)
    return shop.contacts.setdefault(name, contact)


def is_collector(shop: Workshop, output: OutputAt) -> bool:
    """Whether the receiver's own output is a transistor to its 0 V."""
    return behaviour.is_collector(shop.case, output)


def sink_of(shop: Workshop, output: OutputAt) -> Sink:
    """The transistor of an output; one whose volts are not known is taken to leave none, and listed."""
    sheet = shop.case.equipment.receivers[output.receiver_path].sheet
    name, collector = f"sink {output.path}", f"{output.receiver}.{output.number}.collector"
    if sheet.saturation_v is None:
        shop.unknown.append(NotKnown(collector, "the volts left across it"))
    shop.sinks[name] = Sink(name, collector, f"{output.receiver}.0", output.path, sheet.saturation_v or 0.0)
    return shop.sinks[name]


def panel_sink(shop: Workshop, panel: str, output: str) -> Sink:
    """A transistor output of a panel, to the panel's 0 V."""
    reads = f"{panel}.{output}"
    sheet = shop.case.equipment.panels[f"{shop.premises}/{panel}"].sheet
    entry = (sheet.outputs or {}).get(output)
    if entry is None or entry.form is None:
        shop.unknown.append(NotKnown(reads, "whether it is a relay contact or an open collector"))
    elif entry.saturation_v is None:
        shop.unknown.append(NotKnown(reads, "the volts left across it"))
    left = entry.saturation_v if entry is not None else None
    collector = f"{panel}.{panel_terminal(sheet, output, is_output=True)}"
    shop.sinks[f"sink {reads}"] = Sink(f"sink {reads}", collector, f"{panel}.0", reads, left or 0.0)
    return shop.sinks[f"sink {reads}"]


def panel_contact(shop: Workshop, panel: str, output: str) -> ClosingContact:
    """A relay contact of a panel, free of potential."""
    reads = f"{panel}.{output}"
    sheet = shop.case.equipment.panels[f"{shop.premises}/{panel}"].sheet
    terminal = f"{panel}.{panel_terminal(sheet, output, is_output=True)}"
    contact = ClosingContact(f"contact {reads}", terminal, f"{terminal} common", reads)
    shop.contacts[contact.name] = contact
    return contact


def pull_up(shop: Workshop, live: Terminal, common: Terminal, entry: DeviceInput | None) -> None:
    """What the box of an input puts on it, from its loop or from its own volts and amperes."""
    loop = entry.loop if isinstance(entry, PanelInput) else None
    if loop is not None and loop.supply_v and loop.pull_up_ohm:
        shop.pull_ups[live] = PullUp(f"pull-up of {live}", live, common, loop.supply_v, loop.pull_up_ohm)
    elif entry is not None and entry.voltage_v and entry.current_a:
        shop.pull_ups[live] = PullUp(
            f"pull-up of {live}", live, common, entry.voltage_v, entry.voltage_v / entry.current_a
        )
    else:
        shop.unknown.append(NotKnown(live, "the volts and amperes of the input"))
