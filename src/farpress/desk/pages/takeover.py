"""An installation without papers taken over at the desk: the tables that were found, looked at together, then
written together.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.desk.access import DeskRole
from farpress.desk.frame import JobRequest, answer, sheet_of
from farpress.desk.pages.keys import table_of
from farpress.errors import InputError
from farpress.keys.table import ENCODINGS
from farpress.upkeep.takeover import TABLES, TablesFound, Takeover, look_at_takeover, take_over

__all__ = ["ROUTES"]

MOST_SHOWN: Final = 200
"""Rows set aside that a page lists; our choice."""


def _page(request: Request) -> Response:
    sheet = sheet_of(request, role=DeskRole.INSTALLER)
    return sheet.page("takeover.html", here="keys", tables=TABLES, encodings=list(ENCODINGS))


async def _take(request: Request) -> Response:
    """Look at the tables, or write them: the form's "write" says which. What is to do is told either way."""
    form = await request.form(max_files=len(TABLES), max_fields=4)
    files = await _files_of(form)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.INSTALLER)
        found = _found(sheet, files, str(form.get("encoding") or ""))
        is_written = form.get("write") == "yes"
        step = take_over if is_written else look_at_takeover
        done = step(sheet.desk.shelf.folder(sheet.name), found, by=sheet.session.name, today=date.today())
        if is_written:
            sheet.desk.hub.tell(sheet.name, "record", client=request.headers.get("x-client", ""))
        return answer(" ".join(done.taken), **_told(done))

    return await run_in_threadpool(work)


async def _files_of(form: FormData) -> dict[str, tuple[str, bytes]]:
    """Table → name and bytes of its file, of those that were chosen."""
    files = {}
    for table in TABLES:
        upload = form.get(table)
        if isinstance(upload, UploadFile) and upload.filename:
            files[table] = (Path(upload.filename).name, await upload.read())
    return files


def _found(sheet: JobRequest, files: dict[str, tuple[str, bytes]], encoding: str) -> TablesFound:
    if not files:
        raise InputError("No file arrived. Choose at least one of the tables, as CSV or XLSX.")
    rows = {
        table: tuple(map(tuple, table_of(sheet, data, name, encoding=encoding, what=f"table of {table}")))
        for table, (name, data) in files.items()
    }
    return TablesFound(**rows, names={table: name for table, (name, _) in files.items()})


def _told(done: Takeover) -> dict[str, object]:
    return {
        "written": done.is_written,
        "taken": list(done.taken),
        "aside": [{"row": row, "says": why} for row, why in list(done.aside.items())[:MOST_SHOWN]],
        "stop": list(done.told.stop),
        "mend": list(done.told.mend),
        "ask": list(done.told.ask),
        "causes": [
            {
                "where": cause.where,
                "why": [f"{chance:.0%} {says}" for chance, says in cause.why],
                "next": cause.next,
            }
            for cause in done.told.causes
        ],
    }


ROUTES: Final = [Route("/j/{job}/takeover", _page), Route("/j/{job}/takeover/take", _take, methods=["POST"])]
