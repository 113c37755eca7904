"""How soon a change at the desk is judged: `python benchmarks/desk_edits.py [FOLDER ...]`, else two examples.

Changes drawn at random are saved by the workbench and judged by the functions that the desk's process for
judging runs, both in this process: processor time from the change to its findings, with saving, reading and
filling in. The way from one process to the other is not in it. What would mend the findings is tried after
they are shown; that is told apart, and so are changes of a wall, which every way of its address may be thrown
back by. Beside each figure the start of a bare Python in the same run; the clock on the wall says what others
on the machine took. Prints only; nothing is asserted.
"""

from __future__ import annotations

import gc
import os
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests"), str(ROOT / "benchmarks")]

from farpress.case.case import Case  # noqa: E402
from farpress.desk import apart  # noqa: E402
from farpress.desk.workers import SELDOM  # noqa: E402
from farpress.domain.finding import Assessment  # noqa: E402
from farpress.editing.judging import Judge  # noqa: E402
from farpress.editing.workbench import Workbench  # noqa: E402

EDITS = 40
WANTED_MS = {"larkfen-house": 150.0, "tallowmere-court": 300.0}
"""What a change of 95 in 100 shall be judged within, in processor time of a laptop of today: our choice."""


def main() -> None:
    """Measure and print."""
    from assess import command_s

    gc.set_threshold(*SELDOM)  # as the process that judges
    bare = command_s(("-c", "pass"), 20)
    load = " ".join(f"{share:.1f}" for share in os.getloadavg())
    print(f"processor time; a bare Python {bare * 1e3:.0f} ms; load {load}")
    folders = [Path(word).resolve() for word in sys.argv[1:]] or [
        ROOT / "examples" / name for name in WANTED_MS
    ]
    with tempfile.TemporaryDirectory() as home:
        for folder in folders:
            shutil.copytree(folder, Path(home) / folder.name)
            edits(Path(home) / folder.name, bare)


def edits(folder: Path, bare: float) -> None:
    """Changes of one job, each judged after the other."""
    from farpress.case.door import open_job
    from helpers.random_edits import random_edits

    drawn = random_edits(open_job(folder), seed=11)
    bench = Workbench(folder, judge=Judge(_findings, _tries))
    bench.assessment()
    spent: dict[str, list[float]] = {"of a wall": [], "of no wall": []}
    waited, tried = [], []
    before, dearest = _text(bench.state().case), (0.0, "")
    for _ in range(EDITS):
        says, edited = next(drawn)
        text = _text(edited)
        clock, begun = time.perf_counter(), time.process_time()
        bench.rewrite(lambda _, text=text: text, by="somebody", says=says)  # type: ignore[misc]
        bench.findings_now()
        took = time.process_time() - begun
        spent["of a wall" if ".walls." in says else "of no wall"].append(took)
        dearest = max(dearest, (took, says))
        waited.append(time.perf_counter() - clock)
        begun = time.process_time()
        bench.assessment()
        tried.append(time.process_time() - begun)
        bench.rewrite(lambda _: before, by="somebody", says="back")
        bench.findings_now()  # each change is one of the job as it was
    print(
        f"\n{folder.name}, {EDITS} changes, at most {WANTED_MS.get(folder.name, 300.0):.0f} ms wanted of 95 %"
    )
    for words, times in (
        ("any change", [took for each in spent.values() for took in each]),
        *spent.items(),
        ("remedies after", tried),
    ):
        if len(times) > 1:
            most = statistics.quantiles(times, n=20, method="inclusive")[-1]
            print(
                f"  {words:16}{len(times):4}  median {statistics.median(times) * 1e3:5.0f} ms  95 % within"
                f" {most * 1e3:5.0f} ms, {most / bare:5.1f} bare Pythons"
            )
    print(f"  on the wall's clock: median {statistics.median(waited) * 1e3:.0f} ms")
    print(f"  dearest: {dearest[0] * 1e3:.0f} ms, {dearest[1][:90]}", flush=True)


def _text(case: Case) -> str:
    assert case.document is not None
    return case.document.source.text


def _findings(case: Case) -> Assessment:
    return apart.judged(apart.Snapshot.of(case))


def _tries(case: Case) -> Assessment | None:
    return apart.tried(apart.Snapshot.of(case))


if __name__ == "__main__":
    main()
