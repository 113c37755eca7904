"""Our map beside a ray tracer's on plans of four kinds, both storeys, in blocks of half a metre, a fob at
any angle.

    python benchmarks/reach_in_blocks.py house:11 court:5 flats:3 hall:7 --python
    /path/to/a/python/with/sionna-rt

A block is the mean power over it: of ours from 16 points, of theirs from all rays that end there, both
polarisations and two seeds. Both see a bare building, so ours may be guided further than in a job
(`--guided`). The rms is said as it is, and with their own noise taken off, which the two seeds show. A peer,
not the truth; see `reach_against_ray_tracer`. Prints only.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent))
from reach_plans import MATERIALS, F
from reach_plans_of_kinds import KINDS, Plan, plates

BLOCK_M = 0.5
SIDE = 4

OTHER_SIDE = r"""
import json, sys
import numpy as np
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
maps = []
for height in job["heights"]:
    parts = []
    for kind in ("V", "H"):
        for seed in (1, 2):
            scene.tx_array = rt.PlanarArray(num_rows=1, num_cols=1, pattern="iso", polarization=kind)
            scene.rx_array = scene.tx_array
            if "t" in scene.transmitters:
                scene.remove("t")
            scene.add(rt.Transmitter("t", position=job["aerial"], power_dbm=0))
            found = rt.RadioMapSolver()(scene, center=[job["width"]/2, job["depth"]/2, height], orientation=[0., 0., 0.],
                size=[job["width"], job["depth"]], cell_size=[job["width"]/job["nx"], job["depth"]/job["ny"]],
                samples_per_tx=int(job["samples"]), max_depth=8, specular_reflection=True, refraction=True,
                diffuse_reflection=False, seed=seed)
            parts.append(np.array(found.path_gain)[0])
    maps.append(parts)
np.savez(sys.argv[1] + ".npz", maps=np.array(maps))
"""  # noqa: E501


def ours(
    plan: Plan, height_m: float, nx: int, ny: int, guided_db: float
) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """Mean power of each block, (ny, nx)."""
    from farpress.core.reach.scene import PathEnd
    from farpress.core.reach.ways import around, ways_between

    x, y = np.meshgrid(
        (np.arange(nx * SIDE) + 0.5) * plan.width_m / nx / SIDE,
        (np.arange(ny * SIDE) + 0.5) * plan.depth_m / ny / SIDE,
    )
    found = ways_between(
        around=around(scene=plan.scene, frequency_hz=F, guided_db=guided_db),
        aerial=PathEnd(plan.aerial, plan.aerial[2], False),
        points_m=np.stack([x.ravel(), y.ravel(), np.full(x.size, height_m)], axis=1),
        over_ground_m=1.2,
        outdoors=False,
        compile_it=True,
    )
    return np.asarray((10.0 ** (-found.loss_db / 10.0)).reshape(ny, SIDE, nx, SIDE).mean((1, 3)))


def main() -> None:
    """Run both and print how far apart they are."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("plans", nargs="+", help=f"kind:seed, of {', '.join(KINDS)}")
    parser.add_argument("--python", required=True, help="a Python that has sionna-rt")
    parser.add_argument(
        "--guided",
        type=float,
        default=9.0,
        help="most above free space [dB]; 9 for a bare building, 3 as in jobs",
    )
    parser.add_argument("--samples", type=float, default=1e7)
    asked = parser.parse_args()
    folder = Path(tempfile.mkdtemp())
    (folder / "other_side.py").write_text(OTHER_SIDE, encoding="utf-8")
    for word in asked.plans:
        kind, seed = word.split(":")
        plan = KINDS[kind](int(seed))
        nx, ny = int(plan.width_m / BLOCK_M), int(plan.depth_m / BLOCK_M)
        job = folder / f"{kind}-{seed}.json"
        told = {
            "frequency": F,
            "materials": MATERIALS,
            "quads": plates(plan),
            "aerial": plan.aerial,
            "width": plan.width_m,
            "depth": plan.depth_m,
            "nx": nx,
            "ny": ny,
            "samples": asked.samples,
            "heights": plan.heights_m,
        }
        job.write_text(json.dumps(told), encoding="utf-8")
        subprocess.run([asked.python, str(folder / "other_side.py"), str(job)], check=True)
        maps = np.load(f"{job}.npz")["maps"]
        for k, height in enumerate(plan.heights_m):
            theirs = maps[k].mean(0)
            lit = (maps[k].min(0) > 1e-20) & plan.is_inside(nx, ny)
            seeds = [maps[k][[n, n + 2]].mean(0) for n in (0, 1)]
            noise = np.sqrt(np.mean((10.0 * np.log10(seeds[0][lit] / seeds[1][lit])) ** 2)) / 2.0
            found = ours(plan, height, nx, ny, asked.guided)
            apart = 10.0 * np.log10(found[lit] / theirs[lit])
            rms = np.sqrt(np.mean(apart**2))
            rest = np.sqrt(max(rms**2 - noise**2, 0.0))
            print(
                f"{word:10} {'other' if k else 'same':5} storey: mean {apart.mean():+.2f} dB, rms"
                f" {rms:.2f} dB (without their noise {rest:.2f} dB), 95 % within"
                f" {np.quantile(np.abs(apart), 0.95):.1f} dB",
                flush=True,
            )


if __name__ == "__main__":
    main()
