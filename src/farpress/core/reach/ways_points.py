"""A few points, each a tile of its own: by machine code where it is at hand, else as plain Python.

Both run the same functions in the same order on the same numbers, and give the same to the last digit; so
nobody has to know which of them it was.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from typing import Any, Final, cast

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.ground_table import GroundTable
from farpress.core.reach.ways_arrays import layout, repeated
from farpress.core.reach.ways_at_hand import Compiled, at_hand
from farpress.core.reach.ways_images import Images
from farpress.core.reach.ways_legs import _TOUCH_M
from farpress.core.reach.ways_packed import Packed
from farpress.core.reach.ways_tiles import _each_tile, _off_walls, _tile
from farpress.core.reach.ways_work import (
    Ahead,
    Hit,
    ListSpan,
    Met,
    Mirrors,
    PointRow,
    Received,
    Scratch,
    Setting,
)
from farpress.sources import Mark, cites

__all__ = ["everything_ahead", "point_by_point"]

_HAIR_M: Final = 1e-3
_MOVED_M: Final = 0.2
"""No point is moved off walls so far [m]."""


@cites("Ways from an aerial to points, as said in `ways`", mark=Mark.COMPUTED)
def point_by_point(
    *,
    points: NDArray[np.float64],
    open_air: NDArray[np.int64],
    setting: Setting,
    rows: Callable[[], Packed],
    seen: Images,
) -> NDArray[Any]:
    """What arrives at each point, rows of `Received`, (n,); images that shine on none of them are left out.

    Args:
        points: (n, 3) [m].
        open_air: what lies in the open at each, (n,).
        setting: the scene in arrays, aerial, ground and wavelength.
        rows: the scene as tuples, when it is first asked for.
        seen: the images of the aerial.
    """
    loops = at_hand()
    spots = [
        PointRow(x, y, z, lies, number)
        for number, ((x, y, z), lies) in enumerate(zip(points.tolist(), open_air.tolist()))
    ]
    if loops is None or _are_beside_walls(np.asarray(setting.scene.walls), points):
        plain = setting._replace(scene=rows())
        for number in range(len(spots)):
            tile, _ = _tile(plain, spots, number, number + 1)
            _off_walls(plain, spots, tile)
    places = np.array([(spot.x, spot.y) for spot in spots]).reshape(-1, 2)
    shining = seen.shining(places)
    singles = int(np.count_nonzero(shining < seen.singles))
    if loops is None:
        images = [seen.rows[number] for number in shining.tolist()]
        return _by_plain_code(setting._replace(scene=rows()), spots, images, singles)
    return _by_machine_code(loops, setting, spots, seen.images[shining], singles)


def _are_beside_walls(walls: NDArray[Any], points: NDArray[np.float64]) -> bool:
    """Whether any point lies in the line of a wall, so that it has to be moved."""
    x, y = points[:, 0, None] - walls["x1"], points[:, 1, None] - walls["y1"]
    return bool((np.abs(x * walls["uy"] - y * walls["ux"]) < _TOUCH_M + _HAIR_M).any())


def _by_plain_code(setting: Setting, spots: list[PointRow], images: Any, singles: int) -> NDArray[Any]:
    everything = len(setting.scene.walls) + len(setting.scene.boxes)
    mirrors = Mirrors(
        images,
        singles,
        [everything_ahead(everything)] * len(images),  # plain code looks nothing up ahead
        [ListSpan(0, everything) for _ in range(len(setting.scene.edges))],
    )
    lists = [*range(everything), *[0] * len(images)]
    hits = [Hit(0, 0.0, 0.0, 0.0) for _ in range(3 * everything + 4)]
    ends = range(len(spots) + 1)
    arrived = [Received(*[0.0] * len(fields(Received))) for _ in spots]
    scratch = Scratch(lists, 0, everything, hits)
    _each_tile(setting, mirrors, spots, ends, ends, Met(0, len(spots)), scratch, arrived)
    row = layout(Received)
    return np.array([tuple(getattr(here, name) for name in row.names or ()) for here in arrived], dtype=row)


def _by_machine_code(
    loops: Compiled, setting: Setting, spots: list[PointRow], images: NDArray[Any], singles: int
) -> NDArray[Any]:
    scene = setting.scene
    everything = len(scene.walls) + len(scene.boxes)
    mirrors: Any = Mirrors(
        cast("Any", images),
        singles,
        cast("Any", repeated(everything_ahead(everything), len(images))),
        cast("Any", repeated(ListSpan(0, everything), len(scene.edges))),
    )
    lists = np.zeros(everything + len(images), dtype=np.int64)
    lists[:everything] = np.arange(everything)
    hits = np.zeros(3 * everything + 4, dtype=layout(Hit))
    rows = np.array([(spot.x, spot.y, spot.z, spot.open_air, spot.block) for spot in spots], layout(PointRow))
    ends = np.arange(len(spots) + 1)
    arrived = np.zeros(len(spots), dtype=layout(Received))
    scratch = Scratch(cast("Any", lists), 0, everything, cast("Any", hits))
    ground = cast("Any", _ground_at(setting, rows, images))
    loops.each_tile(
        setting._replace(ground=ground), mirrors, rows, ends, ends, Met(0, len(spots)), scratch, arrived
    )
    return arrived


def _ground_at(setting: Setting, spots: NDArray[Any], images: NDArray[Any]) -> NDArray[np.float64]:
    """The ground's table where the way from the aerial, or from one of its images, can ask for it."""
    ground = setting.ground
    if not isinstance(ground, GroundTable):
        return np.asarray(ground)
    out = spots[spots["open_air"] > 0]
    x, y = np.append(images["kx"], setting.aerial.x), np.append(images["ky"], setting.aerial.y)
    far = np.hypot(out["x"][:, None] - x, out["y"][:, None] - y).ravel()
    return ground.known_at(np.concatenate([far - _MOVED_M, far, far + _MOVED_M]))


@cites("Ways from an aerial to points, as said in `ways`", mark=Mark.COMPUTED)
def everything_ahead(count: int) -> Ahead:
    """What is known of an image before anything was looked up: its legs may meet everything."""
    return Ahead(1.0, 1.0, 0, count, 0, count, 0, count)
