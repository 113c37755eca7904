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
from decimal import Decimal
from typing import TYPE_CHECKING, Final

from farpress.papers.typesetting.faces import NO_GLYPH
from farpress.papers.typesetting.paper import Cell, Paper, PaperTable
from farpress.papers.typesetting.source_numbers import SourceNumbers
from farpress.table_cells import harmless

if TYPE_CHECKING:
    from xlsxwriter import Workbook
    from xlsxwriter.format import Format

__all__ = ["FIXED_TIME", "TableSheet", "sheet_csv", "sheet_of", "sheets_of", "sheets_xlsx", "timeless_entry"]

FIXED_TIME: Final = (2020, 1, 1, 0, 0, 0)
"""Moment written where a file format insists on one; our choice."""

LONGEST_CELL: Final = 32_767
"""Characters of a cell of a workbook (ECMA-376; the limit itself is from memory)."""

SOURCES: Final = "sources"
"""Title of the last column, and name of the last sheet."""

_FORBIDDEN: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_NAME: Final = re.compile(r"[\[\]:*?/\\']")
_NUMBER: Final = re.compile(r"-?\d{1,12}(\.\d{1,9})?")

_PREFIXES: Final = {"u": -6, "m": -3, "": 0, "k": 3, "M": 6}
_UNITS: Final = {
    f"{prefix}{unit}": (unit, power)
    for unit in ("A", "V", "W", "VA", "ohm", "Ah", "F", "H")
    for prefix, power in _PREFIXES.items()
} | {
    "us": ("s", -6),
    "ms": ("s", -3),
    "s": ("s", 0),
    "mm": ("m", -3),
    "cm": ("m", -2),
    "m": ("m", 0),
    "km": ("m", 3),
}
"""Units with their prefixes → the bare unit, and the power of ten to it."""

_OTHERS: Final = (
    "%",
    "dB",
    "dBm",
    "dBi",
    "mm2",
    "h",
    "min",
    "years",
    "°C",
    "degC",
    "Hz",
    "kHz",
    "MHz",
    "V DC",
    "V AC",
)
_LONGEST_FIRST: Final = sorted((*_UNITS, *_OTHERS), key=len, reverse=True)
_MEASURED: Final = re.compile(
    rf"([-−]?\d{{1,12}})(\.\d{{1,9}})? ({'|'.join(map(re.escape, _LONGEST_FIRST))})"
)
"""A figure with a unit, and nothing else."""


@dataclass(frozen=True)
class TableSheet:
    """A table of plain values.

    Attributes:
        name: of the sheet or file.
        titles: with units.
        rows: texts and numbers, as many as titles; None is an empty cell. A `Decimal` keeps every digit it
        has.
    """

    name: str
    titles: tuple[str, ...]
    rows: tuple[tuple[str | float | Decimal | None, ...], ...]


def sheets_of(paper: Paper) -> tuple[TableSheet, ...]:
    """Every table of a paper, and a last sheet with its sources if any row names one."""
    numbers = SourceNumbers(paper)
    found = tuple(sheet_of(table, numbers) for table in paper.tables())
    listed = any(sheet.titles[-1] == SOURCES for sheet in found)
    return (
        (*found, TableSheet(SOURCES, ("no.", "source", "how we know"), numbers.listed())) if listed else found
    )


def sheet_of(table: PaperTable, numbers: SourceNumbers | None = None) -> TableSheet:
    """One table as plain values: verdict before the text, units in the heads, a line to write on empty,
    sources as the last column.
    """
    texts = [[_text_of(cell) for cell in row] for row in table.rows]
    columns = [
        _column(column.title, [row[number] for row in texts], is_number=column.is_number)
        for number, column in enumerate(table.columns)
    ]
    titles = tuple(title for title, _ in columns)
    rows = [tuple(values[number] for _, values in columns) for number in range(len(texts))]
    sources = [numbers.of_row(table.columns, row) for row in table.rows] if numbers is not None else []
    if any(sources):
        return TableSheet(
            table.name,
            (*titles, SOURCES),
            tuple((*row, source) for row, source in zip(rows, sources, strict=True)),
        )
    return TableSheet(table.name, titles, tuple(rows))


def sheets_xlsx(title: str, sheets: tuple[TableSheet, ...], *, frozen_columns: int = 0) -> bytes:
    """A workbook with one sheet for each table, its titles in the first row.

    A text stays a text, whatever it begins with; one that is longer than a cell can be is cut, and the cut
    shows.

    Args:
        title: kept in the properties of the file.
        sheets: at least one.
        frozen_columns: so many stay in view at the left; the titles always do.
    """
    from datetime import datetime

    from xlsxwriter import Workbook

    target = io.BytesIO()
    book = Workbook(target, {"in_memory": True})
    book.set_properties(
        {"title": _FORBIDDEN.sub(NO_GLYPH, title), "author": "Farpress", "created": datetime(*FIXED_TIME)}
    )
    head = book.add_format({"bold": True, "text_wrap": True, "valign": "top"})
    body = book.add_format({"text_wrap": True, "valign": "top"})
    formats = _Digits(book)
    for name, sheet in zip(_sheet_names(sheets), sheets, strict=True):
        page = book.add_worksheet(name)
        page.freeze_panes(1, frozen_columns)
        page.repeat_rows(0)
        page.set_landscape()
        for number, title_of in enumerate(sheet.titles):
            longest = max((len(str(row[number] or "")) for row in sheet.rows), default=0)
            page.set_column(number, number, min(max(longest, len(title_of), 6) + 2, 60))
            page.write_string(0, number, _text_of_cell(title_of), head)
        for row_number, row in enumerate(sheet.rows, 1):
            for number, value in enumerate(row):
                if isinstance(value, str) and value:
                    page.write_string(row_number, number, _text_of_cell(value), body)
                elif not isinstance(value, str) and value is not None:
                    page.write_number(row_number, number, value, formats.of(value))
    book.close()
    return _timeless(target.getvalue())


class _Digits:
    """Formats of numbers: one shows as many digits behind the point as it was given with."""

    def __init__(self, book: Workbook) -> None:
        self._book = book
        self._made: dict[int, Format] = {}

    def of(self, value: float | Decimal) -> Format:
        digits = max(-int(value.as_tuple().exponent), 0) if isinstance(value, Decimal) else 0
        if digits not in self._made:
            shape = {"num_format": f"0.{'0' * digits}"} if digits else {}
            self._made[digits] = self._book.add_format({"text_wrap": True, "valign": "top", **shape})
        return self._made[digits]


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


def _text_of(cell: Cell | str | None) -> str | None:
    if not isinstance(cell, Cell):
        return cell
    return ": ".join(part for part in (cell.verdict, cell.text or "") if part)


def _column(
    title: str, texts: list[str | None], *, is_number: bool
) -> tuple[str, list[str | Decimal | None]]:
    """A column with its head; where each of its figures has a unit, and all of one kind, the unit stands in
    the head and the figures are numbers. Where they have no unit in common they stay as they are printed.
    """
    measured = [_MEASURED.fullmatch(text) for text in texts if text]
    known = [_UNITS.get(found[3], (found[3], 0)) if found is not None else None for found in measured]
    bases = {unit[0] for unit in known if unit is not None}
    if known and None not in known and len(bases) == 1:
        written = {found[3] for found in measured if found is not None}
        unit = written.pop() if len(written) == 1 else bases.pop()
        to = _UNITS.get(unit, (unit, 0))[1]
        head = title if title == unit or title.endswith(f", {unit}") else f"{title}, {unit}"
        return head, [_in_unit(text, to) if text else text for text in texts]
    return title, [
        Decimal(text) if text is not None and is_number and _NUMBER.fullmatch(text) else text
        for text in texts
    ]


def _in_unit(text: str, power: int) -> Decimal:
    """A figure with its unit as a number of another power of ten of that unit, to the digit."""
    found = _MEASURED.fullmatch(text)
    assert found is not None
    number = Decimal(found[1].replace("−", "-") + (found[2] or ""))
    return number.scaleb(_UNITS.get(found[3], (found[3], 0))[1] - power)


def _csv_text(value: str | float | Decimal | None) -> str:
    match value:
        case None:
            return ""
        case Decimal():
            return f"{value:f}"
        case str():
            return harmless(_FORBIDDEN.sub(NO_GLYPH, value), may_be_number=True)
    return f"{value:.6g}"


def _sheet_names(sheets: tuple[TableSheet, ...]) -> list[str]:
    """As a workbook allows them: 31 characters, no sign of an address, none twice in capitals or small."""
    names: list[str] = []
    for sheet in sheets:
        wanted = name = _NAME.sub(" ", sheet.name)[:31]
        number = 1
        while name.casefold() in map(str.casefold, names):
            number += 1
            name = f"{wanted[: 30 - len(str(number))]} {number}"
        names.append(name)
    return names


def _text_of_cell(text: str) -> str:
    clean = _FORBIDDEN.sub(NO_GLYPH, text)
    return clean if len(clean) <= LONGEST_CELL else f"{clean[: LONGEST_CELL - 1]}…"


def _timeless(content: bytes) -> bytes:
    """The same workbook without moments and rights of a machine: every entry at one time, in its order."""
    target = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as source,
        zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as made,
    ):
        for name in source.namelist():
            made.writestr(timeless_entry(name), source.read(name), zipfile.ZIP_DEFLATED)
    return target.getvalue()
