"""Each chain's last entry is kept beside it, so that entries cut off at the end show too."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

__all__ = ["upgrade"]

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Number and digest of the last entry of every chain, as it stands now."""
    with op.batch_alter_table("origin") as origin:
        origin.add_column(sa.Column("last_number", sa.Integer(), nullable=False, server_default="0"))
        origin.add_column(sa.Column("last_digest", sa.Text(), nullable=False, server_default=""))
    op.execute(
        sa.text(
            "UPDATE origin SET last_number = COALESCE((SELECT MAX(number) FROM event WHERE event.origin ="
            " origin.name), 0)"
        )
    )
    op.execute(
        sa.text(
            "UPDATE origin SET last_digest = COALESCE((SELECT digest FROM event WHERE event.origin ="
            " origin.name AND event.number = origin.last_number), '')"
        )
    )
