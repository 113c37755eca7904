"""What counts out of doors beside walls: the ground's two rays, its hills, the roof over one end, and streets
round corners.
"""

from __future__ import annotations

import functools
from typing import Final

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.crossings import holds_each, outline_holds
from farpress.core.reach.ground_table import GroundTable, ground_table
from farpress.core.reach.scene import PathEnd, Scene
from farpress.core.reach.street import street_level_loss_db
from farpress.core.reach.terrain import Terrain, profile_costs
from farpress.core.reach.ways_packed import GROUND_FIRST_M, GROUND_STEP
from farpress.sources import Mark, cites

__all__: list[str] = []

STREET_SHARE: Final = 0.9
"""Round corners no more is lost than in 9 of 10 places near street level: our choice, the careful side."""

STREET_M: Final = (40.0, 1000.0)
STREET_HEIGHT_M: Final = 4.0
"""Distances and heights for which that is counted: our choice; the Recommendation is made for aerials 1.9 m
to 3 m high."""

_OVER_GROUND_M: Final = 0.3
_HEIGHT_STEP: Final = 0.2
_SHADOW_DB: Final = 6.0
_FEW: Final = 32
"""Points up to which the ground's tables are asked place by place; measured, our choice."""


@cites(
    "Rec. ITU-R P.1411",
    edition="12",
    place="4.3.1, near street level, 9 of 10 places, as the most that is lost round corners",
    mark=Mark.COPY,
)
def _street_db(
    scene: Scene,
    frequency_hz: float,
    aerial: PathEnd,
    points: NDArray[np.float64],
    over_ground_m: float,
    open_air: NDArray[np.int64],
    straight_db: NDArray[np.float64],
    loss_db: NDArray[np.float64],
) -> NDArray[np.float64]:
    """What scatter along a built-up street takes off the loss, never above 0, (n,) [dB].

    Counts where both ends are out of doors and low, walls block the straight way, and the scene lies
    among buildings: the fronts, vehicles and trees that nobody draws fill deep shadows.
    """
    found = np.zeros(len(points))
    if (
        not scene.street
        or not aerial.is_outdoors
        or max(aerial.over_ground_m, over_ground_m) > STREET_HEIGHT_M
        or len(points) == 0
    ):
        return found
    flat = np.hypot(points[:, 0] - aerial.at_m[0], points[:, 1] - aerial.at_m[1])
    some = (open_air == 2) & (straight_db > _SHADOW_DB) & (flat >= STREET_M[0]) & (flat <= STREET_M[1])
    if some.any():
        steps = np.geomspace(*STREET_M, 40)
        most = [
            street_level_loss_db(
                distance_m=float(distance),
                frequency_hz=frequency_hz,
                share=STREET_SHARE,
                surroundings=scene.street,
            )
            for distance in steps
        ]
        found[some] = np.minimum(np.interp(np.log(flat[some]), np.log(steps), most) - loss_db[some], 0.0)
    return found


@cites("Image of a roof: one end under a drawn slab, the other out of doors", mark=Mark.CHOICE)
def _roofed(
    scene: Scene, aerial: PathEnd, points: NDArray[np.float64], open_air: NDArray[np.int64]
) -> NDArray[np.int64]:
    """1 where one end is indoors under a drawn slab and the other out of doors: then a way leads through that
    slab and over the eaves.
    """
    if not (open_air == 1).any():
        return np.zeros(len(points), dtype=np.int64)
    if aerial.is_outdoors:
        under = np.zeros(len(points), dtype=np.bool_)
        for height, outline in zip(scene.slab_heights_m, scene.slab_outlines):
            if outline is not None:
                under |= (points[:, 2] < height) & holds_each(outline, points[:, :2])
    else:
        under = np.full(
            len(points),
            any(
                aerial.at_m[2] < height
                and outline is not None
                and outline_holds(outline, [(aerial.at_m[0], aerial.at_m[1])])
                for height, outline in zip(scene.slab_heights_m, scene.slab_outlines)
            ),
        )
    return np.asarray(under & (open_air == 1), dtype=np.int64)


@cites(
    "Rec. ITU-R P.526", place="hills; two rays over the smooth ground that fits the profile", mark=Mark.MEMORY
)
def _terrain_db(
    scene: Scene,
    frequency_hz: float,
    aerial: PathEnd,
    points: NDArray[np.float64],
    over_ground_m: float,
    open_air: NDArray[np.int64],
) -> NDArray[np.float64]:
    """What the ground's shape adds, where an end is out of doors and both stand over the ground: hills, and
    other heights over the slope there is.
    """
    terrain, ground = scene.terrain, (scene.ground_permittivity, scene.ground_conductivity_s_per_m)
    if terrain.is_plane or len(points) == 0:
        return np.zeros(len(points))
    if len(points) > 1:
        return _hills_db(terrain, ground, frequency_hz, aerial, points, over_ground_m, open_air)
    x, y, z = points[0].tolist()
    return np.array(
        [_hill_db(terrain, ground, frequency_hz, aerial, (x, y, z), over_ground_m, int(open_air[0]))]
    )


@functools.lru_cache(maxsize=8192)
def _hill_db(
    terrain: Terrain,
    ground: tuple[float, float],
    frequency_hz: float,
    aerial: PathEnd,
    point_m: tuple[float, float, float],
    over_ground_m: float,
    open_air: int,
) -> float:
    """The same for one point: walls are not in it, so a change of one leaves it as it is."""
    points, lies = np.array([point_m]), np.array([open_air])
    return float(_hills_db(terrain, ground, frequency_hz, aerial, points, over_ground_m, lies)[0])


def _hills_db(
    terrain: Terrain,
    ground: tuple[float, float],
    frequency_hz: float,
    aerial: PathEnd,
    points: NDArray[np.float64],
    over_ground_m: float,
    open_air: NDArray[np.int64],
) -> NDArray[np.float64]:
    found = np.zeros(len(points))
    over = np.asarray(points[:, 2] - terrain.height_m(points[:, 0], points[:, 1]))
    if aerial.at_m[2] - float(terrain.height_m(aerial.at_m[0], aerial.at_m[1])) < _OVER_GROUND_M:
        return found
    some = np.flatnonzero((open_air > 0) & (over >= _OVER_GROUND_M))
    if some.size == 0:
        return found
    costs = profile_costs(
        terrain=terrain, aerial_m=aerial.at_m, points_m=points[some], frequency_hz=frequency_hz
    )
    flat = np.hypot(points[some, 0] - aerial.at_m[0], points[some, 1] - aerial.at_m[1])
    step = np.log(np.maximum(flat, GROUND_FIRST_M) / GROUND_FIRST_M) / GROUND_STEP

    def table(step_a: int, step_p: int) -> GroundTable:
        return ground_table(
            height_a_m=float(np.exp(_HEIGHT_STEP * step_a)),
            height_b_m=float(np.exp(_HEIGHT_STEP * step_p)),
            frequency_hz=frequency_hz,
            permittivity=ground[0],
            conductivity_s_per_m=ground[1],
        )

    def power(steps_a: NDArray[np.int64], steps_p: NDArray[np.int64]) -> NDArray[np.float64]:
        low = np.minimum(step.astype(np.int64), len(table(0, 0)) - 2)
        if len(some) <= _FEW:
            rows = [table(a, p) for a, p in zip(steps_a.tolist(), steps_p.tolist())]
            here, farther = (
                np.array([row[place] for row, place in zip(rows, places)])
                for places in (low.tolist(), (low + 1).tolist())
            )
        else:
            pairs, which = np.unique(np.stack([steps_a, steps_p], axis=1), axis=0, return_inverse=True)
            tables = np.array([table(a, p).whole() for a, p in pairs.tolist()])
            here, farther = tables[which.reshape(-1), low], tables[which.reshape(-1), low + 1]
        return np.asarray(10.0 * np.log10(here + (farther - here) * (step - low)))

    steps = [
        np.log(np.maximum(height, 0.05)) / _HEIGHT_STEP
        for height in (
            costs.aerial_m,
            costs.points_m,
            np.full(len(some), max(aerial.over_ground_m, 0.05)),
            np.full(len(some), max(over_ground_m, 0.05)),
        )
    ]
    gains = []
    for a, p in (steps[:2], steps[2:]):
        (a0, p0), (wa, wp) = (np.floor(a).astype(np.int64), np.floor(p).astype(np.int64)), (a % 1.0, p % 1.0)
        gains.append(
            sum(
                share * power(a0 + da, p0 + dp)
                for da, dp, share in (
                    (0, 0, (1 - wa) * (1 - wp)),
                    (1, 0, wa * (1 - wp)),
                    (0, 1, (1 - wa) * wp),
                    (1, 1, wa * wp),
                )
            )
        )
    # behind an edge what comes over it counts, and no longer what the ground would throw on from end to end
    found[some] = costs.lost_db + gains[1] - gains[0] * (1.0 - costs.edge_share)
    return found
