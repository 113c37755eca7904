"""A backup is one file, checked; what is restored is the same entry by entry, on either database."""

from __future__ import annotations

import gzip
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa

from farpress.errors import InputError
from farpress.firm.shelf import Firm
from farpress.record.backup import LEFT_OUT, check_backup, restore_backup, write_backup
from farpress.record.engine import writing
from farpress.record.migrations import newest
from farpress.record.shelf_tables import CONTENT
from farpress.record.store import Record, open_record
from farpress.record.tables import METADATA
from survey import ROOT

pytestmark = pytest.mark.long


def everything(record: Record) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table that a backup holds."""
    found = {}
    with record._reading() as connection:
        for name, table in METADATA.tables.items():
            if name not in LEFT_OUT:
                found[name] = sorted((tuple(row) for row in connection.execute(sa.select(table))), key=repr)
    return found


@pytest.fixture
def full(stocked: Firm) -> Firm:
    """A shelf with something in every table."""
    from farpress.domain.role import Role
    from farpress.firm.due import set_road
    from farpress.record.members import add_member

    add_member(stocked.shelf.record, "Hesper Marrow", Role.MANAGER, by=stocked.who, key=True)
    set_road(stocked, "Oakmire", "Vessing", minutes=24)
    entry = stocked.find()[0]
    stocked.shelf.give_out(entry.job, by="me")
    head = stocked.shelf.version(entry.job)
    from farpress.firm.facts import read_text

    read = read_text(head.text + "# with a plan\n")
    stocked.shelf.change(
        entry.job,
        read.text,
        read.fingerprint,
        read.facts,
        parent=1,
        by="me",
        says="",
        files={"plan.bin": bytes(range(256)) * 40},
    )
    assert [name for name, rows in everything(stocked.shelf.record).items() if not rows] == []
    return stocked


@pytest.mark.parametrize("into", ["sqlite", "postgresql"])
def test_what_is_restored_is_the_same_entry_by_entry(
    full: Firm, into: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    """From each database into each; compared row by row, and the chains hold."""
    from helpers.postgres import new_database

    before = everything(full.shelf.record)
    made = write_backup(full.shelf.record, tmp_path / "firm.backup", by="me")
    target = (
        str(tmp_path / "new.sqlite")
        if into == "sqlite"
        else new_database(
            request.getfixturevalue("postgres"), f"restored_{request.node.callspec.id.replace('-', '_')}"
        )
    )

    with open_record(target) as record:
        restore_backup(tmp_path / "firm.backup", record, by="restore")
        after = everything(record)

        assert record.breaches() == ()
    assert check_backup(tmp_path / "firm.backup") == made
    added = [row for row in after["event"] if row not in before["event"]]
    assert [row[5] for row in added] == ["backup restored"], "the one new entry tells of the restoring"
    assert [row for row in after["event"] if row not in added] == before["event"]
    apart = ("event", "origin")
    assert {name: rows for name, rows in after.items() if name not in apart} == {
        name: rows for name, rows in before.items() if name not in apart
    }
    moved = [
        (one, other) for one, other in zip(before["origin"], after["origin"], strict=True) if one != other
    ]
    assert [(one[:2], other[3]) for one, other in moved] == [((added[0][0], 1), added[0][1])], (
        "the end of one chain moved, by that entry"
    )


def test_a_backup_is_not_restored_over_something(full: Firm, tmp_path: Path) -> None:
    """A database that holds anything is left alone."""
    write_backup(full.shelf.record, tmp_path / "firm.backup", by="me")
    before = everything(full.shelf.record)

    with pytest.raises(InputError, match="not empty"):
        restore_backup(tmp_path / "firm.backup", full.shelf.record, by="me")
    assert everything(full.shelf.record) == before


@pytest.mark.parametrize("harm", ["cut", "byte", "line", "swap", "text", "empty", "newer"])
def test_a_damaged_backup_is_refused_and_says_why(stocked: Firm, tmp_path: Path, harm: str) -> None:
    """Cut off, one byte changed, an event changed with or without the digest, no backup at all."""
    path = tmp_path / "firm.backup"
    write_backup(stocked.shelf.record, path, by="me")
    raw = path.read_bytes()
    lines = gzip.decompress(raw).splitlines(keepends=True)
    number = next(index for index, line in enumerate(lines) if line.startswith(b'["event"'))
    match harm:
        case "cut":
            path.write_bytes(raw[: len(raw) // 2])
        case "byte":
            path.write_bytes(raw[:-40] + bytes([raw[-40] ^ 255]) + raw[-39:])
        case "line":
            path.write_bytes(gzip.compress(b"".join(lines[:number] + lines[number + 1 :])))
        case "swap":
            path.write_bytes(gzip.compress(_resealed(lines, number)))
        case "text":
            path.write_bytes(b"this is no backup")
        case "empty":
            path.write_bytes(b"")
        case "newer":
            path.write_bytes(
                gzip.compress(_resealed([lines[0].replace(newest().encode(), b"9999"), *lines[1:]], None))
            )

    with pytest.raises(InputError) as refused, open_record(tmp_path / "new.sqlite") as record:
        restore_backup(path, record, by="me")

    assert {
        "cut": "cut off",
        "byte": "",
        "line": "does not follow",
        "swap": "does not hold",
        "text": "no backup",
        "empty": "end is missing",
        "newer": "9999",
    }[harm] in str(refused.value)
    with open_record(tmp_path / "new.sqlite") as record:
        assert record.events() == ()


def _resealed(lines: list[bytes], number: int | None) -> bytes:
    """One event changed by somebody who knows how the end is made."""
    import hashlib
    import json

    body = [
        (
            line.replace(b'"fob received"', b'"fob destroyed"').replace(b'"version\\":1', b'"version\\":2')
            if index == number
            else line
        )
        for index, line in enumerate(lines[:-1])
    ]
    assert number is None or body[number] != lines[number]
    end = {"rows": len(body) - 1, "digest": hashlib.sha256(b"".join(body)).hexdigest()}
    return b"".join(body) + json.dumps(end).encode() + b"\n"


_FULL_DISK = """
import resource, sys
from pathlib import Path
from farpress.errors import FarpressError
from farpress.record.backup import write_backup
from farpress.record.store import open_record
import signal; signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
with open_record(sys.argv[1]) as record:
    with record._reading():
        pass  # the connection is open before the disk is full
    resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))
    try:
        write_backup(record, Path(sys.argv[2]), by="me")
    except FarpressError as error:
        print(type(error).__name__, error)
"""


def test_no_room_for_a_backup_leaves_the_older_one(shelf_of: Any, tmp_path: Path) -> None:
    """The disk takes 2 kB and no more: it is said, the older file is as it was, and nothing else lies
    about.
    """
    firm = shelf_of(3)
    database = firm.shelf.record._engine.url.database
    target = tmp_path / "kept" / "firm.backup"
    target.parent.mkdir()
    target.write_bytes(b"an older one")
    firm.close()

    done = subprocess.run(
        [sys.executable, "-c", _FULL_DISK, database, str(target)],
        capture_output=True,
        text=True,
        check=False,
        env={"PYTHONPATH": str(ROOT / "src"), "PYTHONDONTWRITEBYTECODE": "1"},
    )

    assert "could not be written" in done.stdout, done.stdout + done.stderr
    assert target.read_bytes() == b"an older one"
    assert [path.name for path in target.parent.iterdir()] == ["firm.backup"]


def test_a_full_disk_refuses_the_entry_and_keeps_all_before(shelf_of: Any) -> None:
    """SQLite is told that it may not grow: the write is refused whole, and reading goes on."""
    from farpress.errors import RecordError
    from farpress.firm.facts import read_text

    stocked = shelf_of(3)
    record = stocked.shelf.record
    before = everything(record)
    job = stocked.find()[0].job
    with record._reading() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
        connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")
        connection.rollback()
    read = read_text(stocked.shelf.version(job).text + "# " + "x" * 200_000 + "\n")

    with pytest.raises(RecordError, match="disk is full"):
        stocked.shelf.change(job, read.text, read.fingerprint, read.facts, parent=1, by="me", says="")

    assert everything(record) == before
    assert record.breaches() == ()


def test_contents_are_kept_once(full: Firm) -> None:
    """Two versions with the same plan hold it once."""
    with writing(full.shelf.record._engine) as connection:
        assert connection.execute(sa.select(sa.func.count()).select_from(CONTENT)).scalar() == 1
