"""Quote: what the job takes and costs by the firm's lists; a list looked at and kept; its papers."""

from __future__ import annotations

import re
import secrets
import threading
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.dates import day_wanted
from farpress.desk.access import DeskRole
from farpress.desk.apart import Snapshot
from farpress.desk.frame import JobRequest, answer, sheet_of
from farpress.desk.pages.changing import body_of
from farpress.desk.pages.keys import table_of
from farpress.desk.quoted import QuoteWish, quoted_papers
from farpress.desk.wanted import tells, while_wanted
from farpress.domain.finding import Assessment
from farpress.errors import InputError
from farpress.keys.table import ENCODINGS
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.quotation import quotation_paper
from farpress.papers.typesetting.texts import texts_in
from farpress.quoting.figures import DecimalSign
from farpress.quoting.firm_lists import (
    FirmList,
    ListKind,
    firm_lists,
    keep_list,
    list_changes,
    list_of_table,
    told_list,
)
from farpress.quoting.list_rows import FirmListFaults
from farpress.quoting.quotation import quotation_of

__all__ = ["ROUTES"]

SIZES: Final = ("a4", "letter")
SIGNS: Final[dict[str, DecimalSign]] = {"": "", "point": "point", "comma": "comma"}

MOST_SHOWN: Final = 500
"""Faults or changes that a page lists; all are counted."""

VERSIONS: Final = 30
"""Versions on offer to compare with: our choice, the newest."""

_looked_at: dict[str, tuple[ListKind, FirmList]] = {}
"""Lists that were looked at, until they are kept; the last few."""
_lock = threading.Lock()


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    assessment, judging = sheet.judged()
    problem, body = "", ""
    if judging in ("", "trying"):  # nothing is offered by a judgement that may be another one now
        try:
            body = _body(sheet, assessment)
        except InputError as error:
            problem = f"The firm's lists cannot be used: {error}"
    versions = list(reversed(sheet.bench.history.versions(last=VERSIONS)))
    return sheet.page(
        "quote.html",
        here="quote",
        judging=judging,
        body=body,
        problem=problem,
        today=date.today().isoformat(),
        sizes=SIZES,
        versions=[version for version in versions if version.fingerprint != sheet.state.fingerprint],
        encodings=ENCODINGS,
    )


def _body(sheet: JobRequest, assessment: Assessment) -> str:
    """The quotation as its paper has it, section by section."""
    lists = firm_lists()
    case = sheet.state.case

    def made() -> str:
        quoted = quotation_of(case, assessment, lists)
        paper = quotation_paper(Basis(case, assessment, texts_in("en")), quoted)
        sections = [
            (section.title, [(type(block).__name__, block) for block in section.blocks])
            for section in paper.sections
            if section.title != "Acceptance"
        ]
        return sheet.text("quote_body.html", sections=sections, missing=paper.missing, origins=lists.origins)

    return sheet.kept(f"quote {lists.origins}", assessment, made)


async def _look(request: Request) -> Response:
    """A list is looked at: what keeping it would change, or everything that is wrong with it."""
    form = await request.form(max_files=1, max_fields=4)
    upload = form.get("file")
    if upload is None or isinstance(upload, str):
        raise InputError("No file arrived. Choose a CSV or XLSX list.")
    data, name = await upload.read(), Path(upload.filename or "list").name
    encoding, sign = str(form.get("encoding") or ""), SIGNS.get(str(form.get("decimal") or ""), "")

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.INSTALLER)
        table = table_of(sheet, data, name, encoding=encoding, what="price list")
        try:
            kind, found = list_of_table(table, sign=sign)
            changes = list_changes(kind, found)
        except FirmListFaults as refused:
            return answer(
                "",
                count=len(refused.problems),
                problems=[
                    {"row": problem.row, "column": problem.column, "says": problem.says}
                    for problem in refused.problems[:MOST_SHOWN]
                ],
            )
        return answer(
            f"In order: {told_list(kind, found)}.",
            list=_remember(kind, found),
            count=0,
            ignored=list(found.ignored),
            changes=[
                {"name": change.name, "was": change.was, "becomes": change.becomes}
                for change in changes[:MOST_SHOWN]
            ],
            changed=len(changes),
        )

    return await run_in_threadpool(work)


async def _keep(request: Request) -> Response:
    """Keep a list that was looked at."""
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.INSTALLER)
        with _lock:
            found = _looked_at.get(str(body.get("list")))
        if found is None:
            raise InputError("The list is not kept in mind any more; choose the file again.")
        keep_list(*found, replace=body.get("replace") is True)
        sheet.desk.hub.tell(sheet.name, "record", client=request.headers.get("x-client", ""))
        return answer(f"Kept: {told_list(*found)}.")

    return await run_in_threadpool(work)


async def _papers(request: Request) -> Response:
    """Quotation, order list, picking lists, and a change order where a version is named."""

    def work(stop: Callable[[], bool]) -> Response:
        sheet = sheet_of(request, role=DeskRole.INSTALLER)
        query = request.query_params
        size, day = query.get("size", "a4"), query.get("date", "")
        if size not in SIZES:
            raise InputError("Papers are a4 or letter.")
        wish = QuoteWish(size, day_wanted(day) if day else None, _earlier(sheet, query.get("against", "")))
        content = sheet.desk.printing.ask(
            quoted_papers,
            Snapshot.of(sheet.state.case),
            wish,
            tell=tells(sheet, query.get("mark")),
            stop=stop,
        )
        stem = re.sub(r"[^a-z0-9-]+", "-", f"{sheet.name}-quotation")
        return Response(
            content,
            media_type="application/zip",
            headers={"Content-Disposition": f'attachment; filename="{stem}.zip"'},
        )

    return await while_wanted(request, work)


def _earlier(sheet: JobRequest, number: str) -> str:
    """The text of an earlier version; empty for none."""
    if not number:
        return ""
    history = sheet.bench.history
    found = next((version for version in history.versions() if str(version.number) == number), None)
    text = history.text_of(found.fingerprint) if found is not None else None
    if text is None:
        raise InputError(f"There is no version {number[:10]} of this job.")
    return text


def _remember(kind: ListKind, found: FirmList) -> str:
    mark = secrets.token_urlsafe(12)
    with _lock:
        _looked_at[mark] = (kind, found)
        while len(_looked_at) > 8:
            del _looked_at[next(iter(_looked_at))]
    return mark


ROUTES: Final = [
    Route("/j/{job}/quote", _page),
    Route("/j/{job}/quote/list", _look, methods=["POST"]),
    Route("/j/{job}/quote/keep", _keep, methods=["POST"]),
    Route("/j/{job}/quote/papers.zip", _papers),
]
