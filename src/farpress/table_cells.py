"""Cells of a table that goes to a spreadsheet: text that would be computed there, kept from it, and back."""

from __future__ import annotations

import re
from typing import Final

__all__ = ["harmless", "looks_computed", "unharmed"]

_BEGINS: Final = ("=", "+", "-", "@")
"""Signs that spreadsheets begin a formula with."""

_FIGURE: Final = re.compile(r"[+-]|-\d+([.,]\d+)?([eE][+-]?\d+)?|[+-]\s*\d[\d.,]*\s+[^\W\d_][^=@|!()]*")
"""A sign alone, a negative number, or a number with its unit: none is computed into something else."""


def looks_computed(text: str) -> bool:
    """Whether a spreadsheet would take a text for a formula, blanks and apostrophes before it or not."""
    return text.lstrip(" \t\r\n'")[:1] in _BEGINS or text.lstrip("'")[:1] in ("\t", "\r")


def harmless(text: str, *, may_be_number: bool = False) -> str:
    """A text with an apostrophe before it where a spreadsheet would compute it.

    Args:
        text: of one cell.
        may_be_number: a negative number stays one, "+12 V" and "-" stay as they are; "+49" would become 49.

    Example:
        >>> harmless("=1+1"), harmless("-5"), harmless("-5", may_be_number=True), harmless("O'Dunnow")
        ("'=1+1", "'-5", '-5', "O'Dunnow")
    """
    if not looks_computed(text) or (may_be_number and _FIGURE.fullmatch(text)):
        return text
    return f"'{text}"


def unharmed(text: str) -> str:
    """What `harmless` was given; every table that is read goes through it.

    Example:
        >>> unharmed("'=1+1"), unharmed("'tis")
        ('=1+1', "'tis")
    """
    return text[1:] if text[:1] == "'" and looks_computed(text[1:]) else text
