"""Write the papers of a job: one, or a pack with tables, contents, manifest and hashes.

Each file is replaced as a whole. A pack that is cancelled leaves whole files and no
manifest, so that nobody takes it for a pack.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Final

from farpress.errors import InputError
from farpress.papers.bundle import SUMS_NAME, bundle, manifest, sums
from farpress.papers.cards import Card, labels_pdf, pocket_cards_pdf, user_cards_pdf
from farpress.papers.kinds import AUDIENCES, KINDS
from farpress.papers.paper import Column, Paper, Section, Table, Text
from farpress.papers.render import paper_pdf
from farpress.papers.spreadsheet import table_csv, workbook
from farpress.papers.summary import summary_pdf
from farpress.papers.typeset import paper_size
from farpress.papers.write import write_file
from farpress.tasks.paper_data import (
    change_order,
    handover,
    lost_fob,
    notes,
    proposal,
    proving,
    reach,
    register,
    risks,
    settings,
    survey,
    upkeep,
    wiring,
)
from farpress.tasks.paper_data.basis import Basis
from farpress.tasks.paper_data.cards import CardMaker, labels_of

__all__ = ["MadeFile", "Pack", "chosen_kinds", "make_papers", "paper_of", "write_papers"]

Progress = Callable[[int, int, str], None]

BUILDERS: Final[dict[str, Callable[[Basis], Paper]]] = {
    "survey-record": survey.paper, "system-design-proposal": proposal.paper, "wiring-schedule": wiring.paper, "settings-schedule": settings.paper,
    "key-register": register.paper, "key-register-without-names": register.paper_without_names, "proving-record": proving.paper, "risk-notes": risks.paper,
    "handover-certificate": handover.paper, "maintenance-plan": upkeep.maintenance_plan, "log-book": upkeep.log_book, "lost-fob-sheet": lost_fob.paper,
    "change-order": change_order.paper, "data-note": notes.data_note, "cell-plan": notes.cell_plan, "reach-report": reach.paper, "refusal-letter": notes.refusal_letter,
}
"""Name of a paper of the model → what makes it; cards, labels and the summary have templates of their own."""

HEAP: Final = 120
"""Cards set in one go: few enough to be cancelled within seconds. Our choice."""


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
class Pack:
    """What was written.

    Attributes:
        folder: where.
        files: in the order of writing.
        zip_file: the ZIP, if one was asked for.
    """

    folder: Path
    files: tuple[MadeFile, ...]
    zip_file: Path | None = None

    @property
    def papers(self) -> tuple[MadeFile, ...]:
        """The PDF files."""
        return tuple(one for one in self.files if one.name.endswith(".pdf"))


@dataclass
class _Work:
    """Cards are made once, although two papers show them."""

    basis: Basis
    maker: CardMaker = field(init=False)

    def __post_init__(self) -> None:
        self.maker = CardMaker(self.basis)

    @cached_property
    def heaps(self) -> tuple[tuple[str, tuple[Card, ...]], ...]:
        return tuple(
            (f"{_slug(name)}{f'-{start // HEAP + 1}' if len(cards) > HEAP else ''}", cards[start : start + HEAP])
            for name, cards in self.maker.batches() for start in range(0, len(cards), HEAP)
        )


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
    return tuple(name for name, kind in KINDS.items() if (name in only if only else audience is None or audience in kind.audiences))


def paper_of(basis: Basis, name: str) -> Paper:
    """One paper of the model, as data: to print, or to show on a page.

    Raises:
        InputError: no such paper, or one with a template of its own.
    """
    if name not in BUILDERS:
        raise InputError(f"'{name}' is no paper made of sections; there are {', '.join(BUILDERS)}.")
    return BUILDERS[name](basis)


def make_papers(basis: Basis, kinds: Collection[str], *, size: str = "a4", progress: Progress | None = None) -> Iterator[MadeFile]:
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
    work = _Work(basis)
    steps = [(kind, step) for kind in kinds for step in _steps(work, kind, size)]
    for number, (kind, step) in enumerate(steps):
        if progress is not None:
            progress(number, len(steps), KINDS[kind].title)
        yield from step()
    if progress is not None:
        progress(len(steps), len(steps), "done")


def _steps(work: _Work, kind: str, size: str) -> Iterator[Callable[[], Iterator[MadeFile]]]:
    if kind == "user-cards":
        for name, cards in work.heaps:
            yield lambda name=name, cards=cards: _cards(work.basis, name, cards, size)  # type: ignore[misc]
    elif kind == "pocket-cards":
        yield lambda: _pocket(work, size)
    elif kind == "labels":
        yield lambda: _labels(work.basis, size)
    elif kind == "summary":
        yield lambda: _summary(work.basis, size)
    else:
        yield lambda: _paper(work.basis, kind, size)


def _paper(basis: Basis, kind: str, size: str) -> Iterator[MadeFile]:
    paper = paper_of(basis, kind)
    yield MadeFile(f"{kind}.pdf", paper_pdf(paper, basis.head, size=size), kind, paper.title, paper.all_missing())
    yield from _tables(kind, paper.title, paper.tables())


def _tables(kind: str, title: str, tables: tuple[Table, ...]) -> Iterator[MadeFile]:
    if not tables:
        return
    yield MadeFile(f"tables/{kind}.xlsx", workbook(title, tables), kind)
    for table in tables:
        yield MadeFile(f"tables/{kind}/{_slug(table.name)}.csv", table_csv(table), kind)


def _cards(basis: Basis, name: str, cards: tuple[Card, ...], size: str) -> Iterator[MadeFile]:
    missing = tuple(dict.fromkeys(one for card in cards for one in card.missing))
    title = f"User cards{f', {name}' if name else ''} ({len(cards)})"
    yield MadeFile(f"user-cards{f'-{name}' if name else ''}.pdf", user_cards_pdf(cards, basis.head_in_language, basis.texts, size=size), "user-cards", title, missing)


def _pocket(work: _Work, size: str) -> Iterator[MadeFile]:
    cards = tuple(card for _, heap in work.heaps for card in heap)
    yield MadeFile("pocket-cards.pdf", pocket_cards_pdf(cards, work.basis.head_in_language, work.basis.texts, size=size), "pocket-cards", "Pocket cards")


def _labels(basis: Basis, size: str) -> Iterator[MadeFile]:
    labels = labels_of(basis)
    yield MadeFile("labels.pdf", labels_pdf(labels, basis.head_in_language, basis.texts, size=size), "labels", "Labels")
    rows = tuple((one.text, *one.below[1:2]) if one.below[1:2] else (one.text, "") for one in labels)
    yield from _tables("labels", "Labels", (Table("labels", (Column("label"), Column("telephone")), rows),) if rows else ())


def _summary(basis: Basis, size: str) -> Iterator[MadeFile]:
    yield MadeFile("summary.pdf", summary_pdf(basis.assessment, paper=size, date=basis.head.date), "summary", "Summary of promises")


def write_papers(
    basis: Basis, folder: Path, *, only: Collection[str] = (), audience: str | None = None, size: str = "a4", as_zip: bool = False, progress: Progress | None = None
) -> Pack:
    """Write a pack, or the papers asked for, into a folder.

    A pack also gets a list of its contents, a manifest with the hash of each file, and the
    hashes in the form that common tools check. Files of an earlier pack that no longer
    belong to it are removed if nobody changed them.

    Args:
        basis: job, judgements, record.
        folder: made if it is not there.
        only: names of papers; empty for a pack.
        audience: customer, installer or auditor; None for all papers.
        size: "a4" or "letter".
        as_zip: put everything into one ZIP beside them as well.
        progress: told (done, of, what) before each step; may raise to cancel.

    Raises:
        InputError: an unknown paper, audience or size.
        PaperError: a paper could not be set or written.
    """
    kinds = chosen_kinds(only, audience)
    if folder.exists() and not folder.is_dir():
        raise InputError(f"{folder} is a file; papers go into a folder. Name another with -o.")
    made: list[MadeFile] = []
    before = {} if only else _earlier(folder)
    if before:
        (folder / MANIFEST).unlink()
    for one in make_papers(basis, kinds, size=size, progress=progress):
        write_file(folder / one.name, one.content)
        made.append(one)
    if not only:
        contents = _contents(made, audience)
        made.insert(0, MadeFile("contents.pdf", paper_pdf(contents, basis.head, size=size), "contents", contents.title))
        write_file(folder / "contents.pdf", made[0].content)
    files = {one.name: one.content for one in made}
    listed = {**files, MANIFEST: manifest(files, _facts(basis, audience, size)), SUMS_NAME: sums(files)}
    if not only:
        for name, digest in before.items():
            _remove(folder / name, digest, keep=name in listed)
        for name in (MANIFEST, SUMS_NAME):
            write_file(folder / name, listed[name])
    target = folder / f"{_slug(basis.case.job.job) or 'job'}-papers.zip" if as_zip else None
    if target is not None:
        write_file(target, bundle(listed))
    return Pack(folder, tuple(made), target)


MANIFEST: Final = "manifest.json"
"""Name of the manifest in a pack."""


def _facts(basis: Basis, audience: str | None, size: str) -> dict[str, object]:
    return {
        "job": basis.case.job.job, "fingerprint": basis.case.fingerprint, "version": basis.assessment.version, "verdict": str(basis.assessment.verdict),
        "date": basis.day.isoformat() if basis.day is not None else None, "for": audience or "all", "paper": size, "language of the cards": basis.texts.language,
    }


def _contents(made: list[MadeFile], audience: str | None) -> Paper:
    papers = [one for one in made if one.name.endswith(".pdf")]
    rows = tuple((one.name, one.title, KINDS[one.kind].says, f"{len(one.missing)}" if one.missing else "none", None) for one in papers)
    missing = tuple((one.title, text) for one in papers for text in one.missing)
    return Paper(
        "contents", "Contents of the pack", f"Every paper of this pack{f', made for the {audience}' if audience else ''}, and everything that is still missing in them.",
        (
            Section("Papers", (Table("papers", (Column("file", 1.2), Column("paper", 1.3), Column("what it is for", 1.7), Column("missing", 0.45, True), Column("handed over on", 0.7)), rows),)),
            Section("Missing, paper by paper", (Table("missing", (Column("paper", 0.7), Column("what is missing", 2)), missing, empty="Nothing is missing."),)),
            Section("How to check this pack", (Text(f"{MANIFEST} and {SUMS_NAME} hold the SHA-256 of every file. The same job, record, version and date give the same files, to the byte."),)),
        ),
    )


def _earlier(folder: Path) -> dict[str, str]:
    """Files and hashes of an earlier pack in this folder."""
    import json

    try:
        data = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        return {str(one["name"]): str(one["sha256"]) for one in data["files"] if ".." not in str(one["name"]) and not str(one["name"]).startswith("/")}
    except (OSError, ValueError, KeyError, TypeError):
        return {}


def _remove(path: Path, digest: str, *, keep: bool) -> None:
    import hashlib

    if not keep and path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest() == digest:
        path.unlink()


def _slug(name: str) -> str:
    """A name as it can stand in a file name on every machine."""
    import unicodedata

    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60]
