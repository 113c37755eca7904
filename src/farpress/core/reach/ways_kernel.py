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

from farpress.core.reach.ways_legs import _NO_TURN, _TOUCH_M, _cost, _ground, _is_beyond, _meet, _rest
from farpress.core.reach.ways_packed import _TO_SHARE, MaterialRow, Packed, _both, _inside, _power, _square
from farpress.core.reach.ways_work import (
    Gains,
    Leg,
    Lost,
    Met,
    Point,
    PointRow,
    Received,
    Route,
    Scratch,
    Setting,
    SlabsPassed,
    Tile,
)

__all__: list[str] = []

_FAINT = 2e-3
_NEAREST_M = 0.5
_FEW = 3
_RIM_M = 1e-3  # nothing is thrown back by the rim itself: it would slip out between two walls that meet there
_PARALLEL = 0.9999
_ECHOES = 30
_FEW_PARTS = 0.005
_TO_DB = 4.3429448190325175


def _add(here: Received, gain: float, variance: float) -> float:
    """One way more at a point; its gain, for the sum of its kind."""
    here.gain += gain
    here.strongest = max(here.strongest, gain)
    here.spread += gain * math.sqrt(variance)
    return gain


def _end(here: Received, gain: Gains, lost: Lost, most: Lost) -> Gains:
    """The end of a way that its legs have made darker: added, or left out and counted where both waves have
    lost more than `most`; what it adds to the sum of its kind.
    """
    arrives = Gains(
        gain.upright * math.exp(_TO_SHARE * lost.upright), gain.level * math.exp(_TO_SHARE * lost.level)
    )
    if _is_beyond(lost, most):
        here.left_out += arrives.upright + arrives.level
        return Gains(0.0, 0.0)
    _add(here, arrives.upright + arrives.level, lost.variance)
    return arrives


def _most(gain: Gains, here: Received) -> Lost:
    """Losses at which the waves of a way become too faint for a point [dB]."""
    faint = _FAINT * here.gain + 1e-30
    return Lost(
        _TO_DB * math.log(max(gain.upright, 1e-30) / faint),
        _TO_DB * math.log(max(gain.level, 1e-30) / faint),
        0.0,
    )


def _nothing() -> Lost:
    """What a way has lost before its first leg."""
    return Lost(0.0, 0.0, 0.0)


def _echoed(gain: Gains, material: MaterialRow, cosine: float) -> Gains:
    """What a build throws back of a way that meets it at an angle."""
    upright, level = _both(material.echo, material.level_echo, cosine)
    return Gains(gain.upright * upright, gain.level * level)


def _darkest(received: Sequence[Received], tile: Tile) -> float:
    """What arrives so far at the darkest point of a tile."""
    least = received[tile.first].gain
    for n in range(tile.first + 1, tile.last):
        least = min(least, received[n].gain)
    return least


def _series(
    first: MaterialRow,
    second: MaterialRow,
    near: float,
    far: float,
    apart: float,
    along2: float,
    added: Gains,
) -> float:
    """Echoes three and more that two parallel faces `apart` [m] throw to each other, where their second has
    `added` so much.

    Args:
        first, second: what the face met first and the other are made of.
        near, far: distances of the two ends from the first face [m].
        apart: distance of the faces [m].
        along2: square of the way along the faces [m^2].
        added: by upright and by level waves.
    """
    total, level_total, two, level_two, before = 0.0, 0.0, 1.0, 1.0, 1.0
    for n in range(2, _ECHOES):
        across = near + (n - 1.0) * apart + (far if n % 2 == 1 else apart - far)
        way2 = along2 + across * across
        cosine = across / math.sqrt(way2)
        upright, level = _both(first.echo, first.level_echo, cosine)
        upright_too, level_too = _both(second.echo, second.level_echo, cosine)
        upright = _power(upright, (n + 1) // 2) * _power(upright_too, n // 2) / way2
        level = _power(level, (n + 1) // 2) * _power(level_too, n // 2) / way2
        if n == 2:
            two, level_two = max(upright, 1e-30), max(level, 1e-30)
            before = 1.0
            continue
        total += upright / two
        level_total += level / level_two
        share = max(upright / two, level / level_two)
        if share + before < _FEW_PARTS:
            break
        before = share
    return added.upright * total + added.level * level_total


def _between_floors(setting: Setting, p: Point, flat: float, here: Received, lost: Lost) -> None:
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
    near2, apart = _square(setting.wave / (4.0 * math.pi)), scene.slabs[above].z - scene.slabs[below].z
    for k, other in ((below, above), (above, below)):
        first, second = scene.materials[scene.slabs[k].material], scene.materials[scene.slabs[other].material]
        near, far = abs(a.z - scene.slabs[k].z), abs(p.z - scene.slabs[k].z)
        across = near + 2.0 * apart - far
        way = math.sqrt(flat * flat + across * across)
        cosine = across / way
        each = 0.5 * near2 / _square(max(way, _NEAREST_M))
        gain = _echoed(_echoed(Gains(each, each), first, cosine), second, cosine)
        added = _end(here, gain, lost, _most(gain, here))
        here.higher += added.upright + added.level
        here.guided += added.upright + added.level
        here.onward += _series(first, second, near, far, apart, flat * flat, added)


def _through_floor(setting: Setting, p: Point, flat: float, here: Received, by_walls: Lost) -> None:
    """Thrown to and fro by the floors and ceilings of two storeys with one slab between, which is met less
    flat then than straight on; and how much more than a way without a bounce that brings, for echoes of
    walls.

    Args:
        setting: scene and aerial.
        p: the point.
        flat: distance on the plan [m].
        here: what arrives at it.
        by_walls: what the straight way loses in walls; taken for these ways too.
    """
    scene, a = setting.scene, setting.aerial
    between, near, far = -1, -1, -1
    for k in range(len(scene.slabs)):
        z = scene.slabs[k].z
        if (a.z - z) * (p.z - z) < 0.0:
            if between >= 0:
                return
            between = k
        elif (z - a.z) * (p.z - a.z) < 0.0:
            if near < 0 or abs(z - a.z) < abs(scene.slabs[near].z - a.z):
                near = k
        elif far < 0 or abs(z - p.z) < abs(scene.slabs[far].z - p.z):
            far = k
    if between < 0 or not _spans_both(scene, between, a, p):
        return
    near = near if near >= 0 and _spans_both(scene, near, a, p) else -1
    far = far if far >= 0 and _spans_both(scene, far, a, p) else -1
    free, first, once = 0.5 * _square(setting.wave / (4.0 * math.pi)), Gains(1.0, 1.0), Gains(0.0, 0.0)
    for bounces in range(_ECHOES):
        upright, level = 0.0, 0.0
        for before in range(bounces + 1):  # the rest behind the slab between
            found = _storeys(scene, SlabsPassed(near, between, far), a.z, p.z, flat, before, bounces - before)
            upright, level = upright + free * found.upright, level + free * found.level
        if bounces == 0:
            first = Gains(max(upright, 1e-30), max(level, 1e-30))
            continue
        here.again_upright += upright / first.upright
        here.again_level += level / first.level
        if bounces == 1:
            once = Gains(here.again_upright, here.again_level)
            continue
        thrown = _end(here, Gains(upright, level), by_walls, Lost(999.0, 999.0, 0.0))
        here.by_floors += thrown.upright + thrown.level
        if thrown.upright + thrown.level <= _FAINT * here.gain:
            break
    here.more_upright = here.again_upright - once.upright
    here.more_level = here.again_level - once.level


def _storeys(
    scene: Packed, slabs: SlabsPassed, from_z: float, to_z: float, flat: float, before: int, behind: int
) -> Gains:
    """Power against (wavelength / 4 pi)^2 of a way with so many bounces before and behind the slab between
    two storeys; 0 where there is nothing to bounce off.
    """
    if (before > 0 and slabs.near < 0) or (behind > 0 and slabs.far < 0):
        return Gains(0.0, 0.0)
    between = scene.slabs[slabs.between]
    across = 0.0
    for side in range(2):
        count, face, z = before, slabs.near, from_z
        if side == 1:
            count, face, z = behind, slabs.far, to_z
        apart = abs(z - between.z)
        if count % 2 == 1:
            apart = abs(z - scene.slabs[face].z)
        if count > 0:
            apart += count * abs(scene.slabs[face].z - between.z)
        across += apart
    way2 = max(flat * flat + across * across, _NEAREST_M * _NEAREST_M)
    cosine = across / math.sqrt(way2)
    build = scene.materials[between.material]
    loss, level_loss = _both(build.loss, build.level_loss, cosine)
    upright, level = math.exp(_TO_SHARE * loss), math.exp(_TO_SHARE * level_loss)
    thrown = Gains(upright, level)
    for _ in range(before // 2 + behind // 2):
        thrown = _echoed(thrown, build, cosine)
    for _ in range((before + 1) // 2):
        thrown = _echoed(thrown, scene.materials[scene.slabs[slabs.near].material], cosine)
    for _ in range((behind + 1) // 2):
        thrown = _echoed(thrown, scene.materials[scene.slabs[slabs.far].material], cosine)
    return Gains(thrown.upright / way2, thrown.level / way2)


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
        flat = math.sqrt(_square(p.x - a.x) + _square(p.y - a.y))
        way = max(math.sqrt(flat * flat + _square(p.z - a.z)), _NEAREST_M)
        free = _square(near / way) * (_ground(setting.ground, flat) if spot.open_air > 0 else 1.0)
        leg = Leg(a, p, _TOUCH_M, _TOUCH_M, -1, -1, 0.0, 1.0)
        count = _meet(scene.walls, scratch.lists, met, leg, scratch.hits, 0)
        route = Route(way, flat / way, a.z, p.z - a.z, _NO_TURN, 0.0)
        by_walls = _cost(scene, scratch.hits, count, route, _nothing(), Lost(999.0, 999.0, 0.0), wave)
        straight = _rest(scene, scratch.lists, met, a, p, -1, wave, by_walls)
        through = 0.5 * (math.exp(_TO_SHARE * straight.upright) + math.exp(_TO_SHARE * straight.level))
        here.straight_db = -_TO_DB * math.log(max(through, 1e-99))
        here.direct += _add(here, free * through, straight.variance)
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
            each = 0.5 * _square(near / max(way, _NEAREST_M))
            gain = _echoed(Gains(each, each), scene.materials[slab.material], up / way)
            most = _most(gain, here)
            route = Route(way, flat / way, a.z, 2.0 * slab.z - p.z - a.z, ts, slab.z)
            lost = _cost(scene, scratch.hits, count, route, _nothing(), most, wave)
            if not _is_beyond(lost, most):
                lost = _rest(scene, scratch.lists, met, a, q, k, wave, lost)
                lost = _rest(scene, scratch.lists, met, q, p, k, wave, lost)
            added = _end(here, gain, lost, most)
            here.reflected += added.upright + added.level
        if spot.open_air == 0:
            _between_floors(setting, p, flat, here, straight)
            _through_floor(setting, p, flat, here, by_walls)
