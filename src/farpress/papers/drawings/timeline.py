"""The time line of a story as SVG: one row for each thing, one number for each event. Black and white.

Pure text from plain values: who calls gives rows and marks; no files are read.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from math import floor, log10
from typing import Final

__all__ = ["Bar", "Row", "timeline_drawing", "timeline_picture"]

_WIDTH: Final = 900
_LEFT: Final = 220
_RIGHT: Final = 24
_ROW: Final = 30
_TOP: Final = 76
_TITLE: Final = 110
_NAME: Final = 30
_SAYS: Final = 42
"""Characters of a line of the title, of a row's name, of the word below it; measured by eye in the papers'
own face."""

_FONT: Final = "font-family='Source Sans Pro, Noto Sans, sans-serif'"


@dataclass(frozen=True)
class Bar:
    """A stretch of a row [s], with the state it shows."""

    from_s: float
    to_s: float
    text: str


@dataclass(frozen=True)
class Row:
    """One thing: its name, a word below it, its stretches."""

    name: str
    says: str
    bars: tuple[Bar, ...]


def timeline_drawing(
    title: str,
    rows: Sequence[Row],
    marks: Sequence[tuple[float, str]],
    ends_s: float,
    broken: Sequence[str] = (),
) -> str:
    """The drawing.

    Args:
        title: printed above it, on as many lines as it needs.
        rows: from top to bottom.
        marks: moment [s] and what happens; numbered, and listed below the drawing, as are states too
            short for their word.
        ends_s: where the line ends [s].
        broken: rules that the story breaks, listed last.

    Returns:
        SVG text, 900 wide.
    """
    headings = _folded(title, _TITLE, indent="", after=" ")
    top = _TOP + 22 * (len(headings) - 1)
    names = [(_folded(row.name, _NAME, indent=""), _folded(row.says, _SAYS, indent="")) for row in rows]
    heights = [max(_ROW, 14 * len(name) + 12 * len(says) + 4) for name, says in names]
    begins = [top + sum(heights[:index]) for index in range(len(rows))]
    bottom = top + sum(heights)
    legend = [f"{number}  {_moment(at_s)}: {says}" for number, (at_s, says) in enumerate(marks, 1)]
    lines = [
        line
        for text in [
            *legend,
            *_unnamed(rows, (_WIDTH - _LEFT - _RIGHT) / max(ends_s, 1e-9)),
            *(f"Broken: {rule}" for rule in broken),
        ]
        for line in _folded(text, 118)
    ]
    height = bottom + 48 + 19 * len(lines)
    scale = (_WIDTH - _LEFT - _RIGHT) / max(ends_s, 1e-9)

    def x(at_s: float) -> float:
        return _LEFT + at_s * scale

    pieces = [
        (
            f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {_WIDTH} {height}' width='{_WIDTH}'"
            f" height='{height}' role='img'>"
        ),
        f"<title>{escape(title)}</title>",
        (
            "<defs><pattern id='hatch' width='6' height='6' patternUnits='userSpaceOnUse'"
            " patternTransform='rotate(45)'><rect width='6' height='6' fill='white'/><rect width='2'"
            " height='6' fill='black'/></pattern></defs>"
        ),
        f"<rect width='{_WIDTH}' height='{height}' fill='white'/>",
        *(
            f"<text x='16' y='{26 + 22 * index}' {_FONT} font-size='17'"
            f" font-weight='600'>{escape(line)}</text>"
            for index, line in enumerate(headings)
        ),
    ]
    for row, y, (name, says) in zip(rows, begins, names, strict=True):
        pieces.append(
            f"<line x1='{_LEFT}' y1='{y + 22}' x2='{_WIDTH - _RIGHT}' y2='{y + 22}' stroke='black'"
            " stroke-width='0.7'/>"
        )
        pieces += [
            f"<text x='16' y='{y + 14 + 14 * index}' {_FONT} font-size='13'>{escape(line)}</text>"
            for index, line in enumerate(name)
        ]
        pieces += [
            f"<text x='16' y='{y + 12 + 14 * len(name) + 12 * index}' {_FONT} font-size='10'"
            f" fill='#444'>{escape(line)}</text>"
            for index, line in enumerate(says)
        ]
        for order, bar in enumerate(row.bars):
            wide = max((bar.to_s - bar.from_s) * scale, 1.5)
            fill = "url(#hatch)" if order % 2 and len({bar.text for bar in row.bars}) > 1 else "#d8d8d8"
            pieces.append(
                f"<rect x='{x(bar.from_s):.1f}' y='{y + 4}' width='{wide:.1f}' height='18' fill='{fill}'"
                f" stroke='black' stroke-width='1'><title>{escape(bar.text)}</title></rect>"
            )
            if bar.text != "on" and _has_room(bar, scale):
                pieces.append(
                    f"<rect x='{x(bar.from_s) + 3:.1f}' y='{y + 6}' width='{6.2 * len(bar.text):.1f}'"
                    " height='14' fill='white'/>"
                )
                pieces.append(
                    f"<text x='{x(bar.from_s) + 5:.1f}' y='{y + 17}' {_FONT}"
                    f" font-size='12'>{escape(bar.text)}</text>"
                )
    edge = 0.0
    for number, (at_s, _) in enumerate(marks, 1):
        place = x(at_s)
        edge = max(x(at_s), edge + 17)
        pieces.append(
            f"<line x1='{place:.1f}' y1='{top - 6}' x2='{place:.1f}' y2='{bottom}' stroke='black'"
            " stroke-width='0.8' stroke-dasharray='3 3'/>"
        )
        pieces.append(
            f"<text x='{edge:.1f}' y='{top - 12}' {_FONT} font-size='13' font-weight='600'"
            f" text-anchor='middle'>{number}</text>"
        )
    step = _step(ends_s)
    count = 0
    while count * step <= ends_s * (1 + 1e-9):
        place = x(count * step)
        pieces.append(
            f"<line x1='{place:.1f}' y1='{bottom}' x2='{place:.1f}' y2='{bottom + 5}' stroke='black'/>"
        )
        pieces.append(
            f"<text x='{place:.1f}' y='{bottom + 18}' {_FONT} font-size='11'"
            f" text-anchor='middle'>{_moment(count * step)}</text>"
        )
        count += 1
    for index, line in enumerate(lines):
        pieces.append(
            f"<text x='16' y='{bottom + 44 + 19 * index}' {_FONT} font-size='13'"
            f" xml:space='preserve'>{escape(line)}</text>"
        )
    return "\n".join([*pieces, "</svg>", ""])


def timeline_picture(svg: str, *, pixels_per_inch: float = 144.0) -> bytes:
    """An SVG drawing as PNG, set by the typesetter with the papers' own faces.

    Raises:
        PaperError: it could not be set.
    """
    import tempfile
    from pathlib import Path

    import typst

    from farpress.errors import PaperError
    from farpress.papers.typesetting.faces import fonts

    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "d.svg").write_text(svg, encoding="utf-8")
        (Path(folder) / "d.typ").write_text(
            '#set page(width: auto, height: auto, margin: 0pt)\n#image("d.svg")\n', encoding="utf-8"
        )
        try:
            made = typst.Compiler(
                input=str(Path(folder) / "d.typ"), root=folder, font_paths=fonts(), ignore_system_fonts=True
            ).compile(format="png", ppi=pixels_per_inch)
        except typst.TypstError as error:
            raise PaperError(f"The drawing could not be set: {error.message}") from error
    if not isinstance(made, bytes):
        raise PaperError("The drawing could not be set: the typesetter gave no single picture.")
    return made


def _moment(at_s: float) -> str:
    if at_s < 120:
        return f"{round(at_s, 3):g} s"
    minutes, seconds = divmod(round(at_s, 3), 60)
    hours, minutes = divmod(minutes, 60)
    pieces = [
        f"{hours:g} h" if hours else "",
        f"{minutes:g} min" if minutes else "",
        f"{round(seconds, 3):g} s" if seconds else "",
    ]
    return " ".join(piece for piece in pieces if piece)


def _step(ends_s: float) -> float:
    if ends_s > 300:
        return next(
            (
                step
                for step in (60.0, 120.0, 300.0, 600.0, 1800.0, 3600.0, 7200.0, 21600.0, 86400.0)
                if ends_s / step <= 10
            ),
            864000.0,
        )
    raw = max(ends_s, 1e-6) / 8
    power = 10.0 ** floor(log10(raw))
    return next(power * factor for factor in (1, 2, 5, 10) if power * factor >= raw)


def _has_room(bar: Bar, scale: float) -> bool:
    return (bar.to_s - bar.from_s) * scale > 6.5 * len(bar.text)


def _unnamed(rows: Sequence[Row], scale: float) -> Iterator[str]:
    for row in rows:
        short = [
            f"{_moment(bar.from_s)} {bar.text}"
            for bar in row.bars
            if bar.text != "on" and not _has_room(bar, scale)
        ]
        if short:
            yield f"{row.name}: {', '.join(short)}"


def _folded(text: str, most: int, *, indent: str = "   ", after: str = " /") -> list[str]:
    """Lines of at most so many characters, broken `after` these, never between number and unit. Nothing is
    left out.
    """
    import re

    kept = re.sub(r"(?<=\d) (?=(?:ms|s|min|h|d)\b)", "\u00a0", text)
    lines = [""]
    for piece in re.findall(rf"[^{after}]*(?:[{after}]+|$)", kept):
        if lines[-1].strip() and len(lines[-1]) + len(piece.rstrip()) > most:
            lines.append(indent)
        rest = piece
        while len(lines[-1]) + len(rest.rstrip()) > most:  # a word longer than a line
            room = most - len(lines[-1])
            lines[-1], rest = lines[-1] + rest[:room], rest[room:]
            lines.append(indent)
        lines[-1] += rest
    return [line.rstrip().replace("\u00a0", " ") for line in lines if line.strip()] or [""]
