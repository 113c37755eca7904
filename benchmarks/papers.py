"""How long the papers take: the pack of the house, 672 user cards of the court; beside judging the same jobs.

    PYTHONPATH=src python benchmarks/papers.py

Each job runs in a process of its own; the ratio to judging alone (same machine, same
minute) says more than the seconds. The first run on a machine also compiles the maps.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
MEASURED = """
import resource, sys, time
from pathlib import Path
from farpress.case.door import open_job
started = time.perf_counter()
case = open_job(Path(sys.argv[1]))
from farpress.judging.assess import assess
assess(case)
judged = time.perf_counter() - started
started = time.perf_counter()
from farpress.papers.builders.basis import make_basis
from farpress.papers.builders.pack import write_papers
pack = write_papers(make_basis(open_job(Path(sys.argv[1]))), Path(sys.argv[2]), only=sys.argv[3:])
took = time.perf_counter() - started
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
print(f"{len(pack.papers):4} papers  {took:6.1f} s  judging alone {judged:5.1f} s  ratio {took / judged:5.1f}  peak {peak:5.0f} MB")
"""  # noqa: E501


def main() -> None:
    """Measure and print."""
    for job, only in (
        ("larkfen-house", []),
        ("tallowmere-court", ["user-cards"]),
        ("tallowmere-court", []),
        ("brindlemark", []),
    ):
        with tempfile.TemporaryDirectory() as folder:
            done = subprocess.run(
                [sys.executable, "-c", MEASURED, str(ROOT / "examples" / job), folder, *only],
                capture_output=True,
                text=True,
                check=True,
            )
        print(f"{job:18} {'+'.join(only) or 'whole pack':12} {done.stdout.strip()}")


if __name__ == "__main__":
    main()
