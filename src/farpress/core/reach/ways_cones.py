"""Which walls and boxes a bundle of legs can meet at all, and what every leg of it loses at least: plain
scalar code for `ways_kernel`.

A bundle starts at one point of the plan, or as if from it (an image), and ends in a small box.
What it cannot meet is left out before any leg is followed; nothing here changes a number.
"""

from __future__ import annotations

import math
from collections.abc import MutableSequence, Sequence

from farpress.core.reach.ways_packed import _W, _WALLS, STEPS

__all__: list[str] = []

_PAD_M = 0.06


def _rims(
    ox: float, oy: float, cx: float, cy: float, hx: float, hy: float
) -> tuple[float, float, float, float]:
    """Right and left rim (unit vectors) of a box of half sides hx, hy seen from a point; zeros from
    within.
    """
    if abs(cx - ox) <= hx and abs(cy - oy) <= hy:
        return 0.0, 0.0, 0.0, 0.0
    rx, ry = cx - ox, cy - oy
    lx, ly = rx, ry
    for k in range(4):
        x = cx - ox + (hx if k % 2 == 0 else -hx)
        y = cy - oy + (hy if k < 2 else -hy)
        if rx * y - ry * x < 0.0:
            rx, ry = x, y
        if lx * y - ly * x > 0.0:
            lx, ly = x, y
    r, left = math.sqrt(rx * rx + ry * ry), math.sqrt(lx * lx + ly * ly)
    return rx / r, ry / r, lx / left, ly / left


def _side(s: Sequence[float], i: int, x: float, y: float) -> float:
    """Signed distance of a point from the line of wall i [m]."""
    w = _WALLS + _W * i
    return (x - s[w]) * s[w + 5] - (y - s[w + 1]) * s[w + 4]


def _holds(s: Sequence[float], k: int, x: float, y: float) -> bool:
    """Whether the outline of slab k bulges round a point, border and all; an endless one does. Never true
    where the outline is hollow there.
    """
    first, last = int(s[int(s[3]) + 3 * k + 2]), int(s[int(s[3]) + 3 * (k + 1) + 2])
    at = int(s[4])
    left, right = True, True
    j = last - 1
    for i in range(first, last):
        dx, dy = s[at + 2 * i] - s[at + 2 * j], s[at + 2 * i + 1] - s[at + 2 * j + 1]
        side = dx * (y - s[at + 2 * j + 1]) - dy * (x - s[at + 2 * j])
        left, right = left and side > -0.01, right and side < 0.01
        j = i
    return left or right


def _on_wall(s: Sequence[float], i: int, ox: float, oy: float, dx: float, dy: float) -> tuple[float, float]:
    """Where the line from a point in a direction meets wall i; kept within the wall."""
    w = _WALLS + _W * i
    spread = dx * s[w + 5] - dy * s[w + 4]
    if abs(spread) < 1e-12:
        return s[w], s[w + 1]
    t = -((ox - s[w]) * s[w + 5] - (oy - s[w + 1]) * s[w + 4]) / spread
    u = (ox + t * dx - s[w]) * s[w + 4] + (oy + t * dy - s[w + 1]) * s[w + 5]
    u = min(max(u, 0.0), s[w + 6])
    return s[w] + u * s[w + 4], s[w + 1] + u * s[w + 5]


def _spans(s: Sequence[float], i: int, u_low: float, u_high: float, cosine: float) -> float:
    """What every ray between two places along wall i, at no more than this cosine of the angle, loses in it
    at least [dB].
    """
    w = _WALLS + _W * i
    for o in range(int(s[w + 11]), int(s[w + _W + 11])):
        at = int(s[1]) + 5 * o
        if s[at] <= u_high + 0.01 and s[at + 1] >= u_low - 0.01:
            return s[w + 12]
    return s[int(s[13]) + STEPS * int(s[w + 9]) + min(int(cosine * (STEPS - 1)) + 1, STEPS - 1)]


def _cone(
    s: Sequence[float],
    met: Sequence[int],
    first: int,
    last: int,
    out: MutableSequence[int],
    begun: int,
    ox: float,
    oy: float,
    rx: float,
    ry: float,
    lx: float,
    ly: float,
    cx: float,
    cy: float,
    hx: float,
    hy: float,
    qx: float,
    qy: float,
    px: float,
    py: float,
    back: int,
    back_sign: float,
    too: int,
    too_sign: float,
    z_low: float,
    z_high: float,
    least_low: float,
    least_high: float,
) -> tuple[int, float]:
    """Those of met[first:last] that legs may meet, into out from `begun`; where they end, and the least loss
    of every leg [dB].

    The legs lie on lines from (ox, oy) between a right and a left rim (unit vectors; zeros for any
    direction), start between (qx, qy)
    and (px, py), end in the box round (cx, cy); they lie on one side of wall `back`, and of wall `too` (-1
    for none),
    and between two heights. The least loss holds for legs that keep between `least_low` and `least_high`.
    """
    is_open = rx == 0.0 and ry == 0.0
    mx, my = cx - ox, cy - oy
    far = mx * mx + my * my + abs(mx) * hx + abs(my) * hy + _PAD_M * (abs(mx) + abs(my))
    count, at, least = int(s[0]), begun, 0.0
    for n in range(first, last):
        i = met[n]
        if i >= count:
            if is_open or _box_in(s, i - count, ox, oy, rx, ry, lx, ly, mx, my, far):
                out[at] = i
                at += 1
            continue
        w = _WALLS + _W * i
        ax, ay, bx, by = s[w] - ox, s[w + 1] - oy, s[w + 2] - ox, s[w + 3] - oy
        right_a, right_b = rx * ay - ry * ax, rx * by - ry * bx
        if right_a < -_PAD_M and right_b < -_PAD_M:
            continue
        left_a, left_b = lx * ay - ly * ax, lx * by - ly * bx
        if left_a > _PAD_M and left_b > _PAD_M:
            continue
        if s[w + 8] < z_low or s[w + 7] > z_high:
            continue
        if not is_open and ax * mx + ay * my > far and bx * mx + by * my > far:
            continue
        if (
            back >= 0
            and _side(s, back, s[w], s[w + 1]) * back_sign <= 1e-6
            and _side(s, back, s[w + 2], s[w + 3]) * back_sign <= 1e-6
        ):
            continue
        if (
            too >= 0
            and _side(s, too, s[w], s[w + 1]) * too_sign <= 1e-6
            and _side(s, too, s[w + 2], s[w + 3]) * too_sign <= 1e-6
        ):
            continue
        out[at] = i
        at += 1
        if is_open or s[w + 13] <= 0.0 or s[w + 7] > least_low or s[w + 8] < least_high:
            continue
        if (right_a < 0.0 < right_b and left_a < 0.0 < left_b) or (
            right_b < 0.0 < right_a and left_b < 0.0 < left_a
        ):
            f = _side(s, i, cx, cy)
            if (
                abs(f) > abs(s[w + 5]) * hx + abs(s[w + 4]) * hy + 1e-4
                and f * _side(s, i, qx, qy) < 0.0
                and f * _side(s, i, px, py) < 0.0
            ):
                one, other = right_a / (right_a - right_b) * s[w + 6], left_a / (left_a - left_b) * s[w + 6]
                ux, uy = s[w + 4], s[w + 5]
                cosine = (
                    max(abs(rx * uy - ry * ux), abs(lx * uy - ly * ux))
                    if (rx * ux + ry * uy) * (lx * ux + ly * uy) > 0.0
                    else 1.0
                )
                least += _spans(s, i, min(one, other), max(one, other), cosine)
    return at, least


def _box_in(
    s: Sequence[float],
    b: int,
    ox: float,
    oy: float,
    rx: float,
    ry: float,
    lx: float,
    ly: float,
    mx: float,
    my: float,
    far: float,
) -> bool:
    """Whether a box reaches between two rims, and not only beyond the end of the legs."""
    right, left, near = True, True, False
    for k in range(int(s[int(s[6]) + 3 * b + 2]), int(s[int(s[6]) + 3 * (b + 1) + 2])):
        x, y = s[int(s[7]) + 2 * k] - ox, s[int(s[7]) + 2 * k + 1] - oy
        right = right and rx * y - ry * x < -_PAD_M
        left = left and lx * y - ly * x > _PAD_M
        near = near or x * mx + y * my <= far
    return near and not right and not left


def _segment_cone(
    s: Sequence[float],
    met: Sequence[int],
    first: int,
    last: int,
    out: MutableSequence[int],
    begun: int,
    ox: float,
    oy: float,
    qx: float,
    qy: float,
    px: float,
    py: float,
    back: int,
    too: int,
    back_sign: float,
    too_sign: float,
    z_low: float,
    z_high: float,
    least_low: float,
    least_high: float,
) -> tuple[int, float]:
    """The same for legs that end between two places; they start at wall `back`, or at the point itself where
    there is none.
    """
    rx, ry, lx, ly = qx - ox, qy - oy, px - ox, py - oy
    if rx * ly - ry * lx < 0.0:
        rx, ry, lx, ly = lx, ly, rx, ry
    r, left = math.sqrt(rx * rx + ry * ry), math.sqrt(lx * lx + ly * ly)
    if r < 1e-9 or left < 1e-9:
        rx, ry, lx, ly, r, left = 0.0, 0.0, 0.0, 0.0, 1.0, 1.0
    ax, ay, bx, by = ox, oy, ox, oy
    if back >= 0:
        ax, ay = _on_wall(s, back, ox, oy, rx, ry)
        bx, by = _on_wall(s, back, ox, oy, lx, ly)
    return _cone(
        s,
        met,
        first,
        last,
        out,
        begun,
        ox,
        oy,
        rx / r,
        ry / r,
        lx / left,
        ly / left,
        0.5 * (qx + px),
        0.5 * (qy + py),
        0.5 * abs(qx - px),
        0.5 * abs(qy - py),
        ax,
        ay,
        bx,
        by,
        back,
        back_sign,
        too,
        too_sign,
        z_low,
        z_high,
        least_low,
        least_high,
    )
