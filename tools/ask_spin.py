"""Every model of jobs, searched by spin and by the rehearsal: `python tools/ask_spin.py JOB ...`.

Without a job: the examples. Each model is the true one of a check, as `farpress rehearsal --promela`
writes it, with a tick that divides every time in it. Held against each other: whether the rule can be
broken, and in how many steps; told beside it: the processor time of both. Run by hand: it needs spin and
gcc, and minutes. Ends with 1 where they differ.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests"), str(ROOT / "tools")]

from farpress.case.door import open_job  # noqa: E402
from farpress.core.rehearsal.ready import Network  # noqa: E402
from farpress.core.rehearsal.search import search_all  # noqa: E402
from farpress.rehearsal.written import true_networks  # noqa: E402
from helpers.spin import ask_spin  # noqa: E402


def main() -> int:
    """Ask about each job; the number of models on which the two differ."""
    read = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    read.add_argument("jobs", nargs="*", type=Path, default=sorted((ROOT / "examples").iterdir()))
    read.add_argument("--most", type=int, default=1_000_000, help="states kept in one search of ours")
    chosen = read.parse_args()
    differ = 0
    for job in chosen.jobs:
        told = [asked(name, network, chosen.most) for name, network in true_networks(open_job(job))]
        ended = [row for row in told if row is not None]
        wrong = [row for row in ended if not row[0]]
        ours, theirs = sum(row[1] for row in ended), sum(row[2] for row in ended)
        print(
            f"{job.name}: {len(told)} models, {len(ended)} searched to their end by both,"
            f" {len(wrong)} differ;"
            f" ours {ours:.2f} s, spin without making ready {theirs:.2f} s of processor time"
        )
        differ += len(wrong)
    return int(differ > 0)


def asked(name: str, network: Network, most: int) -> tuple[bool, float, float] | None:
    """Whether both say the same, and the processor time of each [s]; None where ours did not end."""
    begun = time.process_time()
    found = search_all(network, budget=most)
    ours = time.process_time() - begun
    story = next(iter(found.stories.values()), None)
    if not found.finished and story is None:
        print(f"  not searched to its end in {most} states: {name}", flush=True)
        return None
    with tempfile.TemporaryDirectory() as folder:
        said = ask_spin(network, Path(folder), counts=False, fast=True)
    length = None if story is None else len(story)
    if said.shortest != length:
        print(f"  DIFFERENT {name}: ours {length}, spin {said.shortest}", flush=True)
    return said.shortest == length, ours, said.searched_s


if __name__ == "__main__":
    sys.exit(main())
