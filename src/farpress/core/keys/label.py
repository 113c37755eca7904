"""The check character of a fob's label, so that a misread number is noticed.

ISO/IEC 7064, system MOD 37,36: letters and digits in, one letter or digit out. It finds
every single wrong character, but not quite every pair of swapped neighbours.
"""

from __future__ import annotations

from typing import Final

from farpress.errors import InputError
from farpress.sources import Mark, cites

__all__ = ["ALPHABET", "check_character", "is_valid_label"]

ALPHABET: Final = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
"""Value of a character is its place, from 0."""


@cites(
    "ISO/IEC 7064",
    edition="2003",
    place="hybrid system MOD 37,36; checked against public test vectors",
    mark=Mark.MEMORY,
)
def check_character(payload: str) -> str:
    """The check character to print after a label.

    Args:
        payload: digits and letters; hyphens and spaces are passed over, case is ignored.

    Returns:
        One of `ALPHABET`.

    Raises:
        InputError: nothing to check, or a character that is neither digit nor letter.

    Example:
        >>> check_character("BM-047")
        'P'
    """
    remainder = 36
    for character in _clean(payload):
        total = (remainder + ALPHABET.index(character)) % 36 or 36
        remainder = total * 2 % 37
    return ALPHABET[(37 - remainder) % 36]


@cites("ISO/IEC 7064", edition="2003", place="hybrid system MOD 37,36", mark=Mark.MEMORY)
def is_valid_label(label: str) -> bool:
    """Whether the last character of a label is the check character of the rest.

    Args:
        label: digits and letters, the check character last; hyphens and spaces are passed over.

    Raises:
        InputError: fewer than two characters, or one that is neither digit nor letter.

    Example:
        >>> is_valid_label("BM-047-P"), is_valid_label("BM-047-K")
        (True, False)
    """
    text = _clean(label)
    if len(text) < 2:
        raise InputError(
            f"'{label}' is too short: a label has at least one character and its check character"
        )
    return check_character(text[:-1]) == text[-1]


def _clean(text: str) -> str:
    plain = text.replace("-", "").replace(" ", "").upper()
    wrong = sorted({character for character in plain if character not in ALPHABET})
    if not plain or wrong:
        what = f"it holds {' '.join(wrong)}" if wrong else "it is empty"
        raise InputError(f"'{text}' cannot be a label: {what}; use digits 0 to 9 and letters A to Z")
    return plain
