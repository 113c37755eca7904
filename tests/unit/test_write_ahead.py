"""A file that several turn over to a write-ahead log at the same moment."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable
from pathlib import Path
from typing import cast

import pytest

from farpress.jobfile.history import History
from farpress.record.engine import connect
from farpress.write_ahead import keep_a_write_ahead_log


def open_at_once(opening: Callable[[], object], number: int = 4) -> list[Exception]:
    """What goes wrong where so many open a new file at the same moment."""
    wrong: list[Exception] = []
    start = threading.Barrier(number)

    def try_it() -> None:
        start.wait()
        try:
            opening()
        except Exception as error:
            wrong.append(error)

    threads = [threading.Thread(target=try_it) for _ in range(number)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return wrong


class Refused:
    """A connection whose first tries are refused as the loser of a turn is: at once, by SQLite itself."""

    def __init__(self, path: Path) -> None:
        self.holder = sqlite3.connect(path, isolation_level=None)
        self.holder.execute("create table kept (number)")
        self.holder.execute("begin exclusive")
        self.real = sqlite3.connect(path, timeout=0.0, isolation_level=None)
        self.refused = 0

    def execute(self, words: str) -> object:
        """Count what is refused, and let the file go after the third time."""
        try:
            return self.real.execute(words)
        except sqlite3.OperationalError:
            self.refused += 1
            if self.refused == 3:
                self.holder.execute("rollback")
            raise


def test_who_loses_the_turn_tries_again(tmp_path: Path) -> None:
    """Refused three times, and then it has its log."""
    loser = Refused(tmp_path / "held.sqlite")
    keep_a_write_ahead_log(cast(sqlite3.Connection, loser))
    assert loser.refused == 3
    assert loser.real.execute("pragma journal_mode").fetchone() == ("wal",)


def test_several_open_new_versions_at_the_same_moment(tmp_path: Path) -> None:
    """Every one of them is let in."""
    assert open_at_once(lambda: History(tmp_path)) == []


def test_several_open_a_new_record_at_the_same_moment(tmp_path: Path) -> None:
    """Every one of them can read it."""
    assert open_at_once(lambda: connect(str(tmp_path / "record.sqlite")).connect().close()) == []


def test_a_file_held_by_another_to_the_end_of_patience_is_told(tmp_path: Path) -> None:
    """The driver's own words, and nothing is changed."""
    held = sqlite3.connect(tmp_path / "held.sqlite", isolation_level=None)
    held.execute("create table kept (number)")
    held.execute("begin exclusive")
    other = sqlite3.connect(tmp_path / "held.sqlite", timeout=0.0, isolation_level=None)
    with pytest.raises(sqlite3.OperationalError, match="locked"):
        keep_a_write_ahead_log(other, patience_s=0.02)
    held.execute("rollback")
    assert other.execute("pragma journal_mode").fetchone() == ("delete",)


def test_a_file_that_is_no_database_is_told_at_once(tmp_path: Path) -> None:
    """Waiting would not help."""
    (tmp_path / "notes.sqlite").write_text("no database at all, but long enough for a header of one" * 4)
    with pytest.raises(sqlite3.DatabaseError, match="not a database"):
        keep_a_write_ahead_log(sqlite3.connect(tmp_path / "notes.sqlite"))
