"""A list at the desk: the bad row to mend, the good ones taken, all of it taken back."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from playwright.sync_api import expect

from helpers.desk import copy_of, served
from helpers.watched import Watched, wait_until_said

pytestmark = pytest.mark.long

LIST = "label,holder,state\nL-1,Mirela,issued\nL-2,,issued\nL-3,J\u00fcrgen,issued\n".encode("cp1252")


def test_good_rows_are_taken_and_the_others_come_as_a_file(tmp_path: Path, watched: Watched) -> None:
    """Told by class; in the right encoding the letters are right; the list goes as it came."""
    with served(copy_of("larkfen-house", tmp_path)) as house:
        page = watched.page()
        page.goto(f"{house.address}/j/larkfen-house/keys")
        page.on("dialog", lambda dialog: dialog.accept())
        page.get_by_role("button", name="Take over a list").click()
        page.locator("#listfile").set_input_files({"name": "l.csv", "mimeType": "text/csv", "buffer": LIST})
        page.get_by_role("button", name="Look at it").click()
        expect(page.locator("#listresult")).to_contain_text("Letters that are not UTF-8: 1 row (4)")
        page.get_by_label("Letters of a CSV").select_option("windows-1252")
        page.get_by_role("button", name="Look at it").click()
        result = page.locator("#listresult")
        expect(result).to_contain_text("Issued or learned, and nobody holds it: 1 row (3)")
        expect(result).not_to_contain_text("UTF-8")
        with page.expect_download() as fetched:
            page.get_by_role("link", name="Rows to mend: 1 (CSV)").click()
        rows = list(csv.reader(io.StringIO(fetched.value.path().read_text("utf-8-sig"))))
        assert rows[1][0] == "3"
        assert rows[1][2:] == ["L-2", "", "issued"]
        page.get_by_role("button", name="Take the rows in order").click()
        expect(page.locator("#fobs tbody tr")).to_have_count(2)
        expect(page.locator("#fobs")).to_contain_text("Jürgen")

        page.get_by_role("button", name="Take over a list").click()
        page.get_by_role("button", name="Take the last list back").click()
        wait_until_said(page, "is taken back: 2 fobs and 2 names")
        expect(page.locator("#fobs tbody tr")).to_have_count(0)
