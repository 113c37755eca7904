"""A list as a customer sends it, CSV in any common separator and encoding or XLSX, as cells of text."""

from __future__ import annotations

import csv
import io
from datetime import datetime
from pathlib import Path
from typing import Final

from farpress.errors import InputError
from farpress.phrases import listed

__all__ = ["ENCODINGS", "FOBS", "CellNumber", "read_table"]

MOST_ROWS: Final = 20_000
"""Our choice, twenty times the largest memory of a receiver; more is no list of fobs."""

MOST_COLUMNS: Final = 100
"""Our choice; a list of fobs has about ten."""

MOST_UNPACKED: Final = 80_000_000
"""Bytes that a spreadsheet may have unpacked: our choice, ten times what so many rows need."""


ENCODINGS: Final = {
    "utf-8": "utf-8",
    "windows-1252": "cp1252",
    "latin-1": "latin-1",
    "windows-1250": "cp1250",
    "windows-1251": "cp1251",
    "latin-2": "iso8859-2",
    "cp850": "cp850",
    "cp437": "cp437",
    "mac-roman": "mac-roman",
    "utf-16": "utf-16",
}
"""Encodings that can be said, by the name of each (IANA's registry of character sets, but for cp850, cp437
and mac-roman, which are Python's names) → Python's."""


FOBS: Final = "list of fobs"
"""What a list is, where nobody says otherwise."""


class CellNumber(str):
    """The text of a cell of a workbook that holds a number: its decimal sign is a point, whatever is
    shown.
    """

    __slots__ = ()


_DIGITS: Final = 15
"""Digits that a workbook shows of a number (IEEE 754, double: 15 decimal digits come back); what is behind
them
comes from reckoning."""


def read_table(path: Path, *, encoding: str = "", what: str = FOBS) -> list[list[str]]:
    """The cells of a CSV or XLSX file as text, row by row, the head first; numbers of a workbook as
    `CellNumber`.

    Bytes that are not UTF-8 stay in their cell, as surrogates (PEP 383): nothing is replaced here, and who
    takes rows over tells them.

    Args:
        path: of the file.
        encoding: one of `ENCODINGS`, where it is known; empty: UTF-8, or what the file's mark says.
        what: what such a list is called where it is refused.

    Raises:
        InputError: it cannot be read as either; says why.
    """
    if encoding and encoding.casefold() not in ENCODINGS:
        raise InputError(f"'{encoding}' is no encoding that is read here; there are {listed(ENCODINGS)}.")
    data = path.read_bytes()
    if data[:4] == b"PK\x03\x04":
        return _xlsx(path, what)
    if data[:4] in (b"\xd0\xcf\x11\xe0",):
        raise InputError(f"{path.name} is a spreadsheet of the old kind (.xls); save it as .xlsx or CSV.")
    return _csv(_decoded(data, path.name, ENCODINGS.get(encoding.casefold(), "")), what)


def _decoded(data: bytes, name: str, encoding: str) -> str:
    for mark, told in ((b"\xef\xbb\xbf", "utf-8"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16")):
        if data.startswith(mark):
            encoding = encoding or told
            break
    try:
        if encoding and encoding != "utf-8":
            return data.decode(encoding).removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        raise InputError(
            f"{name} is not written in {encoding}: at byte {error.start + 1} stands {data[error.start]:#04x},"
            " which is no letter there."
        ) from None
    if b"\0" in data:
        raise InputError(f"{name} is neither a spreadsheet nor text.")
    return data.removeprefix(b"\xef\xbb\xbf").decode("utf-8", errors="surrogateescape")


def _csv(text: str, what: str) -> list[list[str]]:
    first = next((line for line in text.splitlines() if line.strip()), "")
    separator = max(";\t,|", key=first.count) if any(mark in first for mark in ";\t,|") else ","
    if first.count(separator) >= MOST_COLUMNS:
        raise InputError(
            f"The list has more than {MOST_COLUMNS} columns in its first line; a {what} has about ten."
            " Is this the right file?"
        )
    csv.field_size_limit(100_000)
    rows: list[list[str]] = []
    try:
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator):
            _bounded(len(rows), len(row), what)
            rows.append(list(row))
        return rows
    except csv.Error as error:
        raise InputError(f"The list cannot be read as CSV: {error}.") from error


def _xlsx(path: Path, what: str) -> list[list[str]]:
    import zlib
    from xml.etree.ElementTree import ParseError
    from zipfile import BadZipFile, ZipFile

    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        with ZipFile(path) as packed:
            if sum(part.file_size for part in packed.infolist()) > MOST_UNPACKED:
                raise InputError(
                    f"{path.name} would have more than {MOST_UNPACKED / 1e6:.0f} MB unpacked; that is no"
                    f" {what}. Save the one sheet that is meant as CSV."
                )
        book = load_workbook(path, read_only=True, data_only=True)
        try:
            sheet = next((sheet for sheet in book.worksheets if sheet.sheet_state == "visible"), None)
            if sheet is None:
                raise InputError(f"{path.name} has no sheet that is shown.")
            rows: list[list[str]] = []
            for row in sheet.iter_rows(values_only=True, max_col=MOST_COLUMNS + 1, max_row=MOST_ROWS + 1):
                cells = ["" if cell is None else _cell(cell) for cell in row]
                width = len(cells) if len(cells) <= MOST_COLUMNS or cells[-1] else MOST_COLUMNS
                _bounded(len(rows), width, what)
                rows.append(cells[:MOST_COLUMNS])
            widest = max(map(len, rows), default=0)
            for cells in rows:  # a sheet leaves empty cells at the end of a row out
                cells += [""] * (widest - len(cells))
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


def _bounded(rows: int, columns: int, what: str) -> None:
    if rows >= MOST_ROWS:
        raise InputError(
            f"The list has more than {MOST_ROWS} rows. Take it over in parts, or look whether this is the"
            " right file."
        )
    if columns > MOST_COLUMNS:
        raise InputError(
            f"Row {rows + 1} of the list has more than {MOST_COLUMNS} columns; a {what} has about ten."
            " Is this the right file?"
        )


def _cell(value: object) -> str:
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, bool) or not isinstance(value, int | float):
        return str(value)
    is_whole = isinstance(value, int) or value.is_integer()
    return CellNumber(int(value) if is_whole else f"{value:.{_DIGITS}g}")
