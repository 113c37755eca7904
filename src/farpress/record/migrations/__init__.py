"""How a record's database gets from one shape to the next; run by `upgrade`, with alembic.

A revision is a file `versions/NNNN_what_it_does.py` with `revision = "NNNN"`, following the
one before it. The newest number in the folder is the shape this version of the program
works with.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

from farpress.errors import RecordError

if TYPE_CHECKING:
    from sqlalchemy import Connection

__all__ = ["newest", "shape_of", "upgrade"]

_HERE: Final = Path(__file__).parent


def newest() -> str:
    """The revision this program works with."""
    return max(path.name.partition("_")[0] for path in (_HERE / "versions").glob("[0-9]*_*.py"))


def shape_of(connection: Connection) -> str:
    """The revision a database has; empty for one without revisions, new or from before they began."""
    from sqlalchemy import inspect

    if not inspect(connection).has_table("alembic_version"):
        return ""
    return str(connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar() or "")


def upgrade(connection: Connection, *, to: str = "head") -> None:
    """Bring a database to the newest shape, within the caller's transaction; `to` names another one, for
    trials.

    Raises:
        RecordError: the database is newer than this program.
    """
    have, want = shape_of(connection), newest()
    if have == want:
        return
    if have > want:
        raise RecordError(
            f"This record has shape {have}; this version of Farpress knows shapes up to {want}. Use the"
            " version that wrote it, or a newer one."
        )
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(_HERE).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, to)
