"""Echoes of one wall and of two at the points of a tile, with or without a floor between: plain scalar code
for `ways_thrown`.

No leg is followed where what the walls throw back at most and the legs lose at least alone makes
the way faint.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from farpress.core.reach.ways_cones import _side
from farpress.core.reach.ways_crossing import _echo_at
from farpress.core.reach.ways_kernel import (
    _FAINT,
    _NEAREST_M,
    _PARALLEL,
    _RIM_M,
    _echoed,
    _end,
    _most,
    _nothing,
    _series,
)
from farpress.core.reach.ways_legs import _NO_TURN, _TOUCH_M, _cost, _ground, _is_beyond, _leg, _meet, _rest
from farpress.core.reach.ways_packed import Packed, WallRow, _inside, _square
from farpress.core.reach.ways_work import (
    Gains,
    ImageRow,
    Leg,
    Lost,
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
        is_faint: whether it is so faint all over the tile that neighbours may share what it brings.
        out, mid, back: what its legs may meet: from the aerial, between two walls, to the points.
    """

    image: ImageRow
    bright: float
    slab: float
    through: float
    is_faint: bool
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
    setting: Setting, scratch: Scratch, spot: PointRow, tile: Tile, echo: Echo, here: Received
) -> None:
    """Thrown back by one wall alone, or by it and a floor or ceiling, on the way out or in."""
    scene, a, wave = setting.scene, setting.aerial, setting.wave
    near = wave / (4.0 * math.pi)
    i = echo.image.i
    wall = scene.walls[i]
    da = _side(wall, a.x, a.y)
    ua = (a.x - wall.x1) * wall.ux + (a.y - wall.y1) * wall.uy
    p = Point(spot.x, spot.y, spot.z)
    db = _side(wall, p.x, p.y)
    if da * db <= 0.0:
        return
    whole = abs(da) + abs(db)
    t = abs(da) / whole
    along = (p.x - wall.x1) * wall.ux + (p.y - wall.y1) * wall.uy - ua
    u = ua + t * along
    if u < _RIM_M or u >= wall.length - _RIM_M:
        return
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
        gain = _square(near / max(way, _NEAREST_M)) * soil
        if gain * echo.bright < _FAINT * here.gain:
            here.left_out += gain * echo.bright
            continue
        z = a.z + t * rise
        if t > turn:
            z = 2.0 * floor - z
        upright, level = _echo_at(scene.openings, scene.materials, wall, u, z, whole / way)
        thrown = Gains(0.5 * gain * upright, 0.5 * gain * level)
        if k >= 0:
            thrown = _echoed(thrown, scene.materials[scene.slabs[k].material], abs(rise) / way)
        # by a floor it leaves the heights that `through` holds for
        sure = echo.slab * echo.through if k < 0 else echo.slab
        gain = thrown.upright + thrown.level
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
        most = _most(thrown, here)
        route = Route(way, flat / way, a.z, rise, turn, floor)
        lost = _cost(scene, scratch.hits, count, route, _nothing(), most, wave)
        if not _is_beyond(lost, most) and (k >= 0 or not tile.is_clear):
            lost = _beside_walls(setting, scratch.lists, echo, p, bounce, lost)
        added = _end(here, thrown, lost, most)
        if k < 0:
            here.reflected += added.upright + added.level
            here.echoed += added.upright * here.more_upright + added.level * here.more_level
        else:
            here.higher += added.upright + added.level


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
    setting: Setting, lists: Sequence[int], echo: Echo, p: Point, bounce: Bounce, lost: Lost
) -> Lost:
    """What an echo of one wall has lost, slabs and boxes on all its legs added."""
    scene, a, wave = setting.scene, setting.aerial, setting.wave
    q, k = bounce.at_wall, bounce.slab
    if k < 0:
        lost = _rest(scene, lists, echo.out, a, q, -1, wave, lost)
        return _rest(scene, lists, echo.back, q, p, -1, wave, lost)
    x, y = _on_slab(a, p, bounce)
    first, second, met = q, Point(x, y, scene.slabs[k].z), echo.back
    if bounce.turn < bounce.t:
        first, second, met = second, first, echo.out
    lost = _rest(scene, lists, echo.out, a, first, k, wave, lost)
    lost = _rest(scene, lists, met, first, second, k, wave, lost)
    return _rest(scene, lists, echo.back, second, p, k, wave, lost)


def _onward(
    scene: Packed, wall_i: WallRow, wall_j: WallRow, a: Point, p: Point, way: float, added: Gains
) -> float:
    """What two parallel walls that have thrown a way `way` [m] long to each other once go on to throw, from
    the third echo on, where that way has `added` so much; 0 where they do not stand on both sides of it all
    along.

    Openings, and what stands between, are taken as that way met them.
    """
    da, dp = _side(wall_i, a.x, a.y), _side(wall_i, p.x, p.y)
    apart = abs(_side(wall_i, wall_j.x1, wall_j.y1))
    near, far = abs(da), abs(dp)
    if da * dp <= 0.0 or far >= apart or near >= apart:
        return 0.0
    if not (_is_along(wall_i, a, p) and _is_along(wall_j, a, p)):
        return 0.0
    along2 = max(way * way - _square(near + 2.0 * apart - far), 0.0)
    first, second = scene.materials[wall_i.material], scene.materials[wall_j.material]
    return _series(first, second, near, far, apart, along2, added)


def _is_along(wall: WallRow, a: Point, p: Point) -> bool:
    """Whether a wall stands beside the whole way from a to p."""
    u = (a.x - wall.x1) * wall.ux + (a.y - wall.y1) * wall.uy
    v = (p.x - wall.x1) * wall.ux + (p.y - wall.y1) * wall.uy
    return min(u, v) >= 0.0 and max(u, v) <= wall.length


def _double(
    setting: Setting, scratch: Scratch, spot: PointRow, echo: Echo, here: Received, dearest: int
) -> int:
    """Thrown back by wall i and then by wall j, the dearest leg first; the leg in which it was given up."""
    scene, a = setting.scene, setting.aerial
    near = setting.wave / (4.0 * math.pi)
    image = echo.image
    i, j, dm = image.i, image.j, image.side
    wall_i, wall_j = scene.walls[i], scene.walls[j]
    da = _side(wall_i, a.x, a.y)
    p = Point(spot.x, spot.y, spot.z)
    dp = _side(wall_j, p.x, p.y)
    if dm * dp <= 0.0:
        return dearest
    t = abs(dm) / (abs(dm) + abs(dp))
    q = Point(image.kx + t * (p.x - image.kx), image.ky + t * (p.y - image.ky), a.z + t * (p.z - a.z))
    u = (q.x - wall_j.x1) * wall_j.ux + (q.y - wall_j.y1) * wall_j.uy
    if u < _RIM_M or u >= wall_j.length - _RIM_M:
        return dearest
    dq = _side(wall_i, q.x, q.y)
    if da * dq <= 1e-6 * abs(da):  # two sheets in one place throw nothing to each other
        return dearest
    share = abs(da) / (abs(da) + abs(dq))
    tr = share * t
    r = Point(
        image.mx + share * (q.x - image.mx), image.my + share * (q.y - image.my), a.z + tr * (p.z - a.z)
    )
    u_i = (r.x - wall_i.x1) * wall_i.ux + (r.y - wall_i.y1) * wall_i.uy
    if u_i < _RIM_M or u_i >= wall_i.length - _RIM_M:
        return dearest
    flat = math.sqrt(_square(p.x - image.kx) + _square(p.y - image.ky))
    way = math.sqrt(flat * flat + _square(p.z - a.z))
    soil = _ground(setting.ground, flat) if spot.open_air > 0 else 1.0
    if echo.bright * soil < _FAINT * here.gain * way * way:
        here.left_out += echo.bright * soil / (way * way)
        return dearest
    each = 0.5 * _square(near / max(way, _NEAREST_M)) * soil
    upright, level = _echo_at(scene.openings, scene.materials, wall_j, u, q.z, (abs(dm) + abs(dp)) / way)
    upright_i, level_i = _echo_at(
        scene.openings, scene.materials, wall_i, u_i, r.z, abs(da) / max(tr * way, 1e-9)
    )
    thrown = Gains(each * upright * upright_i, each * level * level_i)
    gain = thrown.upright + thrown.level
    if gain * echo.through <= _FAINT * here.gain:
        here.left_out += gain * echo.through
        return dearest
    most = _most(thrown, here)
    lost, k, first = _nothing(), 0, dearest
    while k < 3 and not _is_beyond(lost, most):
        which = (first + k) % 3
        k += 1
        leg, met = Leg(q, p, 0.0, _TOUCH_M, -1, j, t, 1.0), echo.back
        if which == 0:
            leg, met = Leg(a, r, _TOUCH_M, 0.0, i, -1, 0.0, tr), echo.out
        elif which == 1:
            leg, met = Leg(r, q, 0.0, 0.0, i, j, tr, t), echo.mid
        lost = _leg(scene, scratch, met, leg, way, lost, most, setting.wave)
        if _is_beyond(lost, most):
            dearest = which
    arrives = _end(here, thrown, lost, most)
    added = arrives.upright + arrives.level
    here.higher += added
    here.echoed += arrives.upright * here.again_upright + arrives.level * here.again_level
    if added > 0.0 and abs(wall_i.ux * wall_j.ux + wall_i.uy * wall_j.uy) > _PARALLEL:
        on = _onward(scene, wall_i, wall_j, a, p, way, arrives)
        here.guided += added if on > 0.0 else 0.0
        here.onward += on
    return dearest
