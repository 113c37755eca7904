"""The catalogue: generic parts, builds and materials, each value with its source.

It holds no product of any maker. A real part's label or data sheet goes into the job file
and wins over everything here.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from farpress.catalogue.files import data_text, read_builds, read_materials, read_parts
from farpress.domain.equipment import Build, Material
from farpress.domain.parts import PART_KINDS, Part
from farpress.errors import InputError
from farpress.phrases import closest

__all__ = ["Catalogue", "load_catalogue"]


@dataclass(frozen=True)
class Catalogue:
    """Everything the package knows without a job.

    Attributes:
        parts: kind of part → name → part, in the order of the files.
        builds: walls, slabs, doors and panes by the name used in a job file.
        materials: electrical constants by name.
    """

    parts: Mapping[str, Mapping[str, Part[Any]]]
    builds: Mapping[str, Build]
    materials: Mapping[str, Material]

    def part(self, kind: str, name: str) -> Part[Any]:
        """One part.

        Raises:
            InputError: no such kind or name; names the closest ones.
        """
        if kind not in self.parts:
            raise InputError(f"there is no kind of part '{kind}'; there are {', '.join(self.parts)}")
        if name not in self.parts[kind]:
            raise InputError(f"there is no {kind} '{name}' in the catalogue{closest(name, self.parts[kind])}")
        return self.parts[kind][name]

    def known_names(self) -> dict[str, Collection[str]]:
        """Kind of part, and "build" → the names a job file may use; of receivers with how many outputs."""
        known: dict[str, Collection[str]] = {kind: frozenset(parts) for kind, parts in self.parts.items()}
        outputs = {name: part.sheet.relays for name, part in self.parts["receiver"].items()}
        return known | {"build": frozenset(self.builds), "receiver": outputs}


@cache
def load_catalogue() -> Catalogue:
    """The catalogue that comes with the package; read once."""
    return Catalogue(
        parts={kind: read_parts(kind, data_text(kind)) for kind in PART_KINDS},
        builds=read_builds(data_text("builds")),
        materials=read_materials(data_text("materials")),
    )
