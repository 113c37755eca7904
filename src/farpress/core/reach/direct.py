"""The loss of the straight way from a fob to an aerial, term by term.

Free space or the two rays of a yard, then each wall, slab and steel box in the way. Echoes and
detours through other rooms are not in it: right within about ten decibels on one storey, too
dark behind metal and across floors. `PathLoss` is all that the judging sees, so that a better
model of the way can take this one's place: `ways.many_ways_path` adds the rest.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.crossings import box_hit, crossed_panels, crossed_slabs
from farpress.core.reach.free_space import NEAREST_M, free_space_loss_db
from farpress.core.reach.indoor import BELOW_FREE_SPACE_DB, floors_loss_db
from farpress.core.reach.knife_edge import diffraction_parameter, knife_edge_loss_db
from farpress.core.reach.scene import Barrier, PathEnd, Scene
from farpress.core.reach.slab import SlabLayer, slab_loss_db
from farpress.core.reach.two_ray import breakpoint_m, two_ray_loss_db
from farpress.sources import Citation, Mark, cited, cites

__all__ = ["PathLoss", "PathTerm", "TermKind", "direct_path"]

STEEL_LEAK_DB: Final = 25.0
"""What leaks past closed steel in a real building [dB], practice 20 to 30 (from memory)."""

STEEL_SD_DB: Final = 6.0
"""Spread of it [dB]."""

STEEPEST_DEG: Final = 80.0
"""Beyond this angle a wall is crossed as at this angle: our choice, no wall is endless. A floor is wide:
it has no such limit."""

GRAZING_DEG: Final = 89.0
"""The most that the layers of a floor are asked for; beyond it a floor is crossed as at this angle."""

ENVIRONMENT_SD_DB: Final = {
    "in sight": 3.8,
    "behind walls": 5.0,
    "beyond the breakpoint": 7.0,
    "across floors": 8.0,
}
"""Spread from place to place [dB]: office in and out of sight after Rec. ITU-R P.1238-11, near street level
after
P.1411-12 4.3.1; across floors from memory (8 to 10)."""


class TermKind(Enum):
    """What a line of the way's loss is due to."""

    DISTANCE = "distance"
    WALL = "wall"
    FLOOR = "floor"
    STEEL = "steel"
    OTHER_WAYS = "other ways"
    TERRAIN = "shape of the ground"
    STREET = "street"
    BUILDING_ENTRY = "into a building"


@dataclass(frozen=True)
class PathTerm:
    """One line of the way's loss [dB] with its spread [dB]; `build` names the wall or slab it is about."""

    kind: TermKind
    says: str
    loss_db: float
    sd_db: float = 0.0
    build: str = ""


@dataclass(frozen=True)
class PathLoss:
    """The median loss of a way and how far places like it scatter.

    Attributes:
        terms: line by line; they add up to `loss_db`.
        loss_db: median loss between isotropic aerials [dB].
        local_sd_db: spread from place to place: surroundings and walls [dB].
        distance_m: straight distance [m].
        notes: what is extrapolated or limited, in words.
        touches: walls that an end of the way lies in.
        sources: of everything used.
        strongest_share: share of the power by the strongest way; 1 for the straight way alone.
        wall_sd_db: the part of `local_sd_db` that the walls' losses bring [dB].
        ends: where the two ends lie.
    """

    terms: tuple[PathTerm, ...]
    loss_db: float
    local_sd_db: float
    distance_m: float
    notes: tuple[str, ...] = ()
    touches: tuple[str, ...] = ()
    sources: tuple[Citation, ...] = field(default=())
    strongest_share: float = 1.0
    wall_sd_db: float = 0.0
    ends: Literal["indoors", "into a building", "outdoors"] = "indoors"

    @property
    def distance_text(self) -> str:
        """The distance as it is printed: "31 m", "4.3 m"."""
        return _metres(self.distance_m)


@cites(
    "Free space or two rays, and the walls in the way", place="terms as cited beside each", mark=Mark.COMPUTED
)
def direct_path(*, scene: Scene, fob: PathEnd, aerial: PathEnd, frequency_hz: float) -> PathLoss:
    """Median loss and spread of the straight way between two ends.

    Out of doors at either end the ground counts (two rays, averaged over distance and both
    polarisations); between two ends indoors free space is the base. Never less than free space
    less 3 dB.

    Args:
        scene: walls, slabs, steel and ground.
        fob, aerial: the two ends; nearer than 0.5 m they are taken as 0.5 m apart, and a note says so.
        frequency_hz: carrier frequency [Hz].
    """
    start, end = np.asarray(fob.at_m), np.asarray(aerial.at_m)
    distance = float(np.linalg.norm(end - start))
    notes: list[str] = []
    if distance < NEAREST_M:
        notes.append(
            f"{distance:.2g} m apart, taken as {NEAREST_M:g} m: nearer, neither fob nor aerial is small"
        )
    ground = scene.ground_permittivity, scene.ground_conductivity_s_per_m
    base, base_sources, kind, noted = _base(ground, fob, aerial, max(distance, NEAREST_M), frequency_hz)
    notes += noted
    terms, sources = [base], [*base_sources]
    touches = _walls(scene, start, end, distance, frequency_hz, terms, notes, sources)
    floors = _floors(scene, start, end, frequency_hz, terms, notes, sources)
    _steel(scene, start, end, distance, frequency_hz, terms, notes, sources)
    if floors:
        kind = "across floors"
    elif len(terms) > 1 and kind == "in sight":
        kind = "behind walls"
    spread = ENVIRONMENT_SD_DB[kind]
    local = float(np.sqrt(spread**2 + sum(term.sd_db**2 for term in terms)))
    total = float(sum(term.loss_db for term in terms))
    kinds: tuple[Literal["indoors", "into a building", "outdoors"], ...] = (
        "indoors",
        "into a building",
        "outdoors",
    )
    return PathLoss(
        tuple(terms),
        total,
        local,
        distance,
        tuple(dict.fromkeys(notes)),
        touches,
        tuple(dict.fromkeys(sources)),
        wall_sd_db=float(np.sqrt(sum(term.sd_db**2 for term in terms))),
        ends=kinds[int(fob.is_outdoors) + int(aerial.is_outdoors)],
    )


def _metres(distance_m: float) -> str:
    """Whole metres from 10 m on, tenths below."""
    return f"{distance_m:.0f} m" if distance_m >= 10.0 else f"{distance_m:.1f} m"


@functools.lru_cache(maxsize=8192)
def _base(
    ground: tuple[float, float], fob: PathEnd, aerial: PathEnd, distance: float, frequency_hz: float
) -> tuple[PathTerm, tuple[Citation, ...], str, tuple[str, ...]]:
    """The way without anything in it: its line, sources, kind and notes; no wall is in it.

    Args:
        ground: its relative permittivity, and its conductivity [S/m].
        fob, aerial: the two ends.
        distance: between them [m].
        frequency_hz: carrier frequency [Hz].
    """
    free = float(free_space_loss_db(distance_m=distance, frequency_hz=frequency_hz))
    flat = float(np.hypot(aerial.at_m[0] - fob.at_m[0], aerial.at_m[1] - fob.at_m[1]))
    if not (fob.is_outdoors or aerial.is_outdoors) or flat < NEAREST_M:
        return (
            PathTerm(TermKind.DISTANCE, f"{_metres(distance)} of free space", free),
            cited(free_space_loss_db),
            "in sight",
            (),
        )
    heights = max(fob.over_ground_m, 0.05), max(aerial.over_ground_m, 0.05)
    rays = [
        float(
            two_ray_loss_db(
                ground_distance_m=flat,
                height_a_m=heights[0],
                height_b_m=heights[1],
                frequency_hz=frequency_hz,
                permittivity=ground[0],
                conductivity_s_per_m=ground[1],
                polarisation=kind,
            )
        )
        for kind in ("vertical", "horizontal")
    ]
    loss = float(-10.0 * np.log10(np.mean(10.0 ** (-np.asarray(rays) / 10.0))))
    notes: tuple[str, ...] = ()
    floor = free - BELOW_FREE_SPACE_DB
    if loss < floor:
        notes = ("ground echo limited to 3 dB better than free space",)
        loss = floor
    turn = breakpoint_m(height_a_m=heights[0], height_b_m=heights[1], frequency_hz=frequency_hz)
    kind = "beyond the breakpoint" if flat > turn else "in sight"
    return (
        PathTerm(
            TermKind.DISTANCE, f"{_metres(distance)} over ground (free space alone {free:.1f} dB)", loss
        ),
        cited(two_ray_loss_db),
        kind,
        notes,
    )


def _walls(
    scene: Scene,
    start: NDArray[np.float64],
    end: NDArray[np.float64],
    distance: float,
    frequency_hz: float,
    terms: list[PathTerm],
    notes: list[str],
    sources: list[Citation],
) -> tuple[str, ...]:
    if not scene.panel_barriers:
        return ()
    hits = crossed_panels(panels=scene.panels, from_m=start, to_m=end)
    touches: list[str] = []
    for index in sorted(np.flatnonzero(hits.crossed[0]), key=lambda number: float(hits.share[0, number])):
        barrier = scene.panel_barriers[index]
        if barrier is None:
            continue
        if hits.touched[0, index]:
            touches.append(barrier.says)
        angle = float(hits.angle_deg[0, index])
        loss, sd, over = _crossing(barrier, angle, frequency_hz), barrier.sd_db, ""
        before = float(hits.share[0, index]) * distance
        if barrier.is_free_standing and min(before, distance - before) > 0.05:
            v = diffraction_parameter(
                height_m=float(scene.panels.top_m[index] - hits.height_m[0, index]),
                before_m=before,
                behind_m=distance - before,
                frequency_hz=frequency_hz,
            )
            joined = _joined([loss, float(knife_edge_loss_db(parameter=v))])
            over = ", also over its top" if joined < loss - 0.5 else ""
            sd, loss = sd * min(joined / max(loss, 1e-9), 1.0), joined
            sources += cited(knife_edge_loss_db) if over else ()
        terms.append(
            PathTerm(TermKind.WALL, f"{barrier.says} at {angle:.0f} deg{over}", loss, sd, barrier.says)
        )
        _remember(barrier, notes, sources)
    return tuple(dict.fromkeys(touches))


def _floors(
    scene: Scene,
    start: NDArray[np.float64],
    end: NDArray[np.float64],
    frequency_hz: float,
    terms: list[PathTerm],
    notes: list[str],
    sources: list[Citation],
) -> int:
    if not scene.slab_barriers:
        return 0
    hits = crossed_slabs(heights_m=scene.slab_heights_m, outlines=scene.slab_outlines, from_m=start, to_m=end)
    crossed = [int(index) for index in np.flatnonzero(hits.crossed[0])]
    if not crossed:
        return 0
    single = [
        _crossing(scene.slab_barriers[index], float(hits.angle_deg[0, index]), frequency_hz, GRAZING_DEG)
        for index in crossed
    ]
    law = floors_loss_db(floors=len(crossed), one_floor_db=float(np.mean(single)))
    share = law / sum(single) if sum(single) > 0.0 else 1.0
    for index, loss in zip(crossed, single):
        barrier = scene.slab_barriers[index]
        terms.append(
            PathTerm(
                TermKind.FLOOR,
                f"{barrier.says} (floor) at {hits.angle_deg[0, index]:.0f} deg",
                loss * share,
                barrier.sd_db,
                barrier.says,
            )
        )
        _remember(barrier, notes, sources)
    if len(crossed) > 1:
        sources += cited(floors_loss_db)
        notes.append(
            f"{len(crossed)} floors together count {law:.1f} dB, not {sum(single):.1f} dB: waves also go"
            " round; law fitted at 1.8 GHz, extrapolated"
        )
    return len(crossed)


def _steel(
    scene: Scene,
    start: NDArray[np.float64],
    end: NDArray[np.float64],
    distance: float,
    frequency_hz: float,
    terms: list[PathTerm],
    notes: list[str],
    sources: list[Citation],
) -> None:
    for box in scene.boxes:
        hit = box_hit(outline=box.outline, base_m=box.base_m, top_m=box.top_m, from_m=start, to_m=end)
        if hit is None:
            continue
        before = hit.share * distance
        if hit.holds_end or min(before, distance - before) < 0.05:
            notes.append(
                f"an end lies inside {box.says or 'steel'}: what gets out of closed steel is not predictable"
            )
            terms.append(
                PathTerm(TermKind.STEEL, f"out of {box.says or 'steel'}", STEEL_LEAK_DB, STEEL_SD_DB)
            )
            continue
        edges = [
            float(
                knife_edge_loss_db(
                    parameter=diffraction_parameter(
                        height_m=height,
                        before_m=before,
                        behind_m=distance - before,
                        frequency_hz=frequency_hz,
                    )
                )
            )
            for height in (hit.over_m, hit.left_m, hit.right_m)
        ]
        terms.append(
            PathTerm(
                TermKind.STEEL,
                f"round {box.says or 'a steel object'}",
                _joined([STEEL_LEAK_DB, *edges]),
                STEEL_SD_DB / 2.0,
            )
        )
        sources += cited(knife_edge_loss_db)


def _crossing(
    barrier: Barrier, angle_deg: float, frequency_hz: float, steepest_deg: float = STEEPEST_DEG
) -> float:
    """Planning value plus what the layers lose more at this angle than straight on; never below 0."""
    if not barrier.layers:
        return barrier.loss_db
    straight, slanted = _straight_and_slanted_db(barrier.layers, min(angle_deg, steepest_deg), frequency_hz)
    return float(max(barrier.loss_db + slanted - straight, 0.0))


@functools.lru_cache(maxsize=8192)
def _straight_and_slanted_db(
    layers: tuple[SlabLayer, ...], angle_deg: float, frequency_hz: float
) -> tuple[float, float]:
    """Loss of some layers straight on and at an angle [dB]; a change of one wall leaves it for all others."""
    straight, slanted = slab_loss_db(
        layers=layers, angle_deg=[0.0, angle_deg], frequency_hz=frequency_hz, polarisation="both"
    )
    return float(straight), float(slanted)


def _joined(losses_db: Sequence[float]) -> float:
    """Several ways at once, powers added; no way gains over none lost."""
    return float(max(-10.0 * np.log10(np.sum(10.0 ** (-np.asarray(losses_db) / 10.0))), 0.0))


def _remember(barrier: Barrier, notes: list[str], sources: list[Citation]) -> None:
    sources += barrier.sources
    if barrier.layers:
        sources += cited(slab_loss_db)
    notes += [f"{material}: extrapolated below its table" for material in barrier.extrapolated]
