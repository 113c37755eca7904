"""Rooms below the ground: earth behind their walls, and what is asked where a plan leaves out what is round
and over them.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from farpress.core.reach.entry import entry_loss_db
from farpress.domain.premises import Place
from farpress.reach.buried import EARTH_DB, WallPart, earthen, wall_parts
from farpress.reach.gaps import GapKind, gaps_text
from farpress.reach.radio_budget import RadioLink
from farpress.reach.radio_link import radio_of
from helpers.radio_case import larkfen

ROOM = np.array([(0.0, 0.0), (10.0, 0.0), (10.0, 8.0), (0.0, 8.0)])
OUTER, INNER = ((0.0, 0.0), (10.0, 0.0)), ((5.0, 1.0), (5.0, 7.0))
RING = [[0, 0], [10, 0], [10, 8], [0, 8], [0, 0]]
LEVELS = {
    "cellar": {"floor": "-2.6 m", "clear": "2.4 m"},
    "ground": {"floor": "0 m", "clear": "2.5 m", "slab": "concrete slab"},
}
WALLS = [
    {"level": "cellar", "build": "brick 115 mm", "along": RING},
    {"level": "ground", "build": "brick 115 mm", "along": RING},
]


def link(place: dict[str, Any], **premises: Any) -> RadioLink:
    """From a place of a house with a cellar to a receiver in the cellar."""
    house = {"slope": [], "levels": LEVELS, "walls": WALLS, "places": {"spot": place}, **premises}
    case = larkfen(
        premises=house,
        box={"at": [9.0, 4.0, -1.0], "level": "cellar"},
        promises=[{"to": "family", "function": "open gate", "from": "spot"}],
    )
    own = Place.model_validate(place)
    return radio_of(case).link(
        group="family", premises="larkfen", receiver="R1", place=own, place_path="larkfen/spot"
    )


@pytest.mark.parametrize(
    ("ground_m", "expected"),
    [
        (-2.4, [(-2.6, 0.0, False)]),
        (-1.0, [(-2.6, -1.0, True), (-1.0, 0.0, False)]),
        (-0.2, [(-2.6, 0.0, True)]),
        (1.0, [(-2.6, 0.0, True)]),
    ],
)
def test_earth_lies_against_an_outer_wall_up_to_the_ground(
    ground_m: float, expected: list[tuple[float, float, bool]]
) -> None:
    """A foot of 0.3 m on either side changes nothing."""
    found = wall_parts(base_m=-2.6, top_m=0.0, ground_m=ground_m, ends=OUTER, outline=ROOM)

    assert found == tuple(WallPart(*part) for part in expected)


def test_no_earth_lies_against_a_wall_within_a_cellar() -> None:
    """It has the room on both sides."""
    found = wall_parts(base_m=-2.6, top_m=0.0, ground_m=0.0, ends=INNER, outline=ROOM)

    assert found == (WallPart(-2.6, 0.0, False),)


def test_earth_costs_what_getting_into_a_traditional_building_costs_in_nine_of_ten_places() -> None:
    """Rec. ITU-R P.2109-2, which our building entry follows: 24 dB to a decibel; a dearer wall stays so."""
    from farpress.core.reach.scene import Barrier

    published = entry_loss_db(frequency_hz=433.92e6, share=0.9, building="traditional")

    assert pytest.approx(published, abs=1.0) == EARTH_DB
    assert earthen(Barrier("brick", 5.0, 2.0)).loss_db == EARTH_DB
    assert earthen(Barrier("steel", 60.0, 6.0)).loss_db == 60.0


def test_a_press_from_the_yard_gets_into_a_cellar_by_earth_or_by_the_house_above() -> None:
    """The same house with its cellar's floor level with the yard, and in the earth: darker by 8 dB and more;
    a window over the ground brings part of it back.
    """
    yard = {"at": [40.0, 4.0, 1.2]}
    high = {name: {**level, "floor": floor} for (name, level), floor in zip(LEVELS.items(), ("0 m", "2.6 m"))}
    window = [{"from": "10.5 m", "width": "7 m", "sill": "1.2 m", "head": "2.6 m"}]
    level = link(yard).level_dbm
    opened = link(yard, walls=[{**WALLS[0], "openings": window}, WALLS[1]]).level_dbm
    above = larkfen(
        premises={"slope": [], "levels": high, "walls": WALLS, "places": {"spot": yard}},
        box={"at": [9.0, 4.0, 1.6], "level": "cellar"},
        promises=[{"to": "family", "function": "open gate", "from": "spot"}],
    )
    free = radio_of(above).link(
        group="family", premises="larkfen", receiver="R1", place=Place.model_validate(yard), place_path=""
    )

    assert level is not None
    assert opened is not None
    assert free.level_dbm is not None
    assert level < free.level_dbm - 8.0
    assert level + 2.0 < opened


def test_a_cellar_without_walls_or_ceiling_is_asked_about_and_not_computed() -> None:
    """Each alone; drawn whole, nothing is asked."""
    cellar = {"at": [2.0, 4.0], "level": "cellar"}
    drawn = link(cellar)
    unwalled = link(cellar, walls=WALLS[1:])
    open_above = link(cellar, levels={**LEVELS, "ground": {"floor": "0 m", "clear": "2.5 m"}})
    beside = [[20, 0], [30, 0], [30, 8], [20, 8]]
    elsewhere = link(cellar, levels={**LEVELS, "ground": {**LEVELS["ground"], "outline": beside}})

    assert drawn.level_dbm is not None
    assert drawn.gaps == ()
    for found, word in ((unwalled, "walls of level"), (open_above, "lies over"), (elsewhere, "lies over")):
        assert found.level_dbm is None
        assert {gap.kind for gap in found.gaps} == {GapKind.UNDERGROUND}
        assert word in gaps_text(found.gaps)


def test_a_point_in_the_earth_on_no_level_is_asked_about() -> None:
    """In the yard 2 m down: how? Within the cellar's walls, or on falling ground: no question."""
    deep = {"at": [40.0, 4.0, -2.0]}
    asked = link(deep)
    falls = link(deep, slope=[[0, 0, 0], [10, 0, 0], [40, 0, -3.2], [0, 8, 0], [40, 8, -3.2]])

    assert "how the place lies 2.0 m below the ground" in gaps_text(asked.gaps)
    assert asked.level_dbm is None
    assert falls.level_dbm is not None
    assert link({"at": [4.0, 4.0, -1.5]}).level_dbm is not None
