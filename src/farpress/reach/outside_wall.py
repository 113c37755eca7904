"""Where an aerial could go outside: on the outer face of the wall that a receiver indoors listens through."""

from __future__ import annotations

import itertools
import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from farpress.case.case import Case, OutputAt
from farpress.domain.premises import Aerial, Place

__all__ = ["COAX", "outside_the_wall"]

COAX: Final = "rg58"
_WHIP: Final = "whip"
_COAX_MOST_M: Final = 15.0
"""Way to a wall up to which an aerial outside is offered: about 5 dB of thin coax; our choice."""
_COAX_SPARE_M: Final = 1.5
"""Coax to go up, through the wall and into the box; our choice."""
_OFF_WALL_M: Final = 0.3
"""How far off the wall an aerial stands; our choice, about half a wavelength."""


def outside_the_wall(case: Case, output: OutputAt, place: Place) -> Aerial | None:
    """An aerial on the outer face of the wall between a receiver indoors and a place out of doors; None where
    the receiver has another aerial already, or no wall lies within the length of a usual coax.
    """
    box = output.box
    if box.level is None or place.level is not None or box.antenna is not None or box.antenna_places:
        return None
    found = case.found(_outer_face, output.premises, tuple(box.at[:2]), tuple(place.at[:2]))
    if found is None:
        return None
    x, y, length_m = found
    coax = {"part": COAX, "length_m": length_m}
    return Aerial.model_validate({"part": _WHIP, "at": (x, y, *box.at[2:]), "coax": coax})


def _outer_face(
    case: Case, premises: str, box_at: tuple[float, ...], place_at: tuple[float, ...]
) -> tuple[float, float, float] | None:
    """Where an aerial stands before the outermost wall between a receiver and a place, and the coax to there
    [m]; None where no wall lies between, or too far off.
    """
    start, end = np.array(box_at, dtype=float), np.array(place_at, dtype=float)
    crossed = [
        (share, np.array(first[:2], dtype=float), np.array(second[:2], dtype=float))
        for wall in case.job.premises[premises].walls
        for first, second in itertools.pairwise(wall.along)
        if (share := _meets(start, end, np.array(first[:2]), np.array(second[:2]))) is not None
    ]
    if not crossed:
        return None
    _, first, second = max(crossed, key=lambda wall: wall[0])
    along = (second - first) / math.dist(first, second)
    foot = first + float(np.clip((start - first) @ along, 0.0, math.dist(first, second))) * along
    way = math.dist(start, foot)
    if not 0.0 < way <= _COAX_MOST_M:
        return None
    x, y = foot + _OFF_WALL_M / way * (foot - start)
    return round(float(x), 1), round(float(y), 1), float(math.ceil(way + _COAX_SPARE_M))


def _meets(
    start: NDArray[np.float64],
    end: NDArray[np.float64],
    first: NDArray[np.float64],
    second: NDArray[np.float64],
) -> float | None:
    """Share of the way from start to end at which it crosses a wall on the plan; None where it does not."""
    way, wall = end - start, second - first
    across = float(way[0] * wall[1] - way[1] * wall[0])
    if abs(across) < 1e-9:
        return None
    off = first - start
    share = float(off[0] * wall[1] - off[1] * wall[0]) / across
    along = float(off[0] * way[1] - off[1] * way[0]) / across
    return share if 0.0 < share < 1.0 and 0.0 <= along <= 1.0 else None
