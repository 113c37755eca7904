"""Doors that stand open or shut, vehicles and boats that come and go, water in place of ground."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest

from farpress.case.case import Case
from farpress.catalogue.store import load_catalogue
from farpress.cli.reach_text import map_json, map_words
from farpress.core.reach.slab import complex_permittivity, material_at
from farpress.domain.premises import Place
from farpress.papers.drawings.map_exchange import map_geojson
from farpress.papers.drawings.reach_map import map_svg
from farpress.reach.arrangements import MOST_TRIED, arrangements
from farpress.reach.ask import reach_map
from farpress.reach.radio_budget import RadioLink
from farpress.reach.radio_link import radio_of
from helpers.radio_case import larkfen

DOOR = {"from": "23 m", "width": "4 m", "build": "steel sheet"}
LORRY = {"says": "lorry", "outline": [[2, 4], [12, 4], [12, 6.5], [2, 6.5]], "base": "0 m", "top": "4 m"}


def yard(
    *, door: dict[str, Any], lorry: dict[str, Any] | None = None, readings: Any = (), **more: Any
) -> Case:
    """A steel front with a roller door between a yard and a receiver; a lorry before it."""
    house = {
        "slope": [],
        "levels": {},
        "walls": [
            {
                "build": "steel sheet",
                "base": "0 m",
                "top": "6 m",
                "along": [[-20, 10], [30, 10]],
                "openings": [{**DOOR, "head": "4 m", **door}],
            }
        ],
        "steel": [] if lorry is None else [{**LORRY, **lorry}],
        "places": {"yard": {"at": [5, 0]}},
    }
    return larkfen(
        premises={**house, **more},
        box={"at": [5.0, 14.0, 2.0], "level": None},
        promises=[{"to": "family", "function": "open gate", "from": "yard"}],
        readings=list(readings),
    )


def heard(case: Case, **how: Any) -> RadioLink:
    """The link from the yard."""
    place = Place.model_validate({"at": [5, 0]})
    return radio_of(case).link(
        group="family", premises="larkfen", receiver="R1", place=place, place_path="larkfen/yard", **how
    )


def level(case: Case, **how: Any) -> float:
    """Its level [dBm]."""
    found = heard(case, **how).level_dbm
    assert found is not None
    return found


def test_a_door_that_stands_either_way_is_judged_by_the_worse() -> None:
    """Shut, steel lets little through; open or shut is no better than shut, and says so."""
    shut, opened = level(yard(door={"when_pressed": "shut"})), level(yard(door={"when_pressed": "open"}))
    either = heard(yard(door={"when_pressed": "open or shut"}))

    assert opened > shut + 6.0
    assert either.level_dbm == pytest.approx(shut, abs=1e-9)
    assert any("the steel sheet in wall 1 shut" in note for note in either.notes)
    assert any(f"up to {opened - shut:.0f} dB more" in note for note in either.notes)


def test_a_door_of_which_nothing_is_said_is_shut() -> None:
    """Leaving it out makes no link better."""
    assert level(yard(door={})) == pytest.approx(level(yard(door={"when_pressed": "shut"})), abs=1e-9)


def test_what_comes_and_goes_is_judged_by_the_worse() -> None:
    """A lorry before an open door takes the straight way; away or there, the weaker counts."""
    door = {"when_pressed": "open"}
    away, there = level(yard(door=door)), level(yard(door=door, lorry={"comes_and_goes": False}))
    at_times = heard(yard(door=door, lorry={"comes_and_goes": True}))

    assert away > there + 3.0
    assert at_times.level_dbm == pytest.approx(there, abs=1e-9)
    assert any("lorry there" in note for note in at_times.notes)
    assert level(yard(door=door, lorry={})) == pytest.approx(there, abs=1e-9)


def test_every_combination_counts() -> None:
    """The level is the least of all four, whichever it is."""
    either = level(yard(door={"when_pressed": "open or shut"}, lorry={"comes_and_goes": True}))
    singly = [
        level(yard(door={"when_pressed": stands}, lorry={"comes_and_goes": False} if there else None))
        for stands in ("open", "shut")
        for there in (True, False)
    ]
    assert either == pytest.approx(min(singly), abs=1e-9)


def test_a_reading_is_held_against_the_best_way() -> None:
    """Nobody wrote down how the door stood: a level read through the open door corrects nothing upwards."""
    case = yard(door={"when_pressed": "open or shut"})
    opened = level(yard(door={"when_pressed": "open"}))
    assert level(case, use_readings=False) == pytest.approx(opened, abs=1e-9)
    read = {"receiver": "R1", "place": "yard", "held": "in hand"}
    told = f"{level(case, use_readings=False):.1f} dBm"
    with_reading = yard(door={"when_pressed": "open or shut"}, readings=[{**read, "level": told}])
    assert level(with_reading) == pytest.approx(level(case), abs=0.2)


def test_all_at_once_and_each_by_itself_where_many_move() -> None:
    """Three things: eight ways. Four: all, none, and each alone or alone left."""

    def moving(count: int) -> int:
        doors = [{**DOOR, "from": f"{5 * n} m", "when_pressed": "open or shut"} for n in range(count)]
        wall = {"build": "brick 115 mm", "along": [[0, 10], [40, 10]], "base": "0 m", "top": "3 m"}
        case = larkfen(premises={"walls": [{**wall, "openings": doors}]})
        found = arrangements(case.job.premises["larkfen"])
        assert found[0].opened == frozenset()
        assert found[1].opened == {(1, n + 1) for n in range(count)}
        assert len({one_way.opened for one_way in found}) == len(found)
        return len(found)

    assert [moving(count) for count in range(1, 6)] == [2, 4, 8, 10, 12]
    assert MOST_TRIED == 3


def test_water_throws_back_as_water() -> None:
    """The ground of an address is looked up by its name, and a way over it is computed with it."""

    def over(**ground: str) -> Case:
        return larkfen(
            premises={
                **{"slope": [], "levels": {}, "walls": [], "places": {"yard": {"at": [5, 0]}}},
                **ground,
            },
            box={"at": [65.0, 0.0, 4.0], "level": None},
            promises=[{"to": "family", "function": "open gate", "from": "yard"}],
        )

    dry, wet = over(), over(ground="sea water")
    assert radio_of(wet).plan("larkfen").scene.ground_permittivity == pytest.approx(74.0)
    assert radio_of(dry).plan("larkfen").scene.ground_permittivity < 20.0
    assert 0.01 < abs(level(wet) - level(dry)) < 4.0


def test_fresh_water_is_a_single_relaxation() -> None:
    """Debye's formula for water at 20 degrees C: 80.1 at rest, 5.6 far above, 9.3 ps (handbook values, from
    memory), at the frequency of the fobs.
    """
    row = load_catalogue().materials["fresh water"]
    soil = material_at(
        a=row.a,
        b=row.b,
        c=row.c,
        d=row.d,
        lowest_ghz=row.lowest_ghz,
        highest_ghz=row.highest_ghz,
        frequency_hz=433.92e6,
    )
    eta = complex_permittivity(
        permittivity=soil.permittivity, conductivity_s_per_m=soil.conductivity_s_per_m, frequency_hz=433.92e6
    )
    turned = 1j * 2 * math.pi * 433.92e6 * 9.3e-12
    debye = 5.6 + (80.1 - 5.6) / (1 + turned)
    assert eta.real == pytest.approx(debye.real, rel=0.01)
    assert abs(eta.imag) == pytest.approx(abs(debye.imag), rel=0.08)


def test_a_map_shows_each_spot_as_it_is_heard_worst_and_says_so() -> None:
    """In words, beside the picture, as JSON and for other programs; nothing is said where nothing moves."""
    moving, still = (
        reach_map(yard(door={"when_pressed": stands}), "larkfen", "R1", level=None, cells=12)
        for stands in ("open or shut", "shut")
    )
    ways = ("the steel sheet in wall 1 shut", "the steel sheet in wall 1 open")

    assert moving.worse_of == ways
    assert still.worse_of == ()
    assert (moving.chance <= still.chance + 1e-9).all()
    assert f"Each spot as it is heard worst: {'; or '.join(ways)}." in map_words(moving, "map.png")
    assert "heard worst" not in map_words(still, "map.png")
    assert json.loads(map_json(moving))["worse_of"] == list(ways)
    assert json.loads(map_geojson([moving]))["worse_of"] == list(ways)
    assert "as they stand worst for it" in map_svg(moving)
    assert "as they stand worst for it" not in map_svg(still)
