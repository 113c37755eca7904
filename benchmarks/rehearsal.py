"""How fast the rehearsal searches, beside spin on the same models: `python benchmarks/rehearsal.py`.

Each model is searched breadth first to the end, without stopping at the first broken
rule, by plain Python, in machine code and by spin (exact, breadth first, compiled
with -O2; the time of spin and gcc is printed apart). Ratios travel between machines;
seconds do not. Then the whole rehearsal of each example. Prints only; nothing is asserted.
"""

from __future__ import annotations

import os
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests"), str(ROOT / "tools")]

from farpress.core.rehearsal.model import ModelEvent, StateModel, Variable, join  # noqa: E402
from farpress.core.rehearsal.outputs import power, telegrams, toggle_output  # noqa: E402
from farpress.core.rehearsal.promela import write_promela  # noqa: E402
from farpress.core.rehearsal.ready import Network, make_ready  # noqa: E402
from farpress.core.rehearsal.running import SearchResult, search_plainly  # noqa: E402
from farpress.core.rehearsal.search import search_compiled  # noqa: E402
from helpers.rehearsal_jobs import job_of, network_of  # noqa: E402


def timed(work: Callable[[], SearchResult]) -> tuple[SearchResult, float, float]:
    """A result, how long it took by the clock and in processor time [s]."""
    begun, worked = time.perf_counter(), time.process_time()
    found = work()
    return found, time.perf_counter() - begun, time.process_time() - worked


def counters() -> Network:
    """A million states: six counters to ten, one of them moved by the tick too."""
    names = tuple(Variable(f"x{i}", 9) for i in range(6))
    events = tuple(ModelEvent(f"e{i}", f"x{i} = x{i} + 1 if x{i} < 9 else 0") for i in range(6))
    return make_ready(
        StateModel(
            names,
            events,
            ("x0 = x0 + 1 if x0 < 9 else 0",),
            bad={"never": "x0 + x1 + x2 + x3 + x4 + x5 > 54"},
        ),
        slicing=False,
    )


def long_press() -> Network:
    """A fob held for 30 s, telegram by telegram, on a toggling output."""
    parts = [
        telegrams("f", ["o"], repeat_ms=100, cut_off_ms=30_000, losses_to_split=3),
        power(lost=False),
        toggle_output("o", keeps=True),
        StateModel(bad={"twice": "f_seen == 2"}),
    ]
    return make_ready(join(parts), slicing=False)


def spin(network: Network) -> tuple[int, float, float, float]:
    """States stored, time of the search by the clock and in processor time, time of making it ready [s]."""
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "m.pml").write_text(write_promela(network), encoding="utf-8")
        begun = time.perf_counter()
        for words in (
            ["spin", "-o1", "-o2", "-o3", "-a", "m.pml"],
            ["gcc", "-O2", "-w", "-DBFS", "-DMEMLIM=2000", "-o", "pan", "pan.c"],
        ):
            subprocess.run(words, cwd=folder, capture_output=True, check=True)
        ready, worked = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
        said = subprocess.run(
            ["./pan", "-A", "-E", "-w22", "-m1000000"],
            cwd=folder,
            capture_output=True,
            text=True,
            check=False,
        ).stdout
        done, spent = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
    found = re.search(r"([\d.e+]+) states, stored", said)
    return int(float(found[1])) if found else 0, done - ready, spent - worked, ready - begun


def main() -> None:
    """Measure and print."""
    models = {
        "six counters": counters(),
        "long press, telegram by telegram": long_press(),
        "timed gate, 0.1 s": network_of(job_of("second press, uneven times"), slicing=False),
    }
    begun = time.perf_counter()
    search_compiled(models["long press, telegram by telegram"], budget=1000)  # loaded before the clock runs
    loaded = time.perf_counter() - begun
    search_compiled(models["six counters"], budget=100_000)
    print(
        f"machine code made for the first time in {loaded:.1f} s; each model's is in its time; load"
        f" {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"
    )
    print(f"{'':36}{'states':>10}{'clock':>10}{'computing':>10}{'states/s':>12}{'of spin':>9}")
    for name, network in models.items():
        rows = (
            [("plain Python", *timed(lambda: search_plainly(network, budget=10**7, to_the_end=True)))]  # noqa: B023
            if name != "six counters"
            else []
        )
        for threads in (1, 2):
            rows.append(
                (
                    f"machine code, {threads} thread{'s' * (threads > 1)}",
                    *timed(lambda: search_compiled(network, budget=10**7, to_the_end=True, threads=threads)),  # noqa: B023
                )
            )
        print(name)
        peer = None
        if shutil.which("spin") and shutil.which("gcc"):
            states, seconds, worked, ready = spin(network)
            peer = states / max(worked, 0.001)  # the kernel counts in milliseconds
            print(
                f"  {'spin, breadth first':34}{states:10}{seconds:8.2f} s{worked:8.3f} s"
                f"{peer:12.0f}{1:8.1f} x   ({ready:.1f} s to make ready)"
            )
        for what, found, seconds, worked in rows:
            ratio = f"{found.states / max(worked, 0.001) / peer:8.1f} x" if peer else ""
            print(
                f"  {what:34}{found.states:10}{seconds:8.2f} s{worked:8.3f} s"
                f"{found.states / max(worked, 0.001):12.0f}{ratio}",
                flush=True,
            )
    print("\nstates of a drive of 2.2 s up, 2.5 s down, as it is searched, with each kind of leaf")
    for leaves in ("positions", "whole travels", "any time"):
        network = network_of(job_of("second press, uneven times"), leaves=leaves)
        found = search_compiled(network, budget=10**7, to_the_end=True)
        print(f"  {leaves:34}{found.states:10}")
    from farpress.case.door import open_job
    from farpress.judging.rules import built as rules
    from farpress.judging.rules import searched as rules_searched
    from farpress.rehearsal.rules import rehearse

    print(
        "\nwhole rehearsal, all rules, machine code loaded; then the rules inside a judgement, first time and"
        " again (clock, computing)"
    )
    for folder in sorted(path.parent for path in (ROOT / "examples").glob("*/job.yaml")):
        case = open_job(folder)
        parts = []
        for judging in (
            lambda: rehearse(case),  # noqa: B023
            lambda: list(rules_searched.judge(case)),  # noqa: B023
            lambda: list(rules_searched.judge(case)),  # noqa: B023
            lambda: list(rules.judge(case)),  # noqa: B023
        ):
            begun, worked = time.perf_counter(), time.process_time()
            made = judging()
            parts.append((made, time.perf_counter() - begun, time.process_time() - worked))
        results = parts[0][0]
        print(
            f"  {folder.name:34}{sum(one.states for one in results):10}{parts[0][1]:8.2f} s"
            f" ({parts[0][2]:.2f} s)   {sum(one.searched for one in results)} searches; judged first"
            f" {parts[1][1]:.2f} s ({parts[1][2]:.2f} s), again {parts[2][1]:.2f} s ({parts[2][2]:.2f} s),"
            f" without search {parts[3][1]:.2f} s ({parts[3][2]:.2f} s)"
        )


if __name__ == "__main__":
    main()
