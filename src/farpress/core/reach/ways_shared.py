"""An echo at the points of a tile, followed for each of them or once for a block of neighbours: plain scalar
code for `ways_thrown`.
"""

from __future__ import annotations

from collections.abc import MutableSequence, Sequence
from typing import NamedTuple

from farpress.core.reach.ways_echoes import Echo, _double, _single
from farpress.core.reach.ways_work import PointRow, Received, Scratch, Setting, Tile

__all__: list[str] = []

_ALIKE = 0.25  # neighbours with a wall between share nothing


class _Gained(NamedTuple):
    """What a point has so far, or what one echo has added to that; as in `Received`."""

    gain: float
    spread: float
    reflected: float
    higher: float
    left_out: float
    guided: float
    onward: float
    echoed: float


def _echo(
    setting: Setting,
    scratch: Scratch,
    spots: Sequence[PointRow],
    tile: Tile,
    echo: Echo,
    received: MutableSequence[Received],
) -> None:
    """An echo of one wall or of two at the points of a tile; a faint one is followed once for each block."""
    is_double = echo.image.i != echo.image.j
    # the leg in which the way to the point before was given up: neighbours mostly fail at the same walls
    dearest, brightness, gained = 2, 0.0, _Gained(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    for n in range(tile.first, tile.last):
        here = received[n]
        is_next = echo.is_faint and n > tile.first and spots[n].block == spots[n - 1].block
        if is_next and here.gain > _ALIKE * brightness:
            _share(here, gained)
            continue
        before, brightness = _so_far(here), here.gain
        if is_double:
            dearest = _double(setting, scratch, spots[n], echo, here, dearest)
        else:
            _single(setting, scratch, spots[n], tile, echo, here)
        if echo.is_faint:
            gained = _since(here, before)


def _so_far(here: Received) -> _Gained:
    """What a point has so far."""
    return _Gained(
        here.gain,
        here.spread,
        here.reflected,
        here.higher,
        here.left_out,
        here.guided,
        here.onward,
        here.echoed,
    )


def _since(here: Received, before: _Gained) -> _Gained:
    """What a point has got since then."""
    return _Gained(
        here.gain - before.gain,
        here.spread - before.spread,
        here.reflected - before.reflected,
        here.higher - before.higher,
        here.left_out - before.left_out,
        here.guided - before.guided,
        here.onward - before.onward,
        here.echoed - before.echoed,
    )


def _share(here: Received, gained: _Gained) -> None:
    """A point gets what its neighbour got."""
    here.gain += gained.gain
    here.spread += gained.spread
    here.reflected += gained.reflected
    here.higher += gained.higher
    here.left_out += gained.left_out
    here.guided += gained.guided
    here.onward += gained.onward
    here.echoed += gained.echoed
