"""Each name has a salt beside it, so that the record can prove it and still forget it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

__all__ = ["upgrade"]

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Names of before have none: whether they were changed cannot be told."""
    with op.batch_alter_table("person") as person:
        person.add_column(sa.Column("salt", sa.Text(), nullable=False, server_default=""))
