"""Maps for other programs: what goes out comes back, and a picture lies where its world file says."""

from __future__ import annotations

import io
import json
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from farpress.core.reach.field import ReachMap
from farpress.errors import InputError
from farpress.papers.drawings.map_exchange import map_geojson, world_file, written_cells
from farpress.papers.drawings.reach_map import map_png
from farpress.reach.maps_together import weakest_of

X, Y = np.linspace(0.5, 19.5, 20), np.linspace(0.5, 9.5, 10)


def a_map(receiver: str, chance: np.ndarray, **more: object) -> ReachMap:  # type: ignore[type-arg]
    """A made-up map of 20 x 10 cells with a steel wall at x = 12 m, from 1 m to 9 m."""
    everywhere = np.ones((10, 20), dtype=np.bool_)
    found = ReachMap(
        premises="larkfen",
        receiver=receiver,
        group="family",
        level="ground",
        held="in hand",
        x_m=X,
        y_m=Y,
        chance=chance,
        margin_db=30.0 * chance,
        spread_db=np.full((10, 20), 8.0),
        indoors=everywhere,
        stands=everywhere,
        walls=((((12.0, 1.0), (12.0, 9.0)), True),),
        places=(("kitchen", 5.0, 5.0),),
        aerial_m=(3.0, 3.0, 2.0),
        left_out_db=(0.1, 0.4),
    )
    return replace(found, **more)  # type: ignore[arg-type]


FALLING = np.tile(np.linspace(1.0, 0.0, 20), (10, 1))


@settings(max_examples=15)
@given(st.lists(st.floats(0.0, 1.0), min_size=200, max_size=200), st.integers(0, 199))
def test_what_goes_out_as_geojson_comes_back(chances: list[float], nobody: int) -> None:
    """Every cell where somebody can stand, of every receiver, at its place."""
    stands = np.ones(200, dtype=np.bool_)
    stands[nobody] = False
    first = a_map("R1", np.array(chances).reshape(10, 20), stands=stands.reshape(10, 20))
    second = a_map("R2", FALLING)

    back = written_cells(map_geojson([first, second]))

    assert set(back) == {"larkfen/R1", "larkfen/R2"}
    for found in (first, second):
        cells = back[f"larkfen/{found.receiver}"]
        assert len(cells) == int(found.stands.sum())
        for (row, column), there in np.ndenumerate(found.stands):
            if there:
                assert cells[float(X[column]), float(Y[row])] == pytest.approx(
                    found.chance[row, column], abs=1e-5
                )


def test_geojson_has_the_shape_that_rfc_7946_asks_for_and_tells_what_is_left_out() -> None:
    """Sections 3.1 to 3.3 (from memory): a collection of features, each with a geometry and properties."""
    whole = json.loads(map_geojson([a_map("R1", FALLING, notes=("wall 3 is unknown",))]))

    assert whole["type"] == "FeatureCollection"
    assert whole["open"] == {"larkfen/R1": ["wall 3 is unknown"]}
    assert whole["left_out_db"] == {"larkfen/R1": [0.1, 0.4]}
    assert "not degrees" in whole["says"]
    depth = {"Point": 1, "LineString": 2}
    for feature in whole["features"]:
        assert feature["type"] == "Feature"
        assert isinstance(feature["properties"], dict)
        assert np.ndim(feature["geometry"]["coordinates"]) == depth[feature["geometry"]["type"]]
    shown = {feature["properties"]["shows"] for feature in whole["features"]}
    assert shown == {"cell", "line of equal chance", "aerial", "wall", "place"}


@pytest.mark.parametrize("text", ["", "[]", '{"features": [1]}', '{"features": [{"properties": {}}]}'])
def test_what_is_no_map_is_refused(text: str) -> None:
    """In words, not by a traceback."""
    with pytest.raises(InputError, match="FeatureCollection"):
        written_cells(text)


@pytest.mark.parametrize("deep_m", [10.0, 90.0])
def test_a_picture_lies_where_its_world_file_says(deep_m: float) -> None:
    """The dots of a steel wall, found by another library, on a wide sheet and on a high one."""
    wall = ((12.0, 0.1 * deep_m), (12.0, 0.9 * deep_m))
    y = Y * deep_m / 10.0
    found = a_map(
        "R1", np.full((10, 20), 0.2), y_m=y, walls=((wall, True),), places=(), aerial_m=(3.0, 3.0, 2.0)
    )
    png = map_png(found)
    step_x, turn, turn_too, step_y, west, north = (float(row) for row in world_file(found, png).split())
    dots = np.asarray(Image.open(io.BytesIO(png)).convert("RGB")).astype(int)
    rows, columns = np.nonzero(np.abs(dots - (0x7A, 0x1F, 0x2B)).sum(axis=2) < 30)

    assert turn == turn_too == 0.0
    assert step_y == -step_x
    assert west + step_x * columns.mean() == pytest.approx(12.0, abs=2.0 * step_x)
    assert north + step_y * rows.min() == pytest.approx(0.9 * deep_m, abs=3.0 * step_x)
    assert north + step_y * rows.max() == pytest.approx(0.1 * deep_m, abs=3.0 * step_x)


def test_of_several_receivers_the_one_heard_worst_counts_at_each_spot() -> None:
    """Falling from west and from east: the lesser; a note of one receiver bears its name."""
    first = a_map("R1", FALLING, notes=("wall 3", "coax"))
    second = a_map(
        "R2", FALLING[:, ::-1], notes=("wall 3",), aerial_m=(17.0, 3.0, 2.0), left_out_db=(0.3, 0.2)
    )

    both = weakest_of([first, second])

    assert np.array_equal(both.chance, np.minimum(FALLING, FALLING[:, ::-1]))
    assert np.array_equal(both.margin_db, 30.0 * both.chance)
    assert both.receiver == "R1 and R2"
    assert both.notes == ("wall 3", "R1: coax")
    assert both.left_out_db == (0.3, 0.4)
    assert both.more_aerials_m == ((17.0, 3.0, 2.0),)
    assert weakest_of([first]) is first


def test_maps_of_other_ground_are_not_laid_over_each_other() -> None:
    """Another level, other cells."""
    first = a_map("R1", FALLING)
    for other in (a_map("R2", FALLING, level="upper"), a_map("R2", FALLING, x_m=X + 0.1)):
        with pytest.raises(InputError, match="same ground"):
            weakest_of([first, other])
