"""A job between the firm and a laptop: a copy goes out, and comes back with both sides' changes.

Nothing is locked while a copy is out. On the way back the job file is merged value by value
(or refused with both versions shown), files beside it one by one, and the two records are
joined by the union of their chains. Coming back twice, or after a crash in the middle, does
no harm.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Any, Final

from farpress.errors import FarpressError, InputError, JobFileError
from farpress.jobfile.merging import Clash, MergeRefused, differences, merge_values
from farpress.jobfile.source import FILE_NAME, read_source
from farpress.jobfile.writer import apply_changes
from farpress.record.persons import Person, persons
from farpress.record.shelf import Version, add_version_event, put_version, version_in
from farpress.record.store import open_record
from farpress.record.union import take_in, take_in_names
from farpress.tasks.edit import values_of
from farpress.tasks.firm import Firm, files_of
from farpress.tasks.firm_facts import Read, read_text

if TYPE_CHECKING:
    from farpress.domain.event import Event

__all__ = ["TICKET_NAME", "Back", "check_in", "check_out"]

TICKET_NAME: Final = "shelf.json"
"""File in a job folder that says which version of which job it is a copy of."""


@dataclass(frozen=True)
class Back:
    """A copy that came back.

    Attributes:
        job, version: what is newest on the shelf now.
        is_new: this return made that version.
        merged: both sides had changed the job.
        events_taken, events_given: events new to the firm, and new to the folder.
    """

    job: str
    version: int
    is_new: bool
    merged: bool
    events_taken: int
    events_given: int


def check_out(firm: Firm, job: str, folder: Path) -> Version:
    """Make a folder with a copy of a job: the newest version, its files, and its record.

    Raises:
        InputError: no such job, or something is in the folder already.
    """
    firm.may("check out")
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise InputError(f"{folder} is not empty; give a new folder for the copy.")
    out = firm.shelf.give_out(job, by=firm.who.mark)
    version = firm.shelf.version(job, out.version)
    folder.mkdir(parents=True, exist_ok=True)
    _write(folder / FILE_NAME, version.text.encode())
    for path, digest in version.files.items():
        _write(_inside(folder, path), firm.shelf.content(digest))
    _give_record(firm, job, folder)
    _write_ticket(folder, {"job": job, "version": out.version, "ticket": out.ticket})
    return version


def check_in(firm: Firm, folder: Path, *, says: str = "", made_on: int | None = None, with_faults: bool = False) -> Back:
    """Bring a copy back; afterwards firm and folder hold the same.

    Args:
        firm: where to.
        folder: the copy.
        says: what was done, in words.
        made_on: the version the copy was made from, where its ticket is lost.
        with_faults: take a job file with faults, if nobody else changed the job meanwhile.

    Raises:
        MergeRefused: both sides changed the same values; both versions are in it, nothing was written.
        JobFileError: the job has faults, or the two sides' changes do not fit together.
        RecordError: the two records have forked.
        InputError: the job is not on the shelf, or it is not known what the copy was made from.
    """
    source = read_source(folder)
    mine = read_text(source.text)
    ticket = _read_ticket(folder)
    job = str(ticket.get("job") or mine.name)
    if mine.name != job:
        raise InputError(f"The job was called '{job}' when it went out and is called '{mine.name}' now. The name is the key of its record: "
                         "call it by its old name to bring it back, or put it on the shelf as a job of its own with 'farpress firm add'.")
    base = _base(firm, job, ticket, mine, made_on)
    with open_record(folder) as there:
        given, names = there.events(job=job), persons(there, job=job)
    back = _take(firm, mine, files_of(folder), base, given, names, str(ticket.get("ticket") or ""), says=says, with_faults=with_faults)
    head = firm.shelf.version(job)
    _replace_text(folder, head.text, source.fingerprint)
    for path in set(base.files) - set(head.files):
        _inside(folder, path).unlink(missing_ok=True)
    for path, digest in head.files.items():
        place = _inside(folder, path)
        if not place.is_file() or hashlib.sha256(place.read_bytes()).hexdigest() != digest:
            _write(place, firm.shelf.content(digest))
    events_given = _give_record(firm, job, folder)
    _write_ticket(folder, {"job": job, "version": head.number, "ticket": ticket.get("ticket") or ""})
    return replace(back, events_given=events_given)


def _base(firm: Firm, job: str, ticket: Mapping[str, Any], mine: Read, made_on: int | None) -> Version:
    number = made_on if made_on is not None else ticket.get("version")
    if isinstance(number, int):
        return firm.shelf.version(job, number)
    same = [one for one in firm.shelf.versions(job) if mine.fingerprint in (one.fingerprint, one.was)]
    if same:
        return same[-1]
    raise InputError(f"This folder has no ticket of the shelf ({TICKET_NAME}), so it is not known which version of '{job}' it was made from. "
                     "Say it with --made-on N; 'farpress firm versions' lists them.")


def _take(
    firm: Firm, mine: Read, files: Mapping[str, bytes], base: Version, given: tuple[Event, ...], names: Mapping[str, Person], ticket: str,
    *, says: str, with_faults: bool,
) -> Back:
    """All of it in one transaction: events, names, and a new version if there is one."""
    from sqlalchemy import update

    from farpress.record.shelf import job_in
    from farpress.record.shelf_tables import CHECKOUT

    job = mine.name
    with firm.shelf.record.transaction(job=job, by=firm.who.mark) as work:
        entry = job_in(work.connection, job)
        assert entry is not None
        head = version_in(work.connection, job, entry.head)
        assert head is not None
        new = take_in(work.connection, given, job=job)
        take_in_names(work.connection, names, job=job, new=new, news_there=False)
        text, merged = _merged_text(base, mine, head, with_faults=with_faults)
        paths = _merged_files(base.files, {path: hashlib.sha256(data).hexdigest() for path, data in files.items()}, head.files)
        is_new = text.fingerprint != head.fingerprint or paths != dict(head.files)
        firm.may("design" if is_new else "record")
        if is_new:
            add_version_event(work, entry, text.fingerprint, says, merged=merged)
            contents = {path: files[path] if digest not in head.files.values() else _content(work, digest) for path, digest in paths.items()}
            put_version(work, text.text, text.fingerprint, text.facts, files=contents, says=says, at=work.events[-1].at, number=entry.head + 1)
        number = entry.head + 1 if is_new else entry.head
        if is_new or new:
            work.append("job checked in", {"version": number, "events": len(new)} | ({"ticket": ticket} if ticket else {}))
        if ticket:
            moment = work.events[-1].at if work.events else "at once"
            work.connection.execute(update(CHECKOUT).where(CHECKOUT.c.ticket == ticket, CHECKOUT.c.back_at == "").values(back_at=moment))
    return Back(job, number, is_new, merged, len(new), 0)


def _merged_text(base: Version, mine: Read, head: Version, *, with_faults: bool) -> tuple[Read, bool]:
    """The job file with both sides' changes, and whether both had some."""
    if mine.fingerprint in (base.fingerprint, base.was, head.fingerprint):
        return read_text(head.text), False
    if head.fingerprint == base.fingerprint:
        if mine.faults and not with_faults:
            raise JobFileError(mine.faults)
        return mine, False
    if mine.faults:
        raise JobFileError(mine.faults)
    now = values_of(head.text)
    wanted = merge_values(values_of(base.text), values_of(mine.text), now)
    changes = differences(now, wanted)
    if not changes:
        return read_text(head.text), False
    with tempfile.TemporaryDirectory(prefix="farpress-") as name:
        copy = Path(name) / FILE_NAME
        copy.write_bytes(head.text.encode())
        apply_changes(copy, changes)
        merged = read_text(read_source(copy).text)
    if merged.faults:
        head_says = replace(merged.faults[0], says="each side's changes are sound alone, but together the job has faults, so nothing was written. Mend it in the copy: "
                            + merged.faults[0].says)
        raise JobFileError([head_says, *merged.faults[1:]])
    return merged, True


def _merged_files(base: Mapping[str, str], mine: Mapping[str, str], head: Mapping[str, str]) -> dict[str, str]:
    merged: dict[str, str] = {}
    clashes = []
    for path in sorted({*base, *mine, *head}):
        before, here, there = base.get(path), mine.get(path), head.get(path)
        if here not in (before, there) and there != before:
            clashes.append(Clash((path,), before and before[:12], here and here[:12], there and there[:12]))
        chosen = there if here == before else here
        if chosen is not None:
            merged[path] = chosen
    if clashes:
        raise MergeRefused(clashes)
    return merged


def _content(work: Any, digest: str) -> bytes:
    from sqlalchemy import select

    from farpress.record.shelf_tables import CONTENT

    return bytes(work.connection.execute(select(CONTENT.c.data).where(CONTENT.c.digest == digest)).scalar_one())


def _give_record(firm: Firm, job: str, folder: Path) -> int:
    """Take the firm's events and names of a job into the folder's record."""
    events, names = firm.shelf.record.events(job=job), persons(firm.shelf.record, job=job)
    with open_record(folder / "record.sqlite") as there, there.transaction(job=job, by=firm.who.mark) as work:
        new = take_in(work.connection, events, job=job)
        take_in_names(work.connection, names, job=job, new=new, news_there=True)
    return len(new)


def _replace_text(folder: Path, text: str, fingerprint: str) -> None:
    source = read_source(folder)
    if source.fingerprint != fingerprint:
        raise InputError("The firm has the changes of this copy, but its job file was changed again while it came back. Nothing is lost: bring it back once more.")
    if source.text != text:
        _write(folder / FILE_NAME, text.encode())


def _inside(folder: Path, path: str) -> Path:
    """A place below the folder; a path out of a database is not trusted."""
    pieces = PurePosixPath(path).parts
    if not pieces or path.startswith("/") or any(piece in ("..", "") or piece.startswith(".") or "\\" in piece or ":" in piece for piece in pieces):
        raise FarpressError(f"The shelf holds a file with the path '{path}', which leads out of the job's folder; it was not written.")
    return folder.joinpath(*pieces)


def _write(target: Path, data: bytes) -> None:
    """Put a file in its place in one step, on disk when this returns."""
    name = ""
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".new", dir=target.parent)
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        Path(name).chmod(0o644)
        Path(name).replace(target)
    except OSError as error:
        raise InputError(f"{target.name} could not be written: {error.strerror or error}. What was there before is as it was; try again when there is room.") from error
    finally:
        if name:
            Path(name).unlink(missing_ok=True)


def _read_ticket(folder: Path) -> dict[str, Any]:
    path = (folder if folder.is_dir() else folder.parent) / TICKET_NAME
    if not path.is_file():
        return {}
    try:
        value = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise InputError(f"{TICKET_NAME} cannot be read: {error}. Take it away and say with --made-on N which version the copy was made from.") from error
    return value if isinstance(value, dict) else {}


def _write_ticket(folder: Path, ticket: Mapping[str, object]) -> None:
    _write(folder / TICKET_NAME, (json.dumps(ticket, ensure_ascii=False, indent=1, sort_keys=True) + "\n").encode())

