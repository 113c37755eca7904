"""The tables of the record: the log, and the persons apart from it."""

from __future__ import annotations

from sqlalchemy import Column, Index, Integer, MetaData, PrimaryKeyConstraint, Table, Text

__all__ = ["EVENT", "METADATA", "ORIGIN", "PERSON"]

METADATA = MetaData()

EVENT = Table(
    "event",
    METADATA,
    Column("origin", Text, nullable=False),
    Column("number", Integer, nullable=False),
    Column("job", Text, nullable=False),
    Column("at", Text, nullable=False),
    Column("by", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("body", Text, nullable=False),
    Column("previous", Text, nullable=False),
    Column("digest", Text, nullable=False),
    PrimaryKeyConstraint("origin", "number"),
    Index("event_by_job", "job", "at", "origin", "number"),
    Index("event_by_kind", "job", "kind"),
)
"""The append-only log; guarded by triggers, proven by the hashes."""

ORIGIN = Table("origin", METADATA, Column("name", Text, primary_key=True), Column("is_own", Integer, nullable=False))
"""The chains this record holds; exactly one is its own."""

PERSON = Table(
    "person",
    METADATA,
    Column("mark", Text, primary_key=True),
    Column("job", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("organisation", Text, nullable=False, default=""),
    Column("contact", Text, nullable=False, default=""),
    Column("keep_until", Text, nullable=False, default=""),
    Index("person_by_job", "job", "name"),
)
"""Names, deletable; events know a person only by the mark."""
