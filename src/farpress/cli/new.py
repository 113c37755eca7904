"""farpress new: start a job folder."""

from __future__ import annotations

from pathlib import Path

import click

__all__ = ["command"]


@click.command("new")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--name", help="Name of the job; without it the folder's name is taken.")
@click.option(
    "--example",
    is_flag=False,
    flag_value="larkfen-house",
    metavar="[JOB]",
    help="Copy a job that comes with Farpress, with faults in it to find; without its name the house.",
)
def command(folder: Path, name: str | None, example: str | None) -> int:
    """Start a job in FOLDER: a small, complete job.yaml with remarks, to be changed line by line.

    A job that is there already is left alone.

    Example: farpress new thornwick-rise --name "Thornwick Rise"
    """
    from farpress.jobfile.starter import write_example, write_starter

    if example is not None:
        if name is not None:
            raise click.UsageError("--name is for a job of your own; an example keeps the name it has.")
        target = write_example(folder, example)
        click.echo(f"{target} is written: the example '{example}', drawn up with faults to find.")
        click.echo(f"Judge it: farpress assess {folder}. See it in the browser: farpress desk {folder}")
        return 0
    target = write_starter(folder, name=name)
    click.echo(f"{target} is written: one house, one receiver, one gate.")
    click.echo(f"Change it to your customer's job, then judge it: farpress assess {folder}")
    return 0
