"""The wiring: findings box by box, the schedule core by core, loops with the ohms to expect, and the
drawings.
"""

from __future__ import annotations

from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.desk.frame import JobRequest, sheet_of
from farpress.desk.pages.promises import place_of_subject
from farpress.domain.finding import Assessment, Link
from farpress.errors import InputError
from farpress.judging.standings import barred_outputs
from farpress.wiring.drawings import block_diagram, terminal_drawing
from farpress.wiring.schedule import wiring_schedule

__all__ = ["ROUTES"]

LINKS: Final = (Link.OUTPUT, Link.CONTACT, Link.SUPPLY, Link.DEVICE, Link.PANEL)


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    assessment, judging = sheet.judged()
    body = sheet.kept("wiring", assessment, lambda: _body(sheet, assessment))
    return sheet.page("wiring.html", here="wiring", body=body, judging=judging)


def _body(sheet: JobRequest, assessment: Assessment) -> str:
    case = sheet.state.case
    findings = sorted(
        (finding for finding in assessment.findings if finding.link in LINKS),
        key=lambda finding: (-finding.verdict.rank, finding.code, finding.about),
    )
    receivers = [
        (f"{premises}/{name}", box)
        for premises, house in case.job.premises.items()
        for name, box in house.receivers.items()
    ]
    return sheet.text(
        "wiring_body.html",
        findings=findings,
        schedule=wiring_schedule(case),
        receivers=receivers,
        premises=list(case.job.premises),
        subject=place_of_subject,
    )


def _terminals(request: Request) -> Response:
    sheet = sheet_of(request)
    path = f"{request.path_params['premises']}/{request.path_params['receiver']}"
    if sheet.state.case.job.receiver_of(path) is None:
        raise InputError(f"There is no receiver {path} in this job.")
    barred = barred_outputs(sheet.state.case, sheet.judged()[0])
    return Response(terminal_drawing(sheet.state.case, path, barred), media_type="image/svg+xml")


def _block(request: Request) -> Response:
    sheet = sheet_of(request)
    if request.path_params["premises"] not in sheet.state.case.job.premises:
        raise InputError("There are no such premises in this job.")
    return Response(
        block_diagram(sheet.state.case, request.path_params["premises"]), media_type="image/svg+xml"
    )


ROUTES: Final = [
    Route("/j/{job}/wiring", _page),
    Route("/j/{job}/wiring/terminals/{premises}/{receiver}", _terminals),
    Route("/j/{job}/wiring/block/{premises}", _block),
]
