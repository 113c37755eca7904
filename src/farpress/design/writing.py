"""A design written as a new version of the job: the folder copied, the changes made, one remark a choice."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from farpress.case.case import Case
from farpress.design.result import Design
from farpress.errors import InputError
from farpress.jobfile.source import fingerprint_of
from farpress.jobfile.writer import put_text, with_changes_made
from farpress.mending.writing import write_changed

__all__ = ["designed_text", "write_design"]


def write_design(case: Case, design: Design, folder: Path) -> Path:
    """Write the job with a variant drawn in it into a new folder; record and plans come along.

    Args:
        case: the job as it stands, read from a folder.
        design: the variant.
        folder: must not be there yet.

    Returns:
        The new job file.

    Raises:
        InputError: the folder is there already, or the job lies in no folder.
        JobFileError: the file cannot be written.
    """
    file = write_changed(case, (), folder)
    put_text(folder, designed_text(case, design), fingerprint=fingerprint_of(file.read_bytes()))
    return file


def designed_text(case: Case, design: Design) -> str:
    """The job file with a variant drawn in it, one remark a choice before its first key.

    Raises:
        InputError: the job was made by a program and has no file.
        JobFileError: a change cannot be written so that it reads back the same.
    """
    if case.document is None:
        raise InputError("This job was made by a program and has no file to draw in; save it first.")
    source, tree = case.document.source, case.document.tree
    for stage in design.stages:
        source, tree = with_changes_made(source, tree, stage)
    return "".join(f"# {line}\n" for line in _remarks(design)) + source.text


def _remarks(design: Design) -> Iterator[str]:
    yield f"Drawn up, variant {design.variant}: judged and rehearsed whole."
    number = 0
    for decision in design.decisions:
        number += 1
        yield f"{number}. {_line(decision.does)}: {_line(decision.because)}"
        yield from (f"   {_line(kind)}" for kind in decision.kinds)
    for step in design.steps:
        number += 1
        why = step.cures[0].before.says if step.cures else "nothing that fails depends on it alone"
        places = ", ".join(sorted(step.candidate.places))
        yield f"{number}. {_line(step.candidate.does)} ({places}): else {_line(why)}"


def _line(text: str) -> str:
    return " ".join(text.split())
