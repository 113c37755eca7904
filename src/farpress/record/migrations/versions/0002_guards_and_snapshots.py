"""The log refuses change and removal; events are found by fob; the register is kept as last drawn.

The triggers are a guard against a slip, not a proof: whoever has the file can drop them.
The proof are the hashes.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

__all__ = ["upgrade"]

revision = "0002"
down_revision = "0001"

REFUSAL = "the record is only ever added to; write a further event instead"


def upgrade() -> None:
    """Guards, the index by fob, the table of snapshots."""
    op.create_table(
        "snapshot",
        sa.Column("job", sa.Text(), primary_key=True),
        *(sa.Column(name, sa.Text(), nullable=False) for name in ("covers", "last", "register")),
    )
    statements = _sqlite() if op.get_bind().dialect.name == "sqlite" else _postgresql()
    for statement in statements:
        op.execute(sa.text(statement))


def _sqlite() -> list[str]:
    return [
        f"CREATE TRIGGER event_no_{word.lower()} BEFORE {word} ON event BEGIN SELECT RAISE(ABORT,"
        f" '{REFUSAL}'); END"
        for word in ("UPDATE", "DELETE")
    ] + ["CREATE INDEX event_by_fob ON event (job, json_extract(body, '$.fob'))"]


def _postgresql() -> list[str]:
    return [
        (
            "CREATE FUNCTION event_is_kept() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RAISE EXCEPTION"
            f" '{REFUSAL}'; END $$"
        ),
        (
            "CREATE TRIGGER event_no_change BEFORE UPDATE OR DELETE ON event FOR EACH ROW EXECUTE FUNCTION"
            " event_is_kept()"
        ),
        (
            "CREATE TRIGGER event_no_truncate BEFORE TRUNCATE ON event FOR EACH STATEMENT EXECUTE FUNCTION"
            " event_is_kept()"
        ),
        "CREATE INDEX event_by_fob ON event (job, (body\\:\\:jsonb ->> 'fob'))",
    ]
