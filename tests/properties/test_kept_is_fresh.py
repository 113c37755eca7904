"""What is shown from the cache is, to the byte, what a fresh assessment shows, in every form."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from pathlib import Path

import pytest
from click.testing import CliRunner

from farpress.case.door import open_job
from farpress.cli.main import cli
from farpress.jobfile.source import FILE_NAME
from farpress.judging import unchanged
from farpress.kept.store import NO_CACHE
from helpers.project import EXAMPLES
from helpers.random_edits import random_edits

pytestmark = pytest.mark.long

FRESH = unchanged._fresh
SHOWN = (("--format", "json"), ("--format", "json-1"), (), ("--all", "--ascii", "--width", "120"))


def _shown(folder: Path, *words: str, forms: Sequence[tuple[str, ...]] = SHOWN) -> list[tuple[int, str, str]]:
    results = [CliRunner().invoke(cli, ["assess", str(folder), *form, *words]) for form in forms]
    return [(result.exit_code, result.stdout, result.stderr) for result in results]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for a job, and a cache folder of its own."""
    monkeypatch.delenv(NO_CACHE)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    (tmp_path / "job").mkdir()
    return tmp_path / "job"


def _agree(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Fresh and kept are equal in every form, the one that is judged and kept is so too, and what is kept was
    not judged again.
    """
    made = FRESH(folder)
    with monkeypatch.context() as patched:
        patched.setattr(unchanged, "_fresh", lambda _: made)
        fresh = _shown(folder, "--no-cache")
    first = _shown(folder, forms=SHOWN[:1])
    with monkeypatch.context() as patched:
        patched.setattr(unchanged, "_fresh", lambda _: pytest.fail("it was judged again"))
        kept = _shown(folder)

    assert first == fresh[:1]
    assert kept == fresh
    assert {code for code, _, _ in first} <= {0, 1}


@pytest.mark.parametrize(
    ("job", "count"), [("larkfen-house", 2), ("tallowmere-court", 1), ("brindlemark", 1)]
)
def test_edits_are_shown_as_judged(
    job: str, count: int, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The example as it is, and after edits drawn at random."""
    shutil.copy(EXAMPLES / job / FILE_NAME, folder)
    _agree(folder, monkeypatch)
    edits = random_edits(open_job(folder), seed=4)
    for _ in range(count):
        _, case = next(edits)
        assert case.document is not None
        (folder / FILE_NAME).write_text(case.document.source.text, encoding="utf-8")
        _agree(folder, monkeypatch)


def test_an_own_part_counts_as_it_is_written(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A value of a part of the job's own, changed: the sentence that prints it changes with it."""
    text = (EXAMPLES / "larkfen-house" / FILE_NAME).read_text("utf-8")
    assert "sensitivity: -103 dBm" in text
    (folder / FILE_NAME).write_text(text, "utf-8")
    before = _shown(folder, forms=SHOWN[:1])
    (folder / FILE_NAME).write_text(text.replace("sensitivity: -103 dBm", "sensitivity: -101 dBm"), "utf-8")

    (after,) = _shown(folder, forms=SHOWN[:1])
    assert after[1] != before[0][1]
    assert "-101 dBm" in after[1]
    _agree(folder, monkeypatch)
