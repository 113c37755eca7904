"""The plan: what is drawn where, and the reach of every press over it."""

from __future__ import annotations

import contextlib
import math
import threading
import time
from typing import Any, Final

import numpy as np
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from farpress.desk.forms import value_at
from farpress.desk.frame import Sheet, sheet_of
from farpress.domain.premises import Premises, Receiver
from farpress.errors import InputError
from farpress.tasks.case import Case
from farpress.tasks.radio_link import Radio
from farpress.tasks.reach import MapRequest, budget_at, promised_links, reach_map

__all__ = ["ROUTES", "radio_of", "warm"]

_radios: dict[str, Radio] = {}
_lock = threading.Lock()
KEPT_RADIOS: Final = 6
"""Our choice: a few jobs, and the state before the last change."""

MOST_CELLS: Final = 40_000
"""Our choice: 200 by 200."""


def radio_of(sheet: Sheet) -> Radio:
    """The links of the job as it is now, with what was computed already; kept while it stays so."""
    key = f"{sheet.name} {sheet.state.fingerprint}"
    with _lock:
        if key not in _radios:
            _radios[key] = Radio(sheet.state.case)
            while len(_radios) > KEPT_RADIOS:
                del _radios[next(iter(_radios))]
        return _radios[key]


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
        "fingerprint": sheet.state.fingerprint, "premises": name, "builds": builds, "aerials": sorted(equipment.aerial_parts), "coaxes": sorted(equipment.coax_parts), **_drawn(house),
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
            {"name": name, "at": box.at, "level": box.level, "aerial": box.antenna.at if box.antenna else None, "coax": _coax(box),
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


def _coax(box: Receiver) -> dict[str, Any] | None:
    run = box.antenna.coax if box.antenna is not None else None
    return {"part": run.part, "length": run.length_m} if run is not None else None


def _map(request: Request) -> Response:
    """The chance of one press, cell by cell, with the aerial where it is or where it is dragged to."""
    sheet = sheet_of(request)
    query = request.query_params
    begun = time.perf_counter()
    premises, receiver = _premises(sheet, request), query.get("receiver", "")
    area = (_figure(query, "left"), _figure(query, "low"), _figure(query, "right"), _figure(query, "high"))
    columns, rows = int(_figure(query, "columns")), int(_figure(query, "rows"))
    if columns * rows > MOST_CELLS:
        raise InputError(f"A map here has at most {MOST_CELLS} cells.")
    if premises not in sheet.state.case.job.premises or receiver not in sheet.state.case.job.premises[premises].receivers:
        raise InputError(f"There is no receiver '{receiver}' in {premises}.")
    aerial = _aerial(sheet, premises, receiver, query.get("aerial"))
    try:
        made = reach_map(sheet.state.case, premises, receiver, level=query.get("level") or None, cells=(columns, rows), aerial_at=aerial,
                         request=MapRequest(group=query.get("group") or None, area=area), radio=radio_of(sheet))
    except InputError as error:  # something is still to be entered: no fault of the request
        return JSONResponse({"shares": None, "says": str(error)})
    chance = np.where(made.stands & np.isfinite(made.chance), made.chance, np.nan)
    shares = [[-1 if one != one else round(one * 1000) for one in row] for row in chance.tolist()]
    return JSONResponse({"shares": shares, "notes": made.notes[:3], "group": made.group, "ms": round((time.perf_counter() - begun) * 1000)})


def _budget(request: Request) -> Response:
    """The budget at a point, for the panel beside the plan."""
    sheet = sheet_of(request)
    query = request.query_params
    premises, receiver = _premises(sheet, request), query.get("receiver", "")
    x, y = _figure(query, "x"), _figure(query, "y")
    level = query.get("level") or None
    case, radio = sheet.state.case, radio_of(sheet)
    try:
        cell = reach_map(case, premises, receiver, level=level, cells=(2, 2), request=MapRequest(area=(x - 0.01, y - 0.01, x + 0.01, y + 0.01)), radio=radio)
        inside = bool(cell.indoors.any())
    except InputError:
        inside = False  # what is missing stands in the budget itself
    link = budget_at(case, premises, receiver, (x, y), level=level if inside else None, group=query.get("group") or None,
                     aerial_at=_aerial(sheet, premises, receiver, query.get("aerial")), radio=radio)
    shares = [(presses, link.share(presses), link.doubt(presses)) for presses in (1, 2, 3)]
    return sheet.part("budget.html", link=link, x=x, y=y, receiver=receiver, shares=shares)


def _places(request: Request) -> Response:
    """Every promise that a receiver has to hear, at its place."""
    sheet = sheet_of(request)
    premises, receiver = _premises(sheet, request), request.query_params.get("receiver", "")
    found = promised_links(sheet.state.case, premises, receiver, aerial_at=_aerial(sheet, premises, receiver, request.query_params.get("aerial")), radio=radio_of(sheet))
    return JSONResponse([{"promise": one.promise, "place": one.place.split("/")[-1], "presses": one.presses, "share": one.share, "atLeast": one.wanted} for one in found])


def _aerial(sheet: Sheet, premises: str, receiver: str, text: str | None) -> tuple[float, ...] | None:
    """Where the aerial is dragged to; it keeps its height where only two numbers are given."""
    at = _point(text)
    box = sheet.state.case.job.premises[premises].receivers.get(receiver)
    if at is None or len(at) != 2 or box is None:
        return at
    height = (box.antenna.at if box.antenna is not None else box.at)[2:]
    return (*at, *height)


def _aerial_place(request: Request) -> Response:
    """The entry of another place for an aerial, as it stands in the file, so that it can become the aerial."""
    sheet = sheet_of(request)
    path = ("premises", _premises(sheet, request), "receivers", request.query_params.get("receiver", ""), "antenna_places", int(_figure(request.query_params, "index")))
    return JSONResponse({"entry": value_at(sheet.bench.values(), path)})


def warm(case: Case) -> None:
    """Make the first map quick: what is compiled once is compiled before anybody asks."""
    for premises, house in case.job.premises.items():
        for receiver in house.receivers:
            with contextlib.suppress(InputError):
                reach_map(case, premises, receiver, level=None, cells=(40, 30))
                return


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
