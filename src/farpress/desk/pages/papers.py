"""The papers: which there are, what is still missing in each, and the files themselves."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.dates import day_wanted
from farpress.desk.apart import PaperWish, Snapshot, printed
from farpress.desk.frame import sheet_of
from farpress.desk.wanted import tells, while_wanted
from farpress.errors import InputError
from farpress.papers.builders.make import chosen_kinds
from farpress.papers.typesetting.kinds import AUDIENCES, KINDS
from farpress.papers.typesetting.languages import LANGUAGES

__all__ = ["ROUTES"]

SIZES: Final = ("a4", "letter")


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    audience = request.query_params.get("for") or None
    names = chosen_kinds((), audience if audience in AUDIENCES else None)
    today = date.today().isoformat()
    return sheet.page(
        "papers.html",
        here="papers",
        kinds=[(name, KINDS[name]) for name in names],
        audiences=AUDIENCES,
        audience=audience,
        today=today,
        sizes=SIZES,
        languages=LANGUAGES,
    )


async def _paper(request: Request) -> Response:
    """One paper as a PDF, shown in the browser."""

    def work(stop: Callable[[], bool]) -> Response:
        name = request.path_params["name"]
        return _made(request, chosen_kinds((name,)), name, stop, packed=False)

    return await while_wanted(request, work)


async def _pack(request: Request) -> Response:
    """Everything for one reader in one ZIP."""

    def work(stop: Callable[[], bool]) -> Response:
        audience = request.query_params.get("for") or None
        return _made(request, chosen_kinds((), audience), audience or "papers", stop, packed=True)

    return await while_wanted(request, work)


def _made(
    request: Request, kinds: tuple[str, ...], name: str, stop: Callable[[], bool], *, packed: bool
) -> Response:
    sheet = sheet_of(request)
    query = request.query_params
    size, day = query.get("size", "a4"), query.get("date", "")
    if size not in SIZES:
        raise InputError("Papers are a4 or letter.")
    wish = PaperWish(
        kinds,
        size,
        query.get("lang", "en"),
        day_wanted(day) if day else None,
        query.get("fob") or None,
        packed,
        without=query.get("for") == "auditor",
    )
    form, content = sheet.desk.printing.ask(
        printed, Snapshot.of(sheet.state.case), wish, tell=tells(sheet, query.get("mark")), stop=stop
    )
    if not form:
        raise InputError("This paper has nothing to print yet.")
    stem = re.sub(r"[^a-z0-9-]+", "-", f"{sheet.name}-{name}")
    place = f'inline; filename="{name}.pdf"' if form == "pdf" else f'attachment; filename="{stem}.zip"'
    return Response(content, media_type=f"application/{form}", headers={"Content-Disposition": place})


ROUTES: Final = [
    Route("/j/{job}/papers", _page),
    Route("/j/{job}/papers/pack.zip", _pack),
    Route("/j/{job}/papers/{name}.pdf", _paper),
]
