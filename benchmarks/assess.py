"""How long an assessment takes: `python benchmarks/assess.py [--quick] [FOLDER ...]`, else for each example.

Processor time, each beside the start of a bare Python in the same run: such ratios travel between machines,
milliseconds do not. For each example: the whole command at its first run, again with nothing changed, after
one edit, and with nothing kept at all; then the same process again and again. Python keeps what it makes of
modules, as it does once the program is installed. Prints only; nothing is asserted. `--quick` measures fewer
times and half as many edits, the same ones: some two minutes for an example on one busy core.
"""

from __future__ import annotations

import os
import random
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]
QUICK = "--quick" in sys.argv[1:]
FOLDERS = [Path(word).resolve() for word in sys.argv[1:] if word != "--quick"]
ROUNDS = 3 if QUICK else 5
EDITS = 10 if QUICK else 20
HOME = Path(tempfile.mkdtemp(prefix="farpress-benchmark-"))
SURROUNDINGS = os.environ | {
    "PYTHONPATH": str(ROOT / "src"),
    "PYTHONDONTWRITEBYTECODE": "",
    "PYTHONPYCACHEPREFIX": str(HOME / "bytecode"),
    "XDG_CACHE_HOME": str(HOME / "cache"),
    "FARPRESS_NO_CACHE": "",
}


def command_s(
    words: tuple[str, ...], rounds: int = ROUNDS, before: Callable[[], object] = lambda: None
) -> float:
    """Median processor time of another Python process from start to exit [s]."""
    times = []
    for _ in range(rounds):
        before()
        begun = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, *words], cwd=ROOT, env=SURROUNDINGS, capture_output=True, check=False)
        ended = resource.getrusage(resource.RUSAGE_CHILDREN)
        times.append(ended.ru_utime + ended.ru_stime - begun.ru_utime - begun.ru_stime)
    return statistics.median(times)


def work_s(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Median processor time of a piece of work in this process [s]."""
    return statistics.median(once_s(work) for _ in range(rounds))


def once_s(work: Callable[[], object]) -> float:
    """Processor time of a piece of work [s]."""
    begun = time.process_time()
    work()
    return time.process_time() - begun


def main() -> None:
    """Measure and print."""
    command_s(("-m", "farpress", "assess", "examples/larkfen-house"), 1)  # bytecode is there from here on
    command_s(("-m", "farpress", "--help"), 1)
    bare = command_s(("-c", "pass"), 4 * ROUNDS)
    load = " ".join(f"{share:.1f}" for share in os.getloadavg())
    print(f"processor time, Python {sys.version.split()[0]}, load {load}")
    print(f"{'':40}{'time':>10}{'ratio to a bare Python':>26}")

    def row(name: str, seconds: float) -> None:
        print(f"{name:40}{seconds * 1e3:7.0f} ms{seconds / bare:23.1f} x", flush=True)

    row("bare Python, start to exit", bare)
    row("import click", command_s(("-c", "import click")))
    row("farpress --help", command_s(("-m", "farpress", "--help")))
    row("farpress assess --help", command_s(("-m", "farpress", "assess", "--help")))
    for folder in FOLDERS or sorted(path.parent for path in (ROOT / "examples").glob("*/job.yaml")):
        print(f"\n{folder.name}")
        commands(folder, row)
        in_process(folder, row)
    shutil.rmtree(HOME)


def commands(folder: Path, row: Callable[[str, float], None]) -> None:
    """The whole command: nothing kept, kept, edited, with nothing kept at all."""
    job = HOME / folder.name / "job.yaml"
    job.parent.mkdir()
    text = (folder / "job.yaml").read_text("utf-8")
    edits = edited_texts(folder, 2 * ROUNDS)
    words = ("-m", "farpress", "assess", str(job.parent))

    def nothing_kept() -> None:
        shutil.rmtree(HOME / "cache", ignore_errors=True)
        job.write_text(text, "utf-8")

    def edited() -> None:
        job.write_text(next(edits), "utf-8")

    row("  command, first run", command_s(words, 3, nothing_kept))
    row("  command, repeated", command_s(words))
    row("  command, repeated, JSON", command_s((*words, "--format", "json")))
    row("  command, after one edit", command_s(words, ROUNDS, edited))
    row("  command, --no-cache", command_s((*words, "--no-cache"), 3, nothing_kept))


def edited_texts(folder: Path, count: int):  # type: ignore[no-untyped-def]
    """Texts of a job after one edit each, drawn at random."""
    from farpress.case.door import open_job
    from helpers.random_edits import random_edits

    edits = random_edits(open_job(folder), seed=random.Random(3).randrange(99))
    for _, (_, case) in zip(range(count), edits):
        yield case.document.source.text


def in_process(folder: Path, row: Callable[[str, float], None]) -> None:
    """The same process again and again."""
    from farpress.case.door import open_job
    from farpress.judging.assess import assess
    from farpress.papers.typesetting.summary import summary_pdf

    assessment = assess(open_job(folder))
    print(f"  {len(assessment.findings)} findings, {len(assessment.promises)} promises")
    row("  read and fill in, warm", work_s(lambda: open_job(folder)))
    cases = [open_job(folder) for _ in range(ROUNDS)]
    row("  assess, warm, opened anew", work_s(lambda: assess(cases.pop())))
    after_edits(folder, row)
    remedies(folder, row)
    row("  summary PDF, warm", work_s(lambda: summary_pdf(assessment)))


def remedies(folder: Path, row: Callable[[str, float], None]) -> None:
    """Every change that a finding offers tried on a copy and judged, as the command does before it prints."""
    from farpress.case.door import open_job
    from farpress.judging.assess import assess
    from farpress.judging.remedies.shown import with_shown_remedies
    from farpress.kept.units import forget_all

    forget_all()
    case = open_job(folder)
    assessment = assess(case)
    row("  remedies tried, once", once_s(lambda: with_shown_remedies(case, assessment)))
    offered = {repr(remedy.changes) for found in assessment.findings for remedy in found.remedies}
    print(f"  {len(offered - {'()'})} different changes offered")


def after_edits(folder: Path, row: Callable[[str, float], None]) -> None:
    """Edits drawn at random, each judged with the job before it in memory, and with none.

    About half of them are of a wall, which every way of its address may be thrown back by; those without are
    told apart. Reading the edited file is in neither, nor is trying remedies. What the process knows of the
    ground alone, of equal nets and of texts it compiled stays in memory for both: the share is that of a
    process that has judged before.
    """
    from farpress.case.door import open_job
    from farpress.judging.assess import assess
    from farpress.kept.units import forget_all
    from helpers.random_edits import random_edits

    edits = random_edits(open_job(folder), seed=7)
    after, whole, elsewhere = [], [], []
    for _ in range(EDITS):
        says, edited = next(edits)
        forget_all()
        assess(open_job(folder))
        after.append(once_s(lambda edited=edited: assess(edited)))  # type: ignore[misc]
        elsewhere += [] if ".walls." in says else after[-1:]
        forget_all()
        again = replace(edited)
        whole.append(once_s(lambda again=again: assess(again)))  # type: ignore[misc]
    full = statistics.median(whole)
    middle, nearly_all = statistics.median(after), statistics.quantiles(after, n=20)[-1]
    row("  assess, nothing kept", full)
    row("  assess, one edit, median", middle)
    row("  assess, one edit, 95 %", nearly_all)
    row("  assess, one edit of no wall, median", statistics.median(elsewhere))
    row("  assess, one edit of no wall, dearest", max(elsewhere))
    print(f"  of a full judging: median {middle / full:.3f}, 95 % {nearly_all / full:.3f}, {EDITS} edits")


if __name__ == "__main__":
    main()
