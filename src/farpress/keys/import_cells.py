"""Cells and heads of a list that is taken over: the names of its columns, dates, invisible characters."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from datetime import date
from typing import Final

__all__ = ["COLUMNS", "FORMULA_SIGNS", "column_heads", "date_in", "plain_cell"]

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
}
"""Column → heads it may have; compared without capitals, dots, hyphens and double spaces."""


def column_heads(row: Sequence[str]) -> dict[str, int]:
    """Column → its place in a row that is a head."""
    plain = [re.sub(r"[^\w]+", " ", cell.casefold()).strip() for cell in row]
    found: dict[str, int] = {}
    for name, heads in COLUMNS.items():
        column = next(
            (
                plain.index(re.sub(r"[^\w]+", " ", head))
                for head in heads
                if re.sub(r"[^\w]+", " ", head) in plain
            ),
            None,
        )
        if column is not None and column not in found.values():
            found[name] = column
    return found


FORMULA_SIGNS: Final = ("=", "+", "-", "@", "\t", "\r")
"""Signs that spreadsheets begin a formula with."""

_INVISIBLE: Final = {"Cc", "Cf", "Co", "Cs", "Zl", "Zp"}


def plain_cell(cell: str) -> str:
    """A cell without invisible characters, needless spaces and the apostrophe that keeps formulas away."""
    if cell[:1] == "'" and cell[1:2] in FORMULA_SIGNS:
        cell = cell[1:]
    if cell.isascii() and cell.isprintable():
        return " ".join(cell.split())
    text = unicodedata.normalize("NFC", cell)
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
