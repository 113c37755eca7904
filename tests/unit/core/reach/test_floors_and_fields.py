"""Floors met at a flat angle, points in the line of a wall, and fobs held at any angle."""

from __future__ import annotations

import numpy as np
import pytest
import tmm

from farpress.core.reach.crossings import Panels
from farpress.core.reach.scene import Barrier, PathEnd, Scene
from farpress.core.reach.slab import SlabLayer, complex_permittivity, slab_loss_db
from farpress.core.reach.ways import around, many_ways_path, ways_between
from farpress.core.reach.ways_scene import packed_scene

F = 433.92e6
WAVE = 299_792_458.0 / F


def slab(permittivity: float, conductivity: float, thickness_m: float) -> Barrier:
    """One layer; its planning loss is what it loses straight on."""
    eta = complex_permittivity(permittivity=permittivity, conductivity_s_per_m=conductivity, frequency_hz=F)
    layers = (SlabLayer(eta, thickness_m),)
    straight = float(slab_loss_db(layers=layers, angle_deg=0.0, frequency_hz=F, polarisation="te"))
    return Barrier("slab", straight, 2.0, layers)


BRICK, CONCRETE = slab(3.91, 0.0208, 0.24), slab(5.24, 0.0240, 0.20)
STEEL = Barrier("steel", 60.0, 6.0, is_steel=True)


def scene(rows: list[tuple[float, ...]], barriers: list[Barrier]) -> Scene:
    """Walls: x1, y1, x2, y2, base, top, hole in."""
    data = np.array([row[:6] for row in rows], dtype=np.float64).reshape(-1, 6)
    holes = np.array([row[6] for row in rows], dtype=np.int64)
    return Scene(Panels(data[:, 0:2], data[:, 2:4], data[:, 4], data[:, 5], holes), tuple(barriers))


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


def test_a_floor_met_at_a_flat_angle_costs_what_its_layers_lose_there() -> None:
    """200 mm of concrete at 86 deg, where a wall would be cut off at 80 deg: by a second library for thin
    films.
    """
    barrier, angle = CONCRETE, np.arctan2(30.0, 2.1)
    index = complex(np.conj(np.sqrt(barrier.layers[0].permittivity)))
    exact = [
        -10.0
        * np.log10(
            np.mean(
                [
                    tmm.coh_tmm(kind, [1.0, index, 1.0], [np.inf, 0.2, np.inf], turn, WAVE)["T"]
                    for kind in ("s", "p")
                ]
            )
        )
        for turn in (0.0, angle)
    ]
    floor = Scene(scene([], []).panels, (), (1.5,), (None,), (barrier,))
    path = many_ways_path(
        around=around(scene=floor, frequency_hz=F),
        fob=PathEnd((0.0, 0.0, 0.45), 0.45, False),
        aerial=PathEnd((30.0, 0.0, 2.55), 2.55, False),
    )
    crossing = next(term.loss_db for term in path.terms if "floor" in term.says)

    assert crossing == pytest.approx(barrier.loss_db + exact[1] - exact[0], abs=0.1)
    assert crossing > barrier.loss_db + 6.0


def test_a_point_in_the_line_of_a_steel_wall_pays_for_it_once() -> None:
    """Dark as just behind it, not darker: echoes of the room behind still come."""
    room = scene(
        [(10.0, -8.0, 10.0, 8.0, -9.0, 9.0, -1), (14.0, -8.0, 14.0, 8.0, -9.0, 9.0, -1)], [STEEL, STEEL]
    )
    behind = loss(room, (0.0, 1.0, 1.0), (10.051, 2.0, 1.0))

    for off in (-0.04, 0.0, 0.04):
        assert loss(room, (0.0, 1.0, 1.0), (10.0 + off, 2.0, 1.0)) == pytest.approx(behind, abs=1e-6)
    assert loss(room, (0.0, 1.0, 1.0), (9.9, 2.0, 1.0)) < behind - 15.0


def test_a_fob_at_any_angle_has_the_mean_power_of_upright_and_level_waves() -> None:
    """Behind brick at a slant and a floor: half the power of each, each followed all the way."""
    room = scene([(5.0, -9.0, 5.0, 9.0, -9.0, 9.0, -1)], [BRICK])
    mixed = around(scene=room, frequency_hz=F)
    upright = around(scene=room, frequency_hz=F, polarisation="vertical")
    level = around(scene=room, frequency_hz=F, polarisation="level")
    powers = [
        10.0
        ** (
            -ways_between(
                around=ready,
                aerial=PathEnd((0.0, 0.0, 2.0), 2.0, False),
                points_m=[(9.0, 6.0, 1.0)],
                over_ground_m=1.0,
                outdoors=False,
            ).loss_db[0]
            / 10.0
        )
        for ready in (mixed, upright, level)
    ]
    tables = [
        packed_scene(scene=room, frequency_hz=F, polarisation=kind).materials
        for kind in ("vertical", "level")
    ]

    assert powers[0] == pytest.approx((powers[1] + powers[2]) / 2.0, rel=1e-9)
    assert powers[2] > 1.1 * powers[1]
    assert np.asarray(tables[0])["loss"][0][16] > np.asarray(tables[1])["loss"][0][16] + 1.0


@pytest.mark.parametrize("away_m", [6.0, 9.0, 16.0])
@pytest.mark.parametrize("upwards", [True, False])
def test_floors_and_ceilings_of_two_storeys_throw_a_press_through_the_slab_between(
    away_m: float, upwards: bool
) -> None:
    """Three slabs of concrete and no wall: every image in them, both waves, by a second library for thin
    films. The straight way and the first echoes alone are too dark.
    """
    low, middle, high = 0.0, 2.8, 5.6
    a, p = (2.2, 4.0) if upwards else (4.0, 2.2)
    (own, beyond), (at, to) = ((low, high), (a, p)) if upwards else ((high, low), (a, p))
    index = complex(np.conj(np.sqrt(CONCRETE.layers[0].permittivity)))

    def power(before: int, behind: int) -> float:
        up = before * abs(own - middle) + abs(at - (own if before % 2 else middle))
        up += behind * abs(beyond - middle) + abs(to - (beyond if behind % 2 else middle))
        turn, both = float(np.arctan2(away_m, up)), 0.0
        for kind in ("s", "p"):
            found = tmm.coh_tmm(kind, [1.0, index, 1.0], [np.inf, 0.2, np.inf], turn, WAVE)
            both += 0.5 * found["T"] * found["R"] ** (before + behind)
        return both / (away_m**2 + up**2) * (WAVE / (4.0 * np.pi)) ** 2

    exact = sum(power(n, k) for n in range(24) for k in range(24))
    few = sum(power(n, k) for n in range(2) for k in range(2 - n))
    floors = Scene(scene([], []).panels, (), (low, middle, high), (None,) * 3, (CONCRETE,) * 3)
    ours = loss(floors, (0.0, 0.0, a), (away_m, 0.0, p))

    assert ours == pytest.approx(-10.0 * np.log10(exact), abs=0.15)
    assert 10.0 * np.log10(exact / few) > 0.2


def test_a_bare_corridor_guides_a_press_further_than_one_that_is_used() -> None:
    """Concrete on all four sides, 1.8 m wide, at 40 m: held to 3 dB above free space where nothing else is
    said, and above that only as far as is said.
    """
    sides = [(-5.0, y, 60.0, y, 0.0, 2.6, -1) for y in (0.0, 1.8)]
    drawn = scene(sides, [CONCRETE, CONCRETE])
    corridor = Scene(drawn.panels, drawn.panel_barriers, (0.0, 2.6), (None, None), (CONCRETE, CONCRETE))
    free = 20.0 * np.log10(4.0 * np.pi * 40.0 / WAVE)

    def gained(**more: float) -> float:
        found = ways_between(
            around=around(scene=corridor, frequency_hz=F, **more),  # type: ignore[arg-type]
            aerial=PathEnd((0.0, 0.9, 2.2), 2.2, False),
            points_m=[(40.0, 0.6, 1.2)],
            over_ground_m=1.2,
            outdoors=False,
            compile_it=False,
        )
        return float(free - found.loss_db[0])

    assert gained() == pytest.approx(3.01, abs=0.01)
    assert gained(guided_db=4.0) == pytest.approx(4.0, abs=0.01)
    assert 4.0 < gained(guided_db=30.0) < 15.0
