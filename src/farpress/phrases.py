"""Pieces of sentences and of names, the same everywhere: lists, plurals, the closest name, slugs."""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterable, Sequence
from typing import Final, Protocol

__all__ = ["Say", "called", "carried_on", "closest", "in_english", "in_one", "listed", "plural", "slug"]

_SMALL_WORDS: Final = frozenset(
    {"A", "All", "An", "At", "Each", "Every", "Everything", "It", "No", "Nobody", "Nothing", "The", "With"}
)
"""First words of sentences that are no names."""


class Say(Protocol):
    """Says a sentence in a language, its {names} filled in."""

    def __call__(self, text: str, /, **values: object) -> str:
        """The sentence."""
        ...


def in_english(text: str, /, **values: object) -> str:
    """A sentence as it stands in the code, its {names} filled in.

    Example:
        >>> in_english("Ring {phone}.", phone="112")
        'Ring 112.'
    """
    return text.format(**values) if values else text


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


def carried_on(sentence: str) -> str:
    """A sentence as the rest of another: its first word small, where that is no name.

    >>> carried_on("The lamp is on"), carried_on("R1 gets 12 V")
    ('the lamp is on', 'R1 gets 12 V')
    """
    first, _, rest = sentence.partition(" ")
    return f"{first.lower()} {rest}" if first in _SMALL_WORDS else sentence


def slug(text: str) -> str:
    """A text as a name for files and addresses on every machine: small letters, digits, hyphens.

    Example:
        >>> slug("Larkfen House, 2nd gate")
        'larkfen-house-2nd-gate'
    """
    letters = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", letters).strip("-")[:60].strip("-")


def called(kind: str, name: str) -> str:
    """A thing by its name with what it is, once: "zone 4", but "zone E" where that is its name.

    Example:
        >>> called("zone", "4"), called("zone", "Zone E")
        ('zone 4', 'Zone E')
    """
    return name if name.lower().startswith(kind) else f"{kind} {name}"


_NAMED: Final = 3
"""Names that a sentence about several equal things has; our choice."""

_LONGEST: Final = 4
"""Words that a name may have for two sentences to differ in it only; our choice."""


def in_one(texts: Sequence[str]) -> str | None:
    """Sentences that differ in one name only as one sentence with the names; None where they differ more.

    Args:
        texts: one or more, each once.

    Example:
        >>> in_one(["Name the cable to RA and its length.", "Name the cable to RB and its length."])
        'Name the cable to RA and RB and its length.'
        >>> in_one(["Fuse it.", "Use a thicker cable, of at least 2.5 mm2 all the way."]) is None
        True
    """
    if len(texts) == 1:
        return texts[0]
    words = [text.split() for text in texts]
    shortest = min(map(len, words))
    head = next((n for n in range(shortest) if len({text[n] for text in words}) > 1), shortest)
    room = shortest - head
    tail = next((n for n in range(room) if len({text[-1 - n] for text in words}) > 1), room)
    names = [" ".join(text[head : len(text) - tail]) for text in words]
    if not head or not all(map(_is_name, names)):
        return None
    end = names[0][-1] if names[0][-1] in ",;:." and len({name[-1] for name in names}) == 1 else ""
    bare = [name.removesuffix(end) for name in names]
    left = len(bare) - _NAMED
    named = f"{', '.join(bare[:_NAMED])} and {left} more" if left > 0 else listed(bare)
    return " ".join((*words[0][:head], named + end, *words[0][len(words[0]) - tail :]))


def _is_name(text: str) -> bool:
    """Whether a piece of a sentence can be a name: a few words, no figure alone, no half of a bracket."""
    words = text.strip(",;:.").split()
    is_figure = len(words) == 1 and not re.search("[A-Za-z]", words[0])
    return 0 < len(words) <= _LONGEST and not is_figure and text.count("(") == text.count(")")
