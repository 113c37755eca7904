"""Plans of four kinds for `reach_in_blocks`, drawn by a seed: a house, a court in L shape, flats along a
corridor, a
hall with offices.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent))
from reach_plans import Row, barrier, house

from farpress.core.reach.crossings import Panels, holds_each
from farpress.core.reach.scene import Scene

Corners = list[tuple[float, float]]
Hole = tuple[float, float, float, float, str]


class Plan(NamedTuple):
    """A plan: scene, rows of walls and openings, aerial, size and heights of the maps, outline, slabs [m]."""

    scene: Scene
    rows: list[Row]
    aerial: tuple[float, float, float]
    width_m: float
    depth_m: float
    heights_m: list[float]
    outline: Corners
    slabs_m: tuple[float, ...]

    def is_inside(self, nx: int, ny: int) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
        """Which blocks lie inside the outline, (ny, nx)."""
        x, y = np.meshgrid(
            (np.arange(nx) + 0.5) * self.width_m / nx, (np.arange(ny) + 0.5) * self.depth_m / ny
        )
        return np.asarray(
            holds_each(np.array(self.outline), np.stack([x.ravel(), y.ravel()], axis=1))
        ).reshape(ny, nx)


def plates(plan: Plan) -> list[tuple[str, list[list[float]]]]:
    """Every wall as rectangles with its openings cut out, every pane, and the slabs."""
    found: list[tuple[str, list[list[float]]]] = []

    def piece(row: Row, u1: float, u2: float, z1: float, z2: float, name: str) -> None:
        size = float(np.hypot(row[2] - row[0], row[3] - row[1]))
        if u2 - u1 > 1e-6 and z2 - z1 > 1e-6:
            p, q = ([row[k] + (row[k + 2] - row[k]) * u / size for k in (0, 1)] for u in (u1, u2))  # type: ignore[operator]
            found.append((name, [[*p, z1], [*q, z1], [*q, z2], [*p, z2]]))

    for n, row in enumerate(plan.rows):
        x1, y1, x2, y2, low, high, hole_in, name = row
        size = float(np.hypot(x2 - x1, y2 - y1))
        if hole_in >= 0:
            if name:
                piece(row, 0.0, size, low, high, name)
            continue
        begun = 0.0
        holes = [other for other in plan.rows if other[6] == n]
        for hole in sorted(holes, key=lambda other: float(np.hypot(other[0] - x1, other[1] - y1))):
            u1, u2 = float(np.hypot(hole[0] - x1, hole[1] - y1)), float(np.hypot(hole[2] - x1, hole[3] - y1))
            piece(row, begun, u1, low, high, name)
            piece(row, u1, u2, low, hole[4], name)
            piece(row, u1, u2, hole[5], high, name)
            begun = u2
        piece(row, begun, size, low, high, name)
    rectangles = [plan.outline] if len(plan.outline) == 4 else L_SHAPE
    for z in plan.slabs_m:
        found += [("concrete", [[x, y, z] for x, y in corners]) for corners in rectangles]
    return found


L_SHAPE: list[Corners] = [
    [(0.0, 0.0), (20.0, 0.0), (20.0, 8.0), (0.0, 8.0)],
    [(0.0, 8.0), (9.0, 8.0), (9.0, 18.0), (0.0, 18.0)],
]


def _scene(rows: list[Row], slabs: Sequence[float], outline: Corners) -> Scene:
    data = np.array([row[:6] for row in rows], dtype=np.float64)
    holes = np.array([row[6] for row in rows], dtype=np.int64)
    return Scene(
        Panels(data[:, 0:2], data[:, 2:4], data[:, 4], data[:, 5], holes),
        tuple(None if row[7] == "" else barrier(row[7]) for row in rows),
        tuple(slabs),
        (np.array(outline),) * len(slabs),
        (barrier("concrete"),) * len(slabs),
    )


def _add(
    rows: list[Row],
    a: tuple[float, float],
    b: tuple[float, float],
    z: float,
    high: float,
    name: str,
    holes: Sequence[tuple[float, float, float, float, str]] = (),
) -> None:
    piece = len(rows)
    rows.append((*a, *b, z, z + high, -1, name))
    size = float(np.hypot(b[0] - a[0], b[1] - a[1]))
    for begins, width, sill, head, fill in holes:
        low, top = max(begins, 0.05), min(begins + width, size - 0.05)
        p, q = ([a[k] + (b[k] - a[k]) * u / size for k in (0, 1)] for u in (low, top))
        rows.append((*p, *q, z + sill, z + head, piece, fill))  # type: ignore[arg-type]


def _box(width: float, depth: float) -> Corners:
    return [(0.0, 0.0), (width, 0.0), (width, depth), (0.0, depth)]


def _along(
    first: float, last: float, step: float, wide: float, sill: float, head: float, fill: str
) -> list[Hole]:
    """Openings at even steps along a wall."""
    return [(float(begins), wide, sill, head, fill) for begins in np.arange(first, last, step)]


def _ring(corners: Corners) -> list[tuple[tuple[float, float], tuple[float, float], float]]:
    """The sides of an outline with their lengths."""
    return [(a, b, abs(b[0] - a[0]) + abs(b[1] - a[1])) for a, b in zip(corners, corners[1:] + corners[:1])]


def flats(seed: int) -> Plan:
    """A corridor with many rooms on both sides, two storeys: rooms behind several walls."""
    rng = np.random.default_rng(seed)
    wide, deep, high = 30.0, 14.0, 2.7
    rows: list[Row] = []
    party = str(rng.choice(["brick", "concrete"]))
    for storey in range(2):
        z = storey * high
        for a, b, size in _ring(_box(wide, deep)):
            _add(rows, a, b, z, high, "brick", _along(1.5, size - 2.0, 4.0, 1.4, 0.9, 2.2, "glass"))
        for y in (6.0, 8.0):
            doors = _along(float(rng.uniform(1, 4)), wide - 5.0, 5.0, 0.9, 0.0, 2.05, "")
            _add(rows, (0.0, y), (wide, y), z, high, party, doors)
        for x in np.cumsum(rng.uniform(3.5, 6.0, 6)).tolist():
            if x < wide - 2.0:
                for low, top in ((0.0, 6.0), (8.0, deep)):
                    name = str(rng.choice([party, "half brick", "plasterboard"]))
                    _add(rows, (x, low), (x, top), z, high, name)
    outline, slabs = _box(wide, deep), (0.0, high, 2.0 * high)
    aerial = (float(rng.uniform(2, 6)), 7.0, 2.2)
    return Plan(_scene(rows, slabs, outline), rows, aerial, wide, deep, [1.2, high + 1.2], outline, slabs)


def hall(seed: int) -> Plan:
    """A hall of concrete panels and glass, offices in one corner, a wall of steel racks."""
    rng = np.random.default_rng(seed)
    wide, deep, high = 40.0, 24.0, 3.0
    rows: list[Row] = []
    for a, b, size in _ring(_box(wide, deep)):
        gate: list[Hole] = [(float(rng.uniform(3, size - 8)), 3.5, 0.0, 2.9, "")]
        _add(rows, a, b, 0.0, high, "concrete", gate)
        _add(rows, a, b, high, high, "concrete", _along(3.0, size - 3.0, 8.0, 2.0, 1.0, 2.5, "glass"))
    for z in (0.0, high):
        walls = [((14.0, 0.0), (14.0, 12.0), "half brick"), ((0.0, 12.0), (14.0, 12.0), "plasterboard")]
        walls += [((x, 0.0), (x, 12.0), "plasterboard") for x in (4.5, 9.0)]
        for start, end, name in walls:
            _add(rows, start, end, z, high, name, [(float(rng.uniform(1, 10)), 0.9, 0.0, 2.1, "")])
    x, y = float(rng.uniform(20, 30)), float(rng.uniform(6, 18))
    _add(rows, (x, y), (x + 6.0, y), 0.0, high, "metal")
    outline, slabs = _box(wide, deep), (0.0, high, 2.0 * high)
    aerial = (float(rng.uniform(16, 24)), float(rng.uniform(4, 20)), 2.5)
    return Plan(_scene(rows, slabs, outline), rows, aerial, wide, deep, [1.2, high + 1.2], outline, slabs)


def court(seed: int) -> Plan:
    """L shape, glass front, concrete core with a steel door, receiver in the basement."""
    rng = np.random.default_rng(seed)
    wide, deep, high = 20.0, 18.0, 2.8
    outline: Corners = [(0.0, 0.0), (wide, 0.0), (wide, 8.0), (9.0, 8.0), (9.0, deep), (0.0, deep)]
    rows: list[Row] = []
    for storey in range(2):
        z, sill, head = storey * high, (1.9, 0.9)[storey], (2.5, 2.2)[storey]
        for n, (a, b, size) in enumerate(_ring(outline)):
            name = ("concrete", "glass" if n == 0 else "brick")[storey]
            holes = [] if name == "glass" else _along(2.0, size - 2.0, 4.0, 1.2, sill, head, "glass")
            _add(rows, a, b, z, high, name, holes)
        x, y = float(rng.uniform(3, 4.5)), float(rng.uniform(2, 3))
        core: Corners = [(x, y), (x + 3.0, y), (x + 3.0, y + 3.0), (x, y + 3.0)]
        for n, (a, b, _) in enumerate(_ring(core)):
            _add(rows, a, b, z, high, "concrete", [(1.0, 0.9, 0.0, 2.1, "metal")] if n == 1 else [])
        walls = [
            ((east, 0.0), (east, 8.0), str(rng.choice(["plasterboard", "half brick"])))
            for east in (10.0, 15.0)
        ]
        walls += [((0.0, 9.0), (9.0, 9.0), "brick"), ((0.0, 13.5), (9.0, 13.5), "plasterboard")]
        for start, end, name in walls:
            _add(rows, start, end, z, high, name, [(float(rng.uniform(1, 6)), 0.9, 0.0, 2.1, "")])
    slabs = (0.0, high, 2.0 * high)
    aerial = (float(rng.uniform(11, 14)), float(rng.uniform(2, 6)), 2.0)
    return Plan(_scene(rows, slabs, outline), rows, aerial, wide, deep, [1.2, high + 1.2], outline, slabs)


def house_of(seed: int) -> Plan:
    """The two-storey house of `reach_plans`."""
    scene, rows, aerial = house(seed)
    return Plan(scene, rows, aerial, 24.0, 16.0, [1.2, 4.0], _box(24.0, 16.0), (0.0, 2.8, 5.6))


KINDS: dict[str, Callable[[int], Plan]] = {"house": house_of, "court": court, "flats": flats, "hall": hall}
