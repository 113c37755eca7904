"""Who may do what at a place, asked of the register, or of the plan where no fob is in it yet."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import click

__all__ = ["WHO"]


@click.command("who")
@click.argument("job", type=click.Path(path_type=Path))
@click.argument("where")
@click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json"]),
    default="table",
    show_default=True,
    help="For people or for programs.",
)
def _who(job: Path, where: str, form: str) -> int:
    """Rights by WHERE: a premises, receiver, device, alarm area, panel or function.

    Every fob that is meant to work something there, or that a receiver obeys there: one that
    is obeyed and not meant to be stands in the list too. Without fobs in the register the
    groups of the job that are planned for it.

    Example: farpress keys who my-job "vessing unset"
    """
    from farpress.cli.text import paragraph, table
    from farpress.keys.asking import AskedBook, opened
    from farpress.keys.who import planned_rights, who_may

    with opened(AskedBook, job) as book:
        case, register, people = book.case, book.register, book.people
    if case is None:
        raise click.UsageError("A firm's record alone knows no places; name a job folder.")
    found = who_may(case, register, people, where)
    planned = planned_rights(case, where)
    if form == "json":
        import json

        rights = [right._asdict() for right in found]
        plan = [
            {"group": group, "holders": number, "functions": functions}
            for group, number, functions in planned
        ]
        click.echo(json.dumps({"fobs": rights, "planned": plan}, indent=2, ensure_ascii=False))
        return 0
    if found:
        rows = [
            (
                right.fob,
                right.state,
                right.holder,
                right.contact or right.organisation,
                ", ".join(right.functions),
                ", ".join(right.obeyed) or "not learned",
            )
            for right in found
        ]
        click.echo(table(rows, head=("fob", "state", "holder", "reached at", "may", "learned at")))
    elif register.fobs:
        click.echo(paragraph(f"No fob of the register works anything at {where}."))
    if planned and not register.fobs:
        click.echo(paragraph("No fob is in the register; so it is planned:"))
        rights_planned = [
            (group, "?" if number is None else str(number), ", ".join(functions))
            for group, number, functions in planned
        ]
        click.echo(table(rights_planned, head=("group", "holders", "may")))
    return 0


WHO: Final = (_who,)
"""Added to the group `keys`."""
