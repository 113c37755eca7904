"""The plan: what is drawn where, and the reach of every press over it."""

from __future__ import annotations

import math
import threading
import time
from typing import Any, Final

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from farpress.desk.forms import value_at
from farpress.desk.frame import Sheet, sheet_of
from farpress.domain.premises import Premises
from farpress.errors import InputError
from farpress.tasks.plan_view import Area, PlanView

__all__ = ["ROUTES"]

_views: dict[str, PlanView] = {}
_lock = threading.Lock()
KEPT_VIEWS: Final = 6
"""Our choice: a few jobs, and the state before the last change."""


def view_of(sheet: Sheet) -> PlanView:
    """The radio of the job as it is now; kept while it stays so."""
    key = f"{sheet.name} {sheet.state.fingerprint}"
    with _lock:
        if key not in _views:
            _views[key] = PlanView(sheet.state.case)
            while len(_views) > KEPT_VIEWS:
                del _views[next(iter(_views))]
        return _views[key]


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    return sheet.page("plan.html", here="plan", premises=list(sheet.state.case.job.premises), chosen=request.query_params.get("premises", ""))


def _data(request: Request) -> Response:
    """Everything that is drawn, as the editor wants it; paths are those of the job file."""
    sheet = sheet_of(request)
    name = _premises(sheet, request)
    house = sheet.state.case.job.premises[name]
    equipment = sheet.state.case.equipment
    builds = [{"name": one.name, "says": one.says, "loss": one.loss_db, "steel": one.is_steel} for one in equipment.builds.values()]
    return JSONResponse({
        "fingerprint": sheet.state.fingerprint, "premises": name, "builds": builds, "aerials": sorted(equipment.aerial_parts), **_drawn(house),
        "receiverParts": sorted(sheet.bench.known.get("receiver", ())) + sorted(name for name, part in sheet.state.case.job.parts.items() if part.kind == "receiver"),
        "cables": sorted(sheet.bench.known.get("cable", ())) + sorted(name for name, part in sheet.state.case.job.parts.items() if part.kind == "cable"),
    })


def _drawn(house: Premises) -> dict[str, Any]:
    return {
        "levels": [{"name": name, "floor": level.floor_m, "clear": level.clear_m, "outline": level.outline} for name, level in house.levels.items()],
        "walls": [
            {"level": wall.level, "build": wall.build, "along": wall.along, "base": wall.base_m, "top": wall.top_m,
             "openings": [{"from": one.from_m, "width": one.width_m, "build": one.build, "sill": one.sill_m, "head": one.head_m} for one in wall.openings]}
            for wall in house.walls
        ],
        "steel": [{"says": one.says, "outline": one.outline} for one in house.steel],
        "places": [{"name": name, "at": place.at, "level": place.level, "pressed": place.pressed} for name, place in house.places.items()],
        "receivers": [
            {"name": name, "at": box.at, "level": box.level, "aerial": box.antenna.at if box.antenna else None,
             "others": [one.at for one in box.antenna_places], "outputs": list(box.outputs),
             "cables": [{"key": ["outputs", number, "cable"], "label": f"{name}/{number}", "along": output.cable.along, "length": output.cable.length_m}
                        for number, output in box.outputs.items() if output.cable is not None]
                       + ([{"key": ["fed", "cable"], "label": f"{name} feed", "along": box.fed.cable.along, "length": box.fed.cable.length_m}]
                          if box.fed is not None and box.fed.cable is not None else [])}
            for name, box in house.receivers.items()
        ],
        "devices": [{"name": name, "at": one.at, "level": one.level} for name, one in house.devices.items() if one.at is not None],
        "panels": [{"name": name, "at": one.at, "level": one.level} for name, one in house.panels.items() if one.at is not None],
        "supplies": [{"name": name, "at": one.at, "level": None} for name, one in house.supplies.items() if one.at is not None],
        "north": house.north_deg,
    }


def _map(request: Request) -> Response:
    sheet = sheet_of(request)
    query = request.query_params
    begun = time.perf_counter()
    area = Area(_figure(query, "left"), _figure(query, "low"), _figure(query, "right"), _figure(query, "high"), int(_figure(query, "columns")), int(_figure(query, "rows")))
    grid = view_of(sheet).grid(
        premises=_premises(sheet, request), receiver=query.get("receiver", ""), area=area, level=query.get("level") or None,
        aerial_at=_point(query.get("aerial")), group=query.get("group") or None, presses=max(1, min(20, int(_figure(query, "presses", 2)))),
    )  # fmt: skip
    shares = [[-1 if math.isnan(one) else round(float(one) * 1000) for one in row] for row in grid.shares]
    return JSONResponse({"shares": shares, "gaps": grid.gaps, "group": grid.group, "presses": grid.presses, "ms": round((time.perf_counter() - begun) * 1000)})


def _budget(request: Request) -> Response:
    """The budget at a point, for the panel beside the plan."""
    sheet = sheet_of(request)
    query = request.query_params
    x, y = _figure(query, "x"), _figure(query, "y")
    link = view_of(sheet).budget(
        premises=_premises(sheet, request), receiver=query.get("receiver", ""), x_m=x, y_m=y, level=query.get("level") or None,
        aerial_at=_point(query.get("aerial")), group=query.get("group") or None,
    )  # fmt: skip
    shares = [(presses, link.share(presses), link.doubt(presses)) for presses in (1, 2, 3)]
    return sheet.part("budget.html", link=link, x=x, y=y, receiver=query.get("receiver", ""), shares=shares)


def _places(request: Request) -> Response:
    sheet = sheet_of(request)
    found = view_of(sheet).places(premises=_premises(sheet, request), receiver=request.query_params.get("receiver", ""), aerial_at=_point(request.query_params.get("aerial")))
    return JSONResponse([{"promise": one.promise, "place": one.place, "share": one.share, "doubt": one.doubt, "atLeast": one.at_least, "gaps": one.gaps} for one in found])


def _aerial_place(request: Request) -> Response:
    """The entry of another place for an aerial, as it stands in the file, so that it can become the aerial."""
    sheet = sheet_of(request)
    path = ("premises", _premises(sheet, request), "receivers", request.query_params.get("receiver", ""), "antenna_places", int(_figure(request.query_params, "index")))
    return JSONResponse({"entry": value_at(sheet.bench.values(), path)})


def _premises(sheet: Sheet, request: Request) -> str:
    names = list(sheet.state.case.job.premises)
    name = request.query_params.get("premises") or names[0]
    if name not in names:
        raise InputError(f"There are no premises '{name}' in this job.")
    return name


def _figure(query: Any, name: str, default: float | None = None) -> float:
    text = query.get(name)
    try:
        value = float(text) if text not in (None, "") else default
    except ValueError:
        value = None
    if value is None or not math.isfinite(value):
        raise InputError(f"'{name}' is to be a number.")
    return value


def _point(text: str | None) -> tuple[float, ...] | None:
    if not text:
        return None
    try:
        return tuple(float(one) for one in text.split(","))
    except ValueError as error:
        raise InputError("An aerial stands at x, y and height, in metres on the plan.") from error


ROUTES: Final = [
    Route("/j/{job}/plan", _page),
    Route("/j/{job}/plan/data", _data),
    Route("/j/{job}/plan/map", _map),
    Route("/j/{job}/plan/budget", _budget),
    Route("/j/{job}/plan/places", _places),
    Route("/j/{job}/plan/aerialplace", _aerial_place),
]
