"""From points and an aerial to the loops of `ways` and back: as machine code in tiles of neighbours, or as
plain Python point by point.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Final, NamedTuple, cast

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.ground_table import GroundTable
from farpress.core.reach.ways_arrays import layout, repeated
from farpress.core.reach.ways_images import Mirrored
from farpress.core.reach.ways_packed import Packed
from farpress.core.reach.ways_points import everything_ahead, point_by_point
from farpress.core.reach.ways_tiles import Extent
from farpress.core.reach.ways_work import Area, ListSpan, Mirrors, Point, PointRow, Setting
from farpress.sources import Mark, cites

if TYPE_CHECKING:
    from farpress.core.reach.ways_compiled import KeptCode

__all__ = ["WaysRequest", "received"]

_WORTH_COMPILING: Final = 3e5
_LISTS_AT_MOST: Final = 8_000_000
_TILE: Final = 64
_SIDE: Final = 4


class WaysRequest(NamedTuple):
    """What is asked of the loops: the scene in arrays and, when first asked for, in rows; aerial, points
    (n, 3), what lies in the open at each (n,), the ground's table, the wavelength [m], and the most
    that arrives against free space; the images of the
    aerial are found in `mirrored`.
    """

    packed: Packed
    rows: Callable[[], Packed]
    mirrored: Mirrored
    aerial: Point
    points: NDArray[np.float64]
    open_air: NDArray[np.int64]
    ground: GroundTable
    wave_m: float
    most: float

    @property
    def lowest_m(self) -> float:
        """The lowest of aerial and points [m]."""
        return float(np.min(self.points[:, 2], initial=self.aerial.z))

    @property
    def highest_m(self) -> float:
        """The highest of aerial and points [m]."""
        return float(np.max(self.points[:, 2], initial=self.aerial.z))


@cites("Ways from an aerial to points, as said in `ways`", mark=Mark.COMPUTED)
def received(
    *,
    asked: WaysRequest,
    compile_it: bool | None,
    progress: Callable[[int, int], object] | None,
    kept: KeptCode | None = None,
) -> NDArray[Any]:
    """What arrives at each point: rows of `Received`, (n,).

    Args:
        asked: scene, aerial and points.
        compile_it: in tiles, by machine code (True), point by point (False), or by the size of the work.
        progress: told (done, of) now and then while machine code runs; may raise to cancel.
        kept: where machine code is looked for and left.
    """
    seen = asked.mirrored.of(asked.aerial, asked.lowest_m, asked.highest_m)
    if compile_it is None:
        compile_it = _work(asked.packed, len(asked.points), len(seen.images)) > _WORTH_COMPILING
    if compile_it:
        return _by_machine(asked, seen.images, seen.singles, progress, kept)
    return point_by_point(
        points=asked.points,
        open_air=asked.open_air,
        setting=Setting(asked.packed, asked.aerial, asked.ground, asked.wave_m, -1, asked.most),
        rows=asked.rows,
        seen=seen,
    )


def _work(packed: Packed, points: int, images_: int) -> float:
    """How much work a map is, in units of our own: points times what each of them asks for."""
    walls, slabs, edges = len(packed.walls), len(packed.slabs), len(packed.edges)
    return points * (0.4 * images_ + 10.0 * walls * (1.0 + slabs) + 40.0 * edges)


def _by_machine(
    asked: WaysRequest,
    found: NDArray[Any],
    singles: int,
    progress: Callable[[int, int], object] | None,
    kept: KeptCode | None,
) -> NDArray[Any]:
    """What arrives at each point, by machine code, in tiles of neighbours."""
    from farpress.core.reach.ways_compiled import run_compiled

    packed = asked.packed
    count, edges = len(packed.walls) + len(packed.boxes), len(packed.edges)
    order, blocks, firsts, groups = _tiles(asked.points, asked.wave_m)
    lists = np.zeros(min(count * (3 * len(found) + edges + 4), _LISTS_AT_MOST), dtype=np.int64)
    lists[:count] = np.arange(count)
    spots = np.zeros(len(order), dtype=layout(PointRow))
    for name, values in zip(("x", "y", "z"), asked.points.T):
        spots[name] = values[order]
    spots["open_air"] = asked.open_air[order]
    spots["block"] = blocks
    mirrors: Any = Mirrors(
        cast("Any", found),
        singles,
        cast("Any", repeated(everything_ahead(count), len(found))),
        cast("Any", repeated(ListSpan(0, count), edges + 1)),
    )
    setting = Setting(
        packed, asked.aerial, cast("Any", asked.ground.whole()), asked.wave_m, _between(asked), asked.most
    )
    arrived = run_compiled(
        setting=setting,
        mirrors=mirrors,
        spots=spots,
        firsts=firsts,
        groups=groups,
        lists=lists,
        extent=_extent(asked),
        progress=progress,
        kept=kept,
    )
    given = np.empty_like(arrived)
    given[order] = arrived
    return given


class _Order(NamedTuple):
    """The order in which points are taken: their numbers, the block of each, the first of each tile and the
    end, and the first tile of each group and the end.
    """

    points: NDArray[np.int64]
    blocks: NDArray[np.int64]
    firsts: NDArray[np.int64]
    groups: NDArray[np.int64]


def _tiles(points: NDArray[np.float64], wave_m: float) -> _Order:
    """Points sorted into tiles of about `_TILE` neighbours, these into groups of 4 x 4, and each into 4 x 4
    blocks: of its own is each point where a block would be wider than half a wave.
    """
    count = len(points)
    if count == 0:
        none = np.zeros(0, dtype=np.int64)
        return _Order(none, none, np.zeros(1, dtype=np.int64), np.zeros(1, dtype=np.int64))
    low, size = points[:, :2].min(axis=0), np.maximum(np.ptp(points[:, :2], axis=0), 1e-6)
    side = max(float(np.sqrt(size[0] * size[1] * _TILE / count)), float(size.max()) * _TILE / count / 8.0)
    block = np.minimum((points[:, :2] - low) / side * _SIDE, 30_000 * _SIDE).astype(np.int64)
    group = block // _SIDE**2
    tile = (group[:, 1] * 40_000 + group[:, 0]) * _SIDE**2 + _place(block // _SIDE - _SIDE * group)
    key = tile * _SIDE**2 + _place(block - _SIDE * (block // _SIDE))
    order = np.argsort(key, kind="stable")
    starts = np.flatnonzero(np.diff(tile[order], prepend=-1))
    groups = np.flatnonzero(np.diff(tile[order][starts] // _SIDE**2, prepend=-1))
    blocks = key[order] if side / _SIDE <= 0.5 * wave_m else np.arange(count)
    return _Order(order, blocks, np.append(starts, count), np.append(groups, len(starts)))


def _place(cell: NDArray[np.int64]) -> NDArray[np.int64]:
    """Numbers of cells (n, 2) of a square of `_SIDE` x `_SIDE`."""
    return np.asarray(cell[:, 1] * _SIDE + cell[:, 0])


def _extent(asked: WaysRequest) -> Extent:
    """What every way of a map keeps within."""
    walls, slabs = np.asarray(asked.packed.walls), np.asarray(asked.packed.slabs)
    x = np.concatenate([asked.points[:, 0], walls["x1"], walls["x2"], [asked.aerial.x]])
    y = np.concatenate([asked.points[:, 1], walls["y1"], walls["y2"], [asked.aerial.y]])
    west, east, south, north = (float(edge) for edge in (x.min(), x.max(), y.min(), y.max()))
    low, high = asked.lowest_m, asked.highest_m
    area = Area((west + east) / 2.0, (south + north) / 2.0, (east - west) / 2.0, (north - south) / 2.0)
    bottom, top = float(slabs["z"].min(initial=low)), float(slabs["z"].max(initial=high))
    return Extent(area, low, high, bottom, top)


def _between(asked: WaysRequest) -> int:
    """The dearest slab that lies between the aerial and every point; -1 for none."""
    if len(asked.points) == 0:
        return -1
    slabs, materials = np.asarray(asked.packed.slabs), np.asarray(asked.packed.materials)
    lowest, highest = asked.points[:, 2].min(), asked.points[:, 2].max()
    z, aerial_z = slabs["z"], asked.aerial.z
    between = ((lowest > z) & (z > aerial_z)) | ((highest < z) & (z < aerial_z))
    if not between.any():
        return -1
    least = np.where(between, materials["least"][slabs["material"]], -1.0)
    return int(np.flatnonzero(least == least.max())[-1])
