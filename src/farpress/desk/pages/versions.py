"""The versions page: every change with who and when, what it changed, and the way back."""

from __future__ import annotations

from typing import Final

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.desk.access import DeskRole
from farpress.desk.frame import sheet_of
from farpress.desk.pages.changing import told
from farpress.errors import FarpressError
from farpress.jobfile.merging import differences
from farpress.jobfile.text_to_values import values_of

__all__ = ["ROUTES"]

SHOWN: Final = 200
"""Our choice: the newest; older ones stay in the file."""


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    versions = tuple(reversed(sheet.bench.history.versions(last=SHOWN)))
    return sheet.page("versions.html", here="versions", versions=versions)


def _difference(request: Request) -> Response:
    sheet = sheet_of(request)
    number = int(request.path_params["number"])
    found = next((version for version in sheet.bench.history.versions() if version.number == number), None)
    after = sheet.bench.history.text_of(found.fingerprint) if found else None
    if found is None or after is None:
        raise FarpressError(f"There is no version {number} of this job.")
    before = sheet.bench.history.text_of(found.previous) if found.previous else None
    changes = []
    if before is not None:
        old = values_of(before)
        changes = [
            (" › ".join(map(str, change.path)), _value(old, change.path), change.value)
            for change in differences(old, values_of(after))
        ]
    return sheet.part("version.html", version=found, changes=changes, is_first=before is None)


def _value(values: object, path: tuple[str | int, ...]) -> object:
    for key in path:
        if isinstance(values, dict):
            values = values.get(str(key))
        elif isinstance(values, list) and isinstance(key, int) and key < len(values):
            values = values[key]
        else:
            return None
    return values


def _restore(request: Request) -> Response:
    sheet = sheet_of(request, role=DeskRole.INSTALLER)
    return told(sheet, sheet.bench.restore(int(request.path_params["number"]), by=sheet.session.name))


ROUTES: Final = [
    Route("/j/{job}/versions", _page),
    Route("/j/{job}/versions/{number:int}", _difference),
    Route("/j/{job}/versions/{number:int}/restore", _restore, methods=["POST"]),
]
