"""Upkeep: what is due when, cells and order list, wear and drift, and the calendar to take along."""

from __future__ import annotations

from datetime import date
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.desk.access import DeskRole
from farpress.desk.frame import answer, sheet_of
from farpress.desk.pages.changing import body_of
from farpress.errors import InputError
from farpress.record.register import draw_register
from farpress.upkeep.ask import (
    battery_ages,
    cell_orders,
    cells_ahead,
    contact_wear,
    due_calendar,
    due_list,
    place_watch,
    record_done,
    visits,
)

__all__ = ["ROUTES"]

AHEAD_MONTHS: Final = 24
ROUNDS: Final = 12
"""Rounds shown on the page; our choice, about a year."""


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    case, today = sheet.state.case, date.today()
    events = sheet.desk.shelf.record(sheet.name).events(job=case.job.job)
    register = draw_register(events)
    due = due_list(case, register, events, today=today, months=AHEAD_MONTHS)
    cells = cells_ahead(case, register, events, today=today, months=AHEAD_MONTHS)
    rounds = visits(case, due, today=today)
    return sheet.page(
        "upkeep.html",
        here="upkeep",
        due=due,
        today=today,
        cells=cells,
        orders=cell_orders(case, cells, today=today),
        wear=contact_wear(case, events, today=today),
        batteries=battery_ages(case, events, today=today),
        levels=place_watch(case, events),
        rounds=rounds[:ROUNDS],
        rounds_more=max(len(rounds) - ROUNDS, 0),
    )


async def _done(request: Request) -> Response:
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.KEEPER)
        case, record = sheet.state.case, sheet.desk.shelf.record(sheet.name)
        events = record.events(job=case.job.job)
        due = due_list(case, draw_register(events), events, today=date.today(), months=AHEAD_MONTHS)
        if str(body.get("id", "")) not in {task.id for task in due}:
            raise InputError("That task is not on the list any more, or never was; load the page again.")
        done = record_done(
            str(body.get("id", "")),
            passed=body.get("passed") is not False,
            found=str(body.get("found", ""))[:400],
        )
        record.append(done, job=case.job.job, by=sheet.session.name)
        sheet.desk.hub.tell(sheet.name, "record", client=request.headers.get("x-client", ""))
        return answer("Ticked off, and written into the record.")

    return await run_in_threadpool(work)


def _calendar(request: Request) -> Response:
    sheet = sheet_of(request)
    case, today = sheet.state.case, date.today()
    events = sheet.desk.shelf.record(sheet.name).events(job=case.job.job)
    due = due_list(case, draw_register(events), events, today=today, months=AHEAD_MONTHS)
    data = due_calendar(case.job.job, due, visits(case, due, today=today))
    return Response(
        data,
        media_type="text/calendar; charset=utf-8",
        headers={"Content-Disposition": 'attachment; filename="upkeep.ics"'},
    )


ROUTES: Final = [
    Route("/j/{job}/upkeep", _page),
    Route("/j/{job}/upkeep/done", _done, methods=["POST"]),
    Route("/j/{job}/upkeep/upkeep.ics", _calendar),
]
