"""Tables of plain values as a workbook or as CSV, numbers kept as numbers; the same bytes for the same tables."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from dataclasses import dataclass
from typing import Any, Final

__all__ = ["Sheet", "sheet_csv", "sheets_xlsx"]

_FORBIDDEN: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_NAME: Final = re.compile(r"[\[\]:*?/\\']")
_MOMENT: Final = (2020, 1, 1, 0, 0, 0)
"""Written where the file format insists on a time; our choice."""


@dataclass(frozen=True)
class Sheet:
    """A table: its name, titles with units, rows of texts and numbers; None is an empty cell."""

    name: str
    titles: tuple[str, ...]
    rows: tuple[tuple[str | float | None, ...], ...]


def sheets_xlsx(title: str, sheets: tuple[Sheet, ...]) -> bytes:
    """A workbook with one sheet for each table.

    Args:
        title: kept in the file's properties.
        sheets: at least one.
    """
    from datetime import datetime

    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    del book[book.sheetnames[0]]
    for sheet in sheets:
        page: Any = book.create_sheet(_NAME.sub(" ", sheet.name)[:31])
        for row_number, row in enumerate([sheet.titles, *sheet.rows], 1):
            for column_number, value in enumerate(row, 1):
                cell = page.cell(row_number, column_number)
                if isinstance(value, str):
                    cell.value = _FORBIDDEN.sub("◊", value)
                    cell.data_type = "s"  # a text stays a text, even one that begins like a formula
                elif value is not None:
                    cell.value = value
                cell.alignment = Alignment(wrap_text=True, vertical="top")
                if row_number == 1:
                    cell.font = Font(bold=True)
        page.freeze_panes = "A2"
        page.print_title_rows = "1:1"
        page.page_setup.orientation = "landscape"
        for column_number in range(1, len(sheet.titles) + 1):
            longest = max(len(str(row[column_number - 1] if row[column_number - 1] is not None else "")) for row in [sheet.titles, *sheet.rows])
            page.column_dimensions[get_column_letter(column_number)].width = min(max(longest + 2, 8), 50)
    book.properties.title, book.properties.creator = _FORBIDDEN.sub("◊", title), "Farpress"
    book.properties.created = datetime(*_MOMENT)
    made = io.BytesIO()
    book.save(made)
    return _timeless(made.getvalue())


def sheet_csv(sheet: Sheet) -> bytes:
    """A table as CSV (RFC 4180, UTF-8 with a byte order mark); texts that look like formulas get an apostrophe."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(sheet.titles)
    for row in sheet.rows:
        writer.writerow(["" if value is None else _harmless(value) if isinstance(value, str) else f"{value:.6g}" for value in row])
    return b"\xef\xbb\xbf" + text.getvalue().encode()


def _harmless(text: str) -> str:
    clean = _FORBIDDEN.sub("◊", text)
    looks = clean[:1] in ("=", "@", "\t") or (clean[:1] in ("+", "-") and len(clean) > 1 and not re.match(r"[+-][\d.]", clean))
    return f"'{clean}" if looks else clean


def _timeless(content: bytes) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as source, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as target:
        for name in source.namelist():
            data = source.read(name)
            if name == "docProps/core.xml":
                data = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>2020-01-01T00:00:00Z", data)
            entry = zipfile.ZipInfo(name, _MOMENT)
            entry.create_system, entry.external_attr = 3, 0o644 << 16
            target.writestr(entry, data, zipfile.ZIP_DEFLATED)
    return made.getvalue()
