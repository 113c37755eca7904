"""Stories kept in the job as lessons: a name, what happens, how it shall end; and where things stand."""

from __future__ import annotations

from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from farpress.case.areas import states_of_panel
from farpress.case.case import Case
from farpress.desk.access import DeskRole
from farpress.desk.frame import sheet_of
from farpress.desk.pages.changing import body_of, saved, table_in
from farpress.domain.finding import Change
from farpress.errors import InputError
from farpress.rehearsal.kept_stories import story_ends
from farpress.rehearsal.play import play

__all__ = ["LONGEST_STORY", "ROUTES", "plan_of_things"]

LONGEST_STORY = 4000
"""Characters of a story: our choice."""

MOST_LETTERS = 80
"""Of a name; our choice, as elsewhere at the desk."""


def plan_of_things(case: Case) -> dict[str, dict[str, Any]]:
    """Premises → their walls as lines, and what moves or watches there with its place [m]: devices, panels,
    and in place of a panel its areas where each has a state of its own.
    """
    found = {}
    for premises, house in case.job.premises.items():
        things = [(f"{premises}/{name}", thing.at) for name, thing in house.devices.items()]
        things += [
            (path, panel.at)
            for name, panel in house.panels.items()
            for path in states_of_panel(case, f"{premises}/{name}")
        ]
        found[premises] = {
            "walls": [[[spot[0], spot[1]] for spot in wall.along] for wall in house.walls],
            "things": [
                {"path": path, "name": path.partition("/")[2], "at": [spot[0], spot[1]]}
                for path, spot in things
                if spot is not None
            ],
        }
    return found


async def _keep(request: Request) -> Response:
    """Keep a story as it was played: how it ends now is how it shall end, where that is wanted."""
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.INSTALLER)
        values = table_in(body, "values")
        name, says = (" ".join(str(values.get(key) or "").split()) for key in ("name", "says"))
        story = str(values.get("story") or "").strip()
        if not name or len(name) > MOST_LETTERS or not name.isprintable() or "/" in name:
            raise InputError(f"Give the story a name of 1 to {MOST_LETTERS} letters, without a slash.")
        if not story or len(story) > LONGEST_STORY:
            raise InputError("There is no story yet: press a button of the fob first, or write one in words.")
        if name in sheet.state.case.job.stories:
            raise InputError(f"There is a story '{name}' already; give this one another name.")
        line = play(sheet.state.case, story)
        entry: dict[str, Any] = {"steps": story}
        outputs = {output.path for output in sheet.state.case.outputs()}
        if values.get("ends"):
            entry["ends"] = {path: line.at_last(path) for path in line.states if path not in outputs}
        broken = sorted({rule.number for rule in line.broken if rule.number is not None})
        if broken:
            entry["breaks"] = broken
        if says:
            entry["says"] = says[:400]
        there = bool(sheet.state.case.job.stories)
        change = Change(("stories", name), entry) if there else Change(("stories",), {name: entry})
        return saved(sheet, [change], says=f"story {name} kept")

    return await run_in_threadpool(work)


async def _hold(request: Request) -> Response:
    """Play a kept story, and say whether it ends as it shall."""
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request)
        name = str(body.get("name", ""))
        if name not in sheet.state.case.job.stories:
            raise InputError("There is no such story (any more). Load the page again.")
        end = next(story_ends(sheet.state.case, names=(name,)))
        return JSONResponse(
            {"ok": True, "says": end.says, "verdict": str(end.verdict), "because": end.because}
        )

    return await run_in_threadpool(work)


ROUTES = [
    Route("/j/{job}/rehearsal/keep", _keep, methods=["POST"]),
    Route("/j/{job}/rehearsal/hold", _hold, methods=["POST"]),
]
