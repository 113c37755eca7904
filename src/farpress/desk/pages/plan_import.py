"""Floor plans from outside: a DXF drawing whose layers become walls, a picture or PDF page to draw over."""

from __future__ import annotations

import hashlib
import re
import secrets
import threading
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, PlainTextResponse, Response
from starlette.routing import Route

from farpress.desk.access import DeskRole
from farpress.desk.frame import READ_S, answer, sheet_of
from farpress.desk.pages.changing import body_of, saved, table_in
from farpress.domain.finding import Change
from farpress.errors import InputError
from farpress.plans.dxf import DxfDrawing, chains_of, read_dxf
from farpress.plans.picture import PlanPicture, read_pdf_page, read_picture

__all__ = ["ROUTES"]

FOLDER: Final = "plans"
_NAME: Final = re.compile(r"[a-z0-9-]{1,80}\.png")

_drawings: dict[str, DxfDrawing] = {}
_lock = threading.Lock()
KEPT_DRAWINGS: Final = 8
"""Drawings read and not yet taken over: our choice."""

FIRST_WIDTH_M: Final = 20.0
"""Width a picture gets until two points were measured on it: our choice, a house fits."""


async def _import(request: Request) -> Response:
    """Take a file: a drawing is read and its layers offered, a picture is laid under the plan."""
    form = await request.form(max_files=1, max_fields=8)
    upload = form.get("file")
    if upload is None or isinstance(upload, str):
        raise InputError("No file arrived. Choose a DXF drawing, a picture or a PDF.")
    data = await upload.read()
    premises, level, page = (
        str(form.get("premises", "")),
        str(form.get("level", "")) or None,
        str(form.get("page", "1")),
    )
    return await run_in_threadpool(_taken, request, data, premises, level, page)


def _taken(request: Request, data: bytes, premises: str, level: str | None, page: str) -> Response:
    sheet = sheet_of(request, role=DeskRole.INSTALLER)
    house = sheet.state.case.job.premises.get(premises)
    if house is None:
        raise InputError(f"There are no premises '{premises}' in this job.")
    if not data:
        raise InputError("The file is empty.")
    if data[:4] == b"AC10" and not data.lstrip().startswith(b"0"):
        raise InputError("This is a DWG drawing, which is not read here. Save it as DXF.")
    if data[:5] != b"%PDF-" and _looks_like_dxf(data):
        drawing = sheet.desk.reading.ask(read_dxf, data, within_s=READ_S)
        token = secrets.token_urlsafe(12)
        with _lock:
            _drawings[token] = drawing
            while len(_drawings) > KEPT_DRAWINGS:
                del _drawings[next(iter(_drawings))]
        layers = [{"name": name, "lines": len(lines)} for name, lines in drawing.layers.items()]
        return answer(
            "",
            drawing=token,
            layers=layers,
            unit=drawing.unit,
            unitM=drawing.unit_m,
            width=drawing.width,
            height=drawing.height,
        )
    if data[:5] == b"%PDF-":
        picture = sheet.desk.reading.ask(
            _pdf_page, data, int(page) if page.isdigit() and len(page) < 6 else 1, within_s=READ_S
        )
    else:
        picture = sheet.desk.reading.ask(read_picture, data, within_s=READ_S)
    name = f"{hashlib.sha256(picture.png).hexdigest()[:16]}.png"
    folder = sheet.bench.folder / FOLDER
    folder.mkdir(exist_ok=True)
    (folder / name).write_bytes(picture.png)
    entry: dict[str, object] = {"file": name, "at": [0, 0], "width": f"{FIRST_WIDTH_M:g} m"}
    if level:
        entry["level"] = level
    path = ("premises", premises, "underlays")
    change = Change((*path, len(house.underlays)), entry) if house.underlays else Change(path, [entry])
    return saved(sheet, [change], says="a picture laid under the plan")


def _pdf_page(data: bytes, page: int) -> PlanPicture:
    return read_pdf_page(data, page=page)


def _looks_like_dxf(data: bytes) -> bool:
    head = data[:4096]
    return head.startswith(b"AutoCAD Binary DXF") or b"SECTION" in head or b"\nEOF" in data[-64:]


async def _layers(request: Request) -> Response:
    """Take layers over as walls, each of its build."""
    body = await body_of(request)
    return await run_in_threadpool(_as_walls, request, body)


def _as_walls(request: Request, body: dict[str, Any]) -> Response:
    sheet = sheet_of(request, role=DeskRole.INSTALLER)
    drawing = _drawings.get(str(body.get("drawing")))
    if drawing is None:
        raise InputError("The drawing is not kept any more; choose the file again.")
    premises, level = str(body.get("premises", "")), body.get("level") or None
    house = sheet.state.case.job.premises.get(premises)
    unit_m = body.get("unitM")
    if house is None or not isinstance(unit_m, int | float) or not 1e-6 <= unit_m <= 1e4:
        raise InputError("Say how long one unit of the drawing is: it has no unit of its own.")
    given = body.get("at")
    offset: list[Any] = given if isinstance(given, list) and len(given) >= 2 else [0, 0]
    walls: list[dict[str, object]] = []
    for name, build in table_in(body, "builds").items():
        if not build or name not in drawing.layers:
            continue
        for chain in chains_of(
            drawing.layers[name], unit_m=float(unit_m), left=drawing.left, low=drawing.low
        ):
            along = [[round(x + float(offset[0]), 2), round(y + float(offset[1]), 2)] for x, y in chain]
            walls.append(
                {
                    **({"level": level} if level else {"base": "0 m", "top": "2.6 m"}),
                    "build": str(build),
                    "along": along,
                }
            )
    if not walls:
        raise InputError("Choose a build for at least one layer; lines shorter than 5 cm are left out.")
    path = ("premises", premises, "walls")
    start = len(house.walls)
    changes = (
        [Change((*path, start + index), wall) for index, wall in enumerate(walls)]
        if start
        else [Change(path, walls)]
    )
    return saved(sheet, changes, says=f"{len(walls)} walls out of a drawing")


def _picture(request: Request) -> Response:
    """A picture of the job's own folder; nothing else can be asked for."""
    sheet = sheet_of(request)
    name = request.path_params["name"]
    file = sheet.bench.folder / FOLDER / name
    if not _NAME.fullmatch(name) or file.is_symlink() or not file.is_file():
        return PlainTextResponse("There is no such picture.", 404)
    return FileResponse(file, media_type="image/png", headers={"Cache-Control": "private, max-age=86400"})


def _list(request: Request) -> Response:
    """Pictures of some premises with their size, for the editor."""
    from PIL import Image

    sheet = sheet_of(request)
    house = sheet.state.case.job.premises.get(request.query_params.get("premises", ""))
    found = []
    for index, underlay in enumerate(house.underlays if house is not None else ()):
        file = sheet.bench.folder / FOLDER / underlay.file
        if not _NAME.fullmatch(underlay.file) or file.is_symlink() or not file.is_file():
            continue
        with Image.open(file) as opened:
            ratio = opened.height / opened.width
        found.append(
            {
                "index": index,
                "file": underlay.file,
                "at": underlay.at,
                "width": underlay.width_m,
                "height": underlay.width_m * ratio,
                "level": underlay.level,
            }
        )
    return JSONResponse(found)


ROUTES: Final = [
    Route("/j/{job}/plan/import", _import, methods=["POST"]),
    Route("/j/{job}/plan/layers", _layers, methods=["POST"]),
    Route("/j/{job}/plan/pictures", _list),
    Route("/j/{job}/plan/pictures/{name}", _picture),
]
