"""A job being worked on: saved at once, undoable, merged or refused, never lost."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
import threading
import time
from pathlib import Path

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Assessment, Change
from farpress.editing.judging import Judge, Seen
from farpress.editing.workbench import OUTSIDE, NothingToUndo, Workbench
from farpress.errors import FarpressError, JobFileError
from farpress.jobfile.merging import MergeRefused
from farpress.judging.assess import assess
from helpers.desk import copy_of
from helpers.waiting import NEVER_S, until

AERIAL = ("premises", "larkfen", "receivers", "R1", "antenna", "at", 0)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the house."""
    return copy_of("larkfen-house", tmp_path)


def _at(bench: Workbench) -> float:
    antenna = bench.state().case.job.premises["larkfen"].receivers["R1"].antenna
    assert antenna is not None
    return antenna.at[0]


def test_a_change_is_on_disk_when_the_call_returns(folder: Path) -> None:
    """Autosave means: there is nothing left to save."""
    bench = Workbench(folder)

    bench.edit([Change(AERIAL, 16.25)], by="Hesper", says="aerial moved")

    assert "[16.25, 23.0, 1.8]" in (folder / "job.yaml").read_text(encoding="utf-8")


def test_undo_and_redo_give_the_file_back_to_the_letter(folder: Path) -> None:
    """Remarks and spaces included."""
    bench = Workbench(folder)
    first = (folder / "job.yaml").read_bytes()
    bench.edit(
        [Change(("premises", "larkfen", "places", "new gate"), {"at": [1, 2]})],
        by="Hesper",
        says="place added",
    )
    second = (folder / "job.yaml").read_bytes()

    bench.undo(by="Hesper")
    assert (folder / "job.yaml").read_bytes() == first
    bench.redo(by="Hesper")
    assert (folder / "job.yaml").read_bytes() == second


def test_undo_takes_back_ones_own_change_and_leaves_the_others(folder: Path) -> None:
    """Each person has their own way back."""
    bench = Workbench(folder)
    bench.edit([Change(AERIAL, 16.25)], by="Hesper", says="aerial moved")
    bench.edit([Change(("details", "issue"), "2")], by="Fennick", says="issue 2")

    bench.undo(by="Hesper")

    assert _at(bench) == 17.5
    assert bench.state().case.job.details.issue == "2"
    with pytest.raises(NothingToUndo):
        bench.undo(by="Hesper")


def test_two_changes_from_the_same_state_are_merged(folder: Path) -> None:
    """The second was thought for a state that is not there any more."""
    bench = Workbench(folder)
    base = bench.state().fingerprint
    bench.edit([Change(AERIAL, 16.25)], by="a", says="x", base=base)

    bench.edit([Change(("details", "issue"), "2")], by="b", says="y", base=base)

    assert _at(bench) == 16.25
    assert bench.state().case.job.details.issue == "2"


def test_two_changes_of_the_same_value_are_refused_and_nothing_is_written(folder: Path) -> None:
    """Both versions are in the refusal."""
    bench = Workbench(folder)
    base = bench.state().fingerprint
    bench.edit([Change(AERIAL, 16.25)], by="a", says="x", base=base)
    before = (folder / "job.yaml").read_bytes()

    with pytest.raises(MergeRefused) as refused:
        bench.edit([Change(AERIAL, 15)], by="b", says="y", base=base)

    assert (folder / "job.yaml").read_bytes() == before
    assert refused.value.clashes[0].mine[0] == 15  # type: ignore[index]
    assert refused.value.clashes[0].theirs[0] == 16.25  # type: ignore[index]


def test_a_change_that_makes_the_job_unreadable_is_refused(folder: Path) -> None:
    """With the fault's own words."""
    bench = Workbench(folder)
    before = (folder / "job.yaml").read_bytes()

    with pytest.raises(JobFileError, match="is not an output of"):
        bench.edit([Change(("functions", "open gate", "output"), "larkfen/R1/9")], by="a", says="wrong")

    assert (folder / "job.yaml").read_bytes() == before
    assert bench.undoable(by="a") is None


def test_a_file_changed_by_hand_is_noticed_and_kept_as_a_version(folder: Path) -> None:
    """And a change on top of it keeps it."""
    bench = Workbench(folder)
    text = (folder / "job.yaml").read_text(encoding="utf-8")
    (folder / "job.yaml").write_text(text.replace('issue: "1"', 'issue: "7"'), encoding="utf-8")

    bench.edit([Change(AERIAL, 16.25)], by="a", says="x")

    assert bench.state().case.job.details.issue == "7"
    assert [one.by for one in bench.history.versions()][-2:] == [OUTSIDE, "a"]


def test_a_file_broken_by_hand_is_told_and_an_earlier_version_comes_back(folder: Path) -> None:
    """What was shown last stays visible meanwhile."""
    bench = Workbench(folder)
    (folder / "job.yaml").write_text("farpress: 1\njob: [", encoding="utf-8")

    state = bench.state()
    assert state.faults
    assert state.case.job.job == "Larkfen House"
    with pytest.raises(JobFileError):
        bench.edit([Change(AERIAL, 16.25)], by="a", says="x")
    bench.restore(1, by="a")

    assert not bench.state().faults


def test_six_threads_at_once_lose_nothing(folder: Path) -> None:
    """Every one adds a place; all six are there."""
    bench = Workbench(folder)
    base = bench.state().fingerprint
    failed: list[BaseException] = []

    def add(number: int) -> None:
        try:
            bench.edit(
                [Change(("premises", "larkfen", "places", f"spot {number}"), {"at": [number, 1]})],
                by=f"p{number}",
                says="spot",
                base=base,
            )
        except BaseException as error:  # pragma: no cover
            failed.append(error)

    threads = [threading.Thread(target=add, args=(number,)) for number in range(6)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()

    assert failed == []
    assert {f"spot {number}" for number in range(6)} <= set(bench.state().case.job.premises["larkfen"].places)


_WORKER = textwrap.dedent("""
    import sys
    from pathlib import Path
    from farpress.domain.finding import Change
    from farpress.editing.workbench import Workbench
    bench = Workbench(Path(sys.argv[1]))
    print("ready", flush=True)
    for number in range(10_000):
        bench.edit([Change(("details", "issue"), str(number))], by="worker", says=f"issue {number}")
        print(number, flush=True)
""")


@pytest.mark.long
def test_a_killed_program_has_lost_nothing_it_called_saved(folder: Path) -> None:
    """Killed in mid-write, three times: the file reads, holds the last number told or the one after, and its
    history explains it.
    """
    for _ in range(3):
        worker = subprocess.Popen(
            [sys.executable, "-c", _WORKER, str(folder)],
            stdout=subprocess.PIPE,
            text=True,
            env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)},
        )
        assert worker.stdout is not None
        assert worker.stdout.readline().strip() == "ready"
        first = worker.stdout.readline()
        time.sleep(0.35)
        worker.send_signal(signal.SIGKILL)
        told = [int(first)] + [int(line) for line in worker.stdout.read().split() if line.isdigit()]
        worker.stdout.close()
        worker.wait()

        bench = Workbench(folder)
        found = int(bench.state().case.job.details.issue or -1)

        assert told
        assert found in (told[-1], told[-1] + 1)
        last = bench.history.versions(last=1)[0]
        assert last.fingerprint == bench.state().fingerprint
        bench.undo(by="worker")


@pytest.mark.long
def test_a_page_is_not_kept_waiting_for_a_new_judgement(folder: Path) -> None:
    """The last one is given at once, marked as such; the new one is told when it is made."""
    bench = Workbench(folder)
    first = bench.assessment()
    told: list[str] = []
    bench.watch_judged(lambda made: told.append(made.fingerprint))
    held = threading.Event()

    def slow(case: Case) -> Assessment:
        held.wait(NEVER_S)
        return assess(case)

    bench._judge = Judge(slow, assess)
    bench.edit([Change(AERIAL, 16.25)], by="a", says="x")

    shown = bench.assessment_soon(wait_s=0.0, first_s=NEVER_S)
    held.set()
    later = bench.assessment_soon(wait_s=NEVER_S, first_s=NEVER_S)

    assert (shown.assessment is first, shown.is_current) == (True, False)
    assert later.assessment is not None
    assert (later.assessment.fingerprint, later.is_current) == (bench.state().fingerprint, True)
    until(lambda: told, "the new judgement is told")
    assert told[-1] == later.assessment.fingerprint


def test_findings_are_shown_before_remedies_are_tried_and_a_newer_change_ends_the_trying(
    folder: Path,
) -> None:
    """What is tried bit by bit is given up with the state it was tried on; the newest state is tried to its
    end, and told twice: its findings, and then with what mends them.
    """
    tried: list[str] = []
    told: list[str] = []
    bench = Workbench(folder)
    bench.edit([Change(AERIAL, 16.5)], by="a", says="x")
    older = bench.state().fingerprint

    def findings(case: Case) -> Assessment:
        return Assessment(case.job.job, case.fingerprint, "untried", (), ())

    def tries(case: Case) -> Assessment | None:
        tried.append(case.fingerprint)
        if len(tried) == 3:
            bench.edit([Change(AERIAL, 16.25)], by="b", says="newer")
        if tried.count(case.fingerprint) < 5:
            return None
        return Assessment(case.job.job, case.fingerprint, "tried", (), ())

    bench._judge = Judge(findings, tries)
    bench.watch_judged(lambda made: told.append(f"{made.fingerprint} {made.version}"))
    seen = bench.findings_now()
    assert seen.assessment is not None
    assert (seen.assessment.version, seen.is_current, seen.is_tried) == ("untried", True, False)
    bench.judge_beside()

    until(lambda: told[-1:] == [f"{bench.state().fingerprint} tried"], "the newest state is tried")
    newest = bench.state().fingerprint
    assert tried == [older] * 3 + [newest] * 5
    assert told == [f"{newest} untried", f"{newest} tried"]
    assert bench.findings_now() == Seen(bench.assessment(), is_current=True, is_tried=True)


def test_a_cable_that_is_drawn_beside_somebody_elses_change_brings_the_file_over(folder: Path) -> None:
    """Both changes stand, the first line says the format that has cables; taking back gives the old one."""
    bench = Workbench(folder)
    base = bench.state().fingerprint
    first = (folder / "job.yaml").read_bytes()
    cable = {"part": "cable-6x0.22", "length": "41 m", "cores": {"red": ["main.+", "J4.1"], "pink": []}}
    bench.edit([Change(AERIAL, 16.25)], by="Corvin", says="aerial moved")
    bench.edit(
        [
            Change(("premises", "larkfen", "junctions"), {"J4": {"at": [1, 2]}}),
            Change(("premises", "larkfen", "cables"), {"W7": cable}),
        ],
        by="Hesper",
        says="cable drawn",
        base=base,
    )

    text = (folder / "job.yaml").read_text(encoding="utf-8")
    assert text.count("farpress: 2\n") == 1
    house = bench.state().case.job.premises["larkfen"]
    assert house.cables["W7"].core("red").ends == ("main.+", "J4.1")
    assert _at(bench) == 16.25

    bench.undo(by="Hesper")
    bench.undo(by="Corvin")
    assert (folder / "job.yaml").read_bytes() == first


def test_a_cable_to_a_terminal_that_is_not_there_is_not_saved(folder: Path) -> None:
    """The file stays as it is, and what there is is told."""
    bench = Workbench(folder)
    first = (folder / "job.yaml").read_bytes()
    cable = {"part": "cable-6x0.22", "length": "41 m", "cores": {"red": ["main.+", "R1.9.make"]}}

    with pytest.raises(JobFileError, match="there is no output '9' on R1"):
        bench.edit([Change(("premises", "larkfen", "cables"), {"W7": cable})], by="Hesper", says="cable")

    assert (folder / "job.yaml").read_bytes() == first


@pytest.mark.long
def test_two_desks_on_one_folder_lose_no_save_that_was_acknowledged(folder: Path) -> None:
    """Each writes a field of its own, as fast as it can; what each was told last stands in the file."""
    fields = ("telephone", "insurer")
    told: dict[str, int] = {}

    def write(field: str) -> None:
        bench = Workbench(folder)
        for number in range(12):
            bench.edit([Change(("details", field), f"{field} {number}")], by=field, says=f"{field} {number}")
            told[field] = number

    threads = [threading.Thread(target=write, args=(field,)) for field in fields]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    bench = Workbench(folder)
    details = bench.state().case.job.details
    assert told == dict.fromkeys(fields, 11)
    assert (details.telephone, details.insurer) == ("telephone 11", "insurer 11")
    last = bench.history.versions(last=1)[0]
    assert last.fingerprint == bench.state().fingerprint


def test_a_change_that_changes_nothing_makes_no_version(folder: Path) -> None:
    """Whoever asked is told so, instead of "saved"."""
    bench = Workbench(folder)
    bench.edit([Change(AERIAL, 16.25)], by="a", says="x")
    before = len(bench.history.versions())

    assert bench.edit([Change(AERIAL, 16.25)], by="a", says="x") is None
    assert len(bench.history.versions()) == before


def test_a_file_that_is_written_all_the_time_is_told(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is saved, nothing is overwritten, and what to do is said."""
    bench = Workbench(folder)
    path = folder / "job.yaml"
    looked = bench._look

    def look_and_be_overtaken() -> None:
        looked()
        path.write_text(path.read_text(encoding="utf-8") + "# one more remark\n", encoding="utf-8")

    monkeypatch.setattr(bench, "_look", look_and_be_overtaken)
    monkeypatch.setattr("farpress.editing.workbench.MOST_TRIES", 3)
    with pytest.raises(FarpressError, match="3 times while this change was made, so nothing was saved"):
        bench.edit([Change(AERIAL, 16.25)], by="a", says="x")

    assert "16.25" not in path.read_text(encoding="utf-8")
