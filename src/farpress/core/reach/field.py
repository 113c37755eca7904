"""A map of reach as plain arrays, and the lines of equal chance through it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from farpress.sources import Mark, cites

__all__ = ["CONTOURS", "ReachMap", "contour_lines"]

CONTOURS: Final = {0.5: "5 of 10 presses", 0.9: "9 of 10 presses", 0.95: "19 of 20 presses"}
"""Chances drawn as lines, and what is written on them."""


@dataclass(frozen=True)
class ReachMap:
    """The chance of one press over one level.

    Attributes:
        premises, receiver, group: whose fob is heard by which receiver.
        level: name of the storey; empty for the open ground.
        held: how the fob is held.
        x_m, y_m: middles of the cells, (nx,), (ny,) [m].
        chance: that one press, or one of those asked for, is heard, (ny, nx), rows from south to north.
        margin_db: mean level over the needed one, (ny, nx) [dB].
        spread_db: what all presses at a spot share, (ny, nx) [dB].
        indoors: whether a cell has walls round it, (ny, nx).
        stands: whether somebody can stand there on this level, (ny, nx); beside an upper floor there is
            only air.
        walls: lines on this level: points, and whether it is steel.
        places: name, x, y of the named places on this level [m].
        aerial_m: x, y, z of the aerial [m].
        moved: whether the aerial stands elsewhere than in the job.
        notes: what is uncertain or missing, in words.
        offset_db: by how much readings moved the whole map [dB].
        within: number of presses → the chance that one of them is heard, (ny, nx), as asked for.
        left_out_db: what faint ways that were left out could add at most, mean and worst cell [dB].
        more_aerials_m: those of further receivers in the same map [m].
        worse_of: how what moves may stand, in words; each spot is shown as it is heard worst. Empty where
            nothing moves.
    """

    premises: str
    receiver: str
    group: str
    level: str
    held: str
    x_m: NDArray[np.float64]
    y_m: NDArray[np.float64]
    chance: NDArray[np.float64]
    margin_db: NDArray[np.float64]
    spread_db: NDArray[np.float64]
    indoors: NDArray[np.bool_]
    stands: NDArray[np.bool_]
    walls: tuple[tuple[tuple[tuple[float, float], ...], bool], ...]
    places: tuple[tuple[str, float, float], ...]
    aerial_m: tuple[float, float, float]
    moved: bool = False
    notes: tuple[str, ...] = ()
    offset_db: float = 0.0
    within: Mapping[int, NDArray[np.float64]] = field(default_factory=dict)
    left_out_db: tuple[float, float] = (0.0, 0.0)
    more_aerials_m: tuple[tuple[float, float, float], ...] = ()
    worse_of: tuple[str, ...] = ()


@cites(
    "Marching squares, textbook", place="linear along the cell's sides, saddles by the mean", mark=Mark.MEMORY
)
def contour_lines(
    *, x_m: NDArray[np.float64], y_m: NDArray[np.float64], values: NDArray[np.float64], level: float
) -> list[NDArray[np.float64]]:
    """Lines along which a field has one value; points (k, 2) [m], closed lines end where they begin.

    Args:
        x_m, y_m: middles of the cells, (nx,), (ny,) [m].
        values: the field, (ny, nx).
        level: the value.
    """
    above = values >= level
    code = above[:-1, :-1] * 1 + above[:-1, 1:] * 2 + above[1:, 1:] * 4 + above[1:, :-1] * 8
    segments: dict[tuple[int, int, int], list[tuple[int, int, int]]] = {}

    def side(row: int, column: int, which: int) -> tuple[int, int, int]:
        """A side of a cell: 0 lower, 1 right, 2 upper, 3 left; shared sides have one name."""
        return {0: (row, column, 0), 1: (row, column + 1, 1), 2: (row + 1, column, 0), 3: (row, column, 1)}[
            which
        ]

    crossing = {
        1: [(3, 0)],
        2: [(0, 1)],
        3: [(3, 1)],
        4: [(1, 2)],
        6: [(0, 2)],
        7: [(3, 2)],
        8: [(2, 3)],
        9: [(2, 0)],
        11: [(2, 1)],
        12: [(1, 3)],
        13: [(1, 0)],
        14: [(0, 3)],
    }
    for row, column in zip(*np.nonzero((code > 0) & (code < 15))):
        kind = int(code[row, column])
        if kind in (5, 10):
            middle = values[row : row + 2, column : column + 2].mean() >= level
            pairs = [(3, 2), (1, 0)] if (kind == 5) == bool(middle) else [(3, 0), (1, 2)]
        else:
            pairs = crossing[kind]
        for a, b in pairs:
            p, q = side(int(row), int(column), a), side(int(row), int(column), b)
            segments.setdefault(p, []).append(q)
            segments.setdefault(q, []).append(p)

    def point(corner: tuple[int, int, int]) -> tuple[float, float]:
        row, column, along = corner
        first, second = (
            values[row, column],
            (values[row, column + 1] if along == 0 else values[row + 1, column]),
        )
        share = float(np.clip((level - first) / (second - first), 0.0, 1.0)) if second != first else 0.5
        if along == 0:
            return float(x_m[column] + share * (x_m[column + 1] - x_m[column])), float(y_m[row])
        return float(x_m[column]), float(y_m[row] + share * (y_m[row + 1] - y_m[row]))

    lines: list[NDArray[np.float64]] = []
    ends = [end for end, near in segments.items() if len(near) == 1]
    for begun in [*ends, *segments]:
        if not segments.get(begun):
            continue
        chain, here = [begun], begun
        while segments.get(here):
            to = segments[here].pop()
            segments[to].remove(here)
            chain.append(to)
            here = to
        lines.append(np.array([point(corner) for corner in chain]))
    return lines
