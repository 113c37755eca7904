"""What one straight leg of a way loses, wall by wall, slab by slab, box by box: plain scalar code for
`ways_kernel`.

Past an edge of steel or of a free-standing wall the leg goes by diffraction. What the physics
is, and where it comes from, is said in `ways`; how the scene is laid out, in `ways_packed`.
"""

from __future__ import annotations

import math
from collections.abc import MutableSequence, Sequence

from farpress.core.reach.ways_packed import _M, _W, _WALLS, GROUND_FIRST_M, GROUND_STEP, _inside, _table

__all__: list[str] = []

_HARD_DB = 10.0
_ENDLESS = 1e4  # an edge so far away that nothing is left of it
_TOUCH_M = 0.05
_STEEL_DB = 25.0
_STEEL_SD_DB = 6.0
_H = 4


def _edge(v: float) -> float:
    """Share of power past a knife edge."""
    if v <= -0.78:
        return 1.0
    part = v - 0.1
    root = math.sqrt(part * part + 1.0) + part
    return min(0.2041737945 / (root * root), 1.0)  # 6.9 dB as a share


def _slit(low: float, high: float) -> tuple[float, float]:
    """Field through a slit against the free field, real and imaginary part; 1 from end to end."""
    c_low, s_low = _fresnel(low)
    c_high, s_high = _fresnel(high)
    c, d = c_high - c_low, s_high - s_low
    return 0.5 * (c + d), 0.5 * (c - d)


def _fresnel(v: float) -> tuple[float, float]:
    x = abs(v)
    if x >= _ENDLESS:
        return (0.5, 0.5) if v >= 0.0 else (-0.5, -0.5)
    f = (1.0 + 0.926 * x) / (2.0 + 1.792 * x + 3.104 * x * x)
    g = 1.0 / (2.0 + 4.142 * x + 3.492 * x * x + 6.670 * x * x * x)
    turn = 0.5 * math.pi * x * x
    c = 0.5 + f * math.sin(turn) - g * math.cos(turn)
    s = 0.5 - f * math.cos(turn) - g * math.sin(turn)
    return (c, s) if v >= 0.0 else (-c, -s)


def _wall(
    s: Sequence[float], i: int, u: float, z: float, t: float, length: float, cosine: float, wave: float
) -> tuple[float, float]:
    """Loss and spread of crossing wall i at (u, z).

    Where wall and opening differ much, the share of the wave that each takes is that of the
    Fresnel integrals; elsewhere the one that is hit counts. Over a free top comes what a knife
    edge leaves; round free ends other ways lead.
    """
    w = _WALLS + _W * i
    material, flags = int(s[w + 9]), int(s[w + 10])
    if flags >= 2:  # calm: wall and openings never differ much
        for o in range(int(s[w + 11]), int(s[w + _W + 11])):
            at = int(s[1]) + 5 * o
            if s[at] <= u <= s[at + 1] and s[at + 2] <= z <= s[at + 3]:
                material = int(s[at + 4])
                if material < 0:
                    return 0.0, 0.0
        return _table(s, int(s[8]), material, cosine), s[int(s[10]) + _M * material + 1]
    through = _table(s, int(s[8]), material, cosine)
    sd = s[int(s[10]) + _M * material + 1]
    hole, contrast = -1, through >= _HARD_DB
    holes = int(s[1])
    for o in range(int(s[w + 11]), int(s[w + _W + 11])):
        at = holes + 5 * o
        filled = int(s[at + 4])
        contrast = contrast or (filled >= 0 and _table(s, int(s[8]), filled, cosine) > through + _HARD_DB)
        if s[at] <= u <= s[at + 1] and s[at + 2] <= z <= s[at + 3]:
            hole = filled if filled >= 0 else -2
    here, here_sd = through, sd
    if hole == -2:
        here, here_sd = 0.0, 0.0
    elif hole >= 0:
        here, here_sd = _table(s, int(s[8]), hole, cosine), s[int(s[10]) + _M * hole + 1]
    before, behind = t * length, (1.0 - t) * length
    if (not contrast and flags % 2 == 0) or min(before, behind) < 0.1:
        return here, here_sd
    k = math.sqrt(2.0 * length / (wave * before * behind))
    plain = 10.0 ** (-here / 10.0)
    total, most = plain, 10.0 ** (-min(here, through) / 10.0)
    if contrast:
        real, imaginary, total = 1.0, 0.0, 0.0  # what the openings leave of the free field for the wall
        for o in range(int(s[w + 11]), int(s[w + _W + 11])):
            at = holes + 5 * o
            filled = int(s[at + 4])
            low = -_ENDLESS if s[at + 2] <= s[w + 7] + 0.05 else k * (s[at + 2] - z)
            high = _ENDLESS if s[at + 3] >= s[w + 8] - 0.05 else k * (s[at + 3] - z)
            ar, ai = _slit(k * (s[at] - u) * cosine, k * (s[at + 1] - u) * cosine)
            br, bi = _slit(low, high)
            fr, fi = ar * br - ai * bi, ar * bi + ai * br
            real, imaginary = real - fr, imaginary - fi
            leaves = 1.0 if filled < 0 else 10.0 ** (-_table(s, int(s[8]), filled, cosine) / 10.0)
            most = max(most, leaves)
            total += (fr * fr + fi * fi) * leaves
        total += (real * real + imaginary * imaginary) * 10.0 ** (-through / 10.0)
    if flags % 2 == 1:
        total += _edge(k * (s[w + 8] - z))
        most = 1.0
    total = max(min(total, most), 1e-20)
    return -10.0 * math.log10(total), here_sd * min(plain / total, 1.0)


def _box(
    s: Sequence[float],
    b: int,
    ax: float,
    ay: float,
    az: float,
    dx: float,
    dy: float,
    dz: float,
    length: float,
    wave: float,
) -> float:
    """Loss of a steel box in the way: round it, over it, and what leaks."""
    flat = math.sqrt(dx * dx + dy * dy)
    if flat < 1e-6:
        return 0.0
    first, last = int(s[int(s[6]) + 3 * (b) + 2]), int(s[int(s[6]) + 3 * (b + 1) + 2])
    low, high = 2.0, -1.0
    left, right = -1e9, 1e9
    j = last - 1
    for i in range(first, last):
        side = ((s[int(s[7]) + 2 * i + 1] - ay) * dx - (s[int(s[7]) + 2 * i + 0] - ax) * dy) / flat
        left, right = max(left, side), min(right, side)
        ex, ey = (
            s[int(s[7]) + 2 * i + 0] - s[int(s[7]) + 2 * j + 0],
            s[int(s[7]) + 2 * i + 1] - s[int(s[7]) + 2 * j + 1],
        )
        spread = dx * ey - dy * ex
        if abs(spread) > 1e-12:
            t = ((s[int(s[7]) + 2 * j + 0] - ax) * ey - (s[int(s[7]) + 2 * j + 1] - ay) * ex) / spread
            u = ((s[int(s[7]) + 2 * j + 0] - ax) * dy - (s[int(s[7]) + 2 * j + 1] - ay) * dx) / spread
            if 0.0 <= u < 1.0 and 0.0 <= t <= 1.0:
                low, high = min(low, t), max(high, t)
        j = i
    if _inside(s, int(s[7]), first, last, ax, ay):
        low, high = 0.0, max(high, 0.0)
    if _inside(s, int(s[7]), first, last, ax + dx, ay + dy):
        low, high = min(low, 1.0), 1.0
    if high <= low:
        return 0.0
    z_low, z_high = az + low * dz, az + high * dz
    if min(z_low, z_high) > s[int(s[6]) + 3 * (b) + 1] or max(z_low, z_high) < s[int(s[6]) + 3 * (b) + 0]:
        return 0.0
    middle = 0.5 * (low + high)
    before, behind = middle * length, (1.0 - middle) * length
    if low <= 0.0 or high >= 1.0 or min(before, behind) < 0.05:
        return _STEEL_DB
    k = math.sqrt(2.0 * length / (wave * before * behind))
    total = (
        10.0 ** (-_STEEL_DB / 10.0)
        + _edge(k * left)
        + _edge(-k * right)
        + _edge(k * (s[int(s[6]) + 3 * (b) + 1] - az - middle * dz))
    )
    return -10.0 * math.log10(min(total, 1.0))


def _meet(
    s: Sequence[float],
    ax: float,
    ay: float,
    bx: float,
    by: float,
    touch_a: float,
    touch_b: float,
    met: Sequence[int],
    first: int,
    last: int,
    skip: int,
    skip_too: int,
    t0: float,
    t1: float,
    hits: MutableSequence[float],
    at: int,
) -> int:
    """Walls of met[first:last] that a leg crosses on the plan, into hits from `at`, _H numbers each; where
    they end.

    The numbers: wall, place along it, share of the whole way (the leg takes it from t0 to t1), cosine of the
    angle on the plan.
    An end that touches has a wall within `touch` behind it in its way.
    """
    dx, dy = bx - ax, by - ay
    flat = math.sqrt(dx * dx + dy * dy)
    if flat < 1e-6:
        return at
    nearest = (
        -touch_a / flat if touch_a > 0.0 else 1e-6 / flat
    )  # a bounce on one of two sheets in one place does not cross the other
    farthest = 1.0 + touch_b / flat if touch_b > 0.0 else 1.0 - 1e-6 / flat
    count = int(s[0])
    for n in range(first, last):
        i = met[n]
        if i >= count:
            break
        w = _WALLS + _W * i
        px, py, qx, qy = s[w] - ax, s[w + 1] - ay, s[w + 2] - ax, s[w + 3] - ay
        to_first, to_last = dx * py - dy * px, dx * qy - dy * qx
        if (to_first < 0.0) == (to_last < 0.0) or i in (skip, skip_too):
            continue
        ux, uy = s[w + 4], s[w + 5]
        spread = 1.0 / (dx * uy - dy * ux)
        t = (px * uy - py * ux) * spread
        if t < nearest or t >= farthest:
            continue
        hits[at] = i
        hits[at + 1] = -to_first * spread
        hits[at + 2] = t0 + min(max(t, 0.0), 1.0) * (t1 - t0)
        hits[at + 3] = 1.0 / (abs(spread) * flat)
        at += _H
    return at


def _cost(
    s: Sequence[float],
    hits: Sequence[float],
    first: int,
    last: int,
    way: float,
    slope: float,
    az: float,
    drop: float,
    ts: float,
    f: float,
    most_db: float,
    wave: float,
) -> tuple[float, float]:
    """Loss [dB] and variance [dB^2] of walls met, on a way that rises by `drop` and is thrown back at height
    f from share ts on; given up beyond `most_db`.

    `way` is the length of the whole way, `slope` its length on the plan over that.
    """
    loss, variance = 0.0, 0.0
    for n in range(first, last, _H):
        i, t = int(hits[n]), hits[n + 2]
        w = _WALLS + _W * i
        z = az + t * drop
        if t > ts:
            z = 2.0 * f - z
        if z < s[w + 7] or z > s[w + 8]:
            continue
        one, sd = _wall(s, i, hits[n + 1], z, t, way, hits[n + 3] * slope, wave)
        loss += one
        variance += sd * sd
        if loss > most_db:
            return loss, variance
    return loss, variance


def _floors(
    s: Sequence[float], ax: float, ay: float, az: float, bx: float, by: float, bz: float, skip: int
) -> tuple[float, float]:
    """Loss [dB] and variance [dB^2] of the slabs that a straight leg crosses."""
    loss, variance, floors = 0.0, 0.0, 0
    for k in range(int(s[2])):
        at = int(s[3]) + 3 * k
        above, below = az - s[at], bz - s[at]
        if k == skip or above * below >= 0.0:
            continue
        t = above / (above - below)
        begun, ended = int(s[at + 2]), int(s[at + 5])
        if ended > begun and not _inside(s, int(s[4]), begun, ended, ax + t * (bx - ax), ay + t * (by - ay)):
            continue
        length = math.sqrt((bx - ax) ** 2 + (by - ay) ** 2 + (bz - az) ** 2)
        loss += _table(s, int(s[8]), int(s[at + 1]), abs(bz - az) / length)
        variance += s[int(s[10]) + _M * int(s[at + 1]) + 1] ** 2
        floors += 1
    if floors > 1:
        loss *= floors ** ((floors + 2.0) / (floors + 1.0) - 0.46) / floors
    return loss, variance


def _rest(
    s: Sequence[float],
    ax: float,
    ay: float,
    az: float,
    bx: float,
    by: float,
    bz: float,
    met: Sequence[int],
    first: int,
    last: int,
    skip: int,
    wave: float,
) -> tuple[float, float]:
    """What slabs and boxes cost on a straight leg; boxes stand at the end of met[first:last]."""
    loss, variance = _floors(s, ax, ay, az, bx, by, bz, skip)
    count = int(s[0])
    n = last - 1
    while n >= first and met[n] >= count:
        dx, dy, dz = bx - ax, by - ay, bz - az
        one = _box(s, met[n] - count, ax, ay, az, dx, dy, dz, math.sqrt(dx * dx + dy * dy + dz * dz), wave)
        loss += one
        variance += 0.25 * _STEEL_SD_DB**2 if one > 0.0 else 0.0
        n -= 1
    return loss, variance


def _leg(
    s: Sequence[float],
    ax: float,
    ay: float,
    az: float,
    bx: float,
    by: float,
    bz: float,
    touch_a: float,
    touch_b: float,
    met: Sequence[int],
    first: int,
    last: int,
    skip: int,
    skip_too: int,
    slab_skip: int,
    t0: float,
    t1: float,
    way: float,
    hits: MutableSequence[float],
    most_db: float,
    wave: float,
) -> tuple[float, float]:
    """Loss [dB] and variance [dB^2] of a straight leg, from share t0 to t1 of a way that long; given up
    beyond `most_db`.

    met[first:last] names the walls, and then the boxes (counted on after the walls), that it may meet.
    """
    dx, dy, dz = bx - ax, by - ay, bz - az
    flat = math.sqrt(dx * dx + dy * dy)
    length = math.sqrt(flat * flat + dz * dz)
    end = _meet(s, ax, ay, bx, by, touch_a, touch_b, met, first, last, skip, skip_too, t0, t1, hits, 0)
    rise = dz / (t1 - t0)
    loss, variance = _cost(
        s, hits, 0, end, way, flat / max(length, 1e-9), az - t0 * rise, rise, 2.0, 0.0, most_db, wave
    )
    if loss > most_db:
        return loss, variance
    more, v = _rest(s, ax, ay, az, bx, by, bz, met, first, last, slab_skip, wave)
    return loss + more, variance + v


def _ground(table: Sequence[float], flat_m: float) -> float:
    """Power over ground against free space, from the table over the distance along the ground."""
    at = math.log(max(flat_m, GROUND_FIRST_M) / GROUND_FIRST_M) / GROUND_STEP
    low = min(int(at), len(table) - 2)
    return table[low] + (table[low + 1] - table[low]) * min(at - low, 1.0)


def _echo_at(s: Sequence[float], i: int, u: float, z: float, cosine: float) -> float:
    """Share of power that wall i throws back at (u, z); 0 beside the wall or in an open passage."""
    if u < 0.0 or u >= s[_WALLS + _W * i + 6] or z < s[_WALLS + _W * i + 7] or z > s[_WALLS + _W * i + 8]:
        return 0.0
    for o in range(int(s[_WALLS + _W * i + 11]), int(s[_WALLS + _W * (i + 1) + 11])):
        if (
            s[int(s[1]) + 5 * o + 0] <= u <= s[int(s[1]) + 5 * o + 1]
            and s[int(s[1]) + 5 * o + 2] <= z <= s[int(s[1]) + 5 * o + 3]
        ):
            return (
                0.0
                if int(s[int(s[1]) + 5 * o + 4]) < 0
                else _table(s, int(s[9]), int(s[int(s[1]) + 5 * o + 4]), cosine)
            )
    return _table(s, int(s[9]), int(s[_WALLS + _W * i + 9]), cosine)
