"""farpress firm: copies for laptops, out and back, from the database or from a service."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

import click

from farpress.cli.firm import opened, value_text

__all__ = ["COMMANDS", "checkin", "checkout"]


@click.command("checkout")
@click.argument("job")
@click.argument("folder", type=click.Path(path_type=Path))
@click.pass_context
def checkout(ctx: click.Context, job: str, folder: Path) -> int:
    """Take a copy of a JOB to a laptop: a new FOLDER with its file, plans and record.

    Nothing is locked meanwhile. With --database https://… the copy comes from a service.

    Example: farpress firm checkout "Larkfen House" larkfen
    """
    remote = _remote(ctx)
    if remote is not None:
        number = remote.check_out(job, folder).version
    else:
        from farpress.firm.moves import check_out

        number = check_out(opened(ctx), job, folder).number
    click.echo(
        f"{folder} holds version {number} of {job}. Bring it back with: farpress firm checkin {folder}"
    )
    return 0


@click.command("checkin")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--why", default="", help="Words for the list of versions.")
@click.option(
    "--made-on", type=int, metavar="N", help="The version the copy was made from, where its ticket is lost."
)
@click.option(
    "--with-faults",
    is_flag=True,
    help="Take a job file with faults, if nobody else changed the job meanwhile.",
)
@click.option(
    "--taken-out",
    multiple=True,
    metavar="NAME=MARK",
    help="A name that was taken out of the job since the copy went out.",
)
@click.pass_context
def checkin(
    ctx: click.Context,
    folder: Path,
    why: str,
    made_on: int | None,
    with_faults: bool,
    taken_out: tuple[str, ...],
) -> int:
    """Bring a copy back; both sides' changes are joined, or refused with both shown.

    Exit code 1: the same values were changed on both sides; nothing was written.

    Example: farpress firm checkin larkfen --why "aerial moved under the eaves"
    """
    from farpress.firm.moves import check_in
    from farpress.jobfile.merging import MergeRefused

    names = dict(given.rpartition("=")[::2] for given in taken_out)
    remote = _remote(ctx)
    try:
        if remote is not None:
            back = remote.check_in(folder, says=why, made_on=made_on)
        else:
            back = check_in(
                opened(ctx), folder, says=why, made_on=made_on, with_faults=with_faults, taken_out=names
            )
    except MergeRefused as error:
        click.echo("The same values were changed here and on the shelf; nothing was written.", err=True)
        for clash in error.clashes:
            click.echo(f"  {'.'.join(map(str, clash.path))}", err=True)
            for where, value in (("before:", clash.before), ("here:", clash.mine), ("shelf:", clash.theirs)):
                click.echo(f"    {where:7} {value_text(value)}", err=True)
        click.echo("Set each to what it shall be on both sides, then bring the copy back again.", err=True)
        return 1
    how = "" if back.is_new else "; the copy had no change that was not there"
    if back.merged:
        how = ", joined with changes made meanwhile"
    click.echo(
        f"{back.job} is at version {back.version} now{how}. {back.events_taken} entries of the record taken"
        f" in, {back.events_given} given."
    )
    return 0


def _remote(ctx: click.Context) -> Any:
    """The service, where the group's --database is an address of one."""
    import os

    address = ctx.obj["database"]
    if not address.startswith(("http://", "https://")):
        return None
    from farpress.firm.remote import Remote

    authority = os.environ.get("FARPRESS_CERTIFICATE")
    return Remote(
        address, ctx.obj["name"], os.environ.get("FARPRESS_KEY", ""), Path(authority) if authority else None
    )


COMMANDS: Final = {command.name: command for command in (checkout, checkin)}
"""The commands of this module, by name."""
