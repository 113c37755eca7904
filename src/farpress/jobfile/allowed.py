"""Where a path of the checker leads in the file, and what the tables of a job allow there.

Types and descriptions are read off the models; nothing is read or judged here.
"""

from __future__ import annotations

import types
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, WithJsonSchema
from pydantic.fields import FieldInfo

from farpress.domain.job import Job
from farpress.jobfile.node import Node

__all__ = [
    "Allowed",
    "Location",
    "Moved",
    "allowed",
    "child_of",
    "example_of",
    "fields_of",
    "find_location",
    "models_of",
    "original_path",
    "wanted",
    "words_of",
]


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


def _is_union(place: Allowed | None) -> bool:
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


def words_of(place: Allowed) -> tuple[str, ...]:
    """The words allowed at a place; none where other values are."""
    cores: tuple[Any, ...] = place.core if isinstance(place.core, tuple) else (place.core,)
    return tuple(str(word) for core in cores if get_origin(core) is Literal for word in get_args(core))


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
        kind = schema["x-kind"]
        return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind} such as '{schema['examples'][0]}'"
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


Moved = Mapping[tuple[str | int, ...], Sequence[int]]
"""Path of a list from which entries were left out → where the others stand in the file."""


@dataclass(frozen=True)
class Location:
    """One place of the file, found from an error's path.

    Attributes:
        node: the deepest value that is there.
        allowed: what is allowed there.
        path: keys that lead there.
        position: line and column of its key, or of itself in a list.
        missing: the key below it that is not there; None if the node itself is meant.
        choice: the choice of types allowed for the node itself; None if there is no choice.
        fits: the member of it that the checker speaks of can be what is written there.
    """

    node: Node
    allowed: Allowed | None
    path: tuple[str | int, ...]
    position: tuple[int, int]
    missing: str | int | None = None
    choice: Allowed | None = None
    fits: bool = True


def find_location(error_path: Sequence[str | int], tree: Node, moved: Moved | None = None) -> Location:
    """The place of an error in the file.

    Args:
        error_path: as the checker gives it: keys, indices, and labels of the members of a choice.
        tree: the file.
        moved: lists that are shorter in the checked values than in the file.
    """
    node, position = tree, (tree.line, tree.column)
    place: Allowed | None = allowed(Job)
    path: tuple[str | int, ...] = ()
    choice: Allowed | None = None
    fits = True
    for key in error_path:
        if place is not None and _is_union(place) and isinstance(key, str):
            choice, place = place, _member(place, key)
            fits = (
                place is None
                or _form(place) == node.kind
                or not any(_form(allowed(member)) == node.kind for member in choice.core)
            )
            continue
        if isinstance(key, int) and moved and path in moved:
            if key >= len(moved[path]):  # an entry is wanted that was left out: the list itself is too short
                return Location(node, place, path, position, key, choice, fits)
            key = moved[path][key]
        child = node.child(key)
        if child is None:
            return Location(node, place, path, position, key, choice, fits)
        position = node.items[str(key)][:2] if node.kind == "mapping" else (child.line, child.column)
        place = child_of(place, key, node.data)
        node, path, choice = child, (*path, key), None
    return Location(node, place, path, position, None, choice, fits)


def original_path(path: Sequence[str | int], moved: Moved) -> tuple[str | int, ...]:
    """A path of the file, from one in a job from which entries were left out."""
    whole: tuple[str | int, ...] = ()
    for key in path:
        kept = moved.get(whole, ())
        whole = (*whole, kept[key] if isinstance(key, int) and key < len(kept) else key)
    return whole


def _member(place: Allowed | None, label: str) -> Allowed | None:
    """The member of a choice that the checker speaks of."""
    for model in models_of(place):
        kinds: object = model.model_fields["kind"].annotation if "kind" in model.model_fields else None
        if label == model.__name__ or label in getattr(kinds, "__args__", ()):
            return Allowed(model)
    for core in place.core if place is not None else ():
        if (
            label.startswith("tuple") == (get_origin(core) is tuple)
            and (core is str) == (label == "str")
            and not models_of(allowed(core))
        ):
            return allowed(core)
    return place


def _form(place: Allowed) -> str:
    """Kind of node that a type is written as."""
    if models_of(place) or get_origin(place.core) is dict:
        return "mapping"
    return "sequence" if get_origin(place.core) is tuple else "scalar"
