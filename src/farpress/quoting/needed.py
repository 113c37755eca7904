"""What a job needs, piece by piece: a part or a task, how much of it, where, and which outputs it serves."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Literal

__all__ = ["TASKS", "NeededItem", "PartUnit", "WorkTask", "serves_only"]

PartUnit = Literal["piece", "m"]
"""What a part is counted in."""


@dataclass(frozen=True)
class WorkTask:
    """A kind of work that takes the firm's minutes.

    Attributes:
        unit: what its minutes count for.
        says: what is done.
    """

    unit: PartUnit
    says: str


TASKS: Final[dict[str, WorkTask]] = {
    "mount receiver": WorkTask("piece", "a receiver fixed, its supply connected"),
    "mount supply": WorkTask("piece", "a power supply or transformer fixed, its low-voltage side connected"),
    "fit battery": WorkTask("piece", "a standby battery put in and dated"),
    "mount aerial": WorkTask("piece", "an aerial fixed"),
    "mount device": WorkTask("piece", "a driven device that the firm delivers"),
    "mount panel": WorkTask("piece", "an alarm panel that the firm delivers"),
    "mount box": WorkTask("piece", "a junction box fixed"),
    "make hole": WorkTask("piece", "a hole through a wall or slab, and its sealing"),
    "lay cable": WorkTask("m", "cable laid and fixed"),
    "lay coax": WorkTask("m", "coaxial cable laid and fixed"),
    "end coax": WorkTask("piece", "a plug fitted to a coaxial cable"),
    "connect core": WorkTask("piece", "one end of one core stripped and put under its terminal"),
    "fit relay": WorkTask("piece", "a relay or contactor fixed"),
    "fit small part": WorkTask("piece", "a diode, resistor, fuse, varistor or limiter put in"),
    "label cable": WorkTask("piece", "a label on one end of a cable"),
    "label fob": WorkTask("piece", "a label on a fob"),
    "set output": WorkTask("piece", "kind and time of an output set, and tried at the receiver"),
    "learn fob": WorkTask("piece", "one fob learned into one receiver"),
    "try": WorkTask("piece", "one trial of the proving plan"),
    "show group": WorkTask("piece", "a group of people shown what their buttons do"),
    "write papers": WorkTask("piece", "the papers of the job"),
}
"""Name of a task as the firm's norms have it → what it is."""


@dataclass(frozen=True)
class NeededItem:
    """So much of a part, or of a task, at one place.

    Attributes:
        name: of the part, as the job has it, or of the task.
        amount: pieces or metres.
        premises: where; empty for the whole job.
        place: the thing it is for, as "R1/2" or "W3, R1 to gate".
        serves: paths of the outputs it is for; empty where it is for all.
        says: what the part is, in words.
        task: the task that puts a part in place; what comes along is needed on the same visit.
        unit: what it is counted in.
        is_task: it is work, and no part.
    """

    name: str
    amount: Decimal
    premises: str
    place: str
    serves: frozenset[str] = frozenset()
    says: str = ""
    task: str = ""
    unit: PartUnit = "piece"
    is_task: bool = False


def serves_only(needed: NeededItem, outputs: Collection[str]) -> bool:
    """Whether it is for nothing but some of these outputs."""
    return bool(needed.serves) and needed.serves <= set(outputs)
