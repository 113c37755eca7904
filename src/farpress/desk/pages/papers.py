"""The papers: which there are, what is still missing in each, and the files themselves."""

from __future__ import annotations

import re
from datetime import date
from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.desk.frame import Sheet, sheet_of
from farpress.errors import InputError
from farpress.papers.bundle import bundle
from farpress.papers.kinds import AUDIENCES, KINDS
from farpress.tasks.paper_data.basis import Basis, make_basis, read_date
from farpress.tasks.papers import chosen_kinds, make_papers

__all__ = ["ROUTES"]

SIZES: Final = ("a4", "letter")


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    audience = request.query_params.get("for") or None
    names = chosen_kinds((), audience if audience in AUDIENCES else None)
    today = date.today().isoformat()
    return sheet.page("papers.html", here="papers", kinds=[(name, KINDS[name]) for name in names], audiences=AUDIENCES, audience=audience, today=today, sizes=SIZES)


def _basis(sheet: Sheet) -> tuple[Basis, str]:
    query = sheet.request.query_params
    size = query.get("size", "a4")
    if size not in SIZES:
        raise InputError("Papers are a4 or letter.")
    day = query.get("date", "")
    fob = query.get("fob") or None
    return make_basis(sheet.state.case, language=query.get("lang", "en"), day=read_date(day) if day else None, lost=fob), size


def _paper(request: Request) -> Response:
    """One paper as a PDF, shown in the browser."""
    sheet = sheet_of(request)
    name = request.path_params["name"]
    kinds = chosen_kinds((name,))
    basis, size = _basis(sheet)
    files = [one for one in make_papers(basis, kinds, size=size) if one.name.endswith(".pdf")]
    if not files:
        raise InputError("This paper has nothing to print yet.")
    if len(files) > 1:
        return _zipped(sheet, {one.name: one.content for one in files}, name)
    return Response(files[0].content, media_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}.pdf"'})


def _pack(request: Request) -> Response:
    """Everything for one reader in one ZIP."""
    sheet = sheet_of(request)
    audience = request.query_params.get("for") or None
    basis, size = _basis(sheet)
    made = make_papers(basis, chosen_kinds((), audience), size=size, progress=lambda done, of, what: sheet.desk.hub.tell(sheet.name, "making", done=done, of=of, says=what))
    return _zipped(sheet, {one.name: one.content for one in made}, audience or "papers")


def _zipped(sheet: Sheet, files: dict[str, bytes], name: str) -> Response:
    stem = re.sub(r"[^a-z0-9-]+", "-", f"{sheet.name}-{name}")
    return Response(bundle(files), media_type="application/zip", headers={"Content-Disposition": f'attachment; filename="{stem}.zip"'})


ROUTES: Final = [
    Route("/j/{job}/papers", _page),
    Route("/j/{job}/papers/pack.zip", _pack),
    Route("/j/{job}/papers/{name}.pdf", _paper),
]
