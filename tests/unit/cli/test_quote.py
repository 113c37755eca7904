"""The commands quote and prices: what they say, what they write, how faults are told."""

from __future__ import annotations

from pathlib import Path

import pytest
from click import Command
from click.testing import CliRunner
from openpyxl import load_workbook

from farpress.cli import prices, quote
from unit.quoting.conftest import PRICES, STABLE, TERMS, table_of

pytestmark = pytest.mark.long


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A job with lists beside it, and settings of its own."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    (tmp_path / "job.yaml").write_text(STABLE, encoding="utf-8")
    for name, text in (("prices", PRICES), ("terms", TERMS)):
        rows = "\n".join("|".join(row) for row in table_of(text))
        (tmp_path / f"{name}.csv").write_text(rows, encoding="utf-8")
    return tmp_path


def _run(command: Command, *words: object) -> tuple[int, str]:
    done = CliRunner().invoke(command, [str(word) for word in words], standalone_mode=False)
    return (done.return_value if done.exception is None else 2), done.output + str(done.exception or "")


def test_quantities_need_no_list(folder: Path) -> None:
    """And no money stands anywhere."""
    code, said = _run(quote.command, folder)

    assert code == 1
    assert "quantities; no money is printed without prices" in said
    assert "EUR" not in said
    assert max(map(len, said.splitlines())) <= 80


def test_a_kept_list_is_taken_up(folder: Path) -> None:
    """Looked at first, then kept, then quoted with, then given back as a workbook that reads the same."""
    looked = _run(prices.command, "import", folder / "prices.csv")
    nothing = _run(quote.command, folder)
    kept = [_run(prices.command, "import", folder / f"{name}.csv", "--write") for name in ("prices", "terms")]
    quoted = _run(quote.command, folder)
    back = _run(prices.command, "show", "prices", "--out", folder / "back.xlsx")
    again = _run(prices.command, "import", folder / "back.xlsx")

    assert looked[0] == 0
    assert "Nothing was written. Keep it with --write." in looked[1]
    assert "EUR" not in nothing[1]
    assert [code for code, _ in kept] == [0, 0]
    assert "quotation in EUR" in quoted[1]
    assert "price list: kept, SHA-256" in quoted[1]
    assert back[0] == 0
    assert "0 entries would change" in again[1]


def test_faults_of_a_list_are_all_told_and_nothing_is_kept(folder: Path) -> None:
    """Two faults in two rows."""
    (folder / "bad.csv").write_text("article;unit;price\nRX;piece;1,50\nFX;;2.00\n", encoding="utf-8")

    code, said = _run(prices.command, "import", folder / "bad.csv", "--write")

    assert code == 2
    assert "2 faults in the price list; nothing of it was taken." in said
    assert "row 2, price: '1,50' has a comma for a point" in said
    assert "row 3, unit: nothing stands here" in said
    assert not (folder / "settings").exists()
    with_commas = _run(prices.command, "import", folder / "bad.csv", "--decimal", "comma")[1]
    assert "row 2" not in with_commas
    assert "row 3, price: '2.00' is no figure with a decimal comma" in with_commas


def test_papers_are_written_with_numbers_in_their_workbooks(folder: Path) -> None:
    """Amounts are numbers, their unit stands in the head, and the sum says what is missing."""
    out = folder / "offer"
    code, said = _run(
        quote.command,
        folder,
        "--prices",
        folder / "prices.csv",
        "--terms",
        folder / "terms.csv",
        "--against",
        folder,
        "--date",
        "2026-11-30",
        "--out",
        out,
    )

    assert code == 1
    assert "Nothing that is quoted changes." in said
    assert {path.name for path in out.glob("*.pdf")} == {
        "quotation.pdf",
        "order-list.pdf",
        "picking-list.pdf",
        "change-quotation.pdf",
    }
    sheet = load_workbook(out / "tables" / "quotation.xlsx")["offered"]
    head = [cell.value for cell in sheet[1]]
    prices_at, amounts_at = head.index("price, EUR"), head.index("amount, EUR")
    cells = {
        row[0].value: (row[prices_at].value, row[amounts_at].value) for row in sheet.iter_rows(min_row=2)
    }
    assert cells["receiver-4-socket"] == (210, 210)
    assert cells["alarm-6x0.22"] == (48, 31.68)
    assert cells["whip"] == (None, "no price")
    assert "without" in (out / "tables" / "quotation" / "sums.csv").read_text(encoding="utf-8")


def test_a_form_of_prices_is_filled_in_and_taken(folder: Path) -> None:
    """Every article without a price stands in it once; empty it is refused, filled in it is taken."""
    form = folder / "form.csv"
    _run(quote.command, folder, "--form-of-prices", form)
    rows = form.read_text(encoding="utf-8-sig").splitlines()

    empty = _run(prices.command, "import", form)
    form.write_text(
        "\n".join(
            [
                rows[0],
                *(
                    row.replace(",piece,", ",piece,1.50").replace(",m,", ",m,1.50").replace(",h,", ",h,60")
                    for row in rows[1:]
                ),
            ]
        ),
        encoding="utf-8",
    )
    filled = _run(prices.command, "import", form)

    assert any(row.startswith("coax plug,piece,") for row in rows)
    assert empty[1].count("give the price") == 1  # one sentence for all rows
    assert filled[0] == 0


def test_patterns_say_that_they_are_patterns() -> None:
    """The invented norms in every row, and terms without a value."""
    norms = _run(quote.command, "--pattern", "norms")[1].splitlines()
    terms = _run(quote.command, "--pattern", "terms")[1]

    assert all(row.endswith("pattern; put your own figures") for row in norms[1:])
    assert "currency,," in terms
