"""An installation without papers taken over in one step: its fobs, what its receivers hold, who left, what
was read on site, and the log of presses that failed.

Each is a table; all that are there are looked at together, every fault of every table is told at once, and
everything is written in one transaction of the record, or nothing. Looking works on a copy.
"""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.dates import day_wanted
from farpress.domain.acts import Act, ReadingTaken, TrialDone
from farpress.domain.event import happened
from farpress.errors import InputError
from farpress.faults.noise_diary import DIARY, NO_LEVEL_DBM, Noted, noted_from_csv
from farpress.keys.book import RegisterBook, open_register
from farpress.keys.importing import import_rows, plan_good_rows, plan_import
from farpress.keys.memory import record_memory
from farpress.phrases import listed, plural
from farpress.record.look import opened_file
from farpress.record.store import FILE_NAME
from farpress.upkeep.found_readings import readings_of, receiver_named
from farpress.upkeep.takeover_told import Told, told_of

__all__ = ["TABLES", "TablesFound", "Takeover", "look_at_takeover", "take_over"]

TABLES: Final = {
    "fobs": "the list of fobs and people, as 'keys import' takes it",
    "memory": "what receivers hold: receiver, then label, serial, slot, output, button",
    "leavers": "who left: name, and on which day",
    "readings": "what was read on site: level from a place at a receiver, volts between two terminals",
    "presses": "presses and bursts as they were noted: time, what (worked, failed, burst), place, fob",
}
"""Tables of a takeover, in the order in which they are taken → what stands in each."""

Rows = Sequence[Sequence[str]]


@dataclass(frozen=True)
class TablesFound:
    """The tables of an installation as it was found: rows of cells, each with its head; `names` are their
    files'. What is not there was not found.
    """

    fobs: Rows = ()
    memory: Rows = ()
    leavers: Rows = ()
    readings: Rows = ()
    presses: Rows = ()
    names: Mapping[str, str] = field(default_factory=dict)

    def name(self, table: str) -> str:
        """Of the file of a table."""
        return self.names.get(table, table)

    @property
    def missing(self) -> tuple[str, ...]:
        """Tables that were not found."""
        return tuple(table for table in TABLES if not getattr(self, table))


@dataclass(frozen=True)
class Takeover:
    """What was taken, and what comes of it.

    Attributes:
        taken: a sentence for each table.
        aside: row of the list of fobs → why it was set aside.
        told: what must stop, what to mend, what to ask, and the likeliest causes of presses that fail.
        is_written: it stands in the record; else it was only looked at.
    """

    taken: tuple[str, ...]
    aside: Mapping[int, str]
    told: Told
    is_written: bool


def take_over(folder: Path, found: TablesFound, *, by: str, today: date) -> Takeover:
    """Write everything that was found into the record of a job, all of it or nothing.

    Args:
        folder: the job's, with a job.yaml of what is known.
        found: the tables.
        by: who takes over.
        today: the day, for ages.

    Raises:
        InputError: every fault of every table; nothing was written.
        JobFileError: the job file cannot be used.
    """
    return _taken(folder, found, by=by, today=today, is_written=True)


def look_at_takeover(folder: Path, found: TablesFound, *, by: str, today: date) -> Takeover:
    """What `take_over` would do and tell; works on a copy, and writes nothing.

    Raises:
        InputError, JobFileError: as `take_over`.
    """
    with _copy_of(folder) as copy:
        return _taken(copy, found, by=by, today=today, is_written=False)


@contextmanager
def _copy_of(folder: Path) -> Iterator[Path]:
    """A job folder with the same job file and record, thrown away afterwards."""
    with TemporaryDirectory(prefix="farpress-") as name:
        copy = Path(name)
        (copy / "job.yaml").write_bytes((folder / "job.yaml").read_bytes())
        record = folder / FILE_NAME
        if record.is_file():
            with opened_file(record) as source, closing(sqlite3.connect(copy / FILE_NAME)) as target:
                source.backup(target)
        yield copy


def _taken(folder: Path, found: TablesFound, *, by: str, today: date, is_written: bool) -> Takeover:
    case = open_job(folder)
    if len(found.missing) == len(TABLES):
        raise InputError(f"Nothing is to be taken over: give at least one of {listed(list(TABLES))}.")
    aside: dict[int, str] = {}
    with open_register(case, by=by) as book:
        with book.record.together(job=book.job, by=book.by):
            taken = _all_steps(book, case, found, aside)
        told = told_of(open_job(folder), book, missing=found.missing, today=today)
    return Takeover(tuple(taken), aside, told, is_written)


def _all_steps(book: RegisterBook, case: Case, found: TablesFound, aside: dict[int, str]) -> list[str]:
    """Every table in turn; a table with faults does not keep the next ones from being looked at.

    Raises:
        InputError: every fault of every table.
    """
    steps: dict[str, Callable[[], str]] = {
        "fobs": lambda: _fobs(book, found, aside),
        "memory": lambda: _memory(book, case, found.memory),
        "leavers": lambda: _leavers(book, found.leavers),
        "readings": lambda: _readings(book, case, found.readings),
        "presses": lambda: _presses(book, found.presses),
    }
    taken, faults = [], []
    for table, step in steps.items():
        if table in found.missing:
            continue
        try:
            taken.append(step())
        except InputError as error:
            faults.append(f"{found.name(table)}: {error}")
    if faults:
        raise InputError("\n".join(["Nothing was written.", *faults]))
    return taken


def _fobs(book: RegisterBook, found: TablesFound, aside: dict[int, str]) -> str:
    rows = found.fobs
    plan = plan_import(rows, book.register, book.people, book.case)
    if plan.problems:
        plan, left = plan_good_rows(rows, book.register, book.people, book.case)
        aside.update(left)
    if not plan.entries and not plan.problems:
        return "Fobs: no row of the list can be taken over; all are set aside."
    done = import_rows(book, rows, name=found.name("fobs"), without=aside.keys())
    left_out = f" {plural(len(aside), 'row')} set aside." if aside else ""
    return f"Fobs: {' '.join(done.says)}{left_out}"


def _memory(book: RegisterBook, case: Case, rows: Rows) -> str:
    """Read-out lists, parted by their receiver."""
    head, column = _column(rows, "receiver")
    lists: dict[str, list[Sequence[str]]] = {}
    faults = []
    for number, row in enumerate(rows[1:], 2):
        if not any(cell.strip() for cell in row):
            continue
        try:
            name = receiver_named(case, row[column] if column < len(row) else "")
        except InputError as error:
            faults.append(f"row {number}: {error}")
            continue
        lists.setdefault(name, []).append([cell for place, cell in enumerate(row) if place != column])
    if faults:
        raise InputError("\n".join(faults))
    rest = [cell for place, cell in enumerate(head) if place != column]
    told = []
    for receiver, records in lists.items():
        record_memory(book, receiver, [rest, *records])
        told.append(f"{receiver} holds {plural(len(records), 'record')}")
    return f"Memory: {listed(told)}."


def _leavers(book: RegisterBook, rows: Rows) -> str:
    """Who left, those of a day together; somebody the list of fobs does not know has nothing to give back."""
    head, column = _column(rows, "name")
    days = [place for place, cell in enumerate(head) if cell in ("on", "left", "day", "date")]
    known = {person.name.casefold() for person in book.people.values()}
    by_day: dict[date, list[str]] = {}
    strangers, faults = [], []
    for number, row in enumerate(rows[1:], 2):
        name = " ".join(row[column].split()) if column < len(row) else ""
        if not name:
            continue
        written = row[days[0]].strip() if days and days[0] < len(row) else ""
        try:
            day = day_wanted(written) if written else date.today()
        except InputError as error:
            faults.append(f"row {number}: {error}")
            continue
        if name.casefold() in known:
            by_day.setdefault(day, []).append(name)
        else:
            strangers.append(name)
    if faults:
        raise InputError("\n".join(faults))
    for day, names in by_day.items():
        book.people_left(names, on=day)
    told = f"Leavers: {plural(sum(map(len, by_day.values())), 'person', 'people')} left."
    if strangers:
        told += (
            f" {listed(strangers)} {'stands' if len(strangers) == 1 else 'stand'} in no list of fobs: ask"
            " whether one was ever given out."
        )
    return told


def _readings(book: RegisterBook, case: Case, rows: Rows) -> str:
    acts = readings_of(case, rows)
    new = _unknown_yet(book, acts)
    with book.record.transaction(job=book.job, by=book.by) as work:
        for act in new:
            work.append(act)
    return f"Readings: {len(new)} new of {len(acts)}."


def _presses(book: RegisterBook, rows: Rows) -> str:
    """The log of presses: each with the moment at which it was noted."""
    text = "\n".join("\t".join(cell.replace("\t", " ") for cell in row) for row in rows)
    noted = noted_from_csv(text)
    acts = [_noted(line, number) for number, line in enumerate(noted)]
    new = _unknown_yet(book, acts)
    with book.record.transaction(job=book.job, by=book.by) as work:
        for act in new:
            work.append(act)
    failed = sum(line.what == "failed" for line in noted)
    return f"Presses: {len(new)} new of {len(noted)}, {failed} of them failed."


def _noted(line: Noted, number: int) -> Act:
    moment = line.at.isoformat(timespec="seconds")
    mark = hashlib.sha256(f"{moment} {line.what} {line.place} {line.fob} {number}".encode()).hexdigest()[:32]
    if line.what == "burst":
        where = f"place:{line.place}" if line.place else "log"
        return ReadingTaken(
            what="noise", where=where, value=NO_LEVEL_DBM, unit="dBm", noted=moment, client_id=mark
        )
    return TrialDone(
        test=DIARY,
        presses=1,
        heard=int(line.what == "worked"),
        place=line.place,
        fob=line.fob,
        noted=moment,
        client_id=mark,
    )


def _unknown_yet(book: RegisterBook, acts: Sequence[Act]) -> list[Act]:
    """Those that an earlier takeover has not written; the same table twice adds nothing."""
    from farpress.record.look import read_events

    with book.record.looking() as connection:
        events = read_events(connection, job=book.job, kinds=(TrialDone.kind, ReadingTaken.kind))
    known = {act.client_id for _, act in happened(events, TrialDone, ReadingTaken)}
    return [act for act in acts if getattr(act, "client_id", None) not in known]


def _column(rows: Rows, name: str) -> tuple[list[str], int]:
    """The head in small letters, and where a column stands.

    Raises:
        InputError: there is none.
    """
    head = [cell.strip().casefold() for cell in rows[0]]
    if name not in head:
        raise InputError(f"the first row has {listed(head) or 'nothing'}; a column '{name}' is wanted.")
    return head, head.index(name)
