"""A firm's week at the command line: from an empty shelf to a restored one."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from farpress.cli.main import cli
from farpress.domain.acts import FobIssued, FobLearned, FobLost
from farpress.errors import FarpressError
from farpress.record.store import open_record
from survey import ROOT

pytestmark = pytest.mark.long


class Firm:
    """The program, called as a person calls it, in this process."""

    def __init__(self, home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        """In a folder of its own."""
        monkeypatch.chdir(home)

    def __call__(self, *words: str, code: int = 0, **more: str) -> str:
        """What was printed; the exit code is checked, and that only our own errors come."""
        done = CliRunner().invoke(cli, ["firm", *words], env=more, standalone_mode=False)
        if isinstance(done.exception, FarpressError):
            assert code == 2, done.exception
            return str(done.exception)
        assert done.exception is None, done.exception
        assert (done.return_value or 0) == code, done.output
        return done.output


def test_a_week_of_the_firm(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Start, add, find, take out, change, lose a fob, bring back, ask, judge, back up, restore, forget."""
    firm = Firm(tmp_path, monkeypatch)
    key = firm("--as", "Hesper Marrow", "start", "--key").split()[-1]
    me = {"FARPRESS_AS": "Hesper Marrow", "FARPRESS_KEY": key}
    assert "FARPRESS_KEY" in firm("find", code=2, FARPRESS_AS="Hesper Marrow")
    for name in ("larkfen-house", "brindlemark"):
        shutil.copytree(ROOT / "examples" / name, tmp_path / name)
    firm("add", "larkfen-house", "brindlemark", **me)
    assert "Larkfen House" in firm("find", "quillfen", **me)

    firm("checkout", "Larkfen House", "lap", **me)
    path = tmp_path / "lap" / "job.yaml"
    path.write_text(
        path.read_text(encoding="utf-8").replace(
            "length: 31 m, cores: 1 and 2", "length: 33 m, cores: 1 and 2"
        ),
        encoding="utf-8",
    )
    with open_record(tmp_path / "lap") as record:
        record.append_all(
            [
                FobIssued(fob="F9", group="cleaner"),
                FobLearned(fob="F9", receiver="larkfen/R1", output="1", button="1"),
                FobLost(fob="F9"),
            ],
            job="Larkfen House",
            by="installer",
        )
    assert "version 2" in firm("checkin", "lap", "--why", "gate cable measured", **me)
    assert "31 m  →  33 m" in firm("versions", "Larkfen House", "--difference", "1", "2", **me)

    assert "larkfen/R1 output 1" in firm("knows", "f9", **me)
    assert "delete a fob" in firm("due", "--tours", "--from", "Morrowby", **me)
    assert "2 of 2 jobs" in firm("assess", code=1, **me)
    assert "2 kept from before" in firm("assess", code=1, **me)
    assert json.loads(
        firm("part", "RX4", "--value", "sensitivity=-90 dBm", "--format", "json", code=1, **me)
    )["jobs"] == ["Brindlemark Timber & Fittings", "Larkfen House"]

    assert "read back and sound" in firm("backup", "week.backup", **me)
    assert "is sound" in firm("check", "week.backup")
    firm("--database", "new.sqlite", "restore", "week.backup")
    assert "Larkfen House" in firm("--database", "new.sqlite", "find", **me)
    assert "Every chain holds." in firm("audit", **me)
    assert "not empty" in firm("--database", "new.sqlite", "restore", "week.backup", code=2)

    proof = json.loads(firm("forget", "Pim Vardel", "--yes", **me))
    assert proof["remaining"] == []
    assert "0 jobs" in firm("find", "vardel", **me)


def test_a_clash_is_shown_with_both_values(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Exit code 1, both values in words, nothing written."""
    firm = Firm(tmp_path, monkeypatch)
    firm("start")
    shutil.copytree(ROOT / "examples" / "larkfen-house", tmp_path / "job")
    firm("add", "job")
    for name, value in (("one", "33 m"), ("two", "35 m")):
        firm("checkout", "Larkfen House", name)
        path = tmp_path / name / "job.yaml"
        path.write_text(
            path.read_text(encoding="utf-8").replace(
                "length: 31 m, cores: 1 and 2", f"length: {value}, cores: 1 and 2"
            ),
            encoding="utf-8",
        )
    firm("checkin", "one")

    shown = firm("checkin", "two", code=1)

    assert "before: 31 m" in shown
    assert "here:   35 m" in shown
    assert "shelf:  33 m" in shown
