"""The tables of the record as they are now: the log, the persons apart from it, the snapshots.

How a database gets from an older shape to this one stands in `record/migrations`.
"""

from __future__ import annotations

from sqlalchemy import Column, Index, Integer, MetaData, PrimaryKeyConstraint, Table, Text

__all__ = ["EVENT", "METADATA", "ORIGIN", "PERSON", "SNAPSHOT"]

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
"""The append-only log; guarded by triggers, proven by the hashes. A further index, by fob, is made by a
migration."""

ORIGIN = Table(
    "origin",
    METADATA,
    Column("name", Text, primary_key=True),
    Column("is_own", Integer, nullable=False),
    Column("job", Text, nullable=False, server_default=""),
    Column("last_number", Integer, nullable=False, server_default="0"),
    Column("last_digest", Text, nullable=False, server_default=""),
)
"""The chains this record holds, and the last entry of each; one chain for each job is its own, so that it can
go elsewhere whole."""

PERSON = Table(
    "person",
    METADATA,
    Column("mark", Text, primary_key=True),
    Column("job", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("organisation", Text, nullable=False, default="", server_default=""),
    Column("contact", Text, nullable=False, default="", server_default=""),
    Column("keep_until", Text, nullable=False, default="", server_default=""),
    Column("salt", Text, nullable=False, default="", server_default=""),
    Index("person_by_job", "job", "name"),
)
"""Names, deletable; events know a person only by the mark."""

SNAPSHOT = Table(
    "snapshot",
    METADATA,
    Column("job", Text, primary_key=True),
    Column("covers", Text, nullable=False),
    Column("last", Text, nullable=False),
    Column("register", Text, nullable=False),
)
"""The register as last drawn, kept so that it need not be drawn from the first event again; never the
truth."""
