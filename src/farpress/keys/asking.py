"""A job's register for questions: who holds which fob. Nothing is written here.

Loads nothing that only a change needs, so that a question on the telephone is answered at once.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Final, Self, TypeVar

from farpress.domain.register import Fob, FobRegister
from farpress.errors import InputError
from farpress.keys.find import search
from farpress.record.persons import PersonEntry, persons
from farpress.record.store import Record, open_record

if TYPE_CHECKING:
    from farpress.case.case import Case

__all__ = ["NO_RECORD", "AskedBook", "opened"]

NO_RECORD: Final = (
    "There is no record yet beside this job: nothing was ever recorded. Take a list over ('farpress keys"
    " import') or fobs into stock ('farpress keys receive'); the first entry begins it."
)


class AskedBook:
    """The register of one job, to be asked; views are values."""

    def __init__(self, record: Record, job: str, case: Case | Callable[[], Case] | None, by: str) -> None:
        """Use `farpress.keys.book.open_register`; a case that is not there yet is read when it is first
        asked for.
        """
        self.record, self.job, self.by = record, job, by
        self._case_or_how = case

    @property
    def case(self) -> Case | None:
        """The job file, ready to be judged; None for a record without one.

        Raises:
            JobFileError: the job file cannot be used.
        """
        if callable(self._case_or_how):
            self._case_or_how = self._case_or_how()
        return self._case_or_how

    @property
    def register(self) -> FobRegister:
        """As of the last event."""
        return self.record.register(job=self.job)

    @property
    def people(self) -> dict[str, PersonEntry]:
        """Mark → person, by name."""
        return persons(self.record, job=self.job)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.record.close()

    def search(self, text: str) -> tuple[Fob, ...]:
        """Fobs that fit all the words: label, holder, organisation, receiver, slot."""
        return search(self.register, self.people, text)

    def needs_record(self) -> None:
        """Nothing can be looked up where nothing was ever recorded.

        Raises:
            InputError: there is no record yet; says how to begin one.
        """
        if not self.record.is_there:
            raise InputError(NO_RECORD)


Book = TypeVar("Book", bound=AskedBook)


def opened(
    kind: type[Book], where: Case | Path | str, *, job: str | None = None, by: str = "installer"
) -> Book:
    """Open the register of a job; the job file itself is read when something first needs it.

    So a fob is found, and its loss recorded, though the job file has a fault just now.

    Args:
        kind: `AskedBook` for questions alone, or a book that writes too.
        where: a job folder or its job.yaml, a case, or the address of a record.
        job: key of the job in the record; the job's own name by default.
        by: who writes, a role or a person's mark.

    Raises:
        JobFileError: the job file cannot be used.
        RecordError: the record cannot be opened.
    """
    if isinstance(where, str) and "://" in where:
        if not job:
            raise InputError("A firm's record holds many jobs: say which one.")
        return kind(open_record(where), job, None, by)
    if isinstance(where, str | Path):
        place = Path(where)
        name = job or _named_in(place / "job.yaml" if place.is_dir() else place)
        if name and place.exists():
            return kind(
                open_record(place if place.is_dir() else place.parent), name, lambda: _read_case(place), by
            )
        where = _read_case(place)
    case = where
    if case.folder is None:
        raise InputError("This job was made by a program and lies in no folder; its record has no place.")
    folder = case.folder if case.folder.is_dir() else case.folder.parent
    return kind(open_record(folder), job or case.job.job, case, by)


def _read_case(place: Path) -> Case:
    # takes longer to load than most questions to the record take to answer
    from farpress.case.door import open_job

    return open_job(place)


def _named_in(file: Path) -> str:
    """The job's name where it stands plainly in the file; empty where the reader has to be asked."""
    try:
        lines = file.read_text("utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return ""
    heads = [number for number, line in enumerate(lines) if line.startswith("job:")]
    goes_on = len(heads) == 1 and any(line[:1].isspace() for line in lines[heads[0] + 1 : heads[0] + 2])
    match = (
        re.fullmatch(r"job: +((?=[^#]*[^\W\d_]{3})\w[^#:'\"]*\w)\s*(?:\s#.*)?", lines[heads[0]])
        if len(heads) == 1 and not goes_on
        else None
    )
    return "" if match is None or match[1].casefold() in ("true", "false", "null", "yes") else match[1]
