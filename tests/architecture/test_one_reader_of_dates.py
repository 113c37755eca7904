"""A date is read in one place, so that every command takes and refuses the same."""

from __future__ import annotations

from survey import ROOT

ROOM = ROOT / "src" / "farpress"
ALLOWED = {
    "dates.py",  # the one reader
    "keys/import_cells.py",  # a spreadsheet's cell, where 25/11/2026 must be told from 11/25/2026
}


def test_nothing_else_reads_a_date() -> None:
    """No other module calls the standard library's reader of dates."""
    readers = {
        path.relative_to(ROOM).as_posix()
        for path in ROOM.rglob("*.py")
        if " date.fromisoformat(" in path.read_text(encoding="utf-8").replace("(date.", " date.")
    }

    assert readers == ALLOWED
