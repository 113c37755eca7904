"""Where a plan begins to be odd, just on either side: lengths, heights and angles taken from the drawing by
hand.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from farpress.judging.air import plan_check
from helpers.radio_case import larkfen

HOUSE = [[8, 22], [19.5, 22], [19.5, 31.4], [8, 31.4], [8, 22]]
WHOLE = {"level": "ground", "build": "brick 365 mm", "along": HOUSE}
NO_LEVEL = {"at": [30.0, 0.0, 2.6], "level": None, "antenna_places": []}


def _says(box: dict[str, Any] | None = None, **premises: Any) -> str:
    return " ".join(finding.says for finding in plan_check.judge(larkfen(premises=premises, box=box)))


@pytest.mark.parametrize(("length_m", "is_said"), [(0.008, True), (0.012, False)])
def test_a_wall_shorter_than_a_centimetre_has_no_length(length_m: float, is_said: bool) -> None:
    """8 mm and 12 mm, beside the whole house."""
    short = {"level": "ground", "build": "brick 115 mm", "along": [[10, 25], [10 + length_m, 25]]}

    assert ("has no length" in _says(walls=[WHOLE, short])) is is_said


@pytest.mark.parametrize(("floor", "is_said"), [("3.34 m", True), ("3.36 m", False)])
def test_a_level_may_begin_five_centimetres_inside_the_other(floor: str, is_said: bool) -> None:
    """The ground floor goes from 0.8 m to 0.8 + 2.6 = 3.4 m."""
    levels = {
        "ground": {"floor": "0.8 m", "clear": "2.6 m", "slab": "concrete slab"},
        "upper": {"floor": floor, "clear": "2.5 m", "slab": "concrete slab"},
    }
    said = _says(levels=levels)

    assert ("inside level ground (0.8 m to 3.4 m)" in said) is is_said


@pytest.mark.parametrize(("floor", "is_said"), [("1.9 m", False), ("2.1 m", True)])
def test_a_level_two_metres_up_is_a_storey_above(floor: str, is_said: bool) -> None:
    """Less than that is a slope."""
    levels = {"ground": {"floor": "0 m", "clear": "1.8 m"}, "upper": {"floor": floor, "clear": "2.5 m"}}
    places = {"bed": {"at": [10, 27], "level": "upper"}, "street": {"at": [14, -25]}}

    assert ("no slab is drawn" in _says(levels=levels, places=places)) is is_said


@pytest.mark.parametrize(("south", "is_said"), [(-1964.0, False), (-1974.0, True)])
def test_a_plan_wider_than_two_kilometres_is_out_of_scale(south: float, is_said: bool) -> None:
    """From a place to the north wall at 31.4 m: 1 995.4 m and 2 005.4 m."""
    places = {"far": {"at": [10, south]}, "street": {"at": [14, -25]}}

    assert ("The plan is 2.0 km wide" in _says(places=places)) is is_said


def test_a_plan_far_from_its_origin_is_no_wider_for_that() -> None:
    """30 m across, with coordinates of kilometres."""
    places = {"street": {"at": [5030.0, 5000.0]}}
    box = {"at": [5000.0, 5000.0, 2.6], "level": None, "antenna_places": []}

    assert "km wide" not in _says(walls=[], places=places, box=box)


@pytest.mark.parametrize(("gap_m", "is_said"), [(5.0, False), (5.5, True)])
def test_a_gap_of_an_eighth_of_the_way_round_is_a_gate(gap_m: float, is_said: bool) -> None:
    """Round the house it is 2 x (11.5 + 9.4) = 41.8 m, an eighth of that 5.2 m."""
    walls = [{"level": "ground", "build": "brick 365 mm", "along": [[8 + gap_m, 22], *HOUSE[1:]]}]
    places = {"kitchen": {"at": [14, 27]}, "street": {"at": [14, -25]}}

    assert ("not closed" in _says(walls=walls, places=places)) is is_said


OPEN_WEST = [{"level": "ground", "build": "brick 365 mm", "along": HOUSE[:4]}]


@pytest.mark.parametrize("inside_m", [0.5, 1.5, 5.0])
def test_a_place_that_walls_go_half_round_is_a_room(inside_m: float) -> None:
    """So far inside the open west side of 9.4 m, which is seen under 2 atan(4.7 / d): 168, 145 and 86 degrees
    of 360; the walls stand behind the rest, more than half of it.
    """
    places = {"kitchen": {"at": [8.0 + inside_m, 26.7]}, "street": {"at": [14, -25]}}
    open_degrees = 2.0 * math.degrees(math.atan(4.7 / inside_m))

    assert open_degrees < 180.0
    assert "kitchen lies among them" in _says(walls=OPEN_WEST, places=places)


@pytest.mark.parametrize(("height_m", "is_among"), [(1.0, True), (3.3, True), (3.5, False)])
def test_who_lies_in_the_height_of_a_level_is_among_its_walls(height_m: float, is_among: bool) -> None:
    """From the floor at 0.8 m up to 0.8 + 2.6 = 3.4 m."""
    places = {"kitchen": {"at": [14, 27, height_m]}, "street": {"at": [14, -25]}}

    assert ("kitchen lies among them" in _says(walls=OPEN_WEST, places=places)) is is_among


def test_an_open_room_without_anybody_in_it_is_looked_at_from_hand_height() -> None:
    """Nobody says to be on that level, so the walls may be meant for a room all the same."""
    said = _says(walls=OPEN_WEST, places={"street": {"at": [14, -25]}}, box=NO_LEVEL)

    assert "The walls of level ground are not closed" in said
    assert "among them" not in said


def test_who_stands_below_the_floor_does_not_close_a_room() -> None:
    """At 0.6 m under a floor at 0.8 m no wall is met, so the room is looked at from hand height."""
    places = {"cellar steps": {"at": [14, 27, 0.6]}, "street": {"at": [14, -25]}}
    said = _says(walls=OPEN_WEST, places=places, box=NO_LEVEL)

    assert "The walls of level ground are not closed" in said
    assert "cellar steps" not in said
