"""What is asked for one point alone gives what is asked for many: to the last digit."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.core.reach.crossings import Panels, holds_each
from farpress.core.reach.scene import Barrier, PathEnd, Scene
from farpress.core.reach.shelter import walled_directions
from farpress.core.reach.ways import around, ways_between
from farpress.core.reach.ways_thrown import _can_reach
from farpress.core.reach.ways_work import Area, Point, Tile

F = 433.92e6
GRID = st.integers(-4, 12).map(lambda step: step / 2.0)

BRICK, GLASS = Barrier("brick", 8.0, 3.0), Barrier("glass", 2.0, 1.0)
ROWS = np.array(
    [(0, 0, 5, 0), (5, 0, 5, 4), (5, 4, 0, 4), (0, 4, 0, 0), (2.5, 0, 2.5, 3), (1, 0, 2, 0)], dtype=np.float64
)
PANELS = Panels(ROWS[:, :2], ROWS[:, 2:], np.zeros(6), np.full(6, 2.5), np.array([-1] * 5 + [0]))
ROOF = np.array([(0.0, 0.0), (5.0, 0.0), (5.0, 4.0), (0.0, 4.0)])
HOUSE = Scene(PANELS, (BRICK,) * 5 + (GLASS,), (2.5,), (ROOF,), (BRICK,))


@given(st.lists(st.tuples(GRID, GRID), min_size=3, max_size=8), st.lists(st.tuples(GRID, GRID), min_size=2))
def test_a_point_in_an_outline_is_so_alone_as_among_others(
    outline: list[tuple[float, float]], points: list[tuple[float, float]]
) -> None:
    """Points on a grid of half metres, so that many lie on corners and edges."""
    corners, places = np.array(outline), np.array(points)
    alone = [bool(holds_each(corners, places[n : n + 1])[0]) for n in range(len(places))]
    assert alone == holds_each(corners, places).tolist()


@given(st.lists(st.tuples(GRID, GRID), min_size=2, max_size=6))
def test_directions_with_walls_are_counted_alone_as_among_others(points: list[tuple[float, float]]) -> None:
    """Single points look at slabs in plain numbers, many in arrays."""
    places = np.array([(x, y, 1.1) for x, y in points])
    alone = [int(walled_directions(scene=HOUSE, points_m=places[n])[0]) for n in range(len(places))]
    assert alone == walled_directions(scene=HOUSE, points_m=places).tolist()


@given(GRID, GRID, GRID, GRID)
def test_an_image_that_can_reach_a_point_shines_on_it(x: float, y: float, ax: float, ay: float) -> None:
    """No echo is lost by looking first which images a point sees through their piece of wall."""
    ready = around(scene=HOUSE, frequency_hz=F)
    seen = ready.mirrored.of(Point(ax, ay, 1.3), 1.1, 1.3)
    shining = set(seen.shining(np.array([[x, y, 1.1]])).tolist())
    tile = Tile(0, 1, Area(x, y, 0.0, 0.0), 1.1, 1.1, 1.1, 1.3, 0.0, 2.5, False, True, False)
    reaching = {n for n, image in enumerate(seen.rows) if _can_reach(ready.rows, image, tile)}
    assert reaching <= shining


@pytest.mark.long
@given(st.lists(st.tuples(GRID, GRID), min_size=2, max_size=4))
def test_ways_to_a_point_are_the_same_alone_as_among_others(points: list[tuple[float, float]]) -> None:
    """A point's images are those that shine on it, not on any of the others."""
    ready = around(scene=HOUSE, frequency_hz=F)
    places = [(x, y, 1.1) for x, y in points]
    aerial = PathEnd((1.7, 2.3, 1.3), 1.3, False)

    def loss(some: list[tuple[float, float, float]]) -> list[float]:
        found = ways_between(
            around=ready, aerial=aerial, points_m=some, over_ground_m=1.1, outdoors=False, compile_it=False
        )
        return found.loss_db.tolist()  # type: ignore[no-any-return]

    assert loss(places) == [loss([place])[0] for place in places]
