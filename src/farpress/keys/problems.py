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
    for problem in problems:
        by_text.setdefault((problem.column, problem.says), []).append(problem.row)
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
    stretches: list[list[int]] = []
    for row in rows:
        if stretches and row == stretches[-1][1] + 1:
            stretches[-1][1] = row
        else:
            stretches.append([row, row])
    is_pair = len(stretches) == 1 and stretches[0][1] == stretches[0][0] + 1
    between = " and " if is_pair else " to "
    return listed(f"{first}" if first == last else f"{first}{between}{last}" for first, last in stretches)


def closest_or_all(given: str, known: Iterable[str]) -> str:
    """The closest name there is, or those there are, as the end of a sentence."""
    names = list(known)
    near = closest(given, names, most=1, cutoff=0.6)
    if near or not names:
        return near
    return f"; it has {listed(names[:MOST_NAMED])}{' and more' if len(names) > MOST_NAMED else ''}"
