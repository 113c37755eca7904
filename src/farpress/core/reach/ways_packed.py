"""The scene as one flat row of numbers, and how the loops of `ways` read it: plain scalar code.

Walls with their openings, slabs, steel boxes, upright edges, and tables over the cosine of the angle.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from farpress.sources import Mark, cites

__all__ = ["GROUND_FIRST_M", "GROUND_STEP", "STEPS", "Packed", "packed"]

STEPS: Final = 65
"""Nodes of the tables over the cosine of the angle, 0 to 1."""

GROUND_FIRST_M: Final = 0.5
GROUND_STEP: Final = 0.02
"""The ground table's distances are GROUND_FIRST_M exp(GROUND_STEP k)."""

# Row 0 of the header: how many walls. Then where things begin or how many there are: 1 openings, 2 slabs (how
# many),
# 3 slabs, 4 slab corners, 5 boxes (how many), 6 boxes, 7 box corners, 8 losses, 9 echoes, 10 strongest echo
# and spread,
# 11 edges (how many), 12 edges, 13 least losses up to each cosine, 14 strongest echoes from each cosine on.
# A wall (_W numbers): x1 y1 x2 y2 ux uy length z1 z2 material flags first-opening least plain-least looks,
# flags being 1 for
# a free top, 2 for a calm one; `least` [dB] is lost by every ray through it, `plain-least` by every ray that
# keeps clear of
# its openings; `looks` is its row of strongest echoes. A material (_M numbers): strongest echo, spread, least
# loss.
# An opening: u1 u2 z1 z2 material (-1 open). A slab: z material first-corner. A box: z1 z2 first-corner. An
# edge: x y z1 z2.
# The walls' and slabs' and boxes' last row is a sentinel with the next first.
_WALLS = 15
_W = 15
_M = 3


@cites("A plan as one row of numbers", mark=Mark.COMPUTED)
def packed(parts: Packed) -> NDArray[np.float64]:
    """Everything of a scene in one row of numbers, as the loops read it."""
    header = np.zeros(_WALLS)
    rows: list[NDArray[np.float64]] = []
    at = _WALLS

    def add(block: NDArray[np.float64]) -> int:
        nonlocal at
        rows.append(np.asarray(block, dtype=np.float64).ravel())
        begun, at = at, at + rows[-1].size
        return begun

    add(parts.walls)
    header[0] = len(parts.walls) - 1
    header[1] = add(parts.openings)
    header[2], header[3], header[4] = len(parts.slabs) - 1, add(parts.slabs), add(parts.slab_corners)
    header[5], header[6], header[7] = len(parts.boxes) - 1, add(parts.boxes), add(parts.box_corners)
    header[8], header[9], header[10] = add(parts.losses), add(parts.echoes), add(parts.materials)
    header[11], header[12] = len(parts.edges), add(parts.edges)
    header[13] = add(np.minimum.accumulate(parts.losses.reshape(-1, STEPS), axis=1))
    header[14] = add(parts.brightest)
    return np.concatenate([header, *rows])


class Packed(NamedTuple):
    """The blocks of a packed scene, before they are put in one row; columns as said above."""

    walls: NDArray[np.float64]
    openings: NDArray[np.float64]
    slabs: NDArray[np.float64]
    slab_corners: NDArray[np.float64]
    boxes: NDArray[np.float64]
    box_corners: NDArray[np.float64]
    losses: NDArray[np.float64]
    echoes: NDArray[np.float64]
    materials: NDArray[np.float64]
    edges: NDArray[np.float64]
    brightest: NDArray[np.float64]


def _table(s: Sequence[float], begun: int, material: int, cosine: float) -> float:
    at = min(max(cosine, 0.0), 1.0) * (STEPS - 1)
    low = min(int(at), STEPS - 2)
    n = begun + material * STEPS + low
    return s[n] + (s[n + 1] - s[n]) * (at - low)


def _inside(s: Sequence[float], begun: int, first: int, last: int, x: float, y: float) -> bool:
    """Whether a point lies inside the outline of corners first to last."""
    odd = False
    j = last - 1
    for i in range(first, last):
        xi, yi, xj, yj = s[begun + 2 * i], s[begun + 2 * i + 1], s[begun + 2 * j], s[begun + 2 * j + 1]
        if (yi > y) != (yj > y) and x < xi + (y - yi) * (xj - xi) / (yj - yi):
            odd = not odd
        j = i
    return odd
