"""How long a map of reach takes, and how that grows with cells and walls: `python benchmarks/reach_map.py`.

Storeys of rooms and invented houses with openings, every kind of way, a fob at any angle. Beside it in the
same run: numpy adding up as many straight rays through as many walls, without any echo. The ratio is that of
processor times, which other programs on the machine disturb less. Prints only; nothing is asserted.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent))
from reach_plans import DEPTH_M, STOREY_M, WIDTH_M, F, house, rooms

from farpress.core.reach.scene import PathEnd, Scene

ROUNDS = 4
AT = (5.1, 4.2, 2.2)


def best_s(work: Callable[[], object]) -> tuple[float, float]:
    """Shortest wall-clock and processor time of a few rounds [s]."""
    walls, cpus = [], []
    for _ in range(ROUNDS):
        begun, busy = time.perf_counter(), time.process_time()
        work()
        walls.append(time.perf_counter() - begun)
        cpus.append(time.process_time() - busy)
    return min(walls), min(cpus)


def main() -> None:
    """Measure and print."""
    from farpress.core.reach.crossings import crossed_panels
    from farpress.core.reach.ways import around, ways_between

    def points(
        cells: int, height_m: float, size_m: tuple[float, float]
    ) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
        x, y = np.meshgrid(
            (np.arange(cells) + 0.5) * size_m[0] / cells, (np.arange(cells) + 0.5) * size_m[1] / cells
        )
        return np.stack([x.ravel(), y.ravel(), np.full(x.size, height_m)], axis=1)

    def one(
        name: str,
        scene: Scene,
        at: tuple[float, float, float],
        cells: int,
        height_m: float = 1.2,
        size_m: tuple[float, float] = (WIDTH_M, DEPTH_M),
    ) -> None:
        ready, where, aerial = (
            around(scene=scene, frequency_hz=F),
            points(cells, height_m, size_m),
            PathEnd(at, at[2], False),
        )
        left = ways_between(
            around=ready, aerial=aerial, points_m=where, over_ground_m=1.2, outdoors=False, compile_it=True
        ).left_out_db
        took, busy = best_s(
            lambda: ways_between(
                around=ready,
                aerial=aerial,
                points_m=where,
                over_ground_m=1.2,
                outdoors=False,
                compile_it=True,
            )
        )
        _, straight = best_s(
            lambda: crossed_panels(panels=scene.panels, from_m=where[:4000], to_m=aerial.at_m)
        )
        straight *= max(len(where) / 4000.0, 1.0)
        print(
            f"{name:24} {len(ready.packed.walls):5} {cells:>4}x{cells:<4} {took:6.3f} s {busy:6.3f} s"
            f" {1e6 * busy / len(where):6.1f} us {left.mean():5.2f} {left.max():5.2f} {straight:6.3f} s"
            f" {busy / straight:5.1f} x",
            flush=True,
        )

    begun = time.perf_counter()
    ways_between(
        around=around(scene=rooms(10), frequency_hz=F),
        aerial=PathEnd(AT, AT[2], False),
        points_m=points(10, 1.2, (WIDTH_M, DEPTH_M)),
        over_ground_m=1.2,
        outdoors=False,
        compile_it=True,
    )
    print(
        f"first use in this process (compiled or taken from disk): {time.perf_counter() - begun:.1f} s; load"
        f" {os.getloadavg()[0]:.1f}"
    )
    print(
        f"{'plan':24} {'walls':>5} {'cells':>9} {'map':>8} {'cores':>8} {'a cell':>9} {'left out':>11}"
        f" {'straight':>8} {'ratio':>7}"
    )
    print(f"{'':24} {'':>5} {'':>9} {'':>8} {'busy':>8} {'':>9} {'mean  most':>11} {'numpy':>8}")
    for seed in (1, 2, 3):
        scene, _, at = house(seed)
        one(f"house {seed}, same storey", scene, at, 200)
        one(f"house {seed}, other storey", scene, at, 200, STOREY_M + 1.2)
    for cells in (50, 100, 200, 400):
        one("rooms", rooms(40), AT, cells)
    for walls in (10, 20, 40, 100, 200, 400):
        one("rooms on one floor", rooms(walls), AT, 200)
    for walls in (10, 20, 40, 100, 200, 400):
        side = max(round(np.sqrt(walls / 2.0)), 1)
        one("rooms of 6 m x 4 m", rooms(walls, wide=True), AT, 200, 1.2, (6.0 * side, 4.0 * side))


if __name__ == "__main__":
    main()
