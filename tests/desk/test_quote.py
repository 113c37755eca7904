"""The quote at the desk: faults of a list told in place, a list kept, money on the page, papers as a ZIP."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest
from playwright.sync_api import expect

from helpers.desk import served
from helpers.watched import Watched
from unit.quoting.conftest import STABLE

pytestmark = pytest.mark.long

BAD = b"article;unit;price, EUR\nreceiver-4-socket;piece;212,00\nfob-4;;31.40\n"
GOOD = b'article;unit;"price, EUR"\nreceiver-4-socket;piece;212.00\nfob-4;piece;31.40\nwork;h;58.00\n'


def _stable(folder: Path) -> Path:
    job = folder / "stable"
    job.mkdir()
    (job / "job.yaml").write_text(STABLE, encoding="utf-8")
    return job


def test_a_list_is_looked_at_kept_and_quoted_with(
    tmp_path: Path, watched: Watched, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two faults with their rows first; then three articles, their amounts, and a ZIP with three papers."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    with served(_stable(tmp_path)) as yard:
        page = watched.page()
        page.goto(f"{yard.address}/j/stable/quote")
        expect(page.locator("main")).to_contain_text("As it stands this job must not go into service")
        expect(page.locator("main")).to_contain_text("No money is printed")
        expect(page.locator("main")).not_to_contain_text("EUR")

        page.get_by_role("button", name="Take in a list of the firm").click()
        chosen = page.locator("#firmfile")
        chosen.set_input_files({"name": "p.csv", "mimeType": "text/csv", "buffer": BAD})
        page.get_by_role("button", name="Look at it").click()
        result = page.locator("#firmresult")
        expect(result).to_contain_text("2 faults; nothing of it was taken")
        expect(result).to_contain_text("'212,00' has a comma for a point")

        chosen.set_input_files({"name": "p.csv", "mimeType": "text/csv", "buffer": GOOD})
        page.get_by_role("button", name="Look at it").click()
        expect(result).to_contain_text("price list of 3 articles in EUR")
        page.get_by_role("button", name="Keep it").click()
        offered = page.get_by_role("region", name="What is offered: offered")
        expect(offered).to_contain_text("219.80")
        expect(page.get_by_role("region", name="What is offered: sums")).to_contain_text("431.80")
        expect(page.locator("main")).to_contain_text("Sum without tax, without 11 lines that have no price")

        with page.expect_download() as fetched:
            page.get_by_role("link", name="Quotation, order list, picking lists in one ZIP").click()
        with zipfile.ZipFile(io.BytesIO(fetched.value.path().read_bytes())) as packed:
            names = packed.namelist()
        assert {name for name in names if name.endswith(".pdf")} == {
            "quotation.pdf",
            "order-list.pdf",
            "picking-list.pdf",
        }
        assert "tables/quotation.xlsx" in names


def test_what_was_not_looked_at_is_not_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nor is a version quoted that there is not."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    with served(_stable(tmp_path)) as yard:
        answer = yard.ask("/j/stable/quote/keep", {"list": "made up"})
        wrong = yard.ask("/j/stable/quote/papers.zip?against=99")

        assert answer.status == 422
        assert "choose the file again" in answer.json["says"]
        assert wrong.status == 422
        assert "There is no version 99" in wrong.json["says"]
    assert not (tmp_path / "settings").exists()
