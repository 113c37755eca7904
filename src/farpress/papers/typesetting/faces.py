"""The faces a paper is set in, and what to do about characters none of them has.

Source Sans for reading; Noto faces for other scripts; nothing from the machine, so a
paper looks the same everywhere. A character without a glyph becomes a visible lozenge: a
name is never silently shortened.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import typst

__all__ = ["FAMILIES", "FONT_FOLDER", "NO_GLYPH", "fonts", "printable", "printable_drawing", "typographic"]

NO_GLYPH: Final = "◊"
"""Stands where a character cannot be printed (U+25CA, a lozenge, in every face of Source Sans)."""

FONT_FOLDER: Final = Path(__file__).parent / "fonts"
"""The faces as published, with their licences, and what they cover (written by tools/write_faces.py)."""

_DIGIT: Final = re.compile(r"\d")
_SIGNS: Final = (
    (re.compile(r"(?<=\d )([kM]?)ohm\b"), r"\1Ω"),
    (re.compile(r"(?<=\d )mm2\b"), "mm²"),
    (re.compile(r"(?<=\d )degC\b"), "°C"),
    (re.compile(r"(?<=\d) deg\b"), "°"),
    (re.compile(r"(?<=\d )u(?=[sAFHV]\b)"), "µ"),
)
_TOGETHER: Final = re.compile(
    r"(?<![\w.-])([−-]?\d[\d.,]*)"
    r" (?=(?:dBm?|dBi|[kmµM]?[VAWΩ]|V[AD]?C?|[kmc]?m|mm²|[mµ]?s|min|h|%|°C|[kMG]?Hz|[mµ]?F|m?Ah|VA)(?![\w]))"
)
_MINUS: Final = re.compile(r"(?<![\w.)-])-(?=\d)")
_LONG_WORD = 24
_NEVER = {"Cc": " ", "Cs": NO_GLYPH, "Co": NO_GLYPH, "Cn": NO_GLYPH, "Zl": " ", "Zp": " "}

_JOINERS = "\u200c\u200d"  # letters join differently with them, in Persian names for one

_SCRIPTS = (
    "Sans",
    "Sans Hebrew",
    "Sans Arabic",
    "Sans Devanagari",
    "Sans Bengali",
    "Sans Gujarati",
    "Sans Gurmukhi",
    "Sans Tamil",
    "Sans Telugu",
    "Sans Kannada",
    "Sans Malayalam",
    "Sans Sinhala",
    "Sans Oriya",
    "Sans Thai",
    "Sans Lao",
    "Sans Khmer",
    "Sans Myanmar",
    "Sans Georgian",
    "Sans Armenian",
    "Sans Ethiopic",
    "Sans Symbols",
    "Emoji",
)
FAMILIES: Final = ("Source Sans Pro", *(f"Noto {script}" for script in _SCRIPTS))
"""Families in the order in which a character is looked for."""


@cache
def fonts() -> typst.Fonts:
    """The faces that come with the program, and nothing that this machine happens to have."""
    import typst

    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(FONT_FOLDER)]
    )


@lru_cache(maxsize=8192)
def printable(text: str) -> str:
    """The text as it can be printed: every character has a glyph, long words can break.

    Characters that no face has become `NO_GLYPH`; control characters a space. Words of
    more than 24 characters get places to break (zero-width spaces).
    """
    if text.isascii() and text.isprintable() and len(text) <= _LONG_WORD:
        return text
    composed = unicodedata.normalize("NFC", text)
    shown = "".join(_shown(character) for character in composed)
    return " ".join(_breakable(word) for word in shown.split(" "))


def typographic(text: str) -> str:
    """Units and minus signs as they are set in type: "5.034 kohm" becomes "5.034 kΩ", "-103 dBm" "−103 dBm",
    kept on one line.
    """
    if not _DIGIT.search(text):
        return text
    return _MINUS.sub("−", _TOGETHER.sub("\\1\u00a0", _units(text)))


def _units(text: str) -> str:
    for pattern, sign in _SIGNS:
        text = pattern.sub(sign, text)
    return text


def printable_drawing(svg: str) -> str:
    """A drawing whose words can be printed; nothing is broken or shortened in it."""
    return "".join(_shown(character) for character in _units(svg))


def _shown(character: str) -> str:
    if " " <= character <= "~":
        return character
    kind = unicodedata.category(character)
    if kind in _NEVER:
        return _NEVER[kind]
    if character in _JOINERS:
        return character
    if kind == "Cf" or "\ufe00" <= character <= "\ufe0f":
        return ""  # direction marks, variation selectors: nothing to see
    return character if ord(character) in _covered() else NO_GLYPH


def _breakable(word: str) -> str:
    if len(word) <= _LONG_WORD:
        return word
    return "\u200b".join(word[start : start + 12] for start in range(0, len(word), 12))


@cache
def _covered() -> frozenset[int]:
    """Code points for which a face has a glyph."""
    ranges = (line.split("-") for line in (FONT_FOLDER / "coverage.txt").read_text("ascii").split())
    return frozenset(point for ends in ranges for point in range(int(ends[0], 16), int(ends[-1], 16) + 1))
