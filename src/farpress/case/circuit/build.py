"""The circuit of a premises, built from its job: supplies with all that hangs on them here, signals in
`signals`.

A cable that leads to a device over a contact is the whole way from the supply through the contact; its live
core is drawn from the contact on.
"""

from __future__ import annotations

from collections.abc import Iterable

from farpress.case.case import Case, OutputAt
from farpress.case.circuit.drawn import add_drawn
from farpress.case.circuit.own_signals import signal_worker
from farpress.case.circuit.parts import (
    Circuit,
    ClosingContact,
    Draw,
    NotKnown,
    OneWay,
    Sink,
    SourceVolts,
    SupplySource,
    Terminal,
)
from farpress.case.circuit.returns import cable_names, return_groups, return_partner
from farpress.case.circuit.signals import add_signals
from farpress.case.circuit.workshop import (
    Workshop,
    contact_of,
    is_collector,
    panel_contact,
    panel_sink,
    rest_contact_of,
    sink_of,
)
from farpress.case.cores import cores_of_run, drawn_from_m
from farpress.case.feeding import AUX
from farpress.case.supply_ends import EFFICIENCY_TAKEN, End, ends_of
from farpress.case.supply_volts import lowest_of, mains_hz
from farpress.case.turned import turned_pair
from farpress.domain.parts import DeviceSheet
from farpress.domain.refs import DeviceRef, ReceiverRef, refs_of

__all__ = ["circuit_of"]

RESISTANCES = frozenset({"resistive", "inductive dc", "coil ac", "lamp"})
"""Kinds of load that draw less at fewer volts."""


def circuit_of(case: Case, premises: str) -> Circuit:
    """The circuit of one premises.

    Raises:
        KeyError: the job has no such premises.
    """
    return case.once_at(_built, premises)


def _built(case: Case, premises: str) -> Circuit:
    shop = Workshop(case, premises)
    outputs = tuple(output for output in case.outputs() if output.premises == premises)
    for name in case.job.premises[premises].supplies:
        _Supply(shop, name, ends_of(case, premises, name)).build()
    add_signals(shop, outputs)
    add_drawn(shop, outputs)
    return Circuit(
        premises,
        mains_hz(case),
        tuple(shop.sources),
        tuple(shop.conductors),
        tuple(shop.joints),
        tuple(shop.contacts.values()),
        tuple(shop.sinks.values()),
        tuple(shop.draws.values()),
        tuple(shop.pull_ups.values()),
        tuple(shop.resistors),
        tuple(shop.branches.values()),
        tuple(shop.diodes),
        {output.path: output.receiver for output in outputs} | _own_relays(shop),
        shop.terminals_of,
        tuple(dict.fromkeys(shop.unknown)),
    )


def _own_relays(shop: Workshop) -> dict[str, str]:
    """Relays of a receiver for signals of its own: it draws more while they are pulled in."""
    return {
        contact.works: contact.works.split("/")[1]
        for contact in shop.contacts.values()
        if contact.name.startswith("signal ")
    }


class _Supply:
    """One supply and everything on it."""

    def __init__(self, shop: Workshop, name: str, ends: tuple[End, ...]) -> None:
        self.shop, self.name, self.ends = shop, name, ends
        sheet = shop.case.equipment.supplies[f"{shop.premises}/{name}"].sheet
        self.is_alternating = sheet.supply == "ac"
        poles = ("~1", "~2") if self.is_alternating else ("+", "0")
        self.plus, self.zero = f"{name}.{poles[0]}", f"{name}.{poles[1]}"
        self.poles = poles
        self.cables = cable_names(ends)

    def build(self) -> None:
        self.shop.sources.append(self._source())
        for end in self.ends:
            self._draw(end)
        for end in self.ends:
            if end.is_drawn:
                continue
            if end.signal:
                self._over_signal(end)
            elif self._is_sunk(end):
                self._over_collector(end)
            elif end.panel_output is not None:
                self._from_panel(end, *end.panel_output)
        turned = [end for end in self.ends if self._is_turned(end)]
        self._turn(turned)
        for group in return_groups(self.ends):
            plain = [
                end
                for end in group
                if end not in turned
                and not self._is_sunk(end)
                and end.panel_output is None
                and not end.is_drawn
                and not end.signal
            ]
            if plain:
                self._group(plain)

    def _source(self) -> SupplySource:
        path = f"{self.shop.premises}/{self.name}"
        part, battery = self.shop.case.equipment.supplies[path], self.shop.case.equipment.batteries.get(path)
        sheet, lowest = part.sheet, lowest_of(part, battery)
        inside = sheet.source_ohm or 0.0
        if lowest is None:
            self.shop.unknown.append(NotKnown(self.name, "its volts"))
        highest = sheet.voltage_max_v or sheet.voltage_v or (lowest.volts if lowest else None)
        rated = sheet.voltage_v or (lowest.volts if lowest else None)
        given = self.shop.case.job.premises[self.shop.premises].supplies[self.name].voltage_v
        full = battery.sheet.voltage_v if battery is not None else None
        return SupplySource(
            self.name,
            self.plus,
            self.zero,
            self.is_alternating,
            None if lowest is None else SourceVolts(lowest.volts, lowest.source_ohm),
            None if rated is None else SourceVolts(rated, inside),
            None if highest is None else SourceVolts(highest, 0.0),
            None if full is None else SourceVolts(full, battery.sheet.inner_ohm or 0.0 if battery else 0.0),
            sheet.fuse_a,
            sheet.rated_a,
            None if battery is not None or self.is_alternating else sheet.limit_a,
            sheet.folds_to_a if (sheet.folds_to_a or 0.0) <= (sheet.limit_a or 0.0) else None,
            sheet.rectifier if given is None else None,
            sheet.smoothing_f,
            sheet.efficiency_share or EFFICIENCY_TAKEN,
            self.shop.case.job.premises[self.shop.premises].supplies[self.name].other_load_a or 0.0,
        )

    def terminals(self, end: End) -> tuple[Terminal, Terminal]:
        """The two terminals of an end, the live one first."""
        if end.is_coil and end.at is not None:
            relay = f"{end.at.receiver}.{end.at.number} relay"
            return f"{relay}.A1", f"{relay}.A2"
        live = self.poles[0]
        if end.gives:
            return f"{end.gives}.in {live}", f"{end.gives}.in {self.poles[1]}"
        if end.at is not None:
            live = _live(self.shop.case, end, live)
        name = self.shop.thing(end.subjects[0].path.partition("/")[2], end.subjects[0].kind)
        if end.at is not None and self._is_turned(end):
            ends = f"{name}.{self.poles[0]}", f"{name}.{self.poles[1]}"
            pair = turned_pair(self.shop.case, end.at)
            return ends if pair is None or end.at.path == pair.ahead.path else ends[::-1]
        return f"{name}.{live}", f"{name}.{self.poles[1]}"

    def _draw(self, end: End) -> None:
        plus, zero = self.terminals(end)
        behind = self._behind(end)
        if end.ask:
            self.shop.unknown.append(NotKnown(end.who, end.ask))
        drawn = self.shop.draws.get(plus)
        others: tuple[str, ...] = ()
        if drawn is not None:  # worked by a second output, or fed by a second supply
            others = tuple(name for name in (*drawn.or_supplies, self.name) if name != drawn.supply)
            behind = tuple(dict.fromkeys((*drawn.behind, *behind)))
        worked = () if end.at is not None else _worked_by(self.shop.case, end)
        device = next(iter(refs_of(DeviceRef, end.subjects)), None)
        sheet = self.shop.case.equipment.devices[device.path].sheet if device is not None else None
        self.shop.draws[plus] = Draw(
            f"load {plus}",
            plus,
            zero,
            drawn.end if drawn is not None else end,
            drawn.supply if drawn is not None else self.name,
            behind,
            worked,
            is_panels=sheet is not None
            and end.at is None
            and not worked
            and sheet.load != "input"
            and sheet.supply != "potential-free",
            sounds=sheet is not None and end.at is None and self._sounds(end, device, sheet),
            is_resistance=end.is_coil or (sheet is not None and _is_resistance(sheet)),
            or_supplies=others,
            is_turned=self._is_turned(end),
        )
        self._across(end, plus, zero)
        self.shop.terminals_of[self.name, end.name] = (plus, zero, f"load {plus}")

    def _sounds(self, end: End, device: DeviceRef | None, sheet: DeviceSheet) -> bool:
        """Whether a panel may let it have its current in alarm: what it feeds, what can be heard or seen, and
        a device of which nobody says what it is.
        """
        kind = sheet.traits
        tells = kind.makes_sound or kind.gives_light or kind.calls_help or kind.is_unsaid
        if device is None or end.signal or not (tells or sheet.device is None):
            return end.panel_output is not None and not end.signal
        return True

    def _across(self, end: End, plus: Terminal, zero: Terminal) -> None:
        """The diode that takes the voltage of a coil when its contact opens: it blocks while all is well."""
        if end.at is None or end.at.output.suppression != "diode" or self.is_alternating:
            return
        if end.is_coil or not end.at.output.via:
            diode = OneWay(f"diode across {plus}", zero, plus, is_across=True)
            if diode not in self.shop.diodes:
                self.shop.diodes.append(diode)

    def _behind(self, end: End) -> tuple[str, ...]:
        if end.panel_output is not None and end.panel_output[1] != AUX:
            return (f"{self._form(*end.panel_output)} {'.'.join(end.panel_output)}",)
        if end.signal:
            return (f"signal {end.signal}",)
        if end.at is None:
            return ()
        if self._is_sunk(end):
            return (f"sink {end.at.path}",)
        if end.is_coil or not end.at.output.via:
            return (f"contact {end.at.path}",)
        return (f"contact of relay {end.at.path}",)

    def _is_turned(self, end: End) -> bool:
        """Whether it is one direction of a motor whose two cores are changed over."""
        if end.at is None or end.is_coil:
            return False
        pair = turned_pair(self.shop.case, end.at)
        return pair is not None and end.subjects[0].path.partition("/")[2] in pair.devices

    def _turn(self, ends: list[End]) -> None:
        """A core from the common of each of two changeover contacts; the motors of a pair side by side."""
        first: dict[str, tuple[Terminal, Terminal]] = {}
        for end in ends:
            pair = turned_pair(self.shop.case, end.at) if end.at is not None else None
            if pair is None or end.at is None:
                continue
            live, back = self._tap(end)
            contact = contact_of(self.shop, end.at, of_relay=False)
            self.shop.join(live, contact.b)
            rest = rest_contact_of(self.shop, end.at)
            self.shop.join(back, rest.b)
            plus, zero = self.terminals(end)
            if end.at.path != pair.ahead.path:
                continue
            if end.at.path in first:
                self.shop.join(first[end.at.path][0], plus)
                self.shop.join(first[end.at.path][1], zero)
                continue
            first[end.at.path] = plus, zero
            far = contact_of(self.shop, pair.back, of_relay=False)
            self._conduct(end, "out", contact.a, plus, _length(end))
            self._conduct(end, "back", zero, far.a, _length(end))

    def _is_sunk(self, end: End) -> bool:
        """Whether a transistor of the receiver carries its current, down to the receiver's own 0 V."""
        return (
            end.at is not None and is_collector(self.shop, end.at) and (end.is_coil or not end.at.output.via)
        )

    def _over_collector(self, end: End) -> None:
        assert end.at is not None
        sink = sink_of(self.shop, end.at)
        plus, zero = self.terminals(end)
        if end.is_coil and end.run_path[-2:] == ("fed", "cable"):
            self.shop.join(f"{end.at.receiver}.{self.poles[0]}", plus)
            self.shop.join(zero, sink.collector)
            return
        self._conduct(end, "out", self._tap(end)[0], plus, _length(end))
        self._conduct(end, "back", zero, sink.collector, _length(end))

    def _over_signal(self, end: End) -> None:
        """A lamp or sounder that a signal of a receiver switches: its plus, or its way back."""
        worker = signal_worker(self.shop, end.signal)
        (plus, zero), (live, back) = self.terminals(end), self._tap(end)
        if isinstance(worker, Sink):
            self._conduct(end, "out", live, plus, _length(end))
            self._conduct(end, "back", zero, worker.collector, _length(end))
            return
        self.shop.join(live, worker.a)
        self._conduct(end, "out", worker.b, plus, _length(end))
        self._conduct(end, "back", zero, back, _length(end))

    def _form(self, panel: str, output: str) -> str:
        """What an output of a panel is; a transistor where nobody says, which is the weaker."""
        sheet = self.shop.case.equipment.panels[f"{self.shop.premises}/{panel}"].sheet
        entry = (sheet.outputs or {}).get(output)
        return "contact" if entry is not None and entry.form == "relay" else "sink"

    def _from_panel(self, end: End, panel: str, output: str) -> None:
        """What a panel feeds: its auxiliary output is a tap of its own supply, another output switches it."""
        plus, zero = self.terminals(end)
        live, back = f"{panel}.{AUX}.+", f"{panel}.{AUX}.0"
        self.shop.join(f"{panel}.+", live)
        self.shop.join(f"{panel}.0", back)
        if output != AUX and self._form(panel, output) == "contact":
            contact = panel_contact(self.shop, panel, output)
            self.shop.join(live, contact.b)
            live = contact.a
        elif output != AUX:
            back = panel_sink(self.shop, panel, output).collector
        self._conduct(end, "out", live, plus, _length(end))
        self._conduct(end, "back", zero, back, _length(end))

    def _group(self, group: list[End]) -> None:
        """Ends whose return cores are one: the trunk, cut where the others join it, and each way out."""
        firsts = {self.cables[end.name]: end for end in reversed(group)}
        owner = next(
            (self.cables[end.name] for end in group if return_partner(self.ends, end) is None),
            self.cables[group[0].name],
        )
        trunk_m = _length(firsts[owner])
        joins = {
            name: trunk_m if name == owner else min(_shared(end, trunk_m), trunk_m, _length(end))
            for name, end in firsts.items()
        }
        owners = firsts[owner]
        points = self._trunk(owners, trunk_m, sorted(set(joins.values())))
        for name, end in firsts.items():
            if name != owner:
                back, apart_m = self.terminals(end)[1], _length(end) - joins[name]
                self._conduct(end, "back", back, points[joins[name]], apart_m)
            self._way_out(end, joins[name])
        for end in group:
            first = firsts[self.cables[end.name]]
            if end is not first:
                self._beside(end, first)

    def _trunk(self, owner: End, trunk_m: float, metres: Iterable[float]) -> dict[float, Terminal]:
        """Where others join a return core: metres from the supply → terminal."""
        points: dict[float, Terminal] = {}
        below, below_m = self._tap(owner)[1], 0.0
        for join_m in metres:
            at_end = join_m == trunk_m
            points[join_m] = self.terminals(owner)[1] if at_end else f"{owner.who} back at {join_m:g} m"
            piece = "back" if at_end else f"back, {below_m:g} to {join_m:g} m,"
            self._conduct(owner, piece, points[join_m], below, join_m - below_m)
            below, below_m = points[join_m], join_m
        return points

    def _way_out(self, end: End, shared_m: float) -> None:
        plus = self.terminals(end)[0]
        start, length = self._tap(end)[0], _length(end)
        if end.at is not None:
            contact = self._contact(end, end.at)
            start, live = contact.b, start
            partner = return_partner(self.ends, end)
            if partner is not None and _same_core(end, partner):
                live, length = self.terminals(partner)[0], length - shared_m
            self.shop.join(live, contact.a)
        self._conduct(end, "out", start, plus, length)

    def _tap(self, end: End) -> tuple[Terminal, Terminal]:
        """Where an end leaves the supply: at its own terminals, or at those of a branch."""
        if not end.branch:
            return self.plus, self.zero
        return self.shop.tap(self.name, end.branch)

    def _contact(self, end: End, output: OutputAt) -> ClosingContact:
        is_relays = bool(output.output.via) and not end.is_coil
        return contact_of(self.shop, output, of_relay=is_relays)

    def _beside(self, end: End, first: End) -> None:
        """A second thing on one cable: beside the first, or a coil beside its receiver."""
        plus, zero = self.terminals(end)
        first_plus, first_zero = self.terminals(first)
        if end.is_coil and end.at is not None and first.at is not end.at:
            contact = self._contact(end, end.at)
            self.shop.join(first_plus, contact.a)
            self.shop.join(contact.b, plus)
        else:
            self.shop.join(first_plus, plus)
        self.shop.join(first_zero, zero)

    def _conduct(self, end: End, way: str, a: Terminal, b: Terminal, length_m: float) -> None:
        names, _ = cores_of_run(end.run)
        core = names[0] if way == "out" else names[1]
        self.shop.conduct(f"{self.name} to {end.name}, {way}", a, b, end.run, end.run_path, length_m, core)


def _is_resistance(sheet: DeviceSheet) -> bool:
    """Whether it draws less at fewer volts; something with a coil that a meter reads does."""
    return sheet.load in RESISTANCES or (sheet.load is None and sheet.coil_ohm is not None)


def _length(end: End) -> float:
    return 0.0 if end.run is None else drawn_from_m(end.run, end.pieces)


def _shared(end: End, trunk_m: float) -> float:
    """How far from the supply a guest uses another's return core [m]."""
    return end.run.shared_m if end.run is not None and end.run.shared_m is not None else trunk_m


def _same_core(end: End, partner: End) -> bool:
    """Whether the live core of an end is that of its receiver too: both name the same one, on one cable."""
    if not partner.is_receiver or end.at is None or end.is_coil:
        return False
    mine, theirs = cores_of_run(end.run), cores_of_run(partner.run)
    is_own = ReceiverRef(end.at.receiver_path) in partner.subjects
    return is_own and mine[1] and theirs[1] and mine[0][0] == theirs[0][0]


def _live(case: Case, end: End, pole: str) -> str:
    """The live terminal of a device over a contact: its input's name where outputs work several of them."""
    assert end.at is not None
    device = next(iter(refs_of(DeviceRef, end.subjects)))
    worked = {
        works.partition(".")[2]
        for output in case.outputs()
        if output.premises == end.at.premises and output.output.load_from
        for works in output.works
        if works.partition(".")[0] == device.name
    }
    mine = next((works for works in end.at.works if works.partition(".")[0] == device.name), "")
    return mine.partition(".")[2] or pole if len(worked) > 1 else pole


def _worked_by(case: Case, end: End) -> tuple[str, ...]:
    """Outputs that work something which is fed directly."""
    devices = {ref.path for ref in refs_of(DeviceRef, end.subjects)}
    return tuple(
        output.path
        for output in case.outputs()
        if any(f"{output.premises}/{works.partition('.')[0]}" in devices for works in output.works)
    )
