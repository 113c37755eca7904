"""Faults: the customer's words, the likeliest causes on this job, one question after the other, the cure."""

from __future__ import annotations

from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from farpress.catalogue.faults import load_faults
from farpress.desk.access import DeskRole
from farpress.desk.frame import JobRequest, answer, sheet_of
from farpress.desk.pages.changing import body_of, table_in
from farpress.domain.acts import FaultAnswered, FaultClosed, FaultReported
from farpress.domain.event import happened
from farpress.domain.finding import Finding
from farpress.errors import InputError
from farpress.faults.ask import About, FaultHunt, match_complaint, open_hunt
from farpress.faults.entries import record_answer, record_close, record_report

__all__ = ["ROUTES"]

KINDS: Final = ("fault reported", "fault answered", "fault closed")


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    job = sheet.state.case.job
    words = request.query_params.get("words", "")[:400]
    events = sheet.desk.shelf.record(sheet.name).events(job=job.job, kinds=KINDS)
    closed = {act.fault: act for _, act in happened(events, FaultClosed)}
    faults = [
        (act.fault, act.complaint, event.moment, closed.get(act.fault))
        for event, act in happened(events, FaultReported)
    ]
    places = [
        f"{premises}/{place}" if len(job.premises) > 1 else place
        for premises, house in job.premises.items()
        for place in house.places
    ]
    return sheet.page(
        "faults.html",
        here="faults",
        words=words,
        matches=match_complaint(words) if words.strip() else (),
        faults=tuple(reversed(faults)),
        complaints=sorted(load_faults().complaints.values(), key=lambda complaint: complaint.number),
        places=places,
    )


async def _open(request: Request) -> Response:
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.KEEPER)
        values = table_in(body, "values")
        number = str(values.get("complaint", ""))
        complaint = load_faults().complaints.get(int(number)) if number.isdigit() else None
        if complaint is None:
            raise InputError("Choose the complaint that is meant.")
        about = About(
            **{name: str(values.get(name, "")) for name in ("function", "group", "place") if values.get(name)}
        )
        hunt = open_hunt(sheet.state.case, complaint, about, findings=_findings(sheet))
        fault = record_report(
            sheet.desk.shelf.record(sheet.name),
            sheet.state.case,
            str(values.get("words", ""))[:400],
            hunt,
            by=sheet.session.name,
        )
        return answer("", go=f"{sheet.root}/faults/{fault}")

    return await run_in_threadpool(work)


def _hunt(sheet: JobRequest, fault: str, failed: list[str], skipped: list[str]) -> tuple[FaultHunt, str, Any]:
    """The hunt as it stands, out of the record: what was reported, and every answer since."""
    written = sheet.desk.shelf.record(sheet.name).events(job=sheet.state.case.job.job, kinds=KINDS)
    own = [
        act for _, act in happened(written, FaultReported, FaultAnswered, FaultClosed) if act.fault == fault
    ]
    reported = next((act for act in own if isinstance(act, FaultReported)), None)
    if reported is None:
        raise InputError(f"There is no fault {fault} in this job's record.")
    number, _, words = reported.complaint.partition(": ")
    complaint = load_faults().complaints[int(number)]
    about = About.from_text(reported.about)
    hunt = open_hunt(sheet.state.case, complaint, about, findings=_findings(sheet))
    for act in own:
        if isinstance(act, FaultAnswered) and act.test in hunt.tests:
            test = hunt.tests[act.test]
            hunt = hunt.answer(test.name, act.answer == test.yes)
    for name in skipped:
        hunt = hunt.without(name)
    for name in failed:
        hunt = hunt.cure_failed(name)
    return hunt, words, next((act for act in own if isinstance(act, FaultClosed)), None)


def _findings(sheet: JobRequest) -> tuple[Finding, ...]:
    """What is judged, at most one change old: an answer that was just recorded is not waited for."""
    made, judging = sheet.judged()
    return sheet.findings_now()[0].findings if judging == "first" else made.findings


def _listed(request: Request, name: str) -> list[str]:
    return [word for word in request.query_params.get(name, "").split(",") if word]


def _one(request: Request) -> Response:
    sheet = sheet_of(request)
    fault = request.path_params["fault"]
    failed, skipped = _listed(request, "failed"), _listed(request, "skipped")
    hunt, words, closed = _hunt(sheet, fault, failed, skipped)
    answered = [(hunt.tests[name], yes) for name, yes in hunt.answers.items() if name in hunt.tests]
    return sheet.page(
        "fault.html",
        here="faults",
        fault=fault,
        hunt=hunt,
        words=words,
        closed=closed,
        step=None if closed else hunt.step(),
        causes=hunt.causes()[:8],
        answered=answered,
        failed=failed,
        skipped=skipped,
    )


async def _answer(request: Request) -> Response:
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.KEEPER)
        fault = request.path_params["fault"]
        hunt, _, closed = _hunt(sheet, fault, [], [])
        if closed is not None:
            raise InputError(f"Fault {fault} is closed already.")
        record = sheet.desk.shelf.record(sheet.name)
        if body.get("close"):
            cause = str(body["close"])
            if cause not in hunt.priors:
                raise InputError("Choose the cause that was found.")
            record_close(
                record, sheet.state.case, fault, cause, hunt.priors[cause].cause.cure, by=sheet.session.name
            )
            return JSONResponse(
                {"ok": True, "says": f"Fault {fault} is closed.", "go": f"{sheet.root}/faults"}
            )
        name, yes = str(body.get("test", "")), body.get("yes")
        if name not in hunt.tests or not isinstance(yes, bool):
            raise InputError("This question is not asked any more; load the page again.")
        hunt.answer(name, yes)
        record_answer(record, sheet.state.case, fault, hunt.tests[name], yes, by=sheet.session.name)
        sheet.desk.hub.tell(sheet.name, "record", client=request.headers.get("x-client", ""))
        return answer("")

    return await run_in_threadpool(work)


ROUTES: Final = [
    Route("/j/{job}/faults", _page),
    Route("/j/{job}/faults/new", _open, methods=["POST"]),
    Route("/j/{job}/faults/{fault}", _one),
    Route("/j/{job}/faults/{fault}/answer", _answer, methods=["POST"]),
]
