"""Which echoes of walls can matter at a tile of points: plain scalar code for `ways_tiles`.

Each image comes with what its walls throw back at most and its legs lose at least.
"""

from __future__ import annotations

import math
from collections.abc import MutableSequence, Sequence
from typing import NamedTuple

from farpress.core.reach.ways_cones import _cone, _on_wall, _rims, _side, _towards
from farpress.core.reach.ways_echoes import Echo
from farpress.core.reach.ways_kernel import _FAINT, _FEW, _NEAREST_M, _darkest
from farpress.core.reach.ways_packed import _TO_SHARE, STEPS, Packed, _square
from farpress.core.reach.ways_shared import _echo
from farpress.core.reach.ways_work import (
    Ahead,
    Bundle,
    Fan,
    HeightBand,
    ImageRow,
    Met,
    Mirrors,
    Point,
    PointRow,
    Received,
    Scratch,
    Setting,
    Sides,
    Tile,
)

__all__: list[str] = []

_SHARED = 0.1  # what brings less than that to all of a tile is followed once for each block of neighbours
_SURELY = 0.25  # a whole group is passed over only for what is that much fainter still: bounds there are wide


def _picked(
    setting: Setting,
    mirrors: Mirrors,
    scratch: Scratch,
    whole: Tile,
    images: Met,
    is_worth_it: bool,
    received: MutableSequence[Received],
) -> Met:
    """Which of the images number begun to ended may matter anywhere in a group of tiles, into the lists;
    those that are far too faint for all of it are counted as left out.
    """
    darkest, left_out, end = _SURELY * _darkest(received, whole), 0.0, scratch.picked
    for n in range(images.begun, images.ended):
        if is_worth_it:
            found = _brightest(setting, mirrors, n, whole, darkest)
            if found.brightest < _FAINT * darkest:
                left_out += found.brightest
                continue
        scratch.lists[end] = n
        end += 1
    if left_out > 0.0:
        for p in range(whole.first, whole.last):
            received[p].left_out += left_out
    return Met(scratch.picked, end)


class _AtMost(NamedTuple):
    """The most that an image can bring to a tile: 0 where it cannot reach it.

    Attributes:
        brightest: power with what its legs lose at least, of all floors together.
        bright: the most that its walls and the slab between leave, against (wavelength / 4 pi)^2.
        unhindered: power before any leg has lost anything.
        slab: share that the slab between lets through.
        out, back: heights of the legs before the last wall and behind it.
    """

    brightest: float
    bright: float
    unhindered: float
    slab: float
    out: HeightBand
    back: HeightBand


def _brightest(setting: Setting, mirrors: Mirrors, n: int, tile: Tile, darkest: float) -> _AtMost:
    """The most that image n can bring to a tile; the angle of the echo is looked at where that may matter."""
    scene, aerial = setting.scene, setting.aerial
    image, ahead = mirrors.images[n], mirrors.ahead[n]
    is_double = n >= mirrors.singles
    nowhere = HeightBand(1.0, -1.0, 0.0, 0.0)
    if not _can_reach(scene, image, tile):
        return _AtMost(0.0, 0.0, 0.0, 1.0, nowhere, nowhere)
    out_band, back_band = _heights(scene, aerial, image, tile, is_double)
    if out_band.low > out_band.high:
        return _AtMost(0.0, 0.0, 0.0, 1.0, nowhere, nowhere)
    slab = ahead.slab if tile.is_under else 1.0
    bright = image.bright * slab
    brightest = bright * (2.0 if tile.is_open_air else 1.0) / _apart2(aerial, image, tile)
    if brightest * ahead.through >= _FAINT * darkest:
        rise = max(tile.p_high - aerial.z, aerial.z - tile.p_low)
        if not is_double:
            rise = 2.0 * (tile.top - tile.bottom)
        share = _echo_at_most(scene, image, tile, rise)
        bright, brightest = bright * share, brightest * share
    floors = 1.0 if is_double else 1.0 + len(scene.slabs)
    return _AtMost(brightest * ahead.through * floors, bright, brightest, slab, out_band, back_band)


def _thrown_back(
    setting: Setting,
    mirrors: Mirrors,
    scratch: Scratch,
    picked: Met,
    spots: Sequence[PointRow],
    tile: Tile,
    received: MutableSequence[Received],
) -> None:
    """Echoes of some images, all of one wall or all of two, to the points of a tile."""
    near = setting.wave / (4.0 * math.pi)
    darkest, left_out = _darkest(received, tile), 0.0
    for place in range(picked.begun, picked.ended):
        n = scratch.lists[place]
        image, ahead = mirrors.images[n], mirrors.ahead[n]
        is_double = n >= mirrors.singles
        most = _brightest(setting, mirrors, n, tile, darkest)
        if most.brightest < _FAINT * darkest:
            left_out += most.brightest
            continue
        out, mid, back = (
            Met(ahead.out, ahead.out_end),
            Met(ahead.mid, ahead.mid_end),
            Met(ahead.back, ahead.back_end),
        )
        through, bound = 1.0, most.brightest
        if tile.last - tile.first > _FEW:
            out, mid, back, lost, lost_by_floors = _narrowed(
                setting, scratch, image, ahead, tile, most.out, most.back, is_double
            )
            through = math.exp(_TO_SHARE * lost)
            bound = most.unhindered * through
            if not is_double:
                bound += most.unhindered * math.exp(_TO_SHARE * lost_by_floors) * len(setting.scene.slabs)
            if bound < _FAINT * darkest:
                left_out += bound
                continue
        is_faint = tile.last - tile.first > _FEW and bound < _SHARED * darkest
        bright = most.bright * through if is_double else most.bright / (near * near)
        known = most.slab * through if is_double else through
        echo = Echo(image, bright, most.slab, known, is_faint, out, mid, back)
        _echo(setting, scratch, spots, tile, echo, received)
    for p in range(tile.first, tile.last):
        received[p].left_out += left_out


def _apart2(aerial: Point, image: ImageRow, tile: Tile) -> float:
    """Least square of the distance between an image and a tile, as the loops count it [m^2]."""
    area = tile.area
    apart2 = (
        _square(max(abs(area.x - image.kx) - area.half_x, 0.0))
        + _square(max(abs(area.y - image.ky) - area.half_y, 0.0))
        + _square(max(tile.low - aerial.z, aerial.z - tile.high, 0.0))
    )
    return max(apart2, _NEAREST_M * _NEAREST_M)


def _off_wall(scene: Packed, image: ImageRow, tile: Tile) -> tuple[float, float]:
    """Distance of a tile's middle from the last wall, to the side that its image shines on, and half of the
    tile square to it [m].
    """
    wall, area = scene.walls[image.j], tile.area
    sign = 1.0 if image.side > 0.0 else -1.0
    return sign * _side(wall, area.x, area.y), abs(wall.uy) * area.half_x + abs(wall.ux) * area.half_y


def _can_reach(scene: Packed, image: ImageRow, tile: Tile) -> bool:
    """Whether any of a tile lies on the right side of the last wall, and between the rims of its piece."""
    off, half = _off_wall(scene, image, tile)
    if off + half <= 0.0:
        return False
    area = tile.area
    mx, my = area.x - image.kx, area.y - image.ky
    rx, ry = image.right_x - image.kx, image.right_y - image.ky
    lx, ly = image.left_x - image.kx, image.left_y - image.ky
    return (
        rx * my - ry * mx + abs(rx) * area.half_y + abs(ry) * area.half_x >= -1e-9
        and lx * my - ly * mx - abs(lx) * area.half_y - abs(ly) * area.half_x <= 1e-9
    )


def _heights(
    scene: Packed, aerial: Point, image: ImageRow, tile: Tile, is_double: bool
) -> tuple[HeightBand, HeightBand]:
    """The heights of the legs before the last wall and behind it; the first band is empty where the way runs
    under or over that wall.
    """
    if not is_double:
        band = HeightBand(tile.bottom, tile.top, tile.low, tile.high)
        return band, band
    wall = scene.walls[image.j]
    off, half = _off_wall(scene, image, tile)
    # the heights at which it is thrown back last
    t_low = abs(image.side) / (abs(image.side) + off + half)
    t_high = abs(image.side) / (abs(image.side) + max(off - half, 0.0))
    up, down = tile.p_high - aerial.z, tile.p_low - aerial.z
    low = aerial.z + min(t_low * down, t_high * down)
    high = aerial.z + max(t_low * up, t_high * up)
    if high < wall.base or low > wall.top:
        return HeightBand(1.0, -1.0, 0.0, 0.0), HeightBand(1.0, -1.0, 0.0, 0.0)
    out_low, out_high = min(aerial.z, low), max(aerial.z, high)
    back_low, back_high = min(tile.p_low, low), max(tile.p_high, high)
    return HeightBand(out_low, out_high, out_low, out_high), HeightBand(
        back_low, back_high, back_low, back_high
    )


def _echo_at_most(scene: Packed, image: ImageRow, tile: Tile, rise: float) -> float:
    """Share of power thrown back at most by the walls of an image, against their strongest echoes, where a
    way rises by no more than `rise`.
    """
    area = tile.area
    dx, dy = area.x - image.kx, area.y - image.ky
    longest = math.sqrt(_square(abs(dx) + area.half_x) + _square(abs(dy) + area.half_y) + rise * rise)
    wall_i, wall_j = scene.walls[image.i], scene.walls[image.j]
    off, half = _off_wall(scene, image, tile)
    across = abs(image.side) + max(off - half, 0.0)
    share = _strongest(scene, wall_j.echoes, across / longest)
    if image.i == image.j:
        return share
    nx, ny = wall_j.uy, -wall_j.ux  # wall i as its neighbour shows it
    ux, uy = wall_i.uy, -wall_i.ux
    twice = 2.0 * (ux * nx + uy * ny)
    ux, uy = ux - twice * nx, uy - twice * ny
    across = max(abs(dx * ux + dy * uy) - abs(ux) * area.half_x - abs(uy) * area.half_y, 0.0)
    return share * _strongest(scene, wall_i.echoes, across / longest)


def _strongest(scene: Packed, echoes: int, cosine: float) -> float:
    """The strongest echo from a cosine on, against the strongest of all."""
    strongest = scene.echoes[echoes].strongest
    return strongest[min(int(cosine * (STEPS - 1)), STEPS - 1)] / max(strongest[0], 1e-9)


def _piece(image: ImageRow, tile: Tile) -> Fan:
    """The fan from the last image that reaches a tile through the piece of the last wall."""
    rx, ry = image.right_x - image.kx, image.right_y - image.ky
    lx, ly = image.left_x - image.kx, image.left_y - image.ky
    fan = _rims(image.kx, image.ky, tile.area)
    tx, ty, ux, uy = fan.right_x, fan.right_y, fan.left_x, fan.left_y
    r, left = math.sqrt(rx * rx + ry * ry), math.sqrt(lx * lx + ly * ly)
    if (tx == 0.0 and ty == 0.0) or rx * ty - ry * tx < 0.0:
        tx, ty = rx / max(r, 1e-12), ry / max(r, 1e-12)
    if (ux == 0.0 and uy == 0.0) or lx * uy - ly * ux > 0.0:
        ux, uy = lx / max(left, 1e-12), ly / max(left, 1e-12)
    return Fan(image.kx, image.ky, tx, ty, ux, uy)


def _narrowed(
    setting: Setting,
    scratch: Scratch,
    image: ImageRow,
    ahead: Ahead,
    tile: Tile,
    out_band: HeightBand,
    back_band: HeightBand,
    is_double: bool,
) -> tuple[Met, Met, Met, float, float]:
    """What the legs of an echo to this tile may meet: from the aerial, between two walls, to the points; and
    what all of them lose at least [dB], without a floor and by a floor.
    """
    scene, aerial, lists = setting.scene, setting.aerial, scratch.lists
    wall_i, wall_j = scene.walls[image.i], scene.walls[image.j]
    sign = 1.0 if image.side > 0.0 else -1.0
    sign_i = 1.0 if _side(wall_i, aerial.x, aerial.y) > 0.0 else -1.0
    fan = _piece(image, tile)
    qx, qy = _on_wall(wall_j, fan.x, fan.y, fan.right_x, fan.right_y)
    px, py = _on_wall(wall_j, fan.x, fan.y, fan.left_x, fan.left_y)
    end, lost, by_floors = _cone(
        scene,
        lists,
        Met(ahead.back, ahead.back_end),
        scratch.room,
        Bundle(fan, tile.area, qx, qy, px, py),
        Sides(image.j, sign, -1, 0.0),
        back_band,
    )
    back, mid = Met(scratch.room, end), Met(ahead.mid, ahead.mid_end)
    if is_double:
        bundle = _towards(scene, image.mx, image.my, (qx, qy, px, py), image.i)
        sides = Sides(image.i, sign_i, image.j, sign)
        end, more, _ = _cone(scene, lists, mid, back.ended, bundle, sides, out_band)
        mid, lost = Met(back.ended, end), lost + more
        qx, qy = _on_wall(wall_i, image.mx, image.my, qx - image.mx, qy - image.my)
        px, py = _on_wall(wall_i, image.mx, image.my, px - image.mx, py - image.my)
    begun = end
    bundle = _towards(scene, aerial.x, aerial.y, (qx, qy, px, py), -1)
    sides = Sides(-1, 0.0, image.i, sign_i)
    end, more, more_by_floors = _cone(
        scene, lists, Met(ahead.out, ahead.out_end), begun, bundle, sides, out_band
    )
    return Met(begun, end), mid, back, lost + more, by_floors + more_by_floors
