"""The scene as the loops of `ways` read it: rows with named values, and tables over the cosine of the angle.

Each block of a scene is a sequence of one kind of row. Plain code reads lists of the tuples below;
machine code reads arrays of the same rows (see `ways_arrays`). The names are the same, so the same
functions read both.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

__all__ = [
    "GROUND_FIRST_M",
    "GROUND_STEP",
    "STEPS",
    "BoxRow",
    "CornerRow",
    "EchoRow",
    "EdgeRow",
    "MaterialRow",
    "OpeningRow",
    "Packed",
    "SlabRow",
    "Table",
    "WallRow",
]

STEPS: Final = 65
"""Nodes of the tables over the cosine of the angle, 0 to 1."""

GROUND_FIRST_M: Final = 0.5
GROUND_STEP: Final = 0.02
"""The ground table's distances are GROUND_FIRST_M exp(GROUND_STEP k)."""

_TO_SHARE = -0.23025850929940458  # decibels lost to the logarithm of what is left of a power

Table = Sequence[float]
"""STEPS values over the cosine of the angle."""


class WallRow(NamedTuple):
    """A wall: ends, direction, edges [m], material, openings, and what every ray through it loses at least.

    Attributes:
        x1, y1, x2, y2: its ends on the plan [m].
        ux, uy: its direction, a unit vector.
        length, base, top: length, lower and upper edge [m].
        material: number of its material.
        is_low: 1 with a free top, so that a press also comes over it.
        is_calm: 1 where wall and openings never differ much.
        opening, opening_end: its openings.
        least: lost by every ray through it [dB].
        plain_least: lost by every ray that keeps clear of its openings [dB].
        echoes: number of its strongest echoes.
    """

    x1: float
    y1: float
    x2: float
    y2: float
    ux: float
    uy: float
    length: float
    base: float
    top: float
    material: int
    is_low: int
    is_calm: int
    opening: int
    opening_end: int
    least: float
    plain_least: float
    echoes: int


class OpeningRow(NamedTuple):
    """An opening: from u1 to u2 along its wall, sill and head [m], and its material, -1 for a passage."""

    u1: float
    u2: float
    sill: float
    head: float
    material: int


class SlabRow(NamedTuple):
    """A slab: height [m], material, and the corners of its outline; none for an endless one."""

    z: float
    material: int
    corner: int
    corner_end: int


class BoxRow(NamedTuple):
    """A steel box: lower and upper edge [m], and the corners of its outline."""

    base: float
    top: float
    corner: int
    corner_end: int


class CornerRow(NamedTuple):
    """A corner of an outline on the plan [m]."""

    x: float
    y: float


class MaterialRow(NamedTuple):
    """What a build costs and throws back: spread and least loss [dB], tables for upright and level waves.

    Attributes:
        sd, least: spread of its loss, and the least over all angles, of either wave [dB].
        loss, level_loss: over the cosine of the angle [dB].
        echo, level_echo: share of power thrown back, over the cosine of the angle.
        least_up_to: the least loss of either wave up to each cosine [dB].
    """

    sd: float
    least: float
    loss: Table
    level_loss: Table
    echo: Table
    level_echo: Table
    least_up_to: Table


class EdgeRow(NamedTuple):
    """An upright edge that waves go round: place, lower and upper end [m]."""

    x: float
    y: float
    base: float
    top: float


class EchoRow(NamedTuple):
    """The strongest echo of a wall with all its openings, from each cosine on."""

    strongest: Table


class Packed(NamedTuple):
    """A packed scene. Materials, corners, openings and echoes are named by their number."""

    walls: Sequence[WallRow]
    openings: Sequence[OpeningRow]
    slabs: Sequence[SlabRow]
    boxes: Sequence[BoxRow]
    corners: Sequence[CornerRow]
    materials: Sequence[MaterialRow]
    edges: Sequence[EdgeRow]
    echoes: Sequence[EchoRow]


def _square(value: float) -> float:
    """A value times itself: a power would be another last digit in machine code."""
    return value * value


def _power(value: float, times: int) -> float:
    """A value multiplied with itself so many times, one after the other."""
    product = 1.0
    for _ in range(times):
        product *= value
    return product


def _table(table: Table, cosine: float) -> float:
    """A table's value at a cosine, linear between nodes."""
    place = min(max(cosine, 0.0), 1.0) * (STEPS - 1)
    low = min(int(place), STEPS - 2)
    return table[low] + (table[low + 1] - table[low]) * (place - low)


def _both(upright: Table, level: Table, cosine: float) -> tuple[float, float]:
    """The values of two tables at a cosine, linear between nodes."""
    place = min(max(cosine, 0.0), 1.0) * (STEPS - 1)
    low = min(int(place), STEPS - 2)
    part = place - low
    return (
        upright[low] + (upright[low + 1] - upright[low]) * part,
        level[low] + (level[low + 1] - level[low]) * part,
    )


def _inside(corners: Sequence[CornerRow], first: int, last: int, x: float, y: float) -> bool:
    """Whether a point lies inside the outline of corners first to last."""
    odd = False
    j = last - 1
    for i in range(first, last):
        xi, yi, xj, yj = corners[i].x, corners[i].y, corners[j].x, corners[j].y
        if (yi > y) != (yj > y) and x < xi + (y - yi) * (xj - xi) / (yj - yi):
            odd = not odd
        j = i
    return odd
