"""How fast the firm's shelf is: `python benchmarks/firm.py [--jobs 1000]`.

Makes that many varied jobs, puts them on a shelf in a file, searches them, judges them with
one process and with two, and looks at the memory over the run. Prints ratios; on a machine
that others use too the figures are only as good as its quiet, so its load is printed first,
and the two ways of judging take turns.
"""

from __future__ import annotations

import argparse
import os
import resource
import statistics
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tools")]

from farpress.firm.facts import read_text  # noqa: E402
from farpress.firm.run import RunProgress, run_jobs  # noqa: E402
from farpress.firm.shelf import Firm, start_firm  # noqa: E402
from make_jobs import made_job  # noqa: E402

SEARCHES = (("mirela",), ("oakmire", "holm"), ("receiver-4",), ("quayle", "mill bank"), ("no such word",), ())


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=1000)
    parser.add_argument("--timed", type=int, default=200, help="jobs in each of the timed turns")
    given = parser.parse_args()
    print(f"load before: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    with tempfile.TemporaryDirectory(prefix="farpress-bench-") as folder:
        firm, _ = start_firm(str(Path(folder) / "firm.sqlite"))
        _stock(firm, given.jobs)
        _search(firm, given.jobs)
        _judge(firm, given.timed)
        _memory(firm)
        firm.close()


def _stock(firm: Firm, count: int) -> None:
    began = time.perf_counter()
    for number in range(1, count + 1):
        made = made_job(number)
        read = read_text(made.text)
        firm.shelf.add(read.name, read.text, read.fingerprint, read.facts, files={}, by="me")
        firm.shelf.record.append_all(made.entries, job=read.name, by="me")
    print(
        f"put on the shelf: {count} jobs with their records,"
        f" {(time.perf_counter() - began) / count * 1e3:.1f} ms each"
    )


def _search(firm: Firm, count: int) -> None:
    for words in SEARCHES:
        took = []
        for _ in range(5):
            began = time.perf_counter()
            found = firm.find(words)
            took.append(time.perf_counter() - began)
        print(
            f"search over {count} jobs for {' '.join(words) or 'everything'!r:24}:"
            f" {statistics.median(took) * 1e3:6.1f} ms (worst {max(took) * 1e3:.1f}), {len(found)} found"
        )


def _judge(firm: Firm, count: int) -> None:
    names = [entry.job for entry in firm.find()][:count]
    run_jobs(firm, names[:3], afresh=True)  # imports done
    rates: dict[int, list[float]] = {1: [], 2: []}
    used: dict[int, tuple[float, float]] = {}
    for _ in range(2):
        for workers in (1, 2):
            marks: list[float] = []
            own, others = time.process_time(), _children_s()
            run_jobs(
                firm,
                names,
                workers=workers,
                afresh=True,
                progress=lambda _, marks=marks: marks.append(time.perf_counter()),
            )  # type: ignore[misc]
            settled = len(marks) // 4  # without the start of the processes
            rates[workers].append((len(marks) - 1 - settled) / (marks[-1] - marks[settled]))
            used[workers] = (time.process_time() - own, _children_s() - others)
            print(
                f"judged by {workers} process{'es' if workers > 1 else ''}: {rates[workers][-1]:.1f} jobs a"
                f" second, {rates[workers][-1] / workers:.1f} per core; load {os.getloadavg()[0]:.1f}"
            )
    print(f"two processes against one: {max(rates[2]) / max(rates[1]):.2f} times by the clock")
    print(
        f"processor time for {count} jobs: {used[1][0]:.1f} s in one process; {used[2][0]:.1f} s in the"
        f" giving one and {used[2][1]:.1f} s in two workers, their start included"
    )


def _children_s() -> float:
    ended = resource.getrusage(resource.RUSAGE_CHILDREN)
    return ended.ru_utime + ended.ru_stime


def _memory(firm: Firm) -> None:
    """Resident memory after each tenth of a run over all jobs, in this process."""
    names = [entry.job for entry in firm.find()]
    seen: list[float] = []

    def look(tick: RunProgress) -> None:
        if tick.done % max(1, len(names) // 10) == 0:
            seen.append(_resident_mb())

    began = time.perf_counter()
    run_jobs(firm, names, afresh=True, progress=look)
    print(
        f"all {len(names)} jobs by one process: {time.perf_counter() - began:.1f} s; resident MB by tenths:"
        f" {', '.join(f'{mb:.0f}' for mb in seen)} (highest ever"
        f" {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f})"
    )
    if len(seen) > 2:
        print(f"growth from the second tenth to the last: {seen[-1] - seen[1]:+.1f} MB")


def _resident_mb() -> float:
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * resource.getpagesize() / 1e6


if __name__ == "__main__":
    main()
