"""A copy of a job with values of its file changed; nothing is written."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import replace

from farpress.case.case import Case
from farpress.case.door import case_of
from farpress.case.evidence import evidence_in
from farpress.catalogue.store import load_catalogue
from farpress.domain.finding import Change
from farpress.errors import InputError, JobFileError
from farpress.jobfile.grafting import grafted
from farpress.jobfile.reader import read_job_tree
from farpress.jobfile.writer import with_changes_made

__all__ = ["tried_with", "with_changes"]


def with_changes(case: Case, changes: Sequence[Change]) -> Case:
    """The job as it would be read if its file were changed so, its record joined again.

    Args:
        case: a job that was read from a file.
        changes: in this order.

    Raises:
        InputError: the job was made by a program and has no file.
        JobFileError: the changed file could not be used; every fault of it is listed.
    """
    if case.document is None:
        raise InputError("This job was made by a program and has no file to change; build another one.")
    catalogue = load_catalogue()
    document = case.document
    source, tree = with_changes_made(document.source, document.tree, changes)
    read = read_job_tree(source, tree, known=catalogue.known_names())
    events = evidence_in(case.folder, read.job.job) if case.folder is not None else ()
    return case_of(read, catalogue, folder=case.folder, events=events)


def tried_with(case: Case, changes: Sequence[Change]) -> Case:
    """The same as `with_changes`, for judging alone: no text of the changed file is made, so its document
    still has the text and lines of the file as it is.

    Args:
        case: a job that was read from a file.
        changes: in this order.

    Raises:
        InputError: the job was made by a program and has no file.
        JobFileError: the changed file could not be used; every fault of it is listed.
    """
    tree = grafted(case.document.tree, changes) if case.document is not None else None
    if case.document is None or tree is None:
        return with_changes(case, changes)
    catalogue, source = load_catalogue(), case.document.source
    try:
        read = read_job_tree(source, tree, known=catalogue.known_names())
        events = evidence_in(case.folder, read.job.job) if case.folder is not None else ()
        made = case_of(read, catalogue, folder=case.folder, events=events)
    except JobFileError:
        return with_changes(case, changes)  # which says where the fault stands
    changed = f"{case.fingerprint} {list(changes)!r}".encode("utf-8", "surrogatepass")
    name = hashlib.sha256(changed).hexdigest()
    return replace(made, fingerprint=name)
