"""How long mending takes: `python benchmarks/mend.py [FOLDER ...]`, else for the three examples.

Processor time of the whole search, beside the time that the same copies take when each is judged one after
the other by a program of its own that knows nothing of the one before. Prints only; nothing is asserted.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "src")]
os.environ |= {"FARPRESS_NO_CACHE": "1", "PYTHONPATH": str(ROOT / "src")}
EXAMPLES = ("larkfen-house", "tallowmere-court", "brindlemark")
FOLDERS = [Path(word) for word in sys.argv[1:]] or [ROOT / "examples" / name for name in EXAMPLES]
AFRESH = (
    "import sys; from pathlib import Path; from farpress.case.door import open_job;"
    " from farpress.judging.assess import assess; assess(open_job(Path(sys.argv[1])))"
)


def main() -> None:
    """One line a job."""
    from farpress.case.door import open_job
    from farpress.core.mending.choice import Option, cheapest_choice
    from farpress.domain.finding import Verdict
    from farpress.kept.units import forget_all
    from farpress.mending.plan import mend

    cheapest_choice(options=[Option(1, frozenset({"a"}))], worth={"a": 2})  # no job pays for its loading
    for folder in FOLDERS:
        forget_all()
        begun = time.process_time()
        plan = mend(open_job(folder))
        whole_s = time.process_time() - begun
        apart_s = plan.tried * afresh_s(folder)
        before, after = (
            sum(chain.verdict is Verdict.FAILS for chain in made.promises)
            for made in (plan.before, plan.after)
        )
        print(
            f"{folder.name}: {whole_s:.1f} s for {plan.tried} copies and {len(plan.steps)} changes; promises"
            f" that fail: {before}, then {after}. One after the other by full assessments {apart_s:.0f} s,"
            f" {apart_s / whole_s:.1f} times as long."
        )


def afresh_s(folder: Path) -> float:
    """Processor time of a program that judges a job and ends [s]."""
    begun = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, "-c", AFRESH, str(folder)], check=True)
    ended = resource.getrusage(resource.RUSAGE_CHILDREN)
    return ended.ru_utime + ended.ru_stime - begun.ru_utime - begun.ru_stime


if __name__ == "__main__":
    main()
