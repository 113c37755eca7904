"""Tables as workbook and CSV, and files as a pack: read back by other programs, the same bytes each time."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import subprocess
import zipfile
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from farpress.papers.typesetting.bundle import SUMS_NAME, bundle, manifest, sums
from farpress.papers.typesetting.paper import Cell, Column, Paper, PaperTable, Section
from farpress.papers.typesetting.spreadsheet import sheet_csv, sheet_of, sheets_of, sheets_xlsx
from farpress.sources import Citation, Mark

COLUMNS = (Column("name"), Column("metres", 1, True))


def _table(*rows: tuple[Cell | str | None, ...], name: str = "cables") -> PaperTable:
    return PaperTable(name, COLUMNS, rows)


def workbook(title: str, tables: tuple[PaperTable, ...]) -> bytes:
    """Tables without numbered sources."""
    return sheets_xlsx(title, tuple(map(sheet_of, tables)))


def table_csv(table: PaperTable) -> bytes:
    """One of them."""
    return sheet_csv(sheet_of(table))


def test_every_row_brings_its_sources_into_the_workbook() -> None:
    """Column, cell and row: each source by its number, and a last sheet says what the numbers mean."""
    survey, norm, sheet = (
        Citation("job file", place="survey", mark=Mark.GIVEN),
        Citation("IEC 60228", "2004", "Table 2", Mark.MEMORY),
        Citation("data sheet"),
    )
    line = replace(survey, place="job.yaml, line 47")
    columns = (Column("name"), Column("metres", 1, True, (survey,)), Column("ohm"))
    table = PaperTable(
        "cables",
        columns,
        (
            (Cell("gate", "", (sheet,), is_for_row=True), "31", Cell("5 ohm", "", (norm,))),
            (Cell("wicket", "", (line,), is_for_row=True), "24", None),
        ),
    )
    paper = Paper("wiring", "Wiring", "For a test.", (Section("Cables", (table,)),))
    made = sheets_of(paper)

    assert made[0].titles == ("name", "metres", "ohm", "sources")
    assert made[0].rows[0] == ("gate", 31, 5, "metres [1]; ohm [3]†; all else [2]")
    assert made[0].rows[1][-1] == "metres [1]; all else [1:47]"
    assert made[1].rows == (
        ("1", "job file, survey; behind the colon the line of job.yaml", "given in the job"),
        ("2", "data sheet", "read"),
        ("3†", "IEC 60228 (2004), Table 2", "from memory"),
    )
    assert load_workbook(io.BytesIO(sheets_xlsx("t", made)))["sources"]["C4"].value == "from memory"


def test_a_workbook_reads_back_as_it_was() -> None:
    """The library finds titles, texts, numbers as numbers, verdict before the text, an empty cell for a line
    to write on.
    """
    content = workbook(
        "Cables",
        (_table(("gate", "31"), (Cell("too thin", "fails"), "2.5"), (None, "about 3")), _table(name="a/b:c")),
    )
    book = load_workbook(io.BytesIO(content))

    assert book.sheetnames == ["cables", "a b c"]
    assert [[cell.value for cell in row] for row in book["cables"].rows] == [
        ["name", "metres"],
        ["gate", 31],
        ["fails: too thin", 2.5],
        [None, "about 3"],
    ]
    assert book["cables"].freeze_panes == "A2"


def test_a_text_longer_than_a_cell_is_cut_and_the_cut_shows() -> None:
    """And two tables of one name, in whatever case of letters, have a sheet each."""
    long = "x" * 40_000
    same = "A table with quite a long name, really"
    book = load_workbook(
        io.BytesIO(workbook("t", (_table((long, "1"), name=same), _table(("b", "2"), name=same.upper()))))
    )
    first, second = book.worksheets

    assert first["A2"].value == "x" * 32_766 + "…"
    assert first.title == same[:31]
    assert second.title == "A TABLE WITH QUITE A LONG NAM 2"
    assert second["A2"].value == "b"


def test_a_workbook_holds_no_moment() -> None:
    """Equal tables give equal bytes, and no entry has a time of today."""
    first, second = (workbook("Cables", (_table(("gate", "31")),)) for _ in range(2))

    assert first == second
    with zipfile.ZipFile(io.BytesIO(first)) as archive:
        assert {one.date_time for one in archive.infolist()} == {(2020, 1, 1, 0, 0, 0)}
        assert b"2020-01-01T00:00:00Z" in archive.read("docProps/core.xml")


def test_what_looks_like_a_formula_stays_a_text() -> None:
    """A name cannot make a spreadsheet calculate or call out."""
    table = _table(
        ("=1+1", "@sum"), ("-3 m", "+44 1632"), ("\x07bell", "\ud800"), ("-1+cmd|' /C calc'!A0", "+2=x")
    )
    cells = [list(row) for row in load_workbook(io.BytesIO(workbook("t", (table,))))["cables"].rows]
    rows = list(csv.reader(io.StringIO(table_csv(table).decode("utf-8-sig"))))

    assert cells[1][0].value == "=1+1"
    assert cells[1][0].data_type == "s"
    assert rows[1] == ["'=1+1", "'@sum"]
    assert rows[2] == ["-3 m", "'+44 1632"]
    assert rows[4] == ["'-1+cmd|' /C calc'!A0", "'+2=x"]


@settings(max_examples=60, deadline=None)
@given(
    texts=st.lists(
        st.text(st.characters(blacklist_categories=("Cs", "Cc")), max_size=20), min_size=1, max_size=5
    )
)
def test_csv_gives_back_every_text(texts: list[str]) -> None:
    """Commas, quotes and other scripts come back as they were, but for an apostrophe before a formula."""
    table = _table(*((text, "1") for text in texts))
    read = list(csv.reader(io.StringIO(table_csv(table).decode("utf-8-sig"), newline="")))[1:]

    assert [row[0].removeprefix("'") for row in read] == [text.removeprefix("'") for text in texts]


def test_a_pack_can_be_checked_by_a_common_tool(tmp_path: Path) -> None:
    """`sha256sum --check` agrees; the manifest has size and hash of each file."""
    files = {"a.pdf": b"one", "tables/b.csv": b"two"}
    for name, content in files.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(content)
    (tmp_path / SUMS_NAME).write_bytes(sums(files))
    listed = json.loads(manifest(files, {"job": "Larkfen House"}))

    assert (
        subprocess.run(
            ["sha256sum", "--check", "--strict", SUMS_NAME], cwd=tmp_path, capture_output=True, check=False
        ).returncode
        == 0
    )
    assert listed["job"] == "Larkfen House"
    assert listed["files"][1] == {
        "name": "tables/b.csv",
        "bytes": 3,
        "sha256": hashlib.sha256(b"two").hexdigest(),
    }


def test_a_zip_is_the_same_whenever_it_is_made() -> None:
    """Order of names, one time, one set of rights; whole when tested by another program."""
    made = bundle({"b.txt": b"2", "a.txt": b"1"})

    assert made == bundle({"a.txt": b"1", "b.txt": b"2"})
    with zipfile.ZipFile(io.BytesIO(made)) as archive:
        assert archive.namelist() == ["a.txt", "b.txt"]
        assert archive.testzip() is None


def test_units_stand_in_the_head_and_figures_are_numbers() -> None:
    """450 mA beside 1.2 A are 0.45 and 1.2, A; a column with two kinds, or a word in it, stays as printed."""
    table = PaperTable(
        "loads",
        tuple(map(Column, ("current", "length", "mixed", "word", "nothing"))),
        (
            ("450 mA", "31 m", "1 A", "3 dB", None),
            (Cell("1.2 A"), "2.50 m", "40 VA", "not known", ""),
            (None, "−1 m", "2 A", "5 dB", None),
        ),
    )

    sheet = sheet_of(table)

    assert sheet.titles == ("current, A", "length, m", "mixed", "word", "nothing")
    assert sheet.rows == (
        (Decimal("0.450"), Decimal("31"), "1 A", "3 dB", None),
        (Decimal("1.2"), Decimal("2.50"), "40 VA", "not known", ""),
        (None, Decimal("-1"), "2 A", "5 dB", None),
    )
    assert b"0.450,31,1 A,3 dB," in sheet_csv(sheet)


def test_one_unit_in_a_column_keeps_its_prefix() -> None:
    """Milliamperes all the way down are milliamperes in the head."""
    table = PaperTable("t", (Column("draws"),), (("22 mA",), ("0.3 mA",)))

    assert sheet_of(table).titles == ("draws, mA",)
    assert sheet_of(table).rows == ((Decimal("22"),), (Decimal("0.3"),))


def test_money_keeps_its_last_digit() -> None:
    """Cents of a large sum, and noughts behind the point, in CSV and in a workbook."""
    sheet = sheet_of(PaperTable("t", (Column("amount, EUR", is_number=True),), (("1234567.80",),)))

    assert b"1234567.80" in sheet_csv(sheet)
    book = load_workbook(io.BytesIO(sheets_xlsx("t", (sheet,))))
    assert book["t"]["A2"].value == 1234567.8
    assert book["t"]["A2"].number_format == "0.00"
