"""farpress new: start a job folder."""

from __future__ import annotations

from pathlib import Path

import click

__all__ = ["command"]


@click.command("new")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--name", help="Name of the job; without it the folder's name is taken.")
def command(folder: Path, name: str | None) -> int:
    """Start a job in FOLDER: a small, complete job.yaml with remarks, to be changed line by line.

    A job that is there already is left alone.

    Example: farpress new thornwick-rise --name "Thornwick Rise"
    """
    from farpress.jobfile.starter import write_starter

    target = write_starter(folder, name=name)
    click.echo(f"{target} is written: one house, one receiver, one gate.")
    click.echo(f"Change it to your customer's job, then judge it: farpress assess {folder}")
    return 0
