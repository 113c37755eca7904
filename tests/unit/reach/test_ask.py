"""Maps, budgets at points, the aerial's place, readings: the steps of reach on an invented house."""

from __future__ import annotations

import math

import numpy as np
import pytest

from farpress.case.door import open_job
from farpress.core.reach.field import contour_lines
from farpress.errors import InputError
from farpress.reach.aerial_places import Mounting
from farpress.reach.aerial_search import try_aerials
from farpress.reach.ask import MapRequest, budget_at, promised_links, reach_map
from farpress.reach.calibration import learned, next_readings
from farpress.reach.channel import busiest
from farpress.reach.radio_link import Radio
from helpers.project import EXAMPLES
from helpers.radio_case import larkfen

PLAIN = MapRequest(compile_it=False)


def test_a_map_agrees_with_the_budget_at_the_same_point() -> None:
    """The cell on the kitchen has the margin that the budget from there says."""
    case = larkfen()
    found = reach_map(
        case,
        "larkfen",
        "R1",
        level="ground",
        cells=(2, 2),
        request=MapRequest(area=(9.5, 26.5, 10.5, 27.5), compile_it=False),
    )
    at = budget_at(case, "larkfen", "R1", (float(found.x_m[1]), float(found.y_m[1]), 2.0), level="ground")

    assert found.chance.shape == (2, 2)
    assert found.indoors.all()
    assert found.margin_db[1, 1] == pytest.approx(at.margin_db or 0.0, abs=0.05)
    assert found.chance[1, 1] == pytest.approx(at.share(1) or 0.0, abs=0.02)


def test_the_street_is_on_the_ground_and_the_kitchen_on_its_floor() -> None:
    """A coarse map of the whole plan: numbers everywhere, walls and places on it, worse in the street than
    indoors.
    """
    found = reach_map(larkfen(), "larkfen", "R1", level="ground", cells=14, request=PLAIN)

    assert np.isfinite(found.chance).all()
    assert ((found.chance >= 0.0) & (found.chance <= 1.0)).all()
    assert found.stands.all()
    assert found.indoors.any()
    assert not found.indoors.all()
    assert found.chance[found.indoors].mean() > found.chance[:2].mean()
    assert {name for name, _, _ in found.places} == {"street", "wicket", "kitchen"}
    assert found.walls


def test_beside_an_upper_floor_nobody_stands() -> None:
    """Only the house itself is level 'upper'."""
    found = reach_map(larkfen(), "larkfen", "R1", level="upper", cells=16, request=PLAIN)

    assert found.stands.any()
    assert (found.stands == found.indoors).mean() > 0.95


def test_a_storey_without_walls_is_asked_about_instead_of_drawn_empty() -> None:
    """Where nobody knows what is indoors up there, no grey sheet is drawn: it says what to write."""
    levels = {
        "ground": {"floor": "0.8 m", "clear": "2.6 m", "slab": "concrete slab"},
        "loft": {"floor": "5 m", "clear": "2 m"},
    }
    ground = {
        "level": "ground",
        "build": "brick 365 mm",
        "along": [[8, 22], [19.5, 22], [19.5, 31.4], [8, 31.4], [8, 22]],
    }
    case = larkfen(
        premises={
            "levels": levels,
            "walls": [ground],
            "places": {"street": {"at": [14, -25]}, "loft": {"at": [10, 27], "level": "loft"}},
        },
        promises=[],
    )

    with pytest.raises(InputError, match="Level 'loft' of larkfen has no walls"):
        reach_map(case, "larkfen", "R1", level="loft", cells=8, request=PLAIN)


def test_moving_the_aerial_to_the_street_side_mends_the_street() -> None:
    """The same map with the aerial under the eaves."""
    case, area = larkfen(), MapRequest(area=(12.0, -26.0, 16.0, -22.0), compile_it=False)
    today = reach_map(case, "larkfen", "R1", level=None, cells=(3, 3), request=area)
    moved = reach_map(
        case, "larkfen", "R1", level=None, cells=(3, 3), aerial_at=(10.5, 21.8, 3.4), request=area
    )

    assert moved.moved
    assert moved.chance.mean() > today.chance.mean() + 0.02


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ({"premises": "nowhere", "receiver": "R1", "level": None}, "no premises 'nowhere'"),
        ({"premises": "larkfen", "receiver": "R9", "level": None}, "no receiver 'R9'"),
        ({"premises": "larkfen", "receiver": "R1", "level": "attic"}, "no level 'attic'"),
        ({"premises": "larkfen", "receiver": "R1", "level": None, "cells": 5000}, "2 to 1000 cells"),
        (
            {"premises": "larkfen", "receiver": "R1", "level": None, "aerial_at": (1.0, 2.0)},
            "x, y and height",
        ),
        (
            {
                "premises": "larkfen",
                "receiver": "R1",
                "level": None,
                "request": MapRequest(area=(5.0, 0.0, 5.0, 9.0)),
            },
            "empty",
        ),
        (
            {
                "premises": "larkfen",
                "receiver": "R1",
                "level": None,
                "request": MapRequest(area=(0.0, 0.0, 9000.0, 9.0)),
            },
            "plan's scale",
        ),
    ],
)
def test_a_map_that_cannot_be_drawn_says_why(arguments: dict[str, object], says: str) -> None:
    """Unknown names list the known ones; impossible sizes say what is possible."""
    premises, receiver = str(arguments.pop("premises")), str(arguments.pop("receiver"))
    with pytest.raises(InputError, match=says):
        reach_map(larkfen(), premises, receiver, **arguments)  # type: ignore[arg-type]


def test_a_map_of_a_receiver_without_sensitivity_asks_for_it() -> None:
    """Nothing is guessed."""
    with pytest.raises(InputError, match="sensitivity"):
        reach_map(
            larkfen(receiver={"sensitivity_dbm": None}), "larkfen", "R1", level=None, cells=4, request=PLAIN
        )


def test_a_plan_two_kilometres_wide_is_drawn() -> None:
    """A place far down the road: numbers everywhere, nothing is heard there."""
    places = {"house": {"at": [14, 20]}, "far": {"at": [14, -1950]}}
    promises = [{"to": "family", "function": "open gate", "from": "house"}]
    found = reach_map(
        larkfen(premises={"places": places}, promises=promises),
        "larkfen",
        "R1",
        level=None,
        cells=(2, 40),
        request=PLAIN,
    )

    assert np.isfinite(found.margin_db).all()
    assert found.chance[0].max() < 0.01


def test_the_ranking_puts_the_eaves_before_the_utility_room() -> None:
    """Best worst promise first, today's among them, each with edits that say what to write."""
    ranked = try_aerials(larkfen(), "larkfen", "R1").trials
    eaves = next(one for one in ranked if "(10.5, 21.8)" in one.does)
    today = next(one for one in ranked if one.does == "As today")

    assert eaves.worst.share - eaves.worst.wanted > today.worst.share - today.worst.wanted
    assert [round(one.worst.share - one.worst.wanted, 4) for one in ranked] == sorted(
        (round(one.worst.share - one.worst.wanted, 4) for one in ranked), reverse=True
    )
    assert eaves.changes[0].path[-1] == "antenna"
    assert not today.changes
    assert len({one.does for one in ranked}) == len(ranked)


def test_a_second_receiver_is_never_worse_than_today() -> None:
    """It hears what today's hears, and more."""
    ranked = try_aerials(larkfen(), "larkfen", "R1", second_receiver=True).trials
    today = {one.promise: one.share for one in next(one for one in ranked if one.does == "As today").kept}

    second = [one for one in ranked if one.is_second]
    assert second
    assert all(kept.share >= today[kept.promise] - 0.02 for one in second for kept in one.kept)


def test_a_second_receiver_is_tried_by_each_place_that_promises() -> None:
    """Where coax does not reach: right by the place, that place's promises are heard; not in the street,
    where nothing can be mounted.
    """
    ranked = try_aerials(larkfen(), "larkfen", "R1", second_receiver=True).trials
    by = {one.does.split(" by ")[1].split(",")[0]: one for one in ranked if " by " in one.does}
    today = {one.promise: one.share for one in next(one for one in ranked if one.does == "As today").kept}

    assert set(by) >= {"bathroom", "kitchen"}
    assert "street" not in by
    for name, one in by.items():
        assert one.is_second
        own = [kept for kept in one.kept if kept.promise.endswith(f"from {name}")]
        assert own
        assert all(kept.margin_db > 30.0 and kept.share >= today[kept.promise] for kept in own)


def test_an_aerial_inside_is_said_to_have_no_socket() -> None:
    """Nothing is plugged in where nothing can be."""
    assert "socket" in try_aerials(larkfen(), "larkfen", "R1").note


def test_the_search_can_be_stopped_and_ranks_what_it_has() -> None:
    """After the first idea."""
    assert len(try_aerials(larkfen(), "larkfen", "R1", progress=lambda done, of: False).trials) == 1


def test_nothing_promised_nothing_ranked() -> None:
    """A better place for no promise does not exist."""
    with pytest.raises(InputError, match="write a promise"):
        try_aerials(larkfen(promises=[]), "larkfen", "R1")


def reading(place: str, **how: object) -> dict[str, object]:
    """A reading at R1."""
    return {"receiver": "R1", "place": place} | how


def predicted(place: str) -> float:
    """The level that the plan alone gives."""
    return next(row.link.level_dbm or 0.0 for row in promised_links(larkfen(), "larkfen", "R1", place=place))


def test_presses_heard_of_presses_tried_count_as_readings() -> None:
    """Ten of ten from the street lift it, none of ten lower it; both leave less doubt."""

    def street(**how: object) -> tuple[float, float]:
        case = larkfen(readings=[reading("street", **how)] if how else [])
        link = promised_links(case, "larkfen", "R1", place="street")[0].link
        return link.level_dbm or 0.0, link.spread_db

    plain, heard, lost = street(), street(heard=10, of=10), street(heard=0, of=10)

    assert heard[0] > plain[0] > lost[0]
    assert max(heard[1], lost[1]) < plain[1]


def test_five_readings_four_decibels_low_bring_the_map_down_and_narrow_it() -> None:
    """The offset follows most of the way, its doubt goes from 6 dB to below 4 dB."""
    spots = ("street", "wicket", "kitchen", "bathroom")
    levels = {place: predicted(place) - 4.0 for place in spots}
    case = larkfen(readings=[reading(place, level=f"{level:.1f} dBm") for place, level in levels.items()])
    known = learned(case, "larkfen", "R1")

    assert known.count == 4
    assert -4.0 < known.offset_db < -1.5
    assert known.offset_sd_db < 5.0
    assert "brick 365 mm" in known.walls


def test_the_next_reading_is_for_what_must_work() -> None:
    """The undecided street comes first; once read, it is no longer worth as much."""
    before = {one.place: one.bits for one in next_readings(larkfen(), "larkfen", "R1")}
    after = {
        one.place: one.bits
        for one in next_readings(
            larkfen(readings=[reading("street", level=f"{predicted('street'):.1f} dBm")]), "larkfen", "R1"
        )
    }

    assert max(before, key=lambda place: before[place]) == "larkfen/street"
    assert after["larkfen/street"] < before["larkfen/street"]
    assert all(math.isfinite(one) and one >= -1e-9 for one in (*before.values(), *after.values()))


def test_a_busy_gate_loses_presses_to_its_neighbours() -> None:
    """180 cars in a quarter of an hour: the chance falls, the note names the time."""
    traffic = [{"place": "wicket", "function": "open gate", "arrivals": {"07:40-07:55": 180}}]
    calm, busy = larkfen(), larkfen(traffic=traffic)
    links = [promised_links(case, "larkfen", "R1", place="wicket")[0].link for case in (calm, busy)]

    assert (links[1].share(1) or 0.0) < (links[0].share(1) or 0.0)
    assert any("07:40-07:55: 180 presses" in note for note in links[1].notes)
    assert (
        busiest(calm, "larkfen/wicket", telegram_s=0.06, period_s=0.1, telegrams=links[0].telegrams) is None
    )


def test_a_receiver_drawn_without_a_level_but_between_walls_is_indoors() -> None:
    """The utility room without a level gives the same way as with one."""
    with_level, without = larkfen(), larkfen(box={"level": None})
    ends = [
        Radio(case).roofed("larkfen", end)
        for case in (with_level, without)
        if (end := Radio(case).aerial("larkfen", "R1").end) is not None
    ]

    assert [end.is_outdoors for end in ends] == [False, False]


def test_contours_run_where_the_field_has_the_value() -> None:
    """A cone: one closed circle of the right radius."""
    x = y = np.linspace(-5.0, 5.0, 41)
    values = 5.0 - np.hypot(*np.meshgrid(x, y))
    lines = contour_lines(x_m=x, y_m=y, values=values, level=2.0)

    assert len(lines) == 1
    assert np.hypot(*lines[0].T) == pytest.approx(3.0, abs=0.02)
    assert lines[0][0].tolist() == lines[0][-1].tolist()


def test_places_on_walls_are_searched_and_are_no_worse_than_the_drawn_ones() -> None:
    """Within 8 m of coax, two heights: a place on an outer face is found, its coax long enough, its edit
    complete.
    """
    drawn, searched = (
        try_aerials(larkfen(), "larkfen", "R1", mounting=mounting).trials
        for mounting in (None, Mounting(8.0, (1.8, 2.4)))
    )
    walls = [one for one in searched if ", outside" in one.does]

    assert (
        searched[0].worst.share - searched[0].worst.wanted
        >= drawn[0].worst.share - drawn[0].worst.wanted - 1e-9
    )
    assert len(searched) > len(drawn)
    assert walls
    box = larkfen().job.premises["larkfen"].receivers["R1"].at
    for one in walls:
        entry = one.changes[0].value
        way = sum(abs(a - b) for a, b in zip(entry["at"], box))
        assert float(entry["coax"]["length"].split()[0]) >= way
        assert way <= 8.0
    assert any("in place of" in one.does or "plugged" in one.does for one in searched)


@pytest.mark.long
def test_every_kind_is_tried_at_every_place() -> None:
    """Drawn or on a wall, each place of the search has each kind of the parts list; and it is said how many
    were looked at.
    """
    case = open_job(EXAMPLES / "larkfen-house")
    search = try_aerials(case, "larkfen", "R1", mounting=Mounting(6.0, (2.4,)))
    kinds: dict[str, set[str]] = {}
    for one in search.trials:
        if one.does.startswith("Aerial ") and " at (" in one.does:
            kind, place = one.does.split(" on ")[0].removeprefix("Aerial ").split(" at (")
            kinds.setdefault(place, set()).add(kind)
    known = set(case.equipment.aerial_parts)

    assert len(known) >= 4
    assert len(kinds) >= 4
    assert all(one == known for place, one in kinds.items() if "10.5, 21.8), 2.6" not in place)
    assert search.looked_at > len(search.trials)


def test_a_receiver_with_its_aerial_inside_is_moved_itself() -> None:
    """Only to places indoors, its coordinates and its level written, its remote aerial taken off."""
    ranked = try_aerials(larkfen(), "larkfen", "R1", mounting=Mounting(6.0, (1.8,))).trials
    moved = [one for one in ranked if one.does.startswith("Receiver itself")]

    assert moved
    house = larkfen().job.premises["larkfen"]
    for one in moved:
        written = {change.path[-1]: change.value for change in one.changes}
        level = written.get("level", house.receivers["R1"].level)
        assert written["at"][2] == pytest.approx(house.levels[level].floor_m + 1.8)
        assert written.get("antenna") is None


@pytest.mark.parametrize(
    "wrong", [{"coax_up_to_m": 0.0}, {"coax_up_to_m": 80.0}, {"heights_m": ()}, {"heights_m": (0.1,)}]
)
def test_a_mounting_that_cannot_be_is_refused(wrong: dict[str, object]) -> None:
    """Given, allowed, and who says so."""
    with pytest.raises(InputError, match="allowed"):
        Mounting(**wrong)  # type: ignore[arg-type]
