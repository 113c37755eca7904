"""Every figure on a paper has a source, and a row leads to its own line of the job."""

from __future__ import annotations

import re
from datetime import date

import pytest

from farpress.case.door import open_job
from farpress.papers.builders.basis import Basis, make_basis
from farpress.papers.builders.make import BUILDERS, paper_of
from farpress.papers.typesetting.paper import Cell, Fields
from farpress.papers.typesetting.render import paper_pdf
from helpers.project import EXAMPLES
from helpers.read_pdf import pages_of

pytestmark = pytest.mark.long

FIGURE = re.compile(r"\d ?(k?ohm|[mk]?V|m?A|VA|m|mm2|dBm?|m?s|min|h|%|years?|Ah|deg)\b")


DESCRIBES = {
    "what it is",
    "about",
    "remedy",
    "cell",
    "remark, time, instrument",
    "from, terminal",
    "to, terminal",
}
"""Columns that only name or describe: a part is called "supply 24 V DC", a terminal "0 V"."""


@pytest.mark.parametrize("job", ["larkfen-house", "tallowmere-court", "brindlemark"])
def test_every_figure_has_a_source(job: str) -> None:
    """Each number with a unit, and each number in a column of numbers, carries a source at its cell, its row
    or its column: no table has one for all.
    """
    basis = make_basis(open_job(EXAMPLES / job), day=date(2026, 11, 25))
    bare = []
    for name in BUILDERS:
        paper = paper_of(basis, name)
        for table in paper.tables():
            for row in table.rows:
                for column, cell in zip(table.columns, row, strict=True):
                    text = cell.text if isinstance(cell, Cell) else cell
                    sources = (
                        *column.sources,
                        *(
                            source
                            for one in row
                            if isinstance(one, Cell) and (one is cell or one.is_for_row)
                            for source in one.sources
                        ),
                    )
                    if (
                        text
                        and not sources
                        and column.title not in DESCRIBES
                        and (FIGURE.search(text) or (column.is_number and any(map(str.isdigit, text))))
                    ):
                        bare.append((name, table.name, column.title, text))
        bare += [
            (name, "field", field.label, field.value)
            for block in paper.blocks()
            if isinstance(block, Fields)
            for field in block.fields
            if field.value and FIGURE.search(field.value) and not field.sources
        ]

    assert [one for one in bare if one[1] != "counts"] == []


def test_a_row_leads_to_its_own_line_of_the_job(house: Basis) -> None:
    """The wish in row four is said in the line that its number names; so are places, rules and buttons."""
    assert house.case.document is not None
    lines = (EXAMPLES / "larkfen-house" / "job.yaml").read_text(encoding="utf-8").splitlines()
    survey = {table.name: table for table in paper_of(house, "survey-record").tables()}

    def line(cell: Cell | str | None) -> str:
        assert isinstance(cell, Cell)
        return lines[
            int(next(one for one in cell.sources if "line" in one.place).place.rpartition(" ")[2]) - 1
        ]

    for row, promise in zip(survey["wishes"].rows, house.case.job.promises, strict=True):
        assert promise.function in line(row[3]) or promise.from_ in line(row[3]) or promise.to in line(row[3])
    for row in survey["places"].rows:
        assert str(row[1]) in line(row[2])
    register = paper_of(house, "key-register")
    assert re.search(r"LH-001-G \[1:\d+\]", " ".join(pages_of(paper_pdf(register, house.head))))
    assert "behind the colon the line of job.yaml" in " ".join(pages_of(paper_pdf(register, house.head)))


def test_the_columns_of_a_budget_add_up_to_the_level(house: Basis) -> None:
    """Fob, way, walls, other ways, receiving end and readings of each row give the level beside them, to the
    rounding.
    """
    table = next(one for one in paper_of(house, "reach-report").tables() if one.name == "budget")
    place = {column.title: number for number, column in enumerate(table.columns)}
    receiving = "aerial, coax, housing, dB"
    parts = ("fob, dBm", "open way, dB", "walls, dB", "other ways, dB", receiving, "readings, dB")

    assert len(table.rows) > 10
    for row in table.rows:
        assert sum(float(str(row[place[part]])) for part in parts) == pytest.approx(
            float(str(row[place["level, dBm"]])), abs=0.31
        )


@pytest.mark.parametrize("name", BUILDERS)
def test_every_table_is_square_and_named_once(house: Basis, name: str) -> None:
    """Each row has a cell for each column; no two sheets of a workbook have one name."""
    tables = paper_of(house, name).tables()

    assert all(len(row) == len(table.columns) for table in tables for row in table.rows)
    assert len({table.name[:31] for table in tables}) == len(tables)
