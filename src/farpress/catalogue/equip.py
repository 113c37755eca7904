"""Fill in every part of a job: the catalogue's values under the job's own.

A value that stands in place in the job wins; then the job's own part, what that one is
like, and last the catalogue. Who states a value anew withdraws those below that hang on it
(`dependent`). A value that nobody gives stays None: it is asked for later, never guessed here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, TypeVar

from farpress.catalogue.dependent import laid_over
from farpress.catalogue.flat import Flat, Path, flatten, keys_in_file, part_from_flat
from farpress.catalogue.names import Asked, Keys, Where, asked_builds, asked_parts
from farpress.catalogue.store import Catalogue
from farpress.domain.equipment import Equipment
from farpress.domain.job import Job
from farpress.domain.own_parts import OwnPart
from farpress.domain.parts import (
    PART_KINDS,
    AerialSheet,
    BatterySheet,
    CableSheet,
    CellSheet,
    CoaxSheet,
    DeviceSheet,
    FobSheet,
    PanelSheet,
    Part,
    ReceiverSheet,
    RelaySheet,
    SupplySheet,
)
from farpress.domain.quantity import Model
from farpress.errors import InputError
from farpress.phrases import closest
from farpress.sources import Citation, Mark

__all__ = ["equip"]

FILE = "job.yaml"
"""Named as the document of everything that a job says itself."""

_S = TypeVar("_S", bound=Model)


def equip(job: Job, catalogue: Catalogue, *, where: Where | None = None) -> Equipment:
    """Every part of a job with all that is known about it, and where each value comes from.

    Args:
        job: the job as it stands in the file.
        catalogue: generic parts, builds and materials.
        where: path of keys in the job file → a place in words, as "line 31"; without it
            the keys themselves are the place.

    Raises:
        InputError: parts or builds that nobody describes, or own parts that are like each
            other in a circle. Every one of them is listed.
    """
    return _Fitting(job, catalogue, where or _keys_as_place).equipment()


class _Fitting:
    """One job being filled in; faults are gathered, not raised one by one."""

    def __init__(self, job: Job, catalogue: Catalogue, where: Where) -> None:
        self.job = job
        self.catalogue = catalogue
        self.where = where
        self.faults: list[str] = []
        self._flats: dict[tuple[str, str], Flat] = {}

    def equipment(self) -> Equipment:
        """Everything, or all faults at once."""
        self._check_names()
        if self.faults:
            faults = list(dict.fromkeys(self.faults))
            head = (
                f"{len(faults)} fault{'s' if len(faults) != 1 else ''} in the parts of this job; nothing was"
                " calculated."
            )
            raise InputError("\n".join([head, *faults]))
        houses = self.job.premises.items()
        supplies = [
            (f"{place}/{name}", supply, ("premises", place, "supplies", name))
            for place, house in houses
            for name, supply in house.supplies.items()
        ]
        boxes = [
            (f"{place}/{name}", receiver, ("premises", place, "receivers", name))
            for place, house in houses
            for name, receiver in house.receivers.items()
        ]
        fobs = {name: self._named("fob", FobSheet, group.fob) for name, group in self.job.groups.items()}
        return Equipment(
            receivers={
                key: self._mounted("receiver", ReceiverSheet, receiver, path) for key, receiver, path in boxes
            },
            devices={
                f"{place}/{name}": self._mounted(
                    "device", DeviceSheet, device, ("premises", place, "devices", name)
                )
                for place, house in houses
                for name, device in house.devices.items()
            },
            panels={
                f"{place}/{name}": _with_zone_loops(
                    self._mounted("panel", PanelSheet, panel, ("premises", place, "panels", name))
                )
                for place, house in houses
                for name, panel in house.panels.items()
            },
            supplies={
                key: self._mounted("supply", SupplySheet, supply, path) for key, supply, path in supplies
            },
            batteries={
                key: self._mounted("battery", BatterySheet, supply.battery, (*path, "battery"))
                for key, supply, path in supplies
                if supply.battery is not None
            },
            aerials={
                key: self._named("aerial", AerialSheet, receiver.antenna.part)
                for key, receiver, _ in boxes
                if receiver.antenna is not None
            },
            coaxes={
                key: self._named("coax", CoaxSheet, receiver.antenna.coax.part)
                for key, receiver, _ in boxes
                if receiver.antenna is not None and receiver.antenna.coax is not None
            },
            fobs=fobs,
            cells={group: self._named("cell", CellSheet, fob.sheet.cell) for group, fob in fobs.items()},
            cables=self._all_named("cable", CableSheet),
            relays=self._all_named("relay", RelaySheet),
            aerial_parts=self._all_named("aerial", AerialSheet),
            coax_parts=self._all_named("coax", CoaxSheet),
            builds=self.catalogue.builds,
            materials=self.catalogue.materials,
        )

    def _mounted(self, kind: str, sheet: type[_S], thing: Any, path: Keys) -> Part[_S]:
        below = self._flat_part(kind, thing.part) if thing.part is not None else {}
        given = flatten(thing, sheet, lambda fields: self._cite_place(sheet, path, fields))
        return part_from_flat(
            thing.part or "", self._says(kind, thing.part), sheet, laid_over(kind, below, given)
        )

    def _named(self, kind: str, sheet: type[_S], name: str | None) -> Part[_S]:
        return part_from_flat(
            name or "", self._says(kind, name), sheet, self._flat_part(kind, name) if name is not None else {}
        )

    def _all_named(self, kind: str, sheet: type[_S]) -> dict[str, Part[_S]]:
        own = {
            name: self._named(kind, sheet, name) for name, part in self.job.parts.items() if part.kind == kind
        }
        return dict(self.catalogue.parts[kind]) | own

    def _says(self, kind: str, name: str | None) -> str:
        """What a part is, in words; an own part without words takes those of the one it is like."""
        for part in self._chain(kind, name) if name is not None else ():
            says = part.says if not isinstance(part, str) else self.catalogue.part(kind, part).says
            if says:
                return says
        return ""

    def _flat_part(self, kind: str, name: str) -> Flat:
        """Every value of a named part with its source, each part once: several things are of one."""
        if (kind, name) not in self._flats:
            self._flats[kind, name] = self._laid_flat(kind, name)
        return self._flats[kind, name]

    def _laid_flat(self, kind: str, name: str) -> Flat:
        flat: Flat = {}
        for part in reversed(self._chain(kind, name)):
            flat = laid_over(
                kind,
                flat,
                self._flat_catalogue(kind, part) if isinstance(part, str) else self._flat_own(kind, part),
            )
        return flat

    def _chain(self, kind: str, name: str) -> list[OwnPart | str]:
        """The own parts from `name` on, each like the next; last the catalogue's part, by its name.

        Names were checked before, so that every chain ends.
        """
        chain: list[OwnPart | str] = []
        passed: set[str] = set()
        following: str | None = name
        while following is not None:
            own = self.job.parts.get(following)
            if own is None or own.kind != kind or following in passed:
                return [*chain, following]
            passed.add(following)
            chain.append(own)
            following = own.like
        return chain

    def _flat_own(self, kind: str, own: OwnPart) -> Flat:
        name = next(name for name, part in self.job.parts.items() if part is own)
        sheet = PART_KINDS[kind]
        return flatten(own, sheet, lambda fields: self._cite_own(own, sheet, ("parts", name), fields))

    def _flat_catalogue(self, kind: str, name: str) -> Flat:
        part = self.catalogue.part(kind, name)
        return flatten(part.sheet, PART_KINDS[kind], lambda fields: part.origins[".".join(fields)])

    def _cite_place(self, sheet: type[Model], path: Keys, fields: Path) -> Citation:
        document, place = self._place((*path, *keys_in_file(sheet, fields)))
        return Citation(document, place=place, mark=Mark.GIVEN)

    def _cite_own(self, own: OwnPart, sheet: type[Model], path: Keys, fields: Path) -> Citation:
        document, place = self._place((*path, *keys_in_file(sheet, fields)))
        if own.source:
            return Citation(own.source, place=f"{document}, {place}", mark=Mark.GIVEN)
        return Citation(document, place=f"{place}, no source named", mark=Mark.GIVEN)

    def _place(self, path: Keys) -> tuple[str, str]:
        """Document and place of a value; a place may bring its document, as "job.yaml line 31"."""
        text = self.where(path)
        document, mark, line = text.rpartition(" line ")
        return (document, f"line {line}") if mark else (FILE, text)

    def _check_names(self) -> None:
        for name, own in self.job.parts.items():
            self._check_own(name, own)
        for asked in asked_parts(self.job):
            self._check_part(asked)
        for asked in asked_builds(self.job):
            if asked.name not in self.catalogue.builds:
                self._fault(
                    asked.path,
                    f"there is no build '{asked.name}'{closest(asked.name, self.catalogue.builds)}. Use a"
                    " build of the catalogue",
                )

    def _check_own(self, name: str, own: OwnPart) -> None:
        cell = getattr(own, "cell", None)
        if cell is not None:
            self._check_part(Asked("cell", cell, ("parts", name, "cell")))
        if own.like is None:
            return
        passed, following = [name], own.like
        while (
            (found := self.job.parts.get(following)) is not None
            and found.kind == own.kind
            and following not in passed
        ):
            if found.like is None:
                return
            passed.append(following)
            following = found.like
        if following in self.catalogue.parts[own.kind]:
            return
        if following == name:
            round_trip = f" by way of {', '.join(map(repr, passed[1:]))}" if passed[1:] else ""
            self._fault(
                ("parts", name, "like"),
                f"'{name}' is like itself{round_trip}. Name a part of the catalogue, or leave 'like' away",
            )
        elif following == own.like:
            self._check_part(Asked(own.kind, own.like, ("parts", name, "like")))

    def _check_part(self, asked: Asked) -> None:
        own = self.job.parts.get(asked.name)
        if (own is not None and own.kind == asked.kind) or asked.name in self.catalogue.parts[asked.kind]:
            return
        if own is not None:
            self._fault(
                asked.path,
                f"'{asked.name}' is a {own.kind}, but a {asked.kind} is wanted here. Name a {asked.kind}",
            )
            return
        names: Mapping[str, object] = {
            **self.catalogue.parts[asked.kind],
            **{n: p for n, p in self.job.parts.items() if p.kind == asked.kind},
        }
        self._fault(
            asked.path,
            f"there is no {asked.kind} '{asked.name}' in the catalogue or among the job's own"
            f" parts{closest(asked.name, names)}. Use a known name, or describe it under 'parts' with kind:"
            f" {asked.kind}",
        )

    def _fault(self, path: Keys, says: str) -> None:
        keys = _keys_as_place(path)
        place = self.where(path)
        self.faults.append(f"{keys}: {says}." if place == keys else f"{keys} ({place}): {says}.")


def _with_zone_loops(panel: Part[PanelSheet]) -> Part[PanelSheet]:
    """A panel whose zones that say nothing of their loop have the one that it gives for all."""
    loop, inputs = panel.sheet.zone_loop, panel.sheet.inputs or {}
    bare = {name for name, entry in inputs.items() if entry.reads == "zone" and entry.loop is None}
    if loop is None or not bare:
        return panel
    filled = {
        name: entry.model_copy(update={"loop": loop}) if name in bare else entry
        for name, entry in inputs.items()
    }
    return replace(panel, sheet=panel.sheet.model_copy(update={"inputs": filled}))


def _keys_as_place(path: Keys) -> str:
    return ".".join(map(str, path))
