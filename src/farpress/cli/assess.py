"""farpress assess: judge every link of every promise of a job."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import click

__all__ = ["command"]


@click.command("assess")
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json", "json-1"]),
    default="table",
    show_default=True,
    help="For people or for programs; json-1 is the shape of version 0.1, for one release.",
)
@click.option("--all", "everything", is_flag=True, help="Print every finding, those that hold too.")
@click.option(
    "--pdf", type=click.Path(path_type=Path, dir_okay=False), help="Write a summary to this PDF file as well."
)
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    default="a4",
    show_default=True,
    help="Paper of the summary.",
)
@click.option("--date", help="Date to print on the summary, as 2026-11-25; without it none is printed.")
@click.option(
    "--width", type=click.IntRange(60, 200), default=80, show_default=True, help="Columns of the table."
)
@click.option("--ascii", "plain", is_flag=True, help="Draw with plain characters only.")
@click.option(
    "--no-cache",
    is_flag=True,
    help="Judge anew, and keep nothing for the next time (also FARPRESS_NO_CACHE=1).",
)
def command(
    job: Path,
    form: str,
    everything: bool,
    pdf: Path | None,
    paper: str,
    date: str | None,
    width: int,
    plain: bool,
    no_cache: bool,
) -> int:
    """Judge every link of every promise of a JOB (its folder, or its job.yaml).

    Presses and levels in the job's record correct the prediction like the readings of the
    job file. An assessment of which nothing has changed, not the job, nor its record, nor the
    program, is shown as it was kept.

    Exit code 0: nothing fails. 1: something fails. 2: the job cannot be used.

    Example: farpress assess examples/larkfen-house
    """
    from farpress.cli.table import chain_table
    from farpress.domain.finding import Verdict
    from farpress.judging.as_json import assessment_json
    from farpress.judging.unchanged import judged

    assessment, remarks = judged(job, keep=not no_cache)
    if remarks:
        click.echo(remarks, err=True)
    if form != "table":
        click.echo(assessment_json(assessment, version=1 if form == "json-1" else 2))
    else:
        colour = sys.stdout.isatty() and not os.environ.get("NO_COLOR")
        click.echo(chain_table(assessment, width=width, colour=colour, everything=everything, plain=plain))
    if pdf is not None:
        from farpress.papers.typesetting.summary import summary_pdf
        from farpress.papers.typesetting.write import write_file

        write_file(pdf, summary_pdf(assessment, paper=paper, date=date))
        click.echo(f"Summary written to {pdf}.", err=True)
    return 1 if assessment.verdict is Verdict.FAILS else 0
