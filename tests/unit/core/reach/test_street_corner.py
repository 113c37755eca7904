"""Round the corner of a street: no darker than the near-street-level rows of Rec. ITU-R P.1411 allow, and
only there.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from farpress.core.reach.crossings import Panels
from farpress.core.reach.scene import Barrier, PathEnd, Scene
from farpress.core.reach.street import street_level_loss_db
from farpress.core.reach.ways import around, many_ways_path

F = 433.92e6
STEEL = Barrier("steel front", 60.0, 6.0, is_steel=True)
ROWS = np.array(
    [(-80.0, 0.0, 0.0, 0.0), (0.0, 0.0, 0.0, -80.0), (0.0, -80.0, -80.0, -80.0), (-80.0, -80.0, -80.0, 0.0)]
)
BLOCK = Scene(Panels(ROWS[:, :2], ROWS[:, 2:], np.zeros(4), np.full(4, 20.0), np.full(4, -1)), (STEEL,) * 4)
AERIAL, CORNER = PathEnd((-60.0, 4.0, 3.0), 3.0, True), PathEnd((4.0, -60.0, 1.2), 1.2, True)


def loss(scene: Scene, fob: PathEnd = CORNER, aerial: PathEnd = AERIAL) -> tuple[float, tuple[str, ...]]:
    """Loss and the lines it is made of."""
    path = many_ways_path(around=around(scene=scene, frequency_hz=F), fob=fob, aerial=aerial)
    assert sum(term.loss_db for term in path.terms) == pytest.approx(path.loss_db)
    return path.loss_db, tuple(term.says for term in path.terms)


def test_round_a_long_front_streets_lose_no_more_than_in_9_of_10_places() -> None:
    """Along a block of steel fronts, 64 m off and round its corner: the Recommendation's value stands in for
    the scatter nobody draws.
    """
    ceiling = street_level_loss_db(
        distance_m=float(np.hypot(64.0, 64.0)), frequency_hz=F, share=0.9, surroundings="suburban"
    )
    bare, _ = loss(BLOCK)
    found, lines = loss(replace(BLOCK, street="suburban"))

    assert found <= ceiling + 0.05
    assert found == pytest.approx(min(bare, ceiling), abs=0.05)
    assert (bare > ceiling) == any("round corners in 9 of 10" in one for one in lines)


@pytest.mark.parametrize(
    ("fob", "aerial"),
    [
        (CORNER, AERIAL._replace(at_m=(-60.0, 4.0, 9.0), over_ground_m=9.0)),  # high over the street
        (CORNER, AERIAL._replace(is_outdoors=False)),
        (PathEnd((-20.0, 4.0, 1.2), 1.2, True), AERIAL),  # in sight
        (PathEnd((4.0, -10.0, 1.2), 1.2, True), PathEnd((-15.0, 4.0, 3.0), 3.0, True)),  # too near
    ],
)
def test_elsewhere_it_changes_nothing(fob: PathEnd, aerial: PathEnd) -> None:
    """High aerials, ends indoors, ways in sight and short ways are left to walls, edges and ground."""
    assert loss(replace(BLOCK, street="urban"), fob, aerial) == loss(BLOCK, fob, aerial)
