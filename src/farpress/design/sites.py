"""Where a box could hang: the mounts of a premises, or its walls and the places of its devices and panels."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from farpress.core.reach.crossings import outline_holds
from farpress.domain.premises import Premises
from farpress.errors import InputError
from farpress.phrases import closest, listed
from farpress.reach.aerial_places import levels_at, wall_spots
from farpress.reach.mountable import MOUNT_M, hung_things
from farpress.reach.radio_link import Radio
from farpress.reach.radio_scene import point_end

__all__ = ["BoxSite", "nearest_named", "site_called", "sites_of"]

_LEAST_M: Final = 1.5
"""A box hangs no lower over floor or ground, though what it hangs at does: our choice."""


_STEP_M: Final = 3.0
"""Distance between places tried along a wall: our choice, a box can be moved by a step on site."""


@dataclass(frozen=True)
class BoxSite:
    """A place for a box.

    Attributes:
        name: as people call it.
        at: x, y, z over the plan's zero [m].
        level: its storey; None out of doors.
        mains: whether mains is said to be there; None where nobody says.
        box: name of the receiver that hangs there already; empty for none.
    """

    name: str
    at: tuple[float, float, float]
    level: str | None
    mains: bool | None = None
    box: str = ""


def sites_of(radio: Radio, premises: str) -> tuple[BoxSite, ...]:
    """Every place of a premises where a new box could hang; named ones first, then walls.

    Where the job names mounts, only these: whoever wrote them knows the house.
    """
    house = radio.case.job.premises[premises]
    mounts = tuple(
        BoxSite(name, _at(house, mount.at, mount.level), mount.level, mount.mains)
        for name, mount in house.mounts.items()
    )
    if mounts:
        return mounts
    named = list(_beside_things(radio, premises, house))
    points = []
    for spot in wall_spots(radio, premises, _STEP_M):
        height = spot.floor_m + MOUNT_M
        if spot.carries(height):
            points.append((round(spot.x_m, 2), round(spot.y_m, 2), round(height, 2)))
    points = list(dict.fromkeys(points))
    walls = [
        BoxSite(f"on the wall at ({x:g}, {y:g}){f', {level}' if level else ''}", (x, y, z), level)
        for (x, y, z), level in zip(points, _storeys(radio, premises, points), strict=True)
    ]
    return (*named, *walls)


def site_called(sites: Sequence[BoxSite], text: str, house: Premises) -> BoxSite:
    """A place by its name, the name of a device or panel, or x,y,height.

    Raises:
        InputError: there is none of this name; the names there are and the closest of them are told.
    """
    for site in sites:
        if text in (site.name, site.name.removeprefix("at ")):
            return site
    try:
        point = tuple(float(part) for part in text.split(","))
    except ValueError:
        point = ()
    if len(point) == 3 and all(math.isfinite(number) for number in point):
        near = min(sites, key=lambda site: math.dist(site.at, point), default=None)
        level = near.level if near is not None and math.dist(near.at, point) < 3.0 else None
        return BoxSite(f"at ({point[0]:g}, {point[1]:g})", (point[0], point[1], point[2]), level)
    names = [site.name.removeprefix("at ") for site in sites if not site.name.startswith("on the wall ")]
    raise InputError(
        f"There is no place '{text}'{closest(text, names)}; allowed is {listed(names, nothing='no name')}, or"
        " x,y,height in metres as 12.5,3,2.2."
    )


def nearest_named(sites: Sequence[BoxSite], points: Sequence[Sequence[float]]) -> BoxSite:
    """The place with the least way to all points, indoors before outside."""
    return min(
        sites,
        key=lambda site: (site.level is None, sum(math.dist(site.at[:2], point[:2]) for point in points)),
    )


def _beside_things(radio: Radio, premises: str, house: Premises) -> Iterator[BoxSite]:
    """At panels, supplies, junctions and devices, as high as a box hangs."""
    for name, end, level in hung_things(house):
        point = _at(house, end, level)
        storey = level or _storeys(radio, premises, [point])[0]
        yield BoxSite(f"at {name}", point, storey)


def _storeys(radio: Radio, premises: str, points: Sequence[tuple[float, float, float]]) -> list[str | None]:
    """The storey of each point; None out of doors, and where no storey's outline holds it, as in a garage."""
    house = radio.case.job.premises[premises]
    found: list[str | None] = []
    for point, level in zip(points, levels_at(radio, premises, np.array(points).reshape(-1, 3)), strict=True):
        outline = house.levels[level].outline if level is not None else None
        is_within = outline is None or outline_holds(
            np.array([corner[:2] for corner in outline]), [(point[0], point[1])]
        )
        found.append(level if is_within else None)
    return found


def _at(house: Premises, point: Sequence[float], level: str | None) -> tuple[float, float, float]:
    """A point with a height at which a box hangs: its own, but not under `_LEAST_M`."""
    end = point_end(house, (point[0], point[1]), level, default_m=MOUNT_M)
    assert end is not None  # a height is given
    floor = end.at_m[2] - MOUNT_M
    height = max(point[2], floor + _LEAST_M) if len(point) == 3 else end.at_m[2]
    return (float(point[0]), float(point[1]), round(float(height), 2))
