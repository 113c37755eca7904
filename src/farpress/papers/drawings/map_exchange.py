"""A map of reach for other programs: GeoJSON, and where a picture of it lies on the plan.

Coordinates are metres of the plan, x to the right and y up, as the job knows no place on earth.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any, Final

import numpy as np

from farpress.core.reach.field import CONTOURS, ReachMap, contour_lines
from farpress.errors import InputError
from farpress.papers.drawings.reach_map import sheet_of

__all__ = ["map_geojson", "world_file", "written_cells"]

_SAYS: Final = (
    "Coordinates are metres of the plan, x to the right and y up (RFC 7946, section 4: by arrangement), not"
    " degrees."
)
_BYTES_OF_HEAD: Final = 24


def map_geojson(maps: Sequence[ReachMap]) -> str:
    """Maps of reach as a GeoJSON FeatureCollection: the chance in the middle of each cell where somebody can
    stand, lines of equal chance, walls, places and aerials, each named by 'shows'.

    Args:
        maps: one for each receiver.

    Source: RFC 7946, GeoJSON (from memory).
    """
    features: list[dict[str, Any]] = []
    for found in maps:
        of = {"receiver": f"{found.premises}/{found.receiver}", "level": found.level}
        for (row, column), stands in np.ndenumerate(found.stands):
            if stands:
                told = {
                    "shows": "cell",
                    **of,
                    "chance": round(float(found.chance[row, column]), 5),
                    "margin_db": round(float(found.margin_db[row, column]), 2),
                    "indoors": bool(found.indoors[row, column]),
                }
                middle = (float(found.x_m[column]), float(found.y_m[row]))
                features.append(_feature("Point", _rounded(middle), told))
        for level, words in CONTOURS.items():
            values = np.where(found.stands, found.chance, 0.0)
            for line in contour_lines(x_m=found.x_m, y_m=found.y_m, values=values, level=level):
                told = {"shows": "line of equal chance", **of, "chance": level, "says": words}
                features.append(_feature("LineString", [_rounded(point) for point in line], told))
        told = {"shows": "aerial", **of, "height_m": round(found.aerial_m[2], 3)}
        features.append(_feature("Point", _rounded(found.aerial_m[:2]), told))
    for points, is_steel in maps[0].walls:
        told = {"shows": "wall", "steel": is_steel}
        features.append(_feature("LineString", [_rounded(point) for point in points], told))
    for name, x, y in maps[0].places:
        features.append(_feature("Point", _rounded((x, y)), {"shows": "place", "name": name}))
    whole = {
        "type": "FeatureCollection",
        "says": _SAYS,
        "open": {f"{found.premises}/{found.receiver}": list(found.notes) for found in maps},
        "left_out_db": {f"{found.premises}/{found.receiver}": list(found.left_out_db) for found in maps},
        "worse_of": list(maps[0].worse_of),
        "features": features,
    }
    return json.dumps(whole, ensure_ascii=False, allow_nan=False)


def written_cells(text: str) -> dict[str, dict[tuple[float, float], float]]:
    """The chances that `map_geojson` wrote: receiver → middle of a cell [m] → chance.

    Raises:
        InputError: it is no such text.
    """
    try:
        found: dict[str, dict[tuple[float, float], float]] = {}
        for feature in json.loads(text)["features"]:
            told = feature["properties"]
            if told["shows"] == "cell":
                x, y = feature["geometry"]["coordinates"]
                found.setdefault(told["receiver"], {})[float(x), float(y)] = float(told["chance"])
    except (KeyError, TypeError, ValueError):
        raise InputError(
            "This is no map of reach in GeoJSON: a FeatureCollection is wanted, whose features say what they"
            " show."
        ) from None
    return found


def world_file(found: ReachMap, png: bytes) -> str:
    """Where the picture of a map lies on the plan: the six lines of a world file (.pgw) [m].

    Args:
        found: the map.
        png: its picture, from `map_png`.

    Source: world files, common practice: step in x, two turns of none, step in y, middle of the first dot.
    """
    sheet = sheet_of(found)
    dots = int.from_bytes(png[16:20], "big") if len(png) >= _BYTES_OF_HEAD else 0
    if dots <= 0:
        raise InputError("The picture of the map is no PNG file.")
    step = sheet.wide_units / dots / sheet.units_per_m
    west = sheet.west_m - sheet.left_units / sheet.units_per_m
    north = sheet.north_m + sheet.top_units / sheet.units_per_m
    return "".join(f"{number:.9f}\n" for number in (step, 0.0, 0.0, -step, west + step / 2, north - step / 2))


def _feature(kind: str, coordinates: Any, told: dict[str, Any]) -> dict[str, Any]:
    return {"type": "Feature", "geometry": {"type": kind, "coordinates": coordinates}, "properties": told}


def _rounded(point: Any) -> list[float]:
    return [round(float(number), 3) for number in point]
