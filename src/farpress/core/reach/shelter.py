"""Whether a point lies in a room or under the open sky, told from the walls alone."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from farpress.core.reach.crossings import _inside
from farpress.core.reach.scene import Scene
from farpress.sources import Mark, cites

__all__ = ["sheltered", "walled_directions"]

_DIRECTIONS: Final = 8
_ENOUGH: Final = 7
_FAR_M: Final = 60.0
_AT_ONCE: Final = 250


@cites("A point from which 7 of 8 directions end at a wall within 60 m lies in a room", mark=Mark.CHOICE)
def sheltered(*, scene: Scene, points_m: ArrayLike) -> NDArray[np.bool_]:
    """Whether each point has walls round it; one gap is forgiven, so an unclosed room is a room.

    Walls above or below the point do not count, and free-standing ones only under a slab.

    Args:
        scene: the walls.
        points_m: the points, (n, 3) [m].
    """
    return np.asarray(walled_directions(scene=scene, points_m=points_m) >= _ENOUGH)


@cites("Directions that end at a wall within 60 m", mark=Mark.CHOICE)
def walled_directions(
    *, scene: Scene, points_m: ArrayLike, directions: int = _DIRECTIONS
) -> NDArray[np.int64]:
    """How many directions of so many end at a wall, (n,); which walls count is said in `sheltered`.

    Args:
        scene: the walls.
        points_m: the points, (n, 3) [m].
        directions: how many are looked into, evenly round.
    """
    points = np.asarray(points_m, dtype=np.float64).reshape(-1, 3)
    start, end, base, top, low = scene.whole_walls
    covered = np.zeros(len(points), dtype=np.bool_)
    for height, outline in zip(scene.slab_heights_m, scene.slab_outlines):
        below = points[:, 2] < height
        if below.any():
            covered |= below & (True if outline is None else _inside(points[:, :2], outline))
    found = np.zeros(len(points), dtype=np.int64)
    turn = (
        2.0 * np.pi * (np.arange(directions) + 0.13) / directions
    )  # off the axes, along which walls usually run
    dx, dy = (_FAR_M * way(turn)[:, None, None] for way in (np.cos, np.sin))  # direction, point, wall
    for first in range(0, len(points), _AT_ONCE):
        part = slice(first, first + _AT_ONCE)
        x, y, z = (points[part, axis][:, None] for axis in range(3))
        counts = (z >= base) & (z <= top) & (covered[part][:, None] | ~low)
        px, py, qx, qy = start[:, 0] - x, start[:, 1] - y, end[:, 0] - x, end[:, 1] - y
        twice = px * qy - py * qx
        first_side, last_side = dx * py - dy * px, dx * qy - dy * qx
        spread = last_side - first_side
        t = twice / np.where(np.abs(spread) > 1e-12, spread, np.inf)
        ended = ((first_side < 0.0) != (last_side < 0.0)) & (t >= 0.0) & (t <= 1.0) & counts
        found[part] = ended.any(axis=2).sum(axis=0)
    return found
