"""Which walls, openings, slabs and steel boxes a straight ray goes through, where, at what angle.

Geometry alone, for many rays at once. What a crossing costs is said in `direct`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from farpress.sources import Mark, cites

__all__ = [
    "TOUCH_M",
    "BoxHit",
    "PanelHits",
    "Panels",
    "SlabHits",
    "box_hit",
    "crossed_panels",
    "crossed_slabs",
    "holds_each",
    "outline_holds",
]

TOUCH_M: Final = 0.05
"""An end of the ray this near to a wall's line lies in the wall: our choice, half a thin wall."""

_NEAR_M: Final = 0.5


@dataclass(frozen=True)
class Panels:
    """Upright rectangles: pieces of walls, and the openings in them.

    Attributes:
        start_m, end_m: ends of the lower edge on the plan, (n, 2) [m].
        base_m, top_m: lower and upper edge, (n,) [m].
        hole_in: index of the wall piece that an opening lies in, or -1 for a wall piece, (n,).
    """

    start_m: NDArray[np.float64]
    end_m: NDArray[np.float64]
    base_m: NDArray[np.float64]
    top_m: NDArray[np.float64]
    hole_in: NDArray[np.int64]

    @cached_property
    def along_m(self) -> NDArray[np.float64]:
        """From start to end on the plan, (n, 2) [m]."""
        return np.asarray(self.end_m - self.start_m)

    @cached_property
    def length_m(self) -> NDArray[np.float64]:
        """Of each, (n,) [m]."""
        return np.asarray(np.hypot(self.along_m[:, 0], self.along_m[:, 1]))

    @cached_property
    def holes(self) -> NDArray[np.int64]:
        """Indices of the openings."""
        return np.flatnonzero(self.hole_in >= 0)


class PanelHits(NamedTuple):
    """What r rays do with n panels: crossed or not, where along the ray (0 to 1), the angle to the normal
    [deg],
    height of the crossing [m], and whether an end of the ray lies in the panel; each (r, n).
    """

    crossed: NDArray[np.bool_]
    share: NDArray[np.float64]
    angle_deg: NDArray[np.float64]
    height_m: NDArray[np.float64]
    touched: NDArray[np.bool_]


@cites("Intersection of a line with a rectangle, textbook", mark=Mark.MEMORY)
def crossed_panels(*, panels: Panels, from_m: ArrayLike, to_m: ArrayLike) -> PanelHits:
    """Crossings of r rays with n upright panels; an opening takes its wall's crossing over.

    A ray that ends within 5 cm of a panel counts as crossing it, and as touching it. A ray that
    runs along a wall, or a wall of no length, gives no crossing. Where two pieces of a wall
    meet, the ray crosses one of them.

    Args:
        panels: the panels.
        from_m, to_m: ends of the rays, (3,) or (r, 3) [m].

    Returns:
        Arrays (r, n); `share`, `angle_deg` and `height_m` are 0 where nothing is crossed.
    """
    start, end = (
        np.atleast_2d(np.asarray(from_m, dtype=np.float64)),
        np.atleast_2d(np.asarray(to_m, dtype=np.float64)),
    )
    start, end = np.broadcast_arrays(start, end)
    ray = end - start  # (r, 3)
    wall, length = panels.along_m, panels.length_m  # (n, 2), (n,)
    away = panels.start_m[None, :, :] - start[:, None, :2]  # (r, n, 2)
    spread = ray[:, None, 0] * wall[None, :, 1] - ray[:, None, 1] * wall[None, :, 0]
    ray_length = np.linalg.norm(ray, axis=1)
    meets = np.abs(spread) > 1e-9 * np.maximum(length[None, :] * ray_length[:, None], 1e-12)
    safe = np.where(meets, spread, 1.0)
    beside = away[..., 0] * wall[None, :, 1] - away[..., 1] * wall[None, :, 0]
    t = beside / safe
    u = (away[..., 0] * ray[:, None, 1] - away[..., 1] * ray[:, None, 0]) / safe
    # distance of each end from the panel's line, so that an end in the wall is met from either side
    width = np.where(length > 0.0, length, 1.0)
    from_line = np.abs(beside) / width
    to_line = np.abs(from_line * (1.0 - 1.0 / np.where(np.abs(t) > 1e-12, t, 1e-12)))
    reach = np.maximum(ray_length[:, None], 1e-12)
    starts_in = meets & (from_line < TOUCH_M) & (np.abs(t) * reach < _NEAR_M)
    ends_in = meets & (np.abs(t) > 1e-12) & (to_line < TOUCH_M) & (np.abs(1.0 - t) * reach < _NEAR_M)
    t = np.where(starts_in, np.maximum(t, 0.0), t)
    t = np.where(ends_in, np.minimum(t, 1.0), t)
    height = start[:, None, 2] + t * ray[:, None, 2]
    inside = (
        (u >= -1e-12)
        & (u < 1.0 - 1e-12)
        & (height >= panels.base_m[None, :])
        & (height <= panels.top_m[None, :])
    )
    crossed = meets & inside & (t >= 0.0) & (t <= 1.0)
    touched = crossed & (starts_in | ends_in)
    if panels.holes.size:
        for hole in panels.holes[crossed[:, panels.holes].any(axis=0)]:
            crossed[:, panels.hole_in[hole]] &= ~crossed[:, hole]
        touched &= crossed
    normal = np.abs(spread) / np.where(meets, width[None, :] * np.maximum(ray_length[:, None], 1e-12), 1.0)
    angle = np.degrees(np.arccos(np.minimum(normal, 1.0)))
    zero = np.zeros_like(t)
    return PanelHits(
        crossed,
        np.where(crossed, t, zero),
        np.where(crossed, angle, zero),
        np.where(crossed, height, zero),
        touched,
    )


class SlabHits(NamedTuple):
    """What r rays do with k level slabs: crossed or not, where along the ray, the angle to the upright [deg];
    each (r, k).
    """

    crossed: NDArray[np.bool_]
    share: NDArray[np.float64]
    angle_deg: NDArray[np.float64]


@cites("Intersection of a line with a plane, textbook", mark=Mark.MEMORY)
def crossed_slabs(
    *,
    heights_m: ArrayLike,
    outlines: Sequence[NDArray[np.float64] | None],
    from_m: ArrayLike,
    to_m: ArrayLike,
) -> SlabHits:
    """Crossings of r rays with level slabs at given heights, each within its outline.

    Args:
        heights_m: of the slabs, (k,) [m].
        outlines: corner points (m, 2) of each slab on the plan [m]; None for endless.
        from_m, to_m: ends of the rays, (3,) or (r, 3) [m].
    """
    start, end = (
        np.atleast_2d(np.asarray(from_m, dtype=np.float64)),
        np.atleast_2d(np.asarray(to_m, dtype=np.float64)),
    )
    start, end = np.broadcast_arrays(start, end)
    heights = np.asarray(heights_m, dtype=np.float64).reshape(-1)
    ray = end - start
    rise = ray[:, None, 2]
    slopes = np.abs(rise) > 1e-9
    t = np.where(slopes, (heights[None, :] - start[:, None, 2]) / np.where(slopes, rise, 1.0), 0.0)
    crossed = slopes & (t > 0.0) & (t <= 1.0)
    for index, outline in enumerate(outlines):
        if outline is not None:
            crossing_m = start[:, :2] + t[:, index, None] * ray[:, :2]
            crossed[:, index] &= _inside(crossing_m, outline)
    length = np.maximum(np.linalg.norm(ray, axis=1), 1e-12)
    angle = np.degrees(np.arccos(np.minimum(np.abs(rise) / length[:, None], 1.0))) * np.ones_like(t)
    return SlabHits(crossed, np.where(crossed, t, 0.0), np.where(crossed, angle, 0.0))


def _inside(points: NDArray[np.float64], outline: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Points (r, 2) inside a closed outline (m, 2), by the parity of edges to the right."""
    if len(points) == 1:
        return np.array([_is_inside(float(points[0, 0]), float(points[0, 1]), outline.tolist())])
    x, y = points[:, 0, None], points[:, 1, None]
    ax, ay = outline[:, 0][None, :], outline[:, 1][None, :]
    after = np.concatenate([outline[1:], outline[:1]])
    bx, by = after[:, 0][None, :], after[:, 1][None, :]
    between = (ay > y) != (by > y)
    right = ax + (y - ay) * (bx - ax) / np.where(by == ay, 1.0, by - ay) > x
    return np.asarray(np.sum(between & right, axis=1) % 2 == 1)


def _is_inside(x: float, y: float, outline: list[list[float]]) -> bool:
    """The same for one point, in plain numbers: as quick as arrays begin to be."""
    right = 0
    for (ax, ay), (bx, by) in zip(outline, [*outline[1:], *outline[:1]]):
        if (ay > y) != (by > y):
            right += ax + (y - ay) * (bx - ax) / (by - ay) > x
    return right % 2 == 1


@cites("Point in polygon by the parity of edges, textbook", mark=Mark.MEMORY)
def holds_each(outline: NDArray[np.float64], points_m: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Whether each of some points `points_m` (n, 2) [m] lies inside a closed `outline` (m, 2) [m]."""
    return (
        np.concatenate([_inside(points_m[n : n + 10_000], outline) for n in range(0, len(points_m), 10_000)])
        if len(points_m)
        else np.zeros(0, dtype=np.bool_)
    )


@cites("Point in polygon by the parity of edges, textbook", mark=Mark.MEMORY)
def outline_holds(outline: NDArray[np.float64], points: Sequence[tuple[float, float]]) -> bool:
    """Whether any of some `points` [m] lies inside a closed `outline` (m, 2) [m]."""
    return bool(_inside(np.asarray(points, dtype=np.float64), outline).any())


class BoxHit(NamedTuple):
    """A ray through an upright box: the middle of the way inside (0 to 1), how far the top edge lies over the
    ray there, and
    how far the outermost corners lie to the left and right of it [m]; `holds_end` when an end of the ray is
    inside.
    """

    share: float
    over_m: float
    left_m: float
    right_m: float
    holds_end: bool


@cites("Intersection of a line with a polygon, textbook", mark=Mark.MEMORY)
def box_hit(
    *, outline: NDArray[np.float64], base_m: float, top_m: float, from_m: ArrayLike, to_m: ArrayLike
) -> BoxHit | None:
    """How one ray meets an upright box; None when it misses it.

    Args:
        outline: corner points on the plan, (m, 2) [m].
        base_m, top_m: lower and upper edge [m].
        from_m, to_m: ends of the ray, (3,) [m].

    Example:
        A tank 2 m square and 3 m high, half-way on the line of a ray at 1 m height:

        >>> tank = np.array([[4.0, -1.0], [6.0, -1.0], [6.0, 1.0], [4.0, 1.0]])
        >>> box_hit(outline=tank, base_m=0.0, top_m=3.0, from_m=[0.0, 0.0, 1.0], to_m=[10.0, 0.0, 1.0])
        BoxHit(share=0.5, over_m=2.0, left_m=1.0, right_m=1.0, holds_end=False)
    """
    start, end = np.asarray(from_m, dtype=np.float64), np.asarray(to_m, dtype=np.float64)
    along = end[:2] - start[:2]
    length = float(np.hypot(*along))
    if length < 1e-9:
        return None
    ends_inside = _inside(np.stack([start[:2], end[:2]]), outline)
    a, edge = outline, np.roll(outline, -1, axis=0) - outline
    spread = along[0] * edge[:, 1] - along[1] * edge[:, 0]
    meets = np.abs(spread) > 1e-12
    away = a - start[:2]
    safe = np.where(meets, spread, 1.0)
    t = (away[:, 0] * edge[:, 1] - away[:, 1] * edge[:, 0]) / safe
    u = (away[:, 0] * along[1] - away[:, 1] * along[0]) / safe
    shares = [float(x) for x in t[meets & (u >= 0.0) & (u < 1.0) & (t >= 0.0) & (t <= 1.0)]]
    shares += [share for share, inside in zip((0.0, 1.0), ends_inside) if inside]
    if len(shares) < 2:
        return None
    first, last = min(shares), max(shares)
    heights = start[2] + np.array([first, last]) * (end[2] - start[2])
    if heights.min() > top_m or heights.max() < base_m:
        return None
    middle = (first + last) / 2.0
    side = (away[:, 1] * along[0] - away[:, 0] * along[1]) / length
    height = float(start[2] + middle * (end[2] - start[2]))
    holds = bool((ends_inside & np.array([base_m <= start[2] <= top_m, base_m <= end[2] <= top_m])).any())
    return BoxHit(middle, float(top_m - height), float(side.max()), float(-side.min()), holds)
