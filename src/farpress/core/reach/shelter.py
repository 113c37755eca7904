"""Whether a point lies in a room or under the open sky, told from the walls alone."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from farpress.core.reach.crossings import _inside
from farpress.core.reach.direct import Scene
from farpress.sources import Mark, cites

__all__ = ["sheltered"]

_DIRECTIONS: Final = 8
_ENOUGH: Final = 7
_FAR_M: Final = 60.0


@cites("A point from which 7 of 8 directions end at a wall within 60 m lies in a room", mark=Mark.CHOICE)
def sheltered(*, scene: Scene, points_m: ArrayLike) -> NDArray[np.bool_]:
    """Whether each point has walls round it; one gap is forgiven, so an unclosed room is a room.

    Walls above or below the point do not count, and free-standing ones only under a slab.

    Args:
        scene: the walls.
        points_m: the points, (n, 3) [m].
    """
    points = np.asarray(points_m, dtype=np.float64).reshape(-1, 3)
    panels, barriers = scene.panels, scene.panel_barriers
    walls = [(n, one.is_free_standing) for n in range(len(barriers)) if panels.hole_in[n] < 0 and (one := barriers[n]) is not None]
    covered = np.zeros(len(points), dtype=np.bool_)
    for height, outline in zip(scene.slab_heights_m, scene.slab_outlines):
        covered |= (points[:, 2] < height) & (True if outline is None else _inside(points[:, :2], outline))
    hits = np.zeros(len(points), dtype=np.int64)
    turn = 2.0 * np.pi * (np.arange(_DIRECTIONS) + 0.13) / _DIRECTIONS  # off the axes, along which walls usually run
    for dx, dy in zip(_FAR_M * np.cos(turn), _FAR_M * np.sin(turn)):
        hit = np.zeros(len(points), dtype=np.bool_)
        for n, is_low in walls:
            (px, py), (qx, qy) = panels.start_m[n], panels.end_m[n]
            one = dx * (py - points[:, 1]) - dy * (px - points[:, 0])
            two = dx * (qy - points[:, 1]) - dy * (qx - points[:, 0])
            across = (qx - px) * dy - (qy - py) * dx
            if abs(across) < 1e-12:
                continue
            t = ((px - points[:, 0]) * (py - qy) - (py - points[:, 1]) * (px - qx)) / -across
            hit |= ((one < 0.0) != (two < 0.0)) & (t >= 0.0) & (t <= 1.0) & (points[:, 2] >= panels.base_m[n]) & (points[:, 2] <= panels.top_m[n]) & (covered | (not is_low))
        hits += hit
    return hits >= _ENOUGH
