"""A list as a customer sends it, CSV in any common separator and encoding or XLSX, as cells of text."""

from __future__ import annotations

import csv
import io
from datetime import datetime
from pathlib import Path
from typing import Final

from farpress.errors import InputError

__all__ = ["read_table"]

MOST_ROWS: Final = 20_000
"""Our choice, twenty times the largest memory of a receiver; more is no list of fobs."""

MOST_COLUMNS: Final = 100
"""Our choice; a list of fobs has about ten."""

MOST_UNPACKED: Final = 80_000_000
"""Bytes that a spreadsheet may have unpacked: our choice, ten times what so many rows need."""


def read_table(path: Path) -> list[list[str]]:
    """The cells of a CSV or XLSX file as text, row by row, the head first.

    Raises:
        InputError: it cannot be read as either; says why.
    """
    data = path.read_bytes()
    if data[:4] == b"PK\x03\x04":
        return _xlsx(path)
    if data[:4] in (b"\xd0\xcf\x11\xe0",):
        raise InputError(f"{path.name} is a spreadsheet of the old kind (.xls); save it as .xlsx or CSV.")
    text = _decoded(data, path.name)
    return _csv(text)


def _decoded(data: bytes, name: str) -> str:
    for mark, encoding in ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16")):
        if data.startswith(mark):
            return data.decode(encoding, errors="replace")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        if b"\0" in data:
            raise InputError(f"{name} is neither a spreadsheet nor text.") from None
        return data.decode("cp1252", errors="replace")


def _csv(text: str) -> list[list[str]]:
    first = next((line for line in text.splitlines() if line.strip()), "")
    separator = max(";\t,|", key=first.count) if any(mark in first for mark in ";\t,|") else ","
    if first.count(separator) >= MOST_COLUMNS:
        raise InputError(
            f"The list has more than {MOST_COLUMNS} columns in its first line; a list of fobs has about ten."
            " Is this the right file?"
        )
    csv.field_size_limit(100_000)
    rows: list[list[str]] = []
    try:
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator):
            _bounded(len(rows), len(row))
            rows.append(list(row))
        return rows
    except csv.Error as error:
        raise InputError(f"The list cannot be read as CSV: {error}.") from error


def _xlsx(path: Path) -> list[list[str]]:
    import zlib
    from xml.etree.ElementTree import ParseError
    from zipfile import BadZipFile, ZipFile

    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        with ZipFile(path) as packed:
            if sum(part.file_size for part in packed.infolist()) > MOST_UNPACKED:
                raise InputError(
                    f"{path.name} would have more than {MOST_UNPACKED / 1e6:.0f} MB unpacked; that is no list"
                    " of fobs. Save the one sheet that is meant as CSV."
                )
        book = load_workbook(path, read_only=True, data_only=True)
        try:
            sheet = next((sheet for sheet in book.worksheets if sheet.sheet_state == "visible"), None)
            if sheet is None:
                raise InputError(f"{path.name} has no sheet that is shown.")
            rows: list[list[str]] = []
            for row in sheet.iter_rows(values_only=True, max_col=MOST_COLUMNS + 1, max_row=MOST_ROWS + 1):
                cells = ["" if cell is None else _cell(cell) for cell in row]
                _bounded(len(rows), len(cells) if len(cells) <= MOST_COLUMNS or cells[-1] else MOST_COLUMNS)
                rows.append(cells[:MOST_COLUMNS])
            return rows
        finally:
            book.close()
    except (
        BadZipFile,
        InvalidFileException,
        ParseError,
        zlib.error,
        KeyError,
        ValueError,
        TypeError,
        AttributeError,
        IndexError,
        EOFError,
        OSError,
        RuntimeError,
    ) as error:
        if isinstance(error, InputError):
            raise
        raise InputError(
            f"{path.name} cannot be read as a spreadsheet: {str(error)[:200]}. Save it anew, or as CSV."
        ) from error


def _bounded(rows: int, columns: int) -> None:
    if rows >= MOST_ROWS:
        raise InputError(
            f"The list has more than {MOST_ROWS} rows. Take it over in parts, or look whether this is the"
            " right file."
        )
    if columns > MOST_COLUMNS:
        raise InputError(
            f"Row {rows + 1} of the list has more than {MOST_COLUMNS} columns; a list of fobs has about ten."
            " Is this the right file?"
        )


def _cell(value: object) -> str:
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)
