"""The write-ahead log of an SQLite file that several may be opening at the same moment."""

from __future__ import annotations

import sqlite3
import time
from typing import Final

__all__ = ["PATIENCE_S", "keep_a_write_ahead_log"]

PATIENCE_S: Final = 20.0
"""How long an opener waits for the others: our choice, a turn takes milliseconds."""

_PAUSE_S: Final = 0.005


def keep_a_write_ahead_log(connection: sqlite3.Connection, patience_s: float = PATIENCE_S) -> None:
    """Let the file of a connection keep a write-ahead log, and wait while others do the same.

    SQLite's own patience (its busy handler) is not asked where two connections turn one file over at
    once, since each may hold what the other waits for: the loser gets "database is locked" at once
    (SQLite, sqlite3_busy_handler). So it lets go and tries again here.

    Raises:
        sqlite3.OperationalError: the file is still locked after the given seconds, or cannot be used.
    """
    until = time.monotonic() + patience_s
    while True:
        try:
            connection.execute("pragma journal_mode=wal")
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                raise
            time.sleep(_PAUSE_S)
        else:
            return
