"""The first page: each promise drawn as its chain, its weakest link in words, the remedy one step away."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.desk.frame import JobRequest, sheet_of
from farpress.domain.finding import Assessment, Link, Verdict
from farpress.domain.refs import (
    DeviceRef,
    FunctionRef,
    GroupRef,
    OutputRef,
    PanelRef,
    PlaceRef,
    ReceiverRef,
    Ref,
    SupplyRef,
)
from farpress.errors import FarpressError
from farpress.overview.page import first_page

__all__ = ["ROUTES", "place_of_subject"]


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    assessment, judging = sheet.judged()
    chains = sheet.kept("chains", assessment, lambda: _chains(sheet, assessment, judging))
    return sheet.page("promises.html", here="promises", chains=chains, judging=judging)


def _chains(sheet: JobRequest, assessment: Assessment, judging: str) -> str:
    told = {finding.key for chain in assessment.promises for link in chain.links for finding in link.findings}
    beside = [
        finding
        for finding in assessment.findings
        if finding.key not in told and finding.verdict is not Verdict.HOLDS
    ]
    beside.sort(key=lambda finding: (-finding.verdict.rank, finding.code, finding.about))
    counts = [
        (
            verdict,
            sum(chain.verdict is verdict for chain in assessment.promises),
            sum(finding.verdict is verdict for finding in assessment.findings),
        )
        for verdict in reversed(Verdict)
    ]
    first = first_page(assessment)
    order = sorted(
        range(len(assessment.promises)),
        key=lambda index: (
            assessment.promises[index].importance != "must",
            -assessment.promises[index].verdict.rank,
        ),
    )
    return sheet.text(
        "chains.html",
        assessment=assessment,
        beside=beside,
        counts=counts,
        first=first,
        links=[link for link in Link if any(link in dict(row.links) for row in first.rows)],
        order=order,
        judging=judging,
    )


def _concern(request: Request) -> Response:
    """One concern of the first page: all its findings."""
    sheet = sheet_of(request)
    untried = sheet.bench.untried() if request.query_params.get("untried") else None
    concerns = first_page(untried or sheet.bench.assessment()).concerns
    number = request.query_params.get("number", "")
    found = next((concern for concern in concerns if str(concern.number) == number), None)
    if found is None:
        raise FarpressError("This concern is not there any more: the job has changed. Load the page again.")
    trying = untried is not None and not sheet.bench.is_judged()
    if untried is not None and not trying:  # the page counts as it did before, its remedies are tried by now
        tried = {finding.key: finding for finding in sheet.bench.assessment().findings}
        found = replace(found, findings=tuple(tried.get(old.key, old) for old in found.findings))
    return sheet.part("concern.html", concern=found, subject=place_of_subject, trying=trying)


def _chain(request: Request) -> Response:
    """One link of one promise, or its whole chain: every number with its source and remedy."""
    sheet = sheet_of(request)
    index, link = int(request.path_params["index"]), request.query_params.get("link")
    assessment, trying = sheet.findings_now()
    if index >= len(assessment.promises):
        raise FarpressError(
            "This promise is not there any more; somebody may have removed it. Load the page again."
        )
    chain = assessment.promises[index]
    links = [chain_link for chain_link in chain.links if link in (None, chain_link.link)]
    return sheet.part(
        "chain.html",
        chain=chain,
        index=index,
        links=links,
        whole=link is None,
        subject=place_of_subject,
        trying=trying,
    )


def _finding(request: Request) -> Response:
    sheet = sheet_of(request)
    key = request.query_params.get("key", "")
    assessment, trying = sheet.findings_now()
    found = next((finding for finding in assessment.findings if finding.key == key), None)
    if found is None:
        raise FarpressError("This finding is not there any more: the job has changed. Load the page again.")
    return sheet.part("one_finding.html", finding=found, subject=place_of_subject, trying=trying)


def place_of_subject(subject: Ref) -> tuple[str, list[str | int]] | None:
    """Words and path of the entry that a finding's subject means; None where it has no entry of its own.

    >>> place_of_subject(OutputRef("larkfen/R1/2"))
    ('output R1/2', ['premises', 'larkfen', 'receivers', 'R1', 'outputs', '2'])
    """
    match subject:
        case OutputRef():
            receiver = subject.receiver
            path = ["premises", str(subject.premises), "receivers", receiver.name, "outputs", subject.number]
            return f"output {subject.name}", list(path)
        case ReceiverRef() | DeviceRef() | PanelRef() | SupplyRef() | PlaceRef():
            return f"{subject.kind} {subject.name}", [
                "premises",
                str(subject.premises),
                _TABLES[subject.kind],
                subject.name,
            ]
        case GroupRef() | FunctionRef():
            return f"{subject.kind} {subject.path}", [f"{subject.kind}s", subject.path]
    return None


_TABLES = {
    "receiver": "receivers",
    "device": "devices",
    "panel": "panels",
    "supply": "supplies",
    "place": "places",
}


ROUTES: Final = [
    Route("/j/{job}/promises", _page),
    Route("/j/{job}/promises/{index:int}", _chain),
    Route("/j/{job}/finding", _finding),
    Route("/j/{job}/concern", _concern),
]
