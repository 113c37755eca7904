"""Entries renamed, copied and taken out: uses follow, and what hangs on an entry is said before it goes."""

from __future__ import annotations

import copy
import json
from typing import Any, Final
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.desk.access import DeskRole
from farpress.desk.field_words import words_for
from farpress.desk.form_schema import Path, value_at
from farpress.desk.form_values import entry_line
from farpress.desk.frame import JobRequest, answer, sheet_of
from farpress.desk.pages.changing import body_of, told
from farpress.desk.pages.entry_forms import entry_path, entry_title
from farpress.domain.finding import Change
from farpress.editing.hanging import Removal, removal_of
from farpress.editing.renaming import recorded_under, renamed_text
from farpress.errors import InputError
from farpress.phrases import plural

__all__ = ["ROUTES"]

MOST_LETTERS: Final = 80
"""Of a name; our choice, as in the survey."""


def _hanging(request: Request) -> Response:
    """What goes along if an entry is taken out."""
    sheet = sheet_of(request)
    path = _entry(request.query_params.get("path", ""))
    removal = removal_of(sheet.bench.values(), path, known=sheet.bench.known)
    return sheet.part(
        "hanging.html", path=path, title=entry_title(path, False), along=_along(removal, sheet.bench.values())
    )


def _along(removal: Removal, values: Any) -> list[str]:
    """What goes besides, in words."""
    lines = []
    for path, value in removal.along:
        if isinstance(value, dict) and len(path) > 1:
            lines.append(f"{entry_title(path, False)}: {entry_line(value, path)}")
        else:
            owner = path[:-1] if isinstance(path[-1], str) else path[:-2]
            key = next((key for key in reversed(path) if isinstance(key, str)), "")
            name = entry_title(owner, False) if owner else "The job"
            lines.append(f"{name}: {words_for(key).label} {entry_line(value)}")
    return lines


async def _remove(request: Request) -> Response:
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.INSTALLER)
        path = _entry(body.get("path"))
        removal = removal_of(sheet.bench.values(), path, known=sheet.bench.known)
        if removal.along and body.get("along") is not True:
            address = f"{sheet.root}/entry/hanging?path={quote(json.dumps(list(path)), safe='')}"
            return answer("", open=address)
        more = f" with {plural(len(removal.along), 'thing')} that hung on it" if removal.along else ""
        version = sheet.bench.edit(
            removal.changes, by=sheet.session.name, says=f"{entry_title(path, False)} removed{more}"
        )
        return told(sheet, version)

    return await run_in_threadpool(work)


async def _rename(request: Request) -> Response:
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.INSTALLER)
        path, name = _entry(body.get("path")), _name(body)
        if not isinstance(path[-1], str):
            raise InputError("Only what has a name can be renamed.")
        count = recorded_under(sheet.bench.folder, sheet.state.case.job.job, path)
        if count and name != path[-1]:
            raise InputError(
                f"The record speaks of '{path[-1]}' {count} times (learned, tried, issued): what happened"
                f" keeps the name it happened under, and would be lost for '{name}'. Keep the name, and say"
                " the other one in its remark."
            )
        version = sheet.bench.rewrite(
            lambda text: renamed_text(text, path, name, known=sheet.bench.known),
            by=sheet.session.name,
            says=f"{entry_title(path, False)} renamed to {name}",
        )
        return told(sheet, version)

    return await run_in_threadpool(work)


async def _copy(request: Request) -> Response:
    """The same entry once more, under another name or at the end of its list."""
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.INSTALLER)
        path = _entry(body.get("path"))
        values = sheet.bench.values()
        value = value_at(values, path)
        if value is None:
            raise InputError("There is no such entry (any more). Load the page again.")
        place = _beside(sheet, values, path, body)
        says = f"{entry_title(path, False)} copied"
        version = sheet.bench.edit(
            [Change(place, copy.deepcopy(value))], by=sheet.session.name, says=f"{says} as {place[-1]}"
        )
        return told(sheet, version)

    return await run_in_threadpool(work)


def _beside(sheet: JobRequest, values: Any, path: Path, body: dict[str, Any]) -> Path:
    if isinstance(path[-1], int):
        return (*path[:-1], len(value_at(values, path[:-1])))
    name = _name(body)
    if value_at(values, (*path[:-1], name)) is not None:
        raise InputError(f"There is a '{name}' already; give the copy another name.")
    return (*path[:-1], name)


def _entry(given: object) -> Path:
    path = entry_path(given)
    if len(path) < 2:
        raise InputError("Only single entries are renamed, copied or taken out.")
    return path


def _name(body: dict[str, Any]) -> str:
    name = " ".join(str(body.get("name") or "").split())
    if not name or len(name) > MOST_LETTERS or not name.isprintable() or "/" in name or "\\" in name:
        raise InputError(f"Give it a name of 1 to {MOST_LETTERS} letters, without a slash.")
    return name


ROUTES: Final = [
    Route("/j/{job}/entry/hanging", _hanging),
    Route("/j/{job}/entry/remove", _remove, methods=["POST"]),
    Route("/j/{job}/entry/rename", _rename, methods=["POST"]),
    Route("/j/{job}/entry/copy", _copy, methods=["POST"]),
]
