"""A few points by machine code and as plain Python: the same to the last digit, whatever the scene."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from farpress.core.reach import ways_compiled
from farpress.core.reach.crossings import Panels
from farpress.core.reach.ground_table import ground_table
from farpress.core.reach.scene import Barrier, PathEnd, Scene, SteelBox
from farpress.core.reach.slab import SlabLayer, complex_permittivity
from farpress.core.reach.ways import Around, Ways, around, ways_between
from farpress.core.reach.ways_at_hand import at_hand
from farpress.core.reach.ways_legs import _meet
from farpress.core.reach.ways_packed import WallRow
from farpress.core.reach.ways_work import Hit, Leg, Met, Point
from farpress.kept.store import NO_CACHE
from farpress.reach import map_loops
from helpers.plain_loops import no_machine_code

pytestmark = pytest.mark.long

F = 433.92e6
LAYER = SlabLayer(complex_permittivity(permittivity=3.91, conductivity_s_per_m=0.0208, frequency_hz=F), 0.24)
BUILDS = (
    Barrier("brick", 8.0, 3.0, (LAYER,)),
    Barrier("glass", 2.0, 1.0),
    Barrier("steel", 25.0, 6.0, is_steel=True),
    Barrier("fence", 5.0, 2.0, is_free_standing=True),
)
OUTLINE = np.array([(0.0, 0.0), (9.0, 0.0), (9.0, 7.0), (0.0, 7.0)])

place = st.one_of(st.integers(-4, 24).map(lambda step: step / 2.0), st.floats(-3.0, 12.0))
spot = st.tuples(place, place)
height = st.sampled_from((0.9, 1.1, 2.2, 2.7, 4.1))


@pytest.fixture(scope="module", autouse=True)
def _loops_at_hand(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Built, and kept where only these tests look."""
    with pytest.MonkeyPatch.context() as patch, no_machine_code():
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
        patch.delenv(NO_CACHE)
        patch.delenv(map_loops.LOOPS, raising=False)
        map_loops.warm_up()
        yield


def _scene(walls: list[tuple[Any, ...]], floors: int, tank: bool) -> Scene:
    rows, barriers = [], []
    for (x1, y1), (x2, y2), build, has_opening in walls:
        rows.append((x1, y1, x2, y2, 0.0, 1.8 if build == 3 else 2.8, -1))
        barriers.append(BUILDS[build])
        if has_opening:
            low, high = (np.array([x1, y1]) + share * np.array([x2 - x1, y2 - y1]) for share in (0.3, 0.6))
            rows.append((*low, *high, 0.8, 2.1, len(rows) - 1))
            barriers.append(BUILDS[1])
    data = np.array(rows, dtype=np.float64).reshape(-1, 7)
    panels = Panels(data[:, :2], data[:, 2:4], data[:, 4], data[:, 5], data[:, 6].astype(np.int64))
    outlines = (OUTLINE, None, OUTLINE)[:floors]
    box = SteelBox("tank", np.array([(4.0, 8.0), (6.0, 8.0), (6.0, 9.0), (4.0, 9.0)]), 0.0, 2.0)
    slabs = (BUILDS[0], BUILDS[1], BUILDS[0])[:floors]
    return Scene(panels, tuple(barriers), (0.0, 2.8, 5.6)[:floors], outlines, slabs, (box,) if tank else ())


def _asked(ready: Around, aerial: PathEnd, points: list[tuple[float, float, float]], out: list[bool]) -> Ways:
    return ways_between(
        around=ready, aerial=aerial, points_m=points, over_ground_m=1.1, outdoors=out, compile_it=False
    )


def _values(ways: Ways) -> list[NDArray[np.float64]]:
    return [*(value for value in ways if isinstance(value, np.ndarray)), *ways.shares.values()]


@settings(max_examples=120)
@given(
    st.lists(st.tuples(spot, spot, st.integers(0, 3), st.booleans()), max_size=9),
    st.integers(0, 3),
    st.booleans(),
    st.tuples(place, place, height, st.booleans()),
    st.lists(st.tuples(place, place, height, st.booleans()), min_size=1, max_size=3),
)
def test_machine_code_and_plain_python_give_the_same_to_the_last_digit(
    walls: list[tuple[Any, ...]],
    floors: int,
    tank: bool,
    aerial: tuple[float, float, float, bool],
    points: list[tuple[float, float, float, bool]],
) -> None:
    """Random walls with openings, floors, a tank; ends on a grid of half metres too: in corners, in walls."""
    ready = around(scene=_scene(walls, floors, tank), frequency_hz=F)
    end = PathEnd(aerial[:3], aerial[2], aerial[3])
    places, out = [point[:3] for point in points], [point[3] for point in points]
    fast = _asked(ready, end, places, out)
    with no_machine_code():
        plain = _asked(ready, end, places, out)

    assert np.isfinite(plain.loss_db).all()
    assert all(one_way.tobytes() == other.tobytes() for one_way, other in zip(_values(plain), _values(fast)))


def test_a_leg_along_a_wall_crosses_it_nowhere() -> None:
    """Its ends lie on both sides, by less than any number can be divided by: no crossing, and no fault."""
    wall = WallRow(0.0, -1e-320, 8.0, 1e-320, 1.0, 0.0, 8.0, 0.0, 2.8, 0, 0, 1, 0, 0, 0.0, 0.0, 0)
    leg = Leg(Point(1.0, 0.0, 1.1), Point(6.0, 0.0, 1.1), 0.0, 0.0, -1, -1, 0.0, 1.0)
    cut = wall._replace(x1=3.0, y1=-4.0, x2=3.0, y2=4.0, ux=0.0, uy=1.0)

    assert _meet([wall], [0], Met(0, 1), leg, [Hit(0, 0.0, 0.0, 0.0)], 0) == 0
    assert _meet([cut], [0], Met(0, 1), leg, [Hit(0, 0.0, 0.0, 0.0)], 0) == 1


def test_a_piece_of_the_grounds_table_is_that_of_the_whole() -> None:
    """Pieces are filled in as they are asked for; what nobody asked for is no number."""
    kind = {"frequency_hz": F, "permittivity": 15.0, "conductivity_s_per_m": 0.005}
    table = ground_table(height_a_m=1.234, height_b_m=3.21, **kind)
    some = table.known_at(np.array([0.1, 17.0, 1e6])).copy()
    whole = table.whole()

    known = ~np.isnan(some)
    assert 40 <= known.sum() < len(whole) // 4
    assert (some[known] == whole[known]).all()
    assert not np.isnan(whole).any()
    for far in (0.5, 17.0, 24_000.0):
        assert known[min(int(np.log(far / 0.5) / 0.02), len(whole) - 1)]


def test_loops_that_are_kept_are_found_and_nothing_is_built() -> None:
    """Many ways look for them; where none are kept there are none, and the ways are made as plain Python."""
    taken = list[str]()

    class Kept:
        def take(self, name: str) -> bytes | None:
            taken.append(name)
            return None

        def put(self, name: str, code: bytes) -> None:
            raise AssertionError("something was built")

    with no_machine_code():
        ways_compiled.look_for(Kept())
        assert at_hand() is None
    with no_machine_code():
        ways_compiled.look_for(map_loops.KEPT_LOOPS)
        assert at_hand() is not None
    assert len(taken) == 1
