"""Mirror images of an aerial in one wall and in two: which walls can throw a press on, and through which
piece of them.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.ways_arrays import layout, rows_of
from farpress.core.reach.ways_packed import Packed
from farpress.core.reach.ways_work import ImageRow, Point
from farpress.sources import Mark, cites

__all__ = ["Images", "Mirrored", "images"]

_AT_ONCE: Final = 64
_KEPT: Final = 64
_HAIR: Final = 1e-6


@dataclass(frozen=True)
class Images:
    """The images of an aerial: rows of `ImageRow` (n,), those of one wall first, and how many these are."""

    images: NDArray[Any]
    singles: int

    @functools.cached_property
    def rows(self) -> list[ImageRow]:
        """The same for plain code."""
        return rows_of(ImageRow, self.images)

    def shining(self, points: NDArray[np.float64]) -> NDArray[np.int64]:
        """Numbers of the images, in their order, that some of the points (n, 3) see through the piece of wall
        that throws them back, or a hair beyond its rims.
        """
        seen = self._rims
        x, y = points[:, 0, None] - seen.x, points[:, 1, None] - seen.y
        inside = (seen.right_x * y - seen.right_y * x >= -_HAIR) & (
            seen.left_x * y - seen.left_y * x <= _HAIR
        )
        return np.flatnonzero(inside.any(axis=0))

    @functools.cached_property
    def _rims(self) -> _Rims:
        x, y = self.images["kx"], self.images["ky"]
        rims = (self.images[f"{side}_{axis}"] for side in ("right", "left") for axis in ("x", "y"))
        return _Rims(x, y, *(rim - (x, y)[number % 2] for number, rim in enumerate(rims)))


class _Rims(NamedTuple):
    """Places of images, and the ways from them to the right and left rim of their piece of wall, (n,) [m]."""

    x: NDArray[np.float64]
    y: NDArray[np.float64]
    right_x: NDArray[np.float64]
    right_y: NDArray[np.float64]
    left_x: NDArray[np.float64]
    left_y: NDArray[np.float64]


class Mirrored:
    """A scene as a mirror: the images of an aerial, those of the last few aerials kept."""

    def __init__(self, packed: Packed, wave_m: float) -> None:
        """Take the packed scene, in arrays, and the wavelength [m]."""
        self._packed, self._wave_m = packed, wave_m
        self._walls = np.asarray(packed.walls)
        self._known: dict[tuple[Point, bytes], Images] = {}

    def of(self, aerial: Point, lowest_m: float, highest_m: float) -> Images:
        """The images of an aerial for ways between two heights [m]."""
        key = (aerial, _tall(self._walls, lowest_m, highest_m).tobytes())
        found = self._known.get(key)
        if found is None:
            found = Images(
                *images(
                    packed=self._packed,
                    aerial_m=(aerial.x, aerial.y, aerial.z),
                    lowest_m=lowest_m,
                    highest_m=highest_m,
                    wave_m=self._wave_m,
                )
            )
            while len(self._known) >= _KEPT:
                self._known.pop(next(iter(self._known)), None)
            self._known[key] = found
        return found


def _tall(walls: NDArray[Any], lowest_m: float, highest_m: float) -> NDArray[np.bool_]:
    """Walls that reach between two heights, (n,)."""
    return np.asarray((walls["base"] <= highest_m) & (walls["top"] >= lowest_m))


class _Plan(NamedTuple):
    """The walls on the plan, n of them: ends, normals (n, 2), the aerial's image in each (n, 2), its signed
    distance and the wall's strongest echo (n,).
    """

    first: NDArray[np.float64]
    last: NDArray[np.float64]
    normal: NDArray[np.float64]
    image: NDArray[np.float64]
    side: NDArray[np.float64]
    echo: NDArray[np.float64]


class _Piece(NamedTuple):
    """Two ends of a piece of a wall, (n, 2) each."""

    one: NDArray[np.float64]
    other: NDArray[np.float64]


@cites("Image method, textbook", place="which walls an image can see", mark=Mark.MEMORY)
def images(
    *, packed: Packed, aerial_m: tuple[float, float, float], lowest_m: float, highest_m: float, wave_m: float
) -> tuple[NDArray[Any], int]:
    """Every image of an aerial in one wall, then in two walls one after the other: rows of `ImageRow`, and
    how many are of one wall.

    Args:
        packed: the scene, in arrays.
        aerial_m: x, y, z of the aerial [m].
        lowest_m, highest_m: heights between which every way without a floor runs [m].
        wave_m: wavelength [m].
    """
    walls = np.asarray(packed.walls)
    if len(walls) == 0:
        return np.zeros(0, dtype=layout(ImageRow)), 0
    plan = _plan(walls, np.asarray(packed.echoes), np.asarray(aerial_m[:2]))
    near2 = (wave_m / (4.0 * np.pi)) ** 2
    single = np.flatnonzero(np.abs(plan.side) > 1e-6)
    row_of = np.full(len(walls), -1)
    row_of[single] = np.arange(len(single))
    whole = _Piece(plan.first[single], plan.last[single])
    found = _rows(
        (single, single, np.zeros(len(single), dtype=np.int64)),
        plan.image[single],
        plan.image[single],
        plan.side[single],
        plan.echo[single] * near2,
        whole,
        whole,
    )
    rows = [found]
    tall = _tall(walls, lowest_m, highest_m)
    bounces = single[tall[single]]
    for begun in range(0, len(bounces), _AT_ONCE):
        i = bounces[begun : begun + _AT_ONCE]
        k, j, low, high = _seen(plan, i, tall)
        n = i[k]
        along = plan.last[j] - plan.first[j]
        piece = _Piece(*(plan.first[j] + np.clip(share, 0.0, 1.0)[:, None] * along for share in (low, high)))
        beyond = np.sum((plan.image[n] - plan.first[j]) * plan.normal[j], axis=1)
        kept = np.abs(beyond) > 1e-9
        j, n, beyond, piece = j[kept], n[kept], beyond[kept], _Piece(piece.one[kept], piece.other[kept])
        rows.append(
            _rows(
                (n, j, row_of[n]),
                plan.image[n],
                plan.image[n] - 2.0 * beyond[:, None] * plan.normal[j],
                beyond,
                plan.echo[n] * plan.echo[j] * near2,
                piece,
                _Piece(*(_through(plan, n, end) for end in piece)),
            )
        )
    return np.concatenate(rows), len(single)


def _plan(walls: NDArray[Any], echoes: NDArray[Any], aerial: NDArray[np.float64]) -> _Plan:
    first = np.stack([walls["x1"], walls["y1"]], axis=1)
    last = np.stack([walls["x2"], walls["y2"]], axis=1)
    normal = np.stack([walls["uy"], -walls["ux"]], axis=1)
    side = np.sum((aerial - first) * normal, axis=1)
    echo = echoes["strongest"][walls["echoes"], 0]
    return _Plan(first, last, normal, aerial - 2.0 * side[:, None] * normal, side, echo)


def _seen(
    plan: _Plan, i: NDArray[np.int64], tall: NDArray[np.bool_]
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.float64], NDArray[np.float64]]:
    """Which walls the images in walls i see through them: places in i, numbers of the walls seen, and the
    shares of these at which the piece seen begins and ends.
    """
    count = len(plan.first)
    first, last, image = plan.first, plan.last, plan.image
    sign = np.sign(plan.side[i])[:, None]
    turn = np.sign(_cross(first[i] - image[i], last[i] - image[i]))[:, None]
    # what lies on the aerial's side of wall i and between the rims that its image sees through it: at
    # both ends of every wall j
    low, high = np.zeros((len(i), count)), np.ones((len(i), count))
    halves = [
        [
            np.sum((end[None] - first[i][:, None]) * plan.normal[i][:, None], axis=2) * sign - 1e-6
            for end in (first, last)
        ]
    ]
    halves += [
        [
            _cross((rim - image[i])[:, None], end[None] - image[i][:, None]) * turn * way
            for end in (first, last)
        ]
        for rim, way in ((first[i], 1.0), (last[i], -1.0))
    ]
    for here, there in halves:
        rise = there - here
        cut = -here / np.where(np.abs(rise) > 1e-15, rise, 1.0)
        low = np.where(
            rise > 1e-15, np.maximum(low, cut), np.where((rise >= -1e-15) & (here < 0.0), 2.0, low)
        )
        high = np.where(rise < -1e-15, np.minimum(high, cut), high)
    low, high = low - 1e-9, high + 1e-9
    seen = (high > low) & (low < 1.0) & (high > 0.0) & tall[None, :]
    seen[np.arange(len(i)), i] = False
    k, j = np.nonzero(seen)
    return k, j, low[k, j], high[k, j]


def _rows(
    walls: tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]],
    image: NDArray[np.float64],
    again: NDArray[np.float64],
    side: NDArray[np.float64],
    bright: NDArray[np.float64],
    piece: _Piece,
    piece_i: _Piece,
) -> NDArray[Any]:
    """Images as rows; `walls` are the first and the last wall and the parent of each."""
    turned = (_cross(piece.one - again, piece.other - again) < 0.0)[:, None]
    right, left = np.where(turned, piece.other, piece.one), np.where(turned, piece.one, piece.other)
    rows = np.zeros(len(side), dtype=layout(ImageRow))
    rows["i"], rows["j"], rows["parent"] = walls
    rows["side"], rows["bright"] = side, bright
    places = {
        ("mx", "my"): image,
        ("kx", "ky"): again,
        ("right_x", "right_y"): right,
        ("left_x", "left_y"): left,
        ("right_xi", "right_yi"): piece_i.one,
        ("left_xi", "left_yi"): piece_i.other,
    }
    for (x, y), place in places.items():
        rows[x], rows[y] = place[:, 0], place[:, 1]
    return rows


def _through(plan: _Plan, n: NDArray[np.int64], end: NDArray[np.float64]) -> NDArray[np.float64]:
    """Where the lines from the images in walls n to some points go through these walls."""
    image, side = plan.image[n], np.abs(plan.side[n])
    beyond = np.sum((end - plan.first[n]) * plan.normal[n], axis=1)
    share = side / np.maximum(side + np.abs(beyond), 1e-12)
    return np.asarray(image + share[:, None] * (end - image))


def _cross(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])
