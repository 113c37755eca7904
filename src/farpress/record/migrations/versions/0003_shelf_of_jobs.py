"""The shelf of a firm; an origin belongs to one job, so that a job's own chain can leave the firm whole."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

__all__ = ["upgrade"]

__all__ = ["upgrade"]

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Tables of the shelf, and the job of each origin."""
    with op.batch_alter_table("origin") as origin:
        origin.add_column(_text("job"))
    op.create_table(
        "job",
        sa.Column("job", sa.Text(), primary_key=True),
        _text("state"),
        sa.Column("head", sa.Integer(), nullable=False),
        *map(_text, ("customer", "address", "words", "added_at", "changed_at")),
    )
    op.create_table(
        "job_version",
        _key("job"),
        sa.Column("number", sa.Integer(), nullable=False),
        _text("fingerprint"),
        sa.Column("parent", sa.Integer(), nullable=False, server_default="0"),
        *map(_text, ("text", "at", "by", "says", "was")),
        sa.PrimaryKeyConstraint("job", "number"),
    )
    op.create_index("job_version_by_fingerprint", "job_version", ["job", "fingerprint"])
    op.create_table(
        "job_file",
        _key("job"),
        sa.Column("version", sa.Integer(), nullable=False),
        _key("path"),
        _text("digest"),
        sa.PrimaryKeyConstraint("job", "version", "path"),
    )
    op.create_table(
        "content",
        sa.Column("digest", sa.Text(), primary_key=True),
        sa.Column("data", sa.LargeBinary(), nullable=False),
    )
    op.create_table(
        "job_fact", _key("job"), _key("kind"), _key("name"), sa.PrimaryKeyConstraint("job", "kind", "name")
    )
    op.create_index("job_fact_by_name", "job_fact", ["kind", "name"])
    op.create_table(
        "checkout",
        sa.Column("ticket", sa.Text(), primary_key=True),
        _key("job"),
        sa.Column("version", sa.Integer(), nullable=False),
        *map(_text, ("by", "at", "back_at")),
    )
    op.create_index("checkout_by_job", "checkout", ["job"])
    op.create_table(
        "result",
        _key("job"),
        _key("question"),
        *map(_text, ("fingerprint", "body", "at")),
        sa.PrimaryKeyConstraint("job", "question"),
    )
    op.create_table(
        "member",
        sa.Column("mark", sa.Text(), primary_key=True),
        *map(_text, ("name", "role", "lock", "state", "since")),
    )
    op.create_table(
        "road",
        _key("one"),
        _key("other"),
        sa.Column("drive_s", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("one", "other"),
    )


def _key(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), nullable=False)


def _text(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), nullable=False, server_default="")
