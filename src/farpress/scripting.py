"""The front door for people who script: open a job, assess it, change a copy, write it and its papers.

`import farpress` hands these on; nothing heavy is loaded before it is called.

Example:
    >>> import farpress
    >>> job = farpress.open_job("examples/larkfen-house")
    >>> before = farpress.assess(job)
    >>> wicket = ("premises", "larkfen", "receivers", "R1", "outputs", 3, "cable")
    >>> thicker = farpress.change(job, {(*wicket, "part"): "flex-2x0.34", (*wicket, "length"): "20 m"})
    >>> after = farpress.assess(thicker)
    >>> [farpress.finding(assessment, "SUP-01", "wicket").verdict.value for assessment in (before, after)]
    ['fails', 'holds']
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from farpress.errors import InputError

if TYPE_CHECKING:
    from farpress.case.case import Case
    from farpress.domain.finding import Assessment, Finding

__all__ = ["assess", "change", "finding", "open_job", "save", "write_papers"]

Path_ = tuple[str | int, ...]
"""Keys that lead to a value of the job file, as ("premises", "larkfen", "receivers", "R1", "housing")."""


def open_job(folder: str | Path) -> Case:
    """Read a job folder, or a job file, and join what its record knows of presses and levels.

    Raises:
        JobFileError: the file cannot be used; every fault of it is listed.
        RecordError: the record beside it cannot be read.
    """
    from farpress.case.door import open_job as opened

    return opened(Path(folder))


def assess(case: Case) -> Assessment:
    """Judge every link of every promise, and every rule; equal for equal jobs, records and versions."""
    from farpress.judging.assess import assess as judged

    return judged(case)


def finding(assessment: Assessment, code: str, about: str = "") -> Finding:
    """The first finding of a code whose label contains some words.

    Raises:
        InputError: there is none; the labels there are, are named.
    """
    same = [found for found in assessment.findings if found.code == code.upper()]
    for found in same:
        if about in found.key:
            return found
    known = "; ".join(found.about for found in same[:8]) or "none of this code"
    raise InputError(f"There is no finding {code} about '{about}'. There are: {known}.")


def change(case: Case, changes: Mapping[Path_, object]) -> Case:
    """A copy of the job with values of its file changed; nothing is written.

    Args:
        case: a job that was read from a file.
        changes: path of keys → the value as it would stand in the file, with its unit; None removes it.

    Raises:
        InputError: the job was made by a program and has no file.
        JobFileError: the changed file could not be used; every fault of it is listed.
    """
    from farpress.case.changed import with_changes
    from farpress.domain.finding import Change

    return with_changes(case, [Change(path, value) for path, value in changes.items()])


def save(case: Case, folder: str | Path) -> Path:
    """Write the job's file into a folder, remarks and order kept; the file is replaced whole or not at all.

    Returns:
        The file.

    Raises:
        InputError: the job was made by a program and has no file.
        JobFileError: the file cannot be written.
    """
    from farpress.jobfile.source import FILE_NAME, fingerprint_of
    from farpress.jobfile.writer import put_text

    if case.document is None:
        raise InputError("This job was made by a program and has no file to write.")
    target = Path(folder) / FILE_NAME
    target.parent.mkdir(parents=True, exist_ok=True)
    text = case.document.source.text
    if target.exists():
        put_text(target, text, fingerprint=fingerprint_of(target.read_bytes()))
    else:
        target.write_text(text, encoding="utf-8", newline="")
    return target


def write_papers(
    case: Case,
    folder: str | Path,
    *,
    only: Collection[str] = (),
    audience: str | None = None,
    language: str = "en",
    day: date | None = None,
) -> Path:
    """Write papers of the job into a folder, all of them or none.

    Args:
        case: the job.
        folder: made if it is not there.
        only: names of papers, as "wiring"; empty for a pack.
        audience: "customer", "installer" or "auditor"; None for all papers.
        language: of the user cards.
        day: the date to print; None leaves a line to write on.

    Returns:
        The folder.

    Raises:
        InputError: an unknown paper, audience or language.
        PaperError: a paper could not be set or written.
    """
    from farpress.papers.builders.basis import make_basis
    from farpress.papers.builders.pack import write_papers as written

    basis = make_basis(case, language=language, day=day, without=audience == "auditor")
    written(basis, Path(folder), only=only, audience=audience)
    return Path(folder)
