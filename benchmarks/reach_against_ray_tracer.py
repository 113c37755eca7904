"""Our map beside a general-purpose ray tracer's, on invented two-storey houses: agreement and time.

    python benchmarks/reach_against_ray_tracer.py --python /path/to/a/python/with/sionna-rt [--samples 1e7] [--seed 1 2]

The ray tracer runs in its own environment (sionna-rt needs LLVM 17 or later; DRJIT_LIBLLVM_PATH
says where it is). Both see the same slabs; it shoots rays with refraction and reflection to depth
8 and no diffraction, so it is a peer, not the truth. Prints only; nothing is asserted.
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

OTHER_SIDE = r'''
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
def shot(height, seed):
    begun = time.time()
    found = solver(scene, center=[job["width"]/2, job["depth"]/2, height], orientation=[0., 0., 0.], size=[job["width"], job["depth"]],
                   cell_size=[job["width"]/job["cells"], job["depth"]/job["cells"]], samples_per_tx=int(job["samples"]), max_depth=8,
                   specular_reflection=True, refraction=True, diffuse_reflection=False, seed=seed)
    gain = np.array(found.path_gain)[0]
    return gain, time.time() - begun
shot(job["heights"][0], 9)
maps, times = [], []
for height in job["heights"]:
    for seed in (1, 2):
        gain, took = shot(height, seed)
        maps.append(gain); times.append(took)
np.savez(sys.argv[1] + ".npz", maps=np.array(maps), times=np.array(times))
'''


def quads(rows: list[Row]) -> list[tuple[str, list[list[float]]]]:
    """Every wall as rectangles with its openings cut out, every pane, and the slabs."""
    found: list[tuple[str, list[list[float]]]] = []
    for n, (x1, y1, x2, y2, low, high, hole_in, name) in enumerate(rows):
        size = float(np.hypot(x2 - x1, y2 - y1))

        def rectangle(u1: float, u2: float, z1: float, z2: float, name: str, a: tuple[float, ...] = (x1, y1, x2, y2), size: float = size) -> None:
            if u2 - u1 > 1e-6 and z2 - z1 > 1e-6:
                p, q = ([a[k] + (a[k + 2] - a[k]) * u / size for k in (0, 1)] for u in (u1, u2))
                found.append((name, [[*p, z1], [*q, z1], [*q, z2], [*p, z2]]))

        if hole_in >= 0:
            if name:
                rectangle(0.0, size, low, high, name)
            continue
        at = 0.0
        for hole in sorted((row for row in rows if row[6] == n), key=lambda row: float(np.hypot(row[0] - x1, row[1] - y1))):
            u1, u2 = float(np.hypot(hole[0] - x1, hole[1] - y1)), float(np.hypot(hole[2] - x1, hole[3] - y1))
            rectangle(at, u1, low, high, name)
            rectangle(u1, u2, low, hole[4], name)
            rectangle(u1, u2, hole[5], high, name)
            at = u2
        rectangle(at, size, low, high, name)
    for z in (0.0, STOREY_M, 2 * STOREY_M):
        found.append(("concrete", [[0.0, 0.0, z], [WIDTH_M, 0.0, z], [WIDTH_M, DEPTH_M, z], [0.0, DEPTH_M, z]]))
    return found


def main() -> None:
    """Run both and print how far apart they are."""
    import json

    from farpress.core.reach.direct import PathEnd, direct_path
    from farpress.core.reach.ways import around, ways_between

    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--python", required=True)
    parser.add_argument("--samples", type=float, default=1e7)
    parser.add_argument("--seed", type=int, nargs="+", default=[2])
    parser.add_argument("--keep", help="folder to keep the ray tracer's maps in, and to take them from")
    asked = parser.parse_args()
    for seed in asked.seed:
        scene, rows, aerial = house(seed)
        folder = Path(asked.keep or tempfile.mkdtemp())
        folder.mkdir(parents=True, exist_ok=True)
        job = folder / f"house-{seed}-{asked.samples:.0e}.json"
        heights = [1.2, STOREY_M + 1.2]
        job.write_text(json.dumps({"frequency": F, "materials": MATERIALS, "quads": quads(rows), "aerial": aerial, "width": WIDTH_M, "depth": DEPTH_M,
                                   "cells": CELLS, "samples": asked.samples, "heights": heights}), encoding="utf-8")
        kept = Path(f"{job}.npz")
        if not kept.exists():
            script = folder / "other_side.py"
            script.write_text(OTHER_SIDE, encoding="utf-8")
            subprocess.run([asked.python, str(script), str(job)], check=True)
        theirs = np.load(kept)
        ready = around(scene=scene, frequency_hz=F, polarisation="vertical")
        end = PathEnd(aerial, aerial[2], False)
        x, y = np.meshgrid((np.arange(CELLS) + 0.5) * WIDTH_M / CELLS, (np.arange(CELLS) + 0.5) * DEPTH_M / CELLS)
        print(f"house {seed}: {sum(row[6] < 0 for row in rows)} walls, {sum(row[6] >= 0 for row in rows)} openings, 3 slabs, {asked.samples:.0e} rays")
        for k, (name, height) in enumerate(zip(("same storey", "other storey"), heights)):
            points = np.stack([x.ravel(), y.ravel(), np.full(x.size, height)], axis=1)
            ways_between(around=ready, aerial=end, points_m=points[:500], over_ground_m=1.2, outdoors=False, compile_it=True)
            begun, cpu = time.perf_counter(), time.process_time()
            ours = ways_between(around=ready, aerial=end, points_m=points, over_ground_m=1.2, outdoors=False, compile_it=True)
            took, worked = time.perf_counter() - begun, time.process_time() - cpu
            first, second = (10.0 * np.log10(np.maximum(theirs["maps"][2 * k + n].ravel(), 1e-30)) for n in (0, 1))
            lit = (first > -250.0) & (second > -250.0)
            mine = -ours.loss_db
            other = 10.0 * np.log10((10.0 ** (first / 10.0) + 10.0 ** (second / 10.0)) / 2.0)
            apart = (mine - other)[lit]
            some = np.arange(0, points.shape[0], 97)
            straight = np.array([-direct_path(scene=scene, fob=PathEnd(tuple(points[n]), 1.2, False), aerial=end, frequency_hz=F).loss_db for n in some])
            direct = (straight - other[some])[lit[some]]
            noise = np.sqrt(np.mean((first - second)[lit] ** 2))
            print(f"  {name:13} mean {apart.mean():+5.2f} dB, rms {np.sqrt(np.mean(apart**2)):5.2f} dB, 95 % within {np.quantile(np.abs(apart), 0.95):4.1f} dB"
                  f" (straight ray alone: mean {direct.mean():+5.2f}, rms {np.sqrt(np.mean(direct**2)):5.2f}); their seed to seed rms {noise:.2f} dB, unlit cells {np.sum(~lit)}")
            print(f"  {'':13} ours {took:.2f} s (both cores busy {worked:.2f} s), theirs {theirs['times'][2 * k]:.1f} s a map: ratio {theirs['times'][2 * k] / took:.0f}")


if __name__ == "__main__":
    main()
