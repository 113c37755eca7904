"""The faces a paper is set in, and what to do about characters none of them has.

Source Sans for reading; Noto faces for other scripts; nothing from the machine, so a
paper looks the same everywhere. A character without a glyph becomes a visible lozenge: a
name is never silently shortened.
"""

from __future__ import annotations

import re
import shutil
import tempfile
import unicodedata
from functools import cache, lru_cache
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    import typst

__all__ = ["FAMILIES", "NO_GLYPH", "fonts", "printable", "printable_drawing", "typographic"]

NO_GLYPH: Final = "◊"
"""Stands where a character cannot be printed (U+25CA, a lozenge, in every face of Source Sans)."""

_WANTED = (
    "SourceSansPro-Regular.ttf",
    "SourceSansPro-It.ttf",
    "SourceSansPro-Semibold.ttf",
    "SourceSansPro-Bold.ttf",
)
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
    """The faces of the two font packages, and nothing that this machine happens to have.

    Source Sans comes twice in its package, in two file formats; one of them is copied
    out, so that the choice does not hang on the order of a folder.
    """
    import typst

    return typst.Fonts(
        include_system_fonts=False,
        include_embedded_fonts=False,
        font_paths=[str(_own_folder()), str(_noto_folder())],
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
    from fontTools.ttLib import TTFont

    found: set[int] = set()
    for path in [_own_folder() / _WANTED[0], *sorted(_noto_folder().glob("Noto*.ttf"))]:
        if "Italic" in path.name:
            continue
        with TTFont(path, lazy=True) as face:
            found |= set(face.getBestCmap())
    return frozenset(found)


@cache
def _own_folder() -> Path:
    folder = tempfile.TemporaryDirectory(prefix="farpress-faces-", ignore_cleanup_errors=True)
    _kept.append(folder)
    package = resources.files("font_source_sans_pro") / "files"
    for name in _WANTED:
        with resources.as_file(package / name) as source:
            shutil.copyfile(source, Path(folder.name) / name)
    return Path(folder.name)


_kept: list[tempfile.TemporaryDirectory[str]] = []


def _noto_folder() -> Path:
    return Path(str(resources.files("manimgx_fonts")))
