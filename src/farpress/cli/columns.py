"""Rows as columns of text within a width; the last column is wrapped."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

__all__ = ["columns", "wrapped"]


def columns(rows: Sequence[Sequence[str]], *, head: Sequence[str] = (), width: int = 80) -> str:
    """Rows as aligned text; columns as wide as needed, up to 28 each, the last takes what is left."""
    every = [list(head)] if head else []
    every += [
        [" ".join("".join(one if one.isprintable() else " " for one in cell).split()) for cell in row]
        for row in rows
    ]
    if not every:
        return ""
    count = len(every[0])
    wide = [min(max(len(row[at]) for row in every), 28) for at in range(count - 1)]
    left = max(width - sum(wide) - 2 * (count - 1), 20)
    lines = []
    for row in every:
        cells = [textwrap.wrap(cell, limit) or [""] for cell, limit in zip(row, [*wide, left])]
        for at in range(max(map(len, cells))):
            parts = [
                (cell[at] if at < len(cell) else "").ljust(limit) for cell, limit in zip(cells, [*wide, 0])
            ]
            lines.append("  ".join(parts).rstrip())
    return "\n".join(lines)


def wrapped(text: str, *, width: int = 80, first: str = "", rest: str = "") -> str:
    """A sentence within the width."""
    return textwrap.fill(
        " ".join(text.split()), width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )
