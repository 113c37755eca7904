"""Connections to the record's database: SQLite with a write-ahead log, or PostgreSQL."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, Any

from farpress.errors import RecordError
from farpress.record.look import file_of
from farpress.write_ahead import keep_a_write_ahead_log

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

__all__ = ["connect", "writing"]

PRAGMAS = (
    "busy_timeout=30000",
    "synchronous=FULL",
    "foreign_keys=ON",
    "recursive_triggers=ON",
    "secure_delete=ON",
)
"""Each connection's settings: an acknowledged write survives a power cut; triggers guard REPLACE too; a
deleted name is overwritten."""

_LOCK_KEY = 0x46415250
"""Any number of our own: writers on PostgreSQL take this advisory lock in turn."""


def connect(target: str) -> Engine:
    """An engine for a file path or a database address, its tables made or brought up to date.

    Raises:
        RecordError: it cannot be opened; the driver's message is kept.
    """
    from sqlalchemy import create_engine, event
    from sqlalchemy.exc import SQLAlchemyError

    from farpress.record.migrations import newest, shape_of, upgrade

    _begin_privately(target)
    address = target if "://" in target else f"sqlite:///{target}"
    address = address.replace("postgresql://", "postgresql+psycopg://", 1)
    try:
        engine = create_engine(
            address,
            isolation_level="AUTOCOMMIT" if address.startswith("sqlite") else "READ COMMITTED",
            pool_pre_ping=not address.startswith("sqlite"),
        )
        if engine.dialect.name == "sqlite":

            @event.listens_for(engine, "connect")
            def _settings(raw: Any, _: object) -> None:
                for pragma in PRAGMAS:
                    raw.execute(f"PRAGMA {pragma}")
                keep_a_write_ahead_log(getattr(raw, "driver_connection", raw))

        with engine.connect() as connection:
            is_current = shape_of(connection) == newest()
        if not is_current:
            with writing(engine) as connection:
                upgrade(connection)
    except SQLAlchemyError as error:
        raise RecordError(
            f"The record {target} could not be opened: {getattr(error, 'orig', None) or error}."
        ) from error
    return engine


def _begin_privately(target: str) -> None:
    """Make the file of a new record readable by its owner alone: it holds names. One that is there keeps the
    rights somebody gave it.
    """
    file = file_of(target)
    if file is not None and not file.exists():
        with suppress(OSError):  # where it cannot be made, the database says why
            os.close(os.open(file, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """One transaction that no other writer can interleave with; undone on any error."""
    from sqlalchemy.exc import SQLAlchemyError

    try:
        with engine.connect() as connection:
            if engine.dialect.name == "sqlite":
                connection.exec_driver_sql("BEGIN IMMEDIATE")
            else:
                connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_LOCK_KEY})")
            try:
                yield connection
            except BaseException:
                with suppress(
                    SQLAlchemyError
                ):  # a full disk has ended the transaction already; its own message is the one to tell
                    _end(connection, "ROLLBACK")
                raise
            _end(connection, "COMMIT")
    except SQLAlchemyError as error:
        raise RecordError(f"The record refused the entry; nothing was written: {_why(error)}") from error


def _why(error: Exception) -> str:
    """The database's own words, and what to do where the disk is full."""
    words = " ".join(str(getattr(error, "orig", None) or error).split()).removesuffix(".")
    if any(
        sign in words
        for sign in ("disk is full", "No space left on device", "could not extend file", "File too large")
    ):
        return (
            f"{words}. There is no room left on the disk of the database: make room there and do it again."
            " What was acknowledged is on disk, and can be read meanwhile."
        )
    return f"{words}."


def _end(connection: Connection, word: str) -> None:
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql(word)
    elif word == "COMMIT":
        connection.commit()
    else:
        connection.rollback()
