"""A design written as a new version of the job: the folder copied, the changes made, one remark a choice."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from farpress.case.case import Case
from farpress.design.result import Design
from farpress.jobfile.source import fingerprint_of
from farpress.jobfile.writer import apply_changes, put_text
from farpress.mending.writing import write_changed

__all__ = ["write_design"]


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
    first, *later = design.stages
    file = write_changed(case, first, folder)
    for stage in later:
        apply_changes(folder, stage, fingerprint=fingerprint_of(file.read_bytes()))
    text = file.read_text(encoding="utf-8")
    remarks = "".join(f"# {line}\n" for line in _remarks(design))
    put_text(folder, remarks + text, fingerprint=fingerprint_of(file.read_bytes()))
    return file


def _remarks(design: Design) -> Iterator[str]:
    yield f"Drawn up by 'farpress design', variant {design.variant}; judged and rehearsed whole."
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
