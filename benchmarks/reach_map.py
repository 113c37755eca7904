"""How long a map of reach takes, and how that grows with cells and walls: `python benchmarks/reach_map.py`.

A storey of rooms, every kind of way. Beside it in the same run: numpy adding up as many straight
rays through as many walls, without any echo. Prints only; nothing is asserted.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent))
from reach_plans import DEPTH_M, WIDTH_M, F, rooms

ROUNDS = 3


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
    from farpress.core.reach.direct import PathEnd
    from farpress.core.reach.ways import around, ways_between

    aerial = PathEnd((5.1, 4.2, 2.2), 2.2, False)

    def points(cells: int) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
        x, y = np.meshgrid((np.arange(cells) + 0.5) * WIDTH_M / cells, (np.arange(cells) + 0.5) * DEPTH_M / cells)
        return np.stack([x.ravel(), y.ravel(), np.full(x.size, 1.2)], axis=1)

    print(f"{'walls':>6} {'cells':>12} {'map':>9} {'both cores':>11} {'per cell':>9} {'straight rays, numpy':>22} {'ratio':>7}")
    begun = time.perf_counter()
    ways_between(around=around(scene=rooms(10), frequency_hz=F), aerial=aerial, points_m=points(10), over_ground_m=1.2, outdoors=False, compile_it=True)
    print(f"first use in this process (compiled or taken from disk): {time.perf_counter() - begun:.1f} s")
    for walls, cells in ((40, 50), (40, 100), (40, 200), (40, 400), (10, 200), (20, 200), (100, 200), (200, 200), (400, 200)):
        scene = rooms(walls)
        ready, where = around(scene=scene, frequency_hz=F), points(cells)

        def ours(ready: object = ready, where: object = where) -> object:
            return ways_between(around=ready, aerial=aerial, points_m=where, over_ground_m=1.2, outdoors=False, compile_it=True)  # type: ignore[arg-type]

        def peer(scene: object = scene, where: object = where) -> object:
            return crossed_panels(panels=scene.panels, from_m=where[:4000], to_m=aerial.at_m)  # type: ignore[attr-defined,index]

        took, busy = best_s(ours)
        straight = best_s(peer)[0] * max(len(where) / 4000.0, 1.0)
        print(f"{int(ready.solid[0]):6} {cells:>6}x{cells:<5} {took:7.3f} s {busy:9.3f} s {1e6 * took / len(where):6.1f} us {straight:20.3f} s {took / straight:6.1f} x", flush=True)


if __name__ == "__main__":
    main()
