"""The rest of the loops of `ways`: round edges, over the tops, and tile after tile; and what is looked up
once for a whole map.
"""

from __future__ import annotations

import math
from collections.abc import MutableSequence, Sequence

from farpress.core.reach.ways_cones import _cone, _holds, _rims, _segment_cone, _side
from farpress.core.reach.ways_echoes import _thrown_back
from farpress.core.reach.ways_kernel import (
    _FAINT,
    _FEW,
    _NEAREST_M,
    _R,
    _TO_DB,
    _TO_SHARE,
    _V,
    _add,
    _end,
    _straight,
)
from farpress.core.reach.ways_legs import _TOUCH_M, _edge, _ground, _leg
from farpress.core.reach.ways_packed import _M, _W, _WALLS
from farpress.sources import Mark, cites

__all__: list[str] = []

_SHADOW_DB = 6.0


def _over(
    s: Sequence[float],
    ax: float,
    ay: float,
    az: float,
    px: float,
    py: float,
    pz: float,
    met: Sequence[int],
    begun: int,
    ended: int,
    length: float,
    hits: MutableSequence[float],
    most_db: float,
    wave: float,
) -> tuple[float, float]:
    """Loss over the tops of every wall between, by one edge in place of all (Bullington)."""
    dx, dy, dz = px - ax, py - ay, pz - az
    steep_a, steep_p, wall_a, wall_p, t_a, t_p = -1e9, -1e9, -1, -1, 0.0, 0.0
    for n in range(begun, ended):
        i = met[n]
        if i >= int(s[0]):
            break
        w = _WALLS + _W * i
        da, db = _side(s, i, ax, ay), _side(s, i, px, py)
        if (
            da * db >= 0.0 or int(s[w + 10]) % 2 == 1
        ):  # over a free-standing wall the straight leg goes itself
            continue
        t = da / (da - db)
        u = (ax + t * dx - s[w]) * s[w + 4] + (ay + t * dy - s[w + 1]) * s[w + 5]
        if u < 0.0 or u >= s[w + 6] or min(t, 1.0 - t) * length < 0.1:
            continue
        up_a, up_p = (s[w + 8] - az) / (t * length), (s[w + 8] - pz) / ((1.0 - t) * length)
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
    top_a, top_p = s[_WALLS + _W * wall_a + 8] + 0.05, s[_WALLS + _W * wall_p + 8] + 0.05
    up_m, down_m = (
        math.hypot(t_a * math.hypot(dx, dy), top_a - az),
        math.hypot((1.0 - t_p) * math.hypot(dx, dy), top_p - pz),
    )
    up, spread = _leg(
        s,
        ax,
        ay,
        az,
        ax + t_a * dx,
        ay + t_a * dy,
        top_a,
        _TOUCH_M,
        0.0,
        met,
        begun,
        ended,
        wall_a,
        wall_p,
        -1,
        0.0,
        1.0,
        up_m,
        hits,
        most_db - edge,
        wave,
    )
    down, more = _leg(
        s,
        ax + t_p * dx,
        ay + t_p * dy,
        top_p,
        px,
        py,
        pz,
        0.0,
        _TOUCH_M,
        met,
        begun,
        ended,
        wall_a,
        wall_p,
        -1,
        0.0,
        1.0,
        down_m,
        hits,
        most_db - edge - up,
        wave,
    )
    return edge + up + down, spread + more


def _round(
    s: Sequence[float],
    points: Sequence[float],
    outdoors: Sequence[int],
    first: int,
    last: int,
    ax: float,
    ay: float,
    az: float,
    e: int,
    lists: Sequence[int],
    begun: int,
    ended: int,
    a0: int,
    a1: int,
    hits: MutableSequence[float],
    ground: Sequence[float],
    wave: float,
    rows: MutableSequence[float],
) -> None:
    """Round upright edge e to the points of a tile that lie in shadow."""
    near = wave / (4.0 * math.pi)
    at = int(s[12]) + 4 * e
    ex, ey = s[at], s[at + 1]
    d1 = math.sqrt((ex - ax) ** 2 + (ey - ay) ** 2)
    if d1 < 0.1:
        return
    for n in range(first, last):
        px, py, pz, r = points[3 * n], points[3 * n + 1], points[3 * n + 2], _R * n
        d2 = math.sqrt((ex - px) ** 2 + (ey - py) ** 2)
        if d2 < 0.1 or rows[r + 8] <= _SHADOW_DB:
            continue
        z = az + (pz - az) * d1 / (d1 + d2)
        if z < s[at + 2] or z > s[at + 3]:
            continue
        flat = math.sqrt((px - ax) ** 2 + (py - ay) ** 2)
        length = max(math.sqrt(flat * flat + (pz - az) ** 2), _NEAREST_M)
        way = math.sqrt((d1 + d2) ** 2 + (pz - az) ** 2)
        gain = (
            (near / max(way, _NEAREST_M)) ** 2
            * _edge(2.0 * math.sqrt(max(way - length, 0.0) / wave))
            * (_ground(ground, flat) if outdoors[n] > 0 else 1.0)
        )
        if gain <= _FAINT * rows[r]:
            rows[r + 9] += gain
            continue
        most = _TO_DB * math.log(gain / (_FAINT * rows[r] + 1e-30))
        there, back = math.sqrt(d1 * d1 + (z - az) ** 2), math.sqrt(d2 * d2 + (pz - z) ** 2)
        loss, v = _leg(
            s,
            ax,
            ay,
            az,
            ex,
            ey,
            z,
            _TOUCH_M,
            0.0,
            lists,
            a0,
            a1,
            -1,
            -1,
            -1,
            0.0,
            1.0,
            there,
            hits,
            most,
            wave,
        )
        if loss <= most:
            more, v1 = _leg(
                s,
                ex,
                ey,
                z,
                px,
                py,
                pz,
                0.0,
                _TOUCH_M,
                lists,
                begun,
                ended,
                -1,
                -1,
                -1,
                0.0,
                1.0,
                back,
                hits,
                most - loss,
                wave,
            )
            loss, v = loss + more, v + v1
        _end(rows, r, 6, gain, loss, v, most)


def _shadow(
    s: Sequence[float],
    points: Sequence[float],
    outdoors: Sequence[int],
    first: int,
    last: int,
    ax: float,
    ay: float,
    az: float,
    edge_at: Sequence[int],
    lists: MutableSequence[int],
    room: int,
    straight: int,
    ended: int,
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
) -> None:
    """Round corners and over the tops, for the points of a tile that lie in shadow."""
    count, near = int(s[0]) + int(s[5]), wave / (4.0 * math.pi)
    some = False
    for n in range(first, last):
        some = some or rows[_R * n + 8] > _SHADOW_DB
    if not some:
        return
    for e in range(int(s[11])):
        begun, end = 0, count
        if last - first > _FEW:
            at = int(s[12]) + 4 * e
            rx, ry, lx, ly = _rims(s[at], s[at + 1], cx, cy, hx, hy)
            end, _ = _cone(
                s,
                lists,
                0,
                count,
                lists,
                room,
                s[at],
                s[at + 1],
                rx,
                ry,
                lx,
                ly,
                cx,
                cy,
                hx,
                hy,
                s[at],
                s[at + 1],
                s[at],
                s[at + 1],
                -1,
                0.0,
                -1,
                0.0,
                low,
                high,
                low,
                high,
            )
            begun = room
        _round(
            s,
            points,
            outdoors,
            first,
            last,
            ax,
            ay,
            az,
            e,
            lists,
            begun,
            end,
            edge_at[2 * e],
            edge_at[2 * e + 1],
            hits,
            ground,
            wave,
            rows,
        )
    for n in range(first, last):
        r = _R * n
        if (
            outdoors[n] < 2 or rows[r + 8] <= _SHADOW_DB
        ):  # under a roof that is not drawn nothing goes over the top
            continue
        px, py, pz = points[3 * n], points[3 * n + 1], points[3 * n + 2]
        flat = math.sqrt((px - ax) ** 2 + (py - ay) ** 2)
        length = max(math.sqrt(flat * flat + (pz - az) ** 2), _NEAREST_M)
        free = (near / length) ** 2 * _ground(ground, flat)
        loss, v = _over(
            s,
            ax,
            ay,
            az,
            px,
            py,
            pz,
            lists,
            straight,
            ended,
            length,
            hits,
            10.0 * math.log10(free / (_FAINT * rows[r] + 1e-30)),
            wave,
        )
        _add(rows, r, 7, free * math.exp(_TO_SHARE * loss), v)


@cites("Ways from an aerial to points, as said in `ways`", mark=Mark.COMPUTED)
def _each_tile(
    s: Sequence[float],
    points: Sequence[float],
    outdoors: Sequence[int],
    firsts: Sequence[int],
    begun: int,
    ended: int,
    aerial: Sequence[float],
    ways: Sequence[float],
    edge_at: Sequence[int],
    lists: MutableSequence[int],
    room: int,
    between: int,
    hits: MutableSequence[float],
    ground: Sequence[float],
    wave: float,
    rows: MutableSequence[float],
) -> None:
    """Fill the rows of the points of tiles begun to ended.

    Args:
        s: the packed scene.
        points: x, y, z of each point, in the order of the tiles [m].
        outdoors: 0 both ends indoors, 1 one of them, 2 both or with a way over the roof, for each point.
        firsts: first point of each tile, and the number of points.
        begun, ended: the tiles meant.
        aerial: x, y, z [m].
        ways: how many images, how many of one wall, then each image (see `ways_scene`).
        edge_at: where the list of each edge begins and ends.
        lists: walls and boxes that a leg may meet: all of them first, then shorter lists.
        room: where in lists there is room for four times as many as walls and boxes.
        between: a slab that lies between the aerial and every point; -1 for none.
        hits: room for what a way meets, four numbers for each wall twice over.
        ground: power over ground against free space, over the distance.
        wave: wavelength [m].
        rows: filled; columns as in COLUMNS.
    """
    ax, ay, az = aerial[0], aerial[1], aerial[2]
    count, near = int(s[0]) + int(s[5]), wave / (4.0 * math.pi)
    for tile in range(begun, ended):
        first, last = firsts[tile], firsts[tile + 1]
        west, east, south, north, low, high, open_air, over = (
            1e30,
            -1e30,
            1e30,
            -1e30,
            1e30,
            -1e30,
            False,
            False,
        )
        for n in range(first, last):
            west, east = min(west, points[3 * n]), max(east, points[3 * n])
            south, north = min(south, points[3 * n + 1]), max(north, points[3 * n + 1])
            low, high = min(low, points[3 * n + 2]), max(high, points[3 * n + 2])
            open_air, over = open_air or outdoors[n] > 0, over or outdoors[n] > 1
        cx, cy, hx, hy = (
            0.5 * (west + east),
            0.5 * (south + north),
            0.5 * (east - west),
            0.5 * (north - south),
        )
        p_low, p_high = low, high
        low, high = min(low, az), max(high, az)
        bottom, top = low, high
        for k in range(int(s[2])):
            bottom, top = min(bottom, s[int(s[3]) + 3 * k]), max(top, s[int(s[3]) + 3 * k])
        begin, end, is_clear = 0, count, s[5] == 0.0
        for k in range(int(s[2])):
            is_clear = is_clear and not low < s[int(s[3]) + 3 * k] < high
        if last - first > _FEW:
            rx, ry, lx, ly = _rims(ax, ay, cx, cy, hx, hy)
            high_up = 1e9 if over else top
            begin = room
            end, _ = _cone(
                s,
                lists,
                0,
                count,
                lists,
                room,
                ax,
                ay,
                rx,
                ry,
                lx,
                ly,
                cx,
                cy,
                hx,
                hy,
                ax,
                ay,
                ax,
                ay,
                -1,
                0.0,
                -1,
                0.0,
                bottom,
                high_up,
                low,
                high,
            )
        is_under = (
            between >= 0
            and _holds(s, between, west, south)
            and _holds(s, between, east, south)
            and _holds(s, between, west, north)
            and _holds(s, between, east, north)
        )
        _straight(s, points, outdoors, first, last, ax, ay, az, lists, begin, end, ground, wave, hits, rows)
        _thrown_back(
            s,
            points,
            outdoors,
            first,
            last,
            ax,
            ay,
            az,
            ways,
            lists,
            room + count,
            hits,
            ground,
            wave,
            rows,
            cx,
            cy,
            hx,
            hy,
            low,
            high,
            bottom,
            top,
            p_low,
            p_high,
            open_air,
            is_clear,
            is_under,
        )
        _shadow(
            s,
            points,
            outdoors,
            first,
            last,
            ax,
            ay,
            az,
            edge_at,
            lists,
            room + count,
            begin,
            end,
            hits,
            ground,
            wave,
            rows,
            cx,
            cy,
            hx,
            hy,
            low,
            high,
        )
        for n in range(first, last):
            r = _R * n
            total, spread, one, two = rows[r], rows[r + 2], rows[r + 4], rows[r + 5]
            ratio = min(two / one, 0.5) if one > 0.0 else 0.5
            tail = two * ratio / (1.0 - ratio)
            rows[r + 2] = spread / total if total > 0.0 else 0.0
            free = (
                near
                / max(
                    math.sqrt(
                        (points[3 * n] - ax) ** 2
                        + (points[3 * n + 1] - ay) ** 2
                        + (points[3 * n + 2] - az) ** 2
                    ),
                    _NEAREST_M,
                )
            ) ** 2
            rows[r], rows[r + 4], rows[r + 5], rows[r + 6], rows[r + 7] = (
                min(total + tail, 2.0 * free),
                one + two,
                rows[r + 6],
                rows[r + 7],
                tail,
            )


@cites("Which walls every way from an aerial can meet", mark=Mark.COMPUTED)
def _look_ahead(
    s: Sequence[float],
    aerial: Sequence[float],
    ways: MutableSequence[float],
    edge_at: MutableSequence[int],
    lists: MutableSequence[int],
    cx: float,
    cy: float,
    hx: float,
    hy: float,
    low: float,
    high: float,
    bottom: float,
    top: float,
    between: int,
) -> None:
    """For each image and edge the walls that a leg of it can meet, once for a whole map; where `lists` is
    full, all walls are left.

    Args:
        s: the packed scene.
        aerial: x, y, z [m].
        ways, edge_at: as in `_each_tile`; the places of the lists and the least losses are filled in.
        lists: filled from behind the list of all.
        cx, cy, hx, hy: box on the plan that holds every point and every wall [m].
        low, high: heights between which every way without a floor runs [m].
        bottom, top: heights between which every way runs [m].
        between: a slab that lies between the aerial and every point; -1 for none.
    """
    ax, ay = aerial[0], aerial[1]
    count = int(s[0]) + int(s[5])
    at = count
    for n in range(int(ways[0])):
        v = 2 + _V * n
        if at + 3 * count > len(lists):
            return
        i, j, kx, ky = int(ways[v]), int(ways[v + 1]), ways[v + 4], ways[v + 5]
        x1, y1, x2, y2 = ways[v + 8], ways[v + 9], ways[v + 10], ways[v + 11]
        if (
            between >= 0
            and _holds(s, between, ax, ay)
            and _holds(s, between, x1, y1)
            and _holds(s, between, x2, y2)
            and _holds(s, between, ways[v + 12], ways[v + 13])
            and _holds(s, between, ways[v + 14], ways[v + 15])
        ):
            ways[v + 24] = math.exp(_TO_SHARE * s[int(s[10]) + _M * int(s[int(s[3]) + 3 * between + 1]) + 2])
        sign_i, sign = 1.0 if _side(s, i, ax, ay) > 0.0 else -1.0, 1.0 if ways[v + 6] > 0.0 else -1.0
        is_double = n >= int(ways[1])
        parent = 2 + _V * int(ways[v + 23])
        z1, z2 = (low, high) if is_double else (bottom, top)
        end, lost = _segment_cone(
            s,
            lists,
            int(ways[parent + 17]) if is_double else 0,
            int(ways[parent + 18]) if is_double else count,
            lists,
            at,
            ax,
            ay,
            ways[v + 12],
            ways[v + 13],
            ways[v + 14],
            ways[v + 15],
            -1,
            i,
            0.0,
            sign_i,
            z1,
            z2,
            low,
            high,
        )
        ways[v + 17], ways[v + 18] = at, end
        at = end
        if is_double:
            end, more = _segment_cone(
                s,
                lists,
                int(ways[parent + 21]),
                int(ways[parent + 22]),
                lists,
                at,
                ways[v + 2],
                ways[v + 3],
                x1,
                y1,
                x2,
                y2,
                i,
                j,
                sign_i,
                sign,
                z1,
                z2,
                low,
                high,
            )
            ways[v + 19], ways[v + 20], lost = at, end, lost + more
            ways[v + 16] = math.exp(_TO_SHARE * lost)
            at = end
        r, left = max(math.hypot(x1 - kx, y1 - ky), 1e-12), max(math.hypot(x2 - kx, y2 - ky), 1e-12)
        end, _ = _cone(
            s,
            lists,
            0,
            count,
            lists,
            at,
            kx,
            ky,
            (x1 - kx) / r,
            (y1 - ky) / r,
            (x2 - kx) / left,
            (y2 - ky) / left,
            cx,
            cy,
            hx,
            hy,
            x1,
            y1,
            x2,
            y2,
            j,
            sign,
            -1,
            0.0,
            z1,
            z2,
            low,
            high,
        )
        ways[v + 21], ways[v + 22] = at, end
        at = end
    for e in range(int(s[11])):
        if at + count > len(lists):
            return
        x, y = s[int(s[12]) + 4 * e], s[int(s[12]) + 4 * e + 1]
        end, _ = _segment_cone(
            s, lists, 0, count, lists, at, ax, ay, x, y, x, y, -1, -1, 0.0, 0.0, low, high, low, high
        )
        edge_at[2 * e], edge_at[2 * e + 1] = at, end
        at = end
