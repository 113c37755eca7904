"""Rooms below the ground: earth behind their outer walls, and what a plan has to say of them.

No press comes out of the earth at a flat angle, so the ways out of a basement lead up through its ceiling,
and through what opens: windows over the ground, light wells, ramps.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.crossings import outline_holds
from farpress.core.reach.scene import Barrier
from farpress.domain.premises import Level, Premises
from farpress.reach.gaps import Gap, GapKind
from farpress.sources import Citation, Mark

__all__ = [
    "BELOW_M",
    "EARTH_DB",
    "EARTH_SD_DB",
    "EARTH_SOURCE",
    "WallPart",
    "buried_gaps",
    "earthen",
    "wall_parts",
]

BELOW_M: Final = 1.0
"""A floor so far under the ground beside it lies below the ground: our choice, half a hand's height over it
is then in the earth.
"""

EARTH_DB: Final = 24.0
EARTH_SD_DB: Final = 8.0
"""What getting from outside into a room below the ground costs: traditional building, 90 % of places, about
24 dB; that it stands for earth is our choice.
"""

EARTH_SOURCE: Final = Citation(
    "Rec. ITU-R P.2109", edition="2", place="traditional building, 90 % of places", mark=Mark.CHOICE
)

_PLINTH_M: Final = 0.3  # so much earth at the foot of a wall changes nothing
_BESIDE_M: Final = 0.3
_STOREY_M: Final = 1.5
_LOW_M: Final = 0.5  # a kerb, a loading bay: no room


class WallPart(NamedTuple):
    """A part of a piece of wall: lower and upper edge [m], and whether earth lies outside."""

    base_m: float
    top_m: float
    is_buried: bool


def wall_parts(
    *,
    base_m: float,
    top_m: float,
    ground_m: float,
    ends: tuple[tuple[float, ...], ...],
    outline: NDArray[np.float64],
) -> tuple[WallPart, ...]:
    """A piece of wall of a level, parted where the ground beside it ends.

    Args:
        base_m, top_m: its edges [m].
        ground_m: height of the ground at its middle [m].
        ends: its two ends on the plan [m].
        outline: of the level; a wall that has it on both sides has no earth beside it.
    """
    whole = (WallPart(base_m, top_m, False),)
    if ground_m - base_m <= _PLINTH_M or not _is_outer(ends, outline):
        return whole
    if ground_m >= top_m - _PLINTH_M:
        return (WallPart(base_m, top_m, True),)
    return (WallPart(base_m, ground_m, True), WallPart(ground_m, top_m, False))


def _is_outer(ends: tuple[tuple[float, ...], ...], outline: NDArray[np.float64]) -> bool:
    (x1, y1), (x2, y2) = ends[0][:2], ends[1][:2]
    size = max(float(np.hypot(x2 - x1, y2 - y1)), 1e-9)
    off_x, off_y = -(y2 - y1) / size * _BESIDE_M, (x2 - x1) / size * _BESIDE_M
    x, y = (x1 + x2) / 2.0, (y1 + y2) / 2.0
    return not (
        outline_holds(outline, [(x + off_x, y + off_y)]) and outline_holds(outline, [(x - off_x, y - off_y)])
    )


def earthen(barrier: Barrier) -> Barrier:
    """A wall with earth behind it: no less than the way into a room below the ground costs."""
    return replace(
        barrier,
        says=f"{barrier.says}, earth behind it",
        loss_db=max(barrier.loss_db, EARTH_DB),
        sd_db=max(barrier.sd_db, EARTH_SD_DB),
        is_free_standing=False,
        sources=(*barrier.sources, EARTH_SOURCE),
    )


def buried_gaps(
    house: Premises, level: str | None, at_m: tuple[float, float, float], ground_m: float, says: str
) -> list[Gap]:
    """What a plan has to say before a way to a point below the ground can be computed.

    Args:
        house: the address.
        level: storey that the point is on; None: none.
        at_m: the point [m].
        ground_m: height of the ground there [m].
        says: what is at the point.
    """
    storey = house.levels.get(level) if level else None
    if level is not None and storey is None:
        return []
    if storey is None:
        deep = ground_m - at_m[2]
        if deep <= _LOW_M or _is_in_a_walled_level(house, at_m):
            return []
        ask = (
            f"how {says} lies {deep:.1f} m below the ground: name its level, or give the ground its shape by"
            " 'slope'"
        )
        return [Gap(GapKind.UNDERGROUND, ask)]
    deep = ground_m - storey.floor_m
    if deep < BELOW_M:
        return []
    found = []
    if not any(wall.level == level for wall in house.walls):
        ask = (
            f"the walls of level '{level}', {deep:.1f} m below the ground: draw those against the earth, and"
            " what opens in them (a ramp, a light well)"
        )
        found.append(Gap(GapKind.UNDERGROUND, ask))
    if not _is_covered(house.levels.values(), storey, at_m):
        ask = (
            f"what lies over {says} on level '{level}', {deep:.1f} m below the ground: give a level above it"
            " a 'slab', with an 'outline' that reaches over it"
        )
        found.append(Gap(GapKind.UNDERGROUND, ask))
    return found


def _is_in_a_walled_level(house: Premises, at_m: tuple[float, float, float]) -> bool:
    """Whether a point without a level lies within one whose walls are drawn, as on a ramp into it."""
    walls = [(wall.level, point[:2]) for wall in house.walls if wall.level for point in wall.along]
    for name, level in house.levels.items():
        own = np.array([point for of, point in walls if of == name])
        if len(own) == 0 or level.floor_m > at_m[2] + _LOW_M:
            continue
        (left, low), (right, high) = own.min(axis=0), own.max(axis=0)
        if left <= at_m[0] <= right and low <= at_m[1] <= high:
            return True
    return False


def _is_covered(levels: Iterable[Level], storey: Level, at_m: tuple[float, float, float]) -> bool:
    """Whether a slab is drawn over a point of a level."""
    return any(
        other.slab is not None
        and other.floor_m >= storey.floor_m + _STOREY_M
        and (
            other.outline is None
            or len(other.outline) < 3
            or outline_holds(np.array([point[:2] for point in other.outline]), [at_m[:2]])
        )
        for other in levels
    )
