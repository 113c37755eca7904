"""The schema of a job file as forms need it: the entry at a path, references and choices resolved."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from farpress.domain.job import Job
from farpress.jobfile.schema import job_schema

__all__ = ["Path", "entries_are_tables", "holds_scalars", "is_table", "resolved", "schema_at", "value_at"]

Path = tuple[str | int, ...]
"""Keys and indices that lead to an entry."""


def schema_at(path: Path, values: Any) -> dict[str, Any] | None:
    """The schema of the entry at a path; None where there is no such entry in a job file."""
    place: dict[str, Any] | None = _schema()
    value = values
    for key in path:
        if place is None:
            return None
        value = value_at(value, (key,))
        place = resolved(_child(resolved(place, None), key), value)
    return resolved(place, value) if place is not None else None


def value_at(values: Any, path: Iterable[str | int]) -> Any:
    """The value at a path; None where nothing is."""
    for key in path:
        if isinstance(values, Mapping):
            values = values.get(str(key))
        elif isinstance(values, list) and isinstance(key, int) and 0 <= key < len(values):
            values = values[key]
        else:
            return None
    return values


def _child(place: dict[str, Any], key: str | int) -> dict[str, Any] | None:
    if isinstance(key, int):
        items = place.get("items")
        return items if isinstance(items, dict) else None
    properties = place.get("properties", {})
    if key in properties:
        found: dict[str, Any] = properties[key]
        return found
    more = place.get("additionalProperties")
    return more if isinstance(more, dict) else None


def resolved(place: dict[str, Any] | None, value: Any) -> dict[str, Any]:
    """References followed, "or nothing" left out, the member of a choice that fits the value."""
    if place is None:
        return {}
    if "$ref" in place:
        found = _schema()["$defs"][place["$ref"].rsplit("/", 1)[-1]]
        return resolved({**found, **{key: text for key, text in place.items() if key != "$ref"}}, value)
    for word in ("anyOf", "oneOf"):
        if word not in place:
            continue
        if "properties" in place:  # a table of which one key or another must be given: the table itself
            needed = [*place.get("required", ()), *place[word][0].get("required", ())]
            return {**{key: inner for key, inner in place.items() if key != word}, "required": needed}
        members = [resolved(choice, value) for choice in place[word] if choice.get("type") != "null"]
        extra = {key: text for key, text in place.items() if key in ("description", "x-default")}
        chosen = members[0] if members else {}
        if isinstance(value, dict):
            kind = value.get("kind")
            fitting = [
                member
                for member in members
                if member.get("type") == "object" and (kind is None or _kind_of(member) in (kind, None))
            ]
            chosen = fitting[0] if fitting else chosen
        elif isinstance(value, list):
            chosen = next((member for member in members if member.get("type") == "array"), chosen)
        return {**chosen, **extra}
    return place


def _kind_of(place: dict[str, Any]) -> str | None:
    found = place.get("properties", {}).get("kind", {})
    kind = found.get("const") or (found.get("enum") or [None])[0]
    return str(kind) if kind is not None else None


def holds_scalars(place: dict[str, Any]) -> bool:
    """Its entries have names of the user's own and are plain values."""
    more = place.get("additionalProperties")
    if not isinstance(more, dict):
        return False
    inner = resolved(more, None)
    return inner.get("type") != "object" and not (inner.get("type") == "array" and entries_are_tables(inner))


def is_table(place: dict[str, Any]) -> bool:
    """Its entries have names of the user's own."""
    return isinstance(place.get("additionalProperties"), dict) and not place.get("properties")


def entries_are_tables(place: dict[str, Any]) -> bool:
    """Its entries are listed, and each has entries of its own."""
    items = place.get("items")
    if not isinstance(items, dict):
        return False
    inner = resolved(items, None)
    return inner.get("type") in ("object", "array")


@cache
def _schema() -> dict[str, Any]:
    """The schema of the file, with what counts where something is left out as "x-default"."""
    schema = job_schema()
    raw = Job.model_json_schema(by_alias=True)
    for name, table in raw["$defs"].items():
        for key, place in table.get("properties", {}).items():
            default = place.get("default")
            if isinstance(default, str | bool | int) and default != "" and "x-kind" not in place:
                schema["$defs"][name]["properties"][key]["x-default"] = default
    return schema
