"""The desk as one web application: doors, sessions, routes. Pages know nothing of each other."""

from __future__ import annotations

import contextlib
import importlib
import threading
import time
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Final
from urllib.parse import quote

from starlette.applications import Starlette
from starlette.datastructures import MutableHeaders
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import (
    FileResponse,
    HTMLResponse,
    JSONResponse,
    PlainTextResponse,
    RedirectResponse,
    Response,
)
from starlette.routing import BaseRoute, Mount, Route
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from farpress.desk.access import COOKIE, Access, TooOften
from farpress.desk.apart import Snapshot, warmed
from farpress.desk.frame import HERE, PAGES, Desk, failure
from farpress.desk.guard import PACE, Guard
from farpress.editing.workbench import NothingToUndo, Workbench
from farpress.errors import FarpressError, JobFileError
from farpress.papers.typesetting.faces import FONT_FOLDER
from farpress.web.peer import is_another_account

__all__ = ["make_app"]

MODULES: Final = (
    "changing",
    "entries",
    "sheets",
    "naming",
    "tasks",
    "promises",
    "mend",
    "design",
    "plan",
    "plan_import",
    "wiring",
    "board",
    "meter",
    "rehearsal",
    "lessons",
    "hunt",
    "keys",
    "keys_list",
    "keys_seen",
    "takeover",
    "proving",
    "papers",
    "quote",
    "upkeep",
    "faults",
    "seen",
    "versions",
    "new_job",
)
"""Modules of `farpress.desk.pages`; each has `ROUTES`."""

UPLOADS: Final = (
    "/plan/import",
    "/keys/import",
    "/keys/memory",
    "/takeover/take",
    "/plan/underlay",
    "/quote/list",
    "/seen/bring",
)
"""Ends of addresses that may carry a file."""


def make_app(
    where: Path,
    *,
    access: Access | None = None,
    pace: tuple[int, float] = PACE,
    is_warmed: bool = True,
    apart: bool = True,
) -> Starlette:
    """The application over a job folder, or over a folder of jobs.

    Args:
        where: a job's folder or file, a folder of job folders, or a folder that is still to be made.
        access: the door; without one, only this machine's own browser may come in.
        pace: requests and seconds allowed to one address.
        is_warmed: judge the job and make the reach ready before anybody asks.
        apart: judge and compute reach in processes of their own, so that pages never wait for them.
    """
    desk = Desk.over(where, access or Access(), apart=apart)
    routes: list[BaseRoute] = [
        Route("/", _home),
        Route("/pair", _pair, methods=["GET", "POST"]),
        Route("/leave", _leave, methods=["POST"]),
        Route("/health", lambda request: PlainTextResponse("ready")),
        Route("/face/{name}", _face),
        Route(
            "/favicon.ico",
            lambda request: FileResponse(HERE / "static" / "mark.svg", media_type="image/svg+xml"),
        ),
        Route("/static/walk-keeper.js", _keeper),
        Mount("/static", StaticFiles(directory=HERE / "static"), name="static"),
    ]
    for name in MODULES:
        routes += importlib.import_module(f"farpress.desk.pages.{name}").ROUTES
    routes.append(
        Route("/j/{job}", lambda request: RedirectResponse(f"/j/{request.path_params['job']}/promises"))
    )

    @asynccontextmanager
    async def life(app: Starlette) -> AsyncIterator[None]:
        if is_warmed:
            desk.warming.begun = time.monotonic()
            threading.Thread(target=_make_ready, args=(desk,), daemon=True).start()
        threading.Thread(target=_watch_files, args=(desk,), daemon=True).start()
        yield
        desk.close()

    app = Starlette(
        routes=routes,
        middleware=[
            Middleware(Guard, shared=desk.access.shared, upload_paths=UPLOADS, most=pace),
            Middleware(_Door, desk=desk),
        ],
        exception_handlers={FarpressError: _told, 404: _nothing_here, 405: _nothing_here, 500: _broken},
        lifespan=life,
    )
    app.state.desk = desk
    return app


MOST_TRIED: Final = 5
"""Jobs of a folder that are looked at for one that can be used: our choice."""

LOOK_S: Final = 2.0
"""How often files are looked at for changes made outside: our choice."""


def _watch_files(desk: Desk) -> None:
    """Notice changes made in the files by hand, also while nobody asks; every open page is told."""
    while not desk.ended.wait(LOOK_S):
        for name in desk.shelf.opened():
            with contextlib.suppress(FarpressError, OSError):
                desk.bench(name).state()


def _first(desk: Desk) -> Workbench | None:
    """The job the desk was opened with, else the first of the folder that can be used; a job with faults says
    so on its page.
    """
    for name in (desk.shelf.only,) if desk.shelf.only else desk.shelf.names()[:MOST_TRIED]:
        with contextlib.suppress(FarpressError):
            return desk.bench(name)
    return None


def _make_ready(desk: Desk) -> None:
    """Judge the job before anybody asks, then have the reach compiled for this computer; open plans say so
    while that lasts.
    """
    try:
        bench = _first(desk)
        if bench is not None:
            with contextlib.suppress(FarpressError):
                bench.assessment()
                desk.reach.ask(warmed, Snapshot.of(bench.state().case))
    finally:
        desk.warming.done.set()


class _Door:
    """Gives every request its session, or sends it to the pairing page."""

    def __init__(self, app: ASGIApp, *, desk: Desk) -> None:
        self._app, self._desk = app, desk

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if (
            scope["type"] != "http"
            or scope["path"].startswith(("/static/", "/face/"))
            or scope["path"] in ("/health", "/favicon.ico")
        ):
            await self._app(scope, receive, send)
            return
        request = Request(scope)
        access = self._desk.access
        session = access.session(request.cookies.get(COOKIE))
        begun = None
        if session is None and not access.shared and not _is_strange(scope):
            session = begun = access.enter_alone()
        if session is None and scope["path"] != "/pair":
            wanted: Response
            if (
                scope["method"] == "GET"
                and "text/html" in request.headers.get("accept", "")
                and "x-part" not in request.headers
            ):
                wanted = RedirectResponse(f"/pair?to={quote(scope['path'])}", 303)
            else:
                wanted = JSONResponse(
                    {
                        "ok": False,
                        "says": (
                            "You are not paired with this desk (any more). Load the page again and give the"
                            " code."
                        ),
                        "pair": True,
                    },
                    401,
                )
            await wanted(scope, receive, send)
            return
        scope.setdefault("state", {})["session"] = session

        async def sending(message: Message) -> None:
            if message["type"] == "http.response.start" and begun is not None:
                MutableHeaders(scope=message).append(
                    "set-cookie", _cookie(begun.mark, secure=scope["scheme"] == "https")
                )
            await send(message)

        await self._app(scope, receive, sending)


def _is_strange(scope: Scope) -> bool:
    """Whether a request comes from another account of this machine."""
    client, server = scope.get("client"), scope.get("server")
    return is_another_account(
        (client[0], client[1]) if client else None, (server[0], server[1]) if server else None
    )


def _cookie(mark: str, *, secure: bool) -> str:
    return f"{COOKIE}={mark}; HttpOnly; SameSite=Strict; Path=/; Max-Age=43200{'; Secure' if secure else ''}"


def _home(request: Request) -> Response:
    desk: Desk = request.app.state.desk
    names = desk.shelf.names()
    if desk.shelf.only and len(names) == 1:
        return RedirectResponse(f"/j/{names[0]}/promises")
    if not names:
        return RedirectResponse("/new")
    jobs: list[tuple[str, str, str, str | None]] = []
    for name in names:
        try:
            state = desk.bench(name).state()
            jobs.append((name, state.case.job.job, state.case.job.details.customer or "", None))
        except JobFileError as error:
            jobs.append(
                (
                    name,
                    name,
                    "",
                    (
                        f"cannot be used: {len(error.faults)} fault{'s' if len(error.faults) != 1 else ''} in"
                        " its file"
                    ),
                )
            )
    page = desk.templates.get_template("jobs.html")
    return HTMLResponse(page.render(jobs=jobs, session=request.state.session, home=desk.shelf.home.name))


async def _pair(request: Request) -> Response:
    desk: Desk = request.app.state.desk
    page = desk.templates.get_template("pair.html")
    to = request.query_params.get("to", "/")
    to = to if to.startswith("/") and not to.startswith(("//", "/\\")) else "/"
    if not desk.access.shared and not _is_strange(request.scope):
        return RedirectResponse(to)
    if request.method == "GET":
        return HTMLResponse(page.render(says="", to=to, name=""))
    form = await request.form(max_files=0, max_fields=5)
    name, code = str(form.get("name", "")), str(form.get("code", ""))
    address = request.client.host if request.client else "?"
    try:
        session = desk.access.pair(code, name=name, address=address)
    except TooOften as error:
        says = f"Too many wrong codes. Wait {error.wait_s:.0f} seconds, then try again."
        return HTMLResponse(
            page.render(says=says, to=to, name=name), 429, {"Retry-After": f"{error.wait_s:.0f}"}
        )
    if session is None:
        return HTMLResponse(
            page.render(
                says=(
                    "That is not one of the codes shown at the desk. Look again; letters and digits, 8 signs."
                ),
                to=to,
                name=name,
            ),
            403,
        )
    return RedirectResponse(
        to, 303, {"set-cookie": _cookie(session.mark, secure=request.url.scheme == "https")}
    )


def _leave(request: Request) -> Response:
    desk: Desk = request.app.state.desk
    desk.access.leave(request.cookies.get(COOKIE, ""))
    return RedirectResponse("/pair", 303)


def _keeper(request: Request) -> Response:
    """The script that keeps the page of the walk may serve an address outside its own folder, and only that
    one is asked for.
    """
    return FileResponse(
        HERE / "static" / "walk-keeper.js",
        media_type="text/javascript",
        headers={"Service-Worker-Allowed": "/j/"},
    )


FACES: Final = {
    "regular": "SourceSansPro-Regular.ttf",
    "semibold": "SourceSansPro-Semibold.ttf",
    "bold": "SourceSansPro-Bold.ttf",
}
"""Weights of the one face used."""


def _face(request: Request) -> Response:
    name = FACES.get(request.path_params["name"])
    if name is None:
        return PlainTextResponse("There is no such face.", 404)
    return FileResponse(
        FONT_FOLDER / name, media_type="font/ttf", headers={"Cache-Control": "max-age=604800"}
    )


def _told(request: Request, error: Exception) -> Response:
    """One of our own errors: as JSON for a script, as a page for a person."""
    assert isinstance(error, FarpressError)
    if request.method != "GET" or "text/html" not in request.headers.get("accept", ""):
        result = failure(error)
        if isinstance(error, NothingToUndo):
            result.status_code = 409
        return result
    return _error_page(request, "This cannot be shown", str(error), getattr(error, "faults", ()), 422)


def _nothing_here(request: Request, error: Exception) -> Response:
    return _error_page(
        request,
        "There is no such page",
        f"Nothing lies at {request.url.path[:80]}.",
        (),
        getattr(error, "status_code", 404),
    )


def _broken(request: Request, error: Exception) -> Response:
    says = (
        "Something went wrong inside the program; it is a fault of ours, not of your job. Everything saved so"
        " far is kept. The terminal shows the details."
    )
    if request.method != "GET":
        return JSONResponse({"ok": False, "says": says, "faults": [], "clashes": []}, 500)
    return _error_page(request, "A fault of ours", says, (), 500)


def _error_page(request: Request, title: str, says: str, faults: object, status: int) -> Response:
    desk: Desk = request.app.state.desk
    page = desk.templates.get_template("trouble.html")
    return HTMLResponse(page.render(title=title, says=says, faults=faults, pages=PAGES), status)
