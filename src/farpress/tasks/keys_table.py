"""A list as a customer sends it, CSV in any common separator and encoding or XLSX, as cells of text."""

from __future__ import annotations

import csv
import io
from datetime import datetime
from pathlib import Path

from farpress.errors import InputError

__all__ = ["read_table"]


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
    separator = max(";\t,|", key=first.count) if any(one in first for one in ";\t,|") else ","
    csv.field_size_limit(10_000_000)
    try:
        return [list(row) for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator)]
    except csv.Error as error:
        raise InputError(f"The list cannot be read as CSV: {error}.") from error


def _xlsx(path: Path) -> list[list[str]]:
    from zipfile import BadZipFile

    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        book = load_workbook(path, read_only=True, data_only=True)
    except (BadZipFile, InvalidFileException, KeyError, ValueError, OSError) as error:
        raise InputError(f"{path.name} cannot be read as a spreadsheet: {error}.") from error
    sheet = next((one for one in book.worksheets if one.sheet_state == "visible"), book.worksheets[0])
    try:
        return [["" if cell is None else _cell(cell) for cell in row] for row in sheet.iter_rows(values_only=True)]
    finally:
        book.close()


def _cell(value: object) -> str:
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)
