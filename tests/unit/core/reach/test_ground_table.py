"""The table of the ground's two rays gives in pieces what the two rays give."""

from __future__ import annotations

import numpy as np
import pytest

from farpress.core.reach.crossings import Panels
from farpress.core.reach.free_space import free_space_loss_db
from farpress.core.reach.ground_table import FARTHEST_M, GroundTable, ground_table
from farpress.core.reach.scene import PathEnd, Scene
from farpress.core.reach.terrain import Terrain
from farpress.core.reach.two_ray import two_ray_loss_db
from farpress.core.reach.ways_outdoors import _terrain_db
from farpress.core.reach.ways_packed import GROUND_FIRST_M, GROUND_STEP

HZ = 433.92e6
EMPTY = Panels(np.zeros((0, 2)), np.zeros((0, 2)), np.zeros(0), np.zeros(0), np.zeros(0, dtype=np.int64))


def table_of(height_a_m: float, height_b_m: float) -> GroundTable:
    """The table of two heights over middling ground."""
    return ground_table(
        height_a_m=height_a_m,
        height_b_m=height_b_m,
        frequency_hz=HZ,
        permittivity=15.0,
        conductivity_s_per_m=0.01,
    )


def test_each_place_has_the_power_of_the_two_rays() -> None:
    """Mean of both polarisations against free space, wherever the table is asked first."""
    asked = table_of(2.31, 1.17)
    for place in (539, 0, 250, 19, 20, 300):
        distance = GROUND_FIRST_M * np.exp(GROUND_STEP * place)
        rays = [
            two_ray_loss_db(
                ground_distance_m=distance,
                height_a_m=2.31,
                height_b_m=1.17,
                frequency_hz=HZ,
                permittivity=15.0,
                conductivity_s_per_m=0.01,
                polarisation=kind,
            )
            for kind in ("vertical", "horizontal")
        ]
        free = free_space_loss_db(distance_m=float(np.hypot(distance, 2.31 - 1.17)), frequency_hz=HZ)
        power = np.mean([10.0 ** ((free - loss) / 10.0) for loss in rays])

        assert asked[place] == pytest.approx(min(power, 10.0**0.3), rel=1e-12)


def test_the_table_reaches_far_enough_and_ends() -> None:
    """Asked beyond its end it is an error, not a guess; the whole is its pieces."""
    asked = table_of(3.0, 1.0)

    assert GROUND_FIRST_M * np.exp(GROUND_STEP * (len(asked) - 1)) > FARTHEST_M
    assert asked.whole().tolist() == list(asked) == asked[:]
    assert table_of(3.0, 1.0) is asked
    with pytest.raises(IndexError):
        asked[len(asked)]


def test_many_places_on_a_hill_cost_what_each_costs_alone() -> None:
    """Few places are asked one by one, many together."""
    corners = ((0.0, 0.0), (0.0, 40.0), (80.0, 0.0), (80.0, 40.0))
    hill = Terrain((*((x, y, 0.0) for x, y in corners), (40.0, 0.0, 4.0), (40.0, 40.0, 2.0)))
    scene = Scene(EMPTY, (), terrain=hill)
    chance = np.random.default_rng(2)
    flat = chance.uniform((50.0, 0.0), (80.0, 40.0), (60, 2))
    points = np.column_stack([flat, hill.height_m(flat[:, 0], flat[:, 1]) + 1.2])
    aerial, lies = PathEnd((3.0, 20.0, 2.5), 2.5, True), np.full(60, 2)
    together = _terrain_db(scene, HZ, aerial, points, 1.2, lies)
    alone = [float(_terrain_db(scene, HZ, aerial, points[n : n + 1], 1.2, lies[:1])[0]) for n in range(60)]

    assert together.max() > 1.0
    np.testing.assert_allclose(together, alone, rtol=0.0, atol=1e-12)
