"""Every table of a paper as a workbook and as CSV; the same bytes for the same paper.

A workbook holds neither a moment nor a machine. A text that a spreadsheet would take for
a formula stays a text.
"""

from __future__ import annotations

import csv
import io
import re
import zipfile
from datetime import datetime
from typing import Any, Final

from farpress.papers.faces import NO_GLYPH
from farpress.papers.paper import Cell, Table

__all__ = ["FIXED_TIME", "table_csv", "timeless_entry", "workbook"]

FIXED_TIME: Final = (2020, 1, 1, 0, 0, 0)
"""Moment written where a file format insists on one; our choice."""

_FORBIDDEN: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_SHEET: Final = re.compile(r"[\[\]:*?/\\']")
_NUMBER: Final = re.compile(r"-?\d{1,12}(\.\d{1,9})?")


def workbook(title: str, tables: tuple[Table, ...]) -> bytes:
    """One sheet for each table, its titles in the first row.

    Args:
        title: kept in the properties of the file.
        tables: at least one.
    """
    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    wrapped, bold = Alignment(wrap_text=True, vertical="top"), Font(bold=True)
    book = Workbook()
    del book[book.sheetnames[0]]
    for table in tables:
        page: Any = book.create_sheet(_SHEET.sub(" ", table.name)[:31])
        rows = [[column.title for column in table.columns], *([_text(cell) for cell in row] for row in table.rows)]
        for row_number, row in enumerate(rows, 1):
            for column_number, text in enumerate(row, 1):
                cell = page.cell(row_number, column_number)
                if row_number > 1 and table.columns[column_number - 1].is_number and _NUMBER.fullmatch(text):
                    cell.value = float(text) if "." in text else int(text)
                else:
                    cell.value = text
                    cell.data_type = "s"  # a text stays a text, whatever it begins with
                cell.alignment = wrapped
                if row_number == 1:
                    cell.font = bold
        page.freeze_panes = "A2"
        for column_number in range(1, len(table.columns) + 1):
            longest = max((len(row[column_number - 1]) for row in rows), default=8)
            page.column_dimensions[get_column_letter(column_number)].width = min(max(longest + 2, 8), 60)
        page.print_title_rows = "1:1"
    book.properties.title = _FORBIDDEN.sub(NO_GLYPH, title)
    book.properties.creator = "Farpress"
    book.properties.created = datetime(*FIXED_TIME)
    target = io.BytesIO()
    book.save(target)
    return _timeless(target.getvalue())


def table_csv(table: Table) -> bytes:
    """A table as CSV after RFC 4180: UTF-8 with a byte order mark, comma, quotes where needed.

    A text that a spreadsheet would take for a formula gets an apostrophe before it.
    """
    target = io.StringIO(newline="")
    writer = csv.writer(target)
    writer.writerow([column.title for column in table.columns])
    for row in table.rows:
        writer.writerow([_harmless(_text(cell)) for cell in row])
    return b"\xef\xbb\xbf" + target.getvalue().encode("utf-8")


def timeless_entry(name: str) -> zipfile.ZipInfo:
    """An entry of a ZIP with the same time and rights on every machine."""
    entry = zipfile.ZipInfo(name, FIXED_TIME)
    entry.create_system, entry.external_attr = 3, 0o644 << 16
    return entry


def _harmless(text: str) -> str:
    first = text.lstrip()[:1]
    return f"'{text}" if first in ("=", "@", "\t") or (first in ("+", "-") and not re.match(r"[+-]\s*[\d.]", text.lstrip())) else text


def _text(cell: Cell | str | None) -> str:
    if isinstance(cell, Cell):
        both = ": ".join(part for part in (cell.verdict, cell.text or "") if part)
        return _FORBIDDEN.sub(NO_GLYPH, both)
    return _FORBIDDEN.sub(NO_GLYPH, cell or "")


def _timeless(content: bytes) -> bytes:
    """The same workbook without moments: every entry at one time, in the order of names."""
    target = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as source, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as made:
        for name in source.namelist():
            data = source.read(name)
            if name == "docProps/core.xml":
                data = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>2020-01-01T00:00:00Z", data)
            made.writestr(timeless_entry(name), data, zipfile.ZIP_DEFLATED)
    return target.getvalue()
