"""What one wall or one steel box costs where a way meets it, and what a wall throws back: plain scalar code.

Past an edge of steel, of an opening or of a free-standing wall the wave goes by diffraction. What the
physics is, and where it comes from, is said in `ways`; how the scene is laid out, in `ways_packed`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from farpress.core.reach.ways_packed import (
    _TO_SHARE,
    BoxRow,
    CornerRow,
    MaterialRow,
    OpeningRow,
    WallRow,
    _both,
    _inside,
)
from farpress.core.reach.ways_work import Crossing, Gains, Point

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
) -> tuple[float, float, float]:
    """What upright and level waves lose [dB] in crossing a wall on a way of some length, and its spread [dB].

    Where wall and opening differ much, the share of the wave that each takes is that of the
    Fresnel integrals; elsewhere the one that is hit counts. Over a free top comes what a knife
    edge leaves; round free ends other ways lead.
    """
    u, z, cosine = crossing.u, crossing.z, crossing.cosine
    material = wall.material
    for o in range(wall.opening, wall.opening_end):
        opening = openings[o]
        if opening.u1 <= u <= opening.u2 and opening.sill <= z <= opening.head:
            material = opening.material
    here, here_level, sd = 0.0, 0.0, 0.0
    if material >= 0:
        here, here_level = _both(materials[material].loss, materials[material].level_loss, cosine)
        sd = materials[material].sd
    if wall.is_calm:
        return here, here_level, sd
    before, behind = crossing.t * length, (1.0 - crossing.t) * length
    if min(before, behind) < 0.1:
        return here, here_level, sd
    through, through_level = _both(materials[wall.material].loss, materials[wall.material].level_loss, cosine)
    contrast, contrast_level = through >= _HARD_DB, through_level >= _HARD_DB
    for o in range(wall.opening, wall.opening_end):
        filled = openings[o].material
        if filled >= 0 and not (contrast and contrast_level):
            loss, level = _both(materials[filled].loss, materials[filled].level_loss, cosine)
            contrast = contrast or loss > through + _HARD_DB
            contrast_level = contrast_level or level > through_level + _HARD_DB
    if not (contrast or contrast_level or wall.is_low):
        return here, here_level, sd
    k = math.sqrt(2.0 * length / (wave * before * behind))
    over = _edge(k * (wall.top - z)) if wall.is_low else 0.0
    leaks, brightest, left = Gains(0.0, 0.0), Gains(0.0, 0.0), 1.0
    if contrast or contrast_level:
        leaks, brightest, left = _through_openings(openings, materials, wall, crossing, k)
    loss, share = here, 1.0
    if contrast or wall.is_low:
        loss, share = _felt(here, through, contrast, leaks.upright, brightest.upright, left, over)
    level, level_share = here_level, 1.0
    if contrast_level or wall.is_low:
        level, level_share = _felt(
            here_level, through_level, contrast_level, leaks.level, brightest.level, left, over
        )
    return loss, level, sd * math.sqrt(0.5 * (share * share + level_share * level_share))


def _felt(
    here: float, through: float, contrast: bool, leaks: float, brightest: float, left: float, over: float
) -> tuple[float, float]:
    """Loss [dB] where edges are felt, and the share of what is hit in it: of what would be lost where the
    wall is hit and elsewhere in it [dB], what leaks through openings, the clearest of them, what they leave
    for the wall, and what comes over its top.
    """
    plain = math.exp(_TO_SHARE * here)
    total, most = plain, math.exp(_TO_SHARE * min(here, through))
    if contrast:
        total = leaks + left * math.exp(_TO_SHARE * through)
        most = max(most, brightest)
    if over > 0.0:
        total, most = total + over, 1.0
    total = max(min(total, most), 1e-20)
    return -10.0 * math.log10(total), min(plain / total, 1.0)


def _through_openings(
    openings: Sequence[OpeningRow],
    materials: Sequence[MaterialRow],
    wall: WallRow,
    crossing: Crossing,
    k: float,
) -> tuple[Gains, Gains, float]:
    """Share of power that comes through all openings of a wall, the share of the clearest of them, and what
    they leave of the free power for the wall.
    """
    u, z, cosine = crossing.u, crossing.z, crossing.cosine
    total, total_level, most, most_level, real, imaginary = 0.0, 0.0, 0.0, 0.0, 1.0, 0.0
    for o in range(wall.opening, wall.opening_end):
        opening = openings[o]
        low = -_ENDLESS if opening.sill <= wall.base + 0.05 else k * (opening.sill - z)
        high = _ENDLESS if opening.head >= wall.top - 0.05 else k * (opening.head - z)
        ar, ai = _slit(k * (opening.u1 - u) * cosine, k * (opening.u2 - u) * cosine)
        br, bi = _slit(low, high)
        fr, fi = ar * br - ai * bi, ar * bi + ai * br
        real, imaginary = real - fr, imaginary - fi
        leaves, leaves_level = 1.0, 1.0
        if opening.material >= 0:
            build = materials[opening.material]
            loss, level = _both(build.loss, build.level_loss, cosine)
            leaves, leaves_level = math.exp(_TO_SHARE * loss), math.exp(_TO_SHARE * level)
        most, most_level = max(most, leaves), max(most_level, leaves_level)
        total += (fr * fr + fi * fi) * leaves
        total_level += (fr * fr + fi * fi) * leaves_level
    return Gains(total, total_level), Gains(most, most_level), real * real + imaginary * imaginary


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
        math.exp(_TO_SHARE * _STEEL_DB)
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
) -> tuple[float, float]:
    """Share of power of upright and level waves that a wall throws back at (u, z); 0 beside the wall or in an
    open passage.
    """
    if u < 0.0 or u >= wall.length or z < wall.base or z > wall.top:
        return 0.0, 0.0
    material = wall.material
    for o in range(wall.opening, wall.opening_end):
        opening = openings[o]
        if opening.u1 <= u <= opening.u2 and opening.sill <= z <= opening.head:
            material = opening.material
    if material < 0:
        return 0.0, 0.0
    return _both(materials[material].echo, materials[material].level_echo, cosine)
