"""What stands in the way: crossings, openings, slabs, steel, and what a way costs."""

from __future__ import annotations

import numpy as np
import pytest

from farpress.core.reach.crossings import Panels, box_hit, crossed_panels, crossed_slabs
from farpress.core.reach.direct import direct_path
from farpress.core.reach.free_space import free_space_loss_db
from farpress.core.reach.scene import Barrier, PathEnd, Scene, SteelBox

F = 433.92e6
BRICK = Barrier("brick", 9.0, 3.0)
DOOR = Barrier("door", 2.0, 1.0)


def panels(*rows: tuple[float, float, float, float, float, float, int]) -> Panels:
    """Panels from x1, y1, x2, y2, base, top, hole_in."""
    data = np.array([row[:6] for row in rows], dtype=np.float64).reshape(-1, 6)
    return Panels(
        data[:, 0:2], data[:, 2:4], data[:, 4], data[:, 5], np.array([row[6] for row in rows], dtype=np.int64)
    )


def end(x: float, y: float, z: float = 1.2, *, outdoors: bool = False) -> PathEnd:
    """An end of the way over level ground."""
    return PathEnd((x, y, z), z, outdoors)


WALL = panels((5.0, -5.0, 5.0, 5.0, 0.0, 2.6, -1), (5.0, -0.5, 5.0, 0.5, 0.0, 2.0, 0))


def test_a_ray_through_the_door_meets_the_door_and_not_the_wall() -> None:
    """At 1.2 m height the ray passes the doorway; at 2.3 m the wall over it; 2 m aside the wall."""
    hits = crossed_panels(
        panels=WALL,
        from_m=[[0, 0, 1.2], [0, 0, 2.3], [0, 2, 1.2]],
        to_m=[[10, 0, 1.2], [10, 0, 2.3], [10, 2, 1.2]],
    )

    assert hits.crossed.tolist() == [[False, True], [True, False], [True, False]]


def test_where_and_at_what_angle() -> None:
    """A ray at 45 degrees on the plan crosses at half its way, at 45 degrees to the wall's normal."""
    hits = crossed_panels(panels=WALL, from_m=[3.0, 1.0, 1.0], to_m=[7.0, 5.0, 1.0])

    assert hits.share[0, 0] == pytest.approx(0.5)
    assert hits.angle_deg[0, 0] == pytest.approx(45.0)


def test_a_ray_through_a_corner_crosses_one_wall() -> None:
    """Two pieces meet at (5, 0); the ray goes through that very point."""
    corner = panels((5.0, -5.0, 5.0, 0.0, 0.0, 3.0, -1), (5.0, 0.0, 5.0, 5.0, 0.0, 3.0, -1))

    assert crossed_panels(panels=corner, from_m=[0, 0, 1], to_m=[10, 0, 1]).crossed.sum() == 1


def test_a_ray_along_a_wall_and_a_wall_of_no_length_cross_nothing() -> None:
    """Neither gives a crossing nor a number that is none."""
    odd = panels((0.0, 0.0, 10.0, 0.0, 0.0, 3.0, -1), (4.0, 0.0, 4.0, 0.0, 0.0, 3.0, -1))
    hits = crossed_panels(panels=odd, from_m=[0, 0, 1], to_m=[10, 0, 1])

    assert not hits.crossed.any()
    assert np.isfinite(hits.share).all()
    assert np.isfinite(hits.angle_deg).all()


@pytest.mark.parametrize("x", [4.97, 5.0, 5.03])
def test_an_end_in_a_wall_counts_and_is_told(x: float) -> None:
    """A place drawn on the wall's line, or 3 cm beside it, touches it from either side."""
    there = crossed_panels(panels=WALL, from_m=[x, 3.0, 1.2], to_m=[0.0, 3.0, 1.2])
    back = crossed_panels(panels=WALL, from_m=[0.0, 3.0, 1.2], to_m=[x, 3.0, 1.2])

    assert there.crossed[0, 0]
    assert there.touched[0, 0]
    assert back.crossed[0, 0]
    assert back.touched[0, 0]


def test_a_slab_counts_only_inside_its_outline() -> None:
    """Going up two storeys inside the house meets both slabs, beside it none."""
    outline = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
    hits = crossed_slabs(
        heights_m=[3.0, 6.0],
        outlines=[outline, outline],
        from_m=[[5, 5, 1], [15, 5, 1]],
        to_m=[[5, 6, 7], [15, 6, 7]],
    )

    assert hits.crossed.tolist() == [[True, True], [False, False]]


def test_the_lines_add_up_and_the_spread_is_their_quadrature() -> None:
    """One brick wall indoors: free space and 9 dB; place 5 dB and wall 3 dB."""
    scene = Scene(WALL, (BRICK, DOOR))
    path = direct_path(scene=scene, fob=end(0, 2), aerial=end(10, 2), frequency_hz=F)

    assert path.loss_db == pytest.approx(float(free_space_loss_db(distance_m=10.0, frequency_hz=F)) + 9.0)
    assert sum(term.loss_db for term in path.terms) == pytest.approx(path.loss_db)
    assert path.local_sd_db == pytest.approx(np.hypot(5.0, 3.0))


def test_never_more_than_three_decibels_better_than_free_space() -> None:
    """Out of doors the ground may help, to that limit."""
    scene = Scene(panels(), ())
    for distance in np.linspace(1.0, 120.0, 60):
        path = direct_path(
            scene=scene,
            fob=end(0, 0, 1.2, outdoors=True),
            aerial=end(float(distance), 0, 3.0, outdoors=True),
            frequency_hz=F,
        )
        assert (
            path.loss_db >= float(free_space_loss_db(distance_m=path.distance_m, frequency_hz=F)) - 3.0 - 1e-9
        )


def test_over_a_low_fence_of_steel_a_press_still_comes() -> None:
    """25 dB through closed steel; over the top of a fence 1.6 m high most of that is spared."""
    low = panels((5.0, -50.0, 5.0, 50.0, 0.0, 1.6, -1))
    fence = Barrier("steel sheet", 25.0, 6.0, is_steel=True, is_free_standing=True)
    path = direct_path(scene=Scene(low, (fence,)), fob=end(0, 0, 1.2), aerial=end(10, 0, 1.5), frequency_hz=F)

    assert 4.0 < path.terms[1].loss_db < 12.0
    assert "over its top" in path.terms[1].says


def test_a_tank_shades_less_than_closed_steel() -> None:
    """Round its edges comes more than the 25 dB that leak; further aside it shades nothing."""
    tank = SteelBox("tank", np.array([[4.0, -1.0], [6.0, -1.0], [6.0, 1.0], [4.0, 1.0]]), 0.0, 3.0)
    behind = direct_path(
        scene=Scene(panels(), (), boxes=(tank,)), fob=end(0, 0), aerial=end(10, 0), frequency_hz=F
    )
    beside = direct_path(
        scene=Scene(panels(), (), boxes=(tank,)), fob=end(0, 5), aerial=end(10, 5), frequency_hz=F
    )

    assert 3.0 < behind.terms[1].loss_db < 25.0
    assert len(beside.terms) == 1


def test_a_box_is_met_or_missed_over_and_beside() -> None:
    """Over its top and beside it there is no hit; an end inside is told."""
    square = np.array([[4.0, -1.0], [6.0, -1.0], [6.0, 1.0], [4.0, 1.0]])

    assert box_hit(outline=square, base_m=0.0, top_m=1.0, from_m=[0, 0, 2], to_m=[10, 0, 2]) is None
    assert box_hit(outline=square, base_m=0.0, top_m=3.0, from_m=[0, 3, 1], to_m=[10, 3, 1]) is None
    inside = box_hit(outline=square, base_m=0.0, top_m=3.0, from_m=[5, 0, 1], to_m=[10, 0, 1])
    assert inside is not None
    assert inside.holds_end


def test_two_floors_cost_less_than_twice_one() -> None:
    """The floor law: waves also go round."""
    slab = Barrier("slab", 12.0, 4.0)
    scene = Scene(panels(), (), (3.0, 6.0), (None, None), (slab, slab))
    one = direct_path(scene=scene, fob=end(0, 0, 1.0), aerial=end(3, 0, 4.0), frequency_hz=F)
    two = direct_path(scene=scene, fob=end(0, 0, 1.0), aerial=end(3, 0, 7.0), frequency_hz=F)
    cost = [path.loss_db - path.terms[0].loss_db for path in (one, two)]

    assert cost[0] == pytest.approx(12.0)
    assert 12.0 < cost[1] < 24.0


def test_at_the_same_point_there_is_a_number() -> None:
    """A fob held to the receiver is half a metre away for the formula, and a note says so."""
    path = direct_path(scene=Scene(WALL, (BRICK, DOOR)), fob=end(1, 1), aerial=end(1, 1), frequency_hz=F)

    assert np.isfinite(path.loss_db)
    assert "taken as 0.5 m" in path.notes[0]
