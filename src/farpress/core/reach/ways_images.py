"""Mirror images of an aerial in one wall and in two: which walls can throw a press on, and through which
piece of them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.ways_kernel import _V
from farpress.core.reach.ways_packed import _W, _WALLS, STEPS
from farpress.sources import Mark, cites

__all__ = ["images"]

_AT_ONCE = 64


@cites("Image method, textbook", place="which walls an image can see", mark=Mark.MEMORY)
def images(
    *,
    solid: NDArray[np.float64],
    aerial_m: tuple[float, float, float],
    lowest_m: float,
    highest_m: float,
    wave_m: float,
) -> NDArray[np.float64]:
    """Every image of an aerial in one wall, then in two walls one after the other, as one row of numbers.

    First how many there are and how many of them are of one wall; then for each: first and last wall, image
    in
    the first (x, y), last image (x, y), distance of what is mirrored last from the last wall, brightest
    echo times (wavelength / 4 pi)^2, right and left end of the piece of the last wall that the image before
    sees
    (x, y, x, y), the same on the first wall, share that gets through at most, six places of lists, the
    row of the image in the first wall alone, and what a slab between lets through. Places and shares are
    filled in by `ways_tiles._look_ahead`.

    Args:
        solid: the packed scene.
        aerial_m: x, y, z of the aerial [m].
        lowest_m, highest_m: heights between which every way without a floor runs [m].
        wave_m: wavelength [m].
    """
    count = int(solid[0])
    if count == 0:
        return np.zeros(2)
    walls = solid[_WALLS : _WALLS + _W * count].reshape(-1, _W)
    first, last, along = walls[:, 0:2], walls[:, 2:4], walls[:, 4:6]
    at = np.asarray(aerial_m[:2])
    normal = np.stack([along[:, 1], -along[:, 0]], axis=1)
    side = np.sum((at - first) * normal, axis=1)
    image = at - 2.0 * side[:, None] * normal
    near = wave_m / (4.0 * np.pi)
    echo = solid[int(solid[14]) :: STEPS][walls[:, 14].astype(np.int64)]
    single = np.flatnonzero(np.abs(side) > 1e-6)
    row_of = np.full(count, -1)
    row_of[single] = np.arange(len(single))
    rows = [
        _rows(
            single,
            single,
            image[single],
            image[single],
            side[single],
            echo[single] * near**2,
            first[single],
            last[single],
            first[single],
            last[single],
            np.zeros(len(single)),
            count + int(solid[5]),
        )
    ]
    tall = (walls[:, 7] <= highest_m) & (walls[:, 8] >= lowest_m)
    bounces = single[tall[single]]
    for begun in range(0, len(bounces), _AT_ONCE):
        i = bounces[begun : begun + _AT_ONCE]
        sign = np.sign(side[i])[:, None]
        turn = np.sign(_cross(first[i] - image[i], last[i] - image[i]))[:, None]
        # what lies on the aerial's side of wall i and between the rims that its image sees through it: at
        # both ends of every wall j
        low, high = np.zeros((len(i), count)), np.ones((len(i), count))
        halves = [
            [
                np.sum((end[None] - first[i][:, None]) * normal[i][:, None], axis=2) * sign - 1e-6
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
        n = i[k]
        one, other = (
            first[j] + np.clip(share[k, j], 0.0, 1.0)[:, None] * (last[j] - first[j]) for share in (low, high)
        )
        beyond = np.sum((image[n] - first[j]) * normal[j], axis=1)
        kept = np.abs(beyond) > 1e-9
        k, j, n, one, other, beyond = k[kept], j[kept], n[kept], one[kept], other[kept], beyond[kept]
        again = image[n] - 2.0 * beyond[:, None] * normal[j]
        ends = [
            _through(end, image[n], side[n], np.sum((end - first[n]) * normal[n], axis=1))
            for end in (one, other)
        ]
        rows.append(
            _rows(
                n,
                j,
                image[n],
                again,
                beyond,
                echo[n] * echo[j] * near**2,
                one,
                other,
                ends[0],
                ends[1],
                row_of[n],
                count + int(solid[5]),
            )
        )
    every = np.concatenate(rows)
    return np.concatenate([[len(every), len(single)], every.ravel()])


def _rows(
    i: NDArray[np.int64],
    j: NDArray[np.int64],
    image: NDArray[np.float64],
    again: NDArray[np.float64],
    side: NDArray[np.float64],
    bright: NDArray[np.float64],
    one: NDArray[np.float64],
    other: NDArray[np.float64],
    one_i: NDArray[np.float64],
    other_i: NDArray[np.float64],
    parent: NDArray[np.float64] | NDArray[np.int64],
    count: int,
) -> NDArray[np.float64]:
    turned = (_cross(one - again, other - again) < 0.0)[:, None]
    right, left = np.where(turned, other, one), np.where(turned, one, other)
    found = np.column_stack(
        [
            i,
            j,
            image,
            again,
            side,
            bright,
            right,
            left,
            one_i,
            other_i,
            np.ones(len(i)),
            np.tile([0.0, count], (len(i), 3)),
            parent,
            np.ones(len(i)),
        ]
    )
    assert found.shape[1] == _V
    return np.asarray(found, dtype=np.float64)


def _through(
    end: NDArray[np.float64],
    image: NDArray[np.float64],
    side: NDArray[np.float64],
    beyond: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Where the line from an image to a point goes through the wall it was mirrored in."""
    share = np.abs(side) / np.maximum(np.abs(side) + np.abs(beyond), 1e-12)
    return np.asarray(image + share[:, None] * (end - image))


def _cross(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])
