"""A data sheet as one flat list of values, each with its source, and back again.

Flat, "a value given in the job wins over the catalogue's" is the union of two mappings,
however deep the value lies: `("inputs", "start", "min_pulse_s")`. Nothing here decides
which of two sheets is the better one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from typing import Any, Final, TypeVar, get_args

from farpress.domain.parts import Part
from farpress.domain.quantity import Model
from farpress.sources import Citation

__all__ = [
    "EMPTY",
    "Flat",
    "Path",
    "fields_by_key",
    "flatten",
    "inner_model",
    "keys_by_field",
    "keys_in_file",
    "part_from_flat",
]

Path = tuple[str, ...]
"""Field names, and the names of inputs and outputs between them."""

Flat = dict[Path, tuple[Any, Citation]]
"""Every known value of a sheet with its source."""

_NAMED: Final = ("inputs", "outputs", "contacts", "by_itself", "also_worked_by")
"""Fields whose entries have names of their own."""

EMPTY: Final = object()
"""Stands for an input or output that is named, and about which nothing more is known."""

_EMPTY_SAYS: Final = ("by_itself", "also_worked_by")
"""Tables of which an empty one says that it was asked and there is nothing."""

_S = TypeVar("_S", bound=Model)


def flatten(sheet: Model, fields: type[Model], cite: Callable[[Path], Citation]) -> Flat:
    """Every known value of a sheet.

    Args:
        sheet: a sheet, or a mounted thing that has more fields than its sheet.
        fields: the table whose fields count.
        cite: path of field names → source.
    """
    flat: Flat = {}
    _gather(sheet, fields, (), cite, flat)
    return flat


def _gather(
    sheet: Model, fields: type[Model], path: Path, cite: Callable[[Path], Citation], flat: Flat
) -> None:
    for name in fields.model_fields:
        value = getattr(sheet, name)
        here = (*path, name)
        if value is None:
            continue
        if isinstance(value, Model):
            _gather(value, type(value), here, cite, flat)
        elif isinstance(value, Mapping):
            if not value and name in _EMPTY_SAYS:
                flat[here] = (EMPTY, cite(here))
            for key, inner in value.items():
                before = len(flat)
                _gather(inner, type(inner), (*here, key), cite, flat)
                if len(flat) == before:
                    flat[(*here, key)] = (EMPTY, cite((*here, key)))
        else:
            flat[here] = (value, cite(here))


def part_from_flat(name: str, says: str, sheet: type[_S], flat: Flat) -> Part[_S]:
    """The part with these values.

    Args:
        name: of the part; empty when described in place.
        says: what it is, in words.
        sheet: its table of fields.
        flat: its values; those that are written texts are read and checked.

    Raises:
        pydantic.ValidationError: a value does not fit its field.
    """
    tree: dict[str, Any] = {}
    origins: dict[str, Citation] = {}
    for path, (value, citation) in flat.items():
        branch = tree
        for step in path[:-1]:
            branch = branch.setdefault(step, {})
        if value is EMPTY:
            branch.setdefault(path[-1], {})
        else:
            branch[path[-1]] = value
        for length in range(1, len(path)):
            origins.setdefault(".".join(path[:length]), citation)
        origins[".".join(path)] = citation
    return Part(name, says, sheet.model_validate(tree), origins)


def keys_in_file(table: type[Model], fields: Path) -> Path:
    """Field names → keys of a file; the names of inputs and outputs stay."""
    if not fields:
        return ()
    name, rest = fields[0], fields[1:]
    key, inner = keys_by_field(table)[name], inner_model(table, name)
    if inner is None or not rest:
        return (key, *rest)
    if name in _NAMED:
        return (key, rest[0], *keys_in_file(inner, rest[1:]))
    return (key, *keys_in_file(inner, rest))


@cache
def fields_by_key(model: type[Model]) -> dict[str, str]:
    """Key in a file → name of the field, for one table."""
    return {key: name for name, key in keys_by_field(model).items()}


@cache
def keys_by_field(model: type[Model]) -> dict[str, str]:
    """Name of a field → its key in a file, for one table."""
    return {name: info.alias or name for name, info in model.model_fields.items()}


@cache
def inner_model(model: type[Model], name: str) -> type[Model] | None:
    """The table inside a field, as of inputs and of a loop; None for a plain value."""
    waiting = [model.model_fields[name].annotation]
    while waiting:
        kind = waiting.pop()
        if isinstance(kind, type) and issubclass(kind, Model):
            return kind
        waiting.extend(get_args(kind))
    return None
