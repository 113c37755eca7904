"""The compiled loop against the plain one."""

from __future__ import annotations

import numpy as np
import pytest

from farpress.core.reach.crossings import Panels
from farpress.core.reach.scene import Barrier, PathEnd, Scene, SteelBox
from farpress.core.reach.ways import around, ways_between

F = 433.92e6


@pytest.mark.long
def test_machine_code_and_plain_python_give_the_same_numbers() -> None:
    """Walls with a steel door, a low wall, slabs, a tank, in and out of doors: equal to a millionth of a
    decibel.
    """
    brick, steel, low = (
        Barrier("brick", 8.0, 3.0),
        Barrier("steel", 25.0, 6.0, is_steel=True),
        Barrier("low", 5.0, 2.0, is_free_standing=True),
    )
    rows = np.array(
        [
            (0, 0, 10, 0),
            (10, 0, 10, 8),
            (10, 8, 0, 8),
            (0, 8, 0, 0),
            (5, 0, 5, 6),
            (2, 0, 4, 0),
            (-6, -4, 16, -4),
        ],
        dtype=np.float64,
    )
    panels = Panels(
        rows[:, :2],
        rows[:, 2:],
        np.zeros(7),
        np.array([2.8] * 5 + [2.1, 1.9]),
        np.array([-1, -1, -1, -1, -1, 0, -1]),
    )
    outline = np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 8.0), (0.0, 8.0)])
    tank = SteelBox("tank", np.array([(12.0, -8.0), (14.0, -8.0), (14.0, -6.0), (12.0, -6.0)]), 0.0, 2.0)
    scene = Scene(
        panels,
        (brick, brick, brick, brick, brick, steel, low),
        (0.0, 2.8),
        (outline, outline),
        (brick, brick),
        (tank,),
    )
    ready = around(scene=scene, frequency_hz=F)
    x, y = np.meshgrid(np.linspace(-8.0, 18.0, 11), np.linspace(-14.0, 12.0, 9))
    points = np.stack([x.ravel(), y.ravel(), np.full(x.size, 1.2)], axis=1)
    for aerial in (PathEnd((2.0, 6.0, 2.2), 2.2, False), PathEnd((12.0, 3.0, 3.5), 3.5, True)):
        plain, fast = (
            ways_between(
                around=ready,
                aerial=aerial,
                points_m=points,
                over_ground_m=1.2,
                outdoors=(x.ravel() < 0.0) | (x.ravel() > 10.0),
                compile_it=compile_it,
            )
            for compile_it in (False, True)
        )

        assert np.isfinite(plain.loss_db).all()
        assert np.abs(plain.loss_db - fast.loss_db).max() < 1e-6
        assert np.abs(plain.strongest_share - fast.strongest_share).max() < 1e-6
        assert np.abs(plain.wall_sd_db - fast.wall_sd_db).max() < 1e-6


def test_a_close_map_shares_faint_echoes_and_stays_within_a_tenth_of_a_decibel() -> None:
    """Sixteen small rooms, a cell each 12 cm, 24 x 24 of them: a faint echo followed once for a block of four
    cells, and images struck off for whole groups, against every cell by itself.
    """
    wall = Barrier("brick", 8.0, 3.0)
    lines = [float(k) for k in range(0, 13, 3)]
    rows = np.array(
        [(x, y, x, y + 2.2) for x in lines for y in lines[:-1]]
        + [(x, y, x + 2.4, y) for y in lines for x in lines[:-1]],
        dtype=np.float64,
    )
    count = len(rows)
    panels = Panels(rows[:, :2], rows[:, 2:], np.zeros(count), np.full(count, 2.8), np.full(count, -1))
    ready = around(
        scene=Scene(panels, (wall,) * count, (0.0, 2.8), (None, None), (wall, wall)), frequency_hz=F
    )
    x, y = np.meshgrid(5.0 + 0.12 * np.arange(24), 4.0 + 0.12 * np.arange(24))
    points = np.stack([x.ravel(), y.ravel(), np.full(x.size, 1.2)], axis=1)
    plain, fast = (
        ways_between(
            around=ready,
            aerial=PathEnd((1.3, 10.6, 2.2), 2.2, False),
            points_m=points,
            over_ground_m=1.2,
            outdoors=False,
            compile_it=compile_it,
        ).loss_db
        for compile_it in (False, True)
    )

    assert 0.0 < np.abs(plain - fast).max() < 1.5
    assert abs(float((plain - fast).mean())) < 0.05
    assert np.sqrt(((plain - fast) ** 2).mean()) < 0.15
