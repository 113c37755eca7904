"""A sheet to draw on that becomes SVG text: lines, boxes, words, with a title for those who cannot see it.

Black on white; what matters is told by shape, weight and dashes, so a photocopy loses nothing.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from typing import Final
from xml.sax.saxutils import escape

__all__ = ["FACE", "DrawingSheet", "fitted", "stacked", "text_width", "wrapped"]

FACE: Final = "'Source Sans Pro', 'Noto Sans', 'DejaVu Sans', sans-serif"
_CONTROL: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_BREAKS: Final = re.compile(r" |(?<=\w)-(?=\w)|[/.](?=\w)")
_WIDE: Final = frozenset("mwMW@%")
_NARROW: Final = frozenset("iljtfrI.,:;|!' ()[]/-")


class DrawingSheet:
    """A sheet of a size, drawn on from the upper left corner; one unit is a quarter of a millimetre."""

    def __init__(self, width: float, height: float, *, title: str, describes: str, left: float = 0.0) -> None:
        """Begin a sheet; what lies left of `left` is cut off."""
        self.width, self.height, self.title, self.describes = width, height, title, describes
        self.left = left
        self._parts: list[str] = []

    def line(self, *points: tuple[float, float], weight: float = 1.4, dashed: bool = False) -> None:
        """A line through points."""
        path = " ".join(f"{_n(x)},{_n(y)}" for x, y in points)
        dash = ' stroke-dasharray="5 4"' if dashed else ""
        self._parts.append(f'<polyline points="{path}" fill="none" stroke-width="{_n(weight)}"{dash}/>')

    def box(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        weight: float = 1.4,
        round_by: float = 0.0,
        fill: str = "#fff",
        dashed: bool = False,
    ) -> None:
        """A box from its upper left corner."""
        corner = f' rx="{_n(round_by)}"' if round_by else ""
        dash = ' stroke-dasharray="5 4"' if dashed else ""
        self._parts.append(
            f'<rect x="{_n(x)}" y="{_n(y)}" width="{_n(width)}" height="{_n(height)}"{corner} fill="{fill}"'
            f' stroke-width="{_n(weight)}"{dash}/>'
        )

    def ring(self, x: float, y: float, radius: float, *, weight: float = 1.4, filled: bool = False) -> None:
        """A circle round a point."""
        self._parts.append(
            f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}" fill="{"#000" if filled else "#fff"}"'
            f' stroke-width="{_n(weight)}"/>'
        )

    def shape(self, *points: tuple[float, float], filled: bool = True, weight: float = 1.4) -> None:
        """A closed shape."""
        path = " ".join(f"{_n(x)},{_n(y)}" for x, y in points)
        self._parts.append(
            f'<polygon points="{path}" fill="{"#000" if filled else "#fff"}" stroke-width="{_n(weight)}"/>'
        )

    def words(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: float = 11.0,
        anchor: str = "start",
        bold: bool = False,
        slanted: bool = False,
        room: float | None = None,
        halo: bool = False,
    ) -> None:
        """A line of text on its baseline; shortened with dots to the room it has; with a white rim where
        lines run below it.
        """
        shown = _CONTROL.sub(" ", text if room is None else fitted(text, size, room))
        more = (
            (' font-weight="600"' if bold else "")
            + (' font-style="italic"' if slanted else "")
            + (f' text-anchor="{anchor}"' if anchor != "start" else "")
        )
        whole = (
            f"<title>{escape(_CONTROL.sub(' ', text))}</title>" if room is not None and shown != text else ""
        )
        if halo:
            self._parts.append(
                f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(size)}"{more} stroke="#fff" stroke-width="3"'
                f' fill="#fff" aria-hidden="true">{escape(shown)}</text>'
            )
        self._parts.append(
            f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(size)}"{more} stroke="none"'
            f' fill="#000">{escape(shown)}{whole}</text>'
        )

    def lines(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: float = 11.0,
        room: float,
        most: int = 2,
        step: float = 1.12,
        anchor: str = "start",
        bold: bool = False,
    ) -> int:
        """Text on up to `most` lines of its room, the first on baseline y; how many there are."""
        shown = wrapped(text, size, room, most)
        for number, line in enumerate(shown):
            self.words(x, y + number * step * size, line, size=size, anchor=anchor, bold=bold)
        if shown[-1].endswith("…"):
            self._parts.append(f"<g><title>{escape(_CONTROL.sub(' ', text))}</title></g>")
        return len(shown)

    def svg(self, *, below: float | None = None) -> str:
        """The sheet as a whole SVG document, or as a part of one that lies so far below its upper edge."""
        title, describes = escape(_CONTROL.sub(" ", self.title)), escape(_CONTROL.sub(" ", self.describes))
        wide, high = _n(self.width - self.left), _n(self.height)
        size = f'width="{_n((self.width - self.left) / 4)}mm" height="{_n(self.height / 4)}mm"'
        number = ""
        if below is not None:
            size, number = f'y="{below:g}" width="{wide}" height="{high}"', f"-{below:g}"
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" {size}'
            f' viewBox="{_n(self.left)} 0 {wide} {high}" role="img"'
            f' aria-labelledby="title{number} what{number}" font-family="{FACE}" stroke="#000"'
            f' stroke-linecap="round" stroke-linejoin="round">\n<title id="title{number}">{title}</title>\n'
            f'<desc id="what{number}">{describes}</desc>\n'
            f'<rect x="{_n(self.left)}" width="{wide}" height="{high}"'
            ' fill="#fff" stroke="none"/>\n' + "\n".join(self._parts) + "\n</svg>\n"
        )


def stacked(sheets: Sequence[DrawingSheet]) -> str:
    """Several sheets one below the other, as one SVG document."""
    inner, below = [], 0.0
    for sheet in sheets:
        inner.append(sheet.svg(below=below))
        below += sheet.height
    width = max(sheet.width for sheet in sheets)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width / 4:g}mm" height="{below / 4:g}mm"'
        f' viewBox="0 0 {width:g} {below:g}">\n{"".join(inner)}</svg>\n'
    )


def text_width(text: str, size: float) -> float:
    """About how wide a text is; letters of other scripts count as square."""
    total = 0.0
    for letter in text:
        if unicodedata.combining(letter):
            continue
        total += _letter_width(letter)
    return total * size


def _letter_width(letter: str) -> float:
    if unicodedata.east_asian_width(letter) in "WF":
        return 1.0
    if letter in _WIDE:
        return 0.86
    if letter in _NARROW:
        return 0.31
    return 0.62 if letter.isupper() else 0.54


def fitted(text: str, size: float, room: float) -> str:
    """The text, shortened with dots where it is wider than its room."""
    if text_width(text, size) <= room:
        return text
    kept = text
    while kept and text_width(kept + "…", size) > room:
        kept = kept[:-1]
    return kept.rstrip() + "…"


def wrapped(text: str, size: float, room: float, most: int = 2) -> tuple[str, ...]:
    """The text on as many lines as it needs, broken at spaces and hyphens; only the last may end in dots.

    Args:
        text: on one line.
        size: of the letters.
        room: for each line.
        most: lines; what still does not fit is shortened.
    """
    lines, rest = list[str](), text.strip()
    while rest and len(lines) < most - 1 and text_width(rest, size) > room:
        breaks = [
            place.end()
            for place in _BREAKS.finditer(rest)
            if text_width(rest[: place.end()].rstrip(), size) <= room
        ]
        if not breaks:
            break
        lines.append(rest[: breaks[-1]].rstrip())
        rest = rest[breaks[-1] :].lstrip()
    return (*lines, fitted(rest, size, room)) if rest or not lines else tuple(lines)


def _n(number: float) -> str:
    return f"{number:.2f}".rstrip("0").rstrip(".")
