"""Copies of a job judged on several processors: the same as one after another, and it can be cancelled."""

from __future__ import annotations

import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from farpress.case.door import open_job
from farpress.domain.finding import Change
from farpress.jobfile.starter import starter_text
from farpress.judging.remedies import copies

PULSE = ("premises", "house", "receivers", "R1", "outputs", "1", "for")
WANTED = [(Change(PULSE, value),) for value in ("50 ms", "300 ms", "2 h", "soon", "300 ms")]

_SPLIT = textwrap.dedent("""
    import os, sys
    from pathlib import Path
    from farpress.case.door import open_job
    from farpress.domain.finding import Change
    from farpress.judging.remedies import copies

    os.sched_getaffinity = lambda _: {0, 1}
    copies.FEWEST = 4
    path = ("premises", "house", "receivers", "R1", "outputs", "1", "for")
    wanted = [(Change(path, value),) for value in ("50 ms", "300 ms", "2 h", "soon", "300 ms")]
    case, told = open_job(Path(sys.argv[1])), []
    copies.judge_copies(case, wanted, progress=lambda done, of: told.append((done, of)))
    assert told == [(0, 4), (1, 4), (2, 4), (3, 4)], told
    together = case.once(copies._copies)
    judged = copies._judged
    copies._judged = lambda case, changes: sys.exit("judged again")
    assert [copies.judged_copy(case, changes) for changes in wanted] == [together[repr(c)] for c in wanted]

    copies._judged = judged
    case = open_job(Path(sys.argv[1]))
    def stop(done, of):
        raise KeyboardInterrupt
    try:
        copies.judge_copies(case, wanted, progress=stop)
    except KeyboardInterrupt:
        print("cancelled", copies._given)
    for changes in wanted[:4]:
        print(repr(together[repr(changes)]))
""")


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere a process cannot be split in two")
def test_copies_judged_together_are_those_judged_one_by_one(tmp_path: Path) -> None:
    """To the byte; each once; a copy that cannot be read is none; and whoever cancels is obeyed."""
    (tmp_path / "job.yaml").write_text(starter_text("Alder"), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-c", _SPLIT, str(tmp_path)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert done.stderr == ""
    case = open_job(tmp_path)
    alone = [repr(copies.judged_copy(case, changes)) for changes in WANTED[:4]]

    assert done.stdout.splitlines() == ["cancelled []", *alone]
    assert alone[3] == "None"


def test_where_other_threads_run_nothing_is_split(monkeypatch: pytest.MonkeyPatch) -> None:
    """A lock that another thread holds would stay locked in the child for good."""
    monkeypatch.setattr(copies.os, "sched_getaffinity", lambda _: {0, 1}, raising=False)
    monkeypatch.setattr(copies.threading, "active_count", lambda: 2)

    assert copies._children(50) is None
