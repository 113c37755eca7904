"""Cells and heads of a list that is taken over: the names of its columns, dates, invisible characters."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Final

from farpress.table_cells import unharmed

__all__ = [
    "COLUMNS",
    "column_heads",
    "date_in",
    "has_hidden",
    "has_lost_letters",
    "offered",
    "plain_cell",
    "shown",
]

COLUMNS: Final[dict[str, tuple[str, ...]]] = {
    "fob": ("fob", "label", "fob label", "fob no", "fob number", "key", "key no", "tag", "no", "number"),
    "serial": ("serial", "serial no", "serial number", "id printed"),
    "type": ("type", "fob type", "model"),
    "person": ("person", "name", "holder", "full name", "employee", "member of staff", "user"),
    "first name": ("first name", "forename", "given name"),
    "last name": ("last name", "surname", "family name"),
    "organisation": ("organisation", "organization", "company", "tenant", "firm", "employer"),
    "contact": ("contact", "telephone", "phone", "e-mail", "email", "mobile"),
    "group": ("group", "rights", "profile", "role"),
    "pool": ("pool", "shared", "shared by"),
    "receiver": ("receiver", "learned at", "where learned"),
    "output": ("output", "relay"),
    "button": ("button",),
    "slot": ("slot", "place", "memory place", "position", "record no"),
    "valid from": ("valid from", "from", "start", "begins"),
    "valid to": ("valid to", "valid until", "until", "to", "end", "ends", "expires"),
    "state": ("state", "status"),
    "issued": ("issued", "issued on", "given out", "handed out"),
    "signed": ("signed", "signed on", "receipt"),
    "lost": ("lost", "lost on", "reported lost"),
    "back": ("back", "handed in on", "returned"),
    "buttons": ("buttons", "what the buttons do"),
    "learned": ("learned", "learned on"),
    "deleted": ("deleted", "deleted on"),
    "evidence": ("evidence", "proof of deletion"),
    "cell date": ("cell date", "cell", "battery date", "cell changed"),
    "remark": ("remark", "remarks", "note", "notes", "comment"),
}
"""Column → heads it may have; compared without capitals, dots, hyphens, underscores and double spaces."""


def column_heads(row: Sequence[str], columns: Mapping[str, Sequence[str]] = COLUMNS) -> dict[str, int]:
    """Column → its place in a row that is a head.

    Args:
        row: its cells.
        columns: column → the heads that it may have.
    """
    plain = [_plain_head(cell) for cell in row]
    found: dict[str, int] = {}
    for name, heads in columns.items():
        column = next((plain.index(_plain_head(head)) for head in heads if _plain_head(head) in plain), None)
        if column is not None and column not in found.values():
            found[name] = column
    return found


def _plain_head(cell: str) -> str:
    return re.sub(r"[\W_]+", " ", cell.casefold()).strip()


_INVISIBLE: Final = {"Cc", "Cf", "Co", "Cs", "Zl", "Zp"}


_COLOUR: Final = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")
"""An order to a terminal (ECMA-48, control sequence); only its first sign is invisible."""


def has_hidden(cell: str) -> bool:
    """Whether a cell holds signs that cannot be seen, ends of lines and spaces apart."""
    return not cell.isprintable() and any(
        unicodedata.category(letter) in _INVISIBLE
        and not letter.isspace()
        and not "\ud800" <= letter <= "\udfff"
        for letter in cell
    )


def shown(cell: str) -> str:
    r"""A cell with every sign that cannot be seen as its number.

    Example:
        >>> shown("Oak\u200bshade")
        'Oak[U+200B]shade'
    """
    return "".join(
        f"[U+{ord(letter):04X}]" if unicodedata.category(letter) in _INVISIBLE else letter for letter in cell
    )


def has_lost_letters(cell: str) -> bool:
    """Whether a cell has bytes that are not UTF-8, or the sign that stands where a letter was lost before."""
    return not cell.isascii() and any("\udc80" <= letter <= "\udcff" or letter == "\ufffd" for letter in cell)


def offered(cell: str) -> str:
    r"""A cell whose bytes are not UTF-8, as it reads in Windows-1252, the commonest other encoding.

    Example:
        >>> offered(b"J\xfcrgen".decode("utf-8", "surrogateescape"))
        'Jürgen'
    """
    return re.sub(
        "[\udc80-\udcff]+",
        lambda found: found[0].encode("utf-8", "surrogateescape").decode("cp1252", "replace"),
        cell,
    )


def plain_cell(cell: str) -> str:
    """A cell without invisible characters, needless spaces and the apostrophe that keeps formulas away."""
    cell = unharmed(cell)
    if cell.isascii() and cell.isprintable():
        return " ".join(cell.split())
    text = unicodedata.normalize("NFC", _COLOUR.sub("", cell))
    spaced = (" " if letter.isspace() else letter for letter in text)
    kept = "".join(letter for letter in spaced if unicodedata.category(letter) not in _INVISIBLE)
    return " ".join(kept.split())


def date_in(text: str, *, month_will_do: bool) -> str | None:
    """ISO dates, and day.month.year where the day tells itself from the month."""
    text = text.removesuffix(" 00:00:00")
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        pass
    if month_will_do and re.fullmatch(r"\d{4}-(0[1-9]|1[0-2])", text):
        return text
    match = re.fullmatch(r"(\d{1,2})([./-])(\d{1,2})[./-](\d{4})", text)
    if match is None:
        return None
    first, second, year = int(match[1]), int(match[3]), int(match[4])
    if match[2] != "." and first <= 12 and second <= 12 and first != second:
        return None  # 03/04 is a day in April here and in March there
    day, month = (second, first) if second > 12 and match[2] != "." else (first, second)
    try:
        return date(year, month, day).isoformat()
    except ValueError:
        return None
