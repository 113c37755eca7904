"""The closest known name, and short lists of what there is; for messages."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import Final

__all__ = ["closest", "did_you_mean", "listed"]

COMPARED: Final = 60
"""Characters of a name that are compared; our choice, comparing takes the square of it."""
MOST_NAMES: Final = 600
"""Names compared at most; our choice."""


def closest(word: str, names: Iterable[str]) -> str | None:
    """The known name that was most likely meant; None when none is near."""
    known = {name[:COMPARED].casefold(): name for name in list(names)[:MOST_NAMES]}
    given = word[:COMPARED].casefold()
    if given in known:
        return known[given]
    by_words = {" ".join(sorted(_words(folded))): name for folded, name in known.items()}
    same_words = by_words.get(" ".join(sorted(_words(given))))
    if same_words is not None:
        return same_words
    near = difflib.get_close_matches(given, known, n=1, cutoff=0.62)
    if near:
        return known[near[0]]
    return next(
        (
            name
            for folded, name in known.items()
            if len(given) > 2 and (folded.startswith(given) or (given.startswith(folded) and len(folded) > 2))
        ),
        None,
    )


def did_you_mean(word: str, names: Iterable[str]) -> str:
    """The question "Did you mean 'x'?" with a space before it, or nothing."""
    near = closest(word, names)
    return f" Did you mean '{near}'?" if near else ""


def listed(names: Iterable[str], *, most: int = 8, near: str = "") -> str:
    """Names separated by commas, at most so many, those like `near` first when there are more."""
    known = [name if len(name) <= COMPARED else name[:COMPARED] + "…" for name in names]
    if len(known) <= most:
        return ", ".join(known)
    if near:
        first = difflib.get_close_matches(near[:COMPARED], known[:MOST_NAMES], n=most, cutoff=0.3)
        known = first + [name for name in known if name not in first]
    return ", ".join(known[:most]) + f" and {len(known) - most} more"


def _words(text: str) -> list[str]:
    return text.replace("-", " ").replace("_", " ").replace("/", " ").split()
