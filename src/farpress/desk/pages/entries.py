"""Every entry of a job in a form: looked at, changed, added, removed, without seeing the file."""

from __future__ import annotations

import json
import re
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from farpress.desk.access import DeskRole
from farpress.desk.form_schema import schema_at, value_at
from farpress.desk.forms import FormField, fields_of, summary, tables_of, written
from farpress.desk.frame import JobRequest, answer, sheet_of
from farpress.desk.pages.changing import body_of, table_in, told
from farpress.domain.finding import Change
from farpress.errors import InputError, JobFileError
from farpress.jobfile.merging import MergeRefused

__all__ = ["ROUTES"]

Path = tuple[str | int, ...]

TOP: Final = (
    (("details",), "Customer and papers"),
    (("premises",), "Premises"),
    (("functions",), "Functions"),
    (("people",), "People"),
    (("groups",), "Groups and their fobs"),
    (("promises",), "Promises"),
    (("rules",), "Rules: what must never happen"),
    (("readings",), "Readings on site"),
    (("parts",), "Parts from data sheets"),
    (("register",), "How the register grows"),
    (("roads",), "Ways between premises"),
    (("traffic",), "Busy hours"),
)
"""Sections of the job page, in the order of the job file."""

KINDS_OF_PARTS: Final = (
    "receiver",
    "fob",
    "cell",
    "supply",
    "battery",
    "cable",
    "coax",
    "aerial",
    "relay",
    "device",
    "panel",
)


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    values = sheet.bench.values()
    sections = []
    for path, title in TOP:
        value = value_at(values, path)
        is_single = path[0] in ("details", "register")
        entries: list[tuple[Path, str, str]] = []
        if is_single:
            entries = [(path, "", summary(value))] if value else []
        elif isinstance(value, dict):
            entries = [((*path, name), name, summary(entry)) for name, entry in value.items()]
        elif isinstance(value, list):
            entries = [((*path, index), str(index + 1), summary(entry)) for index, entry in enumerate(value)]
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
    details = [
        ("name of the job", sheet.state.case.job.job),
        ("region", sheet.state.case.job.region or ""),
        ("grade", sheet.state.case.job.grade or ""),
        ("time zone", sheet.state.case.job.time_zone or ""),
    ]
    return sheet.page("job.html", here="job", sections=sections, top=details)


def _form(request: Request) -> Response:
    """The form of one entry, with the tables below it."""
    sheet = sheet_of(request)
    path = _path(request.query_params.get("path", ""))
    values = sheet.bench.values()
    is_new = request.query_params.get("new") == "1"
    kind = request.query_params.get("kind")
    if is_new:
        values = _with_empty(values, path, kind)
    schema = schema_at(path, values)
    if schema is None or (
        not is_new
        and value_at(values, path) is None
        and path[0] not in ("details", "register", "job", "region", "grade", "time_zone")
    ):
        raise InputError("There is no such entry (any more). Load the page again.")
    fields = list(fields_of(path, values, sheet.state.case.job, sheet.bench.known))
    by_name = path and isinstance(path[-1], str) and path[-1] == ""
    groups: dict[str, list[FormField]] = {}
    for field in fields:
        groups.setdefault(field.group, []).append(field)
    main = groups.pop("", [])
    given = [field for field in main if field.value or field.required]
    rest = [field for field in main if not (field.value or field.required)]
    if is_new and len(main) < 14:
        given, rest = main, []
    return sheet.part(
        "entry.html",
        path=path,
        title=_title(path, is_new),
        given=given,
        rest=rest,
        groups=groups,
        tables=[] if is_new else tables_of(path, values),
        is_new=is_new,
        names_it=by_name,
        kind=kind,
        asks_kind=path[:1] == ("parts",) and is_new and not kind,
        part_kinds=KINDS_OF_PARTS,
        removable=len(path) > 1 and not is_new,
    )


def _path(text: str) -> Path:
    try:
        path = json.loads(text)
    except ValueError as error:
        raise InputError("This address is not complete; load the page again.") from error
    if (
        not isinstance(path, list)
        or not path
        or not all(isinstance(key, str | int) and not isinstance(key, bool) for key in path)
    ):
        raise InputError("This address is not complete; load the page again.")
    return tuple(path)


def _with_empty(values: Any, path: Path, kind: str | None) -> Any:
    """The values with an empty entry at a path, so that its form can be drawn."""
    made = json.loads(json.dumps(values))
    place = made
    for key in path[:-1]:
        if isinstance(place, dict):
            place = place.setdefault(str(key), {})
        elif isinstance(place, list) and isinstance(key, int) and key < len(place):
            place = place[key]
    empty: dict[str, Any] = {"kind": kind} if kind else {}
    if isinstance(path[-1], int):
        if isinstance(place, list):
            place.append(empty)
    elif isinstance(place, dict):
        place[path[-1]] = empty
    return made


_SINGULAR: Final = {
    "premises": "premises",
    "functions": "function",
    "people": "person",
    "groups": "group",
    "promises": "promise",
    "rules": "rule",
    "readings": "reading",
    "parts": "part",
    "roads": "way",
    "traffic": "busy hour",
    "levels": "level",
    "walls": "wall",
    "places": "place",
    "supplies": "supply",
    "receivers": "receiver",
    "outputs": "output",
    "inputs": "input",
    "devices": "device",
    "panels": "panel",
    "tamper_loops": "tamper loop",
    "steel": "steel object",
    "openings": "opening",
    "antenna_places": "other place for the aerial",
    "details": "customer and papers",
    "register": "how the register grows",
}


def _title(path: Path, is_new: bool) -> str:
    words = [str(key + 1) if isinstance(key, int) else key for key in path]
    kind = _SINGULAR.get(str(path[-2] if len(path) > 1 else path[-1]), str(path[-1]))
    if is_new:
        return f"New {kind}"
    return f"{kind[:1].upper()}{kind[1:]} {words[-1] if len(path) > 1 else ''}".strip()


async def _save(request: Request) -> Response:
    body = await body_of(request)
    return await run_in_threadpool(_saved, request, body)


def _saved(request: Request, body: dict[str, Any]) -> Response:
    sheet = sheet_of(request, role=DeskRole.INSTALLER)
    table = table_in(body, "values")
    try:
        path = _path(json.dumps(table.get("@path") and json.loads(table["@path"])))
    except (TypeError, ValueError, RecursionError):
        raise InputError("The request was not understood; load the page again.") from None
    given = {str(key): str(value) for key, value in table.items() if isinstance(value, str | int | float)}
    is_new, kind = given.get("@new") == "1", given.get("@kind") or None
    values = sheet.bench.values()
    if is_new and path[-1] == "":
        name = " ".join(given.get("@name", "").split())
        if not name or "/" in name:
            return _faulty([("@name", "give it a name, without a slash")])
        if value_at(values, (*path[:-1], name)) is not None:
            return _faulty([("@name", f"there is a '{name}' already")])
        path = (*path[:-1], name)
    shown = _with_empty(values, path, kind) if is_new else values
    fields = fields_of(path, shown, sheet.state.case.job, sheet.bench.known)
    before = value_at(values, path)
    if is_new:
        entry: dict[str, Any] = {"kind": kind} if kind else {}
        for field in fields:
            _put(entry, field.name.split("/"), written(field, given.get(field.name, "")))
        changes = _appended(values, path, entry)
        says = f"{_title(path, False)} added"
    else:
        changes = []
        for field in fields:
            if field.name in given and given[field.name].strip() != field.value.strip():
                changes += _change(path, before, field, written(field, given[field.name]))
        changed = (
            change.path[-1] if isinstance(change.path[-1], str) else str(change.path[-2])
            for change in changes
        )
        says = f"{_title(path, False)} changed: {', '.join(changed)}"
    if not changes:
        return answer("Nothing was changed.")
    base = body.get("base")
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


def _appended(values: Any, path: Path, entry: Any) -> list[Change]:
    """Changes that add an entry, its table or list made where there is none yet."""
    if isinstance(path[-1], int):
        there = value_at(values, path[:-1])
        if not isinstance(there, list):
            return [Change(path[:-1], [entry])]
        return [Change((*path[:-1], len(there)), entry)]
    if value_at(values, path[:-1]) is None:
        return [Change(path[:-1], {path[-1]: entry})]
    return [Change(path, entry)]


def _put(entry: dict[str, Any], keys: list[str], value: Any) -> None:
    if value is None:
        return
    for key in keys[:-1]:
        entry = entry.setdefault(key, {})
    entry[keys[-1]] = value


def _change(path: Path, before: Any, field: FormField, value: Any) -> list[Change]:
    """The changes of one field; a table inside that is not there yet comes with its first field."""
    keys = field.name.split("/")
    there = before
    for depth, key in enumerate(keys[:-1]):
        inner = there.get(key) if isinstance(there, dict) else None
        if inner is None and value is not None:
            wanted: Any = value
            for name in reversed(keys[depth + 1 :]):
                wanted = {name: wanted}
            return [Change((*path, *keys[: depth + 1]), wanted)]
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
                if tail is not None and (tail == field.name or tail.startswith(f"{field.name}/"))
            ),
            None,
        )
        told_.append({"field": field, "path": fault.path if field is None else "", "says": fault.says})
    return JSONResponse({"ok": False, "says": "Nothing was saved.", "faults": told_, "clashes": []}, 422)


async def _remove(request: Request) -> Response:
    body = await body_of(request)

    def work() -> Response:
        sheet: JobRequest = sheet_of(request, role=DeskRole.INSTALLER)
        path = _path(json.dumps(body.get("path")))
        version = sheet.bench.edit(
            [Change(path, None)], by=sheet.session.name, says=f"{_title(path, False)} removed"
        )
        return told(sheet, version)

    return await run_in_threadpool(work)


ROUTES: Final = [
    Route("/j/{job}/job", _page),
    Route("/j/{job}/entry", _form),
    Route("/j/{job}/entry", _save, methods=["POST"]),
    Route("/j/{job}/entry/remove", _remove, methods=["POST"]),
]
