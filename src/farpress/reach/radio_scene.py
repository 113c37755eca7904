"""From the plan of one address to what stands in the way of radio: walls, slabs, steel, ground.

Geometry and builds only; nothing is judged here. What the job leaves out is listed as a gap,
so that a finding can ask for it.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.crossings import Panels, outline_holds
from farpress.core.reach.scene import Barrier, PathEnd, Scene, SteelBox
from farpress.core.reach.slab import SlabLayer, complex_permittivity, material_at
from farpress.core.reach.terrain import Terrain
from farpress.domain.equipment import Build, Equipment
from farpress.domain.premises import Level, Opening, Place, Premises, Wall
from farpress.reach.arrangements import Arrangement
from farpress.reach.buried import WallPart, buried_gaps, earthen, wall_parts
from farpress.reach.gaps import Gap, GapKind
from farpress.reach.ways_kept import kept_height
from farpress.sources import Citation, Mark

__all__ = [
    "HAND_M",
    "PlanScene",
    "ground_height_m",
    "place_end",
    "plan_gaps_at",
    "point_end",
    "scene_of",
    "terrain_of",
]

HAND_M: Final = {"in hand": 1.2, "in pocket": 0.9, "in car": 1.0}
"""Height of a fob over floor or ground where the place gives none [m]: our choice."""

_STREETS: Final[dict[str, Literal["", "suburban", "urban"]]] = {
    "city": "urban",
    "business": "suburban",
    "residential": "suburban",
}
AS_DRAWN: Final = Arrangement()
"""Doors shut unless they stand open always, and everything there."""

_ENDLESS_M: Final = 1000.0
_LIES_ON_M: Final = 0.35
_METAL_S_PER_M: Final = 1000.0
_MEASURED: Final = Citation("loss of this wall as given in the job", mark=Mark.GIVEN)


@dataclass(frozen=True)
class PlanScene:
    """The scene of an address, and what its plan leaves open."""

    scene: Scene
    gaps: tuple[Gap, ...]


def scene_of(
    house: Premises, equipment: Equipment, frequency_hz: float, arrangement: Arrangement = AS_DRAWN
) -> PlanScene:
    """Everything of one address that a ray can meet, at one frequency, as doors and vehicles stand."""
    gaps: list[Gap] = []
    panels: list[tuple[tuple[float, ...], tuple[float, ...], float, float, int]] = []
    barriers: list[Barrier | None] = []
    for number, wall in enumerate(house.walls, start=1):
        _add_wall(house, equipment, frequency_hz, number, wall, arrangement, panels, barriers, gaps)
    slabs = [(name, level) for name, level in house.levels.items() if level.slab is not None]
    ground = equipment.materials.get(house.ground or "medium dry ground")
    constants = {}
    if ground is not None:
        soil = material_at(
            a=ground.a,
            b=ground.b,
            c=ground.c,
            d=ground.d,
            lowest_ghz=ground.lowest_ghz,
            highest_ghz=ground.highest_ghz,
            frequency_hz=frequency_hz,
        )
        constants = {
            "ground_permittivity": soil.permittivity,
            "ground_conductivity_s_per_m": soil.conductivity_s_per_m,
        }
    scene = Scene(
        panels=Panels(
            np.array([piece[0][:2] for piece in panels], dtype=np.float64).reshape(-1, 2),
            np.array([piece[1][:2] for piece in panels], dtype=np.float64).reshape(-1, 2),
            np.array([piece[2] for piece in panels], dtype=np.float64),
            np.array([piece[3] for piece in panels], dtype=np.float64),
            np.array([piece[4] for piece in panels], dtype=np.int64),
        ),
        panel_barriers=tuple(barriers),
        slab_heights_m=tuple(level.floor_m for _, level in slabs),
        slab_outlines=tuple(_outline(house, name, level) for name, level in slabs),
        slab_barriers=tuple(
            _barrier(equipment, level.slab or "", frequency_hz, f"level {name}", gaps)
            for name, level in slabs
        ),
        boxes=tuple(
            SteelBox(
                steel.says,
                np.array([point[:2] for point in steel.outline]),
                min(steel.base_m, steel.top_m),
                max(steel.base_m, steel.top_m),
            )
            for number, steel in enumerate(house.steel, start=1)
            if number not in arrangement.away
        ),
        terrain=terrain_of(house),
        street=_STREETS.get(house.surroundings or "", ""),
        **constants,
    )
    return PlanScene(scene, tuple(dict.fromkeys(gaps)))


def _add_wall(
    house: Premises,
    equipment: Equipment,
    frequency_hz: float,
    number: int,
    wall: Wall,
    arrangement: Arrangement,
    panels: list[tuple[tuple[float, ...], tuple[float, ...], float, float, int]],
    barriers: list[Barrier | None],
    gaps: list[Gap],
) -> None:
    level = house.levels.get(wall.level) if wall.level else None
    if wall.level and level is None:
        says = f"wall {number} stands on level '{wall.level}', which has no floor and clear height"
        gaps.append(Gap(GapKind.WALL_HEIGHT, says))
    base, top = _edges(house, wall, level)
    if level is None and wall.top_m is None:
        says = f"wall {number} ({wall.build}) has neither level nor upper edge; it is taken as endlessly high"
        gaps.append(Gap(GapKind.WALL_HEIGHT, says))
    stands_free = wall.top_m is not None and not _carries_a_slab(house, wall, top)
    barrier = _barrier(equipment, wall.build, frequency_hz, f"wall {number}", gaps, wall, stands_free)
    along = 0.0
    for first, second in zip(wall.along, wall.along[1:]):
        length = float(np.hypot(second[0] - first[0], second[1] - first[1]))
        if length < 1e-6:
            continue
        holes = []
        for hole_number, opening in enumerate(wall.openings, start=1):
            hole = _hole(first, second, along, length, base, top, opening)
            if hole is not None:
                where = f"an opening in wall {number}"
                build = arrangement.filling(number, hole_number, opening)
                filled = _barrier(equipment, build, frequency_hz, where, gaps) if build else None
                holes.append((hole, filled))
        for part in _parts(house, wall, level, (first, second), base, top):
            piece = len(panels)
            panels.append((first, second, part.base_m, part.top_m, -1))
            barriers.append(earthen(barrier) if part.is_buried else barrier)
            for (begins, ends, sill, head), filled in holes:
                low, high = max(sill, part.base_m), min(head, part.top_m)
                if high > low:
                    panels.append((begins, ends, low, high, piece))
                    barriers.append(filled)
        along += length


def _parts(
    house: Premises,
    wall: Wall,
    level: Level | None,
    ends: tuple[tuple[float, ...], tuple[float, ...]],
    base: float,
    top: float,
) -> tuple[WallPart, ...]:
    """A piece of wall, parted where earth ends that lies against it."""
    outline = _outline(house, wall.level or "", level) if level is not None else None
    if outline is None:
        return (WallPart(base, top, False),)
    middle = [(ends[0][axis] + ends[1][axis]) / 2.0 for axis in (0, 1)]
    ground = ground_height_m(house, middle[0], middle[1])
    return wall_parts(base_m=base, top_m=top, ground_m=ground, ends=ends, outline=outline)


def _carries_a_slab(house: Premises, wall: Wall, top: float) -> bool:
    """Whether a slab lies on this wall, so that nothing passes over its top."""
    for name, level in house.levels.items():
        if level.slab is None or abs(level.floor_m - top) > _LIES_ON_M:
            continue
        outline = _outline(house, name, level)
        if outline is None or outline_holds(
            outline,
            [
                (point[0] + dx, point[1] + dy)
                for point in wall.along
                for dx in (-0.2, 0.2)
                for dy in (-0.2, 0.2)
            ],
        ):
            return True
    return False


def _edges(house: Premises, wall: Wall, level: Level | None) -> tuple[float, float]:
    """Lower and upper edge: up to the next floor, so that no ray slips between ceiling and slab."""
    base = level.floor_m if level is not None else -_ENDLESS_M
    if wall.base_m is not None:
        base = wall.base_m
    if wall.top_m is not None:
        return base, wall.top_m
    if level is None:
        return base, _ENDLESS_M
    ceiling = level.floor_m + level.clear_m
    above = [storey.floor_m for storey in house.levels.values() if ceiling <= storey.floor_m <= ceiling + 1.5]
    return base, min(above, default=ceiling)


def _hole(
    first: tuple[float, ...],
    second: tuple[float, ...],
    along: float,
    length: float,
    base: float,
    top: float,
    opening: Opening,
) -> tuple[tuple[float, ...], tuple[float, ...], float, float] | None:
    low, high = max(opening.from_m - along, 0.0), min(opening.from_m + opening.width_m - along, length)
    if high <= low:
        return None
    ends = [
        tuple(first[axis] + (second[axis] - first[axis]) * along_m / length for axis in (0, 1))
        for along_m in (low, high)
    ]
    floor = base if base > -_ENDLESS_M else 0.0
    sill = floor + opening.sill_m if opening.sill_m is not None else base
    return ends[0], ends[1], sill, floor + opening.head_m if opening.head_m is not None else top


def _barrier(
    equipment: Equipment,
    name: str,
    frequency_hz: float,
    where: str,
    gaps: list[Gap],
    wall: Wall | None = None,
    stands_free: bool = False,
) -> Barrier:
    build = equipment.builds.get(name)
    given = wall.loss_db if wall is not None else None
    if build is None:
        if given is None:
            says = f"{where}: no loss is known for the build '{name}'; measure it or give its loss"
            gaps.append(Gap(GapKind.WALL_LOSS, says))
        build = Build(name, name, (), 0.0, 0.0)
    layers, extrapolated, sources = _layers(equipment, build, frequency_hz)
    spread = wall.loss_sd_db if wall is not None and wall.loss_sd_db is not None else build.loss_sd_db
    return Barrier(
        name,
        given if given is not None else build.loss_db,
        spread,
        layers,
        build.is_steel,
        stands_free,
        extrapolated,
        ((_MEASURED,) if given is not None else build.sources) + sources,
    )


def _layers(
    equipment: Equipment, build: Build, frequency_hz: float
) -> tuple[tuple[SlabLayer, ...], tuple[str, ...], tuple[Citation, ...]]:
    layers: list[SlabLayer] = []
    extrapolated: list[str] = []
    sources: list[Citation] = []
    for layer in () if build.is_steel else build.layers:
        material = equipment.materials.get(layer.material)
        if layer.material == "air":
            layers.append(SlabLayer(1.0 + 0j, layer.thickness_m))
            continue
        if material is None:
            return (), (), ()
        values = material_at(
            a=material.a,
            b=material.b,
            c=material.c,
            d=material.d,
            lowest_ghz=material.lowest_ghz,
            highest_ghz=material.highest_ghz,
            frequency_hz=frequency_hz,
        )
        if values.conductivity_s_per_m > _METAL_S_PER_M:
            return (), (), ()
        eta = complex_permittivity(
            permittivity=values.permittivity,
            conductivity_s_per_m=values.conductivity_s_per_m,
            frequency_hz=frequency_hz,
        )
        layers.append(SlabLayer(eta, layer.thickness_m))
        source = material.source
        sources.append(
            replace(source, place=f"{source.place}, {material.name}: extrapolated")
            if values.is_extrapolated
            else source
        )
        if values.is_extrapolated:
            extrapolated.append(f"{material.name} (table from {material.lowest_ghz:g} GHz)")
    return tuple(layers), tuple(extrapolated), tuple(sources)


def _outline(house: Premises, name: str, level: Level) -> NDArray[np.float64] | None:
    """The slab's outline; without one, the rectangle round this level's walls; without walls, everywhere."""
    if level.outline is not None and len(level.outline) > 2:
        return np.array([point[:2] for point in level.outline])
    points = np.array([point[:2] for wall in house.walls if wall.level == name for point in wall.along])
    if len(points) == 0:
        return None
    (left, low), (right, high) = points.min(axis=0), points.max(axis=0)
    return np.array([(left, low), (right, low), (right, high), (left, high)])


def ground_height_m(house: Premises, x: float, y: float) -> float:
    """Height of the ground at a point, from the given points; 0 without any [m]."""
    terrain = terrain_of(house)
    if terrain.is_plane:
        return float(terrain.height_m(x, y))
    return kept_height(terrain, x, y)


def terrain_of(house: Premises) -> Terrain:
    """The ground as its points were given."""
    return _terrain(tuple((point[0], point[1], point[2]) for point in house.slope if len(point) == 3))


@functools.lru_cache(maxsize=64)
def _terrain(points: tuple[tuple[float, float, float], ...]) -> Terrain:
    return Terrain(points)


def place_end(
    house: Premises, place: Place, pressed: Literal["in hand", "in pocket", "in car"] | None = None
) -> PathEnd:
    """Where the fob is when somebody presses at a place."""
    end = point_end(house, place.at, place.level, default_m=HAND_M[pressed or place.pressed])
    assert end is not None
    return end


def plan_gaps_at(house: Premises, level: str | None, end: PathEnd, says: str) -> list[Gap]:
    """What the plan has to say before a way to an end below the ground can be computed.

    Args:
        house: the address.
        level: storey that the end is on; None: none.
        end: the end.
        says: what is there, as "the place cellar".
    """
    ground = ground_height_m(house, end.at_m[0], end.at_m[1])
    return buried_gaps(house, level, end.at_m, ground, says)


def point_end(
    house: Premises, point: tuple[float, ...], level: str | None, *, default_m: float | None
) -> PathEnd | None:
    """A point of the plan as an end of the way; None when its height is given nowhere.

    A third coordinate counts from the plan's zero. A point without a level lies out of doors.
    """
    storey = house.levels.get(level) if level else None
    floor = storey.floor_m if storey is not None else ground_height_m(house, point[0], point[1])
    if len(point) == 3:
        height = point[2]
    elif default_m is not None:
        height = floor + default_m
    else:
        return None
    return PathEnd((point[0], point[1], height), height - floor, storey is None)
