"""The inner loop of `ways`: every way from an aerial to one point, as plain scalar code.

The same functions run as they stand (a few points: no compiler is started) and compiled
(maps); so both give the same numbers. Only numbers, flat sequences and named tuples of them
come in. What the physics is, and where it comes from, is said in `ways`.
"""

from __future__ import annotations

import functools
import math
import zlib
from collections.abc import Callable, MutableSequence, Sequence
from typing import Final

from farpress.core.reach import ways_legs
from farpress.core.reach.ways_legs import _TOUCH_M, _WALLS, _echo_at, _edge, _ground, _inside, _leg, _table
from farpress.sources import Mark, cites

__all__ = ["COLUMNS", "compiled", "each_point"]

COLUMNS: Final = ("gain", "strongest", "wall_sd_db", "direct", "reflected", "round edges", "over the top", "higher echoes", "direct_wall_db")
"""What one point gives: power gains between isotropic aerials, and decibels where the name says so."""

_FAINT = 2e-4
_NEAREST_M = 0.5


def _over(
    s: Sequence[float], ax: float, ay: float, az: float, px: float,
    py: float, pz: float, length: float, most_db: float, wave: float,
) -> tuple[float, float]:
    """Loss over the tops of every wall between, by one edge in place of all (Bullington)."""
    dx, dy, dz = px - ax, py - ay, pz - az
    steep_a, steep_p, wall_a, wall_p, t_a, t_p = -1e9, -1e9, -1, -1, 0.0, 0.0
    for i in range(int(s[0])):
        da = (ax - s[_WALLS + 12 * i + 0]) * s[_WALLS + 12 * i + 5] - (ay - s[_WALLS + 12 * i + 1]) * s[_WALLS + 12 * i + 4]
        db = (px - s[_WALLS + 12 * i + 0]) * s[_WALLS + 12 * i + 5] - (py - s[_WALLS + 12 * i + 1]) * s[_WALLS + 12 * i + 4]
        if da * db >= 0.0 or int(s[_WALLS + 12 * i + 10]) % 2 == 1:  # over a free-standing wall the straight leg goes itself
            continue
        t = da / (da - db)
        u = (ax + t * dx - s[_WALLS + 12 * i + 0]) * s[_WALLS + 12 * i + 4] + (ay + t * dy - s[_WALLS + 12 * i + 1]) * s[_WALLS + 12 * i + 5]
        if u < 0.0 or u >= s[_WALLS + 12 * i + 6] or min(t, 1.0 - t) * length < 0.1:
            continue
        up_a, up_p = (s[_WALLS + 12 * i + 8] - az) / (t * length), (s[_WALLS + 12 * i + 8] - pz) / ((1.0 - t) * length)
        if up_a > steep_a:
            steep_a, wall_a, t_a = up_a, i, t
        if up_p > steep_p:
            steep_p, wall_p, t_p = up_p, i, t
    if wall_a < 0 or steep_a + steep_p <= 1e-6:
        return 999.0, 0.0
    before = min(max((dz + steep_p * length) / (steep_a + steep_p), 0.05 * length), 0.95 * length)
    high = az + steep_a * before - (az + dz * before / length)
    edge = -10.0 * math.log10(_edge(high * math.sqrt(2.0 * length / (wave * before * (length - before)))))
    if wall_a != wall_p:
        edge += 10.0 * (1.0 - math.exp(-edge / 6.0))
    if edge > most_db:
        return 999.0, 0.0
    up, spread = _leg(s, ax, ay, az, ax + t_a * dx, ay + t_a * dy, s[_WALLS + 12 * wall_a + 8] + 0.05, _TOUCH_M, 0.0, wall_a, wall_p, -1, most_db - edge, wave)
    down, more = _leg(s, ax + t_p * dx, ay + t_p * dy, s[_WALLS + 12 * wall_p + 8] + 0.05, px, py, pz, 0.0, _TOUCH_M, wall_a, wall_p, -1, most_db - edge - up, wave)
    return edge + up + down, spread + more


def _point(
    s: Sequence[float], px: float, py: float, pz: float, ax: float, ay: float,
    az: float, pairs: Sequence[float], ground: Sequence[float], outdoors: int, wave: float, row: MutableSequence[float],
) -> None:
    """Every way between an aerial and one point; fills the columns named in COLUMNS."""
    near = wave / (4.0 * math.pi)
    flat = math.sqrt((px - ax) ** 2 + (py - ay) ** 2)
    length = max(math.sqrt(flat * flat + (pz - az) ** 2), _NEAREST_M)
    free = (near / length) ** 2
    over_ground = _ground(ground, flat) if outdoors > 0 else 1.0
    wall_db, variance = _leg(s, ax, ay, az, px, py, pz, _TOUCH_M, _TOUCH_M, -1, -1, -1, 999.0, wave)
    direct = free * over_ground * 10.0 ** (-wall_db / 10.0)
    total, strongest, spread = direct, direct, direct * math.sqrt(variance)
    first, second = 0.0, 0.0
    for i in range(int(s[0])):
        da = (ax - s[_WALLS + 12 * i + 0]) * s[_WALLS + 12 * i + 5] - (ay - s[_WALLS + 12 * i + 1]) * s[_WALLS + 12 * i + 4]
        db = (px - s[_WALLS + 12 * i + 0]) * s[_WALLS + 12 * i + 5] - (py - s[_WALLS + 12 * i + 1]) * s[_WALLS + 12 * i + 4]
        if da * db <= 0.0:
            continue
        whole = abs(da) + abs(db)
        t = abs(da) / whole
        ua = (ax - s[_WALLS + 12 * i + 0]) * s[_WALLS + 12 * i + 4] + (ay - s[_WALLS + 12 * i + 1]) * s[_WALLS + 12 * i + 5]
        ub = (px - s[_WALLS + 12 * i + 0]) * s[_WALLS + 12 * i + 4] + (py - s[_WALLS + 12 * i + 1]) * s[_WALLS + 12 * i + 5]
        u, along = ua + t * (ub - ua), ub - ua
        if u < 0.0 or u >= s[_WALLS + 12 * i + 6]:
            continue
        for bounce in range(-1, int(s[2])):  # at the wall alone, then at a floor or ceiling too
            drop = pz - az
            up_a, up_p, ts = 0.0, 0.0, 2.0
            if bounce >= 0:
                up_a, up_p = az - s[int(s[3]) + 3 * (bounce) + 0], pz - s[int(s[3]) + 3 * (bounce) + 0]
                if up_a * up_p <= 0.0:
                    continue
                drop = -up_p - up_a
                ts = abs(up_a) / (abs(up_a) + abs(up_p))
            way = math.sqrt(along * along + whole * whole + drop * drop)
            gain = (near / max(way, _NEAREST_M)) ** 2 * (_ground(ground, math.sqrt(along * along + whole * whole)) if outdoors > 0 else 1.0)
            if gain * s[int(s[10]) + 2 * int(s[_WALLS + 12 * i + 9])] < _FAINT * total:
                continue
            z = az + t * drop
            if bounce >= 0 and t > ts:
                z = 2.0 * s[int(s[3]) + 3 * (bounce) + 0] - z
            gain *= _echo_at(s, i, u, z, whole / way)
            qx, qy = s[_WALLS + 12 * i + 0] + u * s[_WALLS + 12 * i + 4], s[_WALLS + 12 * i + 1] + u * s[_WALLS + 12 * i + 5]
            most = 10.0 * math.log10(max(gain, 1e-30) / (_FAINT * total + 1e-30))
            if most <= 0.0:
                continue
            if bounce < 0:
                one, v1 = _leg(s, ax, ay, az, qx, qy, z, _TOUCH_M, 0.0, i, -1, -1, most, wave)
                two, v2 = _leg(s, qx, qy, z, px, py, pz, 0.0, _TOUCH_M, i, -1, -1, most - one, wave)
                loss, v = one + two, v1 + v2
            else:
                gain *= _table(s, int(s[9]), int(s[int(s[3]) + 3 * (bounce) + 1]), abs(drop) / way)
                w = ts / t if ts < t else (ts - t) / (1.0 - t)
                sx = ax + w * (qx - ax) if ts < t else qx + w * (px - qx)
                sy = ay + w * (qy - ay) if ts < t else qy + w * (py - qy)
                k0, k1 = int(s[int(s[3]) + 3 * (bounce) + 2]), int(s[int(s[3]) + 3 * (bounce + 1) + 2])
                if k1 > k0 and not _inside(s, int(s[4]), k0, k1, sx, sy):
                    continue
                if ts < t:
                    f1, f2, f3, g1, g2, g3 = sx, sy, s[int(s[3]) + 3 * (bounce) + 0], qx, qy, z
                else:
                    f1, f2, f3, g1, g2, g3 = qx, qy, z, sx, sy, s[int(s[3]) + 3 * (bounce) + 0]
                one, v1 = _leg(s, ax, ay, az, f1, f2, f3, _TOUCH_M, 0.0, i, -1, bounce, most, wave)
                two, v2 = _leg(s, f1, f2, f3, g1, g2, g3, 0.0, 0.0, i, -1, bounce, most - one, wave)
                three, v3 = _leg(s, g1, g2, g3, px, py, pz, 0.0, _TOUCH_M, i, -1, bounce, most - one - two, wave)
                loss, v = one + two + three, v1 + v2 + v3
            if loss > most:
                continue
            gain *= 10.0 ** (-loss / 10.0)
            total += gain
            strongest = max(strongest, gain)
            spread += gain * math.sqrt(v)
            if bounce < 0:
                first += gain
            else:
                second += gain
    for k in range(int(s[2])):  # floors and ceilings alone
        up_a, up_p = az - s[int(s[3]) + 3 * (k) + 0], pz - s[int(s[3]) + 3 * (k) + 0]
        if up_a * up_p <= 0.0:
            continue
        way = math.sqrt(flat * flat + (abs(up_a) + abs(up_p)) ** 2)
        t = abs(up_a) / (abs(up_a) + abs(up_p))
        sx, sy = ax + t * (px - ax), ay + t * (py - ay)
        if int(s[int(s[3]) + 3 * (k + 1) + 2]) > int(s[int(s[3]) + 3 * (k) + 2]) and not _inside(s, int(s[4]), int(s[int(s[3]) + 3 * (k) + 2]), int(s[int(s[3]) + 3 * (k + 1) + 2]), sx, sy):
            continue
        gain = (near / max(way, _NEAREST_M)) ** 2 * _table(s, int(s[9]), int(s[int(s[3]) + 3 * (k) + 1]), (abs(up_a) + abs(up_p)) / way)
        most = 10.0 * math.log10(max(gain, 1e-30) / (_FAINT * total + 1e-30))
        one, v1 = _leg(s, ax, ay, az, sx, sy, s[int(s[3]) + 3 * (k) + 0], _TOUCH_M, 0.0, -1, -1, k, most, wave)
        two, v2 = _leg(s, sx, sy, s[int(s[3]) + 3 * (k) + 0], px, py, pz, 0.0, _TOUCH_M, -1, -1, k, most - one, wave)
        if one + two > most:
            continue
        gain *= 10.0 ** (-(one + two) / 10.0)
        total += gain
        first += gain
        strongest = max(strongest, gain)
        spread += gain * math.sqrt(v1 + v2)
    for n in range(len(pairs) // 8):  # two walls: i, j, image in i, image of that in j, its distance from j, brightest echo
        kx, ky = pairs[8 * n + 4], pairs[8 * n + 5]
        way = (px - kx) ** 2 + (py - ky) ** 2 + (pz - az) ** 2
        if pairs[8 * n + 7] < 2.5 * _FAINT * total * way:
            continue
        j = int(pairs[8 * n + 1])
        dm = pairs[8 * n + 6]
        dp = (px - s[_WALLS + 12 * j]) * s[_WALLS + 12 * j + 5] - (py - s[_WALLS + 12 * j + 1]) * s[_WALLS + 12 * j + 4]
        if dm * dp <= 0.0:
            continue
        t = abs(dm) / (abs(dm) + abs(dp))
        qx, qy, qz = kx + t * (px - kx), ky + t * (py - ky), az + t * (pz - az)
        u = (qx - s[_WALLS + 12 * j + 0]) * s[_WALLS + 12 * j + 4] + (qy - s[_WALLS + 12 * j + 1]) * s[_WALLS + 12 * j + 5]
        if u < 0.0 or u >= s[_WALLS + 12 * j + 6]:
            continue
        i, mx, my = int(pairs[8 * n]), pairs[8 * n + 2], pairs[8 * n + 3]
        da = (ax - s[_WALLS + 12 * i]) * s[_WALLS + 12 * i + 5] - (ay - s[_WALLS + 12 * i + 1]) * s[_WALLS + 12 * i + 4]
        dq = (qx - s[_WALLS + 12 * i + 0]) * s[_WALLS + 12 * i + 5] - (qy - s[_WALLS + 12 * i + 1]) * s[_WALLS + 12 * i + 4]
        if da * dq <= 1e-6 * abs(da):  # two sheets in one place throw nothing to each other
            continue
        share = abs(da) / (abs(da) + abs(dq))
        rx, ry, rz = mx + share * (qx - mx), my + share * (qy - my), az + share * (qz - az)
        w = (rx - s[_WALLS + 12 * i + 0]) * s[_WALLS + 12 * i + 4] + (ry - s[_WALLS + 12 * i + 1]) * s[_WALLS + 12 * i + 5]
        if w < 0.0 or w >= s[_WALLS + 12 * i + 6]:
            continue
        way = math.sqrt(way)
        gain = (near / max(way, _NEAREST_M)) ** 2
        gain *= _echo_at(s, j, u, qz, (abs(dm) + abs(dp)) / way) * _echo_at(s, i, w, rz, abs(da) / max(math.sqrt((rx - ax) ** 2 + (ry - ay) ** 2 + (rz - az) ** 2), 1e-9))
        if outdoors > 0:
            gain *= _ground(ground, math.sqrt((px - kx) ** 2 + (py - ky) ** 2))
        most = 10.0 * math.log10(max(gain, 1e-30) / (_FAINT * total + 1e-30))
        if most <= 0.0:
            continue
        one, v1 = _leg(s, ax, ay, az, rx, ry, rz, _TOUCH_M, 0.0, i, -1, -1, most, wave)
        two, v2 = _leg(s, rx, ry, rz, qx, qy, qz, 0.0, 0.0, i, j, -1, most - one, wave)
        three, v3 = _leg(s, qx, qy, qz, px, py, pz, 0.0, _TOUCH_M, -1, j, -1, most - one - two, wave)
        if one + two + three > most:
            continue
        gain *= 10.0 ** (-(one + two + three) / 10.0)
        total += gain
        second += gain
        strongest = max(strongest, gain)
        spread += gain * math.sqrt(v1 + v2 + v3)
    round_it, over = 0.0, 0.0
    if wall_db > 6.0:
        for e in range(int(s[11])):
            d1, d2 = math.sqrt((s[int(s[12]) + 4 * e + 0] - ax) ** 2 + (s[int(s[12]) + 4 * e + 1] - ay) ** 2), math.sqrt((s[int(s[12]) + 4 * e + 0] - px) ** 2 + (s[int(s[12]) + 4 * e + 1] - py) ** 2)
            if d1 < 0.1 or d2 < 0.1:
                continue
            z = az + (pz - az) * d1 / (d1 + d2)
            if z < s[int(s[12]) + 4 * e + 2] or z > s[int(s[12]) + 4 * e + 3]:
                continue
            way = math.sqrt((d1 + d2) ** 2 + (pz - az) ** 2)
            gain = (near / max(way, _NEAREST_M)) ** 2 * _edge(2.0 * math.sqrt(max(way - length, 0.0) / wave)) * over_ground
            most = 10.0 * math.log10(gain / (_FAINT * total + 1e-30))
            if most <= 0.0:
                continue
            one, v1 = _leg(s, ax, ay, az, s[int(s[12]) + 4 * e + 0], s[int(s[12]) + 4 * e + 1], z, _TOUCH_M, 0.0, -1, -1, -1, most, wave)
            two, v2 = _leg(s, s[int(s[12]) + 4 * e + 0], s[int(s[12]) + 4 * e + 1], z, px, py, pz, 0.0, _TOUCH_M, -1, -1, -1, most - one, wave)
            if one + two > most:
                continue
            gain *= 10.0 ** (-(one + two) / 10.0)
            total += gain
            round_it += gain
            strongest = max(strongest, gain)
            spread += gain * math.sqrt(v1 + v2)
        if outdoors == 2:  # indoors there is a roof between
            loss, v = _over(s, ax, ay, az, px, py, pz, length, 10.0 * math.log10(free * over_ground / (_FAINT * total + 1e-30)), wave)
            over = free * over_ground * 10.0 ** (-loss / 10.0)
            total += over
            strongest = max(strongest, over)
            spread += over * math.sqrt(v)
    ratio = min(second / first, 0.5) if first > 0.0 else 0.5
    tail = second * ratio / (1.0 - ratio)
    spread += tail * spread / total if total > 0.0 else 0.0
    total += tail
    row[0] = min(total, 2.0 * free)
    row[1], row[2], row[3], row[4], row[5], row[6], row[7] = strongest, spread / total if total > 0.0 else 0.0, direct, first + second, round_it, over, tail
    row[8] = wall_db


@cites("Ways from an aerial to points, as said in `ways`", mark=Mark.COMPUTED)
def each_point(
    solid: Sequence[float], points: Sequence[Sequence[float]], aerial: Sequence[float], pairs: Sequence[float], ground: Sequence[float], outdoors: Sequence[int], wave: float, rows: Sequence[MutableSequence[float]],
) -> None:
    """Fill one row of `rows` for each point, in plain Python.

    Args:
        solid: the packed scene.
        points, aerial: x, y, z of each point, and of the aerial [m].
        pairs: walls that throw a ray on from one to the next, eight numbers each.
        ground: power over ground against free space, over the distance.
        outdoors: how many of the two ends lie out of doors, for each point.
        wave: wavelength [m].
        rows: filled; columns as in COLUMNS.
    """
    for n in range(len(points)):
        _point(solid, points[n][0], points[n][1], points[n][2], aerial[0], aerial[1], aerial[2], pairs, ground, outdoors[n], wave, rows[n])


@functools.cache
@cites("Ways from an aerial to points, as said in `ways`", mark=Mark.COMPUTED)
def compiled() -> Callable[..., None]:
    """The loop over points as machine code on every core; built at the first use, kept on disk beside this file.

    The kept code is found again only for the very same functions and constants: their checksum is built in.
    """
    import numba
    from numba.extending import register_jitable

    legs = vars(ways_legs)
    parts = [legs[name] for name in ("_table", "_edge", "_slit", "_fresnel", "_inside", "_wall", "_box", "_leg", "_ground", "_echo_at")]
    parts += [_over, _point]
    constants = [legs[name] for name in ("STEPS", "_WALLS", "GROUND_FIRST_M", "GROUND_STEP", "_HARD_DB", "_TOUCH_M", "_STEEL_DB", "_STEEL_SD_DB")]
    text = repr([*constants, _FAINT, _NEAREST_M, *((one.__code__.co_code, one.__code__.co_consts, one.__code__.co_names) for one in parts)])
    stamp = zlib.crc32(text.encode())
    for one in parts:
        register_jitable(one)
    prange = numba.prange

    def loop(solid, points, aerial, pairs, ground, outdoors, wave, rows):  # type: ignore[no-untyped-def]
        if stamp >= 0:
            for n in prange(len(points)):
                _point(solid, points[n, 0], points[n, 1], points[n, 2], aerial[0], aerial[1], aerial[2], pairs, ground, outdoors[n], wave, rows[n])

    fast: Callable[..., None] = numba.njit(parallel=True, cache=True, error_model="numpy")(loop)
    return fast
