"""Every way between two ends: worked by hand, against exact integrals, and against itself turned round."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.special import fresnel

from farpress.core.reach import (
    ways_compiled,
    ways_echoes,
    ways_edges,
    ways_kernel,
    ways_run,
    ways_thrown,
    ways_tiles,
)
from farpress.core.reach.crossings import Panels
from farpress.core.reach.free_space import free_space_loss_db
from farpress.core.reach.knife_edge import diffraction_parameter, knife_edge_loss_db
from farpress.core.reach.scene import Barrier, PathEnd, Scene, SteelBox
from farpress.core.reach.shelter import sheltered
from farpress.core.reach.slab import SlabLayer, complex_permittivity, slab_loss_db, slab_power
from farpress.core.reach.ways import Ways, around, many_ways_path, ways_between
from farpress.core.reach.ways_at_hand import Compiled
from farpress.core.reach.ways_scene import echo_and_loss
from farpress.errors import InputError
from helpers.plain_loops import no_machine_code, plain

F = 433.92e6
WAVE = 299_792_458.0 / F
BRICK_LAYERS = (
    SlabLayer(complex_permittivity(permittivity=3.91, conductivity_s_per_m=0.0208, frequency_hz=F), 0.24),
)
BRICK = Barrier("brick", 8.0, 3.0, BRICK_LAYERS)
STEEL = Barrier("steel", 60.0, 6.0, is_steel=True)

FAINT_IN = (ways_kernel, ways_echoes, ways_thrown, ways_edges)

Row = tuple[float, float, float, float, float, float, int]


def scene(rows: list[Row], barriers: list[Barrier | None], **more: object) -> Scene:
    """A scene of panels: x1, y1, x2, y2, base, top, hole in."""
    data = np.array([row[:6] for row in rows], dtype=np.float64).reshape(-1, 6)
    panels = Panels(
        data[:, 0:2], data[:, 2:4], data[:, 4], data[:, 5], np.array([row[6] for row in rows], dtype=np.int64)
    )
    return Scene(panels, tuple(barriers), **more)  # type: ignore[arg-type]


def loss(of: Scene, a: tuple[float, float, float], p: tuple[float, float, float]) -> float:
    """All ways between two ends indoors."""
    found = ways_between(
        around=around(scene=of, frequency_hz=F),
        aerial=PathEnd(a, a[2], False),
        points_m=[p],
        over_ground_m=p[2],
        outdoors=False,
        compile_it=False,
    )
    return float(found.loss_db[0])


def test_without_walls_it_is_free_space() -> None:
    """Nothing to bounce off, nothing in the way."""
    assert loss(scene([], []), (0.0, 0.0, 2.0), (6.0, 8.0, 2.0)) == pytest.approx(
        float(free_space_loss_db(distance_m=10.0, frequency_hz=F)), abs=1e-9
    )


def test_one_wall_beside_adds_one_echo_by_the_image() -> None:
    """Wall at y = 0, both ends 3 m off and 8 m apart: the echo runs 10 m at 53.13 degrees."""
    wall = scene([(-50.0, 0.0, 50.0, 0.0, -9.0, 9.0, -1)], [BRICK])
    back = np.mean(
        [
            float(
                slab_power(
                    layers=BRICK_LAYERS,
                    angle_deg=np.degrees(np.arctan2(4.0, 3.0)),
                    frequency_hz=F,
                    polarisation=kind,
                ).back
            )
            for kind in ("te", "tm")
        ]
    )
    gain = (WAVE / (4 * np.pi)) ** 2 * (1.0 / 8.0**2 + back / 10.0**2)

    assert loss(wall, (0.0, 3.0, 1.0), (8.0, 3.0, 1.0)) == pytest.approx(-10.0 * np.log10(gain), abs=0.02)


def test_two_parallel_walls_give_the_second_images() -> None:
    """A corridor 4 m wide: direct, and every echo between its two faces of steel, by hand."""
    corridor = scene(
        [(-90.0, 0.0, 90.0, 0.0, -9.0, 9.0, -1), (-90.0, 4.0, 90.0, 4.0, -9.0, 9.0, -1)], [STEEL, STEEL]
    )
    whole = 1.0 / 4.0 + sum(2 * 0.95**n / (4.0 + (4.0 * n) ** 2) for n in range(1, 40))

    assert loss(corridor, (0.0, 2.0, 1.0), (2.0, 2.0, 1.0)) == pytest.approx(
        -10.0 * np.log10((WAVE / (4 * np.pi)) ** 2 * whole), abs=0.02
    )


def test_behind_the_end_of_a_steel_wall_comes_what_the_knife_edge_leaves() -> None:
    """Half-way on a 20 m line, 1 m inside the free end of a long steel wall."""
    wall = scene([(0.0, -1.0, 0.0, 400.0, -50.0, 50.0, -1)], [STEEL])
    found = loss(wall, (-10.0, 0.0, 1.0), (10.0, 0.0, 1.0)) - float(
        free_space_loss_db(distance_m=20.0, frequency_hz=F)
    )
    edge = float(
        knife_edge_loss_db(
            parameter=diffraction_parameter(height_m=1.0, before_m=10.0, behind_m=10.0, frequency_hz=F)
        )
    )

    assert found == pytest.approx(edge, abs=0.8)  # the detour is counted from a hand's width off the edge


@pytest.mark.parametrize("aside", [0.0, 0.6, 2.0])
def test_through_a_slot_in_steel_comes_what_the_fresnel_integrals_say(aside: float) -> None:
    """A slot 1 m wide from floor to ceiling; the ray through its middle, its rim, the steel beside it."""
    slot = scene(
        [
            (0.0, -200.0, 0.0, 200.0, -200.0, 200.0, -1),
            (0.0, aside - 0.5, 0.0, aside + 0.5, -200.0, 200.0, 0),
        ],
        [STEEL, None],
    )
    k = np.sqrt(2.0 / WAVE * (1 / 10.0 + 1 / 10.0))
    (s1, c1), (s2, c2) = fresnel(k * (aside - 0.5)), fresnel(k * (aside + 0.5))
    exact = -10.0 * np.log10(((c2 - c1) ** 2 + (s2 - s1) ** 2) / 2.0)
    found = loss(slot, (-10.0, 0.0, 1.0), (10.0, 0.0, 1.0)) - float(
        free_space_loss_db(distance_m=20.0, frequency_hz=F)
    )

    assert found == pytest.approx(max(exact, 0.0), abs=0.12)


def test_a_steel_door_in_a_brick_wall_does_not_shut_the_house() -> None:
    """The wave also comes through the bricks round the door: between the bricks' loss and the steel's."""
    door = scene(
        [(0.0, -6.0, 0.0, 6.0, -3.0, 3.0, -1), (0.0, -1.0, 0.0, 1.0, -3.0, 2.2, 0)],
        [BRICK, Barrier("steel door", 25.0, 6.0, is_steel=True)],
    )
    extra = loss(door, (-5.0, 0.0, 1.0), (5.0, 0.0, 1.0)) - float(
        free_space_loss_db(distance_m=10.0, frequency_hz=F)
    )

    assert 10.0 < extra < 25.0


def test_losses_and_echoes_at_an_angle_are_those_of_the_layers() -> None:
    """With the planning value straight through equal to the slab's, the table is the slab's own."""
    plain = Barrier(
        "brick",
        float(slab_loss_db(layers=BRICK_LAYERS, angle_deg=0.0, frequency_hz=F, polarisation="te")),
        3.0,
        BRICK_LAYERS,
    )
    through, echo = echo_and_loss(barrier=plain, frequency_hz=F, polarisation="te")
    angle = np.degrees(np.arccos(0.5))

    assert through[32] == pytest.approx(
        float(slab_loss_db(layers=BRICK_LAYERS, angle_deg=angle, frequency_hz=F, polarisation="te")), abs=1e-9
    )
    assert echo[32] == pytest.approx(
        float(slab_power(layers=BRICK_LAYERS, angle_deg=angle, frequency_hz=F, polarisation="te").back),
        abs=1e-9,
    )


def test_a_press_crosses_a_floor_and_its_ceiling_throws_it_back() -> None:
    """A slab between costs its loss; a slab under both ends adds an echo."""
    between = scene([], [], slab_heights_m=(2.8,), slab_outlines=(None,), slab_barriers=(BRICK,))
    under = scene([], [], slab_heights_m=(0.0,), slab_outlines=(None,), slab_barriers=(BRICK,))
    free = float(free_space_loss_db(distance_m=3.0, frequency_hz=F))

    assert loss(between, (0.0, 0.0, 1.0), (0.0, 0.0, 4.0)) == pytest.approx(free + 8.0, abs=1e-6)
    assert loss(under, (0.0, 0.0, 1.0), (3.0, 0.0, 1.0)) < free


def test_over_a_garden_wall_and_round_a_tank() -> None:
    """Out of doors: a steel fence 3 m high costs its knife edge at most, a tank is gone round."""
    fence = scene(
        [(0.0, -300.0, 0.0, 300.0, -5.0, 3.0, -1)],
        [Barrier("steel fence", 60.0, 6.0, is_steel=True, is_free_standing=True)],
    )
    tank = scene(
        [],
        [],
        boxes=(SteelBox("tank", np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]), 0.0, 3.0),),
    )
    for of, most in ((fence, 18.0), (tank, 18.0)):
        ready = around(scene=of, frequency_hz=F)
        ends = PathEnd((-15.0, 0.0, 1.5), 1.5, True), PathEnd((15.0, 0.0, 1.5), 1.5, True)
        found = many_ways_path(around=ready, fob=ends[0], aerial=ends[1])
        free = many_ways_path(around=around(scene=scene([], []), frequency_hz=F), fob=ends[0], aerial=ends[1])
        assert 3.0 < found.loss_db - free.loss_db < most
        assert sum(term.loss_db for term in found.terms) == pytest.approx(found.loss_db)


coordinates = st.floats(-12.0, 12.0)
pieces = st.lists(
    st.tuples(
        coordinates,
        coordinates,
        coordinates,
        coordinates,
        st.sampled_from([BRICK, STEEL, Barrier("board", 2.0, 1.0)]),
    ),
    max_size=7,
)
ends = st.tuples(coordinates, coordinates, st.floats(0.3, 2.5))


@settings(max_examples=60, deadline=None)
@given(walls=pieces, a=ends, p=ends)
def test_there_and_back_cost_the_same_and_nothing_is_none(
    walls: list[tuple[float, float, float, float, Barrier]],
    a: tuple[float, float, float],
    p: tuple[float, float, float],
) -> None:
    """Turned round, the loss is the same (faint ways may be dropped differently); never better than free
    space by more than 3 dB.
    """
    for wall in walls:
        first, along = np.array(wall[:2]), np.array(wall[2:4]) - wall[:2]
        for end in (a, p):
            share = np.clip((end[:2] - first) @ along / max(float(along @ along), 1e-12), 0.0, 1.0)
            assume(float(np.hypot(*(first + share * along - end[:2]))) > 0.3)
    rows = [(*wall[:4], 0.0, 2.8, -1) for wall in walls]
    house = scene(
        rows,
        [wall[4] for wall in walls],
        slab_heights_m=(0.0, 2.8),
        slab_outlines=(None, None),
        slab_barriers=(BRICK, BRICK),
    )
    there, back = loss(house, a, p), loss(house, p, a)
    free = float(
        free_space_loss_db(distance_m=max(float(np.linalg.norm(np.subtract(a, p))), 0.5), frequency_hz=F)
    )

    assert np.isfinite(there)
    assert there >= free - 3.0103
    assert there == pytest.approx(back, abs=0.6)


def test_a_wall_of_no_length_and_an_end_in_a_wall_are_survived() -> None:
    """A point wall counts as none; a place drawn on a wall has it in its way from either side."""
    odd = scene([(1.0, 1.0, 1.0, 1.0, 0.0, 2.8, -1), (5.0, -5.0, 5.0, 5.0, 0.0, 2.8, -1)], [BRICK, BRICK])

    free = float(free_space_loss_db(distance_m=5.0, frequency_hz=F))
    assert loss(odd, (0.0, 0.0, 1.0), (5.0, 0.0, 1.0)) > free + 6.0
    assert loss(odd, (10.0, 0.0, 1.0), (5.0, 0.0, 1.0)) > free + 6.0


@pytest.mark.parametrize("point", [(float("nan"), 0.0, 1.0), (0.0, float("inf"), 1.0), (30_000.0, 0.0, 1.0)])
def test_points_that_cannot_be_are_refused_in_words(point: tuple[float, float, float]) -> None:
    """No number, or tens of kilometres away: the message says what to do."""
    with pytest.raises(InputError, match=r"metres|scale"):
        loss(scene([], []), (0.0, 0.0, 1.0), point)


def test_an_unclosed_room_is_a_room_and_a_yard_is_not() -> None:
    """One missing corner is forgiven; three walls of a yard, and a free-standing wall all round, are no
    house.
    """
    corners = [(0.0, 0.0), (6.0, 0.0), (6.0, 5.0), (0.0, 5.0)]
    sides: list[Row] = [(*a, *b, 0.0, 2.8, -1) for a, b in zip(corners, corners[1:] + corners[:1])]
    unclosed = [*sides[:3], (0.0, 5.0, 0.0, 0.6, 0.0, 2.8, -1)]
    low = Barrier("garden wall", 8.0, 3.0, is_free_standing=True)
    inside, outside = (3.0, 2.5, 1.0), (9.0, 2.5, 1.0)

    assert sheltered(scene=scene(unclosed, [BRICK] * 4), points_m=[inside, outside]).tolist() == [True, False]
    assert sheltered(scene=scene(sides[:2], [BRICK] * 2), points_m=[inside]).tolist() == [False]
    assert sheltered(scene=scene(sides, [low] * 4), points_m=[inside]).tolist() == [False]
    assert sheltered(scene=scene(sides, [BRICK] * 4), points_m=[(3.0, 2.5, 5.0)]).tolist() == [False]


def test_what_faint_ways_left_out_could_bring_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    """A house of eight rooms: with every way followed to its end the loss is less, by no more than was said
    to be left out.
    """
    rows: list[Row] = [(4.0 * x, 0.0, 4.0 * x, 8.0, 0.0, 2.8, -1) for x in range(5)] + [
        (0.0, 4.0 * y, 16.0, 4.0 * y, 0.0, 2.8, -1) for y in range(3)
    ]
    house = scene(
        rows, [BRICK] * 8, slab_heights_m=(0.0, 2.8), slab_outlines=(None, None), slab_barriers=(BRICK, BRICK)
    )
    ready, points = (
        around(scene=house, frequency_hz=F),
        [(x, y, 1.2) for x in (2.5, 6.1, 14.8) for y in (1.3, 6.6)],
    )

    def found() -> Ways:
        return ways_between(
            around=ready,
            aerial=PathEnd((1.1, 1.7, 2.2), 2.2, False),
            points_m=points,
            over_ground_m=1.2,
            outdoors=False,
            compile_it=False,
        )

    with no_machine_code():  # which has its own limit
        usual = found()
        for module in FAINT_IN:
            monkeypatch.setattr(module, "_FAINT", 1e-12)
        every = found()

    assert (usual.loss_db - every.loss_db).max() > 0.001
    assert (usual.loss_db >= every.loss_db - 1e-9).all()
    assert (
        usual.loss_db - every.loss_db <= usual.left_out_db * 2.0
    ).all()  # the series of higher echoes at most doubles what is left out


@pytest.mark.long
def test_what_a_tile_leaves_out_is_bounded_on_the_other_storey_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two storeys of rooms with doors and coated panes: tile by tile no way is dropped that could bring more
    than was said.
    """
    pane, board = Barrier("coated pane", 22.0, 4.0), Barrier("board", 1.5, 1.0, BRICK_LAYERS)
    rows: list[Row] = []
    for low in (0.0, 2.8):
        for x1, y1, x2, y2 in (
            (0, 0, 0, 8),
            (12, 0, 12, 8),
            (0, 0, 12, 0),
            (0, 8, 12, 8),
            (4, 0, 4, 8),
            (8, 0, 8, 8),
            (0, 4, 12, 4),
        ):
            rows.append((float(x1), float(y1), float(x2), float(y2), low, low + 2.8, -1))
            at = len(rows) - 1
            rows.append(
                (
                    x1 + 1.5 * (x2 > x1),
                    y1 + 1.5 * (y2 > y1),
                    x1 + 2.6 * (x2 > x1),
                    y1 + 2.6 * (y2 > y1),
                    low + 0.9 * (at % 4 == 0),
                    low + 2.1,
                    at,
                )
            )
    fills = [
        BRICK if row[6] < 0 and n % 8 < 4 else board if row[6] < 0 else pane if n % 4 == 1 else None
        for n, row in enumerate(rows)
    ]
    house = scene(
        rows, fills, slab_heights_m=(0.0, 2.8, 5.6), slab_outlines=(None,) * 3, slab_barriers=(BRICK,) * 3
    )
    ready = around(scene=house, frequency_hz=F)
    x, y = np.meshgrid(np.linspace(0.3, 11.7, 8), np.linspace(0.3, 7.7, 6))
    monkeypatch.setattr(
        ways_compiled, "BUILT", [Compiled(plain(ways_tiles._each_tile), plain(ways_tiles._look_ahead))]
    )
    monkeypatch.setattr(ways_run, "_TILE", 8)

    def found(height_m: float, by_tiles: bool) -> Ways:
        points = np.stack([x.ravel(), y.ravel(), np.full(x.size, height_m)], axis=1)
        return ways_between(
            around=ready,
            aerial=PathEnd((1.1, 1.7, 2.2), 2.2, False),
            points_m=points,
            over_ground_m=1.2,
            outdoors=False,
            compile_it=by_tiles,
        )

    usual = [found(height, True) for height in (1.2, 4.0)]
    for module in FAINT_IN:
        monkeypatch.setattr(module, "_FAINT", 1e-12)
    with no_machine_code():  # which has its own limit
        every = [found(height, False) for height in (1.2, 4.0)]

    for some, whole in zip(usual, every):
        missing = some.loss_db - whole.loss_db
        assert missing.max() > 0.001
        assert (missing >= -1e-9).all()
        assert (missing <= some.left_out_db * 2.0).all()


def test_out_of_a_steel_hall_the_roof_leads_when_it_is_drawn() -> None:
    """Steel walls all round under a thin roof slab: through it and over the eaves comes more than without a
    roof drawn.
    """
    corners = [(0.0, 0.0), (12.0, 0.0), (12.0, 10.0), (0.0, 10.0)]
    sides: list[Row] = [(*a, *b, 0.0, 4.0, -1) for a, b in zip(corners, corners[1:] + corners[:1])]
    board = Barrier("roof board", 2.0, 1.0)
    bare = scene(sides, [STEEL] * 4)
    roofed = scene(
        sides, [STEEL] * 4, slab_heights_m=(4.0,), slab_outlines=(np.array(corners),), slab_barriers=(board,)
    )
    inside, yard = PathEnd((6.0, 5.0, 2.0), 2.0, False), PathEnd((30.0, 5.0, 1.2), 1.2, True)
    for a, b in ((inside, yard), (yard, inside)):
        found = [
            ways_between(
                around=around(scene=one, frequency_hz=F),
                aerial=a,
                points_m=[b.at_m],
                over_ground_m=b.over_ground_m,
                outdoors=[b.is_outdoors],
                compile_it=False,
            )
            for one in (bare, roofed)
        ]

        assert found[0].shares["over the top"][0] == 0.0
        assert found[1].shares["over the top"][0] > 0.3
        assert found[1].loss_db[0] < found[0].loss_db[0]


def test_nothing_slips_out_through_the_line_where_two_walls_meet() -> None:
    """Drawn in round numbers, an echo hits exactly the corner of a closed steel room: it stays inside."""
    corners = [(0.0, 0.0), (12.0, 0.0), (12.0, 10.0), (0.0, 10.0)]
    closed = scene([(*a, *b, 0.0, 4.0, -1) for a, b in zip(corners, corners[1:] + corners[:1])], [STEEL] * 4)
    free = float(free_space_loss_db(distance_m=24.0, frequency_hz=F))

    assert loss(closed, (6.0, 5.0, 2.0), (30.0, 5.0, 1.2)) > free + 50.0


def test_a_slab_on_the_ground_is_not_counted_beside_the_ground() -> None:
    """Out of doors over a slab at the ground's height: the two rays of the ground stand for it, nothing is
    added twice.
    """
    paved = scene([], [], slab_heights_m=(0.0,), slab_outlines=(None,), slab_barriers=(BRICK,))
    for one in (paved, scene([], [])):
        found = ways_between(
            around=around(scene=one, frequency_hz=F),
            aerial=PathEnd((0.0, 0.0, 3.0), 3.0, True),
            points_m=[(25.0, 0.0, 1.2)],
            over_ground_m=1.2,
            outdoors=True,
        )
        assert found.shares["reflected"][0] == 0.0
        assert found.strongest_share[0] == pytest.approx(1.0)
