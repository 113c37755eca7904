"""The one door to a job: read it, fill in its parts, join its record.

Whoever needs a job comes in here, so that no command, page or paper knows less of it than another.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from farpress.case.case import Case
from farpress.case.doubted import without_unbelievable
from farpress.case.doubted_job import job_without_unbelievable
from farpress.case.evidence import evidence_in, with_evidence
from farpress.case.rectified_supplies import with_rectified

if TYPE_CHECKING:
    from farpress.catalogue.store import Catalogue
    from farpress.domain.event import Event
    from farpress.domain.job import Job
    from farpress.jobfile.reader import JobDocument

__all__ = ["case_of", "open_job"]


def open_job(folder: Path) -> Case:
    """Read a job folder, or a job file, and join what its record knows of presses and levels.

    A folder without a record is read as it is; nothing is written.

    Raises:
        JobFileError: the file cannot be used; every fault of it is listed.
        RecordError: the record beside it cannot be read.
    """
    from farpress.catalogue.store import load_catalogue
    from farpress.jobfile.reader import read_job

    catalogue = load_catalogue()
    document = read_job(folder, known=catalogue.known_names())
    home = folder if folder.is_dir() else folder.parent
    return case_of(document, catalogue, folder=home, events=evidence_in(home, document.job.job))


def case_of(
    document: JobDocument,
    catalogue: Catalogue,
    *,
    events: Sequence[Event],
    folder: Path | None = None,
    job: Job | None = None,
) -> Case:
    """A job that was read, with its parts filled in and its evidence joined.

    Args:
        document: the file with its lines.
        catalogue: where its parts come from.
        events: of its record; other kinds than trials and readings are passed over.
        folder: where it lies; None for a text that lies nowhere.
        job: the job as it is asked about, where that is not quite what the file says.
    """
    from farpress.catalogue.equip import equip

    asked, absurd = job_without_unbelievable(job or document.job, document.place_text)
    equipment, doubted = without_unbelievable(equip(asked, catalogue, where=document.place_text))
    equipment = with_rectified(asked, equipment)
    case = Case(asked, equipment, document.fingerprint, folder, document, doubted=(*doubted, *absurd))
    return with_evidence(case, events)
