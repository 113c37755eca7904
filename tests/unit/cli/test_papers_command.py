"""The command that writes papers: what it says, how it is stopped, and that help is quick."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from farpress.cli.papers import command
from farpress.papers.typesetting.kinds import KINDS
from helpers.project import ROOT
from helpers.waiting import NEVER_S, until

pytestmark = pytest.mark.long

HOUSE = str(ROOT / "examples" / "larkfen-house")


def _run(*words: str) -> tuple[int, str]:
    done = CliRunner().invoke(command, list(words), standalone_mode=False)
    return (done.return_value if done.exception is None else 2), done.output + (
        str(done.exception) if done.exception else ""
    )


def test_one_paper_is_written_with_its_tables(tmp_path: Path) -> None:
    """The data note as PDF, workbook and CSV, and a line that says what is missing in it."""
    code, said = _run(HOUSE, "-o", str(tmp_path), "--only", "data-note")

    assert code == 0
    assert "data-note.pdf" in said
    assert "2 missing" in said
    assert sorted(
        path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*") if path.is_file()
    ) == [
        "data-note.pdf",
        "tables/data-note.xlsx",
        "tables/data-note/deleted.csv",
        "tables/data-note/kept.csv",
    ]


def test_a_program_is_told_in_json(tmp_path: Path) -> None:
    """Names, hashes and what is missing."""
    _, said = _run(HOUSE, "-o", str(tmp_path), "--only", "data-note", "--format", "json")
    files = {one["name"]: one for one in json.loads(said)["files"]}

    assert len(files["data-note.pdf"]["sha256"]) == 64
    assert any("legal basis" in one for one in files["data-note.pdf"]["missing"])


def test_the_papers_are_listed_with_their_readers() -> None:
    """Every name stands in the list, and no job is needed for it."""
    code, said = _run("--list")

    assert code in (0, None)
    assert all(name in said for name in KINDS)
    assert max(map(len, said.splitlines())) <= 96


def test_bad_words_are_answered_with_what_is_allowed(tmp_path: Path) -> None:
    """A date that is none, a folder that is a file, a paper nobody knows."""
    (tmp_path / "file").write_text("x", encoding="utf-8")

    assert "2026-11-25" in _run(HOUSE, "-o", str(tmp_path), "--date", "yesterday")[1]
    assert "is a file" in _run(HOUSE, "-o", str(tmp_path / "file"))[1]
    assert "key-register" in _run(HOUSE, "-o", str(tmp_path), "--only", "keys")[1]
    assert (tmp_path / "file").read_text(encoding="utf-8") == "x"


def test_a_pack_can_be_stopped(tmp_path: Path) -> None:
    """Control-C ends it with code 130, one line, and leaves nothing behind."""
    folder = tmp_path / "out"
    running = subprocess.Popen(
        [
            sys.executable,
            "-m",
            "farpress",
            "papers",
            str(ROOT / "examples" / "tallowmere-court"),
            "--only",
            "user-cards",
            "-o",
            str(folder),
        ],
        stderr=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env=os.environ | {"PYTHONPATH": str(ROOT / "src")},
        start_new_session=True,
        preexec_fn=lambda: signal.signal(
            signal.SIGINT, signal.SIG_DFL
        ),  # where tests run in the background, it is switched off
    )
    until(lambda: list(folder.glob(".papers-*/*.pdf")), "the first paper lies there")
    running.send_signal(signal.SIGINT)
    said = running.communicate(timeout=NEVER_S)[1]

    assert running.returncode == 130
    assert "nothing was written; what was in the folder is as it was" in said
    assert "Traceback" not in said
    assert not folder.exists()
