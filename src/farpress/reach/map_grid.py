"""The cells of a map of reach: where they lie, where a hand is in each, and what is drawn on their level."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from farpress.case.case import Case
from farpress.core.reach.shelter import sheltered
from farpress.domain.premises import Premises
from farpress.errors import InputError
from farpress.reach.radio_link import Radio
from farpress.reach.radio_scene import terrain_of

__all__ = ["FARTHEST_EDGE_M", "map_cells", "map_drawn", "map_named", "map_points"]

FARTHEST_EDGE_M: Final = 5000.0
"""A map wider than this is refused: our choice, the plan's scale is then wrong."""

_RIM_M: Final = 3.0
_CLOSE_TO_GROUND_M: Final = 1.5


def map_cells(
    house: Premises, cells: int | tuple[int, int], area: tuple[float, float, float, float] | None
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Middles of the cells of a map across and up, (nx,), (ny,) [m].

    Args:
        house: whose plan.
        cells: along the longer side, or (across, up).
        area: west, south, east, north [m]; the plan with a rim, if None.

    Raises:
        InputError: an empty area, an area that is too large, or too many cells.
    """
    if area is None:
        points = [point[:2] for wall in house.walls for point in wall.along]
        points += [place.at[:2] for place in house.places.values()] + [
            box.at[:2] for box in house.receivers.values()
        ]
        if not points:
            raise InputError(
                "The plan holds neither walls nor places: draw some, or say which area the map is to show."
            )
        corners = np.array(points, dtype=np.float64)
        area = (*(corners.min(axis=0) - _RIM_M).tolist(), *(corners.max(axis=0) + _RIM_M).tolist())
    west, south, east, north = area
    wide, deep = east - west, north - south
    if not (np.isfinite([west, south, east, north]).all() and wide > 0.0 and deep > 0.0):
        raise InputError(
            f"The map's area from ({west:g}, {south:g}) to ({east:g}, {north:g}) is empty: west must lie left"
            " of east, south below north."
        )
    if max(wide, deep) > FARTHEST_EDGE_M:
        raise InputError(
            f"The map would be {max(wide, deep):.0f} m wide; up to {FARTHEST_EDGE_M:.0f} m can be drawn:"
            " check the plan's scale for a place far off."
        )
    across, up = (
        cells
        if isinstance(cells, tuple)
        else (max(round(cells * wide / max(wide, deep)), 2), max(round(cells * deep / max(wide, deep)), 2))
    )
    if not (2 <= across <= 1000 and 2 <= up <= 1000):
        raise InputError(f"A map has 2 to 1000 cells a side; asked for were {across} by {up}.")
    return west + (np.arange(across) + 0.5) * wide / across, south + (np.arange(up) + 0.5) * deep / up


def map_points(
    radio: Radio,
    house: Premises,
    premises: str,
    level: str,
    x: NDArray[np.float64],
    y: NDArray[np.float64],
    hand_m: float,
) -> tuple[NDArray[np.float64], NDArray[np.bool_], NDArray[np.bool_]]:
    """Where the hand is in each cell, whether it is indoors there, and whether anybody can stand there."""
    ground = terrain_of(house).height_m(x, y) + hand_m
    floor = house.levels[level].floor_m + hand_m if level else None
    height = ground if floor is None else np.full(x.shape, floor)
    indoors = sheltered(scene=radio.plan(premises).scene, points_m=np.stack([x, y, height], axis=1))
    stands = np.ones(x.shape, dtype=np.bool_)
    if floor is not None:
        rooms = np.abs(ground - floor)[indoors] if indoors.any() else np.abs(ground - floor)
        if (
            float(np.median(rooms)) < _CLOSE_TO_GROUND_M
        ):  # this storey lies on the ground: beside it one stands on the ground
            height = np.where(indoors, height, ground)
        else:
            stands = indoors
    return np.stack([x, y, height], axis=1), indoors, stands


def map_drawn(
    house: Premises, level: str, case: Case
) -> tuple[tuple[tuple[tuple[float, float], ...], bool], ...]:
    """Lines drawn on a level, walls and steel: their points [m], and whether each is steel."""
    shown = []
    for wall in house.walls:
        if wall.level in (None, level) or (
            not level and wall.level is not None and house.levels.get(wall.level) is _lowest(house)
        ):
            build = case.equipment.builds.get(wall.build)
            shown.append(
                (
                    tuple((point[0], point[1]) for point in wall.along),
                    bool(build is not None and build.is_steel),
                )
            )
    for box in house.steel:
        outline = tuple((point[0], point[1]) for point in box.outline)
        shown.append(((*outline, outline[0]), True))
    return tuple(shown)


def _lowest(house: Premises) -> object:
    return min(house.levels.values(), key=lambda level: abs(level.floor_m), default=None)


def map_named(house: Premises, level: str) -> tuple[tuple[str, float, float], ...]:
    """The named places of a level: name, x, y [m]."""
    close = not level or abs(house.levels[level].floor_m) < _CLOSE_TO_GROUND_M
    return tuple(
        (name, place.at[0], place.at[1])
        for name, place in house.places.items()
        if place.level == (level or None) or (close and place.level is None)
    )
