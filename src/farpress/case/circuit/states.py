"""What is on: decided here once, for drop, fuse, load, standby and energy alike.

A moment says which outputs are on and what the panel does; a level says at how many volts and how warm; a
state is both. What stays on by itself (a toggle, a latch, a pulse of a minute or more) is taken to be on
already when a button is pressed. That all short pulses meet in the same second is possible, and is a moment
of its own.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

from farpress.case.case import Case, OutputAt
from farpress.case.circuit.parts import Circuit, Draw
from farpress.case.cores import COLD_DEGC
from farpress.case.supply_ends import mirror_of

__all__ = [
    "AS_READ",
    "BATTERY_FULL",
    "EVERYTHING",
    "HIGHEST",
    "LABELS",
    "LASTING_S",
    "LOWEST",
    "REST",
    "CircuitState",
    "Moment",
    "SupplyLevel",
    "drawn_a",
    "is_on",
    "moments_of",
    "states_of",
]

LASTING_S: Final = 60.0
"""A pulse of this length or more may well be running when the next button is pressed [s]; our choice."""

REST: Final = "at rest"
EVERYTHING: Final = "everything on"


@dataclass(frozen=True)
class Moment:
    """What is on.

    Attributes:
        name: "at rest", "everything on", "alarm", or the name of a function that is pressed.
        on: paths of the outputs that are on; a break contact is open while its output is on.
        signals: outputs of the panel are on.
        alarm: what the panel works by itself is on: sirens, bells, beacons.
        is_open: loads behind a contact draw nothing yet, though it is closed.
        function: the function that is pressed; empty for none.
    """

    name: str
    on: frozenset[str] = frozenset()
    signals: bool = True
    alarm: bool = False
    is_open: bool = False
    function: str = ""


@dataclass(frozen=True)
class SupplyLevel:
    """At how many volts, how warm, and how loads draw.

    Attributes:
        name: in words.
        volts: which volts of each supply.
        degc: of all copper; None for each core as warm as it may become [degC].
        is_label: every load draws the current of its label, which is the worst; else coils, heaters and lamps
            draw less at fewer volts, as a meter finds them.
        scale: of all resistances.
    """

    name: str
    volts: Literal["lowest", "rated", "highest", "full"]
    degc: float | None
    is_label: bool = True
    scale: float = 1.0


AS_READ: Final = SupplyLevel("as a meter reads it, at rated volts and 20 °C", "rated", 20.0, is_label=False)
LOWEST: Final = SupplyLevel("lowest volts, cores hot", "lowest", None)
LABELS: Final = SupplyLevel("rated volts, hardly anything lost on the way", "rated", 20.0, scale=0.01)
"""For the load of a supply: what a starved load would draw once its cable is mended counts."""

HIGHEST: Final = SupplyLevel("highest volts, cores cold", "highest", COLD_DEGC)
BATTERY_FULL: Final = SupplyLevel("mains off, battery full", "full", 20.0, is_label=False)
BATTERY_END: Final = SupplyLevel("mains off, battery at its end, 20 °C", "lowest", 20.0, is_label=False)


@dataclass(frozen=True)
class CircuitState:
    """A moment at a level."""

    moment: Moment
    level: SupplyLevel

    @property
    def name(self) -> str:
        """As it is called in tables and files."""
        return f"{self.moment.name}, {self.level.name}"


def states_of(moments: Iterable[Moment], circuit: Circuit) -> tuple[CircuitState, ...]:
    """Every named state: each moment as a meter reads it and at the lowest volts; at rest at the highest; at
    rest and in alarm from the battery.
    """
    moments = tuple(moments)
    made = [CircuitState(moment, AS_READ) for moment in moments if not moment.is_open]
    made += [CircuitState(moment, LOWEST) for moment in moments if not moment.is_open]
    made += [CircuitState(moment, HIGHEST) for moment in moments if moment.name == REST or moment.is_open]
    if any(source.full for source in circuit.sources):
        resting = [moment for moment in moments if moment.name in (REST, "alarm")]
        made += [CircuitState(moment, level) for level in (BATTERY_FULL, BATTERY_END) for moment in resting]
    return tuple(made)


def moments_of(case: Case, circuit: Circuit) -> tuple[Moment, ...]:
    """At rest, every function pressed, everything on in each way that excludes another, alarm.

    The first is at rest; the last are those of everything on.
    """
    outputs = tuple(output for output in case.outputs() if output.path in circuit.outputs)
    chooser = _Chooser(circuit, outputs)
    made = [Moment(REST, signals=False)]
    if any("/" not in part.works and not part.works.endswith(".tamper") for part in circuit.workers):
        made.append(Moment("panel's outputs on"))
    if any(draw.is_panels for draw in circuit.draws):
        made.append(Moment("alarm", alarm=True))
    lasting = [output for output in outputs if _lasts(output)]
    for name, function in case.job.functions.items():
        pressed = [output for output in outputs if output.path in function.paths]
        if pressed and function.switches == "off":
            kept = [output for output in lasting if output not in pressed]
            made.append(Moment(name, chooser.fit(kept), function=name))
        elif pressed:
            on = chooser.fit([*chooser.heaviest_first(pressed), *lasting])
            made.append(Moment(name, on, function=name))
    made += chooser.everything()
    made.append(Moment("contacts closed, nothing drawn yet", made[-1].on, is_open=True))
    return tuple(made)


def is_on(works: str, moment: Moment) -> bool:
    """Whether an output is on: one of a receiver by its path, one of a panel by "panel.output"."""
    if "/" in works:
        return works in moment.on
    return moment.signals and not works.endswith(".tamper")


def drawn_a(circuit: Circuit, moment: Moment, draw: Draw) -> float:
    """What a load draws in a moment by its label, where it is fed [A]; unknown currents count as none."""
    end = draw.end
    if end.is_receiver:
        if end.rest_a is None or end.relay_a is None:
            return end.amperes or end.rest_a or 0.0
        name = end.subjects[0].path.partition("/")[2]
        pulled = sum(circuit.outputs[path] == name for path in moment.on if path in circuit.outputs)
        return end.rest_a + pulled * end.relay_a
    if draw.behind:
        return 0.0 if moment.is_open else end.amperes or 0.0
    works = moment.alarm if draw.is_panels else any(path in moment.on for path in draw.worked_by)
    if works and not moment.is_open:
        return max(end.amperes or 0.0, end.rest_a or 0.0)
    return end.rest_a if end.rest_a is not None else end.amperes or 0.0


def _lasts(output: OutputAt) -> bool:
    kind = output.output.traits
    return kind.keeps_state or (kind.wants_length and (output.output.for_s or 0.0) >= LASTING_S)


class _Chooser:
    """Which outputs can be on together."""

    def __init__(self, circuit: Circuit, outputs: tuple[OutputAt, ...]) -> None:
        self.circuit, self.outputs = circuit, outputs
        self.mirror = {output.path: mirror_of(output) for output in outputs}
        contacts = {contact.name: contact for contact in circuit.contacts}
        sinks = {sink.name: sink for sink in circuit.sinks}
        self.fed: dict[str, list[Draw]] = {output.path: [] for output in outputs}
        self.closed_at_rest: set[tuple[str, str]] = set()
        for draw in circuit.draws:
            for name in draw.behind:
                worker = contacts.get(name) or sinks[name]
                if worker.works in self.fed:
                    self.fed[worker.works].append(draw)
                    if name in contacts and contacts[name].closed_at_rest:
                        self.closed_at_rest.add((worker.works, draw.name))
        self.extra = {output.path: self._extra_a(output) for output in outputs}

    def _extra_a(self, output: OutputAt) -> float:
        """What more is drawn with an output on than off [A]; less than nothing for a break contact's load."""
        relay = next(
            (
                draw.end.relay_a or 0.0
                for draw in self.circuit.draws
                if draw.end.is_receiver and draw.end.subjects[0].path == output.receiver_path
            ),
            0.0,
        )
        loads = 0.0
        for draw in self.fed[output.path]:
            sign = -1.0 if (output.path, draw.name) in self.closed_at_rest else 1.0
            loads += sign * (draw.end.amperes or 0.0)
        for draw in self.circuit.draws:
            if output.path in draw.worked_by:
                loads += (draw.end.amperes or 0.0) - (draw.end.rest_a or 0.0)
        return relay + loads

    def heaviest_first(self, outputs: Iterable[OutputAt]) -> list[OutputAt]:
        """In the order of what they draw; equal ones as in the job."""
        return sorted(outputs, key=lambda output: -self.extra[output.path])

    def fit(self, outputs: Iterable[OutputAt]) -> frozenset[str]:
        """One after the other, as far as nothing that was chosen before excludes it."""
        chosen: list[str] = []
        for output in outputs:
            if output.path not in chosen and not any(self._excludes(output.path, other) for other in chosen):
                chosen.append(output.path)
        return frozenset(chosen)

    def _excludes(self, path: str, other: str) -> bool:
        """Interlocked, or two directions of one device."""
        if self.mirror[path] and self.mirror[path] == self.mirror[other]:
            return True
        mine, theirs = self.fed[path], self.fed[other]
        return any(
            draw.end.subjects[0] == another.end.subjects[0] and draw.name != another.name
            for draw in mine
            for another in theirs
            if not draw.end.is_coil and not another.end.is_coil
        )

    def everything(self) -> list[Moment]:
        """Everything that can be on together; then once more for each load that is left out or has a second
        way to it.
        """
        drawing = [output for output in self.outputs if self.extra[output.path] >= 0]
        whole = self.fit(self.heaviest_first(drawing))
        made = [Moment(EVERYTHING, whole, alarm=True)]
        for output in self.outputs:
            for draw in self.fed[output.path]:
                rest = (output.path, draw.name) in self.closed_at_rest
                others = {
                    other.path
                    for other in self.outputs
                    if other.path != output.path and draw in self.fed[other.path]
                }
                is_fed = (output.path in whole) != rest
                if is_fed and not others & whole:
                    continue
                first = [] if rest else [output]
                kept = [other for other in self.heaviest_first(drawing) if other.path not in others]
                if rest:
                    kept = [other for other in kept if other.path != output.path]
                name = f"{EVERYTHING}, with {output.receiver}/{output.number}"
                moment = Moment(name, self.fit([*first, *kept]), alarm=True)
                if moment.on not in {known.on for known in made}:
                    made.append(moment)
        return made
