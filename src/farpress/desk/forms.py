"""Forms made from the tables of the job file: unit, limits and help are those of the file.

One description of every entry: the schema of the job. So a unit can't differ between page
and file, and a field added to the job is on the page the same day.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final

from farpress.desk.field_words import words_for
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
from farpress.desk.form_values import entry_line, pairs_text, pressed_text, value_text, written_value
from farpress.domain.job import Job
from farpress.quantity_kinds import KINDS

__all__ = ["FormField", "FormTable", "fields_of", "tables_of", "written"]

LONG: Final = ("says", "because", "address")
"""Keys whose values are sentences."""

WHOLE: Final = "a whole number"

BUTTONS: Final = 4
"""Buttons of a fob of which nobody says how many it has; our choice, the most usual."""


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
        kind: "text", "long", "choice", "point", "list", "pairs", "pressed".
        required: it must be there.
        group: heading of the table inside that it belongs to; empty for the entry's own.
        why: what it decides.
        usual: what counts where it is left empty, as "10 mA, as its part says"; empty where nothing does.
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
    why: str = ""
    usual: str = ""


@dataclass(frozen=True)
class FormTable:
    """Entries below an entry, which have forms of their own: outputs of a receiver, walls of a premises."""

    key: str
    label: str
    entries: tuple[tuple[str | int, str], ...] = ()
    is_list: bool = False
    help: str = field(default="")


@dataclass(frozen=True)
class _Asked:
    """What all fields of a form share: where the entry is, and what is known around it."""

    path: Path
    job: Job
    known: Mapping[str, Collection[str]]
    usual: Mapping[str, str]
    buttons: int

    def table(self, key: str) -> _Asked:
        return replace(self, path=(*self.path, key))


def fields_of(
    path: Path,
    values: Any,
    job: Job,
    known: Mapping[str, Collection[str]],
    *,
    usual: Mapping[str, str] | None = None,
    buttons: int = BUTTONS,
) -> list[FormField]:
    """The fields of the entry at a path, with its values as they stand in the file.

    Tables of one level inside (a cable with its part and length) are fields of the same form.

    Args:
        path: of the entry.
        values: of the whole file.
        job: for names to suggest.
        known: names of the catalogue.
        usual: name of a field → what counts where it is left empty.
        buttons: of the fob, where the entry is a group.
    """
    schema = schema_at(path, values)
    value = value_at(values, path)
    if schema is None:
        return []
    return list(_fields(_Asked(path, job, known, usual or {}, buttons), schema, value, "", ""))


def _fields(
    asked: _Asked, schema: dict[str, Any], value: Any, before: str, group: str
) -> Iterator[FormField]:
    required = schema.get("required", [])
    for key, raw in schema.get("properties", {}).items():
        there = value.get(key) if isinstance(value, Mapping) else None
        place = resolved(raw, there)
        name = f"{before}{key}"
        if key == "buttons" and place.get("type") == "object":
            yield from _buttons(asked, there)
        elif place.get("type") == "object" and place.get("properties"):
            if before.count("/") < 2 and not is_table(place):
                heading = words_for(key, _around(asked.path)).label
                yield from _fields(
                    asked.table(key), place, there, f"{name}/", f"{group}: {heading}" if group else heading
                )
        elif place.get("type") == "object" or (place.get("type") == "array" and entries_are_tables(place)):
            if place.get("type") == "object" and holds_scalars(place):
                words = words_for(key, _around(asked.path))
                yield FormField(
                    name,
                    words.label,
                    pairs_text(there),
                    place.get("description", raw.get("description", "")),
                    "name: value, one a line",
                    kind="pairs",
                    group=group,
                    why=words.why,
                )
        else:
            is_needed = key in required and not before
            yield _field(asked, key, name, place, there, is_needed, group, raw.get("description", ""))


def _around(path: Path) -> list[str]:
    """Names of the tables around a field; an own name there does no harm, it is no table's."""
    return [key for key in path if isinstance(key, str)]


def _buttons(asked: _Asked, value: Any) -> Iterator[FormField]:
    """One field a button, so that none can stand twice."""
    there = {str(key): member for key, member in value.items()} if isinstance(value, Mapping) else {}
    for number in dict.fromkeys([*map(str, range(1, asked.buttons + 1)), *there]):
        yield FormField(
            f"buttons/{number}",
            f"button {number}",
            pressed_text(there.get(number)),
            "a function; several with +; another for a long press after ', long:'",
            "open gate",
            suggestions=tuple(asked.job.functions),
            kind="pressed",
            group="buttons",
        )


def _field(
    asked: _Asked,
    key: str,
    name: str,
    place: dict[str, Any],
    value: Any,
    required: bool,
    group: str,
    help_: str,
) -> FormField:
    kind = place.get("x-kind")
    words = words_for(key, _around(asked.path))
    default = place.get("x-default")
    plain = FormField(
        name,
        words.label,
        value_text(value),
        place.get("description", "") or help_,
        words.example,
        required=required,
        group=group,
        why=words.why,
        usual=asked.usual.get(name) or (f"{value_text(default)}, unless said" if default is not None else ""),
    )
    if "enum" in place or "const" in place:
        choices = tuple(str(choice) for choice in place.get("enum", [place.get("const")]))
        return replace(plain, choices=choices, kind="choice")
    if place.get("type") == "boolean":
        usual = plain.usual.replace("true,", "yes,").replace("false,", "no,")
        return replace(plain, choices=("true", "false"), kind="choice", usual=usual)
    if kind:
        about = KINDS[kind]
        help_ = plain.help or f"a {about.name} with its unit"
        return replace(plain, help=help_, example=words.example or about.example)
    if place.get("type") == "array" and place.get("items", {}).get("type") == "number":
        help_ = "metres on the plan: x, y, or x, y, height"
        return replace(plain, help=help_, example=words.example or "14, -25", kind="point")
    suggestions = names_for(asked.path, key, asked.job, asked.known)
    if place.get("type") == "array":
        help_ = plain.help or "several: separate them with a semicolon"
        return replace(plain, help=help_, suggestions=suggestions, kind="list")
    if place.get("type") == "integer":
        return replace(plain, example=words.example or WHOLE, kind="whole")
    return replace(plain, suggestions=suggestions, kind="long" if key in LONG else "text")


def tables_of(path: Path, values: Any) -> list[FormTable]:
    """The tables below the entry at a path whose entries have forms of their own."""
    schema = schema_at(path, values)
    value = value_at(values, path)
    made = []
    for key, raw in (schema or {}).get("properties", {}).items():
        there = value.get(key) if isinstance(value, Mapping) else None
        place = resolved(raw, there)
        label, help_ = words_for(key, _around(path)).label, raw.get("description", "")
        if place.get("type") == "object" and not place.get("properties") and not holds_scalars(place):
            if key == "buttons":
                continue
            entries = (
                tuple((name, entry_line(entry, (*path, key))) for name, entry in there.items())
                if isinstance(there, Mapping)
                else ()
            )
            made.append(FormTable(key, label, entries, help=help_))
        elif place.get("type") == "array" and entries_are_tables(place):
            inner = resolved(place["items"], None)
            if inner.get("type") == "object":
                entries_ = (
                    tuple((index, entry_line(entry, (*path, key))) for index, entry in enumerate(there))
                    if isinstance(there, list)
                    else ()
                )
                made.append(FormTable(key, label, entries_, True, help=help_))
    return made


def written(asked: FormField, text: str) -> Any:
    """What a field's text becomes in the file; None for an empty one.

    Raises:
        InputError: it cannot be meant so, as a name on two lines.

    >>> written(FormField("at", "at", "", kind="point"), "14, -25.5")
    [14, -25.5]
    """
    return written_value(asked.kind, text, asked.choices, is_number=asked.kind == "whole")
