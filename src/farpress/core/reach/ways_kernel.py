"""How a way is counted, and the straight way: the first of the inner loops of `ways`, as plain scalar code.

The same functions run as they stand (a few points: no compiler is started) and compiled
(maps, see `ways_compiled`); so both give the same numbers. Only numbers and sequences of rows with
named values come in. What the physics is, and where it comes from, is said in `ways`.

A tile is a handful of neighbouring points. A kind of way that cannot reach any of them, or whose
brightest possible sum stays under `_FAINT` of what already arrives at the darkest of them, is
left out as a whole, and what was left out is added up in a column of its own.
"""

from __future__ import annotations

import math
from collections.abc import MutableSequence, Sequence

from farpress.core.reach.ways_legs import _NO_TURN, _TOUCH_M, _cost, _ground, _meet, _rest
from farpress.core.reach.ways_packed import Packed, _inside, _table
from farpress.core.reach.ways_work import Leg, Met, Point, PointRow, Received, Route, Scratch, Setting, Tile

__all__: list[str] = []

_FAINT = 2e-3
_NEAREST_M = 0.5
_FEW = 3
_RIM_M = 1e-3  # nothing is thrown back by the rim itself: it would slip out between two walls that meet there
_PARALLEL = 0.9999
_ECHOES = 30
_FEW_PARTS = 0.005
_TO_SHARE = -0.23025850929940458
_TO_DB = 4.3429448190325175


def _add(here: Received, gain: float, variance: float) -> float:
    """One way more at a point; its gain, for the sum of its kind."""
    here.gain += gain
    here.strongest = max(here.strongest, gain)
    here.spread += gain * math.sqrt(variance)
    return gain


def _end(here: Received, gain: float, loss: float, variance: float, most: float) -> float:
    """The end of a way that its legs have made `loss` [dB] darker: added, or left out and counted where that
    is more than `most`; what it adds to the sum of its kind.
    """
    gain *= math.exp(_TO_SHARE * loss)
    if loss > most:
        here.left_out += gain
        return 0.0
    return _add(here, gain, variance)


def _most_db(gain: float, here: Received) -> float:
    """Loss at which a way of that gain becomes too faint for a point [dB]."""
    return _TO_DB * math.log(gain / (_FAINT * here.gain + 1e-30))


def _darkest(received: Sequence[Received], tile: Tile) -> float:
    """What arrives so far at the darkest point of a tile."""
    least = received[tile.first].gain
    for n in range(tile.first + 1, tile.last):
        least = min(least, received[n].gain)
    return least


def _series(
    first: Sequence[float], second: Sequence[float], near: float, far: float, apart: float, along2: float
) -> float:
    """Echoes three and more that two parallel faces `apart` [m] throw to each other, over their second.

    Args:
        first, second: echo of the face met first and of the other, over the cosine of the angle.
        near, far: distances of the two ends from the first face [m].
        apart: distance of the faces [m].
        along2: square of the way along the faces [m^2].
    """
    total, echo_two, before = 0.0, 1.0, 1.0
    for n in range(2, _ECHOES):
        across = near + (n - 1.0) * apart + (far if n % 2 == 1 else apart - far)
        way2 = along2 + across * across
        cosine = across / math.sqrt(way2)
        share = _table(first, cosine) ** ((n + 1) // 2) * _table(second, cosine) ** (n // 2) / way2
        if n == 2:
            echo_two = max(share, 1e-30)
        else:
            total += share / echo_two
            if share + before < _FEW_PARTS * echo_two:
                break
        before = share
    return total


def _between_floors(setting: Setting, p: Point, flat: float, here: Received, loss: float, v: float) -> None:
    """Thrown to each other by the floor and the ceiling that both ends stand between."""
    scene, a = setting.scene, setting.aerial
    below, above = -1, -1
    for k in range(len(scene.slabs)):
        z = scene.slabs[k].z
        if (a.z - z) * (p.z - z) <= 0.0:
            return
        if z < a.z and (below < 0 or z > scene.slabs[below].z):
            below = k
        if z > a.z and (above < 0 or z < scene.slabs[above].z):
            above = k
    if below < 0 or above < 0 or not (_spans_both(scene, below, a, p) and _spans_both(scene, above, a, p)):
        return
    near2, apart = (setting.wave / (4.0 * math.pi)) ** 2, scene.slabs[above].z - scene.slabs[below].z
    for k, other in ((below, above), (above, below)):
        first = scene.materials[scene.slabs[k].material].echo
        second = scene.materials[scene.slabs[other].material].echo
        near, far = abs(a.z - scene.slabs[k].z), abs(p.z - scene.slabs[k].z)
        across = near + 2.0 * apart - far
        way = math.sqrt(flat * flat + across * across)
        cosine = across / way
        gain = near2 / max(way, _NEAREST_M) ** 2 * _table(first, cosine) * _table(second, cosine)
        added = _end(here, gain, loss, v, _most_db(max(gain, 1e-30), here))
        here.higher += added
        here.guided += added
        here.onward += added * _series(first, second, near, far, apart, flat * flat)


def _spans_both(scene: Packed, k: int, a: Point, p: Point) -> bool:
    """Whether a slab covers both ends on the plan."""
    slab = scene.slabs[k]
    return slab.corner_end <= slab.corner or (
        _inside(scene.corners, slab.corner, slab.corner_end, a.x, a.y)
        and _inside(scene.corners, slab.corner, slab.corner_end, p.x, p.y)
    )


def _straight(
    setting: Setting,
    scratch: Scratch,
    spots: Sequence[PointRow],
    tile: Tile,
    met: Met,
    received: MutableSequence[Received],
) -> None:
    """The straight way, and those thrown back by a floor or ceiling alone."""
    scene, a, wave = setting.scene, setting.aerial, setting.wave
    near = wave / (4.0 * math.pi)
    for n in range(tile.first, tile.last):
        spot, here = spots[n], received[n]
        p = Point(spot.x, spot.y, spot.z)
        flat = math.sqrt((p.x - a.x) ** 2 + (p.y - a.y) ** 2)
        way = max(math.sqrt(flat * flat + (p.z - a.z) ** 2), _NEAREST_M)
        free = (near / way) ** 2 * (_ground(setting.ground, flat) if spot.open_air > 0 else 1.0)
        leg = Leg(a, p, _TOUCH_M, _TOUCH_M, -1, -1, 0.0, 1.0)
        count = _meet(scene.walls, scratch.lists, met, leg, scratch.hits, 0)
        route = Route(way, flat / way, a.z, p.z - a.z, _NO_TURN, 0.0)
        loss, v = _cost(scene, scratch.hits, count, route, 999.0, wave)
        more, v1 = _rest(scene, scratch.lists, met, a, p, -1, wave)
        here.straight_db = loss + more
        through_v = v + v1
        here.direct += _add(here, free * math.exp(_TO_SHARE * (loss + more)), through_v)
        for k in range(len(scene.slabs)):
            slab = scene.slabs[k]
            if (a.z - slab.z) * (p.z - slab.z) <= 0.0 or (spot.open_air > 0 and slab.z < a.z):
                continue  # what lies below is in the ground's two rays already
            up = abs(a.z - slab.z) + abs(p.z - slab.z)
            ts = abs(a.z - slab.z) / up
            q = Point(a.x + ts * (p.x - a.x), a.y + ts * (p.y - a.y), slab.z)
            if slab.corner_end > slab.corner and not _inside(
                scene.corners, slab.corner, slab.corner_end, q.x, q.y
            ):
                continue
            way = math.sqrt(flat * flat + up * up)
            gain = (near / max(way, _NEAREST_M)) ** 2 * _table(scene.materials[slab.material].echo, up / way)
            most = _most_db(max(gain, 1e-30), here)
            route = Route(way, flat / way, a.z, 2.0 * slab.z - p.z - a.z, ts, slab.z)
            loss, v = _cost(scene, scratch.hits, count, route, most, wave)
            if loss <= most:
                out, v1 = _rest(scene, scratch.lists, met, a, q, k, wave)
                back, v2 = _rest(scene, scratch.lists, met, q, p, k, wave)
                loss, v = loss + out + back, v + v1 + v2
            here.reflected += _end(here, gain, loss, v, most)
        if spot.open_air == 0:
            _between_floors(setting, p, flat, here, here.straight_db, through_v)
