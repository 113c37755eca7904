"""Keys: every fob searched, sorted, changed one by one or many at once; a loss becomes a plan; lists are
taken over after a look.
"""

from __future__ import annotations

import secrets
import threading
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.case.local_time import now_in, zone_of
from farpress.desk.access import DeskRole
from farpress.desk.frame import READ_S, JobRequest, answer, sheet_of
from farpress.desk.pages.changing import body_of, table_in, texts_in
from farpress.domain.register import FobState
from farpress.errors import FarpressError, InputError
from farpress.keys.book import RegisterBook
from farpress.keys.due import check_register, due_matters
from farpress.keys.export import csv_text, label_rows, register_table, xlsx_bytes
from farpress.keys.find import find_fob, holder_of
from farpress.keys.import_cells import COLUMNS
from farpress.keys.importing import import_rows
from farpress.keys.lost import lost_plan, reported_at
from farpress.keys.memory_matters import memory_matters
from farpress.keys.table import ENCODINGS, FOBS, read_table
from farpress.keys.telling import told
from farpress.phrases import plural

__all__ = ["ROUTES", "book_of", "keep_list", "kept_list", "table_of"]

MOST_AT_ONCE: Final = 2000
"""Fobs changed in one go: our choice, twice the largest memory of a receiver."""

_tables: dict[str, list[list[str]]] = {}
_lock = threading.Lock()


def book_of(sheet: JobRequest) -> RegisterBook:
    """The register of the sheet's job, written in the name of who asks."""
    return RegisterBook(
        sheet.desk.shelf.record(sheet.name), sheet.state.case.job.job, sheet.state.case, sheet.session.name
    )


def table_of(
    sheet: JobRequest, data: bytes, name: str, *, encoding: str = "", what: str = FOBS
) -> list[list[str]]:
    """A list from outside, read beside the desk.

    Raises:
        FarpressError: it is none, it is too large, or reading it takes too long.
    """
    with TemporaryDirectory(prefix="farpress-") as folder:
        file = Path(folder) / f"list{'.xlsx' if name.lower().endswith('x') else '.csv'}"
        file.write_bytes(data)
        return sheet.desk.reading.ask(
            partial(read_table, encoding=encoding, what=what), file, within_s=READ_S
        )


def keep_list(table: list[list[str]]) -> str:
    """Keep a list until it is taken over; gives the mark to ask for it with."""
    token = secrets.token_urlsafe(12)
    with _lock:
        _tables[token] = table
        while len(_tables) > 8:
            del _tables[next(iter(_tables))]
    return token


def kept_list(mark: object) -> list[list[str]]:
    """The list that was looked at.

    Raises:
        InputError: it is not kept any more.
    """
    table = _tables.get(str(mark))
    if table is None:
        raise InputError("The list is not kept any more; choose the file again.")
    return table


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    book = book_of(sheet)
    register, people = book.register, book.people
    now = datetime.now(UTC)
    rows: list[dict[str, Any]] = []
    for label, fob in sorted(register.fobs.items()):
        known = fob.known_at
        where = sorted({learned.receiver for learned in known})
        rows.append(
            {
                "label": label,
                "type": fob.type,
                "state": str(fob.state),
                "holder": holder_of(fob, people),
                "organisation": fob.organisation,
                "group": fob.group,
                "where": where,
                "buttons": len(known),
                "cell": fob.cell_date,
                "heard": max(fob.heard.values(), default="")[:10],
            }
        )
    states: dict[str, int] = {}
    for row in rows:
        states[row["state"]] = states.get(row["state"], 0) + 1
    assessment, judging = sheet.judged()
    receivers = [
        f"{premises}/{name}"
        for premises, house in sheet.state.case.job.premises.items()
        for name in house.receivers
    ]
    seen = [
        (
            name,
            str(register.memory[name].get("at") or "")[:16].replace("T", " "),
            len(register.memory[name].get("records") or ()),
            len(memory_matters(register, name)),
        )
        for name in receivers
        if name in register.memory
    ]
    return sheet.page(
        "keys.html",
        here="keys",
        judging=judging,
        receivers=receivers,
        encodings=list(ENCODINGS),
        seen=seen,
        rows=rows,
        states=states,
        due=due_matters(register, people, sheet.state.case, now=now),
        matters=check_register(register, people, sheet.state.case, now=now),
        findings=[finding for finding in assessment.findings if finding.link == "register"],
    )


def _fob(request: Request) -> Response:
    """One fob with its history and everything that can be done with it."""
    sheet = sheet_of(request)
    book = book_of(sheet)
    fob = find_fob(book.register, request.path_params["fob"])
    people = book.people
    events = [
        (event.moment[:16].replace("T", " "), event.by, told(event, people))
        for event in reversed(book.events_of(fob.label))
    ]
    job = sheet.state.case.job
    receivers = [f"{premises}/{name}" for premises, house in job.premises.items() for name in house.receivers]
    return sheet.part(
        "fob.html",
        fob=fob,
        holder=holder_of(fob, people),
        events=events,
        people=sorted(people.values(), key=lambda person: person.name),
        groups=list(job.groups),
        receivers=receivers,
        encodings=list(ENCODINGS),
        free=fob.state in (FobState.SPARE, FobState.HANDED_IN),
        known=sorted({learned.receiver for learned in fob.known_at}),
    )


def _lost(request: Request) -> Response:
    sheet = sheet_of(request)
    book = book_of(sheet)
    fob = find_fob(book.register, request.path_params["fob"])
    start = request.query_params.get("start") or None
    zone = zone_of(sheet.state.case.job)
    plan, nothing = None, ""
    try:
        plan = lost_plan(
            sheet.state.case, fob, start=start, leave=now_in(zone), reported=reported_at(fob, zone)
        )
    except InputError as error:
        nothing = str(error)
    return sheet.page(
        "lost.html",
        here="keys",
        fob=fob,
        plan=plan,
        nothing=nothing,
        premises=[*sheet.state.case.job.starts, *sheet.state.case.job.premises],
    )


async def _do(request: Request) -> Response:
    """One change of one fob."""
    body = await body_of(request)
    values = {
        str(key): " ".join(str(value).split())
        for key, value in table_in(body, "values").items()
        if isinstance(value, str)
    }
    return await run_in_threadpool(
        _done, request, request.path_params["fob"], str(body.get("button") or values.get("do", "")), values
    )


def _done(request: Request, label: str, what: str, values: dict[str, str]) -> Response:
    sheet = sheet_of(request, role=DeskRole.KEEPER)
    book = book_of(sheet)
    says = " ".join(_change(book, label, what, values).says)
    sheet.desk.hub.tell(sheet.name, "record", client=request.headers.get("x-client", ""))
    go = {"go": f"{sheet.root}/keys/lost/{label}"} if what == "lost" else {}
    return answer(says, **go)


def _change(book: RegisterBook, label: str, what: str, values: dict[str, str]) -> Any:
    given = values.get
    changes: dict[str, Callable[[], Any]] = {
        "issue": lambda: book.issue(
            label,
            person=given("person", ""),
            pool=given("pool", ""),
            group=given("group", ""),
            organisation=given("organisation", ""),
            valid_from=given("valid_from", ""),
            valid_to=given("valid_to", ""),
            new_person=True,
        ),
        "sign": lambda: book.sign(label, evidence=given("evidence", "")),
        "hand in": lambda: book.hand_in(label, condition=given("condition", "")),
        "lost": lambda: book.lost(label, between=given("between", "")),
        "found": lambda: book.found(label),
        "block": lambda: book.block(label, why=given("why", "")),
        "release": lambda: book.release(label),
        "destroy": lambda: book.destroy(label),
        "learn": lambda: book.learn(label, given("receiver", ""), slot=given("slot", "")),
        "delete": lambda: book.delete(label, receiver=given("receiver", ""), evidence=given("evidence", "")),
        "rights": lambda: book.change_rights(label, group=given("group", "")),
    }
    if what not in changes:
        raise InputError("Choose what is to be done with the fob.")
    return changes[what]()


async def _many(request: Request) -> Response:
    """One change of many fobs; each is its own entry, and what is refused is said fob by fob."""
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.KEEPER)
        fobs, what = body.get("fobs"), str(body.get("do", ""))
        values = texts_in(body, "values")
        if not isinstance(fobs, list) or not fobs or len(fobs) > MOST_AT_ONCE:
            raise InputError(f"Choose 1 to {MOST_AT_ONCE} fobs.")
        book = book_of(sheet)
        done, refused = 0, []
        for label in map(str, fobs):
            try:
                _change(book, label, what, values)
                done += 1
            except FarpressError as error:
                refused.append(f"{label}: {error}")
        sheet.desk.hub.tell(sheet.name, "record", client=request.headers.get("x-client", ""))
        says = f"{plural(done, 'fob')} done." + (
            f" {len(refused)} refused: {' '.join(refused[:3])}" if refused else ""
        )
        return answer(says, refused=refused)

    return await run_in_threadpool(work)


async def _receive(request: Request) -> Response:
    """New fobs come into stock: one, or a series of labels with check characters."""
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.KEEPER)
        values = texts_in(body, "values")
        book = book_of(sheet)
        count = int(values["count"]) if values.get("count", "").isdigit() else 1
        first = int(values["first"]) if values.get("first", "").isdigit() else 1
        if not 1 <= count <= MOST_AT_ONCE:
            raise InputError(f"1 to {MOST_AT_ONCE} fobs can come in at once.")
        labels = (
            [values["label"]]
            if values.get("label")
            else list(
                label_rows(
                    prefix=(values.get("prefix") or "F").rstrip("- "),
                    first=first,
                    count=count,
                    digits=max(3, len(str(first + count - 1))),
                )
            )
        )
        if len(labels) == 1:
            book.receive(labels[0], type=values.get("type", ""), cell_date=values.get("cell_date", ""))
        else:  # one transaction: all of them, or none
            rows = [[label, values.get("type", ""), values.get("cell_date", "")] for label in labels]
            import_rows(book, [[COLUMNS["fob"][0], COLUMNS["type"][0], COLUMNS["cell date"][0]], *rows])
        sheet.desk.hub.tell(sheet.name, "record", client=request.headers.get("x-client", ""))
        return answer(
            f"{len(labels)} fob{'s' if len(labels) != 1 else ''} in stock:"
            f" {labels[0]}{' to ' + labels[-1] if len(labels) > 1 else ''}."
        )

    return await run_in_threadpool(work)


def _export(request: Request) -> Response:
    sheet = sheet_of(request)
    book = book_of(sheet)
    names = request.query_params.get("names") != "no"
    table = register_table(book.register, book.people, names=names)
    stem = "register" if names else "register-without-names"
    if request.path_params["form"] == "xlsx":
        return Response(
            xlsx_bytes(table),
            media_type="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
            headers={"Content-Disposition": f'attachment; filename="{stem}.xlsx"'},
        )
    return Response(
        csv_text(table),
        media_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{stem}.csv"'},
    )


ROUTES: Final = [
    Route("/j/{job}/keys", _page),
    Route("/j/{job}/keys/receive", _receive, methods=["POST"]),
    Route("/j/{job}/keys/many", _many, methods=["POST"]),
    Route("/j/{job}/keys/register.{form}", _export),
    Route("/j/{job}/keys/lost/{fob:path}", _lost),
    Route("/j/{job}/keys/fob/{fob:path}", _fob),
    Route("/j/{job}/keys/fob/{fob:path}", _do, methods=["POST"]),
]
