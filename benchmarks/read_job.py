"""How long a job of 600 holders takes to read, against a plain YAML load of the same text.

    python benchmarks/read_job.py

The peer, PyYAML's loader on libyaml, checks nothing and knows no lines; the ratio says
what places, units, names and all the checks cost.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "src"))

ROUNDS = 7


def large_job(holders: int = 600) -> str:
    """A job with so many holders by name, three lines each, in groups of fifty."""
    from farpress.jobfile.starter import starter_text

    text = starter_text("Large")
    people = "people:\n" + "".join(
        f"  holder {n}:\n    age: 40\n    organisation: tenant {n % 5}\n" for n in range(holders)
    )
    groups = "".join(
        f"  group {n}:\n    fob: fob-4\n    buttons: {{1: open gate}}\n    people:\n"
        + "".join(f"      - holder {n * 50 + k}\n" for k in range(50))
        for n in range(holders // 50)
    )
    return text.replace("groups: ", people + "\ngroups: ").replace("\npromises: ", groups + "\npromises: ")


def best(task: Callable[[], object]) -> float:
    """The fastest of some rounds [s]."""
    times = []
    for _ in range(ROUNDS):
        begun = time.perf_counter()
        task()
        times.append(time.perf_counter() - begun)
    return min(times)


def main() -> None:
    """Print the times and their ratio."""
    import yaml

    from farpress.errors import JobFileError
    from farpress.jobfile.reader import read_job_text
    from farpress.jobfile.starter import STARTER_PARTS

    known = {kind: frozenset({name}) for kind, name in STARTER_PARTS.items()}
    text = large_job()
    wrong = text.replace("age: 40", "age: old").replace("fob: fob-4", "fob: fob-5")

    def refused() -> None:
        try:
            read_job_text(wrong, known=known)
        except JobFileError:
            return
        raise AssertionError("read a wrong job")

    ours, faulty = best(lambda: read_job_text(text, known=known)), best(refused)
    peer = best(lambda: yaml.load(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader)))
    print(f"{text.count(chr(10))} lines, {len(text) / 1000:.0f} kB")
    print(f"read and checked        {ours * 1000:7.1f} ms   {ours / peer:.2f} x the plain load")
    print(f"refused, 612 faults     {faulty * 1000:7.1f} ms   {faulty / peer:.2f} x")
    print(f"plain load, no checks   {peer * 1000:7.1f} ms")


if __name__ == "__main__":
    main()
