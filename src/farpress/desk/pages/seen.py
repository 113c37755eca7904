"""Photos and voice notes of a job, each with the thing it shows: brought, looked at, heard, taken out."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.desk.access import DeskRole
from farpress.desk.form_schema import value_at
from farpress.desk.frame import JobRequest, answer, sheet_of
from farpress.desk.pages.changing import body_of
from farpress.desk.pages.entry_forms import entry_path, entry_title
from farpress.editing.seen import MOST_BYTES, SeenNote, keep_seen, seen_bytes, seen_in, take_seen_out
from farpress.errors import InputError

__all__ = ["ROUTES"]

ROOMS: Final = ("places", "receivers", "devices", "panels", "supplies", "junctions", "cables")
"""Things of a premises that something can show."""


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    values = sheet.bench.values()
    groups: dict[tuple[str, ...], list[SeenNote]] = {}
    for note in seen_in(sheet.bench.folder):
        groups.setdefault(note.shows, []).append(note)
    chosen = request.query_params.get("of", "")
    return sheet.page(
        "seen.html",
        here="seen",
        things=_things(sheet),
        chosen=chosen,
        groups=[
            (
                entry_title(shows, False) if shows else "The job",
                bool(shows) and value_at(values, shows) is None,
                notes,
            )
            for shows, notes in groups.items()
        ],
        most_mb=MOST_BYTES // 1_000_000,
    )


def _things(sheet: JobRequest) -> list[tuple[str, str]]:
    """Address of each thing, and its name with what it is."""
    found = [("[]", "the job")]
    for premises, house in sheet.state.case.job.premises.items():
        for room in ROOMS:
            for name in getattr(house, room):
                path = ("premises", premises, room, name)
                found.append((json.dumps(path, ensure_ascii=False), entry_title(path, False)))
    return found


async def _bring(request: Request) -> Response:
    async with request.form(max_files=1, max_fields=6) as form:
        upload, shows, says = form.get("file"), str(form.get("shows") or "[]"), str(form.get("says") or "")
        if upload is None or isinstance(upload, str):
            raise InputError("Choose a photo or a sound first.")
        data = await upload.read()

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.KEEPER)
        path = entry_path(shows)
        if path and value_at(sheet.bench.values(), path) is None:
            raise InputError("There is no such thing in the job (any more). Load the page again.")
        note = keep_seen(
            sheet.bench.folder,
            data,
            shows=tuple(map(str, path)),
            says=" ".join(says.split()),
            by=sheet.session.name,
            moment=datetime.now(UTC).isoformat(timespec="seconds"),
        )
        return answer("The note is kept." if note.is_sound else "The photo is kept.", id=note.id)

    return await run_in_threadpool(work)


def _file(request: Request) -> Response:
    sheet = sheet_of(request)
    data, kind = seen_bytes(sheet.bench.folder, request.path_params["id"])
    return Response(data, media_type=kind, headers={"Content-Disposition": "inline"})


async def _take_out(request: Request) -> Response:
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.INSTALLER)
        note = take_seen_out(sheet.bench.folder, str(body.get("id", "")))
        return answer("The note is taken out." if note.is_sound else "The photo is taken out.")

    return await run_in_threadpool(work)


ROUTES: Final = [
    Route("/j/{job}/seen", _page),
    Route("/j/{job}/seen/bring", _bring, methods=["POST"]),
    Route("/j/{job}/seen/out", _take_out, methods=["POST"]),
    Route("/j/{job}/seen/{id}", _file),
]
