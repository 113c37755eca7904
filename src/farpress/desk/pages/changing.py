"""Changes from any page: saved at once, taken back, made again; and the news for everybody else."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator, Mapping
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse
from starlette.routing import Route

from farpress.desk.access import DeskRole
from farpress.desk.frame import JobRequest, answer, sheet_of
from farpress.domain.finding import Change
from farpress.errors import InputError
from farpress.jobfile.history import Version

__all__ = ["ROUTES", "body_of", "changes_of", "saved", "table_in", "texts_in", "told"]

MOST_CHANGES: Final = 5000
"""Our choice; a whole imported plan is one change."""


async def body_of(request: Request) -> dict[str, Any]:
    """The JSON table in a request.

    Raises:
        InputError: it is none.
    """
    try:
        body = json.loads(await request.body())
    except (ValueError, RecursionError) as error:
        raise InputError("The request was not understood; load the page again.") from error
    if not isinstance(body, dict):
        raise InputError("The request was not understood; load the page again.")
    return body


def table_in(body: Mapping[str, Any], name: str) -> dict[str, Any]:
    """A table within a request; an empty one where nothing stands.

    Raises:
        InputError: something else stands there.
    """
    given = body.get(name)
    if given is not None and not isinstance(given, dict):
        raise InputError("The request was not understood; load the page again.")
    return dict(given or {})


def texts_in(body: Mapping[str, Any], name: str) -> dict[str, str]:
    """A table of texts and numbers within a request, blanks put right; an empty one where nothing stands.

    Raises:
        InputError: something else stands there, or in it; nothing is guessed from a list.
    """
    given = table_in(body, name)
    if not all(isinstance(value, str | int | float) for value in given.values()):
        raise InputError("The request was not understood; load the page again.")
    return {str(key): " ".join(str(value).split()) for key, value in given.items()}


def changes_of(given: object) -> list[Change]:
    """Changes as a page sends them.

    Raises:
        InputError: they are not changes.
    """
    if not isinstance(given, list) or not given or len(given) > MOST_CHANGES:
        raise InputError(f"Changes are a list of 1 to {MOST_CHANGES} entries.")
    changes = []
    for asked in given:
        path = asked.get("path") if isinstance(asked, dict) else None
        if (
            not isinstance(path, list)
            or not path
            or not all(isinstance(key, str | int) and not isinstance(key, bool) for key in path)
            or len(path) > 20
        ):
            raise InputError("A change needs a path of names and numbers.")
        changes.append(Change(tuple(path), asked.get("value")))
    return changes


def saved(sheet: JobRequest, changes: list[Change], *, says: str, base: str | None = None) -> Response:
    """Save changes; what they did to the promises is told as soon as it is judged."""
    sheet.need(DeskRole.INSTALLER)
    return told(sheet, sheet.bench.edit(changes, by=sheet.session.name, says=says, base=base))


def told(sheet: JobRequest, version: Version | None) -> Response:
    """Answer this page at once; the others get the news from the workbench itself."""
    if version is None:
        return answer("Nothing was to change: the job says this already.")
    sheet.desk.note(version.fingerprint, sheet.request.headers.get("x-client", ""))
    sheet.bench.judge_beside()
    return answer(
        f"Saved: {version.says}.",
        version=version.number,
        fingerprint=version.fingerprint,
        after=version.previous,
    )


async def _edit(request: Request) -> Response:
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.INSTALLER)
        base = body.get("base")
        says = " ".join(str(body.get("says") or "a change").split())[:200]
        return saved(
            sheet, changes_of(body.get("changes")), says=says, base=base if isinstance(base, str) else None
        )

    return await run_in_threadpool(work)


def _undo(request: Request) -> Response:
    sheet = sheet_of(request, role=DeskRole.INSTALLER)
    return told(sheet, sheet.bench.undo(by=sheet.session.name))


def _redo(request: Request) -> Response:
    sheet = sheet_of(request, role=DeskRole.INSTALLER)
    return told(sheet, sheet.bench.redo(by=sheet.session.name))


async def _events(request: Request) -> Response:
    sheet = await run_in_threadpool(sheet_of, request)

    async def lines() -> AsyncIterator[str]:
        async for line in sheet.desk.hub.listen(sheet.name):
            if await request.is_disconnected():
                return
            yield line

    return StreamingResponse(lines(), media_type="text/event-stream", headers={"X-Accel-Buffering": "no"})


def _news(request: Request) -> Response:
    """The state in a few words, for a page that was asleep."""
    sheet = sheet_of(request)
    return answer(
        version=sheet.state.version,
        fingerprint=sheet.state.fingerprint,
        faults=len(sheet.state.faults),
        judged=sheet.bench.is_judged(),
        found=sheet.bench.has_findings(),
    )


ROUTES: Final = [
    Route("/j/{job}/edit", _edit, methods=["POST"]),
    Route("/j/{job}/undo", _undo, methods=["POST"]),
    Route("/j/{job}/redo", _redo, methods=["POST"]),
    Route("/j/{job}/events", _events),
    Route("/j/{job}/news", _news),
]
