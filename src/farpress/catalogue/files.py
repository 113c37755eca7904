"""The catalogue's data files, read into parts, builds and materials.

A file names its sources once, then its parts. A bare value has its part's source, a pair
`[value, source]` its own; `like` takes over another part of the same file, `without`
leaves some of its values out. A value without a source is refused, as is any slip.
"""

from __future__ import annotations

from collections.abc import Mapping
from importlib.resources import files
from typing import Any, Final, NamedTuple

import yaml
from pydantic import ValidationError

from farpress.catalogue.flat import Flat, Path, fields_by_key, inner_model, part_from_flat
from farpress.domain.equipment import Build, Layer, Material
from farpress.domain.parts import PART_KINDS, Part
from farpress.domain.quantity import Model
from farpress.errors import InputError
from farpress.sources import Citation, Mark
from farpress.units import read_quantity

__all__ = ["WrittenPart", "data_text", "read_builds", "read_flats", "read_materials", "read_parts"]

MARKS: Final = {
    mark.name.lower(): mark
    for mark in (Mark.READ, Mark.COPY, Mark.MEMORY, Mark.COMPUTED, Mark.CHOICE, Mark.PRACTICE)
}
"""How a mark is written in a data file. The others belong to jobs, not to the catalogue."""


class WrittenPart(NamedTuple):
    """A part as it stands in its data file.

    Attributes:
        says: what it is, in words.
        like: part it takes values over from; empty for none.
        flat: all its values, those taken over included, as written texts.
    """

    says: str
    like: str
    flat: Flat


_PART_KEYS: Final = {"kind", "says", "source", "like", "without", "values"}


def read_parts(kind: str, text: str) -> dict[str, Part[Any]]:
    """Every part of one data file.

    Args:
        kind: kind of part, one of `PART_KINDS`; the file has no other.
        text: content of the file.

    Raises:
        InputError: a value without a source, an unknown key, source or part.
    """
    parts: dict[str, Part[Any]] = {}
    for name, written in read_flats(kind, text).items():
        try:
            parts[name] = part_from_flat(name, written.says, PART_KINDS[kind], written.flat)
        except ValidationError as error:
            raise InputError(f"{kind} {name}: {error}") from error
    return parts


def read_flats(kind: str, text: str) -> dict[str, WrittenPart]:
    """Every part of one data file as it is written there.

    Raises:
        InputError: as `read_parts`, except that values are not looked into.
    """
    content = _content(text)
    sources = _sources(content)
    flats: dict[str, Flat] = {}
    for name, entry in content["parts"].items():
        flats[name] = _flat_part(kind, name, entry, sources, flats)
    return {
        name: WrittenPart(entry["says"], entry.get("like", ""), flats[name])
        for name, entry in content["parts"].items()
    }


def _flat_part(
    kind: str,
    name: str,
    entry: Mapping[str, Any],
    sources: Mapping[str, Citation],
    before: Mapping[str, Flat],
) -> Flat:
    unknown = sorted(set(entry) - _PART_KEYS)
    if unknown or entry.get("kind") != kind:
        raise InputError(
            f"{kind} {name}: unknown {unknown}; a part of this file has kind {kind} and the keys"
            f" {sorted(_PART_KEYS)}"
        )
    flat: Flat = {}
    if "like" in entry:
        if entry["like"] not in before:
            raise InputError(
                f"{kind} {name}: it is like '{entry['like']}', which does not stand above it in the file"
            )
        left_out = {fields_by_key(PART_KINDS[kind])[key] for key in entry.get("without", ())}
        flat = {path: found for path, found in before[entry["like"]].items() if path[0] not in left_out}
    try:
        _gather(PART_KINDS[kind], entry["values"], (), sources[entry["source"]], sources, flat)
    except KeyError as error:
        raise InputError(
            f"{kind} {name}: {error} is not a source of this file, or not a key of a {kind}"
        ) from error
    return flat


def _gather(
    model: type[Model],
    values: Mapping[str, Any],
    path: Path,
    default: Citation,
    sources: Mapping[str, Citation],
    flat: Flat,
) -> None:
    for key, given in values.items():
        name = fields_by_key(model)[key]
        here = (*path, name)
        inner = inner_model(model, name)
        if inner is not None and isinstance(given, dict):
            if name in ("inputs", "outputs"):
                for which, content in given.items():
                    _gather(inner, content, (*here, which), default, sources, flat)
            else:
                _gather(inner, given, here, default, sources, flat)
        elif isinstance(given, list):
            value, source = given
            flat[here] = (value, sources[source])
        else:
            flat[here] = (given, default)


def read_builds(text: str) -> dict[str, Build]:
    """Builds of walls, slabs, doors and panes, by the name used in a job file.

    Raises:
        InputError: a quantity or a source that cannot be read.
    """
    content = _content(text)
    sources = _sources(content)
    return {
        name: Build(
            name=name,
            says=entry["says"],
            layers=tuple(
                Layer(material, read_quantity(thickness, "length")) for material, thickness in entry["layers"]
            ),
            loss_db=read_quantity(entry["loss"], "loss"),
            loss_sd_db=read_quantity(entry["sd"], "loss"),
            is_steel=entry.get("steel") == "true",
            sources=tuple(sources[source] for source in entry["sources"]),
        )
        for name, entry in content["builds"].items()
    }


def read_materials(text: str) -> dict[str, Material]:
    """Electrical constants of building materials, by name."""
    content = _content(text)
    sources = _sources(content)
    materials = {}
    for name, entry in content["materials"].items():
        a, b, c, d = (float(entry[key]) for key in "abcd")
        lowest, highest = (float(limit) for limit in entry["ghz"])
        materials[name] = Material(name, a, b, c, d, lowest, highest, sources[entry["source"]])
    return materials


def data_text(name: str) -> str:
    """Content of one data file of this package, as "receiver"."""
    return files("farpress.catalogue").joinpath("data", f"{name}.yaml").read_text(encoding="utf-8")


def _content(text: str) -> dict[str, Any]:
    # Every scalar stays text (no "on" turned into a truth value): the sheets read it.
    content: dict[str, Any] = yaml.load(text, Loader=getattr(yaml, "CBaseLoader", yaml.BaseLoader))
    return content


def _sources(content: Mapping[str, Any]) -> dict[str, Citation]:
    try:
        return {
            key: Citation(
                entry["document"], entry.get("edition", ""), entry.get("place", ""), MARKS[entry["mark"]]
            )
            for key, entry in content["sources"].items()
        }
    except KeyError as error:
        raise InputError(
            f"a source has a document and one of the marks {sorted(MARKS)}; {error} is wanted or unknown"
        ) from error
