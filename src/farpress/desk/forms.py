"""Forms made from the tables of the job file: label, unit, limits and help are those of the file.

One description of every entry: the schema of the job. So a unit can't differ between page
and file, and a field added to the job is on the page the same day.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from farpress.desk.form_names import names_for
from farpress.desk.form_schema import (
    Path,
    entries_are_tables,
    holds_scalars,
    is_table,
    resolved,
    schema_at,
    value_at,
)
from farpress.domain.job import Job
from farpress.quantity_kinds import KINDS

__all__ = ["FormField", "FormTable", "fields_of", "summary", "tables_of", "written"]

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
        place = resolved(raw, there)
        name = f"{before}{key}"
        if place.get("type") == "object" and place.get("properties"):
            if before.count("/") < 2 and not is_table(place):
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
        if place.get("type") == "object" or (place.get("type") == "array" and entries_are_tables(place)):
            if place.get("type") == "object" and holds_scalars(place):
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


def _pairs(value: Any) -> str:
    if not isinstance(value, Mapping):
        return ""
    lines = []
    for key, member in value.items():
        if isinstance(member, Mapping):
            member = ", ".join(f"{inner} = {_text(text)}" for inner, text in member.items())
        elif isinstance(member, list):
            member = " + ".join(map(str, member))
        lines.append(f"{key}: {member}")
    return "\n".join(lines)


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
        choices = tuple(str(choice) for choice in place.get("enum", [place.get("const")]))
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
        place = resolved(raw, there)
        if place.get("type") == "object" and not place.get("properties") and not holds_scalars(place):
            entries = (
                tuple((name, summary(entry)) for name, entry in there.items())
                if isinstance(there, Mapping)
                else ()
            )
            made.append(FormTable(key, _words(key), entries, help=raw.get("description", "")))
        elif place.get("type") == "array" and entries_are_tables(place):
            inner = resolved(place["items"], None)
            if inner.get("type") == "object":
                entries_ = (
                    tuple((index, summary(entry)) for index, entry in enumerate(there))
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
    for key, member in value.items():
        if isinstance(member, Mapping | list) and key not in ("at", "of", "by", "from", "buttons", "people"):
            continue
        shown = (
            ", ".join(f"{inner} {_text(text)}" for inner, text in member.items())
            if isinstance(member, Mapping)
            else _text(member)
        )
        parts.append(
            shown
            if key in ("says", "part", "kind", "to", "function", "never", "build")
            else f"{_words(key)} {shown}"
        )
    return " · ".join(parts)[:160]


def _words(key: str) -> str:
    return key.replace("_", " ")


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        is_point = all(isinstance(number, int | float) for number in value)
        return (", " if is_point else "; ").join(_text(part) for part in value)
    if isinstance(value, float):
        return f"{value:g}" if abs(value) < 1e6 else str(value)
    return str(value)


def written(asked: FormField, text: str) -> Any:
    """What a field's text becomes in the file; None for an empty asked.

    >>> written(FormField("at", "at", "", kind="point"), "14, -25.5")
    [14, -25.5]
    """
    text = " ".join(text.split()) if asked.kind != "pairs" else text.strip()
    if not text:
        return None
    if asked.kind == "point":
        pieces = [piece for piece in text.replace(";", ",").replace(" ", ",").split(",") if piece]
        try:
            return [_plain_number(piece.removesuffix("m")) for piece in pieces]
        except ValueError:
            return text
    if asked.kind == "list":
        return [piece.strip() for piece in text.split(";") if piece.strip()]
    if asked.kind == "pairs":
        return dict(_pair(line) for line in text.splitlines() if line.strip())
    if asked.kind == "choice" and set(asked.choices) == {"true", "false"}:
        return text == "true"
    if asked.example == "a whole number" and text.lstrip("+-").isdigit():
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
