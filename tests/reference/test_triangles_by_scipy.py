"""Our triangles between few points beside scipy's (Qhull: Barber, Dobkin, Huhdanpaa 1996): the same ones, the
same rim and the same heights; where points lie on one circle, as on a grid, one of the cuts that are right.
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.interpolate import LinearNDInterpolator
from scipy.spatial import ConvexHull, Delaunay

from farpress.core.reach.terrain import FEW, Terrain
from farpress.core.reach.triangles import FewTriangles, triangles_between

GRID = np.array([(x, y) for x in range(0, 50, 10) for y in range(0, 50, 10)], dtype=np.float64)
UNEVEN = np.array([(x, y) for x in (0.0, 0.1, 0.3, 7.7) for y in (-0.2, 0.1, 1.0 / 3.0, 9.9)])
ROUND = np.array([(x, y) for x in range(-25, 26) for y in range(-25, 26) if x * x + y * y == 625], np.float64)


def triangles_of(points: NDArray[np.float64]) -> FewTriangles:
    """The triangles of points that are not in one line."""
    return triangles_between(points) or pytest.fail("no triangles between points that span a field")


def sets_of(corners: NDArray[np.int64]) -> set[frozenset[int]]:
    """Each triangle or edge as the numbers of its corners."""
    return {frozenset(row) for row in corners.tolist()}


@pytest.mark.parametrize("count", [3, 4, 5, 7, 12, 25, 64])
def test_scattered_points_have_the_triangles_of_the_library(count: int) -> None:
    """Twenty sets of points drawn at random: triangle by triangle, edge by edge."""
    chance = np.random.default_rng(count)
    for _ in range(20):
        points = chance.uniform(0.0, 80.0, (count, 2))
        own, library = triangles_of(points), Delaunay(points)

        assert sets_of(own.simplices) == sets_of(library.simplices)
        assert sets_of(own.convex_hull) == sets_of(library.convex_hull)


@pytest.mark.parametrize("count", [4, 6, 13, 40, 64, 65, 90])
def test_heights_between_scattered_points_are_those_of_the_library(count: int) -> None:
    """On both sides of the number from which on the library itself is asked."""
    chance = np.random.default_rng(11)
    points = np.column_stack([chance.uniform(0.0, 80.0, (count, 2)), chance.uniform(-3.0, 6.0, count)])
    ground = Terrain(tuple((x, y, z) for x, y, z in points.tolist()))
    heights = LinearNDInterpolator(Delaunay(points[:, :2]), points[:, 2])
    places = np.concatenate([chance.uniform(-10.0, 90.0, (1200, 2)), points[:, :2]])
    inside = np.isfinite(heights(places))

    assert not ground.is_plane
    assert inside.sum() > 50
    np.testing.assert_allclose(
        ground.height_m(places[:, 0], places[:, 1])[inside], heights(places)[inside], rtol=1e-12, atol=1e-12
    )


@pytest.mark.parametrize("points", [GRID, UNEVEN, ROUND, GRID[:, ::-1] * (1.0, -0.5) + 1e4])
def test_points_on_one_circle_are_cut_in_one_of_the_right_ways(points: NDArray[np.float64]) -> None:
    """All the area within the rim is covered once, and no point lies inside the circle of a triangle."""
    own = triangles_of(points)
    a, b, c = (points[own.simplices[:, corner]] for corner in range(3))
    areas = 0.5 * ((a - c)[:, 0] * (b - c)[:, 1] - (a - c)[:, 1] * (b - c)[:, 0])
    middles = np.linalg.solve(
        2.0 * np.stack([a - c, b - c], axis=1),
        np.stack([np.sum(a**2 - c**2, axis=1), np.sum(b**2 - c**2, axis=1)], axis=1)[:, :, None],
    )[:, :, 0]
    apart = np.hypot(*(points[:, None] - middles).transpose(2, 0, 1))

    assert (areas > 0.0).all()
    assert areas.sum() == pytest.approx(ConvexHull(points).volume, rel=1e-12)
    assert (apart >= np.hypot(*(a - middles).T) - 1e-6).all()
    assert len(np.unique(own.simplices)) == len(points)


def test_a_grid_on_which_the_cut_does_not_matter_has_the_heights_of_the_library() -> None:
    """A height by row and one by column: both cuts of a square give the same ground."""
    chance = np.random.default_rng(5)
    by_x, by_y = chance.uniform(-2.0, 2.0, 6), chance.uniform(-2.0, 2.0, 7)
    points = np.array([(4.0 * i, 3.0 * j, by_x[i] + by_y[j]) for i in range(6) for j in range(7)])
    heights = LinearNDInterpolator(Delaunay(points[:, :2]), points[:, 2])
    places = chance.uniform(0.0, 18.0, (500, 2)) * (1.0, 0.9)
    ground = Terrain(tuple((x, y, z) for x, y, z in points.tolist()))

    assert len(points) <= FEW
    np.testing.assert_allclose(
        ground.height_m(places[:, 0], places[:, 1]), heights(places), rtol=1e-12, atol=1e-12
    )


def test_the_order_of_the_points_does_not_matter() -> None:
    """Also where points lie on one circle."""
    chance = np.random.default_rng(3)
    for points in (GRID, UNEVEN, ROUND):
        mixed = chance.permutation(len(points))
        own, other = triangles_of(points), triangles_of(points[mixed])

        assert sets_of(own.simplices) == sets_of(mixed[other.simplices])


@pytest.mark.parametrize(
    "points",
    [
        [(0.0, 0.0)],
        [(0.0, 0.0), (3.0, 1.0)],
        [(0.1 * step, 0.3 * step) for step in range(9)],
        [(7.0, 7.0)] * 5,
    ],
)
def test_points_in_one_line_have_no_triangles(points: list[tuple[float, float]]) -> None:
    """Also where rounding takes them a hair out of it."""
    assert triangles_between(np.array(points)) is None
