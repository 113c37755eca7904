"""What only the site can tell: what a receiver really holds, and which fobs it heard; looked at first, then
entered in the record.
"""

from __future__ import annotations

import re
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
from farpress.keys.memory import look_heard, look_memory, record_heard, record_memory

__all__ = ["ROUTES"]

MOST_HEARD: Final = 200
"""Fobs heard at one receiver in one go: our choice, a long morning with a bag of fobs."""


async def _look(request: Request) -> Response:
    """A list read out of a receiver, as a file or as text: where it differs from the register. Nothing is
    written yet.
    """
    form = await request.form(max_files=1, max_fields=4)
    upload, pasted, receiver = form.get("file"), form.get("text"), str(form.get("receiver") or "")
    data, name = b"", "list.csv"
    if upload is not None and not isinstance(upload, str):
        data, name = await upload.read(), Path(upload.filename or "list").name
    if not data and isinstance(pasted, str):
        data, name = pasted.encode(), "list.csv"

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.KEEPER)
        if not data.strip():
            raise InputError(
                "Choose the list that was read out, or paste it. A head without rows says that the memory is"
                " empty."
            )
        table = table_of(sheet, data, name)
        count, problems, matters = look_memory(book_of(sheet), receiver, table)
        return answer(
            "",
            list=keep_list(table),
            receiver=receiver,
            records=count,
            problems=[
                {"row": problem.row, "column": problem.column, "says": problem.says}
                for problem in problems[:500]
            ],
            count=len(problems),
            matters=[matter.says for matter in matters],
        )

    return await run_in_threadpool(work)


async def _enter(request: Request) -> Response:
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.KEEPER)
        done = record_memory(book_of(sheet), str(body.get("receiver", "")), kept_list(body.get("list")))
        sheet.desk.hub.tell(sheet.name, "record", client=request.headers.get("x-client", ""))
        return answer(
            done.says[0].replace(" ('keys check' keeps them):", "; they stand above the list of fobs.")
        )

    return await run_in_threadpool(work)


async def _heard(request: Request) -> Response:
    """Fobs that worked at a receiver just now; `look` says which they are and writes nothing."""
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.KEEPER)
        receiver, labels = (
            str(body.get("receiver", "")),
            [label.strip() for label in re.split(r"[\n,;]+", str(body.get("fobs", ""))) if label.strip()],
        )
        if not 1 <= len(labels) <= MOST_HEARD:
            raise InputError(f"Give 1 to {MOST_HEARD} labels, one a line, as they are printed on the fobs.")
        book = book_of(sheet)
        if body.get("look") is True:
            return answer("", fobs=look_heard(book, receiver, labels), receiver=receiver)
        done = record_heard(book, receiver, labels)
        sheet.desk.hub.tell(sheet.name, "record", client=request.headers.get("x-client", ""))
        return answer(" ".join(done.says))

    return await run_in_threadpool(work)


ROUTES: Final = [
    Route("/j/{job}/keys/memory", _look, methods=["POST"]),
    Route("/j/{job}/keys/memory/enter", _enter, methods=["POST"]),
    Route("/j/{job}/keys/heard", _heard, methods=["POST"]),
]
