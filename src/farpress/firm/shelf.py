"""The firm's shelf: put jobs on it, find them, look at their versions, put them away.

Who acts is known (a member, or nobody where there are no members), what they may do is held
to, and each change stands in the record with who and when.
"""

from __future__ import annotations

import time
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from farpress.case.evidence import EVIDENCE_KINDS
from farpress.domain.event import Event
from farpress.domain.finding import Change
from farpress.errors import FarpressError, InputError, JobFileError
from farpress.firm.facts import read_text
from farpress.jobfile.merging import differences
from farpress.jobfile.source import read_source
from farpress.jobfile.text_to_values import values_of
from farpress.record.members import Member, enter, require_role
from farpress.record.shelf import Shelf, open_shelf
from farpress.record.shelf_rows import ShelfEntry, ShelfVersion
from farpress.record.store import FILE_NAME as RECORD_NAME
from farpress.record.store import open_record

__all__ = ["SHELF_NAME", "Added", "Firm", "files_of", "open_firm", "start_firm"]

SHELF_NAME: Final = "firm.sqlite"
"""Name of the shelf's file where no other is given."""

LARGEST_FILE: Final = 40_000_000
"""Bytes of one file beside a job file; our choice: a large plan as a picture has 10 MB."""

OWN_FILES: Final = ("job.yaml", "record.sqlite", "versions.sqlite", "shelf.json")
"""Files of a job folder that do not travel as they are: their content is joined, not copied."""


@dataclass(frozen=True)
class Added:
    """A job that was put on the shelf: its version, faults in it if any, and the events that came with it."""

    version: ShelfVersion
    faults: int
    events: int


@dataclass(frozen=True)
class Firm:
    """A shelf, and who stands before it."""

    shelf: Shelf
    who: Member

    def may(self, what: str) -> None:
        """Refuse what this member's role does not cover; see `domain.role.NEEDED`."""
        require_role(self.who, what)

    def add(self, folder: Path, *, says: str = "", with_faults: bool = False) -> Added:
        """Put a job folder on the shelf: job file, files beside it, and its record.

        Raises:
            JobFileError: the job has faults and `with_faults` is not set, or not even its name can be read.
            InputError: a job of this name is on the shelf already, or a file beside it is too large.
            RecordError: the folder's record does not hold.
        """
        from farpress.record.persons import persons
        from farpress.record.union import take_in, take_in_names

        self.may("design")
        source = read_source(folder)
        read = read_text(source.text)
        if read.faults and not with_faults:
            raise JobFileError(read.faults)
        home = folder if folder.is_dir() else folder.parent
        files = files_of(home)
        version = self.shelf.add(
            read.name, read.text, read.fingerprint, read.facts, files=files, by=self.who.mark, says=says
        )
        events = 0
        if (home / RECORD_NAME).exists():
            with open_record(home) as there:
                given, names = there.events(job=read.name), persons(there, job=read.name)
            with self.shelf.record.transaction(job=read.name, by=self.who.mark) as work:
                new = take_in(work.connection, given, job=read.name)
                take_in_names(work.connection, names, job=read.name, new=new, news_there=False)
                events = len(new)
        return Added(version, len(read.faults), events)

    def find(
        self,
        words: Iterable[str] = (),
        *,
        archived: bool | None = False,
        person: str = "",
        part: str = "",
        town: str = "",
    ) -> tuple[ShelfEntry, ...]:
        """Jobs in which all of these words stand, and that name this person, part and town."""
        self.may("look")
        found: tuple[ShelfEntry, ...] | None = None
        asked = [(kind, name) for kind, name in (("person", person), ("part", part), ("town", town)) if name]
        for named in asked or (None,):
            some = self.shelf.entries(words=words, archived=archived, named=named)
            found = some if found is None else tuple(entry for entry in found if entry in some)
        return found or ()

    def evidence(self, job: str) -> tuple[Event, ...]:
        """Presses and levels that the record on the shelf knows of a job."""
        return self.shelf.record.events(job=job, kinds=EVIDENCE_KINDS)

    def difference(self, job: str, earlier: int, later: int) -> list[Change]:
        """What changed from one version to another, as edits of the job file.

        Raises:
            InputError: no such job or version.
        """
        self.may("look")
        return differences(
            values_of(self.shelf.version(job, earlier).text), values_of(self.shelf.version(job, later).text)
        )

    def archive(self, job: str, *, why: str = "") -> ShelfEntry:
        """Put a job away: it is left out of searches, runs and what is due; nothing of it goes."""
        self.may("put away")
        return self.shelf.set_state(job, "archived", by=self.who.mark, why=why)

    def reopen(self, job: str) -> ShelfEntry:
        """Take a job out again that was put away."""
        self.may("put away")
        return self.shelf.set_state(job, "open", by=self.who.mark)

    def close(self) -> None:
        """Give back every connection."""
        self.shelf.close()

    def __enter__(self) -> Firm:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def open_firm(address: str, *, name: str = "", key: str = "") -> Firm:
    """Open a shelf that is there.

    Args:
        address: a file, or the address of a PostgreSQL database.
        name: of the member who acts; empty only where there are no members.
        key: of that member, where they have one.

    Raises:
        InputError: there is no such file, no such member, or a wrong key.
        RecordError: the database cannot be opened.
    """
    if "://" not in address and not Path(address).is_file():
        raise InputError(
            f"There is no shelf at {address}. 'farpress firm start' makes one; --database (or FARPRESS_FIRM)"
            " says where another is."
        )
    shelf = open_shelf(address)
    try:
        return Firm(shelf, enter(shelf.record, name, key))
    except FarpressError:
        shelf.close()
        time.sleep(0.2)  # whoever tries keys shall be slow
        raise


def start_firm(address: str, *, name: str = "", key: bool = False) -> tuple[Firm, str]:
    """Make a new shelf, with its first manager if one is named; gives the manager's fresh key if one was
    asked for.

    Raises:
        InputError: there is a shelf already.
    """
    from farpress.domain.role import Role
    from farpress.record.members import NOBODY, add_member, members

    if "://" not in address and Path(address).exists():
        raise InputError(f"{address} is there already; it was left as it is.")
    shelf = open_shelf(address)
    shelf.record.begin()
    if members(shelf.record) or shelf.entries(archived=None):
        shelf.close()
        raise InputError("This database holds a shelf already; it was left as it is.")
    if not name:
        return Firm(shelf, NOBODY), ""
    member, secret = add_member(shelf.record, name, Role.MANAGER, by=NOBODY, key=key)
    return Firm(shelf, member), secret


def files_of(folder: Path) -> dict[str, bytes]:
    """Plans and other files of a job folder: path below it → content; hidden files and links stay behind.

    Raises:
        InputError: one of them is too large or cannot be read.
    """
    found: dict[str, bytes] = {}
    for path in sorted(folder.rglob("*")):
        inside = path.relative_to(folder)
        if path.is_symlink() or not path.is_file() or any(piece.startswith(".") for piece in inside.parts):
            continue
        if len(inside.parts) == 1 and any(path.name.startswith(name) for name in OWN_FILES):
            continue
        try:
            if path.stat().st_size > LARGEST_FILE:
                raise InputError(
                    f"{inside} has {path.stat().st_size / 1e6:.0f} MB; a file beside a job may have"
                    f" {LARGEST_FILE / 1e6:.0f} MB (our choice). Make it smaller or take it away."
                )
            found[inside.as_posix()] = path.read_bytes()
        except OSError as error:
            raise InputError(f"{inside} cannot be read: {error.strerror or error}.") from error
    return found
