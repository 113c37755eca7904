"""What is on: decided here once, for drop, fuse, load, standby and energy alike.

A moment says which outputs are on and what the panel does; a level says at how many volts and how warm; a
state is both. Which moments there are, and which outputs are on in them, is said in `moments`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final, Literal

from farpress.case.circuit.parts import Circuit, Draw
from farpress.case.cores import COLD_DEGC

__all__ = [
    "AS_READ",
    "A_TENTH_MORE",
    "BATTERY_END",
    "BATTERY_FULL",
    "EVERYTHING",
    "HIGHEST",
    "LABELS",
    "LABELS_HOT",
    "LOWEST",
    "OF_ZONE",
    "RATED",
    "RATED_HOT",
    "REST",
    "CircuitState",
    "Moment",
    "SupplyLevel",
    "drawn_a",
    "is_on",
    "states_of",
]

OF_ZONE: Final = ".zone contact"
"""How what works the contact of a zone ends: a door, a window, a person; no output does."""

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
        directly: everything that is fed directly draws its full current, whatever works it.
        is_open: loads behind a contact draw nothing yet, though it is closed.
        starting: loads that pull in just now.
        function: the function that is pressed; empty for none.
        off: supplies that give nothing.
        opened: a contact of each zone is open.
    """

    name: str
    on: frozenset[str] = frozenset()
    signals: bool = True
    alarm: bool = False
    directly: bool = False
    is_open: bool = False
    starting: frozenset[str] = frozenset()
    function: str = ""
    off: frozenset[str] = frozenset()
    opened: bool = False

    def without(self, supplies: frozenset[str]) -> Moment:
        """The same while some supplies give nothing."""
        if not supplies:
            return self
        return replace(self, name=f"{self.name}, {' and '.join(sorted(supplies))} off", off=supplies)


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
        is_bare_label: loads of constant power too draw the current of their label, however few volts arrive.
        limits: supplies give no more than their electronics let through, and their volts break down.
    """

    name: str
    volts: Literal["lowest", "rated", "highest", "full"]
    degc: float | None
    is_label: bool = True
    scale: float = 1.0
    is_bare_label: bool = False
    limits: bool = False


AS_READ: Final = SupplyLevel(
    "as a meter reads it, at rated volts and 20 °C", "rated", 20.0, is_label=False, limits=True
)
LOWEST: Final = SupplyLevel("lowest volts, cores hot", "lowest", None)
LABELS: Final = SupplyLevel("rated volts, currents of the labels", "rated", 20.0, is_bare_label=True)
"""For the load of a supply: what a starved load would draw once its cable is mended counts."""

RATED_HOT: Final = SupplyLevel("rated volts, cores hot", "rated", None)
RATED: Final = SupplyLevel("rated volts, cores at 20 °C", "rated", 20.0)
A_TENTH_MORE: Final = SupplyLevel("lowest volts, currents and lengths 10 % up", "lowest", None, scale=1.1)
"""A drop is the product of current and length: both up together are the resistance up by the square."""

LABELS_HOT: Final = SupplyLevel("currents of the labels, cores hot", "rated", None, is_bare_label=True)
"""For what the two ends of a 0 V core differ by, which no volts of a supply change."""

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
    rest and in alarm from the battery; where several supplies feed one thing, each of them alone.
    """
    moments = tuple(moments)
    telling = [moment for moment in moments if moment.name in (REST, EVERYTHING)]
    moments = (
        *moments,
        *(moment.without(others) for others in circuit.rivals.values() if others for moment in telling),
    )
    made = [CircuitState(moment, AS_READ) for moment in moments if not moment.is_open]
    made += [CircuitState(moment, LOWEST) for moment in moments if not moment.is_open]
    made += [CircuitState(moment, HIGHEST) for moment in moments if moment.name == REST or moment.is_open]
    if any(source.full for source in circuit.sources):
        resting = [moment for moment in moments if moment.name in (REST, "alarm")]
        made += [CircuitState(moment, level) for level in (BATTERY_FULL, BATTERY_END) for moment in resting]
    return tuple(made)


def is_on(works: str, moment: Moment) -> bool:
    """Whether an output is on: one of a receiver by its path, one of a panel by "panel.output"."""
    if "/" in works:
        return works in moment.on
    if works.endswith(OF_ZONE):
        return moment.opened
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
    if draw.behind and moment.is_open:
        return 0.0
    if draw.name in moment.starting:
        return max(end.pull_in_a or 0.0, end.amperes or 0.0)
    if draw.behind:
        return end.amperes or 0.0
    works = any(path in moment.on for path in draw.worked_by)
    if draw.is_panels:
        works = moment.directly or (moment.alarm and draw.sounds)
    if works and not moment.is_open:
        return max(end.amperes or 0.0, end.rest_a or 0.0)
    return end.rest_a if end.rest_a is not None else end.amperes or 0.0
