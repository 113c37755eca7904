"""Where a box or an aerial can be mounted: what is drawn for it, walls, and where something of the job
hangs already.

The middle of a yard is no such place.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from typing import Final, NamedTuple

from farpress.domain.premises import Premises
from farpress.reach.radio_scene import ground_height_m

__all__ = ["MOUNT_M", "HungThing", "MountedAt", "hung_things", "mount_near"]

MOUNT_M: Final = 2.0
"""Height over floor or ground where none is given: our choice, out of reach and of splashing."""

_OFF_WALL_M: Final = 0.15


class MountedAt(NamedTuple):
    """A place where something can be mounted: where [m], on which level, and what it is."""

    at: tuple[float, float, float]
    level: str | None
    says: str


class HungThing(NamedTuple):
    """Something of a premises that a box could hang beside: its name, where, on which level."""

    name: str
    at: tuple[float, ...]
    level: str | None


def hung_things(house: Premises) -> Iterator[HungThing]:
    """Panels, supplies, junctions and devices whose place is known. A supply's level is not written: None."""
    for name, panel in house.panels.items():
        if panel.at is not None:
            yield HungThing(name, panel.at, panel.level)
    for name, supply in house.supplies.items():
        if supply.at is not None:
            yield HungThing(name, supply.at, None)
    for name, junction in house.junctions.items():
        if junction.at is not None:
            yield HungThing(name, junction.at, junction.level)
    for name, device in house.devices.items():
        if device.at is not None:
            yield HungThing(name, device.at, device.level)


def mount_near(
    house: Premises, x: float, y: float, *, within_m: float, level: str | None = None
) -> MountedAt | None:
    """The mount nearest to a point of the plan, on the same level or, without one, out of doors; None
    where there
    is none within so far [m].

    Args:
        house: the premises.
        x, y: the point [m].
        within_m: how far off a mount may be [m].
        level: storey that the point is on; None out of doors.
    """
    best = min(_mounts(house, x, y, level), key=lambda mount: math.dist(mount.at[:2], (x, y)), default=None)
    return best if best is not None and math.dist(best.at[:2], (x, y)) <= within_m else None


def _mounts(house: Premises, x: float, y: float, level: str | None) -> Iterator[MountedAt]:
    """What is drawn, what hangs somewhere already, and the nearest place of each wall."""
    drawn = [
        (mount.at, mount.level, f"on {name}{f' ({mount.says})' if mount.says else ''}")
        for name, mount in house.mounts.items()
    ]
    drawn += [
        (thing.at, level if thing.name in house.supplies else thing.level, f"at {thing.name}")
        for thing in hung_things(house)
    ]
    for point, storey, says in drawn:
        if storey == level:
            yield MountedAt(_high(house, point, storey), storey, says)
    for wall in house.walls:
        if level is not None and wall.level != level:
            continue
        says = "outside on the wall" if wall.level and level is None else "on the wall"
        for first, second in itertools.pairwise(wall.along):
            length = math.dist(first[:2], second[:2])
            if length < 0.3:
                continue
            ux, uy = (second[0] - first[0]) / length, (second[1] - first[1]) / length
            along = min(max((x - first[0]) * ux + (y - first[1]) * uy, 0.15), length - 0.15)
            px, py = first[0] + along * ux, first[1] + along * uy
            side = math.copysign(_OFF_WALL_M, (x - px) * uy - (y - py) * ux)
            point = (px + side * uy, py - side * ux)
            yield MountedAt(_high(house, point, level), level, says)


def _high(house: Premises, point: tuple[float, ...], level: str | None) -> tuple[float, float, float]:
    """A point with its height, or so high as one mounts."""
    if len(point) == 3:
        return point[0], point[1], point[2]
    storey = house.levels.get(level) if level else None
    floor = storey.floor_m if storey is not None else ground_height_m(house, point[0], point[1])
    return point[0], point[1], floor + MOUNT_M
