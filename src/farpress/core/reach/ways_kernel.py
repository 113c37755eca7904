"""How a way is counted, and the straight way: the first of the inner loops of `ways`, as plain scalar code.

The same functions run as they stand (a few points: no compiler is started) and compiled
(maps, see `ways_compiled`); so both give the same numbers. Only numbers and flat sequences of
them come in. What the physics is, and where it comes from, is said in `ways`.

A tile is a handful of neighbouring points. A kind of way that cannot reach any of them, or whose
brightest possible sum stays under `_FAINT` of what already arrives at the darkest of them, is
left out as a whole, and what was left out is added up in a column of its own.
"""

from __future__ import annotations

import math
from collections.abc import MutableSequence, Sequence
from typing import Final

from farpress.core.reach.ways_legs import _TOUCH_M, _cost, _ground, _meet, _rest
from farpress.core.reach.ways_packed import _inside, _table

__all__ = ["COLUMNS"]

COLUMNS: Final = (
    "gain",
    "strongest",
    "wall_sd_db",
    "direct",
    "reflected",
    "round edges",
    "over the top",
    "higher echoes",
    "direct_wall_db",
    "left out",
)
"""What one point gives: power gains between isotropic aerials, and decibels where the name says so."""

_R = 10
_V = 25
_FAINT = 2e-3
_NEAREST_M = 0.5
_FEW = 3
_RIM_M = 1e-3  # nothing is thrown back by the rim itself: it would slip out between two walls that meet there
_TO_SHARE = -0.23025850929940458
_TO_DB = 4.3429448190325175


def _add(rows: MutableSequence[float], r: int, column: int, gain: float, variance: float) -> None:
    """One way more at a point; while the loop runs the columns hold the sum, strongest, power times spread,
    and by kind.
    """
    rows[r] += gain
    rows[r + 1] = max(rows[r + 1], gain)
    rows[r + 2] += gain * math.sqrt(variance)
    rows[r + column] += gain


def _end(
    rows: MutableSequence[float], r: int, column: int, gain: float, loss: float, variance: float, most: float
) -> None:
    """The end of a way that its legs have made `loss` [dB] darker: added, or left out and counted where that
    is more than `most`.
    """
    gain *= math.exp(_TO_SHARE * loss)
    if loss > most:
        rows[r + 9] += gain
    else:
        _add(rows, r, column, gain, variance)


def _darkest(rows: Sequence[float], first: int, last: int) -> float:
    least = rows[_R * first]
    for n in range(first + 1, last):
        least = min(least, rows[_R * n])
    return least


def _straight(
    s: Sequence[float],
    points: Sequence[float],
    outdoors: Sequence[int],
    first: int,
    last: int,
    ax: float,
    ay: float,
    az: float,
    met: Sequence[int],
    begun: int,
    ended: int,
    ground: Sequence[float],
    wave: float,
    hits: MutableSequence[float],
    rows: MutableSequence[float],
) -> None:
    """The straight way, and those thrown back by a floor or ceiling alone."""
    near = wave / (4.0 * math.pi)
    for n in range(first, last):
        px, py, pz, r = points[3 * n], points[3 * n + 1], points[3 * n + 2], _R * n
        flat = math.sqrt((px - ax) ** 2 + (py - ay) ** 2)
        way = max(math.sqrt(flat * flat + (pz - az) ** 2), _NEAREST_M)
        free = (near / way) ** 2 * (_ground(ground, flat) if outdoors[n] > 0 else 1.0)
        end = _meet(s, ax, ay, px, py, _TOUCH_M, _TOUCH_M, met, begun, ended, -1, -1, 0.0, 1.0, hits, 0)
        loss, v = _cost(s, hits, 0, end, way, flat / way, az, pz - az, 2.0, 0.0, 999.0, wave)
        more, v1 = _rest(s, ax, ay, az, px, py, pz, met, begun, ended, -1, wave)
        rows[r + 8] = loss + more
        _add(rows, r, 3, free * math.exp(_TO_SHARE * (loss + more)), v + v1)
        for k in range(int(s[2])):
            z = s[int(s[3]) + 3 * k]
            if (az - z) * (pz - z) <= 0.0 or (
                outdoors[n] > 0 and z < az
            ):  # what lies below is in the ground's two rays already
                continue
            up = abs(az - z) + abs(pz - z)
            ts = abs(az - z) / up
            sx, sy = ax + ts * (px - ax), ay + ts * (py - ay)
            k0, k1 = int(s[int(s[3]) + 3 * k + 2]), int(s[int(s[3]) + 3 * (k + 1) + 2])
            if k1 > k0 and not _inside(s, int(s[4]), k0, k1, sx, sy):
                continue
            way = math.sqrt(flat * flat + up * up)
            gain = (near / max(way, _NEAREST_M)) ** 2 * _table(
                s, int(s[9]), int(s[int(s[3]) + 3 * k + 1]), up / way
            )
            most = _TO_DB * math.log(max(gain, 1e-30) / (_FAINT * rows[r] + 1e-30))
            loss, v = _cost(s, hits, 0, end, way, flat / way, az, 2.0 * z - pz - az, ts, z, most, wave)
            if loss <= most:
                one, v1 = _rest(s, ax, ay, az, sx, sy, z, met, begun, ended, k, wave)
                two, v2 = _rest(s, sx, sy, z, px, py, pz, met, begun, ended, k, wave)
                loss, v = loss + one + two, v + v1 + v2
            _end(rows, r, 4, gain, loss, v, most)
