"""One long edge beside the way: parapet, quay, retaining wall, bank. Second witness: exact Fresnel
integrals (scipy) of the single knife edge, Rec. ITU-R P.526 (from memory, no clause at hand).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import fresnel

from farpress.core.reach.crossings import Panels
from farpress.core.reach.free_space import free_space_loss_db
from farpress.core.reach.scene import Barrier, PathEnd, Scene
from farpress.core.reach.terrain import Terrain
from farpress.core.reach.ways import around, ways_between
from farpress.units import wavelength_m

F = 433.92e6
Point3 = tuple[float, float, float]
NOTHING = Panels(np.zeros((0, 2)), np.zeros((0, 2)), np.zeros(0), np.zeros(0), np.zeros(0, dtype=np.int64))


def loss(scene: Scene, a: Point3, p: Point3, over_a: float, over_p: float) -> float:
    """Loss between two ends out of doors [dB]."""
    found = ways_between(
        around=around(scene=scene, frequency_hz=F),
        aerial=PathEnd(a, over_a, True),
        points_m=[p],
        over_ground_m=over_p,
        outdoors=True,
    )
    return float(found.loss_db[0])


def exact_edge_db(a: Point3, p: Point3, x: float, top: float) -> float:
    """The knife edge at x by the exact integrals [dB]."""
    before, behind = x - a[0], p[0] - x
    line = a[2] + (p[2] - a[2]) * before / (before + behind)
    v = (top - line) * np.sqrt(2.0 / wavelength_m(F) * (1.0 / before + 1.0 / behind))
    s, c = fresnel(v)
    return float(-20.0 * np.log10(np.hypot(1.0 - c - s, c - s) / 2.0))


@pytest.mark.parametrize(
    ("profile", "a", "p", "edge", "over_a", "over_p"),
    [
        (
            [(-50, 0), (30, 0), (30.3, -4), (150, -4)],
            (0.0, 0.0, 2.0),
            (80.0, 0.0, -2.8),
            (30.0, 0.0),
            2.0,
            1.2,
        ),
        (
            [(-50, 0), (10, 0), (10.3, -4), (150, -4)],
            (0.0, 0.0, 1.0),
            (40.0, 0.0, -3.0),
            (10.0, 0.0),
            1.0,
            1.0,
        ),
        ([(-50, 0), (30, 0), (30.3, 3), (150, 3)], (0.0, 0.0, 1.5), (80.0, 0.0, 4.2), (30.3, 3.0), 1.5, 1.2),
        (
            [(-50, 0), (49.5, 0), (50, 3), (50.5, 0), (150, 0)],
            (0.0, 0.0, 2.0),
            (96.0, 0.0, 1.2),
            (50.0, 3.0),
            2.0,
            1.2,
        ),
        (
            [(-50, 6), (20, 0), (44, 0), (44.4, 5), (45, 0), (90, 4)],
            (20.0, 0.0, 2.0),
            (70.0, 0.0, 4.0),
            (44.4, 5.0),
            2.0,
            1.5,
        ),
    ],
    ids=["quay and a boat below", "quay, low aerial", "retaining wall", "narrow bank", "bank between slopes"],
)
def test_a_long_edge_of_the_ground_costs_what_the_knife_edge_says(
    profile: list[tuple[float, float]],
    a: Point3,
    p: Point3,
    edge: tuple[float, float],
    over_a: float,
    over_p: float,
) -> None:
    """Within 1 dB over free space, whatever ground lies before and behind it, and however narrow it is."""
    ground = Terrain(tuple((x, y, z) for x, z in profile for y in (-300.0, -100.0, 0.0, 100.0, 300.0)))
    free = float(free_space_loss_db(distance_m=float(np.linalg.norm(np.subtract(p, a))), frequency_hz=F))
    found = loss(Scene(NOTHING, (), terrain=ground), a, p, over_a, over_p) - free

    assert found == pytest.approx(exact_edge_db(a, p, *edge), abs=1.0)


@pytest.mark.parametrize(("x", "top", "far"), [(20.0, 2.5, 40.0), (30.0, 3.0, 100.0), (5.0, 4.0, 25.0)])
def test_a_parapet_costs_what_the_knife_edge_says(x: float, top: float, far: float) -> None:
    """A long wall with a free top against the same yard without it."""
    rows = Panels(
        np.array([[x, -300.0]]), np.array([[x, 300.0]]), np.array([-5.0]), np.array([top]), np.array([-1])
    )
    stone = Barrier("stone", 40.0, 2.0, is_free_standing=True)
    a, p = (0.0, 0.0, 2.0), (far, 0.0, 1.2)
    found = loss(Scene(rows, (stone,)), a, p, 2.0, 1.2) - loss(Scene(NOTHING, ()), a, p, 2.0, 1.2)

    assert found == pytest.approx(exact_edge_db(a, p, x, top), abs=0.3)
