"""Run spin on a generated program: counts and the length of the shortest broken story."""

from __future__ import annotations

import re
import resource
import subprocess
from dataclasses import dataclass
from pathlib import Path

from farpress.core.rehearsal.promela import write_promela
from farpress.core.rehearsal.ready import Network
from helpers.kinds import need


@dataclass(frozen=True)
class SpinSays:
    """What spin's breadth-first search found.

    Attributes:
        states: how many, where they were counted.
        shortest: steps of the shortest broken story; None where nothing broke.
        searched_s: processor time of the search alone [s], making ready apart.
    """

    states: int
    shortest: int | None
    searched_s: float


def ask_spin(network: Network, folder: Path, *, counts: bool = True, fast: bool = False) -> SpinSays:
    """Search breadth first; steps count from the first event. `fast`: compiled to run fast, not soon."""
    need("witness")
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "m.pml").write_text(write_promela(network), encoding="utf-8")
    # -o1 to -o3 off: no variable is left out, no statements are merged
    _run(["spin", "-o1", "-o2", "-o3", "-a", "m.pml"], folder)
    _run(["gcc", "-O2" if fast else "-O0", "-w", "-DBFS", "-DMEMLIM=2000", "-o", "pan", "pan.c"], folder)
    begun = resource.getrusage(resource.RUSAGE_CHILDREN)
    broken = _run(["./pan", "-m100000"], folder)
    ended = resource.getrusage(resource.RUSAGE_CHILDREN)
    found = re.search(r"assertion violated.*\(at depth (\d+)\)", broken)
    states = 0
    if counts:
        whole = _run(["./pan", "-A", "-E", "-m100000"], folder) if found else broken
        states = int(re.search(r"(\d+) states, stored", whole)[1])
    searched = ended.ru_utime + ended.ru_stime - begun.ru_utime - begun.ru_stime
    return SpinSays(states, int(found[1]) + 1 if found else None, searched)


def _run(command: list[str], folder: Path) -> str:
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    if "pan" not in command[0] and done.returncode:
        raise AssertionError(f"{command}: {done.stdout}{done.stderr}")
    return done.stdout + done.stderr
