"""Tables as a workbook or as CSV, numbers kept as numbers; the same bytes for the same tables.

A workbook holds neither a moment nor a machine. A text that a spreadsheet would take for
a formula stays a text. Tables of a paper bring their sources: a last column with their
numbers, and a sheet that says what the numbers mean.
"""

from __future__ import annotations

import csv
import io
import re
import zipfile
from dataclasses import dataclass
from typing import Any, Final

from farpress.papers.typesetting.faces import NO_GLYPH
from farpress.papers.typesetting.paper import Cell, Paper, PaperTable
from farpress.papers.typesetting.source_numbers import SourceNumbers

__all__ = ["FIXED_TIME", "TableSheet", "sheet_csv", "sheet_of", "sheets_of", "sheets_xlsx", "timeless_entry"]

FIXED_TIME: Final = (2020, 1, 1, 0, 0, 0)
"""Moment written where a file format insists on one; our choice."""

SOURCES: Final = "sources"
"""Title of the last column, and name of the last sheet."""

_FORBIDDEN: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_NAME: Final = re.compile(r"[\[\]:*?/\\']")
_NUMBER: Final = re.compile(r"-?\d{1,12}(\.\d{1,9})?")
_SIGNED: Final = re.compile(r"[+-]\s*[\d.][^=@|!()]*")


@dataclass(frozen=True)
class TableSheet:
    """A table of plain values.

    Attributes:
        name: of the sheet or file.
        titles: with units.
        rows: texts and numbers, as many as titles; None is an empty cell.
    """

    name: str
    titles: tuple[str, ...]
    rows: tuple[tuple[str | float | None, ...], ...]


def sheets_of(paper: Paper) -> tuple[TableSheet, ...]:
    """Every table of a paper, and a last sheet with its sources if any row names one."""
    numbers = SourceNumbers(paper)
    found = tuple(sheet_of(table, numbers) for table in paper.tables())
    listed = any(sheet.titles[-1] == SOURCES for sheet in found)
    return (
        (*found, TableSheet(SOURCES, ("no.", "source", "how we know"), numbers.listed())) if listed else found
    )


def sheet_of(table: PaperTable, numbers: SourceNumbers | None = None) -> TableSheet:
    """One table as plain values: verdict before the text, a line to write on empty, sources as the last
    column.
    """
    titles = tuple(column.title for column in table.columns)
    rows = [
        tuple(_value(cell, column.is_number) for cell, column in zip(row, table.columns, strict=True))
        for row in table.rows
    ]
    sources = [numbers.of_row(table.columns, row) for row in table.rows] if numbers is not None else []
    if any(sources):
        return TableSheet(
            table.name,
            (*titles, SOURCES),
            tuple((*row, source) for row, source in zip(rows, sources, strict=True)),
        )
    return TableSheet(table.name, titles, tuple(rows))


def sheets_xlsx(title: str, sheets: tuple[TableSheet, ...]) -> bytes:
    """A workbook with one sheet for each table, its titles in the first row.

    Args:
        title: kept in the properties of the file.
        sheets: at least one.
    """
    from datetime import datetime

    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    first: Any = book[book.sheetnames[0]]
    first["A1"].alignment = first["B1"].alignment = Alignment(wrap_text=True, vertical="top")
    first["A1"].font = Font(bold=True)
    head, body = first["A1"]._style, first["B1"]._style
    del book[book.sheetnames[0]]
    for sheet in sheets:
        page: Any = book.create_sheet(_NAME.sub(" ", sheet.name)[:31])
        for row_number, row in enumerate([sheet.titles, *sheet.rows], 1):
            for column_number, value in enumerate(row, 1):
                cell = page.cell(row_number, column_number)
                if isinstance(value, str):
                    cell.value = _FORBIDDEN.sub(NO_GLYPH, value)
                    cell.data_type = "s"  # a text stays a text, whatever it begins with
                elif value is not None:
                    cell.value = value
                cell._style = (
                    head if row_number == 1 else body
                )  # one style for all: setting it anew for each cell takes half the time
        page.freeze_panes = "A2"
        page.print_title_rows = "1:1"
        page.page_setup.orientation = "landscape"
        for column_number, title_of in enumerate(sheet.titles, 1):
            longest = max((len(str(row[column_number - 1] or "")) for row in sheet.rows), default=0)
            page.column_dimensions[get_column_letter(column_number)].width = min(
                max(longest, len(title_of), 6) + 2, 60
            )
    book.properties.title = _FORBIDDEN.sub(NO_GLYPH, title)
    book.properties.creator = "Farpress"
    book.properties.created = datetime(*FIXED_TIME)
    target = io.BytesIO()
    book.save(target)
    return _timeless(target.getvalue())


def sheet_csv(sheet: TableSheet) -> bytes:
    """A table as CSV after RFC 4180: UTF-8 with a byte order mark, comma, quotes where needed.

    A text that a spreadsheet would take for a formula gets an apostrophe before it.
    """
    target = io.StringIO(newline="")
    writer = csv.writer(target)
    writer.writerow(sheet.titles)
    for row in sheet.rows:
        writer.writerow([_csv_text(value) for value in row])
    return b"\xef\xbb\xbf" + target.getvalue().encode("utf-8")


def timeless_entry(name: str) -> zipfile.ZipInfo:
    """An entry of a ZIP with the same time and rights on every machine."""
    entry = zipfile.ZipInfo(name, FIXED_TIME)
    entry.create_system, entry.external_attr = 3, 0o644 << 16
    return entry


def _value(cell: Cell | str | None, is_number: bool) -> str | float | None:
    text = (
        ": ".join(part for part in (cell.verdict, cell.text or "") if part)
        if isinstance(cell, Cell)
        else cell
    )
    if text is not None and is_number and _NUMBER.fullmatch(text):
        return float(text) if "." in text else int(text)
    return text


def _csv_text(value: str | float | None) -> str:
    match value:
        case None:
            return ""
        case str():
            return _harmless(value)
    return f"{value:.6g}"


def _harmless(text: str) -> str:
    clean = _FORBIDDEN.sub(NO_GLYPH, text)
    begins = clean.lstrip()
    looks = (
        begins[:1] in ("=", "@")
        or clean[:1] == "\t"
        or (begins[:1] in ("+", "-") and len(begins) > 1 and not _SIGNED.fullmatch(begins))
    )
    return f"'{clean}" if looks else clean


def _timeless(content: bytes) -> bytes:
    """The same workbook without moments: every entry at one time, in its order."""
    target = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as source,
        zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as made,
    ):
        for name in source.namelist():
            data = source.read(name)
            if name == "docProps/core.xml":
                data = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>2020-01-01T00:00:00Z", data)
            made.writestr(timeless_entry(name), data, zipfile.ZIP_DEFLATED)
    return target.getvalue()
