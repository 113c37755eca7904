"""Refs: what a finding, a test or an event speaks of, as values with a type instead of text.

A ref prints as the path people know, "larkfen/R1/1". With its kind before it, "output:larkfen/R1/1", it is
written into files, and `ref_from_tag` alone reads that back.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar, Final, TypeVar

__all__ = [
    "REF_KINDS",
    "CableRef",
    "CoreRef",
    "DeviceRef",
    "FobRef",
    "FunctionRef",
    "GroupRef",
    "InputRef",
    "JunctionRef",
    "OutputRef",
    "PanelRef",
    "PaperRef",
    "PersonRef",
    "PlaceRef",
    "PlanRef",
    "PremisesRef",
    "PromiseRef",
    "ReceiverRef",
    "Ref",
    "RuleRef",
    "SupplyRef",
    "ZoneRef",
    "ref_from_tag",
    "refs_of",
]

_R = TypeVar("_R", bound="Ref")


@dataclass(frozen=True, slots=True)
class Ref:
    """One thing of a job.

    Attributes:
        path: its name within the job, with the names of what it is part of before it, "larkfen/R1/1".
    """

    path: str

    kind: ClassVar[str] = ""

    @property
    def tag(self) -> str:
        """Kind and path, "output:larkfen/R1/1": unique within a job."""
        return f"{self.kind}:{self.path}"

    def __str__(self) -> str:
        return self.path

    def __lt__(self, other: Ref) -> bool:
        return self.tag < other.tag

    def _part(self, number: int) -> str:
        parts = self.path.split("/")
        return parts[number] if number < len(parts) else ""


@dataclass(frozen=True, slots=True)
class _AtPremises(Ref):
    """A thing at an address: "premises/name"."""

    @property
    def premises(self) -> PremisesRef:
        """Where it is."""
        return PremisesRef(self._part(0))

    @property
    def name(self) -> str:
        """Its own name, without the premises."""
        return self.path.partition("/")[2]


@dataclass(frozen=True, slots=True)
class PremisesRef(Ref):
    """One address."""

    kind: ClassVar[str] = "premises"


@dataclass(frozen=True, slots=True)
class ReceiverRef(_AtPremises):
    """A receiver, "larkfen/R1"."""

    kind: ClassVar[str] = "receiver"


@dataclass(frozen=True, slots=True)
class OutputRef(_AtPremises):
    """An output of a receiver, "larkfen/R1/1"."""

    kind: ClassVar[str] = "output"

    @property
    def receiver(self) -> ReceiverRef:
        """The receiver it belongs to."""
        return ReceiverRef(f"{self._part(0)}/{self._part(1)}")

    @property
    def number(self) -> str:
        """Which of the receiver's outputs."""
        return self._part(2)


@dataclass(frozen=True, slots=True)
class InputRef(_AtPremises):
    """An input of a receiver, "larkfen/R1/in1"."""

    kind: ClassVar[str] = "input"

    @property
    def receiver(self) -> ReceiverRef:
        """The receiver it belongs to."""
        return ReceiverRef(f"{self._part(0)}/{self._part(1)}")


@dataclass(frozen=True, slots=True)
class DeviceRef(_AtPremises):
    """What is moved or switched, "larkfen/gate"."""

    kind: ClassVar[str] = "device"


@dataclass(frozen=True, slots=True)
class SupplyRef(_AtPremises):
    """A supply, "larkfen/main"."""

    kind: ClassVar[str] = "supply"


@dataclass(frozen=True, slots=True)
class CableRef(_AtPremises):
    """A cable, by its label or by what it leads to, "larkfen/W7"."""

    kind: ClassVar[str] = "cable"


@dataclass(frozen=True, slots=True)
class CoreRef(_AtPremises):
    """A core of a cable, "larkfen/W7/red"."""

    kind: ClassVar[str] = "core"

    @property
    def cable(self) -> CableRef:
        """The cable it lies in."""
        return CableRef(f"{self._part(0)}/{self._part(1)}")


@dataclass(frozen=True, slots=True)
class JunctionRef(_AtPremises):
    """A junction box, "larkfen/J4"."""

    kind: ClassVar[str] = "junction"


@dataclass(frozen=True, slots=True)
class PanelRef(_AtPremises):
    """An alarm panel, "larkfen/alarm"."""

    kind: ClassVar[str] = "panel"


@dataclass(frozen=True, slots=True)
class ZoneRef(_AtPremises):
    """A zone or input of a panel, "larkfen/alarm/set"."""

    kind: ClassVar[str] = "zone"


@dataclass(frozen=True, slots=True)
class PlaceRef(_AtPremises):
    """Where somebody stands who presses, "larkfen/street"."""

    kind: ClassVar[str] = "place"


@dataclass(frozen=True, slots=True)
class PlanRef(_AtPremises):
    """A piece of a plan: a wall, a storey, the whole of it, "larkfen/wall 3"."""

    kind: ClassVar[str] = "plan"


@dataclass(frozen=True, slots=True)
class GroupRef(Ref):
    """People with equal fobs, "parents"."""

    kind: ClassVar[str] = "group"


@dataclass(frozen=True, slots=True)
class PersonRef(Ref):
    """One of them, by name or mark."""

    kind: ClassVar[str] = "person"


@dataclass(frozen=True, slots=True)
class FobRef(Ref):
    """One fob, by its label."""

    kind: ClassVar[str] = "fob"


@dataclass(frozen=True, slots=True)
class FunctionRef(Ref):
    """What a button does, "open gate"."""

    kind: ClassVar[str] = "function"


@dataclass(frozen=True, slots=True)
class PromiseRef(Ref):
    """A promise, "parents: open gate from street"."""

    kind: ClassVar[str] = "promise"


@dataclass(frozen=True, slots=True)
class RuleRef(Ref):
    """A "must never" rule, by its number in the job, "3"."""

    kind: ClassVar[str] = "rule"


@dataclass(frozen=True, slots=True)
class PaperRef(Ref):
    """A paper that has to be there, "machine assessment"."""

    kind: ClassVar[str] = "paper"


REF_KINDS: Final[dict[str, type[Ref]]] = {
    ref.kind: ref
    for ref in (
        PremisesRef,
        ReceiverRef,
        OutputRef,
        InputRef,
        DeviceRef,
        SupplyRef,
        CableRef,
        CoreRef,
        JunctionRef,
        PanelRef,
        ZoneRef,
        PlaceRef,
        PlanRef,
        GroupRef,
        PersonRef,
        FobRef,
        FunctionRef,
        PromiseRef,
        RuleRef,
        PaperRef,
    )
}
"""Every kind of ref by the word before its path."""


def ref_from_tag(tag: str) -> Ref:
    """Read a ref as `Ref.tag` writes it.

    Raises:
        ValueError: there is no such kind.

    Example:
        >>> ref_from_tag("output:larkfen/R1/10").receiver
        ReceiverRef(path='larkfen/R1')
    """
    kind, colon, path = tag.partition(":")
    if not colon or kind not in REF_KINDS:
        raise ValueError(f"{tag!r} names no kind of thing; there are {', '.join(sorted(REF_KINDS))}")
    return REF_KINDS[kind](path)


def refs_of(kind: type[_R], refs: Iterable[Ref]) -> tuple[_R, ...]:
    """The refs of one kind among several, in their order."""
    return tuple(ref for ref in refs if isinstance(ref, kind))
