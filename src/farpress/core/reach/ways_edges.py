"""Round upright edges and over the tops, for points in shadow: plain scalar code for `ways_tiles`."""

from __future__ import annotations

import math
from collections.abc import MutableSequence, Sequence

from farpress.core.reach.ways_cones import _cone, _rims, _side
from farpress.core.reach.ways_crossing import _edge
from farpress.core.reach.ways_kernel import _FAINT, _FEW, _NEAREST_M, _end, _most, _nothing
from farpress.core.reach.ways_legs import _TOUCH_M, _ground, _is_beyond, _leg
from farpress.core.reach.ways_packed import EdgeRow, _square
from farpress.core.reach.ways_work import (
    Bundle,
    Gains,
    HeightBand,
    Leg,
    ListSpan,
    Lost,
    Met,
    Point,
    PointRow,
    Received,
    Scratch,
    Setting,
    Sides,
    Tile,
)

__all__: list[str] = []

_SHADOW_DB = 6.0
_NO_WAY_DB = 999.0


def _shadow(
    setting: Setting,
    edge_lists: Sequence[ListSpan],
    scratch: Scratch,
    spots: Sequence[PointRow],
    tile: Tile,
    straight: Met,
    received: MutableSequence[Received],
) -> None:
    """Round corners and over the tops, for the points of a tile that lie in shadow."""
    scene, a, wave = setting.scene, setting.aerial, setting.wave
    some = False
    for n in range(tile.first, tile.last):
        some = some or received[n].straight_db > _SHADOW_DB
    if not some:
        return
    count, near = len(scene.walls) + len(scene.boxes), wave / (4.0 * math.pi)
    for e in range(len(scene.edges)):
        edge, back = scene.edges[e], Met(0, count)
        if tile.last - tile.first > _FEW:
            bundle = Bundle(_rims(edge.x, edge.y, tile.area), tile.area, edge.x, edge.y, edge.x, edge.y)
            sides, band = Sides(-1, 0.0, -1, 0.0), HeightBand(tile.low, tile.high, tile.low, tile.high)
            end, _, _ = _cone(scene, scratch.lists, back, scratch.room, bundle, sides, band)
            back = Met(scratch.room, end)
        out = Met(edge_lists[e].begun, edge_lists[e].ended)
        _round(setting, scratch, spots, tile, edge, out, back, received)
    for n in range(tile.first, tile.last):
        spot, here = spots[n], received[n]
        if spot.open_air < 2 or here.straight_db <= _SHADOW_DB:
            continue  # under a roof that is not drawn nothing goes over the top
        p = Point(spot.x, spot.y, spot.z)
        flat = math.sqrt(_square(p.x - a.x) + _square(p.y - a.y))
        length = max(math.sqrt(flat * flat + _square(p.z - a.z)), _NEAREST_M)
        free = _square(near / length) * _ground(setting.ground, flat)
        gain = Gains(0.5 * free, 0.5 * free)
        most = _most(gain, here)
        added = _end(here, gain, _over(setting, scratch, p, straight, length, most), most)
        here.over_tops += added.upright + added.level


def _round(
    setting: Setting,
    scratch: Scratch,
    spots: Sequence[PointRow],
    tile: Tile,
    edge: EdgeRow,
    out: Met,
    back: Met,
    received: MutableSequence[Received],
) -> None:
    """Round an upright edge to the points of a tile that lie in shadow, by two legs."""
    a, wave = setting.aerial, setting.wave
    near = wave / (4.0 * math.pi)
    d1 = math.sqrt(_square(edge.x - a.x) + _square(edge.y - a.y))
    if d1 < 0.1:
        return
    for n in range(tile.first, tile.last):
        spot, here = spots[n], received[n]
        p = Point(spot.x, spot.y, spot.z)
        d2 = math.sqrt(_square(edge.x - p.x) + _square(edge.y - p.y))
        if d2 < 0.1 or here.straight_db <= _SHADOW_DB:
            continue
        corner = Point(edge.x, edge.y, a.z + (p.z - a.z) * d1 / (d1 + d2))
        if corner.z < edge.base or corner.z > edge.top:
            continue
        flat = math.sqrt(_square(p.x - a.x) + _square(p.y - a.y))
        length = max(math.sqrt(flat * flat + _square(p.z - a.z)), _NEAREST_M)
        way = math.sqrt(_square(d1 + d2) + _square(p.z - a.z))
        gain = (
            _square(near / max(way, _NEAREST_M))
            * _edge(2.0 * math.sqrt(max(way - length, 0.0) / wave))
            * (_ground(setting.ground, flat) if spot.open_air > 0 else 1.0)
        )
        if gain <= _FAINT * here.gain:
            here.left_out += gain
            continue
        each = Gains(0.5 * gain, 0.5 * gain)
        most = _most(each, here)
        there = math.sqrt(d1 * d1 + _square(corner.z - a.z))
        leg = Leg(a, corner, _TOUCH_M, 0.0, -1, -1, 0.0, 1.0)
        lost = _leg(setting.scene, scratch, out, leg, there, _nothing(), most, wave)
        if not _is_beyond(lost, most):
            on = math.sqrt(d2 * d2 + _square(p.z - corner.z))
            leg = Leg(corner, p, 0.0, _TOUCH_M, -1, -1, 0.0, 1.0)
            lost = _leg(setting.scene, scratch, back, leg, on, lost, most, wave)
        added = _end(here, each, lost, most)
        here.round_edges += added.upright + added.level


def _over(setting: Setting, scratch: Scratch, p: Point, met: Met, length: float, most: Lost) -> Lost:
    """What is lost over the tops of every wall between, by one edge in place of all (Bullington)."""
    scene, a, wave = setting.scene, setting.aerial, setting.wave
    dx, dy, dz = p.x - a.x, p.y - a.y, p.z - a.z
    steep_a, steep_p, wall_a, wall_p, t_a, t_p = -1e9, -1e9, -1, -1, 0.0, 0.0
    for n in range(met.begun, met.ended):
        i = scratch.lists[n]
        if i >= len(scene.walls):
            break
        wall = scene.walls[i]
        da, db = _side(wall, a.x, a.y), _side(wall, p.x, p.y)
        if da * db >= 0.0 or wall.is_low:  # over a free-standing wall the straight leg goes itself
            continue
        t = da / (da - db)
        u = (a.x + t * dx - wall.x1) * wall.ux + (a.y + t * dy - wall.y1) * wall.uy
        if u < 0.0 or u >= wall.length or min(t, 1.0 - t) * length < 0.1:
            continue
        up_a, up_p = (wall.top - a.z) / (t * length), (wall.top - p.z) / ((1.0 - t) * length)
        if up_a > steep_a:
            steep_a, wall_a, t_a = up_a, i, t
        if up_p > steep_p:
            steep_p, wall_p, t_p = up_p, i, t
    if wall_a < 0 or steep_a + steep_p <= 1e-6:
        return Lost(_NO_WAY_DB, _NO_WAY_DB, 0.0)
    before = min(max((dz + steep_p * length) / (steep_a + steep_p), 0.05 * length), 0.95 * length)
    high = a.z + steep_a * before - (a.z + dz * before / length)
    edge = -10.0 * math.log10(_edge(high * math.sqrt(2.0 * length / (wave * before * (length - before)))))
    if wall_a != wall_p:
        edge += 10.0 * (1.0 - math.exp(-edge / 6.0))
    lost = Lost(edge, edge, 0.0)
    if _is_beyond(lost, most):
        return lost
    top_a = Point(a.x + t_a * dx, a.y + t_a * dy, scene.walls[wall_a].top + 0.05)
    top_p = Point(a.x + t_p * dx, a.y + t_p * dy, scene.walls[wall_p].top + 0.05)
    flat = math.sqrt(_square(dx) + _square(dy))
    up_m = math.sqrt(_square(t_a * flat) + _square(top_a.z - a.z))
    down_m = math.sqrt(_square((1.0 - t_p) * flat) + _square(top_p.z - p.z))
    leg = Leg(a, top_a, _TOUCH_M, 0.0, wall_a, wall_p, 0.0, 1.0)
    lost = _leg(scene, scratch, met, leg, up_m, lost, most, wave)
    leg = Leg(top_p, p, 0.0, _TOUCH_M, wall_a, wall_p, 0.0, 1.0)
    return _leg(scene, scratch, met, leg, down_m, lost, most, wave)
