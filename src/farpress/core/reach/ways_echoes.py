"""Echoes of one wall and of two, with or without a floor between: plain scalar code for `ways_tiles`.

Each image comes with what its walls throw back at most and its legs lose at least; no leg is
followed where that alone makes the way faint.
"""

from __future__ import annotations

import math
from collections.abc import MutableSequence, Sequence

from farpress.core.reach.ways_cones import _cone, _on_wall, _rims, _segment_cone, _side
from farpress.core.reach.ways_kernel import (
    _FAINT,
    _FEW,
    _NEAREST_M,
    _R,
    _RIM_M,
    _TO_DB,
    _TO_SHARE,
    _V,
    _darkest,
    _end,
)
from farpress.core.reach.ways_legs import _TOUCH_M, _cost, _echo_at, _ground, _leg, _meet, _rest
from farpress.core.reach.ways_packed import _W, _WALLS, STEPS, _inside, _table

__all__: list[str] = []


def _single(
    s: Sequence[float],
    points: Sequence[float],
    outdoors: Sequence[int],
    first: int,
    last: int,
    ax: float,
    ay: float,
    az: float,
    i: int,
    bright: float,
    slab: float,
    through: float,
    met: Sequence[int],
    a0: int,
    a1: int,
    b0: int,
    b1: int,
    is_clear: bool,
    ground: Sequence[float],
    wave: float,
    hits: MutableSequence[float],
    rows: MutableSequence[float],
) -> None:
    """Thrown back by wall i alone, or by it and a floor or ceiling, on the way out or in."""
    near = wave / (4.0 * math.pi)
    w = _WALLS + _W * i
    da = _side(s, i, ax, ay)
    ua = (ax - s[w]) * s[w + 4] + (ay - s[w + 1]) * s[w + 5]
    for n in range(first, last):
        px, py, pz, r = points[3 * n], points[3 * n + 1], points[3 * n + 2], _R * n
        db = _side(s, i, px, py)
        if da * db <= 0.0:
            continue
        whole = abs(da) + abs(db)
        t = abs(da) / whole
        along = (px - s[w]) * s[w + 4] + (py - s[w + 1]) * s[w + 5] - ua
        u = ua + t * along
        if u < _RIM_M or u >= s[w + 6] - _RIM_M:
            continue
        qx, qy, flat = s[w] + u * s[w + 4], s[w + 1] + u * s[w + 5], math.sqrt(along * along + whole * whole)
        soil = _ground(ground, flat) if outdoors[n] > 0 else 1.0
        end = -1
        for bounce in range(-1, int(s[2])):
            drop, ts, f = pz - az, 2.0, 0.0
            if bounce >= 0:
                f = s[int(s[3]) + 3 * bounce]
                if (az - f) * (pz - f) <= 0.0 or (outdoors[n] > 0 and f < az):
                    continue
                drop = 2.0 * f - pz - az
                ts = abs(az - f) / abs(drop)
            way = math.sqrt(flat * flat + drop * drop)
            gain = (near / max(way, _NEAREST_M)) ** 2 * soil
            if gain * bright < _FAINT * rows[r]:
                rows[r + 9] += gain * bright
                continue
            z = az + t * drop
            if t > ts:
                z = 2.0 * f - z
            gain *= _echo_at(s, i, u, z, whole / way)
            if bounce >= 0:
                gain *= _table(s, int(s[9]), int(s[int(s[3]) + 3 * bounce + 1]), abs(drop) / way)
            sure = (
                through if bounce < 0 else slab
            )  # by a floor it leaves the heights that `through` holds for
            if gain * sure <= _FAINT * rows[r]:
                rows[r + 9] += gain * sure
                continue
            sx, sy, sz, x, y = qx, qy, z, px, py
            if bounce >= 0:
                x, y = (
                    (ax + ts / t * (qx - ax), ay + ts / t * (qy - ay))
                    if ts < t
                    else (qx + (ts - t) / (1.0 - t) * (px - qx), qy + (ts - t) / (1.0 - t) * (py - qy))
                )
                k0, k1 = int(s[int(s[3]) + 3 * bounce + 2]), int(s[int(s[3]) + 3 * (bounce + 1) + 2])
                if k1 > k0 and not _inside(s, int(s[4]), k0, k1, x, y):
                    continue
            if end < 0:
                end = _meet(s, ax, ay, qx, qy, _TOUCH_M, 0.0, met, a0, a1, i, -1, 0.0, t, hits, 0)
                end = _meet(s, qx, qy, px, py, 0.0, _TOUCH_M, met, b0, b1, i, -1, t, 1.0, hits, end)
            most = _TO_DB * math.log(gain / (_FAINT * rows[r] + 1e-30))
            loss, v = _cost(s, hits, 0, end, way, flat / way, az, drop, ts, f, most, wave)
            if loss <= most and bounce < 0:
                if not is_clear:
                    one, v1 = _rest(s, ax, ay, az, qx, qy, z, met, a0, a1, -1, wave)
                    two, v2 = _rest(s, qx, qy, z, px, py, pz, met, b0, b1, -1, wave)
                    loss, v = loss + one + two, v + v1 + v2
            elif loss <= most:
                if ts < t:
                    sx, sy, sz, x, y, f = x, y, f, qx, qy, z
                m0, m1 = (a0, a1) if ts < t else (b0, b1)
                one, v1 = _rest(s, ax, ay, az, sx, sy, sz, met, a0, a1, bounce, wave)
                two, v2 = _rest(s, sx, sy, sz, x, y, f, met, m0, m1, bounce, wave)
                three, v3 = _rest(s, x, y, f, px, py, pz, met, b0, b1, bounce, wave)
                loss, v = loss + one + two + three, v + v1 + v2 + v3
            _end(rows, r, 4 if bounce < 0 else 5, gain, loss, v, most)


def _double(
    s: Sequence[float],
    points: Sequence[float],
    outdoors: Sequence[int],
    first: int,
    last: int,
    ax: float,
    ay: float,
    az: float,
    ways: Sequence[float],
    v: int,
    bright: float,
    through: float,
    met: Sequence[int],
    a0: int,
    a1: int,
    b0: int,
    b1: int,
    c0: int,
    c1: int,
    ground: Sequence[float],
    wave: float,
    hits: MutableSequence[float],
    rows: MutableSequence[float],
) -> None:
    """Thrown back by wall i and then by wall j; the three legs lose at least la, lb and lc [dB], and a slab
    at slab_z as much as slab_db.
    """
    near = wave / (4.0 * math.pi)
    i, j, mx, my, kx, ky, dm = (
        int(ways[v]),
        int(ways[v + 1]),
        ways[v + 2],
        ways[v + 3],
        ways[v + 4],
        ways[v + 5],
        ways[v + 6],
    )
    wi, wj = _WALLS + _W * i, _WALLS + _W * j
    da = _side(s, i, ax, ay)
    # the leg in which the way to the point before was given up: neighbours mostly fail at the same walls
    dearest = 2
    for n in range(first, last):
        px, py, pz, r = points[3 * n], points[3 * n + 1], points[3 * n + 2], _R * n
        dp = _side(s, j, px, py)
        if dm * dp <= 0.0:
            continue
        t = abs(dm) / (abs(dm) + abs(dp))
        qx, qy, qz = kx + t * (px - kx), ky + t * (py - ky), az + t * (pz - az)
        u = (qx - s[wj]) * s[wj + 4] + (qy - s[wj + 1]) * s[wj + 5]
        if u < _RIM_M or u >= s[wj + 6] - _RIM_M:
            continue
        dq = _side(s, i, qx, qy)
        if da * dq <= 1e-6 * abs(da):  # two sheets in one place throw nothing to each other
            continue
        share = abs(da) / (abs(da) + abs(dq))
        rx, ry, tr = mx + share * (qx - mx), my + share * (qy - my), share * t
        u_i = (rx - s[wi]) * s[wi + 4] + (ry - s[wi + 1]) * s[wi + 5]
        if u_i < _RIM_M or u_i >= s[wi + 6] - _RIM_M:
            continue
        flat = math.sqrt((px - kx) ** 2 + (py - ky) ** 2)
        way = math.sqrt(flat * flat + (pz - az) ** 2)
        soil = _ground(ground, flat) if outdoors[n] > 0 else 1.0
        if bright * soil < _FAINT * rows[r] * way * way:
            rows[r + 9] += bright * soil / (way * way)
            continue
        rz = az + tr * (pz - az)
        gain = (near / max(way, _NEAREST_M)) ** 2 * soil * _echo_at(s, j, u, qz, (abs(dm) + abs(dp)) / way)
        gain *= _echo_at(s, i, u_i, rz, abs(da) / max(tr * way, 1e-9))
        if gain * through <= _FAINT * rows[r]:
            rows[r + 9] += gain * through
            continue
        most, loss, variance, k = _TO_DB * math.log(gain / (_FAINT * rows[r] + 1e-30)), 0.0, 0.0, 0
        while k < 3 and loss <= most:
            leg = (dearest + k) % 3
            k += 1
            if leg == 0:
                one, v1 = _leg(
                    s,
                    ax,
                    ay,
                    az,
                    rx,
                    ry,
                    rz,
                    _TOUCH_M,
                    0.0,
                    met,
                    a0,
                    a1,
                    i,
                    -1,
                    -1,
                    0.0,
                    tr,
                    way,
                    hits,
                    most - loss,
                    wave,
                )
            elif leg == 1:
                one, v1 = _leg(
                    s,
                    rx,
                    ry,
                    rz,
                    qx,
                    qy,
                    qz,
                    0.0,
                    0.0,
                    met,
                    b0,
                    b1,
                    i,
                    j,
                    -1,
                    tr,
                    t,
                    way,
                    hits,
                    most - loss,
                    wave,
                )
            else:
                one, v1 = _leg(
                    s,
                    qx,
                    qy,
                    qz,
                    px,
                    py,
                    pz,
                    0.0,
                    _TOUCH_M,
                    met,
                    c0,
                    c1,
                    -1,
                    j,
                    -1,
                    t,
                    1.0,
                    way,
                    hits,
                    most - loss,
                    wave,
                )
            loss, variance = loss + one, variance + v1
            if loss > most:
                dearest = leg
        _end(rows, r, 5, gain, loss, variance, most)


def _echo_at_most(
    s: Sequence[float], i: int, j: int, dx: float, dy: float, hx: float, hy: float, across: float, rise: float
) -> float:
    """Share of power thrown back at most by wall i and then by wall j (by one, if they are the same), against
    their strongest echoes.

    The last image lies (dx, dy) from the middle of the tile, at least `across` square to wall j; a way rises
    by no more than `rise`.
    """
    wi, wj = _WALLS + _W * i, _WALLS + _W * j
    longest = math.sqrt((abs(dx) + hx) ** 2 + (abs(dy) + hy) ** 2 + rise * rise)
    at = int(s[14]) + STEPS * int(s[wj + 14])
    share = s[at + min(int(across / longest * (STEPS - 1)), STEPS - 1)] / max(s[at], 1e-9)
    if i == j:
        return share
    nx, ny = s[wj + 5], -s[wj + 4]  # wall i as its neighbour shows it
    ux, uy = s[wi + 5], -s[wi + 4]
    twice = 2.0 * (ux * nx + uy * ny)
    ux, uy = ux - twice * nx, uy - twice * ny
    at = int(s[14]) + STEPS * int(s[wi + 14])
    across = max(abs(dx * ux + dy * uy) - abs(ux) * hx - abs(uy) * hy, 0.0)
    return share * s[at + min(int(across / longest * (STEPS - 1)), STEPS - 1)] / max(s[at], 1e-9)


def _thrown_back(
    s: Sequence[float],
    points: Sequence[float],
    outdoors: Sequence[int],
    first: int,
    last: int,
    ax: float,
    ay: float,
    az: float,
    ways: Sequence[float],
    lists: MutableSequence[int],
    room: int,
    hits: MutableSequence[float],
    ground: Sequence[float],
    wave: float,
    rows: MutableSequence[float],
    cx: float,
    cy: float,
    hx: float,
    hy: float,
    low: float,
    high: float,
    bottom: float,
    top: float,
    p_low: float,
    p_high: float,
    is_open_air: bool,
    is_clear: bool,
    is_under: bool,
) -> None:
    """Echoes of one wall, then of two, to the points of a tile: box round (cx, cy), heights low to high, of
    every way bottom to top.
    """
    near = wave / (4.0 * math.pi)
    darkest, left_out = _darkest(rows, first, last), 0.0
    was = int(ways[1])
    rise = max(p_high - az, az - p_low)
    rise_too = 2.0 * (top - bottom)
    for n in range(int(ways[0])):
        v = 2 + _V * n
        if n == was:
            darkest = _darkest(rows, first, last)
        is_double = n >= was
        i, j, kx, ky, side = int(ways[v]), int(ways[v + 1]), ways[v + 4], ways[v + 5], ways[v + 6]
        apart2 = (
            max(abs(cx - kx) - hx, 0.0) ** 2
            + max(abs(cy - ky) - hy, 0.0) ** 2
            + max(low - az, az - high, 0.0) ** 2
        )
        slab = ways[v + 24] if is_under else 1.0
        bright = ways[v + 7] * slab
        brightest = bright * (2.0 if is_open_air else 1.0) / max(apart2, _NEAREST_M * _NEAREST_M)
        sign = 1.0 if side > 0.0 else -1.0
        wj = _WALLS + _W * j
        off, half = sign * _side(s, j, cx, cy), abs(s[wj + 5]) * hx + abs(s[wj + 4]) * hy
        if off + half <= 0.0:
            continue
        z1, z2, w1, w2, l1, l2, m1, m2 = bottom, top, bottom, top, low, high, low, high
        if is_double:  # the heights at which it is thrown back last, and so of the legs before and behind
            t_low, t_high = (
                abs(side) / (abs(side) + off + half),
                abs(side) / (abs(side) + max(off - half, 0.0)),
            )
            up, down = p_high - az, p_low - az
            z1, z2 = az + min(t_low * down, t_high * down), az + max(t_low * up, t_high * up)
            if z2 < s[wj + 7] or z1 > s[wj + 8]:
                continue
            w1, w2, z1, z2 = min(az, z1), max(az, z2), min(p_low, z1), max(p_high, z2)
            l1, l2, m1, m2 = z1, z2, w1, w2
        rx, ry, lx, ly = ways[v + 8] - kx, ways[v + 9] - ky, ways[v + 10] - kx, ways[v + 11] - ky
        if (
            rx * (cy - ky) - ry * (cx - kx) + abs(rx) * hy + abs(ry) * hx < -1e-9
            or lx * (cy - ky) - ly * (cx - kx) - abs(lx) * hy - abs(ly) * hx > 1e-9
        ):
            continue
        if brightest * ways[v + 16] >= _FAINT * darkest:
            share = _echo_at_most(
                s,
                i,
                j,
                cx - kx,
                cy - ky,
                hx,
                hy,
                abs(side) + max(off - half, 0.0),
                rise if is_double else rise_too,
            )
            bright, brightest = bright * share, brightest * share
        if brightest * ways[v + 16] < _FAINT * darkest:
            left_out += brightest * ways[v + 16] * (1.0 if is_double else 1.0 + s[2])
            continue
        lost, through = 0.0, 1.0
        a0, a1, b0, b1, c0, c1 = (
            int(ways[v + 17]),
            int(ways[v + 18]),
            int(ways[v + 19]),
            int(ways[v + 20]),
            int(ways[v + 21]),
            int(ways[v + 22]),
        )
        if last - first > _FEW:
            tx, ty, ux, uy = _rims(kx, ky, cx, cy, hx, hy)
            r, left = math.sqrt(rx * rx + ry * ry), math.sqrt(lx * lx + ly * ly)
            if (tx == 0.0 and ty == 0.0) or rx * ty - ry * tx < 0.0:
                tx, ty = rx / max(r, 1e-12), ry / max(r, 1e-12)
            if (ux == 0.0 and uy == 0.0) or lx * uy - ly * ux > 0.0:
                ux, uy = lx / max(left, 1e-12), ly / max(left, 1e-12)
            q1, q2 = _on_wall(s, j, kx, ky, tx, ty)
            p1, p2 = _on_wall(s, j, kx, ky, ux, uy)
            end, lost = _cone(
                s,
                lists,
                c0,
                c1,
                lists,
                room,
                kx,
                ky,
                tx,
                ty,
                ux,
                uy,
                cx,
                cy,
                hx,
                hy,
                q1,
                q2,
                p1,
                p2,
                j,
                sign,
                -1,
                0.0,
                z1,
                z2,
                l1,
                l2,
            )
            c0, c1 = room, end
            sign_i = 1.0 if _side(s, i, ax, ay) > 0.0 else -1.0
            if is_double:
                end, more = _segment_cone(
                    s,
                    lists,
                    b0,
                    b1,
                    lists,
                    c1,
                    ways[v + 2],
                    ways[v + 3],
                    q1,
                    q2,
                    p1,
                    p2,
                    i,
                    j,
                    sign_i,
                    sign,
                    w1,
                    w2,
                    m1,
                    m2,
                )
                b0, b1, lost = c1, end, lost + more
                mx, my = ways[v + 2], ways[v + 3]
                q1, q2 = _on_wall(s, i, mx, my, q1 - mx, q2 - my)
                p1, p2 = _on_wall(s, i, mx, my, p1 - mx, p2 - my)
            begun = max(c1, b1) if is_double else c1
            end, more = _segment_cone(
                s, lists, a0, a1, lists, begun, ax, ay, q1, q2, p1, p2, -1, i, 0.0, sign_i, w1, w2, m1, m2
            )
            a0, a1, lost = begun, end, lost + more
            through = math.exp(_TO_SHARE * lost)
            bound = brightest * through
            if is_double and bound < _FAINT * darkest:
                left_out += bound
                continue
        if is_double:
            _double(
                s,
                points,
                outdoors,
                first,
                last,
                ax,
                ay,
                az,
                ways,
                v,
                bright * through,
                slab * through,
                lists,
                a0,
                a1,
                b0,
                b1,
                c0,
                c1,
                ground,
                wave,
                hits,
                rows,
            )
        else:
            _single(
                s,
                points,
                outdoors,
                first,
                last,
                ax,
                ay,
                az,
                i,
                bright / (near * near),
                slab,
                slab * through,
                lists,
                a0,
                a1,
                c0,
                c1,
                is_clear,
                ground,
                wave,
                hits,
                rows,
            )
    for p in range(first, last):
        rows[_R * p + 9] += left_out
