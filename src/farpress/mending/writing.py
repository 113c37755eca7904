"""A job written as a new version of the job: the folder copied, the changes made, one remark a change."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from pathlib import Path

from farpress.case.case import Case
from farpress.domain.finding import Change
from farpress.errors import InputError
from farpress.jobfile.source import FILE_NAME, fingerprint_of
from farpress.jobfile.writer import apply_changes, put_text
from farpress.mending.readable import MadeReadable
from farpress.mending.result import MendingPlan

__all__ = ["write_changed", "write_mended"]


def write_mended(case: Case, plan: MendingPlan, folder: Path, *, first: MadeReadable | None = None) -> Path:
    """Write the job with all steps made into a new folder; record and plans come along.

    Args:
        case: the job as it stands, read from a folder.
        plan: what is changed.
        folder: must not be there yet.
        first: what had to be changed so that the job could be judged.

    Returns:
        The new job file.

    Raises:
        InputError: the folder is there already, or the job lies in no folder.
        JobFileError: the file cannot be written.
    """
    changes = [change for step in plan.steps for change in step.candidate.changes]
    before = first.changes if first is not None else ()
    said = "".join(f"# First: {does}\n" for does in (first.does if first is not None else ()))
    return write_changed(case, (*before, *changes), folder, remarks=said + _remarks(plan))


def write_changed(case: Case, changes: Sequence[Change], folder: Path, *, remarks: str = "") -> Path:
    """Write the job with changes made into a new folder; record and plans come along.

    Args:
        case: the job as it stands, read from a folder.
        changes: in this order.
        folder: must not be there yet.
        remarks: lines put before the file, each beginning with "#".

    Returns:
        The new job file.

    Raises:
        InputError: the folder is there already, or the job lies in no folder.
        JobFileError: the file cannot be written.
    """
    if case.folder is None or case.document is None:
        raise InputError("This job was made by a program and lies in no folder; save it first.")
    if folder.exists():
        raise InputError(f"{folder} is there already; name a folder that is not there yet.")
    shutil.copytree(case.folder, folder)
    file = folder / FILE_NAME
    if case.document.source.file != FILE_NAME:
        (folder / case.document.source.file).rename(file)
    if changes:
        apply_changes(folder, changes, fingerprint=fingerprint_of(file.read_bytes()))
    text = file.read_text(encoding="utf-8")
    if remarks:
        put_text(folder, remarks + text, fingerprint=fingerprint_of(file.read_bytes()))
    return file


def _remarks(plan: MendingPlan) -> str:
    lines = [f"# Mended: {len(plan.steps)} changes, each tried on a copy and all of them together."]
    for number, step in enumerate(plan.steps, start=1):
        places = ", ".join(sorted(step.candidate.places))
        lines.append(f"# {number}. {' '.join(step.candidate.does.split())} ({places})")
    return "\n".join(lines) + "\n"
