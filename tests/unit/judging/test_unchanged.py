"""A job of which nothing has changed is not judged again; one of which anything has changed is."""

from __future__ import annotations

import os
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from farpress.case.door import open_job
from farpress.domain.acts import TrialDone
from farpress.errors import JobFileError
from farpress.jobfile.source import read_source
from farpress.judging import unchanged
from farpress.judging.unchanged import Judged, judged
from farpress.kept import store
from farpress.kept.store import NO_CACHE, kept_folder
from farpress.record.store import open_record
from helpers.assessments import small_assessment
from helpers.project import EXAMPLES

JUDGED: list[Path] = []
FRESH = unchanged._fresh


@pytest.fixture(autouse=True)
def _home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setattr("farpress.kept.store.sys.platform", "linux")
    monkeypatch.delenv(NO_CACHE, raising=False)
    monkeypatch.setattr(unchanged, "program_stamp", lambda: "a stamp")
    JUDGED.clear()
    monkeypatch.setattr(unchanged, "_fresh", _counted)


def _counted(folder: Path) -> Judged:
    """In place of the judging: a small assessment that knows which file it is of."""
    JUDGED.append(folder)
    return Judged(replace(small_assessment(), fingerprint=read_source(folder).fingerprint))


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A folder with a job file."""
    folder = tmp_path / "job"
    folder.mkdir()
    shutil.copy(EXAMPLES / "brindlemark" / "job.yaml", folder)
    return folder


def test_an_unchanged_job_is_judged_once(job: Path) -> None:
    """The second assessment is equal and costs no judging; by its folder or its file."""
    first = judged(job)

    assert judged(job) == first
    assert judged(job / "job.yaml") == first
    assert len(JUDGED) == 1


def test_a_change_of_any_byte_is_judged_anew(job: Path) -> None:
    """A remark in the file moves its lines; its fingerprint moves with every byte."""
    first = judged(job)
    file = job / "job.yaml"
    file.write_text("# a remark\n" + file.read_text())

    assert judged(job).assessment.fingerprint != first.assessment.fingerprint
    assert len(JUDGED) == 2


@pytest.mark.long
def test_another_record_is_judged_anew(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is written into the record counts at once, whatever the time of its file says."""
    monkeypatch.setattr(unchanged, "_fresh", FRESH)
    first = judged(job)
    case = open_job(job).job
    house = case.premises["oakmire"]
    trial = TrialDone(
        test="P01",
        place=f"oakmire/{next(iter(house.places))}",
        receiver=f"oakmire/{next(iter(house.receivers))}",
        heard=3,
        presses=40,
    )
    with_times = job / "record.sqlite"
    open_record(job).append(trial, job=case.job, by="Iven Fell")
    second = judged(job)
    assert second.assessment != first.assessment

    judged(job)
    os.utime(with_times, ns=(1, 1))
    monkeypatch.setattr(unchanged, "_fresh", _counted)
    assert judged(job) == second
    assert JUDGED == []


def test_another_program_believes_nothing(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another version, an edited module, other parts of the catalogue: another stamp."""
    first = judged(job)
    monkeypatch.setattr(unchanged, "program_stamp", lambda: "another stamp")

    assert judged(job) == first
    assert len(JUDGED) == 2


def test_without_a_stamp_nothing_is_kept(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Then nobody could tell an old result from a new one."""
    monkeypatch.setattr(unchanged, "program_stamp", lambda: "")
    judged(job)
    judged(job)

    assert len(JUDGED) == 2
    assert not kept_folder().exists()


def test_nothing_is_kept_where_that_is_not_wanted(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """By option or by environment, both ways: nothing is written, nothing is read."""
    judged(job, keep=False)
    monkeypatch.setenv(NO_CACHE, "1")
    judged(job)
    assert not kept_folder().exists()

    monkeypatch.delenv(NO_CACHE)
    judged(job)
    judged(job, keep=False)
    monkeypatch.setenv(NO_CACHE, "1")
    judged(job)
    assert len(JUDGED) == 5


def test_a_change_while_it_is_judged_is_not_kept(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was read before the change must not be found under what stands there after it."""

    def slow(folder: Path) -> Judged:
        made = _counted(folder)
        file = folder / "job.yaml"
        file.write_text(file.read_text() + "# changed\n")
        return made

    monkeypatch.setattr(unchanged, "_fresh", slow)
    judged(job)

    assert not kept_folder().exists()


@pytest.mark.parametrize("entry", [b"{}", b"[]", b"7", b'{"assessment": {}, "remarks": ""}'])
def test_an_entry_of_another_shape_is_passed_over(job: Path, entry: bytes) -> None:
    """Even one that the store believes, as one of another day of development."""
    first = judged(job)
    (file,) = kept_folder().iterdir()
    key = file.name.removesuffix(".kept.json")
    file.write_bytes(store._head(key, entry) + b"\n" + entry)

    assert judged(job) == first
    assert len(JUDGED) == 2


def test_faults_of_a_file_are_told_every_time(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file that cannot be used is never kept."""
    monkeypatch.setattr(unchanged, "_fresh", FRESH)
    (job / "job.yaml").write_text("farpress: 1\n")
    for _ in range(2):
        with pytest.raises(JobFileError):
            judged(job)
    assert not kept_folder().exists()


def test_remarks_on_the_file_are_kept_too(job: Path) -> None:
    """What was read otherwise than it stands there is said each time."""
    first = judged(job)
    unchanged._keep(unchanged._key(job), Judged(first.assessment, "a remark"))

    assert judged(job).remarks == "a remark"


def test_another_name_of_the_file_is_judged_anew(job: Path) -> None:
    """Sources say the name of the file they stand in."""
    judged(job)
    judged(shutil.copy(job / "job.yaml", job / "other.yaml"))

    assert len(JUDGED) == 2
