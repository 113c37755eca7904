"""What one wall or one steel box costs where a way meets it, and what a wall throws back: plain scalar code.

Past an edge of steel, of an opening or of a free-standing wall the wave goes by diffraction. What the
physics is, and where it comes from, is said in `ways`; how the scene is laid out, in `ways_packed`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from farpress.core.reach.ways_packed import (
    BoxRow,
    CornerRow,
    MaterialRow,
    OpeningRow,
    WallRow,
    _inside,
    _table,
)
from farpress.core.reach.ways_work import Crossing, Point

__all__: list[str] = []

_HARD_DB = 10.0
_ENDLESS = 1e4  # an edge so far away that nothing is left of it
_STEEL_DB = 25.0
_STEEL_SD_DB = 6.0


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
    openings: Sequence[OpeningRow],
    materials: Sequence[MaterialRow],
    wall: WallRow,
    crossing: Crossing,
    length: float,
    wave: float,
) -> tuple[float, float]:
    """Loss and spread [dB] of crossing a wall on a way of some length.

    Where wall and opening differ much, the share of the wave that each takes is that of the
    Fresnel integrals; elsewhere the one that is hit counts. Over a free top comes what a knife
    edge leaves; round free ends other ways lead.
    """
    u, z, cosine = crossing.u, crossing.z, crossing.cosine
    if wall.is_calm:
        material = wall.material
        for o in range(wall.opening, wall.opening_end):
            opening = openings[o]
            if opening.u1 <= u <= opening.u2 and opening.sill <= z <= opening.head:
                material = opening.material
                if material < 0:
                    return 0.0, 0.0
        return _table(materials[material].loss, cosine), materials[material].sd
    through, sd = _table(materials[wall.material].loss, cosine), materials[wall.material].sd
    here, here_sd, contrast = through, sd, through >= _HARD_DB
    for o in range(wall.opening, wall.opening_end):
        opening = openings[o]
        filled = opening.material
        if filled >= 0 and not contrast:
            contrast = _table(materials[filled].loss, cosine) > through + _HARD_DB
        if opening.u1 <= u <= opening.u2 and opening.sill <= z <= opening.head:
            here, here_sd = 0.0, 0.0
            if filled >= 0:
                here, here_sd = _table(materials[filled].loss, cosine), materials[filled].sd
    before, behind = crossing.t * length, (1.0 - crossing.t) * length
    if (not contrast and not wall.is_low) or min(before, behind) < 0.1:
        return here, here_sd
    k = math.sqrt(2.0 * length / (wave * before * behind))
    plain = 10.0 ** (-here / 10.0)
    total, most = plain, 10.0 ** (-min(here, through) / 10.0)
    if contrast:
        leaks, brightest, real, imaginary = _through_openings(openings, materials, wall, crossing, k)
        total = leaks + (real * real + imaginary * imaginary) * 10.0 ** (-through / 10.0)
        most = max(most, brightest)
    if wall.is_low:
        total += _edge(k * (wall.top - z))
        most = 1.0
    total = max(min(total, most), 1e-20)
    return -10.0 * math.log10(total), here_sd * min(plain / total, 1.0)


def _through_openings(
    openings: Sequence[OpeningRow],
    materials: Sequence[MaterialRow],
    wall: WallRow,
    crossing: Crossing,
    k: float,
) -> tuple[float, float, float, float]:
    """Share of power that comes through all openings of a wall, the share of the clearest of them, and what
    they leave of the free field for the wall, real and imaginary part.
    """
    u, z, cosine = crossing.u, crossing.z, crossing.cosine
    total, most, real, imaginary = 0.0, 0.0, 1.0, 0.0
    for o in range(wall.opening, wall.opening_end):
        opening = openings[o]
        low = -_ENDLESS if opening.sill <= wall.base + 0.05 else k * (opening.sill - z)
        high = _ENDLESS if opening.head >= wall.top - 0.05 else k * (opening.head - z)
        ar, ai = _slit(k * (opening.u1 - u) * cosine, k * (opening.u2 - u) * cosine)
        br, bi = _slit(low, high)
        fr, fi = ar * br - ai * bi, ar * bi + ai * br
        real, imaginary = real - fr, imaginary - fi
        leaves = 1.0
        if opening.material >= 0:
            leaves = 10.0 ** (-_table(materials[opening.material].loss, cosine) / 10.0)
        most = max(most, leaves)
        total += (fr * fr + fi * fi) * leaves
    return total, most, real, imaginary


def _box(
    corners: Sequence[CornerRow], box: BoxRow, start: Point, step: Point, length: float, wave: float
) -> float:
    """Loss [dB] of a steel box in the way from a point by a step: round it, over it, and what leaks."""
    ax, ay, dx, dy = start.x, start.y, step.x, step.y
    flat = math.sqrt(dx * dx + dy * dy)
    if flat < 1e-6:
        return 0.0
    first, last = box.corner, box.corner_end
    low, high = 2.0, -1.0
    left, right = -1e9, 1e9
    j = last - 1
    for i in range(first, last):
        here, before = corners[i], corners[j]
        side = ((here.y - ay) * dx - (here.x - ax) * dy) / flat
        left, right = max(left, side), min(right, side)
        ex, ey = here.x - before.x, here.y - before.y
        spread = dx * ey - dy * ex
        if abs(spread) > 1e-12:
            t = ((before.x - ax) * ey - (before.y - ay) * ex) / spread
            u = ((before.x - ax) * dy - (before.y - ay) * dx) / spread
            if 0.0 <= u < 1.0 and 0.0 <= t <= 1.0:
                low, high = min(low, t), max(high, t)
        j = i
    if _inside(corners, first, last, ax, ay):
        low, high = 0.0, max(high, 0.0)
    if _inside(corners, first, last, ax + dx, ay + dy):
        low, high = min(low, 1.0), 1.0
    if high <= low:
        return 0.0
    z_low, z_high = start.z + low * step.z, start.z + high * step.z
    if min(z_low, z_high) > box.top or max(z_low, z_high) < box.base:
        return 0.0
    middle = 0.5 * (low + high)
    near, far = middle * length, (1.0 - middle) * length
    if low <= 0.0 or high >= 1.0 or min(near, far) < 0.05:
        return _STEEL_DB
    k = math.sqrt(2.0 * length / (wave * near * far))
    total = (
        10.0 ** (-_STEEL_DB / 10.0)
        + _edge(k * left)
        + _edge(-k * right)
        + _edge(k * (box.top - start.z - middle * step.z))
    )
    return -10.0 * math.log10(min(total, 1.0))


def _echo_at(
    openings: Sequence[OpeningRow],
    materials: Sequence[MaterialRow],
    wall: WallRow,
    u: float,
    z: float,
    cosine: float,
) -> float:
    """Share of power that a wall throws back at (u, z); 0 beside the wall or in an open passage."""
    if u < 0.0 or u >= wall.length or z < wall.base or z > wall.top:
        return 0.0
    for o in range(wall.opening, wall.opening_end):
        opening = openings[o]
        if opening.u1 <= u <= opening.u2 and opening.sill <= z <= opening.head:
            return 0.0 if opening.material < 0 else _table(materials[opening.material].echo, cosine)
    return _table(materials[wall.material].echo, cosine)
