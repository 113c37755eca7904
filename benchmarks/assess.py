"""How long an assessment takes, for each example: `python benchmarks/assess.py`.

Three numbers each: the same process again and again (warm), the whole command from
start to exit, and for comparison the start of a bare Python in the same run. `--help`
stands beside it, because a command line is used for that most. Ratios travel between
machines; milliseconds do not. Prints only; nothing is asserted.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
ROUNDS = 5


def median_s(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Median time of a piece of work [s]."""
    times = []
    for _ in range(rounds):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return statistics.median(times)


def command(*words: str) -> Callable[[], object]:
    """A run of another Python process, its output thrown away."""
    return lambda: subprocess.run([sys.executable, *words], cwd=ROOT, capture_output=True, check=False)


def main() -> None:
    """Measure and print."""
    from farpress.case.door import open_job
    from farpress.judging.assess import assess
    from farpress.papers.typesetting.summary import summary_pdf

    bare = median_s(command("-c", "pass"))
    print(f"{'':34}{'time':>10}{'ratio to a bare Python':>26}")

    def row(name: str, seconds: float) -> None:
        print(f"{name:34}{seconds * 1e3:7.0f} ms{seconds / bare:23.1f} x", flush=True)

    row("bare Python, start to exit", bare)
    row("farpress --help", median_s(command("-m", "farpress", "--help")))
    row("farpress assess --help", median_s(command("-m", "farpress", "assess", "--help")))
    for folder in sorted(path.parent for path in (ROOT / "examples").glob("*/job.yaml")):
        name = folder.name
        assessment = assess(open_job(folder))
        print(f"\n{name}: {len(assessment.findings)} findings, {len(assessment.promises)} promises")
        row("  read and fill in, warm", median_s(lambda folder=folder: open_job(folder)))  # type: ignore[misc]
        case = open_job(folder)
        row("  assess, warm", median_s(lambda case=case: assess(case)))  # type: ignore[misc]
        row("  summary PDF, warm", median_s(lambda found=assessment: summary_pdf(found)))  # type: ignore[misc]
        row("  whole command, table", median_s(command("-m", "farpress", "assess", str(folder)), 3))
        row(
            "  whole command, JSON",
            median_s(command("-m", "farpress", "assess", str(folder), "--format", "json"), 3),
        )


if __name__ == "__main__":
    main()
