"""Triangles between a few points of a plan, no other point inside the circle through the corners of one.

For some dozens of points; a library does it for many, and takes longer to load than a premises takes to
judge. Which points lie in which circle is decided in whole numbers, so nothing is left to rounding.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from farpress.sources import Mark, cites

__all__ = ["FewTriangles", "triangles_between"]

Point = tuple[int, int]
Triangle = tuple[int, int, int]

_FAR: Final = -1
"""The corner that all triangles beyond the rim share: a point infinitely far away."""

_SLIVER: Final = 1e-12
"""Twice the area of a triangle, as a share of its longest side squared, below which it is none: a rim of
points that were meant to lie in one line."""

_INSIDE: Final = 100.0 * float(np.finfo(np.float64).eps)
_AT_ONCE: Final = 50_000


@dataclass(frozen=True)
class FewTriangles:
    """Triangles between points.

    Attributes:
        points: of the plan, (n, 2) [m].
        simplices: the corners of each triangle, (t, 3), counted in `points`.
        convex_hull: the ends of each edge of the rim, (e, 2), counted likewise.
        transform: for each triangle the weights of two of its corners by place (2, 2), and its third corner
            (2), together (t, 3, 2).
    """

    points: NDArray[np.float64]
    simplices: NDArray[np.int64]
    convex_hull: NDArray[np.int64]
    transform: NDArray[np.float64]

    def find_simplex(self, places: NDArray[np.float64]) -> NDArray[np.int64]:
        """The triangle that each place (m, 2) lies in, (m,); -1 beyond the rim."""
        found = [
            self._triangle(places[first : first + _AT_ONCE // len(self.simplices) + 1])
            for first in range(0, len(places), _AT_ONCE // len(self.simplices) + 1)
        ]
        return np.concatenate(found) if found else np.zeros(0, np.int64)

    def _triangle(self, places: NDArray[np.float64]) -> NDArray[np.int64]:
        beside = places[:, None, :] - self.transform[None, :, 2]
        first, second = (
            beside[:, :, 0] * self.transform[:, row, 0] + beside[:, :, 1] * self.transform[:, row, 1]
            for row in (0, 1)
        )
        least = np.minimum(np.minimum(first, second), 1.0 - first - second)
        nearest = least.argmax(axis=1)
        return np.where(least[np.arange(len(places)), nearest] >= -_INSIDE, nearest, -1)


@cites("Delaunay triangulation, one point after another (Bowyer, Watson 1981)", mark=Mark.MEMORY)
def triangles_between(points: NDArray[np.float64]) -> FewTriangles | None:
    """The triangles; the same whatever the order of the points. Of two points at one place the first counts.

    Args:
        points: of the plan, (n, 2) [m].

    Returns:
        None where all lie in one line.
    """
    exact = _whole_numbers(points)
    triangles = _all_round(exact)
    simplices = np.array(
        [triangle for triangle in triangles if _FAR not in triangle], dtype=np.int64
    ).reshape(-1, 3)
    rim = np.array([_rim_edge(triangle) for triangle in triangles if _FAR in triangle], dtype=np.int64)
    a, b, c = (points[simplices[:, corner]] for corner in range(3))
    along, across = a - c, b - c
    area = along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0]
    longest = np.max([np.sum(side**2, axis=1) for side in (along, across, a - b)], axis=0)
    solid = area > _SLIVER * longest
    if not solid.any():
        return None
    transform = (
        np.stack(
            [np.stack([across[:, 1], -across[:, 0]], axis=1), np.stack([-along[:, 1], along[:, 0]], axis=1)],
            axis=1,
        )[solid]
        / area[solid, None, None]
    )
    whole = np.concatenate([transform, c[solid, None, :]], axis=1)
    return FewTriangles(points, simplices[solid], rim, whole)


def _whole_numbers(points: NDArray[np.float64]) -> dict[int, Point]:
    """Number of each point → its place in a unit in which all are whole; each place once, from left to
    right.
    """
    exact = [tuple(Fraction(value) for value in point) for point in points.tolist()]
    unit = max((value.denominator for point in exact for value in point), default=1)  # all are powers of two
    found: dict[Point, int] = {}
    for number, (x, y) in enumerate(exact):
        found.setdefault((int(x * unit), int(y * unit)), number)
    return {number: place for place, number in sorted(found.items())}


def _all_round(places: dict[int, Point]) -> list[Triangle]:
    """All triangles, counter-clockwise, and one beyond each edge of the rim; none where there is no area."""
    order = list(places)
    third = next(
        (number for number in order[2:] if _turn(places[order[0]], places[order[1]], places[number])), None
    )
    if third is None:
        return []
    a, b = order[:2]
    if _turn(places[a], places[b], places[third]) < 0:
        a, b = b, a
    triangles: list[Triangle] = [(a, b, third), (b, a, _FAR), (third, b, _FAR), (a, third, _FAR)]
    for number in order[2:]:
        if number != third:
            triangles = _with(triangles, number, places)
    return triangles


def _with(triangles: list[Triangle], number: int, places: dict[int, Point]) -> list[Triangle]:
    """The triangles with one more point: those whose circle it lies in give way to a fan round it."""
    kept: list[Triangle] = []
    edges: dict[tuple[int, int], None] = {}
    for triangle in triangles:
        if _is_in_circle(triangle, places[number], places):
            edges.update(dict.fromkeys(pairwise((*triangle, triangle[0]))))
        else:
            kept.append(triangle)
    return kept + [_far_last((start, end, number)) for start, end in edges if (end, start) not in edges]


def _far_last(triangle: Triangle) -> Triangle:
    a, b, c = triangle
    return {a: (b, c, a), b: (c, a, b)}.get(_FAR, triangle)


def _rim_edge(triangle: Triangle) -> tuple[int, int]:
    return triangle[0], triangle[1]


def _is_in_circle(triangle: Triangle, place: Point, places: dict[int, Point]) -> bool:
    """Whether a place lies inside the circle through three corners; through two of the rim and the far one
    that is the half of the plane beyond, and the edge itself.
    """
    a, b = places[triangle[0]], places[triangle[1]]
    if triangle[2] == _FAR:
        turn = _turn(a, b, place)
        between = (place[0] - a[0]) * (place[0] - b[0]) + (place[1] - a[1]) * (place[1] - b[1])
        return turn > 0 or (turn == 0 and between < 0)
    (ax, ay), (bx, by), (cx, cy) = (
        (corner[0] - place[0], corner[1] - place[1]) for corner in (a, b, places[triangle[2]])
    )
    return (
        (ax * ax + ay * ay) * (bx * cy - cx * by)
        - (bx * bx + by * by) * (ax * cy - cx * ay)
        + (cx * cx + cy * cy) * (ax * by - bx * ay)
    ) > 0


def _turn(a: Point, b: Point, c: Point) -> int:
    """Positive where a, b, c go round counter-clockwise; 0 in one line."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
