"""The command wiring, as somebody at a terminal meets it."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from openpyxl import load_workbook

from farpress.cli.wiring import command
from farpress.papers.typesetting.spreadsheet import TableSheet, sheet_csv, sheets_xlsx
from helpers.project import EXAMPLES


def run(*arguments: str, code: int | None = None) -> str:
    """Output of the command."""
    result = CliRunner().invoke(command, list(arguments), standalone_mode=False)
    assert result.exception is None, result.output
    if code is not None:
        assert result.return_value == code
    return result.output


@pytest.mark.parametrize("job", ["larkfen-house", "tallowmere-court", "brindlemark"])
def test_the_schedule_keeps_within_eighty_columns(job: str) -> None:
    """Every line, with slips too; something fails in each example."""
    text = run(str(EXAMPLES / job), "--slips", code=1)

    assert max(map(len, text.splitlines())) <= 80
    assert "Mains side only by a licensed electrician" in " ".join(text.split())


def test_plain_characters_are_plain() -> None:
    """For a terminal that shows no others."""
    assert run(str(EXAMPLES / "larkfen-house"), "--ascii", "--slips").isascii()


def test_programs_get_names_with_units() -> None:
    """The strike's core, and what fails with its remedy."""
    read = json.loads(run(str(EXAMPLES / "larkfen-house"), "--format", "json", code=1))
    core = next(row for row in read["cores"] if row["target"] == "wicket" and row["target_terminal"] == "+")

    assert core["core_ohm"] == pytest.approx(24 * 0.0812)
    assert core["lowest_v"] == pytest.approx(9.975, abs=0.001)
    assert any(one["code"] == "SUP-01" and one["remedies"] for one in read["fails"])


def test_workbook_tables_and_drawings_are_written(tmp_path: Path) -> None:
    """Three sheets with numbers as numbers, three CSV files, a drawing for each receiver and premises."""
    run(
        str(EXAMPLES / "larkfen-house"),
        "--xlsx",
        str(tmp_path / "w.xlsx"),
        "--csv",
        str(tmp_path / "csv"),
        "--svg",
        str(tmp_path / "svg"),
    )
    book = load_workbook(tmp_path / "w.xlsx")

    assert book.sheetnames == ["cores", "readings", "wrong wiring"]
    lengths = [row[9].value for row in book["cores"].iter_rows(min_row=2)]
    assert 24 in lengths
    with (tmp_path / "csv" / "cores.csv").open(encoding="utf-8-sig", newline="") as file:
        assert len(list(csv.reader(file))) == book["cores"].max_row
    assert sorted(path.name for path in (tmp_path / "svg").iterdir()) == [
        "blocks-larkfen.svg",
        "terminals-larkfen-R1.svg",
        "terminals-larkfen-R2.svg",
        "terminals-larkfen-R3.svg",
    ]


def test_a_workbook_is_the_same_every_time_and_holds_no_formula() -> None:
    """A name that begins like a formula stays a text, in both forms."""
    sheet = TableSheet("odd[1]", ("name", "volts"), (("=1+1", 1.5), ("+ main", None), ("-x\x00", 2.0)))
    made = sheets_xlsx("title", (sheet,))

    assert made == sheets_xlsx("title", (sheet,))
    page = load_workbook(io.BytesIO(made)).worksheets[0]
    assert (page["A2"].data_type, page["A2"].value, page["B2"].value) == ("s", "=1+1", 1.5)
    assert sheet_csv(sheet).decode("utf-8-sig").splitlines()[1:] == ["'=1+1,1.5", "'+ main,", "'-x◊,2"]


def test_a_job_that_cannot_be_read_is_told_as_such(tmp_path: Path) -> None:
    """Not a traceback."""
    result = CliRunner().invoke(command, [str(tmp_path)], standalone_mode=False)

    assert result.exception is not None
    assert "job.yaml" in str(result.exception)
