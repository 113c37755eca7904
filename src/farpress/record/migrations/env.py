"""Run by alembic: carry out the revisions on the connection that `upgrade` hands over."""

from __future__ import annotations

from alembic import context

from farpress.record.tables import METADATA

config = getattr(context, "config", None)  # there is one only while alembic runs this file
connection = config.attributes.get("connection") if config is not None else None
if connection is not None:
    context.configure(connection=connection, target_metadata=METADATA, transaction_per_migration=False)
    context.run_migrations()
