"""Pieces of sentences and of names, the same everywhere: lists, plurals, the closest name, slugs."""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterable

__all__ = ["closest", "listed", "plural", "slug"]


def listed(names: Iterable[str], *, last: str = " and ", nothing: str = "nothing") -> str:
    """Names as a sentence has them.

    Args:
        names: in their order.
        last: before the last of several.
        nothing: what is said without any.

    Example:
        >>> listed(["a", "b", "c"]), listed(["a"]), listed([]), listed(["a", "b"], last=" or ")
        ('a, b and c', 'a', 'nothing', 'a or b')
    """
    *others, final = list(names) or [nothing]
    return f"{', '.join(others)}{last}{final}" if others else final


def plural(count: int, noun: str, nouns: str = "") -> str:
    """A number with its noun.

    Example:
        >>> plural(1, "promise"), plural(3, "promise"), plural(0, "entry", "entries")
        ('1 promise', '3 promises', '0 entries')
    """
    return f"{count} {noun if count == 1 else nouns or noun + 's'}"


def closest(given: str, names: Iterable[str], *, most: int = 3, cutoff: float = 0.5) -> str:
    """The known names most like the given one, as the end of a sentence; empty when none is close.

    Args:
        given: what was written.
        names: those there are.
        most: named at most.
        cutoff: likeness from 0 to 1 below which a name is not close (that of Python's `difflib`).

    Example:
        >>> closest("gaet", ["gate", "garage", "door"])
        "; closest: 'gate', 'garage'"
    """
    near = difflib.get_close_matches(given, list(names), n=most, cutoff=cutoff)
    return f"; closest: {', '.join(map(repr, near))}" if near else ""


def slug(text: str) -> str:
    """A text as a name for files and addresses on every machine: small letters, digits, hyphens.

    Example:
        >>> slug("Larkfen House, 2nd gate")
        'larkfen-house-2nd-gate'
    """
    letters = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", letters).strip("-")[:60].strip("-")
