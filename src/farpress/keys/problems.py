"""What is wrong or odd in a list: each row in a class, and how a class is told."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from farpress.phrases import closest, listed, plural

__all__ = [
    "MOST_NAMED",
    "Problem",
    "RowClass",
    "closest_or_all",
    "counted",
    "told_by_class",
    "told_of_list",
    "told_together",
]

MOST_NAMED: Final = 12
"""Names that are listed where none is close; our choice."""

MOST_SENTENCES: Final = 20
"""Sentences up to which each problem is told by itself; our choice, about a screen."""

MOST_STRETCHES: Final = 24
"""Rows, or rows from … to …, that are listed of a class; our choice, about four lines."""


class RowClass(StrEnum):
    """What is the matter with a row, in the order in which it is told, the gravest first."""

    STILL_LEARNED = "lost or blocked, and a receiver still obeys it"
    HOLDERS = "one label, two holders"
    TAKEN = "two labels in one slot of a receiver"
    TWIN = "the same label in another spelling"
    COLUMNS = "another number of cells than the head"
    LETTERS = "letters that are not UTF-8"
    HOLDER = "issued or learned, and nobody holds it"
    RECEIVER = "a receiver that the job does not have"
    BUTTON = "a button or output that there is not"
    DATE = "a date that is none"
    PERIOD = "ends before it begins"
    SLOT = "a slot that is no plain number"
    LONG = "a cell that is too long"
    COPY = "the same row again"
    KNOWN = "in the register already"
    OTHER = "contradictions and gaps"
    LOOK_ALIKE = "labels that look alike (O and 0, I and 1)"
    INVISIBLE = "characters that cannot be seen"
    NO_SLOT = "no slot, where other rows have one"
    FORMULA = "cells that a spreadsheet would take for a formula"

    @property
    def stops(self) -> bool:
        """Whether a row of it is not taken; else it is taken, and told."""
        return self not in _TAKEN


_TAKEN: Final = frozenset(
    {RowClass.STILL_LEARNED, RowClass.LOOK_ALIKE, RowClass.INVISIBLE, RowClass.NO_SLOT, RowClass.FORMULA}
)

_TO_DO: Final = {
    RowClass.STILL_LEARNED: "They are taken as lost keys that still open: delete them at the receivers first"
    " ('keys due' lists them).",
    RowClass.HOLDERS: "Ask who has the fob; all rows of such a label wait.",
    RowClass.TAKEN: "One of the two was overwritten: read the receiver's memory, or press both.",
    RowClass.TWIN: "One fob or two? Write one label in one way.",
    RowClass.COLUMNS: "A separator is missing, or one too many stands in a cell.",
    RowClass.COPY: "The first one counts; take the others out.",
    RowClass.LOOK_ALIKE: "They are taken as two fobs: look at the fobs themselves.",
    RowClass.INVISIBLE: "They are taken without them.",
    RowClass.NO_SLOT: "They are taken: to delete one later may need the fob itself.",
    RowClass.FORMULA: "They are kept as text, and every table that goes out keeps them from being computed.",
}
"""What to do about all rows of a class."""


@dataclass(frozen=True, order=True)
class Problem:
    """One thing that keeps a row from being taken over, or that is told of it.

    Attributes:
        row: as counted by a spreadsheet, the head being row 1; 0 for the whole list.
        column: the column's name, or empty.
        says: what was given, what is allowed, what to do.
        kind: its class.
        also: other rows that cannot be taken while this stands.
    """

    row: int
    column: str
    says: str
    kind: RowClass = RowClass.OTHER
    also: tuple[int, ...] = ()

    def __str__(self) -> str:
        """For a list of problems."""
        place = f"row {self.row}" if self.row else "the list"
        return f"{place}{f', {self.column}' if self.column else ''}: {self.says}"


def counted(problems: Iterable[Problem]) -> dict[RowClass, tuple[int, ...]]:
    """Class → the rows in it, each once, the classes in the order in which they are told."""
    found: dict[RowClass, set[int]] = {}
    for problem in problems:
        found.setdefault(problem.kind, set()).add(problem.row)
    return {kind: tuple(sorted(found[kind])) for kind in RowClass if kind in found}


def told_together(problems: Iterable[Problem]) -> list[str]:
    """Problems as sentences, the same one in many rows once with all its rows, in the order of the first; by
    class where there would be too many.
    """
    given = list(problems)
    by_text: dict[tuple[str, str], list[int]] = {}
    for problem in given:
        by_text.setdefault((problem.column, problem.says), []).append(problem.row)
    if len(by_text) > MOST_SENTENCES:
        return told_by_class(given)
    return [
        (
            str(Problem(rows[0], column, says))
            if len(rows) == 1
            else f"rows {_stretches(rows)}{f', {column}' if column else ''}: {says}"
        )
        for (column, says), rows in by_text.items()
    ]


def told_of_list(problems: Sequence[Problem], told: Sequence[Problem]) -> list[str]:
    """All that is to be said of a list's rows: by class with the gravest first, or, where there are few
    problems, each by itself after what is only told.
    """
    if len({(problem.column, problem.says) for problem in problems}) > MOST_SENTENCES:
        return told_by_class([*problems, *told])
    return [*told_by_class(told), *told_together(problems)]


def told_by_class(problems: Iterable[Problem]) -> list[str]:
    """One paragraph a class: what it is, how many rows, which, the first of them in full, what to do."""
    given = list(problems)
    first: dict[RowClass, Problem] = {}
    for problem in sorted(given):
        first.setdefault(problem.kind, problem)
    told = []
    for kind, rows in counted(given).items():
        words = f"{kind[:1].upper()}{kind[1:]}: {plural(len(rows), 'row')}"
        example = f" First, {first[kind]}" if len(rows) > 1 else f" {first[kind].says}"
        to_do = f" {_TO_DO[kind]}" if kind in _TO_DO else ""
        where = f" ({_stretches(list(rows), most=MOST_STRETCHES)})" if rows != (0,) else ""
        told.append(f"{words}{where}.{example}{to_do}")
    return told


def _stretches(rows: list[int], *, most: int | None = None) -> str:
    """5, 6, 7, 9 as "5 to 7 and 9"."""
    stretches: list[list[int]] = []
    for row in rows:
        if stretches and row == stretches[-1][1] + 1:
            stretches[-1][1] = row
        else:
            stretches.append([row, row])
    is_pair = len(stretches) == 1 and stretches[0][1] == stretches[0][0] + 1
    between = " and " if is_pair else " to "
    named = [f"{first}" if first == last else f"{first}{between}{last}" for first, last in stretches]
    if most is not None and len(named) > most:
        left = sum(last - first + 1 for first, last in stretches[most:])
        return f"{', '.join(named[:most])} and {left} more"
    return listed(named)


def closest_or_all(given: str, known: Iterable[str]) -> str:
    """The closest name there is, or those there are, as the end of a sentence."""
    names = list(known)
    near = closest(given, names, most=1, cutoff=0.6)
    if near or not names:
        return near
    return f"; it has {listed(names[:MOST_NAMED])}{' and more' if len(names) > MOST_NAMED else ''}"
