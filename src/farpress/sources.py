"""Where a number comes from, and how far it may be trusted.

Every figure that is shown carries a citation; every public calculation names its
document with `@cites`. Nothing here reads a file.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, TypeVar

__all__ = ["Citation", "Mark", "cited", "cites", "together"]

_F = TypeVar("_F", bound=Callable[..., Any])


class Mark(StrEnum):
    """How a figure came to us; printed beside it."""

    READ = "read"
    COPY = "read in a copy"
    MEMORY = "from memory"
    COMPUTED = "computed"
    CHOICE = "our choice"
    PRACTICE = "common practice, no source"
    GIVEN = "given in the job"
    MEASURED = "measured on site"
    INVENTED = "invented example"


@dataclass(frozen=True, order=True)
class Citation:
    """One source of a figure.

    Attributes:
        document: title or number of the document, or a few words of our own.
        edition: edition or year; empty where there is none.
        place: clause, table, line of the job file.
        mark: how the figure came to us.
    """

    document: str
    edition: str = ""
    place: str = ""
    mark: Mark = Mark.READ

    def __str__(self) -> str:
        """One line for people, the mark in brackets."""
        edition = f"-{self.edition}" if self.edition else ""
        place = f", {self.place}" if self.place else ""
        return f"{self.document}{edition}{place} [{self.mark}]"


def cites(document: str, *, edition: str = "", place: str = "", mark: Mark = Mark.READ) -> Callable[[_F], _F]:
    """Attach a citation to a function without wrapping it; may be stacked."""

    def attach(function: _F) -> _F:
        before: tuple[Citation, ...] = getattr(function, "__citations__", ())
        citation = Citation(document, edition, place, mark)
        function.__citations__ = (citation, *before)  # type: ignore[attr-defined]
        return function

    return attach


def cited(function: Callable[..., Any]) -> tuple[Citation, ...]:
    """The citations of a function, in the order they stand above it."""
    found: tuple[Citation, ...] = getattr(function, "__citations__", ())
    return found


def together(citations: Iterable[Citation]) -> tuple[str, ...]:
    """Citations for people, each document once, its lines gathered.

    Example:
        >>> sheet = [
        ...     Citation("data sheet", place=f"job.yaml, line {line}", mark=Mark.GIVEN) for line in (96, 99)
        ... ]
        >>> together(sheet)
        ('data sheet, job.yaml, lines 96, 99 [given in the job]',)
    """
    lines: dict[tuple[str, str], list[str]] = {}
    for citation in citations:
        before, found, number = str(citation).removesuffix(f" [{citation.mark}]").rpartition("line ")
        numbered = bool(found) and number.isdigit()
        known = lines.setdefault((before if numbered else f"{before}{found}{number}", citation.mark), [])
        if numbered and number not in known:
            known.append(number)
    return tuple(
        text
        + (f"{'lines' if len(numbers) > 1 else 'line'} {', '.join(numbers)}" if numbers else "")
        + f" [{mark}]"
        for (text, mark), numbers in lines.items()
    )
