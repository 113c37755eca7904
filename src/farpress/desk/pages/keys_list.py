"""A list of fobs at the desk: looked at, taken over with or without its bad rows, taken back."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.desk.access import DeskRole
from farpress.desk.frame import answer, sheet_of
from farpress.desk.pages.changing import body_of
from farpress.desk.pages.keys import book_of, keep_list, kept_list, table_of
from farpress.errors import InputError
from farpress.keys.export import csv_text
from farpress.keys.importing import aside_table, import_rows, plan_good_rows, plan_import
from farpress.keys.list_undo import undo_list
from farpress.keys.problems import told_by_class

__all__ = ["ROUTES"]

MOST_SHOWN: Final = 500
"""Problems that a page lists one by one; by class all are told, and the rows set aside are a file."""


async def _import(request: Request) -> Response:
    """A list is looked at: what it would do, or everything that is wrong with it. Nothing is written yet."""
    form = await request.form(max_files=1, max_fields=4)
    upload = form.get("file")
    if upload is None or isinstance(upload, str):
        raise InputError("No file arrived. Choose a CSV or XLSX list.")
    data = await upload.read()
    name = Path(upload.filename or "list").name
    encoding = str(form.get("encoding") or "")

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.KEEPER)
        table = table_of(sheet, data, name, encoding=encoding)
        book = book_of(sheet)
        plan = plan_import(table, book.register, book.people, sheet.state.case)
        token = keep_list(table)
        problems = [
            {"row": problem.row, "column": problem.column, "says": problem.says} for problem in plan.problems
        ]
        return answer(
            "",
            list=token,
            problems=problems[:MOST_SHOWN],
            count=len(problems),
            classes=told_by_class([*plan.problems, *plan.told]),
            aside=len(plan.aside),
            rows=plan.rows,
            fobs=plan.fobs,
            people=len(plan.people),
            events=len(plan.entries),
            ignored=list(plan.ignored),
            notes=[*plan.notes, *plan.rooms],
        )

    return await run_in_threadpool(work)


async def _take(request: Request) -> Response:
    """Take a list over that was looked at; with "good" only its rows in order."""
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.KEEPER)
        book, table = book_of(sheet), kept_list(body.get("list"))
        left: Mapping[int, str] = {}
        if body.get("good") is True:
            _, left = plan_good_rows(table, book.register, book.people, book.case)
        name = str(body.get("name") or "list")[:200]
        says = " ".join(import_rows(book, table, name=name, without=left.keys()).says)
        sheet.desk.hub.tell(sheet.name, "record", client=request.headers.get("x-client", ""))
        return answer(f"{says} {len(left)} rows were left out." if left else says)

    return await run_in_threadpool(work)


def _aside(request: Request) -> Response:
    """The rows of a list that cannot be taken, each with its reason, as a list to be mended."""
    sheet = sheet_of(request, role=DeskRole.KEEPER)
    book, table = book_of(sheet), kept_list(request.query_params.get("list"))
    _, left = plan_good_rows(table, book.register, book.people, book.case)
    return Response(
        "\ufeff" + csv_text(aside_table(table, left)),
        media_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": 'attachment; filename="set-aside.csv"'},
    )


async def _undo(request: Request) -> Response:
    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.KEEPER)
        says = " ".join(undo_list(book_of(sheet)).says)
        sheet.desk.hub.tell(sheet.name, "record", client=request.headers.get("x-client", ""))
        return answer(says)

    return await run_in_threadpool(work)


ROUTES: Final = [
    Route("/j/{job}/keys/import", _import, methods=["POST"]),
    Route("/j/{job}/keys/take", _take, methods=["POST"]),
    Route("/j/{job}/keys/aside", _aside),
    Route("/j/{job}/keys/untake", _undo, methods=["POST"]),
]
