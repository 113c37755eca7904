"""farpress mend: the cheapest changes found after which everything that can be mended holds."""

from __future__ import annotations

import sys
from pathlib import Path

import click

__all__ = ["command"]


@click.command("mend")
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--write",
    "folder",
    type=click.Path(path_type=Path),
    help="Write the job with all changes made into this new folder, one remark a change.",
)
@click.option("--forbid", multiple=True, help="Use nothing with this word in it; may be repeated.")
@click.option("--keep", multiple=True, help="Change nothing at this thing, as R1 or R1/2; may be repeated.")
@click.option("--budget", type=click.IntRange(min=0), help="Most minutes of work on site.")
@click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json"]),
    default="table",
    show_default=True,
    help="For people or for programs.",
)
@click.option(
    "--width", type=click.IntRange(60, 200), default=80, show_default=True, help="Columns of the text."
)
@click.option("--ascii", "plain", is_flag=True, help="Draw with plain characters only.")
def command(
    job: Path,
    folder: Path | None,
    forbid: tuple[str, ...],
    keep: tuple[str, ...],
    budget: int | None,
    form: str,
    width: int,
    plain: bool,
) -> int:
    """Find the cheapest changes of a JOB after which everything that can be mended holds.

    Each change that a finding offers is made on a copy and judged; what cures nothing, or
    does harm elsewhere, is left out. Of the others the cheapest set is made together and
    judged again. Minutes are our own figures; parts are counted, and priced by the list that
    is kept ('farpress prices'), if there is one. Ctrl-C stops with the best found so far.
    Where the file names outputs that a receiver does not have, it says first where they
    could be.

    Exit code 0: afterwards nothing fails. 1: something is left for a person. 2: the job cannot be used.

    Example: farpress mend examples/larkfen-house --write mended-house
    """
    from farpress.case.door import open_job
    from farpress.cli.mend_text import mending_text
    from farpress.errors import JobFileError
    from farpress.mending.as_json import mending_json
    from farpress.mending.plan import mend
    from farpress.mending.readable import made_readable
    from farpress.mending.writing import write_mended
    from farpress.quoting.changed_parts import changed_parts
    from farpress.quoting.firm_lists import firm_lists

    made = None
    try:
        case = open_job(job)
    except JobFileError:
        made = made_readable(job)
        if made is None:
            raise
        case = made.case
    lists, first = firm_lists(), made.does if made is not None else ()
    if folder is not None and folder.exists():
        raise click.UsageError(f"{folder} is there already; name a folder that is not there yet.")
    tell = _progress if sys.stderr.isatty() else None
    plan = mend(case, forbid=forbid, keep=keep, budget_min=budget, progress=tell)
    if tell is not None:
        click.echo("\r\x1b[K", nl=False, err=True)
    takes = changed_parts(case, plan.changed or case, lists)
    click.echo(
        mending_json(plan, takes.as_json(), first=first)
        if form == "json"
        else mending_text(plan, takes=takes.told, first=first, width=width, plain=plain)
    )
    if folder is not None:
        click.echo(f"Written to {write_mended(case, plan, folder, first=made)}.", err=True)
    return 1 if plan.left else 0


def _progress(what: str, done: int, of: int) -> None:
    click.echo(f"\r\x1b[KTrying {what}: {done} of {of}", nl=False, err=True)
