"""The log, its origins and the persons. A record made before revisions began is taken over as it is."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

__all__ = ["upgrade"]

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make what is missing."""
    present = set(sa.inspect(op.get_bind()).get_table_names())
    if "event" not in present:
        op.create_table(
            "event",
            *(
                sa.Column(name, sa.Integer() if name == "number" else sa.Text(), nullable=False)
                for name in ("origin", "number", "job", "at", "by", "kind", "body", "previous", "digest")
            ),
            sa.PrimaryKeyConstraint("origin", "number"),
        )
        op.create_index("event_by_job", "event", ["job", "at", "origin", "number"])
        op.create_index("event_by_kind", "event", ["job", "kind"])
    if "origin" not in present:
        op.create_table(
            "origin",
            sa.Column("name", sa.Text(), primary_key=True),
            sa.Column("is_own", sa.Integer(), nullable=False),
        )
    if "person" not in present:
        op.create_table(
            "person",
            sa.Column("mark", sa.Text(), primary_key=True),
            sa.Column("job", sa.Text(), nullable=False),
            sa.Column("name", sa.Text(), nullable=False),
            *(
                sa.Column(name, sa.Text(), nullable=False, server_default="")
                for name in ("organisation", "contact", "keep_until")
            ),
        )
        op.create_index("person_by_job", "person", ["job", "name"])
