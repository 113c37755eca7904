"""Write a pack of papers into a folder: contents, manifest and hashes with it, whole or not at all.

A pack is made in a folder of its own beside the files of an earlier one and moved into
place when it is finished. Whoever stops it keeps the earlier pack as it was.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import tempfile
from collections.abc import Collection, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from farpress.errors import InputError, PaperError
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.make import MadeFile, Progress, chosen_kinds, make_papers
from farpress.papers.typesetting.bundle import SUMS_NAME, bundle, manifest, sums
from farpress.papers.typesetting.kinds import KINDS
from farpress.papers.typesetting.paper import Column, Paper, PaperTable, Section, Text
from farpress.papers.typesetting.render import paper_pdf
from farpress.papers.typesetting.write import write_file
from farpress.phrases import slug

__all__ = ["MANIFEST", "Pack", "write_papers"]

MANIFEST: Final = "manifest.json"
"""Name of the manifest in a pack."""


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
        return tuple(file for file in self.files if file.name.endswith(".pdf"))


def write_papers(
    basis: Basis,
    folder: Path,
    *,
    only: Collection[str] = (),
    audience: str | None = None,
    size: str = "a4",
    as_zip: bool = False,
    progress: Progress | None = None,
) -> Pack:
    """Write a pack, or the papers asked for, into a folder: all of it, or nothing.

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
        progress: told (done, of, what) before each step; may raise to cancel: the folder is then as it was.

    Raises:
        InputError: an unknown paper, audience or size.
        PaperError: a paper could not be set or written.
    """
    kinds = chosen_kinds(only, audience)
    if folder.exists() and not folder.is_dir():
        raise InputError(f"{folder} is a file; papers go into a folder. Name another with -o.")
    with _aside(folder) as aside:
        made: list[MadeFile] = []
        with ThreadPoolExecutor(1, "writing") as writer:  # waiting for the disk needs no processor
            written = []
            for paper in make_papers(basis, kinds, size=size, progress=progress):
                written.append(writer.submit(write_file, aside / paper.name, paper.content))
                made.append(paper)
            if not only:
                contents = _contents(made, audience)
                made.insert(
                    0,
                    MadeFile(
                        "contents.pdf", paper_pdf(contents, basis.head, size=size), "contents", contents.title
                    ),
                )
                written.append(writer.submit(write_file, aside / "contents.pdf", made[0].content))
            for file in written:
                file.result()
        files = {file.name: file.content for file in made}
        listed = {**files, MANIFEST: manifest(files, _facts(basis, audience, size)), SUMS_NAME: sums(files)}
        target = folder / f"{slug(basis.case.job.job) or 'job'}-papers.zip" if as_zip else None
        if target is not None:
            write_file(aside / target.name, bundle(listed))
        _into_place(
            aside,
            folder,
            [*files, *([target.name] if target is not None else [])],
            set(listed) if not only else None,
        )
    if not only:
        for name in (SUMS_NAME, MANIFEST):
            write_file(folder / name, listed[name])
    return Pack(folder, tuple(made), target)


@contextmanager
def _aside(folder: Path) -> Iterator[Path]:
    """A folder to make a pack in, on the same disk; gone afterwards, and with it what was made for
    nothing.
    """
    fresh = not folder.exists()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        aside = Path(tempfile.mkdtemp(prefix=".papers-", dir=folder))
    except OSError as error:
        raise PaperError(
            f"{folder} cannot be written to: {error.strerror or error}. Choose another folder with -o."
        ) from error
    try:
        yield aside
    finally:
        shutil.rmtree(aside, ignore_errors=True)
        if fresh and not any(folder.iterdir()):
            folder.rmdir()


def _into_place(aside: Path, folder: Path, names: Collection[str], pack: set[str] | None) -> None:
    """Move finished files over those before; of a whole pack also remove what no longer belongs to it.

    The manifest goes first and comes last: in between nobody takes the folder for a pack.
    """
    before = {} if pack is None else _earlier(folder)
    if before:
        (folder / MANIFEST).unlink()
    try:
        for name in names:
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            (aside / name).replace(folder / name)
    except OSError as error:
        raise PaperError(
            f"{folder / name} could not be written: {error.strerror or error}. Close the program that has it"
            " open, or choose another folder."
        ) from error
    for name, digest in before.items():
        if (
            name not in (pack or ())
            and (folder / name).is_file()
            and hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest
        ):
            (folder / name).unlink()


def _facts(basis: Basis, audience: str | None, size: str) -> dict[str, object]:
    return {
        "job": basis.case.job.job,
        "fingerprint": basis.case.fingerprint,
        "version": basis.assessment.version,
        "verdict": str(basis.assessment.verdict),
        "date": basis.day.isoformat() if basis.day is not None else None,
        "for": audience or "all",
        "paper": size,
        "language of the cards": basis.texts.language,
    }


def _contents(made: list[MadeFile], audience: str | None) -> Paper:
    papers = [file for file in made if file.name.endswith(".pdf")]
    rows = tuple(
        (
            file.name,
            file.title,
            KINDS[file.kind].says,
            f"{len(file.missing)}" if file.missing else "none",
            None,
        )
        for file in papers
    )
    missing = tuple((file.title, text) for file in papers for text in file.missing)
    return Paper(
        "contents",
        "Contents of the pack",
        f"Every paper of this pack{f', made for the {audience}' if audience else ''}, and everything that is"
        " still missing in them.",
        (
            Section(
                "Papers",
                (
                    PaperTable(
                        "papers",
                        (
                            Column("file", 1.2),
                            Column("paper", 1.3),
                            Column("what it is for", 1.7),
                            Column("missing", 0.45, True),
                            Column("handed over on", 0.7),
                        ),
                        rows,
                    ),
                ),
            ),
            Section(
                "Missing, paper by paper",
                (
                    PaperTable(
                        "missing",
                        (Column("paper", 0.7), Column("what is missing", 2)),
                        missing,
                        empty="Nothing is missing.",
                    ),
                ),
            ),
            Section(
                "How to check this pack",
                (
                    Text(
                        f"{MANIFEST} and {SUMS_NAME} hold the SHA-256 of every file. The same job, record,"
                        " version and date give the same files, to the byte."
                    ),
                ),
            ),
        ),
    )


def _earlier(folder: Path) -> dict[str, str]:
    """Files and hashes of an earlier pack in this folder."""
    try:
        data = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        return {
            str(file["name"]): str(file["sha256"])
            for file in data["files"]
            if ".." not in str(file["name"]) and not str(file["name"]).startswith("/")
        }
    except (OSError, ValueError, KeyError, TypeError):
        return {}
