"""A copy of a job with values of its file changed; nothing is written."""

from __future__ import annotations

from collections.abc import Sequence

from farpress.case.case import Case
from farpress.case.door import case_of
from farpress.case.evidence import evidence_in
from farpress.catalogue.store import load_catalogue
from farpress.domain.finding import Change
from farpress.errors import InputError
from farpress.jobfile.reader import read_job_tree
from farpress.jobfile.writer import with_changes_made

__all__ = ["with_changes"]


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
