"""From a scene of barriers to the packed scene that the loops over ways read.

Tables of loss and echo over the angle, and the upright edges that waves go round. Walls of no
length are left out.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Final, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.direct import GRAZING_DEG, STEEPEST_DEG
from farpress.core.reach.scene import Barrier, Scene
from farpress.core.reach.slab import slab_power
from farpress.core.reach.ways_arrays import as_arrays
from farpress.core.reach.ways_crossing import _HARD_DB
from farpress.core.reach.ways_packed import (
    STEPS,
    BoxRow,
    CornerRow,
    EchoRow,
    EdgeRow,
    MaterialRow,
    OpeningRow,
    Packed,
    SlabRow,
    WallRow,
)
from farpress.sources import Mark, cites

__all__ = ["echo_and_loss", "free_ends", "joined_walls", "outer_corners", "packed_scene"]

STEEL_ECHO: Final = 0.95
"""Share of power that steel throws back: our choice, ribs and gaps take the rest."""

COATED_ECHO: Final = 0.7
"""The same of panes and boards whose planning loss shows a metal film: our choice."""

UNKNOWN_ECHO: Final = 0.2
"""The same of a build without layers: our choice, between brick and plasterboard."""

_Fields = Literal["te", "tm"]
_Both = tuple[_Fields, _Fields]
_FIELDS: Final[dict[str, tuple[_Both, _Both]]] = {
    "mixed": (("te", "tm"), ("tm", "te")),
    "vertical": (("te", "te"), ("tm", "tm")),
    "level": (("tm", "tm"), ("te", "te")),
}
"""Fields of upright and level waves as walls meet them, and as floors do."""
_FILM_DB: Final = 10.0
_JOINED_M: Final = 0.3
_OFF_M: Final = 0.06
_EDGE_DB: Final = 6.0


@cites(
    "Rec. ITU-R P.2040",
    edition="3",
    place="slab of several layers; shape over the angle added to the planning value",
    mark=Mark.COPY,
)
def echo_and_loss(
    *, barrier: Barrier, frequency_hz: float, polarisation: _Fields, steepest_deg: float = STEEPEST_DEG
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Loss [dB] and echo (share of power) of a barrier over the cosine of the angle, at 65 even steps from 0
    to 1.

    The loss is the planning value plus what the layers lose more at that angle than straight on,
    never below 0; beyond `steepest_deg` it stays as at that angle. The echo is that of the layers,
    raised where a planning value far above them shows a metal film.

    Args:
        barrier: the wall, slab or pane.
        frequency_hz: carrier frequency [Hz].
        polarisation: "te" with the electric field along the barrier, "tm" with the magnetic one.
        steepest_deg: 80 for walls, which end somewhere; 89 for floors [deg].
    """
    cosine = np.linspace(0.0, 1.0, STEPS)
    if barrier.is_steel or not barrier.layers:
        echo = COATED_ECHO if barrier.loss_db >= 15.0 else UNKNOWN_ECHO
        if barrier.is_steel:
            echo = STEEL_ECHO
        return np.full(STEPS, barrier.loss_db), np.full(STEPS, echo)
    angle = np.degrees(np.arccos(cosine))
    back = slab_power(
        layers=barrier.layers,
        angle_deg=np.minimum(angle, GRAZING_DEG),
        frequency_hz=frequency_hz,
        polarisation=polarisation,
    ).back
    through = slab_power(
        layers=barrier.layers,
        angle_deg=np.minimum(angle, steepest_deg),
        frequency_hz=frequency_hz,
        polarisation=polarisation,
    ).through
    loss = -10.0 * np.log10(np.maximum(through, 1e-12))
    echo_share = np.asarray(back)
    if barrier.loss_db - loss[-1] > _FILM_DB:
        echo_share = np.maximum(echo_share, COATED_ECHO)
    return np.maximum(barrier.loss_db + loss - loss[-1], 0.0), echo_share


@cites("A plan as rows with named values", mark=Mark.COMPUTED)
def packed_scene(
    *, scene: Scene, frequency_hz: float, polarisation: Literal["mixed", "vertical", "level"] = "mixed"
) -> Packed:
    """The scene as the loops read it, in arrays (see `ways_packed`).

    Args:
        scene: walls, slabs and steel.
        frequency_hz: carrier frequency [Hz].
        polarisation: an upright wave meets walls along them and floors across, a level one the other way
            round; "vertical" and "level" have the same one in both places.
    """
    along, across = _FIELDS[polarisation]
    builds = _Builds(frequency_hz)
    pieces = _pieces(scene, builds, along)
    slab_materials = [builds.number(barrier, across, GRAZING_DEG) for barrier in scene.slab_barriers]
    outlines = [np.zeros((0, 2)) if outline is None else outline for outline in scene.slab_outlines]
    outlines += [box.outline for box in scene.boxes]
    firsts = np.concatenate([[0], np.cumsum([len(outline) for outline in outlines])]).astype(int).tolist()
    spans = list(pairwise(firsts))
    slabs = [
        SlabRow(float(z), material, *span)
        for z, material, span in zip(scene.slab_heights_m, slab_materials, spans)
    ]
    boxes = [
        BoxRow(float(box.base_m), float(box.top_m), *span)
        for box, span in zip(scene.boxes, spans[len(scene.slab_outlines) :])
    ]
    materials = builds.materials()
    walls, echoes = _walls(pieces, materials)
    hard = [(barrier.loss_db if barrier is not None else 0.0) >= _EDGE_DB for barrier in pieces.barriers]
    edges = _edges(pieces, free_ends(pieces.start, pieces.end, pieces.base, pieces.top), np.array(hard, bool))
    return as_arrays(
        Packed(
            walls,
            [opening for openings in pieces.openings for opening in openings],
            slabs,
            boxes,
            [CornerRow(float(x), float(y)) for outline in outlines for x, y in outline],
            materials,
            edges,
            echoes,
        )
    )


class _Builds:
    """The barriers of a scene numbered as they come, with what they lose and throw back."""

    def __init__(self, frequency_hz: float) -> None:
        self._frequency_hz = frequency_hz
        self._numbers: dict[tuple[Barrier, _Both, float], int] = {}

    def number(self, barrier: Barrier | None, fields: _Both, steepest_deg: float = STEEPEST_DEG) -> int:
        """The number of a barrier for the fields of upright and level waves, up to a steepest angle; -1 for
        an open passage.
        """
        if barrier is None:
            return -1
        return self._numbers.setdefault((barrier, fields, steepest_deg), len(self._numbers))

    def materials(self) -> list[MaterialRow]:
        """All of them, in the order of their numbers."""
        found = []
        for barrier, fields, steepest_deg in self._numbers:
            (loss, echo), (level_loss, level_echo) = (
                echo_and_loss(
                    barrier=barrier,
                    frequency_hz=self._frequency_hz,
                    polarisation=field,
                    steepest_deg=steepest_deg,
                )
                for field in fields
            )
            lesser = np.minimum(loss, level_loss)
            found.append(
                MaterialRow(
                    sd=barrier.sd_db,
                    least=float(lesser.min()),
                    loss=loss.tolist(),
                    level_loss=level_loss.tolist(),
                    echo=echo.tolist(),
                    level_echo=level_echo.tolist(),
                    least_up_to=np.minimum.accumulate(lesser).tolist(),
                )
            )
        return found


class _Pieces(NamedTuple):
    """The walls of a scene that have a length and stand in no other: ends (n, 2), edges (n,) [m], what they
    are made of, and their openings.
    """

    start: NDArray[np.float64]
    end: NDArray[np.float64]
    base: NDArray[np.float64]
    top: NDArray[np.float64]
    barriers: list[Barrier | None]
    materials: list[int]
    openings: list[list[OpeningRow]]


def _pieces(scene: Scene, builds: _Builds, fields: _Both) -> _Pieces:
    """The walls of a scene; openings are numbered before walls."""
    panels, barriers = scene.panels, scene.panel_barriers
    length = np.hypot(*(panels.end_m - panels.start_m).T) if len(barriers) else np.zeros(0)
    kept = [
        n
        for n in range(len(barriers))
        if panels.hole_in[n] < 0 and length[n] > 1e-6 and barriers[n] is not None
    ]
    start, end = panels.start_m[kept], panels.end_m[kept]
    openings: list[list[OpeningRow]] = []
    for k, n in enumerate(kept):
        direction = (end[k] - start[k]) / length[n]
        holes = []
        for m in np.flatnonzero(panels.hole_in == n):
            ends = (panels.start_m[m], panels.end_m[m])
            u1, u2 = sorted(float((point - start[k]) @ direction) for point in ends)
            sill, head = float(panels.base_m[m]), float(panels.top_m[m])
            holes.append(OpeningRow(u1, u2, sill, head, builds.number(barriers[m], fields)))
        openings.append(holes)
    own = [barriers[n] for n in kept]
    materials = [builds.number(barrier, fields) for barrier in own]
    return _Pieces(start, end, panels.base_m[kept], panels.top_m[kept], own, materials, openings)


def _walls(pieces: _Pieces, materials: list[MaterialRow]) -> tuple[list[WallRow], list[EchoRow]]:
    """The walls with what every ray through them loses at least, and their strongest echoes."""
    walls: list[WallRow] = []
    echoes: dict[tuple[int, ...], int] = {}
    first = 0
    for start, end, base, top, barrier, material, openings in zip(*pieces):
        length = float(np.hypot(*(end - start)))
        filled = [opening.material for opening in openings]
        least, plain_least, is_calm = _least(materials, material, filled, _is_low(barrier))
        kinds = tuple(sorted({material, *(kind for kind in filled if kind >= 0)}))
        last = first + len(openings)
        ux, uy = ((end - start) / length).tolist()
        walls.append(
            WallRow(
                x1=float(start[0]),
                y1=float(start[1]),
                x2=float(end[0]),
                y2=float(end[1]),
                ux=ux,
                uy=uy,
                length=length,
                base=float(base),
                top=float(top),
                material=material,
                is_low=int(_is_low(barrier)),
                is_calm=int(is_calm),
                opening=first,
                opening_end=last,
                least=least,
                plain_least=plain_least,
                echoes=echoes.setdefault(kinds, len(echoes)),
            )
        )
        first = last
    return walls, [EchoRow(_strongest(materials, kinds)) for kinds in echoes]


def _least(
    materials: list[MaterialRow], material: int, filled: list[int], is_low: bool
) -> tuple[float, float, bool]:
    """What every ray through a wall loses at least [dB]: wherever it goes, and where it keeps clear of all
    openings; and whether wall and openings never differ much.
    """
    if is_low:
        return 0.0, 0.0, False
    every = [materials[kind].least if kind >= 0 else 0.0 for kind in (material, *filled)]
    builds = [materials[kind] for kind in (material, *filled) if kind >= 0]
    dearest = max(max(*build.loss, *build.level_loss) for build in builds)
    leaks = bool(filled) and dearest >= _HARD_DB  # then an opening may be felt beside it
    return min(every), min(every) if leaks else every[0], not leaks


def _strongest(materials: list[MaterialRow], kinds: tuple[int, ...]) -> list[float]:
    """The strongest echo of some materials from each cosine of the angle on."""
    echo = np.max([(materials[kind].echo, materials[kind].level_echo) for kind in kinds], axis=(0, 1))
    return [float(share) for share in np.maximum.accumulate(echo[::-1])[::-1]]


def _is_low(barrier: Barrier | None) -> bool:
    return barrier is not None and barrier.is_free_standing


@cites("Walls whose ends lie within 0.3 m of each other meet", mark=Mark.CHOICE)
def free_ends(
    start: NDArray[np.float64], end: NDArray[np.float64], z1: NDArray[np.float64], z2: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Whether each end of each wall meets no other wall, (n, 2).

    Args:
        start, end: on the plan, (n, 2) [m].
        z1, z2: lower and upper edges, (n,) [m].
    """
    free = np.ones((len(start), 2), dtype=np.bool_)
    along = end - start
    square = np.maximum(np.sum(along**2, axis=1), 1e-12) if len(start) else np.zeros(0)
    for n in range(len(start)):
        for which, point in enumerate((start[n], end[n])):
            share = np.clip(np.sum((point - start) * along, axis=1) / square, 0.0, 1.0)
            near = np.hypot(*(start + share[:, None] * along - point).T) < _JOINED_M
            near &= (z1 < z2[n]) & (z2 > z1[n])
            near[n] = False
            free[n, which] = not near.any()
    return free


def _edges(pieces: _Pieces, free: NDArray[np.bool_], hard: NDArray[np.bool_]) -> list[EdgeRow]:
    """Upright edges x, y, base, top, a hand's width off the wall: outer corners of each building, and free
    ends.
    """
    start, end, z1, z2 = pieces.start, pieces.end, pieces.base, pieces.top
    found: list[EdgeRow] = []
    building_of = joined_walls(start, end)
    for building in dict.fromkeys(building_of.tolist()):
        own = (building_of == building) & hard
        if not own.any():
            continue
        corners = outer_corners(np.concatenate([start[own], end[own]]))
        found += [EdgeRow(x, y, float(z1[own].min()), float(z2[own].max())) for x, y in _moved_out(corners)]
    for n in np.flatnonzero(hard):
        out = (end[n] - start[n]) / max(float(np.hypot(*(end[n] - start[n]))), 1e-9) * _OFF_M
        for is_free, (x, y) in zip(free[n], (start[n] - out, end[n] + out)):
            if is_free:
                found.append(EdgeRow(float(x), float(y), float(z1[n]), float(z2[n])))
    kept: list[EdgeRow] = []
    for edge in found:
        if not any(
            np.hypot(edge.x - other.x, edge.y - other.y) < _JOINED_M
            and edge.base < other.top
            and other.base < edge.top
            for other in kept
        ):
            kept.append(edge)
    return kept


@cites("Walls whose ends lie within 0.3 m of each other meet", mark=Mark.CHOICE)
def joined_walls(start: NDArray[np.float64], end: NDArray[np.float64]) -> NDArray[np.int64]:
    """Number of the building that each wall belongs to: walls whose ends or bodies meet, (n,).

    Args:
        start, end: on the plan, (n, 2) [m].
    """
    label = np.arange(len(start))
    along = end - start
    square = np.maximum(np.sum(along**2, axis=1), 1e-12) if len(start) else np.zeros(0)
    for n in range(len(start)):
        for point in (start[n], end[n]):
            share = np.clip(np.sum((point - start) * along, axis=1) / square, 0.0, 1.0)
            near = np.hypot(*(start + share[:, None] * along - point).T) < _JOINED_M
            low = label[near].min(initial=label[n])
            label[np.isin(label, label[near])] = low
    return label.astype(np.int64)


@cites("Convex hull by the monotone chain, textbook", mark=Mark.MEMORY)
def outer_corners(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Outer corners of points on the plan, anticlockwise (monotone chain), (m, 2).

    Args:
        points: on the plan, (n, 2) [m].
    """
    ordered = sorted({(round(float(x), 6), round(float(y), 6)) for x, y in points})
    if len(ordered) < 3:
        return np.array(ordered, dtype=np.float64).reshape(-1, 2)

    def chain(run: list[tuple[float, float]]) -> list[tuple[float, float]]:
        kept: list[tuple[float, float]] = []
        for p in run:
            while (
                len(kept) > 1
                and (kept[-1][0] - kept[-2][0]) * (p[1] - kept[-2][1])
                - (kept[-1][1] - kept[-2][1]) * (p[0] - kept[-2][0])
                <= 1e-9
            ):
                kept.pop()
            kept.append(p)
        return kept[:-1]

    return np.array(chain(ordered) + chain(ordered[::-1]), dtype=np.float64)


def _moved_out(corners: NDArray[np.float64]) -> list[tuple[float, float]]:
    """Corners moved off the wall, away from their middle."""
    away = corners - corners.mean(axis=0)
    return [
        (float(x), float(y))
        for x, y in corners + away / np.maximum(np.hypot(*away.T), 1e-9)[:, None] * _OFF_M * 1.5
    ]
