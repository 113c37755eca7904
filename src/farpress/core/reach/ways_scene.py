"""From a scene of barriers to the flat arrays that the loop over ways reads.

Tables of loss and echo over the angle, and the upright edges that waves go round. Walls of no
length are left out.
"""

from __future__ import annotations

from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.direct import STEEPEST_DEG, Barrier, Scene
from farpress.core.reach.slab import slab_power
from farpress.core.reach.ways_legs import _HARD_DB
from farpress.core.reach.ways_packed import _W, STEPS, Packed, packed
from farpress.sources import Mark, cites

__all__ = ["echo_and_loss", "free_ends", "joined_walls", "outer_corners", "solid_of"]

STEEL_ECHO: Final = 0.95
"""Share of power that steel throws back: our choice, ribs and gaps take the rest."""

COATED_ECHO: Final = 0.7
"""The same of panes and boards whose planning loss shows a metal film: our choice."""

UNKNOWN_ECHO: Final = 0.2
"""The same of a build without layers: our choice, between brick and plasterboard."""

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
    *, barrier: Barrier, frequency_hz: float, polarisation: Literal["te", "tm", "both"] = "both"
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Loss [dB] and echo (share of power) of a barrier over the cosine of the angle, at 65 even steps from 0
    to 1.

    The loss is the planning value plus what the layers lose more at that angle than straight on,
    never below 0; beyond 80 degrees it stays as at 80 degrees. The echo is that of the layers,
    raised where a planning value far above them shows a metal film.

    Args:
        barrier: the wall, slab or pane.
        frequency_hz: carrier frequency [Hz].
        polarisation: "te", "tm", or the mean power of both.
    """
    cosine = np.linspace(0.0, 1.0, STEPS)
    if barrier.is_steel or not barrier.layers:
        echo = STEEL_ECHO if barrier.is_steel else COATED_ECHO if barrier.loss_db >= 15.0 else UNKNOWN_ECHO
        return np.full(STEPS, barrier.loss_db), np.full(STEPS, echo)
    angle = np.degrees(np.arccos(cosine))
    kinds: tuple[Literal["te", "tm"], ...] = ("te", "tm") if polarisation == "both" else (polarisation,)
    found = [
        slab_power(
            layers=barrier.layers,
            angle_deg=np.minimum(angle, 89.0),
            frequency_hz=frequency_hz,
            polarisation=kind,
        )
        for kind in kinds
    ]
    capped = [
        slab_power(
            layers=barrier.layers,
            angle_deg=np.minimum(angle, STEEPEST_DEG),
            frequency_hz=frequency_hz,
            polarisation=kind,
        ).through
        for kind in kinds
    ]
    loss = -10.0 * np.log10(np.maximum(np.mean(capped, axis=0), 1e-12))
    echo_share = np.mean([one.back for one in found], axis=0)
    if barrier.loss_db - loss[-1] > _FILM_DB:
        echo_share = np.maximum(echo_share, COATED_ECHO)
    return np.maximum(barrier.loss_db + loss - loss[-1], 0.0), echo_share


@cites("A plan as flat arrays", mark=Mark.COMPUTED)
def solid_of(
    scene: Scene, frequency_hz: float, polarisation: Literal["mixed", "vertical"]
) -> NDArray[np.float64]:
    """The scene in one row of numbers (see `ways_packed`).

    Args:
        scene: walls, slabs and steel.
        frequency_hz: carrier frequency [Hz].
        polarisation: of both aerials together; see `ways.around`.
    """
    kinds: dict[tuple[Barrier, str], int] = {}
    upright, level = ("te", "tm") if polarisation == "vertical" else ("both", "both")

    def kind(barrier: Barrier | None, fields: str) -> int:
        return -1 if barrier is None else kinds.setdefault((barrier, fields), len(kinds))

    panels, barriers = scene.panels, scene.panel_barriers
    length = np.hypot(*(panels.end_m - panels.start_m).T) if len(barriers) else np.zeros(0)
    walls = [
        n
        for n in range(len(barriers))
        if panels.hole_in[n] < 0 and length[n] > 1e-6 and barriers[n] is not None
    ]
    start, end, size = panels.start_m[walls], panels.end_m[walls], length[walls]
    direction = (end - start) / size[:, None] if walls else np.zeros((0, 2))
    z1, z2 = panels.base_m[walls], panels.top_m[walls]
    free = free_ends(start, end, z1, z2)
    flags = np.array([int(_is_low(barriers[n])) for n in walls], dtype=np.int64)
    hole_first, holes = [0], []
    for k, n in enumerate(walls):
        for m in np.flatnonzero(panels.hole_in == n):
            u = sorted(
                float((point - start[k]) @ direction[k]) for point in (panels.start_m[m], panels.end_m[m])
            )
            holes.append((u[0], u[1], panels.base_m[m], panels.top_m[m], kind(barriers[m], upright)))
        hole_first.append(len(holes))
    hole = np.array(holes, dtype=np.float64).reshape(-1, 5)
    materials = np.array([kind(barriers[n], upright) for n in walls], dtype=np.int64)
    slab_kinds = np.array([kind(one, level) for one in scene.slab_barriers], dtype=np.int64)
    slab_first, slab_points = _chained(
        [np.zeros((0, 2)) if one is None else one for one in scene.slab_outlines]
    )
    box_first, box_points = _chained([box.outline for box in scene.boxes])
    fields: dict[str, Literal["te", "tm", "both"]] = {"te": "te", "tm": "tm", "both": "both"}
    tables = [
        echo_and_loss(barrier=barrier, frequency_hz=frequency_hz, polarisation=fields[name])
        for barrier, name in kinds
    ]
    losses = np.concatenate([one[0] for one in tables]) if tables else np.zeros(0)
    echoes = np.concatenate([one[1] for one in tables]) if tables else np.zeros(0)
    hard = np.array(
        [(one.loss_db if one is not None else 0.0) >= _EDGE_DB for one in (barriers[n] for n in walls)],
        dtype=np.bool_,
    )
    edge = _edges(start, end, z1, z2, free, hard)
    nothing = np.zeros((1, 1))
    least, plain_least = _least(losses.reshape(-1, STEPS), materials, flags, hole_first, hole)
    looks, brightest = _brightest(echoes.reshape(-1, STEPS), materials, hole_first, hole)
    upper = np.concatenate(
        [
            np.column_stack(
                [
                    start,
                    end,
                    direction,
                    size,
                    z1,
                    z2,
                    materials,
                    flags,
                    hole_first[:-1],
                    least,
                    plain_least,
                    looks,
                ]
            ),
            np.full((1, _W), hole_first[-1]),
        ]
    )
    return packed(
        Packed(
            upper,
            hole,
            np.column_stack([np.append(scene.slab_heights_m, 0.0), np.append(slab_kinds, 0), slab_first]),
            slab_points,
            np.column_stack(
                [
                    np.append([one.base_m for one in scene.boxes], 0.0),
                    np.append([one.top_m for one in scene.boxes], 0.0),
                    box_first,
                ]
            ),
            box_points,
            losses,
            echoes,
            (
                np.array(
                    [
                        (float(table[1].max()), barrier.sd_db, float(table[0].min()))
                        for table, (barrier, _) in zip(tables, kinds)
                    ]
                )
                if tables
                else nothing
            ),
            edge,
            brightest,
        )
    )


def _least(
    losses: NDArray[np.float64],
    materials: NDArray[np.int64],
    flags: NDArray[np.int64],
    hole_first: list[int],
    hole: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """What every ray through each wall loses at least [dB]: wherever it goes, and where it keeps clear of all
    openings; calm walls get their flag.
    """
    least, plain = np.zeros(len(materials)), np.zeros(len(materials))
    for k, material in enumerate(materials):
        filled = hole[hole_first[k] : hole_first[k + 1], 4].astype(np.int64)
        every = [float(losses[one].min()) if one >= 0 else 0.0 for one in (material, *filled)]
        least[k] = 0.0 if flags[k] % 2 == 1 else min(every)
        leaks = (
            len(filled) > 0
            and max(float(losses[one].max()) for one in (material, *filled[filled >= 0])) >= _HARD_DB
        )  # then an opening may be felt beside it
        plain[k] = least[k] if leaks or flags[k] % 2 == 1 else every[0]
        if flags[k] % 2 == 0 and not leaks:
            flags[k] = 2
    return least, plain


def _brightest(
    echoes: NDArray[np.float64],
    materials: NDArray[np.int64],
    hole_first: list[int],
    hole: NDArray[np.float64],
) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """The strongest echo of each wall, its panes and boards too, from each cosine of the angle on: which row
    is whose, and the rows.
    """
    kinds = [
        tuple(sorted({int(one), *(int(m) for m in hole[hole_first[k] : hole_first[k + 1], 4] if m >= 0)}))
        for k, one in enumerate(materials)
    ]
    rows = list(dict.fromkeys(kinds))
    found = [np.maximum.accumulate(echoes[list(one)].max(axis=0)[::-1])[::-1] for one in rows]
    return np.array([rows.index(one) for one in kinds], dtype=np.int64), np.array(found).reshape(-1, STEPS)


def _is_low(barrier: Barrier | None) -> bool:
    return barrier is not None and barrier.is_free_standing


def _chained(outlines: list[NDArray[np.float64]]) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    first = np.concatenate([[0], np.cumsum([len(one) for one in outlines])]).astype(np.int64)
    return first, np.concatenate([*outlines, np.zeros((0, 2))]).astype(np.float64)


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


def _edges(
    start: NDArray[np.float64],
    end: NDArray[np.float64],
    z1: NDArray[np.float64],
    z2: NDArray[np.float64],
    free: NDArray[np.bool_],
    hard: NDArray[np.bool_],
) -> NDArray[np.float64]:
    """Upright edges x, y, base, top, a hand's width off the wall: outer corners of each building, and free
    ends.
    """
    found: list[tuple[float, float, float, float]] = []
    group = joined_walls(start, end)
    for one in dict.fromkeys(group.tolist()):
        own = (group == one) & hard
        if not own.any():
            continue
        corners = outer_corners(np.concatenate([start[own], end[own]]))
        found += [(*place, float(z1[own].min()), float(z2[own].max())) for place in _moved_out(corners)]
    for n in np.flatnonzero(hard):
        out = (end[n] - start[n]) / max(float(np.hypot(*(end[n] - start[n]))), 1e-9) * _OFF_M
        if free[n, 0]:
            found.append((*(start[n] - out).tolist(), float(z1[n]), float(z2[n])))
        if free[n, 1]:
            found.append((*(end[n] + out).tolist(), float(z1[n]), float(z2[n])))
    kept: list[tuple[float, float, float, float]] = []
    for one in found:
        if not any(
            np.hypot(one[0] - other[0], one[1] - other[1]) < _JOINED_M
            and one[2] < other[3]
            and other[2] < one[3]
            for other in kept
        ):
            kept.append(one)
    return np.array(kept, dtype=np.float64).reshape(-1, 4)


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
