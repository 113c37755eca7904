"""Invented plans for the benchmarks of reach: a two-storey house drawn by a seed, and grids of rooms of any
size.

Every wall is a slab of one stated permittivity and conductivity, so that a ray tracer and the
engine here see the same thing; its planning loss is the loss of that slab straight on.
"""

from __future__ import annotations

import numpy as np

from farpress.core.reach.crossings import Panels
from farpress.core.reach.scene import Barrier, Scene
from farpress.core.reach.slab import SlabLayer, complex_permittivity, slab_loss_db

F = 433.92e6
WIDTH_M, DEPTH_M, STOREY_M = 24.0, 16.0, 2.8

MATERIALS = {
    # name: permittivity, conductivity [S/m], thickness [m]; Rec. ITU-R P.2040-3 at 433.92 MHz
    "brick": (3.91, 0.0208, 0.24),
    "half brick": (3.91, 0.0208, 0.12),
    "concrete": (5.24, 0.0240, 0.20),
    "plasterboard": (2.73, 0.0039, 0.0125),
    "glass": (6.31, 0.0012, 0.006),
    "metal": (1.0, 1e7, 0.002),
}


def barrier(name: str) -> Barrier:
    """A barrier of one of the materials."""
    permittivity, conductivity, thickness = MATERIALS[name]
    if name == "metal":
        return Barrier(name, 90.0, 0.0, is_steel=True)
    eta = complex_permittivity(permittivity=permittivity, conductivity_s_per_m=conductivity, frequency_hz=F)
    layers = (SlabLayer(eta, thickness),)
    return Barrier(
        name,
        float(slab_loss_db(layers=layers, angle_deg=0.0, frequency_hz=F, polarisation="te")),
        2.0,
        layers,
    )


Row = tuple[float, float, float, float, float, float, int, str]


def house(seed: int) -> tuple[Scene, list[Row], tuple[float, float, float]]:
    """A two-storey house of about 38 walls and 3 slabs: scene, its rows (ends, base, top, hole in, material),
    aerial.
    """
    rng = np.random.default_rng(seed)
    rows: list[Row] = []

    def wall(
        a: tuple[float, float],
        b: tuple[float, float],
        z: float,
        name: str,
        holes: list[tuple[float, float, float, float, str]],
    ) -> None:
        piece = len(rows)
        rows.append((*a, *b, z, z + STOREY_M, -1, name))
        size = float(np.hypot(b[0] - a[0], b[1] - a[1]))
        for at, width, sill, head, fill in holes:
            low, high = max(at, 0.05), min(at + width, size - 0.05)
            p, q = ([a[k] + (b[k] - a[k]) * u / size for k in (0, 1)] for u in (low, high))
            rows.append((*p, *q, z + sill, z + head, piece, fill))  # type: ignore[arg-type]

    def split(x1: float, y1: float, x2: float, y2: float, z: float, depth: int) -> None:
        wide, deep = x2 - x1, y2 - y1
        if depth == 0 or max(wide, deep) < 5.0:
            return
        name = str(rng.choice(["brick", "half brick", "plasterboard", "plasterboard", "concrete"]))
        at = float(rng.uniform(0.35, 0.65))
        door = float(rng.uniform(0.3, (deep if wide > deep else wide) - 1.5))
        holes = [(door, 0.9, 0.0, 2.1, "")]
        if wide > deep:
            x = x1 + at * wide
            wall((x, y1), (x, y2), z, name, holes)
            split(x1, y1, x, y2, z, depth - 1)
            split(x, y1, x2, y2, z, depth - 1)
        else:
            y = y1 + at * deep
            wall((x1, y), (x2, y), z, name, holes)
            split(x1, y1, x2, y, z, depth - 1)
            split(x1, y, x2, y2, z, depth - 1)

    corners = [(0.0, 0.0), (WIDTH_M, 0.0), (WIDTH_M, DEPTH_M), (0.0, DEPTH_M)]
    for storey in (0, 1):
        z = storey * STOREY_M
        for a, b in zip(corners, corners[1:] + corners[:1]):
            size = abs(b[0] - a[0]) + abs(b[1] - a[1])
            windows = [
                (float(at), 1.6, 0.9, 2.2, "glass")
                for at in np.arange(2.0, size - 2.5, 5.0) + rng.uniform(-0.5, 0.5)
            ]
            wall(a, b, z, "brick", windows)
        split(0.0, 0.0, WIDTH_M, DEPTH_M, z, 4)
        x, y = float(rng.uniform(4, 18)), float(rng.uniform(3, 12))
        wall((x, y), (x + 3.0, y), z, "metal", [])
    data = np.array([row[:6] for row in rows], dtype=np.float64)
    outline = np.array(corners)
    scene = Scene(
        Panels(
            data[:, 0:2],
            data[:, 2:4],
            data[:, 4],
            data[:, 5],
            np.array([row[6] for row in rows], dtype=np.int64),
        ),
        tuple(None if row[7] == "" else barrier(row[7]) for row in rows),
        (0.0, STOREY_M, 2 * STOREY_M),
        (outline,) * 3,
        (barrier("concrete"),) * 3,
    )
    return scene, rows, (float(rng.uniform(5, 19)), float(rng.uniform(4, 12)), 2.0)


def rooms(walls: int, *, wide: bool = False) -> Scene:
    """A storey of rooms with about this many walls, brick and plasterboard, a door gap of 22 % in each inner
    wall.

    All in one floor of 24 m x 16 m, so that rooms get smaller; or `wide`: rooms of 6 m x 4 m, so that the
    floor grows.
    """
    side = max(round(np.sqrt(walls / 2.0)), 1)
    width, depth = (6.0 * side, 4.0 * side) if wide else (WIDTH_M, DEPTH_M)
    xs, ys = np.linspace(0.0, width, side + 1), np.linspace(0.0, depth, side + 1)
    rows, barriers = [], []
    gap = 0.225 * depth / side
    for i in range(side + 1):
        for j in range(side):
            inner = 0 < i < side
            rows.append((xs[i], ys[j], xs[i], ys[j + 1] - gap * inner))
            barriers.append(barrier("brick"))
            rows.append((xs[j], ys[i], xs[j + 1] - gap * inner, ys[i]))
            barriers.append(barrier("plasterboard" if inner else "concrete"))
    data = np.array(rows[:walls])
    count = len(data)
    outline = np.array([(0.0, 0.0), (width, 0.0), (width, depth), (0.0, depth)])
    return Scene(
        Panels(data[:, :2], data[:, 2:], np.zeros(count), np.full(count, STOREY_M), np.full(count, -1)),
        tuple(barriers[:count]),
        (0.0, STOREY_M),
        (outline, outline),
        (barrier("concrete"), barrier("concrete")),
    )
