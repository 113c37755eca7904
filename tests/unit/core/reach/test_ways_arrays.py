"""The rows that plain code reads and the arrays that machine code reads hold the same, by the same names."""

from __future__ import annotations

import numpy as np

from farpress.core.reach.crossings import Panels
from farpress.core.reach.scene import Barrier, PathEnd, Scene, SteelBox
from farpress.core.reach.ways import around, ways_between
from farpress.core.reach.ways_arrays import as_arrays, as_rows, layout, repeated, rows_of
from farpress.core.reach.ways_packed import Packed
from farpress.core.reach.ways_scene import packed_scene
from farpress.core.reach.ways_work import ListSpan

BRICK, PANE = Barrier("brick", 8.0, 3.0), Barrier("pane", 2.0, 1.0)
OUTLINE = np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 8.0)])
TANK = SteelBox("tank", np.array([(12.0, -8.0), (14.0, -8.0), (14.0, -6.0), (12.0, -6.0)]), 0.5, 2.0)


def packed() -> Packed:
    """Two walls, a pane and an open passage in the first, an outlined and an endless slab, a tank."""
    rows = np.array([(0, 0, 10, 0), (10, 0, 10, 8), (2, 0, 4, 0), (6, 0, 7, 0)], dtype=np.float64)
    panels = Panels(
        rows[:, :2],
        rows[:, 2:],
        np.array([0.0, 0.0, 1.0, 0.0]),
        np.array([2.8, 2.8, 2.1, 2.0]),
        np.array([-1, -1, 0, 0]),
    )
    scene = Scene(panels, (BRICK, BRICK, PANE, None), (0.0, 2.8), (OUTLINE, None), (BRICK, PANE), (TANK,))
    return packed_scene(scene=scene, frequency_hz=433.92e6, polarisation="level")


def test_every_value_stands_under_its_name() -> None:
    """Geometry, materials, openings and corners as they were drawn."""
    scene = as_rows(packed())

    assert [(wall.x1, wall.y1, wall.x2, wall.y2) for wall in scene.walls] == [(0, 0, 10, 0), (10, 0, 10, 8)]
    assert [(wall.length, wall.base, wall.top) for wall in scene.walls] == [(10, 0, 2.8), (8, 0, 2.8)]
    assert [(wall.opening, wall.opening_end) for wall in scene.walls] == [(0, 2), (2, 2)]
    openings = [(hole.u1, hole.u2, hole.sill, hole.head) for hole in scene.openings]
    assert openings == [(2, 4, 1, 2.1), (6, 7, 0, 2)]
    assert [scene.materials[wall.material].sd for wall in scene.walls] == [3.0, 3.0]
    assert scene.materials[scene.openings[0].material].loss == [2.0] * 65
    assert scene.openings[1].material == -1
    assert [(slab.z, slab.corner, slab.corner_end) for slab in scene.slabs] == [(0, 0, 3), (2.8, 3, 3)]
    assert [(box.base, box.top, box.corner, box.corner_end) for box in scene.boxes] == [(0.5, 2, 3, 7)]
    assert (scene.corners[3].x, scene.corners[3].y) == (12.0, -8.0)
    assert [(wall.least, wall.plain_least) for wall in scene.walls] == [(0.0, 8.0), (8.0, 8.0)]


def test_rows_and_arrays_are_each_other_s_copy() -> None:
    """There and back nothing changes, in any block; the arrays have the columns of the rows."""
    arrays = packed()
    again = as_arrays(as_rows(arrays))

    for block, copy in zip(arrays, again, strict=True):
        assert np.array_equal(np.asarray(block), np.asarray(copy))
        assert len(np.asarray(block)) > 0
    assert layout(ListSpan).names == ("begun", "ended")
    assert rows_of(ListSpan, repeated(ListSpan(3, 9), 2)) == [ListSpan(3, 9), ListSpan(3, 9)]


def test_a_scene_of_nothing_has_empty_blocks_and_free_space() -> None:
    """No wall, no slab: every block is empty, and what is left is the distance: 39.2 dB at 5 m (P.525)."""
    no_ends, none = np.zeros((0, 2)), np.zeros(0)
    nothing = Panels(no_ends, no_ends, none, none, np.zeros(0, dtype=np.int64))
    ready = around(scene=Scene(nothing, ()), frequency_hz=433.92e6)
    found = ways_between(
        around=ready,
        aerial=PathEnd((0.0, 0.0, 1.0), 1.0, False),
        points_m=[(5.0, 0.0, 1.0)],
        over_ground_m=1.0,
        outdoors=False,
    )

    assert all(len(block) == 0 for block in ready.rows)
    assert abs(found.loss_db[0] - 39.18) < 0.01
