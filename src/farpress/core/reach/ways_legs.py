"""What one straight leg of a way loses, wall by wall, slab by slab, box by box: plain scalar code for
`ways_kernel`.

What the physics is, and where it comes from, is said in `ways`; how the scene is laid out, in
`ways_packed`; what is handed over, in `ways_work`.
"""

from __future__ import annotations

import math
from collections.abc import MutableSequence, Sequence

from farpress.core.reach.ways_crossing import _STEEL_SD_DB, _box, _wall
from farpress.core.reach.ways_packed import (
    GROUND_FIRST_M,
    GROUND_STEP,
    Packed,
    WallRow,
    _both,
    _inside,
    _square,
)
from farpress.core.reach.ways_work import Crossing, Hit, Leg, Lost, Met, Point, Route, Scratch

__all__: list[str] = []

_TOUCH_M = 0.05
_ALONG = 1e-300  # along a wall to the last digit: such a leg crosses nothing, and one over it is no number
_NO_TURN = 2.0  # no share of a way is that large, so it is never thrown back


def _leg(
    scene: Packed, scratch: Scratch, met: Met, leg: Leg, way: float, begun: Lost, most: Lost, wave: float
) -> Lost:
    """What a way that long has lost after another straight leg; given up where both waves have lost more than
    `most`.
    """
    dx, dy, dz = leg.b.x - leg.a.x, leg.b.y - leg.a.y, leg.b.z - leg.a.z
    flat = math.sqrt(dx * dx + dy * dy)
    length = math.sqrt(flat * flat + dz * dz)
    count = _meet(scene.walls, scratch.lists, met, leg, scratch.hits, 0)
    rise = dz / (leg.t1 - leg.t0)
    route = Route(way, flat / max(length, 1e-9), leg.a.z - leg.t0 * rise, rise, _NO_TURN, 0.0)
    lost = _cost(scene, scratch.hits, count, route, begun, most, wave)
    if _is_beyond(lost, most):
        return lost
    return _rest(scene, scratch.lists, met, leg.a, leg.b, -1, wave, lost)


def _is_beyond(lost: Lost, most: Lost) -> bool:
    """Whether both waves have lost more than they may."""
    return lost.upright > most.upright and lost.level > most.level


def _meet(
    walls: Sequence[WallRow], lists: Sequence[int], met: Met, leg: Leg, hits: MutableSequence[Hit], begun: int
) -> int:
    """Walls that a leg crosses on the plan, into hits from `begun`; where they end."""
    ax, ay = leg.a.x, leg.a.y
    dx, dy = leg.b.x - ax, leg.b.y - ay
    flat = math.sqrt(dx * dx + dy * dy)
    if flat < 1e-6:
        return begun
    # a bounce on one of two sheets in one place does not cross the other
    nearest = -leg.touch_a / flat if leg.touch_a > 0.0 else 1e-6 / flat
    farthest = 1.0 + leg.touch_b / flat if leg.touch_b > 0.0 else 1.0 - 1e-6 / flat
    count, end = len(walls), begun
    for n in range(met.begun, met.ended):
        i = lists[n]
        if i >= count:
            break
        wall = walls[i]
        px, py, qx, qy = wall.x1 - ax, wall.y1 - ay, wall.x2 - ax, wall.y2 - ay
        to_first, to_last = dx * py - dy * px, dx * qy - dy * qx
        if (to_first < 0.0) == (to_last < 0.0) or i == leg.skip or i == leg.skip_too:
            continue
        ux, uy = wall.ux, wall.uy
        across = dx * uy - dy * ux
        if abs(across) < _ALONG:
            continue
        spread = 1.0 / across
        t = (px * uy - py * ux) * spread
        if t < nearest or t >= farthest:
            continue
        hit = hits[end]
        hit.wall = i
        hit.u = -to_first * spread
        hit.t = leg.t0 + min(max(t, 0.0), 1.0) * (leg.t1 - leg.t0)
        hit.cosine = 1.0 / (abs(spread) * flat)
        end += 1
    return end


def _cost(
    scene: Packed, hits: Sequence[Hit], count: int, route: Route, begun: Lost, most: Lost, wave: float
) -> Lost:
    """What a way has lost after the first `count` walls met; given up where both waves are beyond `most`."""
    loss, level, variance = begun.upright, begun.level, begun.variance
    for n in range(count):
        hit = hits[n]
        wall = scene.walls[hit.wall]
        z = route.z + hit.t * route.rise
        if hit.t > route.turn:
            z = 2.0 * route.floor - z
        if z < wall.base or z > wall.top:
            continue
        crossing = Crossing(hit.u, z, hit.t, hit.cosine * route.slope)
        part, level_part, sd = _wall(scene.openings, scene.materials, wall, crossing, route.length, wave)
        loss += part
        level += level_part
        variance += sd * sd
        if loss > most.upright and level > most.level:
            break
    return Lost(loss, level, variance)


def _floors(scene: Packed, a: Point, b: Point, skip: int, begun: Lost) -> Lost:
    """What a way has lost after the slabs that a straight leg crosses, one slab left out."""
    loss, level, variance, floors = 0.0, 0.0, 0.0, 0
    for k in range(len(scene.slabs)):
        slab = scene.slabs[k]
        above, below = a.z - slab.z, b.z - slab.z
        if k == skip or above * below >= 0.0:
            continue
        t = above / (above - below)
        x, y = a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)
        if slab.corner_end > slab.corner and not _inside(scene.corners, slab.corner, slab.corner_end, x, y):
            continue
        length = math.sqrt(_square(b.x - a.x) + _square(b.y - a.y) + _square(b.z - a.z))
        build = scene.materials[slab.material]
        part, level_part = _both(build.loss, build.level_loss, abs(b.z - a.z) / length)
        loss += part
        level += level_part
        variance += _square(build.sd)
        floors += 1
    if floors > 1:
        several = math.exp(math.log(floors) * ((floors + 2.0) / (floors + 1.0) - 0.46)) / floors
        loss, level = loss * several, level * several
    return Lost(begun.upright + loss, begun.level + level, begun.variance + variance)


def _rest(
    scene: Packed, lists: Sequence[int], met: Met, a: Point, b: Point, skip: int, wave: float, begun: Lost
) -> Lost:
    """What a way has lost after the slabs, but for one, and boxes of a straight leg; boxes stand at the end
    of its list.
    """
    lost = _floors(scene, a, b, skip, begun)
    count = len(scene.walls)
    n = met.ended - 1
    while n >= met.begun and lists[n] >= count:
        step = Point(b.x - a.x, b.y - a.y, b.z - a.z)
        length = math.sqrt(step.x * step.x + step.y * step.y + step.z * step.z)
        part = _box(scene.corners, scene.boxes[lists[n] - count], a, step, length, wave)
        variance = _square(0.5 * _STEEL_SD_DB) if part > 0.0 else 0.0
        lost = Lost(lost.upright + part, lost.level + part, lost.variance + variance)
        n -= 1
    return lost


def _ground(table: Sequence[float], flat_m: float) -> float:
    """Gains over ground against free space, from the table over the distance along the ground."""
    place = math.log(max(flat_m, GROUND_FIRST_M) / GROUND_FIRST_M) / GROUND_STEP
    low = min(int(place), len(table) - 2)
    return table[low] + (table[low + 1] - table[low]) * min(place - low, 1.0)
