"""The plan itself: what is drawn in a way that no way of a press can be trusted through."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from farpress.core.reach.shelter import sheltered
from farpress.domain.finding import Finding, Link, Verdict
from farpress.domain.premises import Premises
from farpress.sources import Citation, Mark
from farpress.tasks.case import Case
from farpress.tasks.radio_receiver import FREQUENCY_HZ
from farpress.tasks.radio_scene import place_end, point_end, scene_of

__all__ = ["CODES", "judge"]

CODES: Final[dict[str, str]] = {
    "AIR-06": "A plan that cannot be as drawn: a wall of no length, levels through each other, a room that is not closed, a scale that is off.",
}

WIDEST_M: Final = 2000.0
"""A plan wider than this is asked about: our choice, a radio remote control does not reach so far."""

_POINT_M: Final = 0.01
_OVERLAP_M: Final = 0.05
_STOREY_M: Final = 2.0
"""A level so much higher than another stands above it, not beside it on a slope: our choice."""

_CHOICE: Final = Citation("what a plan can be", mark=Mark.CHOICE)


def judge(case: Case) -> Iterator[Finding]:
    """What is odd in the plan of each address."""
    for name, house in case.job.premises.items():
        if house.receivers:
            yield from _walls(name, house)
            yield from _levels(name, house)
            yield from _floors(name, house)
            yield from _extent(name, house)
            yield from _rooms(case, name, house)


def _finding(premises: str, about: str, says: str, because: str) -> Finding:
    return Finding("AIR-06", Link.AIR, Verdict.OPEN, f"{premises}: {about}", says, because, sources=(_CHOICE,), subjects=(f"premises:{premises}",))


def _walls(premises: str, house: Premises) -> Iterator[Finding]:
    for number, wall in enumerate(house.walls, start=1):
        length = sum(math.dist(a[:2], b[:2]) for a, b in zip(wall.along, wall.along[1:]))
        if length < _POINT_M:
            yield _finding(premises, f"wall {number}", f"Wall {number} ({wall.build}) has no length and is left out.", "Draw its second end, or take the wall out.")


def _levels(premises: str, house: Premises) -> Iterator[Finding]:
    """Two levels without outlines, one beginning inside the other's height."""
    ordered = sorted(((name, one) for name, one in house.levels.items() if one.outline is None), key=lambda pair: pair[1].floor_m)
    for (lower, low), (upper, high) in pairwise(ordered):
        if high.floor_m < low.floor_m + low.clear_m - _OVERLAP_M:
            yield _finding(
                premises, f"levels {lower} and {upper}",
                f"Level {upper} begins at {high.floor_m:g} m, inside level {lower} ({low.floor_m:g} m to {low.floor_m + low.clear_m:g} m).",
                "Walls of both stand in the same height, so a press is charged twice. Correct a floor or a clear height, or give outlines if they lie beside each other.",
            )  # fmt: skip


def _floors(premises: str, house: Premises) -> Iterator[Finding]:
    """A storey above another, with somebody or a receiver on it, and no slab between."""
    used = {place.level for place in house.places.values()} | {box.level for box in house.receivers.values()}
    for name, level in house.levels.items():
        below = [other for other, one in house.levels.items() if one.floor_m + _STOREY_M <= level.floor_m]
        if name in used and below and level.slab is None:
            yield _finding(
                premises, f"floor of level {name}", f"Level {name} lies at {level.floor_m:g} m, above {' and '.join(below)}, and no slab is drawn under it: a press through that floor is counted as free of it.",
                f"Give 'slab', the build of the floor, as in: {name}: {{floor: {level.floor_m:g} m, clear: {level.clear_m:g} m, slab: timber floor}}.",
            )  # fmt: skip


def _extent(premises: str, house: Premises) -> Iterator[Finding]:
    points = [point[:2] for wall in house.walls for point in wall.along] + [one.at[:2] for one in house.places.values()] + [one.at[:2] for one in house.receivers.values()]
    across = max(max(one[axis] for one in points) - min(one[axis] for one in points) for axis in (0, 1)) if points else 0.0
    if across > WIDEST_M:
        yield _finding(premises, "size of the plan", f"The plan is {across / 1000.0:.1f} km wide; radio remote control reaches some hundred metres.",
                       "Check the scale, and that no place carries the coordinates of a map.")  # fmt: skip


def _rooms(case: Case, premises: str, house: Premises) -> Iterator[Finding]:
    """Places and receivers said to lie on a level with walls, whose walls leave more than one way open."""
    walled = {wall.level for wall in house.walls if wall.level}
    inside = [(name, place.level, place_end(house, place)) for name, place in house.places.items() if place.level in walled]
    boxes = [(name, box.level, point_end(house, box.at, box.level, default_m=1.5)) for name, box in house.receivers.items() if box.level in walled]
    inside += [(name, level, end) for name, level, end in boxes if end is not None]
    if not inside:
        return
    closed = sheltered(scene=scene_of(house, case.equipment, FREQUENCY_HZ).scene, points_m=[end.at_m for _, _, end in inside])
    for (name, level, _), is_closed in zip(inside, closed):
        if not is_closed:
            yield _finding(premises, f"room round {name}", f"{name} is said to lie on level {level}, but the walls drawn round it leave it open to several sides.",
                           "Draw the missing walls, or take the level off a place under the open sky; until then the gaps cost nothing.")  # fmt: skip
