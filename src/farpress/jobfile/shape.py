"""What the tables of a job allow at a path: read off the models, for messages.

This knows types and descriptions only; it neither reads nor judges a job.
"""

from __future__ import annotations

import types
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, WithJsonSchema
from pydantic.fields import FieldInfo

__all__ = ["Allowed", "allowed", "child_of", "example_of", "fields_of", "is_union", "models_of", "wanted"]


@dataclass(frozen=True)
class Allowed:
    """The type allowed at one place: without its wrapping, with what the wrapping said.

    Attributes:
        core: the type, or a tuple of types where one of several is allowed.
        notes: annotations (units, limits).
        description: what the field is, in words; empty if the table says nothing.
    """

    core: Any
    notes: tuple[Any, ...] = ()
    description: str = ""


def allowed(annotation: Any, notes: Sequence[Any] = (), description: str = "") -> Allowed:
    """Unwrap a type: annotations are collected, `None` is left out of a choice."""
    collected = list(notes)
    while True:
        origin = get_origin(annotation)
        if origin is Annotated:
            annotation, *more = get_args(annotation)
            collected += more
        elif origin is Union or origin is types.UnionType:
            members = tuple(member for member in get_args(annotation) if member is not type(None))
            if len(members) > 1:
                return Allowed(members, tuple(collected), description)
            annotation = members[0]
        else:
            return Allowed(annotation, tuple(collected), description)


def is_union(place: Allowed | None) -> bool:
    """Several types are allowed here, as text or a table."""
    return place is not None and isinstance(place.core, tuple)


def models_of(place: Allowed | None, data: object = None) -> list[type[BaseModel]]:
    """The tables allowed here; of several kinds only the one that `data` says it is."""
    if place is None:
        return []
    cores = [allowed(member).core for member in place.core] if isinstance(place.core, tuple) else [place.core]
    models = [core for core in cores if isinstance(core, type) and issubclass(core, BaseModel)]
    if len(models) > 1 and isinstance(data, dict):
        said = [
            model
            for model in models
            if "kind" in model.model_fields
            and data.get("kind") in get_args(model.model_fields["kind"].annotation)
        ]
        return said or models
    return models


def fields_of(model: type[BaseModel]) -> dict[str, FieldInfo]:
    """Keys of a table as they stand in the file → field."""
    return {field.alias or name: field for name, field in model.model_fields.items()}


def child_of(place: Allowed | None, key: str | int, data: object = None) -> Allowed | None:
    """What is allowed below a key or index; None where nothing is."""
    if place is None:
        return None
    for model in models_of(place, data):
        field = fields_of(model).get(str(key))
        if field is not None:
            return allowed(field.annotation, field.metadata, field.description or "")
    origin, arguments = get_origin(place.core), get_args(place.core)
    if origin is dict:
        return allowed(arguments[1], description=place.description)
    if origin is tuple and arguments:
        return allowed(arguments[0], description=place.description)
    return None


def example_of(place: Allowed | None) -> str:
    """How a value may be written: the example of its unit; empty if there is none."""
    schema = _schema(place)
    examples = schema.get("examples", []) if schema else []
    return str(examples[0]) if examples else ""


def wanted(place: Allowed | None) -> str:
    """What is allowed at a place, in words: "text", "a length such as '4.2 m'", "one of a, b"."""
    if place is None:
        return "another value"
    schema = _schema(place)
    if schema and "x-kind" in schema:
        return f"a {schema['x-kind']} such as '{schema['examples'][0]}'"
    if schema:
        return f"a point such as {schema['examples'][0]}, in metres on the plan"
    core = place.core
    if isinstance(core, tuple):
        models = models_of(place)
        if len(models) == len(core):
            return f"a table ({{{', '.join(list(fields_of(models[0]))[:3])}, …}})"
        return " or ".join(wanted(allowed(member)) for member in core)
    origin, arguments = get_origin(core), get_args(core)
    if origin is Literal:
        return ("one of " if len(arguments) > 1 else "") + ", ".join(f"'{word}'" for word in arguments)
    if origin is dict:
        return f"a table of names, each with {wanted(allowed(arguments[1]))}"
    if origin is tuple:
        number = f"{len(arguments)} entries" if Ellipsis not in arguments else "entries"
        return f"a list of {number}, each {wanted(allowed(arguments[0]))}"
    if isinstance(core, type) and issubclass(core, BaseModel):
        return f"a table with keys such as {', '.join(list(fields_of(core))[:4])}"
    return {str: "text", int: _whole_number(place), float: "a number", bool: "true or false"}.get(
        core, "another value"
    )


def _whole_number(place: Allowed) -> str:
    low: Any = None
    high: Any = None
    for note in place.notes:
        for part in note.metadata if isinstance(note, FieldInfo) else [note]:
            low, high = getattr(part, "ge", low), getattr(part, "le", high)
    return "a whole number" if low is None or high is None else f"a whole number from {low} to {high}"


def _schema(place: Allowed | None) -> dict[str, Any] | None:
    if place is None:
        return None
    return next(
        (note.json_schema for note in place.notes if isinstance(note, WithJsonSchema) and note.json_schema),
        None,
    )
