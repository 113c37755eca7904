"""Numbers of the sources of one paper: the same in its PDF, its workbook and its CSV files.

The places of one document stand under one number; a dagger marks what is from memory,
our own choice or common practice.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Final

from farpress.papers.typesetting.paper import (
    Cell,
    Column,
    Fields,
    Findings,
    Paper,
    PaperField,
    PaperTable,
    Promises,
)
from farpress.sources import Citation, Mark

__all__ = ["SourceNumbers", "ranges_text"]

JOB_FILE: Final = "job file"
"""Document of what the job says; a place in it is its line, printed behind the number: "[1:47]"."""

MOST_LINES: Final = 3
"""Lines that stand behind a number; of more only the number. Our choice."""

_JOB_LINE: Final = re.compile(r"(.+), line (\d+)")

UNSURE: Final = frozenset({Mark.MEMORY, Mark.CHOICE, Mark.PRACTICE})
"""Marks that get a dagger: check before relying on the figure."""


class SourceNumbers:
    """Which number each source of a paper has."""

    def __init__(self, paper: Paper) -> None:
        """Number the sources in the order in which the paper names them."""
        self._places: dict[tuple[str, str, Mark], list[str]] = {}
        for citation in _cited(paper):
            places = self._places.setdefault((citation.document, citation.edition, citation.mark), [])
            if citation.place and citation.place not in places:
                places.append(citation.place)
        self._numbers = {key: number for number, key in enumerate(self._places, 1)}

    def refs(self, sources: Iterable[Citation]) -> str:
        """As "[1, 4–6]†", with a dagger if one of them is unsure; empty without sources."""
        found: dict[tuple[str, str, Mark], list[int]] = {}
        for citation in sources:
            if (key := (citation.document, citation.edition, citation.mark)) in self._numbers:
                line = _JOB_LINE.fullmatch(citation.place) if citation.document == JOB_FILE else None
                found.setdefault(key, []).extend([int(line[2])] if line else [])
        sign = "†" if any(key[2] in UNSURE for key in found) else ""
        lined = [
            f"{self._numbers[key]}:{', '.join(map(str, sorted(set(lines))))}"
            for key, lines in found.items()
            if 0 < len(set(lines)) <= MOST_LINES
        ]
        plain = ranges_text(
            self._numbers[key] for key, lines in found.items() if not 0 < len(set(lines)) <= MOST_LINES
        )
        return f"[{'; '.join([*lined, *([plain] if plain else [])])}]{sign}" if found else ""

    def listed(self) -> tuple[tuple[str, str, str], ...]:
        """The list at the end: number, document with its places, how we know."""
        return tuple(
            (
                f"{self._numbers[key]}{'†' if key[2] in UNSURE else ''}",
                _document(key[0], key[1], places),
                str(key[2]),
            )
            for key, places in self._places.items()
        )

    def of_row(self, columns: tuple[Column, ...], row: tuple[Cell | str | None, ...]) -> str:
        """Sources of one row for a spreadsheet: "length [1]; core, 20 °C [3]†; all [2]"."""
        found = [
            f"{column.title} {refs}"
            for column, cell in zip(columns, row, strict=True)
            if (
                refs := self.refs(
                    (
                        *column.sources,
                        *(cell.sources if isinstance(cell, Cell) and not cell.is_for_row else ()),
                    )
                )
            )
        ]
        whole = self.refs(
            source for cell in row if isinstance(cell, Cell) and cell.is_for_row for source in cell.sources
        )
        return "; ".join([*found, *([f"all else {whole}" if found else f"all {whole}"] if whole else [])])


def ranges_text(numbers: Iterable[int]) -> str:
    """Numbers in order, neighbours drawn together: "1, 4–6"."""
    parts: list[list[int]] = []
    for number in sorted(set(numbers)):
        if parts and number == parts[-1][-1] + 1:
            parts[-1].append(number)
        else:
            parts.append([number])
    return ", ".join(f"{part[0]}–{part[-1]}" if len(part) > 1 else str(part[0]) for part in parts)


def _cited(paper: Paper) -> Iterator[Citation]:
    for block in paper.blocks():
        match block:
            case PaperTable(rows=(), blank_rows=0):
                continue  # a sentence stands in its place
            case PaperTable(columns=columns, rows=rows):
                yield from (source for column in columns for source in column.sources)
                yield from (
                    source
                    for row in rows
                    for cell in row
                    if isinstance(cell, Cell)
                    for source in cell.sources
                )
            case Fields(fields=fields):
                yield from (source for field in fields for source in _of_field(field))
            case Findings(findings=findings):
                yield from (source for finding in findings for source in finding.sources)
            case Promises(chains=chains):
                yield from (source for chain in chains if chain.weakest for source in chain.weakest.sources)


def _of_field(field: PaperField) -> tuple[Citation, ...]:
    return field.sources if field.value is not None else ()


def _document(document: str, edition: str, places: list[str]) -> str:
    return (
        f"{document}{f' ({edition})' if edition else ''}{f', {_joined(document, places)}' if places else ''}"
    )


def _joined(document: str, places: list[str]) -> str:
    """Lines of one file together: "job.yaml, lines 47, 48, 96"."""
    lines: dict[str, list[int]] = {}
    others = []
    for place in places:
        file, found, number = place.rpartition(", line ")
        if found and number.isdigit():
            lines.setdefault(file, []).append(int(number))
        else:
            others.append(place)
    if document == JOB_FILE and lines:
        return "; ".join([*others, *(f"behind the colon the line of {file}" for file in lines)])
    several = [
        f"{file}, line{'s' if len(found) > 1 else ''} {ranges_text(found)}" for file, found in lines.items()
    ]
    return "; ".join([*others, *several])
