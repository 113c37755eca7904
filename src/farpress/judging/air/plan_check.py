"""The plan itself: what is drawn in a way that no way of a press can be trusted through."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from farpress.case.case import Case
from farpress.core.reach.crossings import outline_holds
from farpress.core.reach.shelter import sheltered, walled_directions
from farpress.core.reach.ways_scene import free_ends, joined_walls, outer_corners
from farpress.domain.finding import Finding, Link, Who
from farpress.domain.premises import Premises
from farpress.domain.refs import PlanRef, PremisesRef
from farpress.judging.check import Answer, Check
from farpress.reach.radio_receiver import FREQUENCY_HZ
from farpress.reach.radio_scene import HAND_M, ground_height_m, place_end, point_end, scene_of
from farpress.sources import Citation, Mark

__all__ = ["PLAN_SOUND", "judge"]

PLAN_SOUND: Final = Check(
    "AIR-06",
    Link.AIR,
    "A plan that cannot be as drawn: a wall of no length, levels through each other, a room that is not"
    " closed, a scale that is off.",
    who=Who.INSTALLER,
    minutes=5.0,
    mends="The plan drawn as the building is.",
)

WIDEST_M: Final = 2000.0
"""A plan wider than this is asked about: our choice, a radio remote control does not reach so far."""

_POINT_M: Final = 0.01
_OVERLAP_M: Final = 0.05
_STOREY_M: Final = 2.0
"""A level so much higher than another stands above it, not beside it on a slope: our choice."""

_BURIED_M: Final = 1.0
"""A hand or a receiver so deep under the ground as drawn is in a cellar, and not on a ramp or in a dip that
nobody measured: our choice."""

_EARTH_DB: Final = 10.0
"""A wall that holds earth back, of concrete or of the build 'basement wall', loses as much: our choice."""

_LOOKS: Final = 64
_ROUND: Final = 32
"""Of `_LOOKS` directions so many must end at a wall before a group of walls passes for a room that is not
closed: our choice."""

_GATE: Final = 0.125
"""A gap of up to this share of the way round is taken for a gate or doorway that stands open: our choice."""

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
            yield from _unclosed(case, name, house)
            yield from _buried(case, name, house)


def _finding(premises: str, about: str, says: str, because: str) -> Finding:
    return PLAN_SOUND.decide(
        about=f"{premises}: {about}",
        subjects=(PremisesRef(premises), PlanRef(f"{premises}/{about}")),
        says=says,
        because=because,
        answer=Answer.UNKNOWN,
        asks=(because,),
        sources=(_CHOICE,),
    )


def _walls(premises: str, house: Premises) -> Iterator[Finding]:
    for number, wall in enumerate(house.walls, start=1):
        length = sum(math.dist(a[:2], b[:2]) for a, b in zip(wall.along, wall.along[1:]))
        if length < _POINT_M:
            yield _finding(
                premises,
                f"wall {number}",
                f"Wall {number} ({wall.build}) has no length and is left out.",
                "Draw its second end, or take the wall out.",
            )


def _levels(premises: str, house: Premises) -> Iterator[Finding]:
    """Two levels without outlines, one beginning inside the other's height."""
    ordered = sorted(
        ((name, level) for name, level in house.levels.items() if level.outline is None),
        key=lambda pair: pair[1].floor_m,
    )
    for (lower, low), (upper, high) in itertools.pairwise(ordered):
        if high.floor_m < low.floor_m + low.clear_m - _OVERLAP_M:
            yield _finding(
                premises,
                f"levels {lower} and {upper}",
                f"Level {upper} begins at {high.floor_m:g} m, inside level {lower} ({low.floor_m:g} m to"
                f" {low.floor_m + low.clear_m:g} m).",
                "Walls of both stand in the same height, so a press is charged twice. Correct a floor or a"
                " clear height, or give outlines if they lie beside each other.",
            )


def _floors(premises: str, house: Premises) -> Iterator[Finding]:
    """A storey above another, with somebody or a receiver on it, and no slab between."""
    used = {place.level for place in house.places.values()} | {box.level for box in house.receivers.values()}
    for name, level in house.levels.items():
        below = [other for other, lower in house.levels.items() if lower.floor_m + _STOREY_M <= level.floor_m]
        if name in used and below and level.slab is None:
            yield _finding(
                premises,
                f"floor of level {name}",
                f"Level {name} lies at {level.floor_m:g} m, above {' and '.join(below)}, and no slab is drawn"
                " under it: a press through that floor is counted as free of it.",
                f"Give 'slab', the build of the floor, as in: {name}: {{floor: {level.floor_m:g} m, clear:"
                f" {level.clear_m:g} m, slab: timber floor}}.",
            )


def _extent(premises: str, house: Premises) -> Iterator[Finding]:
    points = (
        [point[:2] for wall in house.walls for point in wall.along]
        + [place.at[:2] for place in house.places.values()]
        + [receiver.at[:2] for receiver in house.receivers.values()]
    )
    across = (
        max(max(point[axis] for point in points) - min(point[axis] for point in points) for axis in (0, 1))
        if points
        else 0.0
    )
    if across > WIDEST_M:
        yield _finding(
            premises,
            "size of the plan",
            f"The plan is {across / 1000.0:.1f} km wide; radio remote control reaches some hundred metres.",
            "Check the scale, and that no place carries the coordinates of a map.",
        )


def _rooms(case: Case, premises: str, house: Premises) -> Iterator[Finding]:
    """Places and receivers said to lie on a level with walls, whose walls leave more than one way open."""
    walled = {wall.level for wall in house.walls if wall.level}
    inside = [
        (name, place.level, place_end(house, place))
        for name, place in house.places.items()
        if place.level in walled
    ]
    boxes = [
        (name, box.level, point_end(house, box.at, box.level, default_m=1.5))
        for name, box in house.receivers.items()
        if box.level in walled
    ]
    inside += [(name, level, end) for name, level, end in boxes if end is not None]
    if not inside:
        return
    closed = sheltered(
        scene=scene_of(house, case.equipment, FREQUENCY_HZ).scene, points_m=[end.at_m for _, _, end in inside]
    )
    for (name, level, _), is_closed in zip(inside, closed):
        if not is_closed:
            yield _finding(
                premises,
                f"room round {name}",
                f"{name} is said to lie on level {level}, but the walls drawn round it leave it open to"
                " several sides.",
                "Draw the missing walls, or take the level off a place under the open sky; until then the"
                " gaps cost nothing.",
            )


def _buried(case: Case, premises: str, house: Premises) -> Iterator[Finding]:
    """Places and receivers under the ground, where nothing is drawn of the earth around and over."""
    ends = [(name, place.level, place_end(house, place)) for name, place in house.places.items()]
    boxes = [
        (name, box.level, point_end(house, box.at, box.level, default_m=1.5))
        for name, box in house.receivers.items()
    ]
    for name, level, end in (*ends, *((name, level, end) for name, level, end in boxes if end is not None)):
        x, y, height = end.at_m
        deep = ground_height_m(house, x, y) - height
        if deep < _BURIED_M or any(
            _is_in_earth(case, house, other)
            for other in _levels_round(house, height)
            if level in (None, other)
        ):
            continue
        yield _finding(
            premises,
            f"ground over {name}",
            f"{name} lies {deep:.1f} m below the ground, and of the earth and the ceiling over it nothing is"
            " drawn: a press there is counted as through air.",
            "Give its level a floor below the ground with walls round it of the build 'basement wall', or"
            " with a 'loss' that was measured, and the level above it a 'slab'; if it lies in a dip, give"
            " the ground's heights under 'slope'. A reading taken there is worth more than either.",
        )


def _levels_round(house: Premises, height_m: float) -> list[str]:
    """The levels in whose height a point lies."""
    return [
        name
        for name, level in house.levels.items()
        if level.floor_m <= height_m <= level.floor_m + level.clear_m
    ]


def _is_in_earth(case: Case, house: Premises, name: str) -> bool:
    """Whether walls of a level can hold earth back, or it is said what they lose, and a slab lies over it."""
    level = house.levels[name]
    around = [wall for wall in house.walls if wall.level == name]
    in_earth = any(
        wall.loss_db is not None
        or ((build := case.equipment.builds.get(wall.build)) is not None and build.loss_db >= _EARTH_DB)
        for wall in around
    )
    top = level.floor_m + level.clear_m
    over = any(
        other.slab is not None and abs(other.floor_m - top) < _STOREY_M / 2 for other in house.levels.values()
    )
    return in_earth and over


def _unclosed(case: Case, premises: str, house: Premises) -> Iterator[Finding]:
    """Walls of a level that end free and leave what they go round open, for those among them who do not say
    that they lie on that level.
    """
    said = {place.level for place in house.places.values()} | {box.level for box in house.receivers.values()}
    stand = [(name, place_end(house, place)) for name, place in house.places.items() if place.level is None]
    boxes = [
        (name, point_end(house, box.at, None, default_m=1.5))
        for name, box in house.receivers.items()
        if box.level is None
    ]
    stand += [(name, end) for name, end in boxes if end is not None]
    scene = scene_of(house, case.equipment, FREQUENCY_HZ).scene
    for name, level in house.levels.items():
        for corners, ends in _open_groups(house, name):
            height = level.floor_m + HAND_M["in hand"]
            among = [
                (who, end.at_m)
                for who, end in stand
                if level.floor_m <= end.at_m[2] <= level.floor_m + level.clear_m
                and outline_holds(corners, [end.at_m[:2]])
            ]
            if not among and name in said:
                continue
            x, y = corners.mean(axis=0)
            probes = [point for _, point in among] or [(float(x), float(y), height)]
            hit = walled_directions(scene=scene, points_m=probes, directions=_LOOKS)
            is_open = (hit < _LOOKS) & (
                hit >= _ROUND
            )  # doors and windows are no gaps: the wall goes on behind them
            if not is_open.any():
                continue
            roofed = sheltered(scene=scene, points_m=probes)
            lie = [(who, bool(indoors)) for (who, _), indoors, gap in zip(among, roofed, is_open) if gap]
            says = (
                f"The walls of level {name} are not closed: they end free at"
                f" {' and '.join(f'({a:g}, {b:g})' for a, b in ends)}, and a press through that gap pays"
                " nothing."
            )
            for word, here in (("indoors", True), ("out of doors", False)):
                whose = [who for who, indoors in lie if indoors is here]
                if whose:
                    says += (
                        f" {' and '.join(whose)} {'lies' if len(whose) == 1 else 'lie'} among them without a"
                        f" level and {'counts' if len(whose) == 1 else 'count'} as {word}."
                    )
            yield _finding(
                premises,
                f"walls of level {name}",
                says,
                "Draw the missing wall between those ends (a doorway is an opening in it), then give 'level:"
                f" {name}' to places and receivers inside; if it is a wall of a yard, take its level off and"
                " give its upper edge, as in: top: 1.8 m.",
            )


def _open_groups(
    house: Premises, level: str
) -> Iterator[tuple[NDArray[np.float64], list[tuple[float, float]]]]:
    """Walls of a level that hang together and have free ends: the corners round them, and those ends."""
    pieces = [
        (a[:2], b[:2])
        for wall in house.walls
        if wall.level == level and wall.top_m is None
        for a, b in itertools.pairwise(wall.along)
        if math.dist(a[:2], b[:2]) >= _POINT_M
    ]
    if not pieces:
        return
    start, end = (np.array([piece[k] for piece in pieces], dtype=np.float64) for k in (0, 1))
    nothing = np.zeros(len(pieces))
    free, group = free_ends(start, end, nothing, nothing + 1.0), joined_walls(start, end)
    for number in dict.fromkeys(group.tolist()):
        own = group == number
        loose = [
            (float(point[0]), float(point[1]))
            for side, points in ((0, start), (1, end))
            for point in points[own & free[:, side]]
        ]
        corners = outer_corners(np.concatenate([start[own], end[own]]))
        if len(loose) < 2 or len(corners) < 3:
            continue
        gap = max(min(math.dist(a, b) for m, b in enumerate(loose) if m != n) for n, a in enumerate(loose))
        if gap > _GATE * sum(math.dist(a, b) for a, b in itertools.pairwise([*corners, corners[0]])):
            yield corners, loose
