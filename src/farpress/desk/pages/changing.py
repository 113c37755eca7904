"""Changes from any page: saved at once, taken back, made again; and the news for everybody else."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse
from starlette.routing import Route

from farpress.desk.access import Role
from farpress.desk.frame import Sheet, answer, sheet_of
from farpress.domain.finding import Change
from farpress.errors import InputError
from farpress.jobfile.history import Version

__all__ = ["ROUTES", "body_of", "changes_of", "saved", "told"]

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


def changes_of(given: object) -> list[Change]:
    """Changes as a page sends them.

    Raises:
        InputError: they are not changes.
    """
    if not isinstance(given, list) or not given or len(given) > MOST_CHANGES:
        raise InputError(f"Changes are a list of 1 to {MOST_CHANGES} entries.")
    changes = []
    for one in given:
        path = one.get("path") if isinstance(one, dict) else None
        if not isinstance(path, list) or not path or not all(isinstance(key, str | int) and not isinstance(key, bool) for key in path) or len(path) > 20:
            raise InputError("A change needs a path of names and numbers.")
        changes.append(Change(tuple(path), one.get("value")))
    return changes


def saved(sheet: Sheet, changes: list[Change], *, says: str, base: str | None = None) -> Response:
    """Save changes and tell what it did to the verdicts."""
    sheet.need(Role.INSTALLER)
    before = sheet.bench.assessment()
    version = sheet.bench.edit(changes, by=sheet.session.name, says=says, base=base)
    return told(sheet, version, before=before)


def told(sheet: Sheet, version: Version, *, before: Any = None) -> Response:
    """Tell the other pages, and answer this one."""
    sheet.desk.hub.tell(sheet.name, "changed", version=version.number, fingerprint=version.fingerprint, by=version.by, says=version.says,
                        client=sheet.request.headers.get("x-client", ""))
    effect = _effect(before, sheet.bench.assessment()) if before is not None else ""
    return answer(f"Saved: {version.says}.{' ' + effect if effect else ''}", version=version.number, fingerprint=version.fingerprint)


def _effect(before: Any, after: Any) -> str:
    """What a change did to the promises, in a sentence."""
    was = {chain.id: chain.verdict for chain in before.promises}
    moved = [(chain.verdict.rank - was[chain.id].rank, chain) for chain in after.promises if chain.id in was and chain.verdict is not was[chain.id]]
    better, worse = sum(step < 0 for step, _ in moved), sum(step > 0 for step, _ in moved)
    parts = [f"{count} promise{'s' if count != 1 else ''} {word}" for count, word in ((better, "better"), (worse, "worse")) if count]
    return (", ".join(parts).capitalize() + ".") if parts else ""


async def _edit(request: Request) -> Response:
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=Role.INSTALLER)
        base = body.get("base")
        says = " ".join(str(body.get("says") or "a change").split())[:200]
        return saved(sheet, changes_of(body.get("changes")), says=says, base=base if isinstance(base, str) else None)

    return await run_in_threadpool(work)


def _undo(request: Request) -> Response:
    sheet = sheet_of(request, role=Role.INSTALLER)
    before = sheet.bench.assessment()
    return told(sheet, sheet.bench.undo(by=sheet.session.name), before=before)


def _redo(request: Request) -> Response:
    sheet = sheet_of(request, role=Role.INSTALLER)
    before = sheet.bench.assessment()
    return told(sheet, sheet.bench.redo(by=sheet.session.name), before=before)


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
    return answer(version=sheet.state.version, fingerprint=sheet.state.fingerprint, faults=len(sheet.state.faults))


ROUTES: Final = [
    Route("/j/{job}/edit", _edit, methods=["POST"]),
    Route("/j/{job}/undo", _undo, methods=["POST"]),
    Route("/j/{job}/redo", _redo, methods=["POST"]),
    Route("/j/{job}/events", _events),
    Route("/j/{job}/news", _news),
]
