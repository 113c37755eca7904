"""The jobs this desk has before it: folders below one home, opened when they are asked for."""

from __future__ import annotations

import threading
from pathlib import Path

from farpress.editing.judging import Judge
from farpress.editing.workbench import Workbench
from farpress.errors import FarpressError
from farpress.jobfile.source import FILE_NAME
from farpress.phrases import slug
from farpress.record.store import Record, open_record

__all__ = ["DeskShelf"]

MOST_JOBS = 2000
"""Our choice: more belong into the firm's shelf."""


class DeskShelf:
    """Jobs by their short name in addresses.

    Attributes:
        home: folder that new jobs are made in; nothing outside it is ever touched but the one job given.
        only: short name of the job the desk was opened with; empty where it was opened with a folder of jobs.
    """

    def __init__(self, where: Path, *, judge: Judge | None = None) -> None:
        """Look what is there.

        Args:
            where: a job folder, its file, a folder of job folders, or a folder yet to be made.
            judge: who judges the jobs; see `Workbench`.
        """
        self._judge = judge
        place = where.parent if where.name == FILE_NAME else where
        place = place.resolve()
        self._jobs: dict[str, Path] = {}
        self._benches: dict[str, Workbench] = {}
        self._records: dict[str, Record] = {}
        self._lock = threading.Lock()
        self.only = ""
        if (place / FILE_NAME).is_file():
            self.home = place.parent
            self.only = self._add(place)
        else:
            self.home = place
            for folder in sorted(place.iterdir())[:MOST_JOBS] if place.is_dir() else ():
                if (folder / FILE_NAME).is_file() and not folder.is_symlink():
                    self._add(folder)

    def names(self) -> tuple[str, ...]:
        """Short names of the jobs, in order."""
        return tuple(self._jobs)

    def folder(self, name: str) -> Path:
        """The folder of a job.

        Raises:
            FarpressError: there is no such job here.
        """
        if name not in self._jobs:
            raise FarpressError(f"There is no job '{name}' on this desk.")
        return self._jobs[name]

    def bench(self, name: str) -> Workbench:
        """The workbench of a job, opened when first asked for.

        Raises:
            FarpressError: there is no such job here, or it cannot be used.
        """
        folder = self.folder(name)
        with self._lock:
            if name not in self._benches:
                self._benches[name] = Workbench(folder, judge=self._judge)
            return self._benches[name]

    def opened(self) -> tuple[str, ...]:
        """Short names of the jobs that somebody looked at."""
        return tuple(self._benches)

    def record(self, name: str) -> Record:
        """The record of a job, made when first asked for."""
        folder = self.folder(name)
        with self._lock:
            if name not in self._records:
                self._records[name] = open_record(folder)
            return self._records[name]

    def new_folder(self, title: str) -> Path:
        """A folder that is not there yet, for a job of this name; inside the home always."""
        wanted = slug(title) or "job"
        for number in range(1, 1000):
            folder = self.home / (wanted if number == 1 else f"{wanted}-{number}")
            if not folder.exists():
                return folder
        raise FarpressError(f"There are too many jobs called '{title}' in {self.home.name}.")

    def take_in(self, folder: Path) -> str:
        """Put a job folder that was made here on the shelf; gives its short name."""
        return self._add(folder)

    def close(self) -> None:
        """Give back every file."""
        for record in self._records.values():
            record.close()
        self._records.clear()
        for bench in self._benches.values():
            bench.close()

    def _add(self, folder: Path) -> str:
        wanted = slug(folder.name) or "job"
        name, number = wanted, 1
        while name in self._jobs and self._jobs[name] != folder:
            number += 1
            name = f"{wanted}-{number}"
        self._jobs[name] = folder
        return name
