"""Write what the faces of the papers cover: `papers/typesetting/fonts/coverage.txt`.

Run it after a face was added or replaced. One range of code points a line, hexadecimal. fontTools reads the
faces here and in the test that compares, so that the program itself need not carry it.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path

from fontTools.ttLib import TTFont

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "src"))

from farpress.papers.typesetting.faces import FONT_FOLDER


def covered(folder: Path) -> set[int]:
    """Code points with a glyph in an upright face."""
    points: set[int] = set()
    for path in sorted(folder.glob("*.ttf")):
        if path.name not in ITALIC:
            with TTFont(path, lazy=True) as face:
                points |= set(face.getBestCmap())
    return points


ITALIC = ("SourceSansPro-It.ttf",)
"""Faces with fewer characters than the upright ones that stand in for them."""


def ranges(points: Iterable[int]) -> str:
    r"""Runs of numbers, first and last of each.

    Example:
        >>> ranges([0x41, 0x42, 0x43, 0x61])
        '41-43\n61\n'
    """
    runs: list[list[int]] = []
    for point in sorted(points):
        if runs and point == runs[-1][1] + 1:
            runs[-1][1] = point
        else:
            runs.append([point, point])
    return "".join(f"{first:x}-{last:x}\n" if last > first else f"{first:x}\n" for first, last in runs)


if __name__ == "__main__":
    target = FONT_FOLDER / "coverage.txt"
    target.write_text(ranges(covered(FONT_FOLDER)), encoding="ascii")
    print(f"{target.name}: {len(covered(FONT_FOLDER))} code points")
