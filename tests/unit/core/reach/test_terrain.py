"""Ground from surveyed points: its height between them, and what a hill costs, against exact integrals and
worked by hand.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import fresnel

from farpress.core.reach.crossings import Panels
from farpress.core.reach.scene import PathEnd, Scene
from farpress.core.reach.terrain import Terrain, bullington_loss_db
from farpress.core.reach.ways import around, many_ways_path, ways_between

F = 433.92e6
WAVE = 299_792_458.0 / F
EMPTY = Panels(np.zeros((0, 2)), np.zeros((0, 2)), np.zeros(0), np.zeros(0), np.zeros(0, dtype=np.int64))
RIDGE = Terrain(
    tuple(
        (x, y, z)
        for y in (-50.0, 50.0)
        for x, z in ((0.0, 0.0), (40.0, 0.0), (50.0, 8.0), (60.0, 0.0), (100.0, 0.0))
    )
)


def losses(
    terrain: Terrain, aerial: PathEnd, xs: list[float]
) -> tuple[np.ndarray[tuple[int], np.dtype[np.float64]], np.ndarray[tuple[int], np.dtype[np.float64]]]:
    """Loss and terrain's part at hand height along y = 0."""
    points = [(x, 0.0, float(terrain.height_m(x, 0.0)) + 1.2) for x in xs]
    found = ways_between(
        around=around(scene=Scene(EMPTY, (), terrain=terrain), frequency_hz=F),
        aerial=aerial,
        points_m=points,
        over_ground_m=1.2,
        outdoors=True,
    )
    return found.loss_db, found.terrain_db


def test_a_slope_that_is_a_plane_is_the_yard_it_was() -> None:
    """Two rays along a slope of 3 % over evenly spread points: nothing is added."""
    slope = Terrain(tuple((x, y, 0.03 * x) for x in (0.0, 50.0, 100.0) for y in (-20.0, 20.0)))

    assert slope.is_plane
    assert losses(slope, PathEnd((0.0, 0.0, 3.0), 3.0, True), [20.0, 60.0, 95.0])[1] == pytest.approx(
        0.0, abs=1e-12
    )


def test_one_ridge_costs_the_exact_edge() -> None:
    """Profile with one place above the line: J of the exact Fresnel integrals."""
    for high in (0.0, 1.5, 4.0):
        v = high * np.sqrt(2.0 / WAVE * (1 / 30.0 + 1 / 30.0))
        s, c = fresnel(v)
        exact = -20.0 * np.log10(np.hypot(1 - c - s, c - s) / 2.0)
        found = float(
            bullington_loss_db(
                distance_m=[60.0],
                heights_m=[[-90.0, 2.0 + high, -90.0]],
                start_m=[2.0],
                end_m=[2.0],
                frequency_hz=F,
            )[0]
        )

        assert found == pytest.approx(exact, abs=0.12)


def test_two_ridges_far_apart_have_bullington_s_addition() -> None:
    """Horizons a third of the way apart: 10 dB times one less exp(-J/6) on top of one edge in place of
    both, which stands where the lines from both ends over their horizons meet: half-way, 1.5 times as high.
    """
    v = 3.0 * np.sqrt(2.0 / WAVE * (1 / 30.0 + 1 / 30.0))
    s, c = fresnel(v)
    edge = -20.0 * np.log10(np.hypot(1 - c - s, c - s) / 2.0)
    found = bullington_loss_db(
        distance_m=[60.0],
        heights_m=[[-90.0, 4.0, -90.0, 4.0, -90.0]],
        start_m=[2.0],
        end_m=[2.0],
        frequency_hz=F,
        at_share=[[0.2, 1 / 3, 0.5, 2 / 3, 0.8]],
    )

    assert float(found[0]) == pytest.approx(edge + 10.0 * (1 - np.exp(-edge / 6.0)), abs=0.12)


def test_a_hill_shades_what_lies_behind_and_lifts_who_stands_on_it() -> None:
    """Before the ridge nothing, on it a gain of a few decibels, behind it 15 dB and more; the budget has a
    line for it.
    """
    loss, hill = losses(RIDGE, PathEnd((0.0, 0.0, 3.0), 3.0, True), [20.0, 50.0, 70.0, 95.0])
    ready = around(scene=Scene(EMPTY, (), terrain=RIDGE), frequency_hz=F)
    path = many_ways_path(
        around=ready, fob=PathEnd((70.0, 0.0, 1.2), 1.2, True), aerial=PathEnd((0.0, 0.0, 3.0), 3.0, True)
    )

    assert hill[0] == pytest.approx(0.0, abs=0.1)
    assert -6.0 < hill[1] < 0.0
    assert (hill[2:] > 15.0).all()
    assert path.loss_db == pytest.approx(float(loss[2]), abs=0.01)  # the map reads its ground from a table
    assert sum(term.loss_db for term in path.terms) == pytest.approx(path.loss_db)
    assert any("shape of the ground" in term.says for term in path.terms)


def test_between_two_hands_the_hill_costs_the_same_there_and_back() -> None:
    """Turned round, the same."""
    there = losses(RIDGE, PathEnd((10.0, 0.0, 1.2), 1.2, True), [80.0])[0]
    back = losses(RIDGE, PathEnd((80.0, 0.0, 1.2), 1.2, True), [10.0])[0]

    assert there == pytest.approx(back, abs=0.1)


@pytest.mark.parametrize(
    "points",
    [
        (),
        ((1.0, 1.0, 3.0),),
        ((0.0, 0.0, 0.0), (1.0, 1.0, 1.0), (2.0, 2.0, 0.0), (3.0, 3.0, 1.0)),
        ((0.0, 0.0, 0.0), (0.0, 0.0, 5.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
    ],
)
def test_odd_points_give_a_height_everywhere(points: tuple[tuple[float, float, float], ...]) -> None:
    """None, one, all in one line, two heights at one place: always numbers, far outside too."""
    assert np.isfinite(Terrain(points).height_m([0.0, 0.5, 1e4], [0.0, 0.5, -1e4])).all()


def test_points_in_a_line_say_nothing_of_the_ground_beside_it() -> None:
    """Heights a hair apart across the line are no cliff: along it the ground rises 1 in 10, beside it not."""
    ground = Terrain(((0.0, 0.0, 0.0), (20.0, 0.0, 2.0), (10.0, 6e-8, 4.0)))

    assert float(ground.height_m(10.0, 30.0)) == pytest.approx(2.0)
    assert ground.plane[1:] == pytest.approx((0.1, 0.0), abs=1e-6)
