"""How long the papers take: the pack of the house, 672 user cards of the court; beside judging the same jobs.

    PYTHONPATH=src python benchmarks/papers.py

Each job runs in a process of its own; the ratio to judging alone (same machine, same minute) says more than
the seconds. Beside it stands the typesetter alone, which sets as many pages of plain tables in the same
standard: what no writer of papers that uses it can fall below.
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
busy = time.process_time()
size = sum(file.stat().st_size for file in Path(sys.argv[2]).rglob("*") if file.is_file()) / 1e6
import pypdfium2, typst
pages = sum(len(pypdfium2.PdfDocument(file)) for file in Path(sys.argv[2]).glob("*.pdf"))
plain = Path(sys.argv[2]) / "plain.typ"
plain.write_text(
    "#set document(title: [plain])\\n= Plain\\n"
    + "#table(columns: 4, table.header([a], [b], [c], [d]), ..range(160).map(n => [cell #n]))\\n#pagebreak(weak: true)\\n" * pages
)
started, before = time.perf_counter(), time.process_time()
typst.compile(str(plain), pdf_standards=["ua-1"], ignore_system_fonts=True)
alone, alone_busy = time.perf_counter() - started, time.process_time() - before
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
print(f"{len(pack.papers):4} papers  {took:6.1f} s  judging alone {judged:5.1f} s  ratio {took / judged:5.1f}  {pages:4} pages  {size:4.1f} MB  cpu {busy:5.1f} s  typesetter alone {alone:4.1f} s (cpu {alone_busy:4.1f})  peak {peak:5.0f} MB")
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
