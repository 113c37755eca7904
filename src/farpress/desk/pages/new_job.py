"""A new job by a guided survey: from nothing to a first assessment, without seeing a file."""

from __future__ import annotations

import json
import os
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Route

from farpress.catalogue.store import load_catalogue
from farpress.desk.access import DeskRole, Session
from farpress.desk.frame import Desk, Refused
from farpress.desk.pages.changing import body_of
from farpress.domain.kinds import output_kind
from farpress.editing.survey import answers_of
from farpress.editing.survey_job import survey_text
from farpress.editing.survey_things import NEVERS, THINGS
from farpress.errors import FarpressError, InputError
from farpress.jobfile.reader import read_job_text
from farpress.jobfile.source import FILE_NAME

__all__ = ["ROUTES"]

SIDES: Final = ("front", "back", "left", "right", "inside")


def _page(request: Request) -> Response:
    desk: Desk = request.app.state.desk
    session: Session = request.state.session
    things = {
        key: {
            "says": thing.says,
            "functions": [[name, kind] for name, _, kind, _ in thing.functions],
            "held": any(output_kind(str(output["kind"])).while_held for *_, output in thing.functions),
        }
        for key, thing in THINGS.items()
    }
    builds = list(load_catalogue().builds.values())
    page = desk.templates.get_template("new.html")
    return HTMLResponse(
        page.render(
            session=session,
            may=session.role >= DeskRole.INSTALLER,
            things=json.dumps(things),
            nevers=NEVERS,
            sides=SIDES,
            outer=[
                build
                for build in builds
                if build.name.startswith(
                    (
                        "brick",
                        "sand",
                        "concrete",
                        "reinforced",
                        "aerated",
                        "natural",
                        "timber frame",
                        "sandwich",
                        "steel sheet",
                        "cavity",
                    )
                )
            ],
            slabs=[build for build in builds if "floor" in build.name or build.name.startswith("reinforced")],
            several=bool(desk.shelf.names()),
            home=desk.shelf.home.name,
        )
    )


async def _make(request: Request) -> Response:
    body = await body_of(request)
    return await run_in_threadpool(_made, request, body)


def _made(request: Request, body: dict[str, Any]) -> Response:
    desk: Desk = request.app.state.desk
    session: Session = request.state.session
    if session.role < DeskRole.INSTALLER:
        raise Refused(
            f"You came in as {session.role.name.lower()}; a new job needs the code of the installer."
        )
    answers = answers_of(body.get("answers"))
    text = survey_text(answers)
    read_job_text(text, known=load_catalogue().known_names())
    if body.get("only") == "check":
        return JSONResponse({"ok": True, "says": "Everything fits together."})
    folder = desk.shelf.new_folder(answers.name)
    try:
        folder.mkdir(parents=True)
        with (folder / FILE_NAME).open("x", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
    except FileExistsError as error:
        raise InputError(f"There is a folder '{folder.name}' already; give the job another name.") from error
    except OSError as error:
        raise FarpressError(f"The job could not be written: {error.strerror or error}.") from error
    name = desk.shelf.take_in(folder)
    return JSONResponse({"ok": True, "says": "The job is made.", "go": f"/j/{name}/promises"})


ROUTES: Final = [Route("/new", _page), Route("/new", _make, methods=["POST"])]
