"""Several entries at once out of a table: pasted from a list that somebody has, or typed line by line.

The first line says what the columns are, by the labels of the form or by the keys of the job file. All rows
are saved together, or none, and every fault is told with its row and column.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.desk.access import DeskRole
from farpress.desk.form_schema import Path, value_at
from farpress.desk.forms import FormField, written
from farpress.desk.frame import JobRequest, sheet_of
from farpress.desk.pages.changing import body_of, saved, table_in
from farpress.desk.pages.entries import appended, put_value
from farpress.desk.pages.entry_forms import KINDS_OF_PARTS, entry_path, form_of, with_empty
from farpress.desk.pages.tasks import placed_field
from farpress.desk.task_pages import singular
from farpress.domain.finding import Change
from farpress.errors import InputError
from farpress.phrases import closest, plural

__all__ = ["ROUTES", "cells_of"]

MOST_ROWS: Final = 200
"""Of one table; our choice."""

MOST_LETTERS: Final = 60_000
"""Of one table; our choice."""

MOST_FAULTS: Final = 12
"""Told at once; our choice."""

_NAME: Final = ("name", "number", "label")
"""Heads of the column that names an entry."""

_KIND: Final = "kind of part"


@dataclass(frozen=True)
class _Columns:
    """What each column means: its head, and the place of the one that names an entry, or says its kind."""

    heads: tuple[str, ...]
    name: int | None
    kind: int | None


def cells_of(text: str) -> list[list[str]]:
    r"""Rows of cells: tabs between them, as a spreadsheet gives them, or upright strokes.

    >>> cells_of("name | part\nR1 | receiver-4\n")
    [['name', 'part'], ['R1', 'receiver-4']]
    """
    mark = "\t" if "\t" in text else "|"
    rows = []
    for line in text.splitlines():
        kept = line.strip()[1:-1] if mark == "|" and re.fullmatch(r"\s*\|.*\|\s*", line) else line
        if kept.strip():
            rows.append([" ".join(cell.split()) for cell in kept.split(mark)])
    return rows


async def _enter(request: Request) -> Response:
    body = await body_of(request)
    return await run_in_threadpool(_entered, request, body)


def _entered(request: Request, body: dict[str, Any]) -> Response:
    sheet = sheet_of(request, role=DeskRole.INSTALLER)
    given = table_in(body, "values")
    path = entry_path(given.get("@path", ""))
    text = given.get("table", "")
    if len(path) < 2 or not isinstance(text, str) or len(text) > MOST_LETTERS:
        raise InputError("A table is a text of at most 60 000 letters; load the page again.")
    rows = cells_of(text)
    if len(rows) < 2:
        raise InputError("A table has a first line that says what its columns are, and then a line for each.")
    if len(rows) - 1 > MOST_ROWS:
        raise InputError(f"This table has {len(rows) - 1} rows; at most {MOST_ROWS} go in at once.")
    changes, faults = _changes(sheet, path, rows)
    if faults:
        more = f" And {len(faults) - MOST_FAULTS} more." if len(faults) > MOST_FAULTS else ""
        raise InputError(f"Nothing was added. {' '.join(faults[:MOST_FAULTS])}{more}")
    called = singular(str(path[-2]))
    return saved(sheet, changes, says=f"{plural(len(rows) - 1, called)} added out of a table")


def _changes(sheet: JobRequest, path: Path, rows: list[list[str]]) -> tuple[list[Change], list[str]]:
    """The changes that add every row, and what is wrong, row by row."""
    is_list = isinstance(path[-1], int)
    heads = tuple(head.casefold().removesuffix(" (needed)") for head in rows[0])
    name = next((place for place, head in enumerate(heads) if head in _NAME), None)
    kind = next((place for place, head in enumerate(heads) if head == _KIND), None)
    if not is_list and name is None:
        raise InputError("One column has to be called 'name': it says how each entry is called.")
    columns = _Columns(heads, None if is_list else name, kind if path[:1] == ("parts",) else None)
    values = sheet.bench.values()
    changes: list[Change] = []
    faults: list[str] = []
    names: set[str] = set()
    for number, row in enumerate(rows[1:], 1):
        place: Path = path
        if columns.name is not None:
            called = row[columns.name] if columns.name < len(row) else ""
            if not called or "/" in called:
                faults.append(f"Row {number}: give it a name, without a slash.")
                continue
            place = (*path[:-1], called)
            if called in names or value_at(values, place) is not None:
                faults.append(f"Row {number}: there is a '{called[:40]}' already.")
                continue
            names.add(called)
        entry = dict(_read(sheet, values, place, columns, number, row, faults))
        made = {}
        if columns.kind is not None:
            made["kind"] = row[columns.kind]
        for key, value in entry.items():
            put_value(made, key.split("/"), value)
        changes += _added(values, place, made, changes)
    return changes, faults


def _read(
    sheet: JobRequest,
    values: Any,
    place: Path,
    columns: _Columns,
    number: int,
    row: list[str],
    faults: list[str],
) -> Iterator[tuple[str, Any]]:
    """Names and values of the fields of one row; what cannot be meant so is told."""
    kind = row[columns.kind] if columns.kind is not None and columns.kind < len(row) else None
    if columns.kind is not None and kind not in KINDS_OF_PARTS:
        faults.append(f"Row {number}: a part is one of {', '.join(KINDS_OF_PARTS)}.")
        return
    fields = _by_head(form_of(sheet, place, with_empty(values, place, kind)))
    for column, cell in enumerate(row):
        if not cell or column in (columns.name, columns.kind):
            continue
        head = columns.heads[column] if column < len(columns.heads) else ""
        field = fields.get(head)
        if field is None:
            text = f"there is no field '{head[:40]}'{closest(head, fields)}" if head else "it has no head"
            faults.append(f"Row {number}, column {column + 1}: {text}.")
            continue
        try:
            yield field.name, written(field, cell)
        except InputError as error:
            faults.append(f"Row {number}, {field.label}: {error}.")


def _by_head(fields: list[FormField]) -> dict[str, FormField]:
    """Every field by its label as it is shown, its own label or what is before its colon, and its key;
    the first of a name counts.
    """
    found: dict[str, FormField] = {}
    for field in fields:
        for head in (placed_field(field).label, field.label, field.name, re.sub(r"[/_]", " ", field.name)):
            found.setdefault(head.casefold(), field)
    for field in fields:
        found.setdefault(field.label.partition(":")[0].casefold(), field)
    return found


def _added(values: Any, place: Path, entry: Any, before: list[Change]) -> list[Change]:
    """The change that adds one entry, after those before it."""
    if isinstance(place[-1], int):
        there = value_at(values, place[:-1])
        if isinstance(there, list):
            return [Change((*place[:-1], len(there) + len(before)), entry)]
        return [Change((*place[:-1], len(before)), entry)] if before else [Change(place[:-1], [entry])]
    return [Change(place, entry)] if before else appended(values, place, entry)


ROUTES: Final = [Route("/j/{job}/entry/table", _enter, methods=["POST"])]
