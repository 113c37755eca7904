"""The rehearsal: press the buttons of a drawn fob, cut the power, let time run; and stories that break a
rule, played back.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterator
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from farpress.case.areas import states_of_panel
from farpress.dates import stretch_of
from farpress.desk.apart import Snapshot, searched
from farpress.desk.frame import JobRequest, sheet_of
from farpress.desk.pages.changing import body_of
from farpress.desk.pages.lessons import LONGEST_STORY, plan_of_things
from farpress.desk.wanted import tells, while_wanted
from farpress.domain.job import Button, Job
from farpress.domain.refs import DeviceRef, PanelRef
from farpress.errors import InputError
from farpress.rehearsal.drawing import timeline_svg
from farpress.rehearsal.play import play
from farpress.rehearsal.power import power_cut_table
from farpress.rehearsal.rules import RuleResult
from farpress.rehearsal.timeline import Timeline

__all__ = ["ROUTES", "playable"]

BUDGET: Final = 400_000
"""States looked at in one search from the page: our choice, some seconds; the command looks further."""

SOON_S: Final = 2.0
"""Two presses of one button in so short a time come from two people in a story that is played: our choice,
longer than a press and any drop-out time."""

_results: dict[str, list[RuleResult]] = {}


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    job = sheet.state.case.job
    groups = []
    for name, group in job.groups.items():
        buttons = []
        for number, made in group.buttons.items():
            short, long = (made.short, made.long) if isinstance(made, Button) else (made, None)
            buttons.append({"number": number, "short": _named(short), "long": _named(long)})
        groups.append({"name": name, "buttons": buttons})
    rules = [
        (number, rule, rule.says or f"never {rule.never}: {', '.join(rule.of)}")
        for number, rule in enumerate(job.rules, 1)
    ]
    panels = [
        path
        for premises, house in job.premises.items()
        for name in house.panels
        for path in states_of_panel(sheet.state.case, f"{premises}/{name}")
    ]
    return sheet.page(
        "rehearsal.html",
        here="rehearsal",
        groups=json.dumps(groups),
        rules=rules,
        panels=panels,
        round=list(_round(job)),
        story=request.query_params.get("story", ""),
        stage=json.dumps(plan_of_things(sheet.state.case)),
        kept=[(name, story.text, story.says) for name, story in job.stories.items()],
    )


def _round(job: Job) -> Iterator[tuple[str, str]]:
    """What may happen round the things of a job: as the player reads it, and in words."""
    for premises, house in job.premises.items():
        for panel, entry in house.panels.items():
            for area in entry.areas:
                yield f"into {premises}/{panel}.{area}", f"Somebody goes into {area}"
                yield f"out of {premises}/{panel}.{area}", f"{area} is empty"
        for name, lock in house.gate_locks.items():
            for gate in lock.enter_by:
                yield f"into {premises}/{name} by {gate}", f"A vehicle into {name} by {gate}"
            for gate in lock.leave_by:
                yield f"out of {premises}/{name} by {gate}", f"A vehicle out of {name} by {gate}"
    hours = (*(function.hours for function in job.functions.values()), *(rule.hours for rule in job.rules))
    for moment in sorted({end for text in hours if text for end in stretch_of(text) or ()}):
        yield (
            f"clock {moment // 60:02d}:{moment % 60:02d}",
            f"It becomes {moment // 60:02d}:{moment % 60:02d}",
        )


def _named(what: str | tuple[str, ...] | None) -> str:
    return what if isinstance(what, str) else ", ".join(what or ())


async def _play(request: Request) -> Response:
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request)
        story = str(body.get("story", ""))
        if len(story) > LONGEST_STORY:
            raise InputError(
                f"The story has {len(story)} characters; at most {LONGEST_STORY} are played here. Clear it"
                " and begin anew."
            )
        return JSONResponse(_told(play(sheet.state.case, story)))

    return await run_in_threadpool(work)


def _told(line: Timeline) -> dict[str, Any]:
    return {
        "ok": True,
        "says": "",
        "ends": line.ends_s,
        "lines": line.lines,
        "asks": line.asks,
        "taken": line.taken,
        "marks": [{"at": mark.at_s, "says": mark.says, "idle": mark in line.idle} for mark in line.marks],
        "states": {name: states[0] for name, states in line.states.items()},
        "tracks": [
            {
                "name": track.name,
                "says": track.says,
                "spans": [[span.from_s, span.to_s, span.state] for span in track.spans],
            }
            for track in line.tracks
        ],
        "broken": [{"number": rule.number, "says": rule.says} for rule in line.broken],
    }


def _drawing(request: Request) -> Response:
    """The time line as a drawing, to keep or print."""
    sheet = sheet_of(request)
    story = request.query_params.get("story", "")
    if not story or len(story) > LONGEST_STORY:
        raise InputError("Give a story to draw.")
    return Response(timeline_svg(play(sheet.state.case, story)), media_type="image/svg+xml")


async def _search(request: Request) -> Response:
    """Search one rule, or all that always holds, for a story that breaks it."""
    body = await body_of(request)

    def work(stop: Callable[[], bool]) -> Response:
        sheet = sheet_of(request)
        number = body.get("rule")
        if number is not None and (
            not isinstance(number, int) or not 1 <= number <= len(sheet.state.case.job.rules)
        ):
            raise InputError(f"There is no rule {number}; the job has {len(sheet.state.case.job.rules)}.")
        return JSONResponse(
            {
                "ok": True,
                "says": "",
                "results": [_result(result) for result in _searched(sheet, number, body.get("mark"), stop)],
            }
        )

    return await while_wanted(request, work)


def _searched(
    sheet: JobRequest, number: int | None, mark: object, stop: Callable[[], bool]
) -> list[RuleResult]:
    key = f"{sheet.name} {sheet.state.fingerprint} {number}"
    if key not in _results:
        found = sheet.desk.searching.ask(
            searched, Snapshot.of(sheet.state.case), number, BUDGET, tell=tells(sheet, mark), stop=stop
        )
        while len(_results) > 200:
            _results.pop(next(iter(_results)), None)
        _results[key] = found
    return _results[key]


def _result(result: RuleResult) -> dict[str, Any]:
    return {
        "about": result.about,
        "verdict": str(result.verdict),
        "says": result.says,
        "because": result.because,
        "states": result.states,
        "finished": result.finished,
        "asks": result.asks,
        "story": None if result.story is None else {"text": result.story.text, "play": playable(result)},
    }


_DONE: Final = {
    "keypad": "keypad of {}",
    "alarm": "alarm of {}",
    "entry": "entry of {}",
    "under": "under {}",
    "clear": "clear {}",
    "goes in": "into {}",
    "goes out": "out of {}",
    "drives in": "into {} by {}",
    "drives out": "out of {} by {}",
    "works on": "work on {}",
    "work over": "done with {}",
    "isolator on": "isolator of {} on",
    "clock": "clock {}",
}


def playable(result: RuleResult) -> str:
    """A story found by the search as the words that the player reads; empty where it has something the player
    has no words for.

    Args:
        result: of a rule that was broken.
    """
    if result.story is None:
        return ""
    paths = {
        subject.name: subject.path for subject in result.subjects if isinstance(subject, PanelRef | DeviceRef)
    }
    parts: list[str] = []
    held: dict[str, tuple[float, int]] = {}
    pressed: dict[tuple[str, str], float] = {}
    for step in result.story.steps:
        moment = f"{step.at_s:g} s"
        act = step.act
        if act is None:
            return ""
        if act.kind in ("power off", "power on"):
            # the words of a story name a supply as "the supply main" and "the supply of gate"
            fed = act.thing.removeprefix("the supply ").removeprefix("of ")
            parts.append(f"{moment}: {act.kind}{f' of {fed}' if fed else ''}")
        elif act.kind in _DONE:
            parts.append(f"{moment}: {_DONE[act.kind].format(paths.get(act.thing, act.thing), act.who)}")
        elif act.kind == "press":
            # the same thumb again so soon would be seen as one press: it is somebody else's
            key = (act.who, act.thing)
            other = "somebody else of " if step.at_s - pressed.get(key, -math.inf) < SOON_S else ""
            if not other:
                pressed[key] = step.at_s
            parts.append(f"{moment}: {other}{act.who} press {act.thing}{' long' if act.is_long else ''}")
            if act.is_held:
                held[act.thing] = (step.at_s, len(parts) - 1)
        elif act.thing in held:
            since, index = held.pop(act.thing)
            parts[index] = (
                parts[index].replace(" press ", " hold ", 1) + f" for {max(step.at_s - since, 0.1):g} s"
            )
        else:
            return ""
    ends_s = result.story.ends_s + (result.story.tick_s if result.story.just_after else 0.0)
    for since, index in held.values():
        parts[index] = parts[index].replace(" press ", " hold ", 1) + f" for {max(ends_s - since, 0.5):g} s"
    if not result.story.steps or ends_s > result.story.steps[-1].at_s:
        parts.append(f"{ends_s:g} s: wait")
    return "; ".join(parts)


def _power(request: Request) -> Response:
    sheet = sheet_of(request)
    return sheet.part("power.html", rows=power_cut_table(sheet.state.case))


ROUTES: Final = [
    Route("/j/{job}/rehearsal", _page),
    Route("/j/{job}/rehearsal/play", _play, methods=["POST"]),
    Route("/j/{job}/rehearsal/search", _search, methods=["POST"]),
    Route("/j/{job}/rehearsal/drawing", _drawing),
    Route("/j/{job}/rehearsal/power", _power),
]
