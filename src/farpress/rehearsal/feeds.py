"""What each output and thing of a model hangs on, and what may fail alone: read from the job."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.driven import driven_of
from farpress.case.feeding import supply_behind
from farpress.core.rehearsal.supplies import SupplyCut
from farpress.domain.premises import Premises
from farpress.rehearsal.presses import word

__all__ = ["Feeds", "feeds_of"]

EXTRA_LOW: Final = ("dc", "ac", "dc or ac")
"""What a device runs on that hangs on a supply of the job; mains, and a supply of its own, may fail alone."""


@dataclass(frozen=True)
class Feeds:
    """What hangs on which supply.

    Attributes:
        outputs: path of an output → the supply of its receiver.
        things: path of a device → what it runs on; panels have a battery of their own and are left out.
        cuts: supply that may fail alone → how it is told, and what fails with it.
        paths: the same → "premises/name" of the supply, or of the receiver or device of which it is.
    """

    outputs: Mapping[str, str] = field(default_factory=dict)
    things: Mapping[str, str] = field(default_factory=dict)
    cuts: Mapping[str, SupplyCut] = field(default_factory=dict)
    paths: Mapping[str, str] = field(default_factory=dict)

    def unsaid(self, events: Iterable[str], devices: Iterable[str]) -> tuple[str, ...]:
        """Paths of receivers and devices whose own supply, which no job names, fails in events of a story:
        alone, or one of some devices with the power of the premises, on which it may not hang.
        """
        owners = {*(path.rpartition("/")[0] for path in self.outputs), *self.things}
        told = tuple(events)
        failing = [event.removeprefix("power_off_") for event in told if event.startswith("power_off_")]
        if not self.is_alone(told):
            failing += [self.things[path] for path in devices if path in self.things]
        return tuple(dict.fromkeys(self.paths[k] for k in failing if self.paths.get(k) in owners))

    def is_alone(self, events: Iterable[str]) -> bool:
        """Whether a supply fails or returns alone in events of a story."""
        return bool({f"power_{way}_{k}" for k in self.cuts for way in ("off", "on")} & set(events))

    @property
    def every(self) -> tuple[str, ...]:
        """All supplies that something hangs on."""
        return tuple(dict.fromkeys((*self.outputs.values(), *self.things.values())))


def feeds_of(case: Case, outputs: Iterable[OutputAt]) -> Feeds:
    """The supplies of some outputs and of what they work; what is fed through a contact has that supply."""
    told: dict[str, str] = {}
    paths: dict[str, str] = {}
    hangs: dict[str, tuple[str, ...]] = {}

    def supply(house: Premises, premises: str, name: str | None, owner: str) -> str:
        path = f"{premises}/{name}" if name is not None else owner
        k = word(path)
        own = owner.partition("/")[2]
        told[k] = f"the supply {name}" if name else f"the supply of {own}"
        paths[k] = path
        hangs.setdefault(k, (k, *(word(f"{premises}/{above}") for above in _above(house, name))))
        for above in _above(house, name):
            told[word(f"{premises}/{above}")] = f"the supply {above}"
            paths[word(f"{premises}/{above}")] = f"{premises}/{above}"
        return k

    of_outputs: dict[str, str] = {}
    of_things: dict[str, str] = {}
    for output in outputs:
        house = output.house
        behind = supply_behind(house, output.box.fed) or _only(house)
        of_outputs[output.path] = supply(house, output.premises, behind, output.receiver_path)
        for load in driven_of(case, output):
            if load.panel is not None:
                continue
            device = house.devices.get(load.path.partition("/")[2])
            name = output.output.load_from
            if name is None and device is not None:
                name = supply_behind(house, device.fed)
                if name is None and load.device is not None and load.device.sheet.supply in EXTRA_LOW:
                    name = _only(house)
            if load.path not in of_things or name is not None:
                of_things[load.path] = supply(house, output.premises, name, load.path)
    there = tuple(dict.fromkeys((*of_outputs.values(), *of_things.values())))
    takes = {k: tuple(hanging for hanging in there if k in hangs[hanging]) for k in told}
    cuts = {k: SupplyCut(told[k], taken) for k, taken in takes.items() if taken}
    return Feeds(of_outputs, of_things, cuts, {k: paths[k] for k in cuts})


def _only(house: Premises) -> str | None:
    """The one supply that is described, which feeds whatever runs on extra-low voltage and says nothing else;
    None where there are several, or none.
    """
    return next(iter(house.supplies)) if len(house.supplies) == 1 else None


def _above(house: Premises, name: str | None) -> tuple[str, ...]:
    """The supplies that a supply is fed from, the nearest first."""
    found: list[str] = []
    while name is not None and name in house.supplies:
        name = supply_behind(house, house.supplies[name].fed)
        if name is None or name in found:
            break
        found.append(name)
    return tuple(found)
