"""The outermost loops of `ways`: tile after tile; and what is looked up once for a whole map."""

from __future__ import annotations

import math
from collections.abc import MutableSequence, Sequence
from typing import NamedTuple

from farpress.core.reach.ways_cones import _cone, _holds, _rims, _side, _towards
from farpress.core.reach.ways_edges import _shadow
from farpress.core.reach.ways_kernel import _FEW, _NEAREST_M, _straight
from farpress.core.reach.ways_legs import _TOUCH_M
from farpress.core.reach.ways_packed import _TO_SHARE, _square
from farpress.core.reach.ways_thrown import _picked, _thrown_back
from farpress.core.reach.ways_work import (
    Area,
    Bundle,
    Fan,
    HeightBand,
    ImageRow,
    Met,
    Mirrors,
    PointRow,
    Received,
    Scratch,
    Setting,
    Sides,
    Tile,
)
from farpress.sources import Mark, cites

__all__ = ["Extent"]

_MOST_RATIO = 0.5
_BESIDE_M = 0.051  # a hair more than what counts as in a wall


class Extent(NamedTuple):
    """What every way of a map keeps within: an area of the plan that holds every point and wall, the heights
    of ways without a floor, and those of every way [m].
    """

    area: Area
    low: float
    high: float
    bottom: float
    top: float


@cites("Ways from an aerial to points, as said in `ways`", mark=Mark.COMPUTED)
def _each_tile(
    setting: Setting,
    mirrors: Mirrors,
    spots: MutableSequence[PointRow],
    firsts: Sequence[int],
    groups: Sequence[int],
    share: Met,
    scratch: Scratch,
    received: MutableSequence[Received],
) -> None:
    """Fill what arrives at the points of some tiles.

    Args:
        setting: scene, aerial, ground and wavelength.
        mirrors: images, and which walls their legs can meet.
        spots: the points, in the order of the tiles.
        firsts: first point of each tile, and the number of points.
        groups: first tile of each group of neighbours, and the number of tiles.
        share: the groups meant.
        scratch: lists, with the list of all walls and boxes in front, and room.
        received: filled, for each point.
    """
    count = len(setting.scene.walls) + len(setting.scene.boxes)
    deeper = Scratch(scratch.lists, scratch.room + count, scratch.picked, scratch.hits)
    for group in range(share.begun, share.ended):
        begun, ended = groups[group], groups[group + 1]
        for number in range(begun, ended):
            tile, is_over = _tile(setting, spots, firsts[number], firsts[number + 1])
            if _off_walls(setting, spots, tile):
                tile, is_over = _tile(setting, spots, firsts[number], firsts[number + 1])
            met = _in_sight(setting, scratch, tile, is_over)
            _straight(setting, scratch, spots, tile, met, received)
            _shadow(setting, mirrors.edge_lists, deeper, spots, tile, met, received)
        whole, _ = _tile(setting, spots, firsts[begun], firsts[ended])
        for order in range(2):
            images = Met(0, mirrors.singles) if order == 0 else Met(mirrors.singles, len(mirrors.images))
            picked = _picked(setting, mirrors, scratch, whole, images, ended - begun > 1, received)
            for number in range(begun, ended):
                tile, _ = _tile(setting, spots, firsts[number], firsts[number + 1])
                _thrown_back(setting, mirrors, scratch, picked, spots, tile, received)
        for n in range(firsts[begun], firsts[ended]):
            _summed(setting, spots[n], received[n])


def _in_sight(setting: Setting, scratch: Scratch, tile: Tile, is_over: bool) -> Met:
    """What may stand between the aerial and a tile."""
    scene, a = setting.scene, setting.aerial
    everything = Met(0, len(scene.walls) + len(scene.boxes))
    if tile.last - tile.first <= _FEW:
        return everything
    fan = _rims(a.x, a.y, tile.area)
    band = HeightBand(tile.bottom, 1e9 if is_over else tile.top, tile.low, tile.high)
    bundle, sides = Bundle(fan, tile.area, a.x, a.y, a.x, a.y), Sides(-1, 0.0, -1, 0.0)
    end, _, _ = _cone(scene, scratch.lists, everything, scratch.room, bundle, sides, band)
    return Met(scratch.room, end)


def _tile(setting: Setting, spots: Sequence[PointRow], first: int, last: int) -> tuple[Tile, bool]:
    """A tile, and whether a way over the roof leads to any of its points."""
    scene, a = setting.scene, setting.aerial
    west, east, south, north, low, high = 1e30, -1e30, 1e30, -1e30, 1e30, -1e30
    is_open_air, is_over = False, False
    for n in range(first, last):
        spot = spots[n]
        west, east = min(west, spot.x), max(east, spot.x)
        south, north = min(south, spot.y), max(north, spot.y)
        low, high = min(low, spot.z), max(high, spot.z)
        is_open_air, is_over = is_open_air or spot.open_air > 0, is_over or spot.open_air > 1
    p_low, p_high = low, high
    low, high = min(low, a.z), max(high, a.z)
    bottom, top, is_clear = low, high, len(scene.boxes) == 0
    for k in range(len(scene.slabs)):
        z = scene.slabs[k].z
        bottom, top = min(bottom, z), max(top, z)
        is_clear = is_clear and not low < z < high
    is_under = False
    if setting.between >= 0:
        slab = scene.slabs[setting.between]
        is_under = (
            _holds(scene, slab, west, south)
            and _holds(scene, slab, east, south)
            and _holds(scene, slab, west, north)
            and _holds(scene, slab, east, north)
        )
    area = Area(0.5 * (west + east), 0.5 * (south + north), 0.5 * (east - west), 0.5 * (north - south))
    tile = Tile(first, last, area, p_low, p_high, low, high, bottom, top, is_open_air, is_clear, is_under)
    return tile, is_over


def _off_walls(setting: Setting, spots: MutableSequence[PointRow], tile: Tile) -> bool:
    """Points in the line of a wall go to its far side, seen from the aerial: then the wall is paid for
    once, by the ways that lead through it; whether any did.
    """
    scene, a, area, moved = setting.scene, setting.aerial, tile.area, False
    for i in range(len(scene.walls)):
        wall = scene.walls[i]
        half = abs(wall.uy) * area.half_x + abs(wall.ux) * area.half_y
        if abs(_side(wall, area.x, area.y)) >= half + _TOUCH_M:
            continue
        for n in range(tile.first, tile.last):
            spot = spots[n]
            off = _side(wall, spot.x, spot.y)
            if abs(off) >= _TOUCH_M or spot.z < wall.base or spot.z > wall.top:
                continue
            u = (spot.x - wall.x1) * wall.ux + (spot.y - wall.y1) * wall.uy
            if u < 0.0 or u >= wall.length:
                continue
            move = (-_BESIDE_M if _side(wall, a.x, a.y) > 0.0 else _BESIDE_M) - off
            spot.x += move * wall.uy
            spot.y -= move * wall.ux
            moved = True
    return moved


def _summed(setting: Setting, spot: PointRow, here: Received) -> None:
    """The end of a point: echoes beyond the second as a geometric series, spread by power, and no more than
    the setting allows.
    """
    a = setting.aerial
    once, twice = here.reflected, here.higher
    ratio = min(twice / once, _MOST_RATIO) if once > 0.0 else _MOST_RATIO
    series = ratio / (1.0 - ratio)
    tail = (twice - here.guided) * series + max(here.onward, here.guided * series)
    here.spread = here.spread / here.gain if here.gain > 0.0 else 0.0
    way = math.sqrt(_square(spot.x - a.x) + _square(spot.y - a.y) + _square(spot.z - a.z))
    free = _square(setting.wave / (4.0 * math.pi) / max(way, _NEAREST_M))
    here.gain = min(here.gain + tail + here.echoed, setting.most * free)
    here.reflected = once + twice + here.by_floors + here.echoed
    here.higher = tail
    here.left_out *= 1.0 + max(here.again_upright, here.again_level)


@cites("Which walls every way from an aerial can meet", mark=Mark.COMPUTED)
def _look_ahead(setting: Setting, mirrors: Mirrors, lists: MutableSequence[int], extent: Extent) -> None:
    """For each image and edge the walls that a leg of it can meet, once for a whole map; where `lists` is
    full, all walls are left.

    Args:
        setting: scene, aerial, ground and wavelength.
        mirrors: images; what is known of them, and the lists of the edges, are filled in.
        lists: filled from behind the list of all.
        extent: what every way keeps within.
    """
    scene, a = setting.scene, setting.aerial
    count = len(scene.walls) + len(scene.boxes)
    end = count
    for n in range(len(mirrors.images)):
        if end + 3 * count > len(lists):
            return
        end = _of_image(setting, mirrors, n, lists, end, extent)
    band = HeightBand(extent.low, extent.high, extent.low, extent.high)
    for e in range(len(scene.edges)):
        if end + count > len(lists):
            return
        edge, begun = scene.edges[e], end
        bundle = _towards(scene, a.x, a.y, (edge.x, edge.y, edge.x, edge.y), -1)
        end, _, _ = _cone(scene, lists, Met(0, count), begun, bundle, Sides(-1, 0.0, -1, 0.0), band)
        span = mirrors.edge_lists[e]
        span.begun, span.ended = begun, end


def _of_image(
    setting: Setting, mirrors: Mirrors, n: int, lists: MutableSequence[int], begun: int, extent: Extent
) -> int:
    """What is known of image n: what its legs can meet, into the lists from `begun`, and what gets through at
    most; where the lists end.
    """
    scene, a = setting.scene, setting.aerial
    image, ahead, parent = mirrors.images[n], mirrors.ahead[n], mirrors.ahead[mirrors.images[n].parent]
    is_double = n >= mirrors.singles
    everything = Met(0, len(scene.walls) + len(scene.boxes))
    wall_i = scene.walls[image.i]
    sign_i = 1.0 if _side(wall_i, a.x, a.y) > 0.0 else -1.0
    sign = 1.0 if image.side > 0.0 else -1.0
    if setting.between >= 0 and _is_covered(setting, image):
        material = scene.materials[scene.slabs[setting.between].material]
        ahead.slab = math.exp(_TO_SHARE * material.least)
    band = HeightBand(extent.bottom, extent.top, extent.low, extent.high)
    out = everything
    if is_double:
        band = HeightBand(extent.low, extent.high, extent.low, extent.high)
        out = Met(parent.out, parent.out_end)
    ends = (image.right_xi, image.right_yi, image.left_xi, image.left_yi)
    bundle, sides = _towards(scene, a.x, a.y, ends, -1), Sides(-1, 0.0, image.i, sign_i)
    end, lost, _ = _cone(scene, lists, out, begun, bundle, sides, band)
    ahead.out, ahead.out_end = begun, end
    if is_double:
        ends = (image.right_x, image.right_y, image.left_x, image.left_y)
        bundle = _towards(scene, image.mx, image.my, ends, image.i)
        sides = Sides(image.i, sign_i, image.j, sign)
        begun = end
        end, more, _ = _cone(scene, lists, Met(parent.back, parent.back_end), begun, bundle, sides, band)
        ahead.mid, ahead.mid_end = begun, end
        ahead.through = math.exp(_TO_SHARE * (lost + more))
    rx, ry = image.right_x - image.kx, image.right_y - image.ky
    lx, ly = image.left_x - image.kx, image.left_y - image.ky
    r, left = max(math.hypot(rx, ry), 1e-12), max(math.hypot(lx, ly), 1e-12)
    fan = Fan(image.kx, image.ky, rx / r, ry / r, lx / left, ly / left)
    bundle = Bundle(fan, extent.area, image.right_x, image.right_y, image.left_x, image.left_y)
    begun = end
    end, _, _ = _cone(scene, lists, everything, begun, bundle, Sides(image.j, sign, -1, 0.0), band)
    ahead.back, ahead.back_end = begun, end
    return end


def _is_covered(setting: Setting, image: ImageRow) -> bool:
    """Whether the slab between covers the aerial and both pieces of wall that an image is thrown back by."""
    scene, a = setting.scene, setting.aerial
    slab = scene.slabs[setting.between]
    return (
        _holds(scene, slab, a.x, a.y)
        and _holds(scene, slab, image.right_x, image.right_y)
        and _holds(scene, slab, image.left_x, image.left_y)
        and _holds(scene, slab, image.right_xi, image.right_yi)
        and _holds(scene, slab, image.left_xi, image.left_yi)
    )
