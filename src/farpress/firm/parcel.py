"""What travels between a laptop and the firm: a job file, the files beside it, events and names.

A parcel is made from a folder or from the shelf; it can go by hand-over in one program or
as text over a wire, and says the same either way.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path, PurePosixPath
from typing import Any, Final

from farpress.domain.event import Event
from farpress.errors import FarpressError, InputError
from farpress.firm.arriving import arriving
from farpress.firm.facts import read_text
from farpress.firm.shelf import files_of
from farpress.jobfile.source import FILE_NAME, fingerprint_of, read_source
from farpress.kept.whole_file import put_whole
from farpress.record.chain import event_from_plain, plain_of
from farpress.record.persons import PersonEntry, persons
from farpress.record.shelf import Shelf
from farpress.record.store import FILE_NAME as RECORD_NAME
from farpress.record.store import open_record
from farpress.record.union import take_in, take_in_names

__all__ = [
    "TICKET_NAME",
    "Parcel",
    "parcel_from_json",
    "parcel_json",
    "parcel_of_folder",
    "parcel_of_shelf",
    "put_into",
]

TICKET_NAME: Final = "shelf.json"
"""File in a job folder that says which version of which job it is a copy of."""


@dataclass(frozen=True)
class Parcel:
    """One job on its way.

    Attributes:
        job: its name, the key on the shelf.
        text: the job file.
        files: path below the folder → content.
        events, names: its record.
        version, fingerprint: what the copy was made from; None and empty where that is not known.
        ticket: of the copy.
    """

    job: str
    text: str
    files: Mapping[str, bytes]
    events: tuple[Event, ...]
    names: Mapping[str, PersonEntry]
    version: int | None = None
    fingerprint: str = ""
    ticket: str = field(default="")


def parcel_of_folder(folder: Path, *, made_on: int | None = None) -> Parcel:
    """A job folder as a parcel.

    Raises:
        JobFileError: not even the job's name can be read.
        InputError: the ticket or a file cannot be read, or the job has another name than when it went out.
    """
    source = read_source(folder)
    home = folder if folder.is_dir() else folder.parent
    ticket = _read_ticket(home)
    name = read_text(source.text).name
    job = str(ticket.get("job") or name)
    if name != job:
        raise InputError(
            f"The job was called '{job}' when it went out and is called '{name}' now. The name is the key of"
            " its record: call it by its old name to bring it back, or put it on the shelf as a job of its"
            " own with 'farpress firm add'."
        )
    events: tuple[Event, ...] = ()
    names: dict[str, PersonEntry] = {}
    if (home / RECORD_NAME).exists():
        with open_record(home) as record:
            events, names = record.events(job=job), persons(record, job=job)
    version = made_on if made_on is not None else ticket.get("version")
    fingerprint = "" if made_on is not None else str(ticket.get("fingerprint") or "")
    return Parcel(
        job,
        source.text,
        files_of(home),
        events,
        names,
        version if isinstance(version, int) else None,
        fingerprint,
        str(ticket.get("ticket") or ""),
    )


def parcel_of_shelf(shelf: Shelf, job: str, *, ticket: str = "") -> Parcel:
    """The newest version of a job with its record."""
    version = shelf.version(job)
    files = {path: shelf.content(digest) for path, digest in version.files.items()}
    return Parcel(
        job,
        version.text,
        files,
        shelf.record.events(job=job),
        persons(shelf.record, job=job),
        version.number,
        version.fingerprint,
        ticket,
    )


def put_into(folder: Path, parcel: Parcel, *, replaces: Parcel | None, by: str) -> int:
    """Bring a folder to what a parcel says; gives the number of events that were new to it.

    Args:
        folder: new, or the one that `replaces` was made from.
        parcel: from the shelf.
        replaces: what the folder held when it was sent; None for a new folder.
        by: who does it.

    Raises:
        InputError: the job file was changed again meanwhile, or a file cannot be written; nothing is lost.
        RecordError: the folder's record has forked from the shelf's.
    """
    if replaces is None:
        files = {**parcel.files, FILE_NAME: parcel.text.encode()}
        joined = (TICKET_NAME, RECORD_NAME, f"{RECORD_NAME}-wal", f"{RECORD_NAME}-shm")
        with arriving(folder, parcel.job, files=files, joined=joined):
            return _put(folder, parcel, replaces=None, by=by)
    return _put(folder, parcel, replaces=replaces, by=by)


def _put(folder: Path, parcel: Parcel, *, replaces: Parcel | None, by: str) -> int:
    if replaces is not None:
        now = read_source(folder)
        if now.fingerprint != fingerprint_of(replaces.text.encode()):
            raise InputError(
                "The firm has the changes of this copy, but its job file was changed again while it came"
                " back. Nothing is lost: bring it back once more."
            )
        for path in set(replaces.files) - set(parcel.files):
            _inside(folder, path).unlink(missing_ok=True)
    for path, data in parcel.files.items():
        place = _inside(folder, path)
        if not place.is_file() or place.read_bytes() != data:
            put_whole(place, data)
    if replaces is None or replaces.text != parcel.text:
        put_whole(folder / FILE_NAME, parcel.text.encode())
    with open_record(folder / RECORD_NAME) as record, record.transaction(job=parcel.job, by=by) as work:
        new = take_in(work.connection, parcel.events, job=parcel.job)
        take_in_names(work.connection, parcel.names, job=parcel.job, new=new, news_there=True)
    ticket = {
        "job": parcel.job,
        "version": parcel.version,
        "fingerprint": parcel.fingerprint,
        "ticket": parcel.ticket,
    }
    put_whole(
        folder / TICKET_NAME,
        (json.dumps(ticket, ensure_ascii=False, indent=1, sort_keys=True) + "\n").encode(),
    )
    return len(new)


def parcel_json(parcel: Parcel) -> str:
    """A parcel as text."""
    return json.dumps(
        {
            "job": parcel.job,
            "text": parcel.text,
            "version": parcel.version,
            "fingerprint": parcel.fingerprint,
            "ticket": parcel.ticket,
            "files": {path: base64.b64encode(data).decode() for path, data in parcel.files.items()},
            "events": [plain_of(event) for event in parcel.events],
            "names": [asdict(person) for person in parcel.names.values()],
        },
        ensure_ascii=False,
    )


def parcel_from_json(text: str | bytes) -> Parcel:
    """A parcel out of a text.

    Raises:
        InputError: it is none.
    """
    try:
        value: dict[str, Any] = json.loads(text)
        names = {named["mark"]: PersonEntry(**named) for named in value["names"]}
        files = {str(path): base64.b64decode(data, validate=True) for path, data in value["files"].items()}
        version = value["version"]
        if not (
            isinstance(value["job"], str)
            and isinstance(value["text"], str)
            and (version is None or isinstance(version, int))
        ):
            raise TypeError("a field has the wrong kind")
        return Parcel(
            value["job"],
            value["text"],
            files,
            tuple(map(event_from_plain, value["events"])),
            names,
            version,
            str(value["fingerprint"]),
            str(value["ticket"]),
        )
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise InputError(f"This is no parcel of a job: {type(error).__name__}, {error}.") from error


def _inside(folder: Path, path: str) -> Path:
    """A place below the folder; a path out of a database or off a wire is not trusted."""
    pieces = PurePosixPath(path).parts
    if (
        not pieces
        or path.startswith("/")
        or any(
            piece == ".." or piece.startswith(".") or "\\" in piece or ":" in piece or "\0" in piece
            for piece in pieces
        )
    ):
        raise FarpressError(f"The file '{path}' leads out of the job's folder; it was not written.")
    return folder.joinpath(*pieces)


def _read_ticket(folder: Path) -> dict[str, Any]:
    path = folder / TICKET_NAME
    if not path.is_file():
        return {}
    try:
        value = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise InputError(
            f"{TICKET_NAME} cannot be read: {error}. Take it away and say with --made-on N which version the"
            " copy was made from."
        ) from error
    return value if isinstance(value, dict) else {}
