"""The plan: what is drawn where, and the reach of every press over it."""

from __future__ import annotations

import math
import time
from typing import Any, Final, get_args

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from farpress.desk import apart
from farpress.desk.access import DeskRole
from farpress.desk.apart import MapWish, Snapshot
from farpress.desk.form_schema import value_at
from farpress.desk.frame import JobRequest, sheet_of
from farpress.desk.pages.changing import body_of, saved
from farpress.domain.premises import Premises, Receiver
from farpress.editing.moved_origin import moved_origin
from farpress.errors import InputError
from farpress.phrases import listed
from farpress.reach.radio_budget import Pressed
from farpress.reach.together import groups_that_work

__all__ = ["ROUTES"]

MOST_CELLS: Final = 40_000
"""Our choice: 200 by 200."""

FARTHEST_M: Final = 100_000.0
"""Our choice: no plan is a hundred kilometres wide."""

GRIPS: Final = get_args(Pressed)
"""How a fob can be held."""

SHOWN: Final = ("chance", "kept", "level")
"""What a map shows: see `MapWish`."""

MOST_PRESSES: Final = 5
"""Our choice; promises speak of one to three."""

LONG_S: Final = 2.5
"""From then on a person is told what is being waited for: our choice."""


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    return sheet.page(
        "plan.html",
        here="plan",
        premises=list(sheet.state.case.job.premises),
        chosen=request.query_params.get("premises", ""),
    )


def _data(request: Request) -> Response:
    """Everything that is drawn, as the editor wants it; paths are those of the job file."""
    sheet = sheet_of(request)
    name = _premises(sheet, request)
    house = sheet.state.case.job.premises[name]
    equipment = sheet.state.case.equipment
    builds = [
        {"name": build.name, "says": build.says, "loss": build.loss_db, "steel": build.is_steel}
        for build in equipment.builds.values()
    ]
    return JSONResponse(
        {
            "fingerprint": sheet.state.fingerprint,
            "premises": name,
            "builds": builds,
            "aerials": sorted(equipment.aerial_parts),
            "coaxes": sorted(equipment.coax_parts),
            **_drawn(house),
            "groups": groups_that_work(sheet.state.case, name),
            "grips": GRIPS,
            "forbidden": _forbidden(sheet, name, house),
            "receiverParts": (
                sorted(sheet.bench.known.get("receiver", ()))
                + sorted(name for name, part in sheet.state.case.job.parts.items() if part.kind == "receiver")
            ),
            "cables": (
                sorted(sheet.bench.known.get("cable", ()))
                + sorted(name for name, part in sheet.state.case.job.parts.items() if part.kind == "cable")
            ),
        }
    )


def _drawn(house: Premises) -> dict[str, Any]:
    return {
        "levels": [
            {"name": name, "floor": level.floor_m, "clear": level.clear_m, "outline": level.outline}
            for name, level in house.levels.items()
        ],
        "walls": [
            {
                "level": wall.level,
                "build": wall.build,
                "along": wall.along,
                "base": wall.base_m,
                "top": wall.top_m,
                "openings": [
                    {
                        "from": opening.from_m,
                        "width": opening.width_m,
                        "build": opening.build,
                        "sill": opening.sill_m,
                        "head": opening.head_m,
                    }
                    for opening in wall.openings
                ],
            }
            for wall in house.walls
        ],
        "steel": [
            {"says": steel_object.says, "outline": steel_object.outline} for steel_object in house.steel
        ],
        "places": [
            {"name": name, "at": place.at, "level": place.level, "pressed": place.pressed}
            for name, place in house.places.items()
        ],
        "receivers": [
            {
                "name": name,
                "at": box.at,
                "level": box.level,
                "aerial": box.antenna.at if box.antenna else None,
                "tilt": box.antenna.tilt_deg if box.antenna else None,
                "coax": _coax(box),
                "others": [aerial.at for aerial in box.antenna_places],
                "outputs": list(box.outputs),
                "cables": (
                    [
                        {
                            "key": ["outputs", number, "cable"],
                            "label": f"{name}/{number}",
                            "along": output.cable.along,
                            "length": output.cable.length_m,
                        }
                        for number, output in box.outputs.items()
                        if output.cable is not None
                    ]
                    + (
                        [
                            {
                                "key": ["fed", "cable"],
                                "label": f"{name} feed",
                                "along": box.fed.cable.along,
                                "length": box.fed.cable.length_m,
                            }
                        ]
                        if box.fed is not None and box.fed.cable is not None
                        else []
                    )
                ),
            }
            for name, box in house.receivers.items()
        ],
        "devices": [
            {"name": name, "at": device.at, "level": device.level}
            for name, device in house.devices.items()
            if device.at is not None
        ],
        "panels": [
            {"name": name, "at": panel.at, "level": panel.level}
            for name, panel in house.panels.items()
            if panel.at is not None
        ],
        "supplies": [
            {"name": name, "at": supply.at, "level": None}
            for name, supply in house.supplies.items()
            if supply.at is not None
        ],
        "mounts": [
            {"name": name, "at": mount.at, "level": mount.level} for name, mount in house.mounts.items()
        ],
        "junctions": [
            {"name": name, "at": box.at, "level": box.level}
            for name, box in house.junctions.items()
            if box.at is not None
        ],
        "north": house.north_deg,
    }


def _forbidden(sheet: JobRequest, premises: str, house: Premises) -> list[dict[str, Any]]:
    """Where something must not work from: places, and circles where a distance is given."""
    case, found = sheet.state.case, []
    for rule in case.job.rules:
        if rule.never not in ("works from", "works beyond"):
            continue
        what = f"{', '.join(rule.of)} must never work from here"
        named = [
            key[1]
            for key in (case.place(path, premises) for path in rule.from_)
            if key is not None and key[0] == premises
        ]
        if rule.never == "works from":
            found += [{"name": name, "at": house.places[name].at[:2], "says": what} for name in named]
        elif rule.distance_m is not None:
            centres = [house.places[name].at for name in named]
            if not centres:
                outputs = [
                    output
                    for function in rule.of
                    for output in case.outputs_of(function)
                    if output.premises == premises
                ]
                driven = [
                    (case.driven(premises, output.works[0]) if output.works else None, output)
                    for output in outputs
                ]
                centres = [
                    thing.at if thing is not None and thing.at is not None else output.box.at
                    for thing, output in driven
                ]
            found += [
                {
                    "name": "",
                    "at": centre[:2],
                    "radius": rule.distance_m,
                    "says": f"{', '.join(rule.of)} must never work beyond {rule.distance_m:g} m",
                }
                for centre in dict.fromkeys(centres)
            ]
    return found


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
    if columns < 1 or rows < 1 or columns * rows > MOST_CELLS or area[0] >= area[2] or area[1] >= area[3]:
        raise InputError(f"A map here has 1 to {MOST_CELLS} cells and an area.")
    _known_receiver(sheet, premises, receiver)
    shows, held = query.get("shows") or "chance", query.get("held") or GRIPS[0]
    if shows not in SHOWN or held not in GRIPS:
        raise InputError(f"A map here shows {listed(SHOWN)}, of a fob {listed(GRIPS)}.")
    group = query.get("group") or None
    if group is not None and group not in sheet.state.case.job.groups:
        raise InputError(f"There is no group '{group[:60]}' in this job.")
    presses = int(_figure(query, "presses", 1.0))
    if not 1 <= presses <= MOST_PRESSES:
        raise InputError(f"A map here is of 1 to {MOST_PRESSES} presses.")
    passed = sheet.desk.warming.passed_s(LONG_S)
    if passed is not None:
        return JSONResponse(
            {
                "shares": None,
                "wait": True,
                "says": (
                    "The reach is being made ready for this computer. That takes up to half a minute, once,"
                    f" longer on a busy one; {passed // 5 * 5:.0f} s so far. Draw on meanwhile."
                ),
            }
        )
    wish = MapWish(
        premises,
        receiver,
        query.get("level") or None,
        (columns, rows),
        area,
        _aerial(sheet, premises, receiver, query.get("aerial")) if receiver and shows != "kept" else None,
        group,
        held,  # type: ignore[arg-type]
        presses,
        shows,
    )
    made = sheet.desk.reach.ask(apart.drawn, Snapshot.of(sheet.state.case), wish)
    if made.values is None:
        return JSONResponse({"shares": None, "says": made.says})
    rows_of = made.values.tolist()
    if shows == "level":  # tenths of a decibel; null where nobody stands
        shares = [[None if value != value else round(value, 1) for value in row] for row in rows_of]
    else:
        shares = [[-1 if value != value else round(value * 1000) for value in row] for row in rows_of]
    return JSONResponse(
        {
            "shares": shares,
            "notes": made.notes,
            "group": made.group,
            "receivers": made.receivers,
            "promises": made.promises,
            "ms": round((time.perf_counter() - begun) * 1000),
        }
    )


def _known_receiver(sheet: JobRequest, premises: str, receiver: str) -> None:
    """Refuse a receiver that is not there; none at all stands for all of them."""
    house = sheet.state.case.job.premises.get(premises)
    if house is None or (receiver and receiver not in house.receivers):
        raise InputError(f"There is no receiver '{receiver[:60]}' in {premises}.")


def _budget(request: Request) -> Response:
    """The budget at a point, for the panel beside the plan."""
    sheet = sheet_of(request)
    query = request.query_params
    premises, receiver = _premises(sheet, request), query.get("receiver", "")
    x, y = _figure(query, "x"), _figure(query, "y")
    if not receiver:
        raise InputError("Choose one receiver first: a budget is of one way to one aerial.")
    link = sheet.desk.reach.ask(
        apart.budget,
        Snapshot.of(sheet.state.case),
        premises,
        receiver,
        (x, y),
        query.get("level") or None,
        query.get("group") or None,
        _aerial(sheet, premises, receiver, query.get("aerial")),
    )
    shares = [(presses, link.share(presses), link.doubt(presses)) for presses in (1, 2, 3)]
    return sheet.part("budget.html", link=link, x=x, y=y, receiver=receiver, shares=shares)


def _places(request: Request) -> Response:
    """Every promise that a receiver has to hear, at its place."""
    sheet = sheet_of(request)
    premises, receiver = _premises(sheet, request), request.query_params.get("receiver", "")
    _known_receiver(sheet, premises, receiver)
    aerial = _aerial(sheet, premises, receiver, request.query_params.get("aerial"))
    found = [
        link
        for box in ([receiver] if receiver else sheet.state.case.job.premises[premises].receivers)
        for link in sheet.desk.reach.ask(apart.promised, Snapshot.of(sheet.state.case), premises, box, aerial)
    ]
    return JSONResponse(
        [
            {
                "promise": link.promise,
                "place": link.place.split("/")[-1],
                "receiver": link.receiver,
                "presses": link.presses,
                "share": link.share,
                "atLeast": link.wanted,
            }
            for link in found
        ]
    )


def _aerial(sheet: JobRequest, premises: str, receiver: str, text: str | None) -> tuple[float, ...] | None:
    """Where the aerial is dragged to; it keeps its height where only two numbers are given."""
    point = _point(text)
    box = sheet.state.case.job.premises[premises].receivers.get(receiver)
    if point is None or len(point) != 2 or box is None:
        return point
    height = (box.antenna.at if box.antenna is not None else box.at)[2:]
    return (*point, *height)


def _aerial_place(request: Request) -> Response:
    """The entry of another place for an aerial, as it stands in the file, so that it can become the
    aerial.
    """
    sheet = sheet_of(request)
    path = (
        "premises",
        _premises(sheet, request),
        "receivers",
        request.query_params.get("receiver", ""),
        "antenna_places",
        int(_figure(request.query_params, "index")),
    )
    return JSONResponse({"entry": value_at(sheet.bench.values(), path)})


async def _origin(request: Request) -> Response:
    """Another point of the plan becomes its 0, 0; nothing that is drawn moves."""
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.INSTALLER)
        premises = str(body.get("premises") or "")
        x, y = _figure(body, "x"), _figure(body, "y")
        changes = moved_origin(sheet.state.case.job, sheet.bench.values(), premises, x_m=x, y_m=y)
        says = f"origin of the plan of {premises} moved to what was {x:g} m, {y:g} m"
        return saved(sheet, changes, says=says, base=sheet.state.fingerprint)

    return await run_in_threadpool(work)


def _premises(sheet: JobRequest, request: Request) -> str:
    names = list(sheet.state.case.job.premises)
    name = request.query_params.get("premises") or names[0]
    if name not in names:
        raise InputError(f"There are no premises '{name}' in this job.")
    return name


def _figure(query: Any, name: str, default: float | None = None) -> float:
    text = query.get(name)
    try:
        value = float(text) if text not in (None, "") else default
    except (TypeError, ValueError):
        value = None
    if value is None or not math.isfinite(value) or abs(value) > FARTHEST_M:
        raise InputError(f"'{name}' is to be a number, at most {FARTHEST_M:.0f}.")
    return value


def _point(text: str | None) -> tuple[float, ...] | None:
    if not text:
        return None
    try:
        found = tuple(float(metres) for metres in text.split(","))
    except ValueError:
        found = ()
    if len(found) not in (2, 3) or not all(
        math.isfinite(metres) and abs(metres) <= FARTHEST_M for metres in found
    ):
        raise InputError("An aerial stands at x, y and height, in metres on the plan.")
    return found


ROUTES: Final = [
    Route("/j/{job}/plan", _page),
    Route("/j/{job}/plan/data", _data),
    Route("/j/{job}/plan/map", _map),
    Route("/j/{job}/plan/budget", _budget),
    Route("/j/{job}/plan/places", _places),
    Route("/j/{job}/plan/aerialplace", _aerial_place),
    Route("/j/{job}/plan/origin", _origin, methods=["POST"]),
]
