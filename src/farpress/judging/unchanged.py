"""A job judged, or its assessment as it was kept, where nothing of what it rests on has changed.

An assessment rests on the bytes of the job file and its name, on the record beside it, and on the program,
its catalogue and libraries. All of them are in the name of what is kept, so an assessment that is found is
the one that would be made. Where something has changed, the ways of radio and the searches of the last time
are at hand, each under the hash of all it is made from.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final, NamedTuple

from farpress.domain.finding import Assessment
from farpress.errors import FarpressError
from farpress.jobfile.source import LARGEST_BYTES, job_path
from farpress.judging.as_kept import as_kept, from_kept
from farpress.kept.stamp import program_stamp
from farpress.kept.store import entry_key, is_wanted, put, take
from farpress.kept.units import bring, carry

__all__ = ["Judged", "judged"]

RECORD_FILES: Final = ("record.sqlite", "record.sqlite-wal")
"""Files of a record, as `farpress.record.store` calls them, which takes long to load."""

LARGEST_RECORD_BYTES: Final = 200_000_000
"""A larger record is not read through for its hash; our choice, a fifth of a second."""


class Judged(NamedTuple):
    """An assessment, and remarks on how the file was read, as text for people; empty for none."""

    assessment: Assessment
    remarks: str = ""


def judged(folder: Path, *, keep: bool = True) -> Judged:
    """The job in a folder judged, its record joined.

    Args:
        folder: the job's folder, or its file.
        keep: use what was kept, and keep what is made; `FARPRESS_NO_CACHE` forbids both as well.

    Raises:
        JobFileError: the file cannot be used; every fault of it is listed.
        RecordError: the record beside it cannot be read.
    """
    key = _key(folder) if keep and is_wanted() else ""
    found = _from_entry(take(key)) if key else None
    if found is not None:
        return found
    units = entry_key("units", program_stamp(), str(folder.resolve())) if key else ""
    if units:
        bring(units)
    made = _fresh(folder)
    if units:
        carry(units)
    if key and key == _key(folder):  # nothing changed while it was judged
        _keep(key, made)
    return made


def _fresh(folder: Path) -> Judged:
    from farpress.case.door import open_job  # what a kept assessment needs none of takes longest to load
    from farpress.judging.assess import assess
    from farpress.judging.remedies.shown import with_shown_remedies

    case = open_job(folder)
    remarks = ""
    if case.document is not None and case.document.remarks:
        from farpress.jobfile.faults import remarks_text

        remarks = remarks_text(case.document.remarks)
    return Judged(with_shown_remedies(case, assess(case)), remarks)


def _keep(key: str, made: Judged) -> None:
    try:
        value = as_kept(made.assessment)
    except (TypeError, KeyError):
        return
    put(key, {"assessment": value, "remarks": made.remarks})


def _from_entry(entry: Any) -> Judged | None:
    try:
        return Judged(from_kept(entry["assessment"]), str(entry["remarks"])) if entry is not None else None
    except (KeyError, TypeError, ValueError, IndexError, AttributeError):
        return None


def _key(folder: Path) -> str:
    """A name for all that an assessment rests on; empty where that cannot be said."""
    stamp = program_stamp()
    if not stamp:
        return ""
    try:
        file = job_path(folder)
        with file.open("rb") as stream:
            text = stream.read(LARGEST_BYTES + 1)
        return entry_key("assessment", stamp, file.name, text, *_record(file.parent))
    except (FarpressError, OSError):
        return ""  # it will be said where the job is read


def _record(folder: Path) -> list[bytes]:
    """The files of the record beside a job, empty for one that is not there.

    Raises:
        OSError: one cannot be read, or is too large.
    """
    found = []
    for name in RECORD_FILES:
        file = folder / name
        if not file.is_file():
            found.append(b"")
            continue
        if file.stat().st_size > LARGEST_RECORD_BYTES:
            raise OSError(f"{file} is too large to be read through")
        found.append(b"is there " + file.read_bytes())
    return found
