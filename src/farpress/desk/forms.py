"""Forms made from the tables of the job file: label, unit, limits and help are those of the file.

One description of every entry: the schema of the job. So a unit can't differ between page
and file, and a field added to the job is on the page the same day.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Final

from farpress.domain.job import Job
from farpress.jobfile.schema import job_schema
from farpress.units import KINDS

__all__ = [
    "FormField",
    "FormTable",
    "fields_of",
    "names_for",
    "schema_at",
    "summary",
    "tables_of",
    "value_at",
    "written",
]

Path = tuple[str | int, ...]

LONG: Final = ("says", "because", "address")
"""Keys whose values are sentences."""


@dataclass(frozen=True)
class FormField:
    """One field of a form.

    Attributes:
        name: keys joined by a slash, as sent back.
        label: in words.
        value: as it stands in the file, for the field.
        help: what it means.
        example: how a value is written.
        choices: the values allowed; empty for free text.
        suggestions: known names, where others are allowed too.
        kind: "text", "long", "choice", "yes", "point", "list".
        required: it must be there.
    """

    name: str
    label: str
    value: str
    help: str = ""
    example: str = ""
    choices: tuple[str, ...] = ()
    suggestions: tuple[str, ...] = ()
    kind: str = "text"
    required: bool = False
    group: str = ""


@dataclass(frozen=True)
class FormTable:
    """Entries below an entry, which have forms of their own: outputs of a receiver, walls of a premises."""

    key: str
    label: str
    entries: tuple[tuple[str | int, str], ...] = ()
    is_list: bool = False
    help: str = field(default="")


@cache
def _schema() -> dict[str, Any]:
    return job_schema()


def schema_at(path: Path, values: Any) -> dict[str, Any] | None:
    """The schema of the entry at a path; None where there is no such entry in a job file."""
    place: dict[str, Any] | None = _schema()
    value = values
    for key in path:
        if place is None:
            return None
        value = value_at(value, (key,))
        place = _solid(_child(_solid(place, None), key), value)
    return _solid(place, value) if place is not None else None


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


def _solid(place: dict[str, Any] | None, value: Any) -> dict[str, Any]:
    """References followed, "or nothing" left out, the member of a choice that fits the value."""
    if place is None:
        return {}
    if "$ref" in place:
        found = _schema()["$defs"][place["$ref"].rsplit("/", 1)[-1]]
        return _solid({**found, **{key: text for key, text in place.items() if key != "$ref"}}, value)
    for word in ("anyOf", "oneOf"):
        if word not in place:
            continue
        members = [_solid(one, value) for one in place[word] if one.get("type") != "null"]
        extra = {key: text for key, text in place.items() if key in ("description", "default")}
        chosen = members[0] if members else {}
        if isinstance(value, dict):
            kind = value.get("kind")
            fitting = [
                one
                for one in members
                if one.get("type") == "object" and (kind is None or _kind_of(one) in (kind, None))
            ]
            chosen = fitting[0] if fitting else chosen
        elif isinstance(value, list):
            chosen = next((one for one in members if one.get("type") == "array"), chosen)
        return {**chosen, **extra}
    return place


def _kind_of(place: dict[str, Any]) -> str | None:
    found = place.get("properties", {}).get("kind", {})
    kind = found.get("const") or (found.get("enum") or [None])[0]
    return str(kind) if kind is not None else None


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


def fields_of(path: Path, values: Any, job: Job, known: Mapping[str, Collection[str]]) -> list[FormField]:
    """The fields of the entry at a path, with its values as they stand in the file.

    Tables of one level inside (a cable with its part and length) are fields of the same form.
    """
    schema = schema_at(path, values)
    value = value_at(values, path)
    if schema is None:
        return []
    return _fields(path, schema, value, job, known, "", "")


def _fields(
    path: Path,
    schema: dict[str, Any],
    value: Any,
    job: Job,
    known: Mapping[str, Collection[str]],
    before: str,
    group: str,
) -> list[FormField]:
    made: list[FormField] = []
    required = schema.get("required", [])
    for key, raw in schema.get("properties", {}).items():
        there = value.get(key) if isinstance(value, Mapping) else None
        place = _solid(raw, there)
        name = f"{before}{key}"
        if place.get("type") == "object" and place.get("properties"):
            if before.count("/") < 2 and not _is_table(place):
                made += _fields(
                    (*path, key),
                    place,
                    there,
                    job,
                    known,
                    f"{name}/",
                    f"{group + ': ' if group else ''}{_words(key)}",
                )
            continue
        if place.get("type") == "object" or (place.get("type") == "array" and _entries_are_tables(place)):
            if place.get("type") == "object" and _holds_scalars(place):
                made.append(
                    FormField(
                        name,
                        _words(key),
                        _pairs(there),
                        place.get("description", raw.get("description", "")),
                        "name: value, one a line",
                        kind="pairs",
                        group=group,
                    )
                )
            continue
        made.append(
            _field(
                path,
                key,
                name,
                place,
                there,
                job,
                known,
                key in required and not before,
                group,
                raw.get("description", ""),
            )
        )
    return made


def _holds_scalars(place: dict[str, Any]) -> bool:
    more = place.get("additionalProperties")
    if not isinstance(more, dict):
        return False
    inner = _solid(more, None)
    return inner.get("type") != "object" and not (inner.get("type") == "array" and _entries_are_tables(inner))


def _pairs(value: Any) -> str:
    if not isinstance(value, Mapping):
        return ""
    lines = []
    for key, one in value.items():
        if isinstance(one, Mapping):
            one = ", ".join(f"{inner} = {_text(text)}" for inner, text in one.items())
        elif isinstance(one, list):
            one = " + ".join(map(str, one))
        lines.append(f"{key}: {one}")
    return "\n".join(lines)


def _is_table(place: dict[str, Any]) -> bool:
    return isinstance(place.get("additionalProperties"), dict) and not place.get("properties")


def _entries_are_tables(place: dict[str, Any]) -> bool:
    items = place.get("items")
    if not isinstance(items, dict):
        return False
    inner = _solid(items, None)
    return inner.get("type") in ("object", "array")


def _field(
    path: Path,
    key: str,
    name: str,
    place: dict[str, Any],
    value: Any,
    job: Job,
    known: Mapping[str, Collection[str]],
    required: bool,
    group: str,
    help_: str,
) -> FormField:
    text = _text(value)
    kind = place.get("x-kind")
    help_ = place.get("description", "") or help_
    if "enum" in place or "const" in place:
        choices = tuple(str(one) for one in place.get("enum", [place.get("const")]))
        return FormField(
            name, _words(key), text, help_, choices=choices, kind="choice", required=required, group=group
        )
    if place.get("type") == "boolean":
        return FormField(
            name, _words(key), text, help_, choices=("true", "false"), kind="choice", group=group
        )
    if kind:
        about = KINDS[kind]
        return FormField(
            name,
            _words(key),
            text,
            help_ or f"a {about.name} with its unit",
            about.example,
            required=required,
            group=group,
        )
    if place.get("type") == "array" and place.get("items", {}).get("type") == "number":
        return FormField(
            name,
            _words(key),
            text,
            "metres on the plan: x, y, or x, y, height",
            "14, -25",
            kind="point",
            required=required,
            group=group,
        )
    suggestions = names_for(path, key, job, known)
    if place.get("type") == "array":
        return FormField(
            name,
            _words(key),
            text,
            help_ or "several: separate them with a semicolon",
            "",
            (),
            suggestions,
            "list",
            required,
            group,
        )
    if place.get("type") in ("integer",):
        return FormField(name, _words(key), text, help_, "a whole number", required=required, group=group)
    return FormField(
        name,
        _words(key),
        text,
        help_,
        "",
        (),
        suggestions,
        "long" if key in LONG else "text",
        required,
        group,
    )


def tables_of(path: Path, values: Any) -> list[FormTable]:
    """The tables below the entry at a path whose entries have forms of their own."""
    schema = schema_at(path, values)
    value = value_at(values, path)
    made = []
    for key, raw in (schema or {}).get("properties", {}).items():
        there = value.get(key) if isinstance(value, Mapping) else None
        place = _solid(raw, there)
        if place.get("type") == "object" and not place.get("properties") and not _holds_scalars(place):
            entries = (
                tuple((name, summary(one)) for name, one in there.items())
                if isinstance(there, Mapping)
                else ()
            )
            made.append(FormTable(key, _words(key), entries, help=raw.get("description", "")))
        elif place.get("type") == "array" and _entries_are_tables(place):
            inner = _solid(place["items"], None)
            if inner.get("type") == "object":
                entries_ = (
                    tuple((index, summary(one)) for index, one in enumerate(there))
                    if isinstance(there, list)
                    else ()
                )
                made.append(FormTable(key, _words(key), entries_, True, help=raw.get("description", "")))
    return made


def summary(value: Any) -> str:
    """An entry in a line."""
    if not isinstance(value, Mapping):
        return _text(value)
    parts = []
    for key, one in value.items():
        if isinstance(one, Mapping | list) and key not in ("at", "of", "by", "from", "buttons", "people"):
            continue
        shown = (
            ", ".join(f"{inner} {_text(text)}" for inner, text in one.items())
            if isinstance(one, Mapping)
            else _text(one)
        )
        parts.append(
            shown
            if key in ("says", "part", "kind", "to", "function", "never", "build")
            else f"{_words(key)} {shown}"
        )
    return " · ".join(parts)[:160]


def names_for(path: Path, key: str, job: Job, known: Mapping[str, Collection[str]]) -> tuple[str, ...]:
    """Names that make sense in a field: places, outputs, parts, inputs, as far as the job has them."""
    house = job.premises.get(str(path[1])) if len(path) > 1 and path[0] == "premises" else None
    top = str(path[0]) if path else ""
    if key == "part" or (key == "fob" and top == "groups") or (key in ("via", "like", "cell")):
        return tuple(sorted(_parts(path, key, job, known)))
    if key in ("build", "slab"):
        return tuple(sorted(known.get("build", ())))
    if key == "level" and house is not None:
        return tuple(house.levels)
    if key in ("works", "with", "reads", "tamper") and house is not None:
        things = [(name, thing) for table in (house.devices, house.panels) for name, thing in table.items()]
        inputs = []
        for name, thing in things:
            own = (job.parts.get(thing.part or "") if thing.part else None) or thing
            found = getattr(own, "outputs" if key == "reads" else "inputs", None) or {}
            inputs += [f"{name}.{one}" for one in found] or [name]
        return tuple(inputs)
    if key in ("from", "load_from") and house is not None:
        return tuple(house.supplies)
    if key in ("output", "outputs"):
        return tuple(
            f"{name}/{box}/{number}"
            for name, one in job.premises.items()
            for box, receiver in one.receivers.items()
            for number in receiver.outputs
        )
    if key == "receiver":
        return tuple(f"{name}/{box}" for name, one in job.premises.items() for box in one.receivers)
    if key == "to" or (key == "by" and top == "rules"):
        return tuple(job.groups)
    if key in ("function", "of"):
        return tuple(job.functions)
    if key in ("from", "place"):
        several = len(job.premises) > 1
        return tuple(
            f"{name}/{place}" if several else place
            for name, one in job.premises.items()
            for place in one.places
        )
    if key == "sees" and house is not None:
        return tuple(house.devices)
    if key == "people":
        return tuple(job.people)
    return ()


def _parts(path: Path, key: str, job: Job, known: Mapping[str, Collection[str]]) -> set[str]:
    words = [str(one) for one in path] + [key]
    for word, kind in (
        ("coax", "coax"),
        ("cable", "cable"),
        ("antenna", "aerial"),
        ("antenna_places", "aerial"),
        ("battery", "battery"),
        ("via", "relay"),
        ("fob", "fob"),
        ("cell", "cell"),
        ("receivers", "receiver"),
        ("devices", "device"),
        ("panels", "panel"),
        ("supplies", "supply"),
    ):
        if word in words:
            own = {name for name, part in job.parts.items() if part.kind == kind}
            return own | set(known.get(kind, ()))
    return set(job.parts) | set().union(*(names for kind, names in known.items() if kind != "build"))


def _words(key: str) -> str:
    return key.replace("_", " ")


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        is_point = all(isinstance(one, int | float) for one in value)
        return (", " if is_point else "; ").join(_text(one) for one in value)
    if isinstance(value, float):
        return f"{value:g}" if abs(value) < 1e6 else str(value)
    return str(value)


def written(one: FormField, text: str) -> Any:
    """What a field's text becomes in the file; None for an empty one.

    >>> written(FormField("at", "at", "", kind="point"), "14, -25.5")
    [14, -25.5]
    """
    text = " ".join(text.split()) if one.kind != "pairs" else text.strip()
    if not text:
        return None
    if one.kind == "point":
        pieces = [piece for piece in text.replace(";", ",").replace(" ", ",").split(",") if piece]
        try:
            return [_plain_number(piece.removesuffix("m")) for piece in pieces]
        except ValueError:
            return text
    if one.kind == "list":
        return [piece.strip() for piece in text.split(";") if piece.strip()]
    if one.kind == "pairs":
        return dict(_pair(line) for line in text.splitlines() if line.strip())
    if one.kind == "choice" and set(one.choices) == {"true", "false"}:
        return text == "true"
    if one.example == "a whole number" and text.lstrip("+-").isdigit():
        return int(text)
    return text


def _pair(line: str) -> tuple[str, Any]:
    key, _, value = line.partition(":")
    value = value.strip()
    if " = " in value:
        return key.strip(), {
            inner.strip(): text.strip()
            for inner, _, text in (piece.partition("=") for piece in value.split(","))
        }
    if " + " in value:
        return key.strip(), [piece.strip() for piece in value.split(" + ")]
    return key.strip(), int(value) if value.isdigit() else value


def _plain_number(text: str) -> int | float:
    number = float(text)
    return int(number) if number.is_integer() else number
