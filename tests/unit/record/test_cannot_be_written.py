"""A record that cannot be written is read all the same; a new one is private; a changed register shows."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import mkdtemp

import pytest
from click.testing import CliRunner

from farpress.cli.main import cli
from farpress.domain.acts import FobReceived
from farpress.record import look
from farpress.record.store import open_record

ASK = """
import os, sys
from farpress.record.store import open_record

def ask(folder):
    with open_record(folder) as record:
        return len(record.events()), sorted(record.register(job="larkfen").fobs), record.breaches()

ask(sys.argv[2])  # what is imported late, while this account may still read it
if hasattr(os, "setuid") and os.geteuid() == 0:
    os.setuid(65534)
print(*ask(sys.argv[1]))
"""
"""Asks as an account that the rights of files count for."""


@pytest.fixture
def folder() -> Iterator[Path]:
    """A folder that another account may look into."""
    made = Path(mkdtemp(prefix="farpress-test-"))
    made.chmod(0o755)
    yield made
    for path in (made, *made.rglob("*")):
        path.chmod(0o755)
    shutil.rmtree(made)


def _written(folder: Path) -> None:
    with open_record(folder) as record:
        for label in ("A1", "A2"):
            record.append(FobReceived(fob=label), job="larkfen", by="installer")


@pytest.mark.parametrize("log_left", [False, True])
def test_a_folder_that_cannot_be_written_is_read(folder: Path, tmp_path: Path, log_left: bool) -> None:
    """An auditor's copy: every entry, those in the write-ahead log too, and no file is made beside it."""
    if log_left:
        with open_record(folder) as record:
            record.append(FobReceived(fob="A1"), job="larkfen", by="installer")
            keeper = sqlite3.connect(folder / "record.sqlite")
            keeper.execute("SELECT count(*) FROM event").fetchone()
            record.append(FobReceived(fob="A2"), job="larkfen", by="installer")
            copy = folder / "copy"
            copy.mkdir()
            for name in ("record.sqlite", "record.sqlite-wal"):
                shutil.copyfile(folder / name, copy / name)
            keeper.close()
        assert (copy / "record.sqlite-wal").stat().st_size > 0
    else:
        _written(folder)
        copy = folder
    for path in (*copy.iterdir(), copy):
        path.chmod(0o555 if path.is_dir() else 0o444)
    before = sorted(path.name for path in copy.iterdir())
    warm = tmp_path / "warm"
    warm.mkdir()
    _written(warm)
    asked = subprocess.run(
        [sys.executable, "-c", ASK, str(copy), str(warm)],
        capture_output=True,
        text=True,
        check=False,
        cwd=copy,
    )

    assert asked.stdout == "2 ['A1', 'A2'] ()\n", asked.stderr
    assert sorted(path.name for path in copy.iterdir()) == before


def test_a_full_disk_is_read_and_any_other_fault_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What SQLite says where it cannot make its files; a file that is no record stays refused."""
    _written(tmp_path)
    real = sqlite3.connect

    def full(address: str, **how: object) -> sqlite3.Connection:
        if "mode=rw" in address:
            raise sqlite3.OperationalError("disk I/O error")
        return real(address, **how)  # type: ignore[call-overload,no-any-return]

    monkeypatch.setattr(look.sqlite3, "connect", full)
    with look.opened_file(tmp_path / "record.sqlite") as connection:
        assert connection.execute("SELECT count(*) FROM event").fetchone() == (2,)
    monkeypatch.setattr(look.sqlite3, "connect", real)
    (tmp_path / "no.sqlite").write_bytes(b"no record at all" * 100)
    with pytest.raises(sqlite3.DatabaseError), look.opened_file(tmp_path / "no.sqlite"):
        pass


@pytest.mark.parametrize("mask", [0o000, 0o022])
def test_a_new_record_is_readable_by_its_owner_alone(tmp_path: Path, mask: int) -> None:
    """Whatever the account's usual rights are; SQLite gives its files beside it the same."""
    before = os.umask(mask)
    try:
        _written(tmp_path)
    finally:
        os.umask(before)

    rights = {path.name: path.stat().st_mode & 0o777 for path in tmp_path.iterdir()}
    assert os.name == "nt" or set(rights.values()) == {0o600}, rights


def test_a_changed_snapshot_is_told_thrown_away_and_drawn_anew(tmp_path: Path) -> None:
    """Once with exit code 1, and then all is well again."""

    def run(*words: str) -> tuple[int, str]:
        result = CliRunner().invoke(cli, list(words), standalone_mode=False)
        assert result.exception is None, result.output
        return int(result.return_value or 0), " ".join(result.output.split())

    job = str(tmp_path / "job")
    assert run("new", job)[0] == 0
    assert run("keys", "receive", job, "A1")[0] == 0
    assert run("keys", "verify", job)[0] == 0
    with sqlite3.connect(Path(job) / "record.sqlite") as raw:
        raw.execute("UPDATE snapshot SET register = replace(register, 'spare', 'destroyed')")
    assert "destroyed" in run("keys", "search", job)[1]

    code, told = run("keys", "verify", job)
    assert code == 1
    assert "somebody changed it" in told
    assert "spare" in run("keys", "search", job)[1]
    assert run("keys", "verify", job)[0] == 0
