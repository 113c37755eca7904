"""The job by task: its entries as blocks, edited in place; nothing that is typed is lost."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.desk.field_words import words_for
from farpress.desk.form_schema import Path, is_table, schema_at, value_at
from farpress.desk.form_values import entry_line
from farpress.desk.forms import FormField
from farpress.desk.frame import JobRequest, sheet_of
from farpress.desk.pages.entry_forms import KINDS_OF_PARTS, form_of, with_empty
from farpress.desk.task_pages import INLINE, TASKS, TOP_FIELDS, JobTask, always_shown, asked_first, singular
from farpress.errors import InputError

__all__ = ["ROUTES", "placed_field"]

MOST_BLOCKS: Final = 40
"""Entries of one table that are shown with their fields; of more only a line each: our choice."""


@dataclass(frozen=True)
class _EntryBlock:
    """One entry with its fields.

    Attributes:
        path: of the entry.
        slug: the same for names of elements.
        title: what it is and how it is called.
        fields: shown here.
        rooms: tables inside whose entries stand below it.
        has_name: it can be renamed.
        removable: it can be taken out.
        more: how many fields are one step away.
    """

    path: Path
    slug: str
    title: str
    fields: tuple[FormField, ...]
    rooms: tuple[_EntryRoom, ...]
    has_name: bool
    removable: bool
    more: int


@dataclass(frozen=True)
class _EntryRoom:
    """A table with its entries.

    Attributes:
        path: of the table.
        slug: the same for names of elements.
        title: as a heading.
        one: what an entry is called.
        blocks: its entries with their fields, or none where there are too many.
        lines: the entries in a line each, where there are too many.
        new: fields of an entry to add; the path of a new one.
        new_path: where it will stand.
        names_it: it has a name of its own.
        kinds: kinds of parts to choose from.
    """

    path: Path
    slug: str
    title: str
    one: str
    blocks: tuple[_EntryBlock, ...]
    lines: tuple[tuple[Path, str, str], ...]
    new: tuple[FormField, ...]
    new_path: Path
    names_it: bool
    kinds: tuple[str, ...] = ()

    @property
    def heads(self) -> tuple[str, ...]:
        """Heads of the columns of a table of new entries."""
        fixed = (*(("name",) if self.names_it else ()), *(("kind of part",) if self.kinds else ()))
        return (*fixed, *(field.label for field in self.new if field.kind != "pressed"))


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    name = request.path_params["task"]
    task = next((task for task in TASKS if task.name == name), None)
    if task is None:
        raise InputError(
            f"There is no page '{name[:40]}' of the job; there are {', '.join(t.name for t in TASKS)}."
        )
    values = sheet.bench.values()
    rooms = [_room(sheet, values, path) for path in _tables(task, sheet)]
    lists: dict[tuple[str, ...], str] = {}
    for field in _every_field(rooms):
        if field.suggestions:
            lists.setdefault(field.suggestions, f"names-{len(lists) + 1}")
    return sheet.page(
        "tasks.html",
        here="job",
        tasks=TASKS,
        task=task,
        rooms=rooms,
        top=_top(sheet, values) if task.name == "customer" else None,
        lists=lists,
        premises=list(sheet.state.case.job.premises),
        others={block.path: _alike(room, block) for room in _every_room(rooms) for block in room.blocks},
    )


def _tables(task: JobTask, sheet: JobRequest) -> Iterator[Path]:
    for table in task.tables:
        if table.startswith("*."):
            for premises in sheet.state.case.job.premises:
                yield ("premises", premises, table.removeprefix("*."))
        else:
            yield (table,)


def _every_room(rooms: list[_EntryRoom]) -> Iterator[_EntryRoom]:
    for room in rooms:
        yield room
        for block in room.blocks:
            yield from _every_room(list(block.rooms))


def _every_field(rooms: list[_EntryRoom]) -> Iterator[FormField]:
    for room in _every_room(rooms):
        yield from room.new
        for block in room.blocks:
            yield from block.fields


def _alike(room: _EntryRoom, block: _EntryBlock) -> int:
    return sum(other is not block for other in room.blocks)


def _room(sheet: JobRequest, values: Any, path: Path, around: str = "") -> _EntryRoom:
    table = str(path[-1])
    schema = schema_at(path, values) or {}
    value = value_at(values, path)
    title = words_for(table).label.capitalize()
    if len(path) > 2 and path[0] == "premises" and len(sheet.state.case.job.premises) > 1 and not around:
        title = f"{title} of {path[1]}"
    if schema.get("properties") and not is_table(schema):  # one entry, as what stands on the papers
        block = _block(sheet, values, path, table, around, title)
        return _EntryRoom(path, _slug(path), title, singular(table), (block,), (), (), (), False)
    keys: list[str | int] = []
    if isinstance(value, Mapping):
        keys = [str(key) for key in value]
    elif isinstance(value, list):
        keys = list(range(len(value)))
    is_list = schema.get("type") == "array"
    new_path: Path = (*path, len(keys)) if is_list else (*path, "")
    entries = [((*path, key), str(key + 1) if isinstance(key, int) else key) for key in keys]
    blocks: tuple[_EntryBlock, ...] = ()
    lines: tuple[tuple[Path, str, str], ...] = ()
    if len(entries) <= MOST_BLOCKS:
        blocks = tuple(
            _block(sheet, values, place, table, around, f"{singular(table).capitalize()} {name}")
            for place, name in entries
        )
    else:
        lines = tuple((place, name, entry_line(value_at(values, place), place)) for place, name in entries)
    kinds = KINDS_OF_PARTS if table == "parts" else ()
    shown = with_empty(values, new_path, kinds[0] if kinds else None)
    form = [field for field in form_of(sheet, new_path, shown) if not (kinds and field.name == "kind")]
    new = _chosen(form, asked_first(table, around), with_values=False)
    return _EntryRoom(
        path, _slug(path), title, singular(table), blocks, lines, new, new_path, not is_list, kinds
    )


def _block(sheet: JobRequest, values: Any, path: Path, table: str, around: str, title: str) -> _EntryBlock:
    value = value_at(values, path)
    kind = str(value.get("kind", "")) if isinstance(value, Mapping) and table == "parts" else ""
    every = [field for field in form_of(sheet, path, values) if not (kind and field.name == "kind")]
    fields = _chosen(every, always_shown(table, around, kind), with_values=True)
    is_entry = len(path) > 1
    return _EntryBlock(
        path,
        _slug(path),
        title if not kind else f"{title}, {kind}",
        fields,
        tuple(_room(sheet, values, (*path, inner), table) for inner in INLINE.get(table, ())),
        has_name=is_entry and isinstance(path[-1], str),
        removable=is_entry,
        more=len(every) - len(fields),
    )


def _chosen(fields: list[FormField], names: tuple[str, ...], *, with_values: bool) -> tuple[FormField, ...]:
    """The fields that are always shown in their order, then the others that have a value; each says which
    table inside it belongs to.
    """
    by_name = {field.name: field for field in fields}
    chosen = [by_name[name] for name in names if name in by_name]
    chosen += [
        field
        for field in fields
        if field.name not in names
        and (
            field.kind == "pressed"
            or (with_values and field.value)
            or (field.required and field not in chosen)
        )
    ]
    return tuple(placed_field(field) for field in chosen)


def placed_field(field: FormField) -> FormField:
    """A field of a table inside with that table in its label, where its own words do not say it."""
    table = field.name.rpartition("/")[0].rpartition("/")[2]
    if not table or field.kind == "pressed":
        return field
    heading = words_for(table).label
    first = heading.split()[-1]
    return field if first in field.label else replace(field, label=f"{heading}: {field.label}")


def _top(sheet: JobRequest, values: Any) -> _EntryBlock:
    """What stands at the top of the file itself."""
    by_name = {field.name: field for field in form_of(sheet, (), values)}
    fields = tuple(by_name[name] for name in TOP_FIELDS if name in by_name)
    return _EntryBlock((), "top", "The job", fields, (), False, False, 0)


def _slug(path: Path) -> str:
    return "e-" + "-".join(re.sub(r"[^A-Za-z0-9]", "_", str(key)) for key in path)


ROUTES: Final = [Route("/j/{job}/job/{task}", _page)]
