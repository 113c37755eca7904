"""What is wrong in a list, row by row, and how it is told."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from farpress.phrases import closest, listed

__all__ = ["MOST_NAMED", "Problem", "closest_or_all", "told_together"]

MOST_NAMED: Final = 12
"""Names that are listed where none is close; our choice."""


@dataclass(frozen=True, order=True)
class Problem:
    """One thing that keeps a list from being taken over.

    Attributes:
        row: as counted by a spreadsheet, the head being row 1; 0 for the whole list.
        column: the column's name, or empty.
        says: what was given, what is allowed, what to do.
    """

    row: int
    column: str
    says: str

    def __str__(self) -> str:
        """For a list of problems."""
        place = f"row {self.row}" if self.row else "the list"
        return f"{place}{f', {self.column}' if self.column else ''}: {self.says}"


def told_together(problems: Iterable[Problem]) -> list[str]:
    """Problems as sentences, the same one in many rows once with all its rows, in the order of the first."""
    by_text: dict[tuple[str, str], list[int]] = {}
    for one in problems:
        by_text.setdefault((one.column, one.says), []).append(one.row)
    return [
        (
            str(Problem(rows[0], column, says))
            if len(rows) == 1
            else f"rows {_stretches(rows)}{f', {column}' if column else ''}: {says}"
        )
        for (column, says), rows in by_text.items()
    ]


def _stretches(rows: list[int]) -> str:
    """5, 6, 7, 9 as "5 to 7 and 9"."""
    found: list[list[int]] = []
    for row in rows:
        if found and row == found[-1][1] + 1:
            found[-1][1] = row
        else:
            found.append([row, row])
    return listed(
        (
            f"{first}"
            if first == last
            else f"{first} and {last}"
            if last == first + 1 and len(found) == 1
            else f"{first} to {last}"
        )
        for first, last in found
    )


def closest_or_all(given: str, known: Iterable[str]) -> str:
    """The closest name there is, or those there are, as the end of a sentence."""
    names = list(known)
    near = closest(given, names, most=1, cutoff=0.6)
    if near or not names:
        return near
    return f"; it has {listed(names[:MOST_NAMED])}{' and more' if len(names) > MOST_NAMED else ''}"
