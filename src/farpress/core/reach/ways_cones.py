"""Which walls and boxes a bundle of legs can meet at all, and what every leg of it loses at least: plain
scalar code for `ways_kernel`.

A bundle starts at one point of the plan, or as if from it (an image), and ends in a small box.
What it cannot meet is left out before any leg is followed; nothing here changes a number.
"""

from __future__ import annotations

import math
from collections.abc import MutableSequence

from farpress.core.reach.ways_packed import STEPS, BoxRow, Packed, SlabRow, WallRow
from farpress.core.reach.ways_work import Area, Bundle, Fan, HeightBand, Met, Sides

__all__: list[str] = []

_PAD_M = 0.06


def _rims(x: float, y: float, area: Area) -> Fan:
    """The fan in which an area is seen from a point; from within, every direction."""
    if abs(area.x - x) <= area.half_x and abs(area.y - y) <= area.half_y:
        return Fan(x, y, 0.0, 0.0, 0.0, 0.0)
    rx, ry = area.x - x, area.y - y
    lx, ly = rx, ry
    for k in range(4):
        cx = area.x - x + (area.half_x if k % 2 == 0 else -area.half_x)
        cy = area.y - y + (area.half_y if k < 2 else -area.half_y)
        if rx * cy - ry * cx < 0.0:
            rx, ry = cx, cy
        if lx * cy - ly * cx > 0.0:
            lx, ly = cx, cy
    r, left = math.sqrt(rx * rx + ry * ry), math.sqrt(lx * lx + ly * ly)
    return Fan(x, y, rx / r, ry / r, lx / left, ly / left)


def _is_open(fan: Fan) -> bool:
    """Whether a fan holds every direction."""
    return fan.right_x == 0.0 and fan.right_y == 0.0


def _side(wall: WallRow, x: float, y: float) -> float:
    """Signed distance of a point from the line of a wall [m]."""
    return (x - wall.x1) * wall.uy - (y - wall.y1) * wall.ux


def _holds(scene: Packed, slab: SlabRow, x: float, y: float) -> bool:
    """Whether the outline of a slab bulges round a point, border and all; an endless one does. Never true
    where the outline is hollow there.
    """
    left, right = True, True
    j = slab.corner_end - 1
    for i in range(slab.corner, slab.corner_end):
        here, before = scene.corners[i], scene.corners[j]
        side = (here.x - before.x) * (y - before.y) - (here.y - before.y) * (x - before.x)
        left, right = left and side > -0.01, right and side < 0.01
        j = i
    return left or right


def _on_wall(wall: WallRow, x: float, y: float, dx: float, dy: float) -> tuple[float, float]:
    """Where the line from a point in a direction meets a wall; kept within the wall."""
    spread = dx * wall.uy - dy * wall.ux
    if abs(spread) < 1e-12:
        return wall.x1, wall.y1
    t = -((x - wall.x1) * wall.uy - (y - wall.y1) * wall.ux) / spread
    u = (x + t * dx - wall.x1) * wall.ux + (y + t * dy - wall.y1) * wall.uy
    u = min(max(u, 0.0), wall.length)
    return wall.x1 + u * wall.ux, wall.y1 + u * wall.uy


def _spans(scene: Packed, wall: WallRow, u_low: float, u_high: float, cosine: float) -> float:
    """What every ray between two places along a wall, at no more than this cosine of the angle, loses in it
    at least [dB].
    """
    for o in range(wall.opening, wall.opening_end):
        if scene.openings[o].u1 <= u_high + 0.01 and scene.openings[o].u2 >= u_low - 0.01:
            return wall.least
    return scene.materials[wall.material].least_up_to[min(int(cosine * (STEPS - 1)) + 1, STEPS - 1)]


def _is_behind(scene: Packed, wall: WallRow, plane: int, sign: float) -> bool:
    """Whether a wall lies wholly on the other side of wall `plane`; never where that is -1."""
    if plane < 0:
        return False
    other = scene.walls[plane]
    return _side(other, wall.x1, wall.y1) * sign <= 1e-6 and _side(other, wall.x2, wall.y2) * sign <= 1e-6


def _cone(
    scene: Packed,
    lists: MutableSequence[int],
    met: Met,
    begun: int,
    bundle: Bundle,
    sides: Sides,
    band: HeightBand,
) -> tuple[int, float, float]:
    """Those of a list that the legs of a bundle may meet, into the lists from `begun`; where they end, the
    least loss of every leg that keeps to the lesser heights, and that of every leg [dB].
    """
    fan, area = bundle.fan, bundle.area
    rx, ry, lx, ly = fan.right_x, fan.right_y, fan.left_x, fan.left_y
    is_open = _is_open(fan)
    mx, my = area.x - fan.x, area.y - fan.y
    far = mx * mx + my * my + abs(mx) * area.half_x + abs(my) * area.half_y + _PAD_M * (abs(mx) + abs(my))
    count, end, least, least_of_all = len(scene.walls), begun, 0.0, 0.0
    for n in range(met.begun, met.ended):
        i = lists[n]
        if i >= count:
            if is_open or _box_in(scene, scene.boxes[i - count], bundle, far):
                lists[end] = i
                end += 1
            continue
        wall = scene.walls[i]
        ax, ay, bx, by = wall.x1 - fan.x, wall.y1 - fan.y, wall.x2 - fan.x, wall.y2 - fan.y
        right_a, right_b = rx * ay - ry * ax, rx * by - ry * bx
        if right_a < -_PAD_M and right_b < -_PAD_M:
            continue
        left_a, left_b = lx * ay - ly * ax, lx * by - ly * bx
        if left_a > _PAD_M and left_b > _PAD_M:
            continue
        if wall.top < band.low or wall.base > band.high:
            continue
        if not is_open and ax * mx + ay * my > far and bx * mx + by * my > far:
            continue
        if _is_behind(scene, wall, sides.back, sides.back_sign):
            continue
        if _is_behind(scene, wall, sides.too, sides.too_sign):
            continue
        lists[end] = i
        end += 1
        if is_open or wall.plain_least <= 0.0 or wall.base > band.least_low or wall.top < band.least_high:
            continue
        if (right_a < 0.0 < right_b and left_a < 0.0 < left_b) or (
            right_b < 0.0 < right_a and left_b < 0.0 < left_a
        ):
            if not _is_between(wall, bundle):
                continue
            right_u = right_a / (right_a - right_b) * wall.length
            left_u = left_a / (left_a - left_b) * wall.length
            cosine = 1.0
            if (rx * wall.ux + ry * wall.uy) * (lx * wall.ux + ly * wall.uy) > 0.0:
                cosine = max(abs(rx * wall.uy - ry * wall.ux), abs(lx * wall.uy - ly * wall.ux))
            lost = _spans(scene, wall, min(right_u, left_u), max(right_u, left_u), cosine)
            least += lost
            if wall.base <= band.low and wall.top >= band.high:
                least_of_all += lost
    return end, least, least_of_all


def _is_between(wall: WallRow, bundle: Bundle) -> bool:
    """Whether the line of a wall parts where a bundle starts from the whole area where it ends."""
    area = bundle.area
    f = _side(wall, area.x, area.y)
    return (
        abs(f) > abs(wall.uy) * area.half_x + abs(wall.ux) * area.half_y + 1e-4
        and f * _side(wall, bundle.qx, bundle.qy) < 0.0
        and f * _side(wall, bundle.px, bundle.py) < 0.0
    )


def _box_in(scene: Packed, box: BoxRow, bundle: Bundle, far: float) -> bool:
    """Whether a box reaches between the rims of a bundle, and not only beyond the end of its legs."""
    fan = bundle.fan
    mx, my = bundle.area.x - fan.x, bundle.area.y - fan.y
    right, left, near = True, True, False
    for k in range(box.corner, box.corner_end):
        x, y = scene.corners[k].x - fan.x, scene.corners[k].y - fan.y
        right = right and fan.right_x * y - fan.right_y * x < -_PAD_M
        left = left and fan.left_x * y - fan.left_y * x > _PAD_M
        near = near or x * mx + y * my <= far
    return near and not right and not left


def _towards(scene: Packed, x: float, y: float, ends: tuple[float, float, float, float], back: int) -> Bundle:
    """The bundle from a point to everywhere between two places of the plan; its legs start at wall `back`, or
    at the point itself where that is -1.
    """
    qx, qy, px, py = ends
    rx, ry, lx, ly = qx - x, qy - y, px - x, py - y
    if rx * ly - ry * lx < 0.0:
        rx, ry, lx, ly = lx, ly, rx, ry
    r, left = math.sqrt(rx * rx + ry * ry), math.sqrt(lx * lx + ly * ly)
    if r < 1e-9 or left < 1e-9:
        rx, ry, lx, ly, r, left = 0.0, 0.0, 0.0, 0.0, 1.0, 1.0
    ax, ay, bx, by = x, y, x, y
    if back >= 0:
        ax, ay = _on_wall(scene.walls[back], x, y, rx, ry)
        bx, by = _on_wall(scene.walls[back], x, y, lx, ly)
    return Bundle(
        Fan(x, y, rx / r, ry / r, lx / left, ly / left),
        Area(0.5 * (qx + px), 0.5 * (qy + py), 0.5 * abs(qx - px), 0.5 * abs(qy - py)),
        ax,
        ay,
        bx,
        by,
    )
