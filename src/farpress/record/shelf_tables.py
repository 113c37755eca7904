"""The tables of a firm's shelf: jobs with their versions and files, members, results, journeys.

They lie in the same database as the record, so that a change of a job and the event that
tells of it are one transaction.
"""

from __future__ import annotations

from sqlalchemy import Column, Index, Integer, LargeBinary, PrimaryKeyConstraint, Table, Text

from farpress.record.tables import METADATA

__all__ = ["CHECKOUT", "CONTENT", "JOB", "JOB_FACT", "JOB_FILE", "JOB_VERSION", "MEMBER", "RESULT", "ROAD"]


def _text(name: str) -> Column[str]:
    return Column(name, Text, nullable=False, server_default="")


JOB = Table(
    "job",
    METADATA,
    Column("job", Text, primary_key=True),
    _text("state"),
    Column("head", Integer, nullable=False),
    _text("customer"),
    _text("address"),
    _text("words"),
    _text("added_at"),
    _text("changed_at"),
)
"""One row a job; `state` is "open" or "archived", `head` its newest version, `words` what is searched."""

JOB_VERSION = Table(
    "job_version",
    METADATA,
    Column("job", Text, nullable=False),
    Column("number", Integer, nullable=False),
    _text("fingerprint"),
    Column("parent", Integer, nullable=False, server_default="0"),
    _text("text"),
    _text("at"),
    _text("by"),
    _text("says"),
    _text("was"),
    PrimaryKeyConstraint("job", "number"),
    Index("job_version_by_fingerprint", "job", "fingerprint"),
)
"""Every state a job file had on the shelf; `was` is the fingerprint before a name was taken out of it."""

JOB_FILE = Table(
    "job_file",
    METADATA,
    Column("job", Text, nullable=False),
    Column("version", Integer, nullable=False),
    Column("path", Text, nullable=False),
    _text("digest"),
    PrimaryKeyConstraint("job", "version", "path"),
)
"""Plans and other files beside the job file, version by version."""

CONTENT = Table(
    "content", METADATA, Column("digest", Text, primary_key=True), Column("data", LargeBinary, nullable=False)
)
"""What is in those files, each content once."""

JOB_FACT = Table(
    "job_fact",
    METADATA,
    Column("job", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("name", Text, nullable=False),
    PrimaryKeyConstraint("job", "kind", "name"),
    Index("job_fact_by_name", "kind", "name"),
)
"""What the newest version of a job speaks of: parts, persons, receivers; drawn anew with each version."""

CHECKOUT = Table(
    "checkout",
    METADATA,
    Column("ticket", Text, primary_key=True),
    Column("job", Text, nullable=False),
    Column("version", Integer, nullable=False),
    _text("by"),
    _text("at"),
    _text("back_at"),
    Index("checkout_by_job", "job"),
)
"""Copies that went out to a laptop; nothing is locked by them."""

RESULT = Table(
    "result",
    METADATA,
    Column("job", Text, nullable=False),
    Column("question", Text, nullable=False),
    _text("fingerprint"),
    _text("body"),
    _text("at"),
    PrimaryKeyConstraint("job", "question"),
)
"""What a job's last assessment gave, question by question; can be thrown away at any time."""

MEMBER = Table(
    "member",
    METADATA,
    Column("mark", Text, primary_key=True),
    _text("name"),
    _text("role"),
    _text("lock"),
    _text("state"),
    _text("since"),
)
"""The people of the firm; events know them only by the mark. `state` is "active" or "left"."""

ROAD = Table(
    "road",
    METADATA,
    Column("one", Text, nullable=False),
    Column("other", Text, nullable=False),
    Column("drive_s", Integer, nullable=False),
    PrimaryKeyConstraint("one", "other"),
)
"""Driving times between towns, each pair once in the order of the alphabet [s]."""
