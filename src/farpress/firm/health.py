"""How the firm's shelf is: for a monitor as values, for a person as a page. Nothing in it is personal."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import Final

from farpress.errors import RecordError
from farpress.record.shelf import Shelf
from farpress.version import __version__

__all__ = ["Health", "health", "health_page"]

LEAST_FREE: Final = 500_000_000
"""Bytes free on the disk below which the service counts as unwell; our choice."""


@dataclass(frozen=True)
class Health:
    """How the service is; nothing in it is personal.

    Attributes:
        is_well: everything below is as it should be.
        says: what is not.
        version, shape: of the program and of the database.
        jobs, events: numbers.
        last_backup: date of the last backup, or empty.
        disk_free: bytes free where the database file lies; None for a database elsewhere.
    """

    is_well: bool
    says: tuple[str, ...]
    version: str
    shape: str = ""
    jobs: int = 0
    events: int = 0
    last_backup: str = ""
    disk_free: int | None = None


def health(shelf: Shelf, *, file: Path | None = None) -> Health:
    """Look whether the database answers, is of this version's shape, has room, and was backed up."""
    from sqlalchemy import func, select

    from farpress.record.migrations import newest, shape_of
    from farpress.record.shelf_tables import JOB
    from farpress.record.tables import EVENT

    free = shutil.disk_usage(file.parent).free if file is not None else None
    last_backup = select(func.max(EVENT.c.at)).where(EVENT.c.kind == "backup made")
    try:
        with shelf.reading() as connection:
            shape = shape_of(connection)
            jobs = int(connection.execute(select(func.count()).select_from(JOB)).scalar_one())
            events = int(connection.execute(select(func.count()).select_from(EVENT)).scalar_one())
            backed_up = str(connection.execute(last_backup).scalar() or "")
    except RecordError as error:
        return Health(False, (f"the database does not answer: {error}",), __version__, disk_free=free)
    complaints = []
    if shape != newest():
        complaints.append(f"the database has shape {shape}, this version works with {newest()}")
    if free is not None and free < LEAST_FREE:
        complaints.append(f"only {free / 1e6:.0f} MB are free on the disk")
    return Health(not complaints, tuple(complaints), __version__, shape, jobs, events, backed_up[:10], free)


_STYLE: Final = (
    "body{font:1.1rem/1.5 system-ui,sans-serif;margin:2rem auto;max-width:34rem;padding:0 1rem;"
    "color-scheme:light dark}th{text-align:left;padding-right:2rem;font-weight:500}"
    "p{border-left:.4rem solid;padding-left:.8rem}"
)


def health_page(state: Health) -> str:
    """The page for a person: no script, nothing from elsewhere."""
    rows = [
        ("Program", state.version),
        ("Database", f"shape {state.shape}" if state.shape else "does not answer"),
        ("Jobs", str(state.jobs)),
        ("Entries in the record", str(state.events)),
        ("Last backup", state.last_backup or "never"),
    ]
    if state.disk_free is not None:
        rows.append(("Free on the disk", f"{state.disk_free / 1e9:.1f} GB"))
    table = "".join(f"<tr><th scope=row>{name}</th><td>{escape(value)}</td></tr>" for name, value in rows)
    status = "Everything is well." if state.is_well else "Not well: " + escape("; ".join(state.says))
    return (
        "<!doctype html><html lang=en><meta charset=utf-8><meta name=viewport content='width=device-width'>"
        f"<title>Farpress: the firm's shelf</title><style>{_STYLE}</style>"
        f"<main><h1>The firm's shelf</h1><p role=status>{status}</p><table>{table}</table></main></html>"
    )
