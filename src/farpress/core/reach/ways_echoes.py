"""Echoes of one wall and of two at the points of a tile, with or without a floor between: plain scalar code
for `ways_thrown`.

No leg is followed where what the walls throw back at most and the legs lose at least alone makes
the way faint.
"""

from __future__ import annotations

import math
from collections.abc import MutableSequence, Sequence
from typing import NamedTuple

from farpress.core.reach.ways_cones import _side
from farpress.core.reach.ways_crossing import _echo_at
from farpress.core.reach.ways_kernel import _FAINT, _NEAREST_M, _PARALLEL, _RIM_M, _end, _most_db, _series
from farpress.core.reach.ways_legs import _NO_TURN, _TOUCH_M, _cost, _ground, _leg, _meet, _rest
from farpress.core.reach.ways_packed import Packed, WallRow, _inside, _table
from farpress.core.reach.ways_work import (
    ImageRow,
    Leg,
    Met,
    Point,
    PointRow,
    Received,
    Route,
    Scratch,
    Setting,
    Tile,
)

__all__ = ["Bounce", "Echo"]


class Echo(NamedTuple):
    """An echo on its way to a tile.

    Attributes:
        image: the image it seems to come from.
        bright: the most that its walls throw back, against (wavelength / 4 pi)^2 for two walls.
        slab: share that a slab between lets through.
        through: share that its legs let through at most, where they keep between aerial and points.
        out, mid, back: what its legs may meet: from the aerial, between two walls, to the points.
    """

    image: ImageRow
    bright: float
    slab: float
    through: float
    out: Met
    mid: Met
    back: Met


class Bounce(NamedTuple):
    """Where a way is thrown back: by the wall at a point, at share t; by which slab (-1 for none), at share
    `turn`, before or behind the wall.
    """

    at_wall: Point
    t: float
    slab: int
    turn: float


def _single(
    setting: Setting,
    scratch: Scratch,
    spots: Sequence[PointRow],
    tile: Tile,
    echo: Echo,
    received: MutableSequence[Received],
) -> None:
    """Thrown back by one wall alone, or by it and a floor or ceiling, on the way out or in."""
    scene, a, wave = setting.scene, setting.aerial, setting.wave
    near = wave / (4.0 * math.pi)
    i = echo.image.i
    wall = scene.walls[i]
    da = _side(wall, a.x, a.y)
    ua = (a.x - wall.x1) * wall.ux + (a.y - wall.y1) * wall.uy
    for n in range(tile.first, tile.last):
        spot, here = spots[n], received[n]
        p = Point(spot.x, spot.y, spot.z)
        db = _side(wall, p.x, p.y)
        if da * db <= 0.0:
            continue
        whole = abs(da) + abs(db)
        t = abs(da) / whole
        along = (p.x - wall.x1) * wall.ux + (p.y - wall.y1) * wall.uy - ua
        u = ua + t * along
        if u < _RIM_M or u >= wall.length - _RIM_M:
            continue
        qx, qy = wall.x1 + u * wall.ux, wall.y1 + u * wall.uy
        flat = math.sqrt(along * along + whole * whole)
        soil = _ground(setting.ground, flat) if spot.open_air > 0 else 1.0
        count = -1
        for k in range(-1, len(scene.slabs)):
            rise, turn, floor = p.z - a.z, _NO_TURN, 0.0
            if k >= 0:
                floor = scene.slabs[k].z
                if (a.z - floor) * (p.z - floor) <= 0.0 or (spot.open_air > 0 and floor < a.z):
                    continue
                rise = 2.0 * floor - p.z - a.z
                turn = abs(a.z - floor) / abs(rise)
            way = math.sqrt(flat * flat + rise * rise)
            gain = (near / max(way, _NEAREST_M)) ** 2 * soil
            if gain * echo.bright < _FAINT * here.gain:
                here.left_out += gain * echo.bright
                continue
            z = a.z + t * rise
            if t > turn:
                z = 2.0 * floor - z
            gain *= _echo_at(scene.openings, scene.materials, wall, u, z, whole / way)
            if k >= 0:
                gain *= _table(scene.materials[scene.slabs[k].material].echo, abs(rise) / way)
            # by a floor it leaves the heights that `through` holds for
            sure = echo.slab * echo.through if k < 0 else echo.slab
            if gain * sure <= _FAINT * here.gain:
                here.left_out += gain * sure
                continue
            q = Point(qx, qy, z)
            bounce = Bounce(q, t, k, turn)
            if k >= 0 and not _is_on_slab(scene, a, p, bounce):
                continue
            if count < 0:
                out = Leg(a, q, _TOUCH_M, 0.0, i, -1, 0.0, t)
                back = Leg(q, p, 0.0, _TOUCH_M, i, -1, t, 1.0)
                count = _meet(scene.walls, scratch.lists, echo.out, out, scratch.hits, 0)
                count = _meet(scene.walls, scratch.lists, echo.back, back, scratch.hits, count)
            most = _most_db(gain, here)
            route = Route(way, flat / way, a.z, rise, turn, floor)
            loss, v = _cost(scene, scratch.hits, count, route, most, wave)
            if loss <= most and (k >= 0 or not tile.is_clear):
                loss, v = _beside_walls(setting, scratch.lists, echo, p, bounce, loss, v)
            added = _end(here, gain, loss, v, most)
            if k < 0:
                here.reflected += added
            else:
                here.higher += added


def _on_slab(a: Point, p: Point, bounce: Bounce) -> tuple[float, float]:
    """Where on the plan a way meets the slab that throws it back, before or behind the wall."""
    q, t, turn = bounce.at_wall, bounce.t, bounce.turn
    if turn < t:
        return a.x + turn / t * (q.x - a.x), a.y + turn / t * (q.y - a.y)
    share = (turn - t) / (1.0 - t)
    return q.x + share * (p.x - q.x), q.y + share * (p.y - q.y)


def _is_on_slab(scene: Packed, a: Point, p: Point, bounce: Bounce) -> bool:
    """Whether a way meets the slab that throws it back, and not the air beside it."""
    slab = scene.slabs[bounce.slab]
    if slab.corner_end <= slab.corner:
        return True
    x, y = _on_slab(a, p, bounce)
    return _inside(scene.corners, slab.corner, slab.corner_end, x, y)


def _beside_walls(
    setting: Setting, lists: Sequence[int], echo: Echo, p: Point, bounce: Bounce, loss: float, variance: float
) -> tuple[float, float]:
    """Loss [dB] and variance [dB^2] of an echo of one wall, slabs and boxes on all its legs added."""
    scene, a, wave = setting.scene, setting.aerial, setting.wave
    q, k = bounce.at_wall, bounce.slab
    if k < 0:
        out, v1 = _rest(scene, lists, echo.out, a, q, -1, wave)
        back, v2 = _rest(scene, lists, echo.back, q, p, -1, wave)
        return loss + out + back, variance + v1 + v2
    x, y = _on_slab(a, p, bounce)
    first, second, met = q, Point(x, y, scene.slabs[k].z), echo.back
    if bounce.turn < bounce.t:
        first, second, met = second, first, echo.out
    out, v1 = _rest(scene, lists, echo.out, a, first, k, wave)
    mid, v2 = _rest(scene, lists, met, first, second, k, wave)
    back, v3 = _rest(scene, lists, echo.back, second, p, k, wave)
    return loss + out + mid + back, variance + v1 + v2 + v3


def _onward(scene: Packed, wall_i: WallRow, wall_j: WallRow, a: Point, p: Point, way: float) -> float:
    """What two parallel walls that have thrown a way `way` [m] long to each other once go on to throw,
    from the
    third echo on, over what that way brought; 0 where they do not stand on both sides of it all along.

    Openings, and what stands between, are taken as that way met them.
    """
    da, dp = _side(wall_i, a.x, a.y), _side(wall_i, p.x, p.y)
    apart = abs(_side(wall_i, wall_j.x1, wall_j.y1))
    near, far = abs(da), abs(dp)
    if da * dp <= 0.0 or far >= apart or near >= apart:
        return 0.0
    if not (_is_along(wall_i, a, p) and _is_along(wall_j, a, p)):
        return 0.0
    along2 = max(way * way - (near + 2.0 * apart - far) ** 2, 0.0)
    first, second = scene.materials[wall_i.material].echo, scene.materials[wall_j.material].echo
    return _series(first, second, near, far, apart, along2)


def _is_along(wall: WallRow, a: Point, p: Point) -> bool:
    """Whether a wall stands beside the whole way from a to p."""
    u = (a.x - wall.x1) * wall.ux + (a.y - wall.y1) * wall.uy
    v = (p.x - wall.x1) * wall.ux + (p.y - wall.y1) * wall.uy
    return min(u, v) >= 0.0 and max(u, v) <= wall.length


def _double(
    setting: Setting,
    scratch: Scratch,
    spots: Sequence[PointRow],
    tile: Tile,
    echo: Echo,
    received: MutableSequence[Received],
) -> None:
    """Thrown back by wall i and then by wall j, at the points of a tile."""
    scene, a = setting.scene, setting.aerial
    near = setting.wave / (4.0 * math.pi)
    image = echo.image
    i, j, dm = image.i, image.j, image.side
    wall_i, wall_j = scene.walls[i], scene.walls[j]
    da = _side(wall_i, a.x, a.y)
    # the leg in which the way to the point before was given up: neighbours mostly fail at the same walls
    dearest = 2
    for n in range(tile.first, tile.last):
        spot, here = spots[n], received[n]
        p = Point(spot.x, spot.y, spot.z)
        dp = _side(wall_j, p.x, p.y)
        if dm * dp <= 0.0:
            continue
        t = abs(dm) / (abs(dm) + abs(dp))
        q = Point(image.kx + t * (p.x - image.kx), image.ky + t * (p.y - image.ky), a.z + t * (p.z - a.z))
        u = (q.x - wall_j.x1) * wall_j.ux + (q.y - wall_j.y1) * wall_j.uy
        if u < _RIM_M or u >= wall_j.length - _RIM_M:
            continue
        dq = _side(wall_i, q.x, q.y)
        if da * dq <= 1e-6 * abs(da):  # two sheets in one place throw nothing to each other
            continue
        share = abs(da) / (abs(da) + abs(dq))
        tr = share * t
        r = Point(
            image.mx + share * (q.x - image.mx), image.my + share * (q.y - image.my), a.z + tr * (p.z - a.z)
        )
        u_i = (r.x - wall_i.x1) * wall_i.ux + (r.y - wall_i.y1) * wall_i.uy
        if u_i < _RIM_M or u_i >= wall_i.length - _RIM_M:
            continue
        flat = math.sqrt((p.x - image.kx) ** 2 + (p.y - image.ky) ** 2)
        way = math.sqrt(flat * flat + (p.z - a.z) ** 2)
        soil = _ground(setting.ground, flat) if spot.open_air > 0 else 1.0
        if echo.bright * soil < _FAINT * here.gain * way * way:
            here.left_out += echo.bright * soil / (way * way)
            continue
        gain = (near / max(way, _NEAREST_M)) ** 2 * soil
        gain *= _echo_at(scene.openings, scene.materials, wall_j, u, q.z, (abs(dm) + abs(dp)) / way)
        gain *= _echo_at(scene.openings, scene.materials, wall_i, u_i, r.z, abs(da) / max(tr * way, 1e-9))
        if gain * echo.through <= _FAINT * here.gain:
            here.left_out += gain * echo.through
            continue
        most = _most_db(gain, here)
        loss, variance, k = 0.0, 0.0, 0
        while k < 3 and loss <= most:
            which = (dearest + k) % 3
            k += 1
            leg, met = Leg(q, p, 0.0, _TOUCH_M, -1, j, t, 1.0), echo.back
            if which == 0:
                leg, met = Leg(a, r, _TOUCH_M, 0.0, i, -1, 0.0, tr), echo.out
            elif which == 1:
                leg, met = Leg(r, q, 0.0, 0.0, i, j, tr, t), echo.mid
            part, v = _leg(scene, scratch, met, leg, way, most - loss, setting.wave)
            loss, variance = loss + part, variance + v
            if loss > most:
                dearest = which
        added = _end(here, gain, loss, variance, most)
        here.higher += added
        if added > 0.0 and abs(wall_i.ux * wall_j.ux + wall_i.uy * wall_j.uy) > _PARALLEL:
            on = _onward(scene, wall_i, wall_j, a, p, way)
            here.guided += added if on > 0.0 else 0.0
            here.onward += added * on
