"""A paper as plain data: sections of fields, tables, judgements, drawings and lines to sign.

One model for every paper, so that the PDF, the spreadsheet and a page on screen show the
same values. A value that is not known is None: it becomes a line to write on and, where
it ought to be known, an entry in the list of missing fields at the front. Nothing here
sets type or reads a file.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

from farpress.domain.finding import Chain, Finding
from farpress.sources import Citation

__all__ = [
    "Block",
    "Cautions",
    "Cell",
    "Column",
    "Drawing",
    "Drawings",
    "Fields",
    "Findings",
    "Head",
    "Paper",
    "PaperField",
    "PaperTable",
    "Promises",
    "Section",
    "Signatures",
    "Text",
    "Tick",
    "Ticks",
]


@dataclass(frozen=True)
class Cell:
    """One cell of a table.

    Attributes:
        text: what stands in it; "" is an empty cell, None a line to write on.
        verdict: holds, thin, unknown or fails; drawn as a link before the text. "" for none.
        sources: where its figure comes from; printed as numbers of the list at the end.
        is_for_row: these sources hold for every figure of its row.
    """

    text: str | None
    verdict: str = ""
    sources: tuple[Citation, ...] = ()
    is_for_row: bool = False


@dataclass(frozen=True)
class Column:
    """A column.

    Attributes:
        title: its head, with the unit where every figure has the same.
        share: of the width; 0: as narrow as its words.
        is_number: it holds numbers.
        sources: of every figure in it; printed once, in its head.
    """

    title: str
    share: float = 1.0
    is_number: bool = False
    sources: tuple[Citation, ...] = ()


@dataclass(frozen=True)
class PaperTable:
    """A table.

    Attributes:
        name: short name, unique in its paper: the sheet of the workbook.
        columns: at least one.
        rows: as many cells as columns; a plain text is a cell, None a line to write on.
        title: printed above; may be empty.
        empty: the sentence that stands in place of a table without rows.
        blank_rows: empty rows to write in, after the others.
    """

    name: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell | str | None, ...], ...]
    title: str = ""
    empty: str = "Nothing to enter."
    blank_rows: int = 0


@dataclass(frozen=True)
class PaperField:
    """A labelled value.

    Attributes:
        label: what it is.
        value: None where it is not known.
        ask: what to do about a missing value; such a field is listed at the front. Empty
            for a line that is meant to be filled in by hand, as a signature.
        sources: where it comes from.
    """

    label: str
    value: str | None
    ask: str = ""
    sources: tuple[Citation, ...] = ()


@dataclass(frozen=True)
class Fields:
    """Fields side by side."""

    fields: tuple[PaperField, ...]
    columns: int = 2


@dataclass(frozen=True)
class Text:
    """A paragraph; `is_note` sets it small."""

    text: str
    is_note: bool = False
    is_strong: bool = False


@dataclass(frozen=True)
class Findings:
    """Judgements with number, reason, remedy and source; `empty` stands where there are none."""

    findings: tuple[Finding, ...]
    empty: str = ""


@dataclass(frozen=True)
class Promises:
    """Promises as chains, with the weakest link of each in words; `is_brief` leaves its reason, remedy and
    source to others.
    """

    chains: tuple[Chain, ...]
    empty: str = "Nothing is promised yet; nothing was judged from end to end."
    is_brief: bool = False


@dataclass(frozen=True)
class Cautions:
    """Sentences of caution in a box that cannot be overlooked in black and white."""

    sentences: tuple[str, ...]


@dataclass(frozen=True)
class Tick:
    """A line to tick: done, not done, or None for a box to tick by hand."""

    text: str
    done: bool | None = None


@dataclass(frozen=True)
class Ticks:
    """A list of lines to tick."""

    items: tuple[Tick, ...]


@dataclass(frozen=True)
class Signatures:
    """Lines to sign: who signs → what for. Each has name, date and signature."""

    roles: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Drawing:
    """A drawing as SVG text, with what it shows in words for readers aloud."""

    svg: str
    alt: str
    caption: str = ""
    width_share: float = 1.0


@dataclass(frozen=True)
class Drawings:
    """Drawings side by side; one alone takes half the width."""

    drawings: tuple[Drawing, ...]


Block: TypeAlias = (
    Drawings | PaperTable | Fields | Text | Findings | Promises | Cautions | Ticks | Signatures | Drawing
)


@dataclass(frozen=True)
class Section:
    """A heading and what stands under it.

    Attributes:
        is_on_new_page: begins a page.
        is_turned: on sheets of its own that lie the other way than the rest of the paper.
    """

    title: str
    blocks: tuple[Block, ...]
    is_on_new_page: bool = False
    is_turned: bool = False


@dataclass(frozen=True)
class Head:
    """What every page of every paper of one issue has in common.

    Attributes:
        job: name of the job.
        fingerprint, version: of the job file and of the program.
        date: as printed; None leaves a line to write on.
        issue, prepared_by, installer, telephone: as the job gives them.
        day: the same date for programs; with it a paper is fit to be archived (PDF/A-2a).
    """

    job: str
    fingerprint: str
    version: str
    date: str | None = None
    issue: str | None = None
    prepared_by: str | None = None
    installer: str | None = None
    telephone: str | None = None
    day: datetime.date | None = None

    @property
    def day_numbers(self) -> list[int] | None:
        """Year, month and day for the typesetter; None where no day is given."""
        return [self.day.year, self.day.month, self.day.day] if self.day is not None else None


@dataclass(frozen=True)
class Paper:
    """One paper.

    Attributes:
        name: name of its file, without ending.
        title: as printed.
        purpose: one sentence: whom it is for and what it is good for.
        sections: in order.
        missing: what is missing besides the empty fields with `ask`: sentences.
        is_wide: set across the long side of the sheet.
        is_close: set closer, so that each of its sheets keeps to one page.
        language: of its fixed words.
        is_for_customer: without what only the firm needs in its title block.
    """

    name: str
    title: str
    purpose: str
    sections: tuple[Section, ...]
    missing: tuple[str, ...] = ()
    is_wide: bool = False
    is_close: bool = False
    language: str = "en"
    is_for_customer: bool = False

    def blocks(self) -> Iterator[Block]:
        """Every block, in order."""
        for section in self.sections:
            yield from section.blocks

    def tables(self) -> tuple[PaperTable, ...]:
        """Every table, in order."""
        return tuple(block for block in self.blocks() if isinstance(block, PaperTable))

    def all_missing(self) -> tuple[str, ...]:
        """Everything that ought to be known and is not, each once: the list at the front."""
        asked = [
            f"{field.label}: {field.ask}"
            for block in self.blocks()
            if isinstance(block, Fields)
            for field in block.fields
            if field.value is None and field.ask
        ]
        return tuple(dict.fromkeys((*asked, *self.missing)))
