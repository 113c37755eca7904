"""At the desk an installation without papers is looked at and taken over on one page."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import expect

from farpress.keys.book import open_register
from helpers.desk import copy_of, served
from helpers.watched import Watched

FOBS = "label,name,group,receiver,slot\nLK-1,Mirela Ostrovane,parents,larkfen/R1,1\n"
MEMORY = "receiver,label,slot\nR1,LK-1,1\nR1,,7\n"


def test_tables_are_looked_at_and_taken_over_together(watched: Watched, tmp_path: Path) -> None:
    """The unknown slot must stop; nothing is written before the second button, everything after it."""
    folder = copy_of("larkfen-house", tmp_path)
    with served(folder) as desk:
        page = watched.page()
        page.goto(f"{desk.address}/j/larkfen-house/keys")
        page.get_by_role("link", name="Take an installation over").click()
        for table, text in (("Fobs", FOBS), ("Memory", MEMORY)):
            page.get_by_label(f"{table}:").set_input_files(
                {"name": f"{table.lower()}.csv", "mimeType": "text/csv", "buffer": text.encode()}
            )
        page.get_by_role("button", name="Look at it").click()
        expect(page.get_by_text("Nothing is written yet.")).to_be_visible(timeout=60_000)
        expect(page.get_by_text("obeys slot 7")).to_be_visible()
        assert not (folder / "record.sqlite").exists()

        page.get_by_role("button", name="Take it over").click()
        expect(page.get_by_text("Taken over.").first).to_be_visible(timeout=60_000)
    with open_register(folder) as book:
        assert set(book.register.fobs) == {"LK-1"}
        assert len(book.register.memory["larkfen/R1"]["records"]) == 2


@pytest.mark.parametrize(
    ("files", "says"),
    [({}, "No file arrived"), ({"memory": "label,slot\nLK-1,1\n"}, "a column 'receiver' is wanted")],
)
def test_what_cannot_be_taken_is_said(
    watched: Watched, tmp_path: Path, files: dict[str, str], says: str
) -> None:
    """No table, and one without its column; nothing was written."""
    watched.expected = ("422",)
    folder = copy_of("larkfen-house", tmp_path)
    with served(folder) as desk:
        page = watched.page()
        page.goto(f"{desk.address}/j/larkfen-house/takeover")
        for table, text in files.items():
            page.locator(f"[name='{table}']").set_input_files(
                {"name": f"{table}.csv", "mimeType": "text/csv", "buffer": text.encode()}
            )
        page.get_by_role("button", name="Look at it").click()
        expect(page.get_by_role("alert").filter(has_text=says)).to_be_visible(timeout=60_000)
    assert not (folder / "record.sqlite").exists()
