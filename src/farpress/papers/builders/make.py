"""Make the papers of a job, each with its tables: the next one is put together while one is being set.

Setting type needs no Python, so one thread sets what another has put together. Papers
come out in the order in which they were asked for; equal jobs give equal bytes.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Collection, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Final

from farpress.errors import InputError
from farpress.judging.remedies.shown import with_shown_remedies
from farpress.papers.builders import (
    cell_plan,
    change_order,
    cover,
    data_note,
    handover,
    lost_fob,
    output_sheets,
    proposal,
    proving,
    reach,
    refusal_letter,
    register,
    risks,
    settings,
    survey,
    upkeep,
    wiring,
)
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.cards import CardMaker, labels_of
from farpress.papers.builders.own_words import untranslated
from farpress.papers.typesetting.cards import Card, labels_pdf, pocket_cards_pdf, user_cards_pdf
from farpress.papers.typesetting.kinds import AUDIENCES, KINDS
from farpress.papers.typesetting.paper import Column, Head, Paper, PaperTable
from farpress.papers.typesetting.render import paper_pdf
from farpress.papers.typesetting.spreadsheet import TableSheet, sheet_csv, sheet_of, sheets_of, sheets_xlsx
from farpress.papers.typesetting.summary import summary_paper
from farpress.papers.typesetting.typeset import paper_size
from farpress.phrases import slug

__all__ = ["BUILDERS", "MadeFile", "Progress", "chosen_kinds", "files_of", "make_papers", "paper_of"]

Progress = Callable[[int, int, str], None]
"""Told (steps done, of, what is made now); may raise to cancel."""

BUILDERS: Final[dict[str, Callable[[Basis], Paper]]] = {
    "cover": cover.paper,
    "survey-record": survey.paper,
    "system-design-proposal": proposal.paper,
    "wiring-schedule": wiring.paper,
    "output-sheets": output_sheets.paper,
    "settings-schedule": settings.paper,
    "key-register": register.paper,
    "key-register-without-names": register.paper_without_names,
    "proving-record": proving.paper,
    "risk-notes": risks.paper,
    "handover-certificate": handover.paper,
    "maintenance-plan": upkeep.maintenance_plan,
    "log-book": upkeep.log_book,
    "lost-fob-sheet": lost_fob.paper,
    "change-order": change_order.paper,
    "data-note": data_note.data_note,
    "cell-plan": cell_plan.cell_plan,
    "reach-report": reach.paper,
    "refusal-letter": refusal_letter.refusal_letter,
    "summary": lambda basis: summary_paper(basis.assessment),
}
"""Name of a paper of the model → what makes it; cards and labels have templates of their own."""

WITH_REMEDIES: Final = frozenset(
    (
        "survey-record",
        "system-design-proposal",
        "risk-notes",
        "data-note",
        "reach-report",
        "refusal-letter",
        "summary",
    )
)
"""Papers that print remedies; for them every change is tried first."""

HEAP: Final = 120
"""Cards set in one go: few enough to be cancelled within seconds. Our choice."""

AHEAD: Final = 2
"""Papers put together before the one that is being set is finished: enough to keep two cores at work. Our
choice."""


@dataclass(frozen=True)
class MadeFile:
    """One finished file.

    Attributes:
        name: relative to the folder of the pack, with forward slashes.
        content: its bytes.
        kind: the paper it belongs to.
        title: as printed.
        missing: what is missing in it.
    """

    name: str
    content: bytes
    kind: str
    title: str = ""
    missing: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Planned:
    """A file that is not made yet; the first of a step is its PDF, set in the other thread."""

    name: str
    make: Callable[[], bytes]
    kind: str
    title: str = ""
    missing: tuple[str, ...] = ()

    def made(self, content: bytes) -> MadeFile:
        return MadeFile(self.name, content, self.kind, self.title, self.missing)


Step = Callable[[], list[_Planned]]


@dataclass
class _PaperWork:
    """Cards are made once, although two papers show them."""

    basis: Basis
    maker: CardMaker = field(init=False)

    def __post_init__(self) -> None:
        self.maker = CardMaker(self.basis)

    @cached_property
    def heaps(self) -> tuple[tuple[str, tuple[Card, ...]], ...]:
        return tuple(
            (
                f"{slug(name)}{f'-{start // HEAP + 1}' if len(cards) > HEAP else ''}",
                cards[start : start + HEAP],
            )
            for name, cards in self.maker.batches()
            for start in range(0, len(cards), HEAP)
        )


def make_papers(
    basis: Basis, kinds: Collection[str], *, size: str = "a4", progress: Progress | None = None
) -> Iterator[MadeFile]:
    """Make papers one after the other, each with its tables as workbook and CSV.

    Args:
        basis: job, judgements, record.
        kinds: names of papers, see `chosen_kinds`.
        size: "a4" or "letter".
        progress: told (done, of, what comes now) before each step; may raise to cancel.

    Raises:
        InputError: an unknown paper size.
        PaperError: a paper could not be set.
    """
    paper_size(size)
    stage: tuple[int, int, str] = (0, 0, "")

    def tell(what: str) -> None:
        if progress is not None:
            progress(stage[0], stage[1], f"{stage[2]}: {what}")

    assessment = basis.assessment
    if not WITH_REMEDIES.isdisjoint(kinds):
        assessment = with_shown_remedies(basis.case, assessment)
    work = _PaperWork(replace(basis, assessment=assessment, tell=tell))
    steps = [(kind, step) for kind in kinds for step in _steps(work, kind, size)]
    waiting: deque[tuple[list[_Planned], Future[bytes]]] = deque()
    setter = ThreadPoolExecutor(1, "setting")
    try:
        for number, (kind, step) in enumerate(steps):
            stage = (number, len(steps), KINDS[kind].title)
            if progress is not None:
                progress(*stage)
            planned = step()
            waiting.append((planned, setter.submit(planned[0].make)))
            if len(waiting) > AHEAD:
                yield from _finished(*waiting.popleft())
        while waiting:
            yield from _finished(*waiting.popleft())
    finally:
        setter.shutdown(wait=True, cancel_futures=True)
    if progress is not None:
        progress(len(steps), len(steps), "done")


def _finished(planned: list[_Planned], first: Future[bytes]) -> Iterator[MadeFile]:
    tables = [table.made(table.make()) for table in planned[1:]]  # while the first is being set
    yield planned[0].made(first.result())
    yield from tables


def chosen_kinds(only: Collection[str] = (), audience: str | None = None) -> tuple[str, ...]:
    """Names of the papers to make, in the order of a pack.

    Raises:
        InputError: an unknown paper or audience.
    """
    unknown = [name for name in only if name not in KINDS]
    if unknown:
        raise InputError(f"There is no paper '{unknown[0]}'; there are {', '.join(KINDS)}.")
    if audience is not None and audience not in AUDIENCES:
        raise InputError(f"There are no papers for '{audience}'; there are some for {', '.join(AUDIENCES)}.")
    return tuple(
        name
        for name, kind in KINDS.items()
        if (name in only if only else audience is None or audience in kind.audiences)
    )


def paper_of(basis: Basis, name: str) -> Paper:
    """One paper of the model, as data: to print, or to show on a page.

    Raises:
        InputError: no such paper, or one with a template of its own.
    """
    if name not in BUILDERS:
        raise InputError(f"'{name}' is no paper made of sections; there are {', '.join(BUILDERS)}.")
    return BUILDERS[name](basis)


def files_of(paper: Paper, head: Head, *, size: str = "a4") -> tuple[MadeFile, ...]:
    """One paper that is ready, set, with its tables as workbook and CSV.

    Raises:
        InputError: an unknown paper size.
        PaperError: it could not be set.
    """
    return tuple(planned.made(planned.make()) for planned in _planned_files(paper, head, size))


def _steps(work: _PaperWork, kind: str, size: str) -> Iterator[Step]:
    if kind == "user-cards":
        for name, cards in work.heaps:
            yield lambda name=name, cards=cards: _cards(work.basis, name, cards, size)  # type: ignore[misc]
    elif kind == "pocket-cards":
        yield lambda: _pocket(work, size)
    elif kind == "labels":
        yield lambda: _labels(work.basis, size)
    else:
        yield lambda: _paper(work.basis, kind, size)


def _paper(basis: Basis, kind: str, size: str) -> list[_Planned]:
    paper = replace(paper_of(basis, kind), name=kind)
    return _planned_files(paper, basis.head if paper.language == "en" else basis.head_in_language, size)


def _planned_files(paper: Paper, head: Head, size: str) -> list[_Planned]:
    return [
        _Planned(
            f"{paper.name}.pdf",
            lambda: paper_pdf(paper, head, size=size),
            paper.name,
            paper.title,
            paper.all_missing(),
        ),
        *_tables(paper.name, paper.title, sheets_of(paper)),
    ]


def _tables(kind: str, title: str, sheets: tuple[TableSheet, ...]) -> Iterator[_Planned]:
    if not sheets:
        return
    yield _Planned(f"tables/{kind}.xlsx", lambda: sheets_xlsx(title, sheets), kind)
    for sheet in sheets:
        yield _Planned(f"tables/{kind}/{slug(sheet.name)}.csv", lambda sheet=sheet: sheet_csv(sheet), kind)  # type: ignore[misc]


def _cards(basis: Basis, name: str, cards: tuple[Card, ...], size: str) -> list[_Planned]:
    missing = (*dict.fromkeys(text for card in cards for text in card.missing), *untranslated(basis))
    title = f"User cards{f', {name}' if name else ''} ({len(cards)})"
    return [
        _Planned(
            f"user-cards{f'-{name}' if name else ''}.pdf",
            lambda: user_cards_pdf(cards, basis.head_in_language, basis.texts, size=size),
            "user-cards",
            title,
            missing,
        )
    ]


def _pocket(work: _PaperWork, size: str) -> list[_Planned]:
    cards = tuple(card for _, heap in work.heaps for card in heap)
    return [
        _Planned(
            "pocket-cards.pdf",
            lambda: pocket_cards_pdf(cards, work.basis.head_in_language, work.basis.texts, size=size),
            "pocket-cards",
            "Pocket cards",
        )
    ]


def _labels(basis: Basis, size: str) -> list[_Planned]:
    labels = labels_of(basis)
    rows = tuple((label.text, label.below[1] if label.below[1:] else "") for label in labels)
    tables = (sheet_of(PaperTable("labels", (Column("label"), Column("telephone")), rows)),) if rows else ()
    return [
        _Planned(
            "labels.pdf",
            lambda: labels_pdf(labels, basis.head_in_language, basis.texts, size=size),
            "labels",
            "Labels",
        ),
        *_tables("labels", "Labels", tables),
    ]
