"""What the circuit of a premises is made of: conductors, contacts, supplies, loads and inputs, each between
named terminals.

Plain values without a state: what is on is said in `states`, what flows then in `solved`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from typing import Final

from farpress.case.supply_ends import End
from farpress.core.wiring.circuit_checks import NodeGroups
from farpress.core.wiring.conductors import heated_resistance_ohm_per_km
from farpress.core.wiring.elements import Diode, diode_that_leaves

__all__ = [
    "Circuit",
    "ClosingContact",
    "Conductor",
    "Draw",
    "EndOfLine",
    "FusedBranch",
    "Joint",
    "NotKnown",
    "OneWay",
    "PullUp",
    "Sink",
    "SourceVolts",
    "SupplySource",
    "Terminal",
]

Terminal = str
"""A terminal by its name at the premises: "R1.2.make", "main.+", "panel.zone 3"."""

PathKeys = tuple[str | int, ...]
"""Keys that lead to a cable in the job file."""

UNKNOWN_OHM: Final = 1000.0
"""Of a load of which nothing is known: it gives an open terminal the potential of the other side [ohm]."""


@dataclass(frozen=True)
class Conductor:
    """One core of a cable, or the piece of it between two joints.

    Attributes:
        name: unlike any other.
        a, b: its terminals, the near one first.
        cold_ohm_per_km: at 20 degC, at most [ohm/km].
        length_m: of the piece [m].
        hot_degc: of its copper in the worst case [degC].
        part: name of the cable; empty where it is not described.
        run_path: keys that lead to the cable in the job file.
        core: colour or number, as the job names it or as it is counted.
    """

    name: str
    a: Terminal
    b: Terminal
    cold_ohm_per_km: float
    length_m: float
    hot_degc: float
    part: str
    run_path: PathKeys
    core: str

    def ohm(self, degc: float) -> float:
        """Its resistance at a temperature [ohm]."""
        return _heated_ohm_per_km(self.cold_ohm_per_km, degc) * self.length_m / 1000


@lru_cache(maxsize=256)
def _heated_ohm_per_km(cold_ohm_per_km: float, degc: float) -> float:
    return heated_resistance_ohm_per_km(resistance_20_ohm_per_km=cold_ohm_per_km, temperature_degc=degc)


@dataclass(frozen=True)
class Joint:
    """Two terminals joined without resistance: a link in a housing, or a way whose cable nobody describes."""

    a: Terminal
    b: Terminal


@dataclass(frozen=True)
class ClosingContact:
    """A contact that an output works.

    Attributes:
        name: unlike any other.
        a, b: its terminals.
        works: the output that works it: "larkfen/R1/2" of a receiver, "panel.set" of a panel.
        closed_at_rest: a break contact.
    """

    name: str
    a: Terminal
    b: Terminal
    works: str
    closed_at_rest: bool = False


@dataclass(frozen=True)
class Sink:
    """A transistor output: pulls down to the 0 V of its own box, and leaves some volts.

    Attributes:
        name: unlike any other.
        collector, zero: its terminals.
        works: the output it is, as of a contact.
        saturation_v: left across it [V].
        closed_at_rest: no transistor output is.
    """

    name: str
    collector: Terminal
    zero: Terminal
    works: str
    saturation_v: float
    closed_at_rest: bool = False


@dataclass(frozen=True)
class SourceVolts:
    """Volts of a supply behind a resistance [V], [ohm]."""

    volts: float
    ohm: float


@dataclass(frozen=True)
class SupplySource:
    """A supply.

    Attributes:
        name: at the premises.
        plus, zero: its terminals.
        is_alternating: a transformer.
        lowest, rated, highest: its volts; None where they are not known.
        full: of its battery, charged; None where it has none or its volts are not known.
        fuse_a, rated_a: of it; None if unknown [A].
        limit_a: to which its electronics hold it; None where nothing does, or where nobody says [A].
        folds_to_a: what is left of that into a short; None: all of it [A].
        rectifier: "bridge" or "half-wave" where it makes its direct current of a transformer's, with
        smoothing_f: the capacitor behind it [F].
        efficiency: of a converter that is fed from another supply.
        beside_a: what things that are not drawn in the job take from it, all the time [A].
    """

    name: str
    plus: Terminal
    zero: Terminal
    is_alternating: bool
    lowest: SourceVolts | None
    rated: SourceVolts | None
    highest: SourceVolts | None
    full: SourceVolts | None = None
    fuse_a: float | None = None
    rated_a: float | None = None
    limit_a: float | None = None
    folds_to_a: float | None = None
    rectifier: str | None = None
    smoothing_f: float | None = None
    efficiency: float = 1.0
    beside_a: float = 0.0


@dataclass(frozen=True)
class Draw:
    """A load between two terminals.

    Attributes:
        name: unlike any other.
        a, b: its terminals, the live one first.
        end: what it is, with what it draws.
        supply: that feeds it, directly or over a contact.
        behind: contacts and sinks through one of which it is fed; empty: it is fed directly.
        worked_by: outputs that make a load which is fed directly draw its full current.
        is_panels: it is fed directly and nobody's output works it: it may work at any time.
        sounds: a panel may let it have its full current in alarm.
        is_resistance: at fewer volts it draws less: a coil, a heater, a lamp.
        or_supplies: further supplies that feed it, each over a diode.
        is_turned: a motor whose two terminals are changed over for its other direction.
    """

    name: str
    a: Terminal
    b: Terminal
    end: End
    supply: str
    behind: tuple[str, ...] = ()
    worked_by: tuple[str, ...] = ()
    is_panels: bool = False
    sounds: bool = False
    is_resistance: bool = False
    or_supplies: tuple[str, ...] = ()
    is_turned: bool = False

    @property
    def supplies(self) -> tuple[str, ...]:
        """Every supply that feeds it."""
        return (self.supply, *self.or_supplies)

    @property
    def ohm(self) -> float | None:
        """Of its label, cold [ohm]; None where its label does not say both volts and amperes."""
        if not self.end.nominal_v or not self.end.amperes:
            return None
        return self.end.nominal_v / self.end.amperes

    @property
    def coil_ohm(self) -> float | None:
        """Of its coils as a meter reads them, all pieces, and no more than its label says [ohm]; None where
        nobody read it, or it is no coil.
        """
        if self.end.coil_ohm is None or not self.is_resistance:
            return None
        read = self.end.coil_ohm / self.end.pieces
        return read if self.ohm is None else min(read, self.ohm)


@dataclass(frozen=True)
class PullUp:
    """A voltage behind a resistor that a box puts on an input of its own.

    Attributes:
        name: unlike any other.
        live, common: terminals of the input.
        volts, ohm: open, and of the resistor [V], [ohm].
        low_v: up to which it counts as tied to its common; None if unknown [V].
    """

    name: str
    live: Terminal
    common: Terminal
    volts: float
    ohm: float
    low_v: float | None = None


@dataclass(frozen=True)
class EndOfLine:
    """A resistor of a supervised loop, at its place [ohm]."""

    name: str
    a: Terminal
    b: Terminal
    ohm: float


@dataclass(frozen=True)
class FusedBranch:
    """A way out of a supply with a fuse of its own.

    Attributes:
        name: unlike any other.
        a, b: the supply's terminal and the branch's.
        fuse_a: None if unknown [A].
    """

    name: str
    a: Terminal
    b: Terminal
    fuse_a: float | None = None


@dataclass(frozen=True)
class OneWay:
    """A diode, from its anode to its cathode.

    Attributes:
        name: unlike any other.
        a, b: anode and cathode.
        left_v: at 1 A; None: those of a silicon rectifier [V].
        is_across: it lies across a load and blocks while all is well: what takes a coil's voltage.
    """

    name: str
    a: Terminal
    b: Terminal
    left_v: float | None = None
    is_across: bool = False

    def element(self, a: str, b: str) -> Diode:
        """As it is solved, between two nodes."""
        return (
            Diode(self.name, a, b) if self.left_v is None else diode_that_leaves(self.name, a, b, self.left_v)
        )


@dataclass(frozen=True)
class NotKnown:
    """Something of the circuit that nobody says: what, of which thing."""

    thing: str
    says: str


@dataclass(frozen=True)
class Circuit:
    """The circuit of one premises.

    Attributes:
        premises: its name.
        frequency_hz: of the mains there [Hz].
        outputs: path of every output of a receiver there → the receiver's name.
        terminals_of: supply and name of an end on it → its two terminals and the load between them.
        unknown: what is missing in it.
    """

    premises: str
    frequency_hz: float
    sources: tuple[SupplySource, ...]
    conductors: tuple[Conductor, ...]
    joints: tuple[Joint, ...]
    contacts: tuple[ClosingContact, ...]
    sinks: tuple[Sink, ...]
    draws: tuple[Draw, ...]
    pull_ups: tuple[PullUp, ...]
    resistors: tuple[EndOfLine, ...]
    branches: tuple[FusedBranch, ...]
    diodes: tuple[OneWay, ...]
    outputs: dict[str, str] = field(hash=False)
    terminals_of: dict[tuple[str, str], tuple[Terminal, Terminal, str]] = field(hash=False)
    unknown: tuple[NotKnown, ...] = ()

    @cached_property
    def node_of(self) -> dict[Terminal, str]:
        """Terminal → node: terminals that are joined share the first one's name, a supply's before others."""
        heads = NodeGroups(self._terminals())
        for joint in self.joints:
            heads.join(joint.b, joint.a)
        groups: dict[str, list[str]] = {}
        for terminal in dict.fromkeys(self._terminals()):
            groups.setdefault(heads.head(terminal), []).append(terminal)
        mine = {end for source in self.sources for end in (source.plus, source.zero)}
        named: dict[str, str] = {}
        for members in groups.values():
            best = next((member for member in members if member in mine), members[0])
            named |= dict.fromkeys(members, best)
        return named

    @cached_property
    def joined(self) -> dict[str, tuple[Terminal, ...]]:
        """Node → every terminal on it."""
        found: dict[str, list[Terminal]] = {}
        for terminal, node in self.node_of.items():
            found.setdefault(node, []).append(terminal)
        return {node: tuple(terminals) for node, terminals in found.items()}

    @cached_property
    def draw_named(self) -> dict[str, Draw]:
        """Loads by their names."""
        return {draw.name: draw for draw in self.draws}

    @property
    def workers(self) -> tuple[ClosingContact | Sink, ...]:
        """Every contact and transistor that an output works."""
        return (*self.contacts, *self.sinks)

    def source(self, name: str) -> SupplySource:
        """A supply by its name.

        Raises:
            KeyError: there is none of this name.
        """
        return next(source for source in self.sources if source.name == name)

    def on_supply(self, supply: str) -> tuple[Draw, ...]:
        """Loads of one supply, in the order of the job."""
        return tuple(draw for draw in self.draws if supply in draw.supplies)

    @cached_property
    def rivals(self) -> dict[str, frozenset[str]]:
        """Supply → those that feed something of its over a diode as well: each must do it alone."""
        found: dict[str, set[str]] = {source.name: set() for source in self.sources}
        for draw in self.draws:
            for supply in draw.supplies if draw.or_supplies else ():
                found[supply] |= {other for other in draw.supplies if other != supply}
        return {supply: frozenset(others) for supply, others in found.items()}

    def with_start(self, draw: str, amperes: float, supply: str, ohm: float) -> Circuit:
        """The same circuit while a load takes its peak and its supply stands behind a resistance of its own.

        Args:
            draw: name of the load.
            amperes: its peak [A].
            supply: that it hangs on.
            ohm: what stands before the lowest volts of that supply [ohm].
        """
        draws = tuple(
            replace(load, end=replace(load.end, amperes=amperes, rest_a=amperes, watts=None, nominal_v=None))
            if load.name == draw
            else load
            for load in self.draws
        )
        sources = tuple(
            replace(source, lowest=SourceVolts(source.lowest.volts, ohm))
            if source.name == supply and source.lowest is not None
            else source
            for source in self.sources
        )
        return replace(self, draws=draws, sources=sources)

    def with_cable(self, run_path: PathKeys, cold_ohm_per_km: float) -> Circuit:
        """The same circuit with another cable on one way."""
        changed = tuple(
            replace(core, cold_ohm_per_km=cold_ohm_per_km) if core.run_path == run_path else core
            for core in self.conductors
        )
        return replace(self, conductors=changed)

    def _terminals(self) -> Iterator[Terminal]:
        for source in self.sources:
            yield from (source.plus, source.zero)
        for row in (
            self.conductors,
            self.joints,
            self.contacts,
            self.draws,
            self.resistors,
            self.branches,
            self.diodes,
        ):
            for part in row:
                yield from (part.a, part.b)
        for sink in self.sinks:
            yield from (sink.collector, sink.zero)
        for pull in self.pull_ups:
            yield from (pull.live, pull.common)
