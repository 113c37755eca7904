"""Our map beside a general-purpose ray tracer's, on invented two-storey houses: agreement and time.

    python benchmarks/reach_against_ray_tracer.py --python /path/to/a/python/with/sionna-rt [--samples 1e7
    4e7] [--seed 1 2] [--noise 1.0]

The ray tracer runs in its own environment (sionna-rt needs LLVM 17 or later; DRJIT_LIBLLVM_PATH
says where it is). Both see the same slabs; it shoots rays with refraction and reflection to depth
8 and no diffraction, so it is a peer, not the truth. Prints only; nothing is asserted.

Ours has no ray noise, so the time ratio is stated at a noise of theirs (`--noise`): measured at two ray
counts as
the rms difference between two seeds, over the root of two; brought to the noise asked for as noise falls
with the root of the rays; and timed by the line through the two measured times. Without a ray
tracer at hand (`--python` left out) ours is timed alone and that is said.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent))
from reach_plans import DEPTH_M, MATERIALS, STOREY_M, WIDTH_M, F, Row, house

CELLS = 200
HEIGHTS_M = [1.2, STOREY_M + 1.2]

OTHER_SIDE = r"""
import json, os, sys, time
import numpy as np
import mitsuba as mi
import sionna.rt as rt
job = json.load(open(sys.argv[1]))
scene = rt.load_scene()
scene.frequency = job["frequency"]
objects = []
for name, (eps, sigma, thick) in job["materials"].items():
    quads = [q for n, q in job["quads"] if n == name]
    if not quads:
        continue
    path = sys.argv[1] + "." + name.replace(" ", "_") + ".ply"
    with open(path, "w") as out:
        out.write("ply\nformat ascii 1.0\nelement vertex %d\nproperty float x\nproperty float y\nproperty float z\nelement face %d\nproperty list uchar int vertex_indices\nend_header\n" % (4 * len(quads), 2 * len(quads)))
        for q in quads:
            for p in q:
                out.write("%f %f %f\n" % tuple(p))
        for k in range(len(quads)):
            out.write("3 %d %d %d\n3 %d %d %d\n" % (4*k, 4*k+1, 4*k+2, 4*k, 4*k+2, 4*k+3))
    material = rt.RadioMaterial(name="own-" + name.replace(" ", "-"), thickness=thick, relative_permittivity=eps, conductivity=sigma)
    objects.append(rt.SceneObject(fname=path, name="o-" + name.replace(" ", "-"), radio_material=material))
scene.edit(add=objects)
scene.tx_array = rt.PlanarArray(num_rows=1, num_cols=1, pattern="iso", polarization="V")
scene.rx_array = scene.tx_array
scene.add(rt.Transmitter("t", position=job["aerial"], power_dbm=0))
solver = rt.RadioMapSolver()
def shot(height, seed, samples):
    begun, busy = time.time(), time.process_time()
    found = solver(scene, center=[job["width"]/2, job["depth"]/2, height], orientation=[0., 0., 0.], size=[job["width"], job["depth"]],
                   cell_size=[job["width"]/job["cells"], job["depth"]/job["cells"]], samples_per_tx=int(samples), max_depth=8,
                   specular_reflection=True, refraction=True, diffuse_reflection=False, seed=seed)
    gain = np.array(found.path_gain)[0]
    return gain, time.time() - begun, time.process_time() - busy
shot(job["heights"][0], 9, job["samples"])
found = [shot(height, seed, job["samples"]) for height in job["heights"] for seed in (1, 2)]
np.savez(sys.argv[1] + ".npz", maps=np.array([one[0] for one in found]), times=np.array([one[1] for one in found]), busy=np.array([one[2] for one in found]))
"""  # noqa: E501


def quads(rows: list[Row]) -> list[tuple[str, list[list[float]]]]:
    """Every wall as rectangles with its openings cut out, every pane, and the slabs."""
    found: list[tuple[str, list[list[float]]]] = []
    for n, (x1, y1, x2, y2, low, high, hole_in, name) in enumerate(rows):
        size = float(np.hypot(x2 - x1, y2 - y1))

        def rectangle(
            u1: float,
            u2: float,
            z1: float,
            z2: float,
            name: str,
            a: tuple[float, ...] = (x1, y1, x2, y2),
            size: float = size,
        ) -> None:
            if u2 - u1 > 1e-6 and z2 - z1 > 1e-6:
                p, q = ([a[k] + (a[k + 2] - a[k]) * u / size for k in (0, 1)] for u in (u1, u2))
                found.append((name, [[*p, z1], [*q, z1], [*q, z2], [*p, z2]]))

        if hole_in >= 0:
            if name:
                rectangle(0.0, size, low, high, name)
            continue
        at = 0.0
        for hole in sorted(
            (row for row in rows if row[6] == n), key=lambda row: float(np.hypot(row[0] - x1, row[1] - y1))
        ):
            u1, u2 = float(np.hypot(hole[0] - x1, hole[1] - y1)), float(np.hypot(hole[2] - x1, hole[3] - y1))
            rectangle(at, u1, low, high, name)
            rectangle(u1, u2, low, hole[4], name)
            rectangle(u1, u2, hole[5], high, name)
            at = u2
        rectangle(at, size, low, high, name)
    for z in (0.0, STOREY_M, 2 * STOREY_M):
        found.append(
            ("concrete", [[0.0, 0.0, z], [WIDTH_M, 0.0, z], [WIDTH_M, DEPTH_M, z], [0.0, DEPTH_M, z]])
        )
    return found


def cell_levels(gain: np.ndarray) -> np.ndarray:
    """Levels of a map of power gains [dB]."""
    return np.asarray(10.0 * np.log10(np.maximum(gain.ravel(), 1e-30)))


def noise_of(theirs: dict[str, np.ndarray], k: int) -> float:
    """Noise of one of their maps [dB]: rms difference of two seeds over the root of two, where both are
    lit.
    """
    first, second = (cell_levels(theirs["maps"][2 * k + n]) for n in (0, 1))
    lit = (first > -250.0) & (second > -250.0)
    return float(np.sqrt(np.mean((first - second)[lit] ** 2) / 2.0))


def rays_for(noise_db: float, counts: list[float], noises: list[float]) -> float:
    """Rays for a noise, from those measured: noise falls with the root of the rays (their geometric mean
    where several say so).
    """
    return float(
        np.exp(np.mean([np.log(count * (one / noise_db) ** 2) for count, one in zip(counts, noises)]))
    )


def time_for(rays: float, counts: list[float], times: list[float]) -> float:
    """Time for that many rays [s]: the line through the measured ones, or in proportion where one alone is
    measured.
    """
    if len(counts) < 2:
        return times[0] * rays / counts[0]
    slope, start = np.polyfit(counts, times, 1)
    return float(max(start, 0.0) + slope * rays)


def trace(
    python: str, folder: Path, seed: int, samples: float
) -> tuple[dict[str, np.ndarray], tuple[float, float, float]]:
    """Their maps of one house with so many rays, kept from before or run now."""
    import json

    _, rows, aerial = house(seed)
    job = folder / f"house-{seed}-{samples:.0e}.json"
    job.write_text(
        json.dumps(
            {
                "frequency": F,
                "materials": MATERIALS,
                "quads": quads(rows),
                "aerial": aerial,
                "width": WIDTH_M,
                "depth": DEPTH_M,
                "cells": CELLS,
                "samples": samples,
                "heights": HEIGHTS_M,
            }
        ),
        encoding="utf-8",
    )
    kept = Path(f"{job}.npz")
    if not kept.exists():
        script = folder / "other_side.py"
        script.write_text(OTHER_SIDE, encoding="utf-8")
        subprocess.run([python, str(script), str(job)], check=True)
    return dict(np.load(kept)), aerial


def main() -> None:
    """Run both and print how far apart they are."""
    from farpress.core.reach.direct import direct_path
    from farpress.core.reach.scene import PathEnd
    from farpress.core.reach.ways import around, ways_between

    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--python", help="a Python that has sionna-rt; without it only ours is run")
    parser.add_argument(
        "--samples",
        type=float,
        nargs="+",
        default=[1e7, 4e7],
        help="ray counts; the last one is compared cell by cell",
    )
    parser.add_argument("--seed", type=int, nargs="+", default=[2])
    parser.add_argument(
        "--noise", type=float, default=1.0, help="noise of one of their maps at which times are compared [dB]"
    )
    parser.add_argument("--keep", help="folder to keep the ray tracer's maps in, and to take them from")
    asked = parser.parse_args()
    for seed in asked.seed:
        scene, rows, aerial = house(seed)
        folder = Path(asked.keep or tempfile.mkdtemp())
        folder.mkdir(parents=True, exist_ok=True)
        counts = sorted(asked.samples)
        theirs = (
            [trace(asked.python, folder, seed, one)[0] for one in counts]
            if asked.python or asked.keep
            else []
        )
        ready = around(scene=scene, frequency_hz=F, polarisation="vertical")
        end = PathEnd(aerial, aerial[2], False)
        x, y = np.meshgrid(
            (np.arange(CELLS) + 0.5) * WIDTH_M / CELLS, (np.arange(CELLS) + 0.5) * DEPTH_M / CELLS
        )
        print(
            f"house {seed}: {sum(row[6] < 0 for row in rows)} walls, {sum(row[6] >= 0 for row in rows)}"
            " openings, 3 slabs"
        )
        for k, (name, height) in enumerate(zip(("same storey", "other storey"), HEIGHTS_M)):
            points = np.stack([x.ravel(), y.ravel(), np.full(x.size, height)], axis=1)
            took, worked, ours = 99.0, 99.0, None
            for _ in range(4):
                begun, cpu = time.perf_counter(), time.process_time()
                ours = ways_between(
                    around=ready,
                    aerial=end,
                    points_m=points,
                    over_ground_m=1.2,
                    outdoors=False,
                    compile_it=True,
                )
                took, worked = min(took, time.perf_counter() - begun), min(worked, time.process_time() - cpu)
            print(
                f"  {name:13} ours {took:.2f} s, both cores busy {worked:.2f} s, no ray noise; left out"
                f" {ours.left_out_db.mean():.2f} dB in the mean at most, {ours.left_out_db.max():.2f} dB at"
                " one cell"
            )
            if not theirs:
                print(
                    f"  {'':13} the ray tracer was not run (no --python): no agreement and no ratio can be"
                    " said"
                )
                continue
            first, second = (cell_levels(theirs[-1]["maps"][2 * k + n]) for n in (0, 1))
            lit = (first > -250.0) & (second > -250.0)
            mine = -ours.loss_db
            other = 10.0 * np.log10((10.0 ** (first / 10.0) + 10.0 ** (second / 10.0)) / 2.0)
            apart = (mine - other)[lit]
            some = np.arange(0, points.shape[0], 97)
            straight = np.array(
                [
                    -direct_path(
                        scene=scene, fob=PathEnd(tuple(points[n]), 1.2, False), aerial=end, frequency_hz=F
                    ).loss_db
                    for n in some
                ]
            )
            direct = (straight - other[some])[lit[some]]
            print(
                f"  {'':13} against {counts[-1]:.1e} rays: mean {apart.mean():+5.2f} dB, rms"
                f" {np.sqrt(np.mean(apart**2)):5.2f} dB, 95 % within {np.quantile(np.abs(apart), 0.95):4.1f}"
                f" dB (straight ray alone: mean {direct.mean():+5.2f}, rms"
                f" {np.sqrt(np.mean(direct**2)):5.2f}); unlit cells {np.sum(~lit)}"
            )
            noises = [noise_of(one, k) for one in theirs]
            times, busy = (
                [float(one.get(key, one["times"])[2 * k : 2 * k + 2].min()) for one in theirs]
                for key in ("times", "busy")
            )
            for count, noise, one, core in zip(counts, noises, times, busy):
                print(
                    f"  {'':13} theirs {count:.1e} rays: noise {noise:.2f} dB, {one:.1f} s a map, cores busy"
                    f" {core:.1f} s"
                )
            if len(counts) > 1:
                print(
                    f"  {'':13} noise fell by {noises[0] / noises[-1]:.2f} from {counts[0]:.1e} to"
                    f" {counts[-1]:.1e} rays; the root of the rays says {np.sqrt(counts[-1] / counts[0]):.2f}"
                )
            rays = rays_for(asked.noise, counts, noises)
            print(
                f"  {'':13} at {asked.noise:g} dB of noise, reckoned (noise ~ 1/sqrt(rays), time by the line"
                f" through what was measured): {rays:.1e} rays, {time_for(rays, counts, times):.1f} s, cores"
                f" busy {time_for(rays, counts, busy):.1f} s: ratio"
                f" {time_for(rays, counts, times) / took:.0f} by the clock,"
                f" {time_for(rays, counts, busy) / worked:.0f} by processor time"
            )


if __name__ == "__main__":
    main()
