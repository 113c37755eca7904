"""Plans that cannot be as drawn are asked about; a sound plan is left alone."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.air import plan_check
from helpers.radio_case import larkfen

HOUSE = [[8, 22], [19.5, 22], [19.5, 31.4], [8, 31.4], [8, 22]]


def said(**premises: Any) -> list[str]:
    """What is asked about a plan."""
    found = list(plan_check.judge(larkfen(premises=premises)))
    assert all(one.verdict is Verdict.UNKNOWN and one.because for one in found)
    return [one.says for one in found]


def test_the_sound_house_is_left_alone() -> None:
    """Closed rooms, levels one over the other."""
    assert said() == []


@pytest.mark.parametrize(
    ("premises", "says"),
    [
        (
            {
                "walls": [
                    {"level": "ground", "build": "brick 365 mm", "along": HOUSE},
                    {"level": "ground", "build": "brick 115 mm", "along": [[10, 25], [10, 25]]},
                ]
            },
            "no length",
        ),
        (
            {
                "levels": {
                    "ground": {"floor": "0.8 m", "clear": "2.6 m"},
                    "upper": {"floor": "2.4 m", "clear": "2.5 m"},
                }
            },
            "inside level ground",
        ),
        (
            {
                "places": {
                    "kitchen": {"at": [10, 27], "level": "ground"},
                    "far": {"at": [10, -4000]},
                    "street": {"at": [14, -25]},
                }
            },
            "4.0 km wide",
        ),
        (
            {
                "levels": {
                    "ground": {"floor": "0 m", "clear": "2.6 m"},
                    "upper": {"floor": "2.8 m", "clear": "2.5 m"},
                },
                "places": {"bed": {"at": [10, 27], "level": "upper"}, "street": {"at": [14, -25]}},
            },
            "no slab is drawn under it",
        ),
        (
            {"walls": [{"level": "ground", "build": "brick 365 mm", "along": HOUSE[:3]}]},
            "open to several sides",
        ),
    ],
)
def test_what_is_odd_is_asked_about(premises: dict[str, Any], says: str) -> None:
    """A wall of no length, levels through each other, a plan out of scale, a room that is not closed."""
    assert any(says in one for one in said(**premises))


CELLAR = {"ground": {"floor": "0 m", "clear": "2.6 m", "slab": "concrete 200 mm"}}
BELOW = {"cellar": {"floor": "-2.6 m", "clear": "2.5 m"}}
EARTH = {"level": "cellar", "build": "brick 365 mm", "loss": "25 dB", "along": HOUSE}
FLAT = [[14, -25, 0], [14, 40, 0], [40, -25, 0], [-20, 40, 0]]
DOWN = {"cellar": {"at": [10, 27], "level": "cellar"}, "street": {"at": [14, -25]}}


@pytest.mark.parametrize(
    ("levels", "walls", "is_said"),
    [
        (CELLAR | BELOW, [EARTH], False),
        (CELLAR | BELOW, [{key: value for key, value in EARTH.items() if key != "loss"}], True),
        ({"ground": {"floor": "0 m", "clear": "2.6 m"}} | BELOW, [EARTH], True),
        (CELLAR | BELOW, [], True),
    ],
)
def test_earth_and_ceiling_of_a_cellar_are_asked_where_they_are_not_drawn(
    levels: dict[str, Any], walls: list[dict[str, Any]], is_said: bool
) -> None:
    """A press under the ground goes through both; as drawn it would go through air."""
    ground = [{"level": "ground", "build": "brick 365 mm", "along": HOUSE}]
    buried = [
        one for one in said(levels=levels, places=DOWN, walls=[*ground, *walls]) if "below the ground" in one
    ]

    assert bool(buried) is is_said


@pytest.mark.parametrize(("height", "is_said"), [(-1.01, True), (-0.99, False)])
def test_a_hand_a_metre_under_the_ground_is_in_no_dip(height: float, is_said: bool) -> None:
    """At 1 m; the ground is level at 0 m where nobody says otherwise."""
    places = {"pit": {"at": [14, -25, height]}, "street": {"at": [14, -20]}}

    assert any("pit lies" in one for one in said(places=places, slope=FLAT)) is is_said


def test_a_dip_that_is_measured_is_no_cellar() -> None:
    """The ground lies 2 m down where he stands."""
    slope = [*FLAT[1:], [14, -25, -2.0]]
    places = {"dip": {"at": [14, -25, -1.2]}, "street": {"at": [14, -20, 1]}}

    assert not any("dip lies" in one for one in said(places=places, slope=slope))


OPEN_SIDE = [{"level": "ground", "build": "brick 365 mm", "along": HOUSE[:4]}]


def test_an_open_room_whose_places_say_no_level_is_asked_about() -> None:
    """Three of four sides are drawn: who lies among them, where the walls end, and what to write are said."""
    places = {"kitchen": {"at": [14, 27]}, "street": {"at": [14, -25]}}
    found = [
        one
        for one in plan_check.judge(larkfen(premises={"walls": OPEN_SIDE, "places": places}))
        if "walls of level ground" in one.about
    ]

    assert len(found) == 1
    assert "(8, 22) and (8, 31.4)" in found[0].says
    assert "kitchen" in found[0].says
    assert "street" not in found[0].says
    assert "level: ground" in found[0].because


@pytest.mark.parametrize(
    "walls",
    [
        [{"level": "ground", "build": "brick 365 mm", "along": HOUSE}],
        [
            {"level": "ground", "build": "brick 365 mm", "along": HOUSE},
            {"level": "ground", "build": "brick 115 mm", "along": [[12, 22], [12, 26]]},
        ],
        [{"level": "ground", "build": "brick 365 mm", "along": [[15, 22], *HOUSE[1:4], [8, 22], [11, 22]]}],
        [{"build": "brick 365 mm", "along": HOUSE[:4], "base": "0 m", "top": "1.8 m"}],
    ],
)
def test_closed_rooms_and_the_walls_of_a_yard_are_left_alone(walls: list[dict[str, Any]]) -> None:
    """A closed house, one with a wall that ends in the middle of a room, one with a gate that stands open,
    and a yard's wall without a level.
    """
    places = {"kitchen": {"at": [14, 27]}, "street": {"at": [14, -25]}}
    assert not [one for one in said(walls=walls, places=places) if "not closed" in one]
