"""Text for a terminal, a file or an e-mail: wrapped lines, tables, bars. Pure; control characters go.

Widths are columns of a terminal: a glyph of East Asian width takes two (Unicode Standard Annex 11).
"""

from __future__ import annotations

import re
import textwrap
import unicodedata
from collections.abc import Sequence
from typing import Final

__all__ = ["bar", "columns_of", "paragraph", "printable", "table", "to_ascii", "wrapped"]

WIDEST_COLUMN: Final = 28
"""Width of a column of a table before it is wrapped: our choice. The last one takes what is left."""

_GAP: Final = "  "
_SECOND_HALF: Final = "\ufffe"  # stands behind a wide glyph while lines are counted; no text holds it
_PLAIN_SIGNS: Final = {
    "−": "-",
    "–": "-",
    "—": "-",
    "─": "-",
    "━": "=",
    "╌": ".",
    "╳": "X",
    "→": "->",
    "█": "#",
    "▏": "|",
    "·": "|",
    "±": "+/-",
    "≤": "<=",
    "≥": ">=",
    "²": "2",
    "…": "...",
    "×": "x",
    "Ω": "ohm",
    "µ": "u",
    "°": "deg ",
    "“": '"',
    "”": '"',
    "‘": "'",
    "’": "'",
}


def table(
    rows: Sequence[Sequence[str]],
    *,
    head: Sequence[str] = (),
    width: int = 80,
    notes: Sequence[Sequence[str]] = (),
) -> str:
    """Rows as aligned columns within a width, without lines drawn around them.

    Args:
        rows: cells; all rows of the same length.
        head: names of the columns; none if empty.
        width: columns of the terminal.
        notes: for each row sentences that stand below it, indented.

    Example:
        >>> print(table([("gate", "holds"), ("roller door", "open")], head=("", "state")))
                     state
        gate         holds
        roller door  open
    """
    cells = [
        [" ".join(printable(cell).split()) for cell in row] for row in ([head] if head else []) + [*rows]
    ]
    if not cells:
        return ""
    widths = [
        min(max(map(columns_of, column)), WIDEST_COLUMN) for column in list(zip(*cells, strict=True))[:-1]
    ]
    widths.append(max(width - sum(widths) - len(_GAP) * len(widths), 20))
    lines: list[str] = []
    for number, row in enumerate(cells, start=-1 if head else 0):
        blocks = [_lines(cell, room) for cell, room in zip(row, widths, strict=True)]
        for line in range(max(map(len, blocks))):
            parts = [block[line] if line < len(block) else "" for block in blocks]
            padded = [
                part + " " * (room - columns_of(part)) for part, room in zip(parts, widths, strict=True)
            ]
            lines.append(_GAP.join(padded).rstrip())
        for note in notes[number] if number >= 0 and notes else ():
            lines += wrapped(note, width, "    ")
    return "\n".join(lines)


def wrapped(text: str, width: int = 80, first: str = "", rest: str | None = None) -> list[str]:
    """A sentence in lines of at most `width` columns; at least one line.

    Args:
        text: what to wrap.
        width: columns of the terminal.
        first: before the first line.
        rest: before the others; as before the first if None.

    Example:
        >>> wrapped("one two three", 8, "- ", "  ")
        ['- one', '  two', '  three']
    """
    return _lines(printable(text), width, first, first if rest is None else rest)


def paragraph(text: str, *, width: int = 80, first: str = "", rest: str | None = "") -> str:
    """The same as one text, with runs of spaces and ends of lines as single spaces."""
    return "\n".join(wrapped(" ".join(text.split()), width, first, rest))


def bar(share: float, width: int) -> str:
    """A share as a row of blocks, at most `width` of them; anything above nothing shows.

    Example:
        >>> bar(0.5, 4), bar(0.001, 4), bar(0.0, 4)
        ('██', '▏', '')
    """
    blocks = "█" * round(min(max(share, 0.0), 1.0) * width)
    return blocks or ("▏" if share > 0 else "")


def to_ascii(text: str) -> str:
    """The same with plain signs only, for a terminal that cannot show others.

    Example:
        >>> to_ascii("━╳━ 20 °C, Dværgsø")
        '=X= 20 deg C, Dv?rgs?'
    """
    signs = "".join(_PLAIN_SIGNS.get(sign, sign) for sign in text)
    letters = unicodedata.normalize("NFKD", signs)
    return "".join(sign if sign < "\x7f" else "?" for sign in letters if not unicodedata.combining(sign))


def columns_of(text: str) -> int:
    """Columns of a terminal that a text takes.

    Example:
        >>> columns_of("gate"), columns_of("門")
        (4, 2)
    """
    return len(_doubled(text))


class _Wrapper(textwrap.TextWrapper):
    """Breaks lines between wide glyphs too (Unicode Standard Annex 14, class ID), never inside one."""

    def _split(self, text: str) -> list[str]:
        # a method that TextWrapper does not document, but calls in every version since 2.3
        chunks = super()._split(text)
        return [piece for chunk in chunks for piece in _WIDE.split(chunk) if piece]


_WIDE: Final = re.compile(f"([^{_SECOND_HALF}]{_SECOND_HALF})")


def _lines(text: str, width: int, first: str = "", rest: str = "") -> list[str]:
    wrapper = _Wrapper(width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)
    lines = wrapper.wrap(_doubled(text))
    return [line.replace(_SECOND_HALF, "") for line in lines] or [first.rstrip()]


def _doubled(text: str) -> str:
    if text.isascii():
        return text
    composed = unicodedata.normalize("NFC", text)
    return "".join(
        sign + _SECOND_HALF if unicodedata.east_asian_width(sign) in "WF" else sign for sign in composed
    )


def printable(text: str) -> str:
    """The same with spaces in place of control characters and ends of lines."""
    return "".join(" " if unicodedata.category(sign) in ("Cc", "Cs", "Zl", "Zp") else sign for sign in text)
