"""Every entry of a job in a form: looked at, changed, added, without seeing the file."""

from __future__ import annotations

import re
from itertools import product
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from farpress.desk.access import DeskRole
from farpress.desk.field_words import topic_of, words_for
from farpress.desk.form_schema import Path, schema_at, value_at
from farpress.desk.form_values import entry_line
from farpress.desk.forms import FormField, tables_of, written
from farpress.desk.frame import JobRequest, answer, sheet_of
from farpress.desk.pages.changing import body_of, table_in, told
from farpress.desk.pages.entry_forms import KINDS_OF_PARTS, entry_path, entry_title, form_of, with_empty
from farpress.desk.task_pages import TASKS, TOP_FIELDS
from farpress.domain.finding import Change
from farpress.errors import InputError, JobFileError
from farpress.jobfile.merging import MergeRefused

__all__ = ["ROUTES", "appended", "put_value"]

TOP: Final = (
    (("details",), "Customer and papers"),
    (("premises",), "Premises"),
    (("functions",), "Functions"),
    (("people",), "People"),
    (("groups",), "Groups and their fobs"),
    (("promises",), "Promises"),
    (("rules",), "Rules: what must never happen"),
    (("stories",), "Stories: what happens, and how it shall end"),
    (("readings",), "Readings on site"),
    (("parts",), "Parts from data sheets"),
    (("register",), "How the register grows"),
    (("roads",), "Ways between premises"),
    (("traffic",), "Busy hours"),
)
"""Sections of the job page, in the order of the job file."""

MOST_NAMES: Final = 50
"""Entries added at once; our choice."""


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    values = sheet.bench.values()
    sections = []
    for path, title in TOP:
        value = value_at(values, path)
        is_single = path[0] in ("details", "register")
        entries: list[tuple[Path, str, str]] = []
        if is_single:
            entries = [(path, "", entry_line(value))] if value else []
        elif isinstance(value, dict):
            entries = [((*path, name), name, entry_line(entry, path)) for name, entry in value.items()]
        elif isinstance(value, list):
            entries = [
                ((*path, index), str(index + 1), entry_line(entry, path)) for index, entry in enumerate(value)
            ]
        sections.append(
            {
                "path": path,
                "title": title,
                "single": is_single,
                "entries": entries,
                "list": path[0] in ("promises", "rules", "readings", "roads", "traffic"),
                "count": len(entries),
            }
        )
    job = sheet.state.case.job
    details = [
        (words_for(key).label, getattr(job, key) or "") for key in TOP_FIELDS if key in type(job).model_fields
    ]
    return sheet.page("job.html", here="job", sections=sections, top=details, tasks=TASKS, task=None)


def _form(request: Request) -> Response:
    """The form of one entry, with the tables below it."""
    sheet = sheet_of(request)
    path = entry_path(request.query_params.get("path", ""))
    values = sheet.bench.values()
    is_new = request.query_params.get("new") == "1"
    kind = request.query_params.get("kind")
    if is_new and path:
        values = with_empty(values, path, kind)
    schema = schema_at(path, values)
    if schema is None or (
        path
        and not is_new
        and value_at(values, path) is None
        and path[0] not in ("details", "register", *TOP_FIELDS)
    ):
        raise InputError("There is no such entry (any more). Load the page again.")
    groups: dict[str, list[FormField]] = {}
    for field in form_of(sheet, path, values):
        groups.setdefault(field.group, []).append(field)
    main = groups.pop("", [])
    given, topics = main, dict[str, list[FormField]]()
    if len(main) >= 14:
        given = [field for field in main if field.value or field.required]
        for field in main:
            if field not in given:
                topics.setdefault(topic_of(field.name), []).append(field)
    return sheet.part(
        "entry.html",
        path=path,
        title=entry_title(path, is_new),
        given=given,
        groups=dict(sorted(topics.items())) | groups,
        tables=[] if is_new else tables_of(path, values),
        is_new=is_new,
        names_it=bool(path) and path[-1] == "",
        kind=kind,
        asks_kind=path[:1] == ("parts",) and is_new and not kind,
        part_kinds=KINDS_OF_PARTS,
        removable=len(path) > 1 and not is_new,
    )


async def _save(request: Request) -> Response:
    body = await body_of(request)
    return await run_in_threadpool(_saved, request, body)


def _saved(request: Request, body: dict[str, Any]) -> Response:
    sheet = sheet_of(request, role=DeskRole.INSTALLER)
    table = table_in(body, "values")
    if "@path" not in table:
        raise InputError("The request was not understood; load the page again.")
    path = entry_path(table["@path"])
    given = {str(key): str(value) for key, value in table.items() if isinstance(value, str | int | float)}
    try:
        if given.get("@new") == "1" and path:
            return _added(sheet, path, given, body.get("base"))
        return _changed(sheet, path, given, body)
    except _FieldFaults as error:
        return _faulty(error.faults)


class _FieldFaults(Exception):
    """What was typed into some fields cannot be meant so."""

    def __init__(self, faults: list[tuple[str, str]]) -> None:
        super().__init__("fields with faults")
        self.faults = faults


def _written(fields: list[FormField], given: dict[str, str]) -> dict[str, Any]:
    """Name of each field that was sent → its value for the file.

    Raises:
        _FieldFaults: some cannot be meant so.
    """
    made: dict[str, Any] = {}
    faults = []
    for field in fields:
        if field.name in given:
            try:
                made[field.name] = written(field, given[field.name])
            except InputError as error:
                faults.append((field.name, str(error)))
    if faults:
        raise _FieldFaults(faults)
    return made


def _added(sheet: JobRequest, path: Path, given: dict[str, str], base: object) -> Response:
    values, kind = sheet.bench.values(), given.get("@kind") or None
    names: list[str | int] = [path[-1]]
    if path[-1] == "":
        names = list(_names(given.get("@name", "")))
        for name in names:
            if "/" in str(name):
                return _faulty([("@name", "give it a name, without a slash")])
            if value_at(values, (*path[:-1], name)) is not None:
                return _faulty([("@name", f"there is a '{name}' already")])
        if not names:
            return _faulty([("@name", "give it a name, without a slash")])
    first: Path = (*path[:-1], names[0])
    fields = form_of(sheet, first, with_empty(values, first, kind))
    found = _written(fields, given)
    rows = [found]
    if path[:1] == ("promises",) and isinstance(path[-1], int):
        rows = _promised_together(found)
        names = [path[-1] + number for number in range(len(rows))]
    changes: list[Change] = []
    for number, name in enumerate(names):
        entry: dict[str, Any] = {"kind": kind} if kind else {}
        for field, value in rows[number % len(rows)].items():
            put_value(entry, field.split("/"), value)
        if name == names[0]:
            changes += appended(values, first, entry)
        else:
            changes.append(Change((*path[:-1], name), entry))
    says = entry_title(first, False) + (f" and {len(names) - 1} more" if len(names) > 1 else "") + " added"
    return _edited(sheet, first, fields, changes, says, base)


def _promised_together(found: dict[str, Any]) -> list[dict[str, Any]]:
    """One promise for each group, function and place where several are named with a semicolon between.

    >>> [row["to"] for row in _promised_together({"to": "nurses; cleaners", "from": "door"})]
    ['nurses', 'cleaners']
    """
    keys = [key for key in ("to", "function", "from") if isinstance(found.get(key), str)]
    named = [[name.strip() for name in found[key].split(";") if name.strip()] for key in keys]
    every = [{**found, **dict(zip(keys, chosen, strict=True))} for chosen in product(*named)]
    return every[:MOST_NAMES] or [found]


def _names(text: str) -> list[str]:
    """One name or several: "R2; R3", or "zone 1 to 8".

    >>> _names("R1 to R3")
    ['R1', 'R2', 'R3']
    """
    made: list[str] = []
    for piece in text.split(";"):
        name = " ".join(piece.split())
        run = re.fullmatch(r"(.*?)(\d{1,4}) to (.*?)(\d{1,4})", name)
        if run and run[3] in ("", run[1]) and 0 < int(run[4]) - int(run[2]) < MOST_NAMES:
            made += [f"{run[1]}{number}" for number in range(int(run[2]), int(run[4]) + 1)]
        elif name:
            made.append(name)
    return list(dict.fromkeys(made))[:MOST_NAMES]


def _changed(sheet: JobRequest, path: Path, given: dict[str, str], body: dict[str, Any]) -> Response:
    values = sheet.bench.values()
    fields = form_of(sheet, path, values)
    new = _written(fields, given)
    also = body.get("also")
    paths = [path, *map(entry_path, also if isinstance(also, list) else [])]
    changes: list[Change] = []
    labels: list[str] = []
    for place in paths:
        before = value_at(values, place)
        there = fields if place == path else form_of(sheet, place, values)
        if place != path and (before is None or place[-2:-1] != path[-2:-1]):
            raise InputError("Only entries of one kind are changed together; load the page again.")
        for field in there:
            if field.name in new and given[field.name].strip() != field.value.strip():
                made = _change(place, before, field, new[field.name], pending=changes)
                changes += made
                labels += [field.label] if made else []
    if not changes:
        return answer("Nothing was changed.")
    others = f" and {len(paths) - 1} more" if len(paths) > 1 else ""
    says = f"{entry_title(path, False)}{others} changed: {', '.join(dict.fromkeys(labels))}"
    return _edited(sheet, path, fields, changes, says, body.get("base"))


def _edited(
    sheet: JobRequest, path: Path, fields: list[FormField], changes: list[Change], says: str, base: object
) -> Response:
    try:
        version = sheet.bench.edit(
            changes, by=sheet.session.name, says=says[:200], base=base if isinstance(base, str) else None
        )
    except JobFileError as error:
        return _faulty_file(path, fields, error)
    except MergeRefused as error:
        clashes = [
            {"path": [*clash.path], "before": clash.before, "mine": clash.mine, "theirs": clash.theirs}
            for clash in error.clashes
        ]
        raw = [{"path": [*change.path], "value": change.value} for change in changes]
        return JSONResponse(
            {
                "ok": False,
                "says": str(error),
                "faults": [],
                "clashes": clashes,
                "changes": raw,
                "about": says,
            },
            409,
        )
    return told(sheet, version)


def appended(values: Any, path: Path, entry: Any) -> list[Change]:
    """Changes that add an entry, its table or list made where there is none yet."""
    if isinstance(path[-1], int):
        there = value_at(values, path[:-1])
        if not isinstance(there, list):
            return [Change(path[:-1], [entry])]
        return [Change((*path[:-1], len(there)), entry)]
    if value_at(values, path[:-1]) is None:
        return [Change(path[:-1], {path[-1]: entry})]
    return [Change(path, entry)]


def put_value(entry: dict[str, Any], keys: list[str], value: Any) -> None:
    """Put a value into an entry, tables on the way made."""
    if value is None:
        return
    for key in keys[:-1]:
        entry = entry.setdefault(key, {})
    entry[keys[-1]] = value


def _change(path: Path, before: Any, field: FormField, value: Any, *, pending: list[Change]) -> list[Change]:
    """The changes of one field; a table inside that is not there yet comes with its first field, and the
    others of it go into that.
    """
    keys = field.name.split("/")
    there = before
    for depth, key in enumerate(keys[:-1]):
        inner = there.get(key) if isinstance(there, dict) else None
        if inner is None and value is not None:
            place = (*path, *keys[: depth + 1])
            begun = next((change for change in pending if change.path == place), None)
            if begun is not None:
                put_value(begun.value, keys[depth + 1 :], value)  # type: ignore[arg-type]
                return []
            wanted: dict[str, Any] = {}
            put_value(wanted, keys[depth + 1 :], value)
            return [Change(place, wanted)]
        there = inner
    old = there.get(keys[-1]) if isinstance(there, dict) else None
    if value is None and old is None:
        return []
    if isinstance(value, list) and isinstance(old, list) and len(value) == len(old) and field.kind == "point":
        return [Change((*path, *keys, index), new) for index, new in enumerate(value) if new != old[index]]
    if value is None and isinstance(there, dict) and len(there) == 1 and len(keys) > 1:
        return [Change((*path, *keys[:-1]), None)]
    return [Change((*path, *keys), value)]


def _faulty(faults: list[tuple[str, str]]) -> Response:
    return JSONResponse(
        {
            "ok": False,
            "says": "",
            "faults": [{"field": name, "says": says} for name, says in faults],
            "clashes": [],
        },
        422,
    )


def _faulty_file(path: Path, fields: list[FormField], error: JobFileError) -> Response:
    """Faults beside the fields they are about."""
    head = ".".join(str(key) for key in path)
    told_ = []
    for fault in error.faults:
        place = re.sub(r"\[(\d+)\]", r".\1", fault.path)
        tail = place.removeprefix(head).lstrip(".").replace(".", "/") if place.startswith(head) else None
        field = next(
            (
                field.name
                for field in fields
                if tail and (tail == field.name or tail.startswith(f"{field.name}/"))
            ),
            None,
        ) or next((field.name for field in fields if tail and field.name.startswith(f"{tail}/")), None)
        told_.append({"field": field, "path": fault.path if field is None else "", "says": fault.says})
    return JSONResponse({"ok": False, "says": "Nothing was saved.", "faults": told_, "clashes": []}, 422)


ROUTES: Final = [
    Route("/j/{job}/job", _page),
    Route("/j/{job}/entry", _form),
    Route("/j/{job}/entry", _save, methods=["POST"]),
]
