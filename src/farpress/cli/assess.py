"""farpress assess: judge every link of every promise of a job."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from farpress.domain.finding import Assessment
    from farpress.overview.page import FirstPage

__all__ = ["command"]


@click.command("assess")
@click.argument("job", type=click.Path(path_type=Path))
@click.argument("about", required=False)
@click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json", "json-1"]),
    default="table",
    show_default=True,
    help="For people or for programs; json-1 is the shape of version 0.1, for one release.",
)
@click.option(
    "--all", "everything", is_flag=True, help="Print every promise and every finding, those that hold too."
)
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
    about: str | None,
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

    Shows the first page: what must stop, what to mend, what to ask, what to watch, and every promise as a
    chain. ABOUT explains one thing in full: a number of that page, a code as AIR-01, an output as R1/1, or a
    word.

    Presses and levels in the job's record correct the prediction like the readings of the
    job file. An assessment of which nothing has changed, not the job, nor its record, nor the
    program, is shown as it was kept.

    Exit code 0: nothing fails. 1: something fails. 2: the job cannot be used.

    Example: farpress assess examples/larkfen-house
    """
    from farpress.domain.finding import Verdict
    from farpress.judging.as_json import assessment_json
    from farpress.judging.unchanged import judged
    from farpress.overview.page import first_page

    assessment, remarks = judged(job, keep=not no_cache)
    if remarks:
        click.echo(remarks, err=True)
    if form != "table":
        click.echo(assessment_json(assessment, version=1 if form == "json-1" else 2))
    else:
        page = first_page(assessment)
        click.echo(_shown(page, assessment, str(job), about, everything=everything, width=width, plain=plain))
    if pdf is not None:
        from farpress.papers.typesetting.summary import summary_pdf
        from farpress.papers.typesetting.write import write_file

        write_file(pdf, summary_pdf(assessment, paper=paper, date=date))
        click.echo(f"Summary written to {pdf}.", err=True)
    return 1 if assessment.verdict is Verdict.FAILS else 0


def _shown(
    page: FirstPage,
    assessment: Assessment,
    job: str,
    about: str | None,
    *,
    everything: bool,
    width: int,
    plain: bool,
) -> str:
    """The first page, one thing in full, or everything."""
    from farpress.cli.first_page_text import first_page_text
    from farpress.cli.table import chain_table, explained, painted
    from farpress.overview.search import findings_about

    if about is not None:
        text = explained(findings_about(about, page, assessment), width=width, plain=plain)
    elif everything:
        text = chain_table(assessment, width=width, plain=plain)
    else:
        text = first_page_text(page, job=job, width=width, plain=plain)
    has_colour = sys.stdout.isatty() and not os.environ.get("NO_COLOR") and not plain
    return painted(text) if has_colour else text
