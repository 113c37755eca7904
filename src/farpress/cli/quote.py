"""farpress quote: quantities, working time and money of a job, with its papers."""

from __future__ import annotations

from pathlib import Path

import click

__all__ = ["command"]

FILE = click.Path(path_type=Path, exists=True, dir_okay=False)


def _pattern(ctx: click.Context, _: click.Parameter, wanted: str | None) -> None:
    if not wanted:
        return
    from farpress.papers.typesetting.spreadsheet import sheet_csv
    from farpress.quoting.norms import norm_sheet, pattern_norms
    from farpress.quoting.terms import pattern_terms

    sheet = norm_sheet(pattern_norms()) if wanted == "norms" else pattern_terms()
    click.echo(sheet_csv(sheet).decode("utf-8-sig"), nl=False)
    ctx.exit()


@click.command("quote")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--prices", type=FILE, help="The firm's price list (CSV or XLSX); else the one that is kept.")
@click.option("--norms", type=FILE, help="The firm's minutes for each task; else those that are kept.")
@click.option("--terms", type=FILE, help="Currency, tax, rounding, validity, waste.")
@click.option(
    "--decimal",
    "sign",
    type=click.Choice(["point", "comma"]),
    help="Decimal sign of the files named here; without it a comma is a fault.",
)
@click.option(
    "--against", type=click.Path(path_type=Path), help="An earlier version of the job: what the change costs."
)
@click.option("--date", "day", help="Date of the quotation, as 2026-11-25; it is valid from then on.")
@click.option(
    "-o",
    "--out",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    help="Write quotation, order list and picking lists into this folder: PDF, XLSX and CSV.",
)
@click.option(
    "--paper",
    "size",
    type=click.Choice(["a4", "letter"]),
    default="a4",
    show_default=True,
    help="Size of the sheets.",
)
@click.option(
    "--form-of-prices",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the articles that have no price yet into this CSV, to be filled in.",
)
@click.option(
    "--pattern",
    type=click.Choice(["norms", "terms"]),
    is_eager=True,
    expose_value=False,
    callback=_pattern,
    help="Print an invented list of norms, or a form of terms, to be filled in; and end.",
)
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
    prices: Path | None,
    norms: Path | None,
    terms: Path | None,
    sign: str | None,
    against: Path | None,
    day: str | None,
    folder: Path | None,
    size: str,
    form_of_prices: Path | None,
    form: str,
    width: int,
    plain: bool,
) -> int:
    """Quote a JOB: what it takes, how long, and what that costs by the firm's own lists.

    Without a price list quantities alone are printed: no price is ever made up. What the
    list does not price stands as such, and a sum says without how many lines it is. What
    does not hold, or nobody may accept, stands first. Lists are kept with 'farpress prices'.

    Exit code 0: a whole quotation. 1: something stands against it, or is missing in the sum.
    2: the job or a list cannot be used; every fault is told.

    Example: farpress quote examples/larkfen-house --prices prices.csv --norms norms.csv -o offer
    """
    from farpress.case.door import open_job
    from farpress.cli.quote_text import difference_text, quotation_text
    from farpress.dates import day_wanted
    from farpress.papers.builders.basis import make_basis
    from farpress.quoting.as_json import quotation_json
    from farpress.quoting.difference import difference_of
    from farpress.quoting.firm_lists import firm_lists
    from farpress.quoting.quotation import quotation_of

    lists = firm_lists(prices=prices, norms=norms, terms=terms, sign=sign or "")  # type: ignore[arg-type]
    printed = day_wanted(day) if day is not None else None
    basis = make_basis(open_job(job), day=printed)
    quoted = quotation_of(basis.case, basis.assessment, lists, day=printed)
    difference = None
    if against is not None:
        before = make_basis(open_job(against), day=printed)
        difference = difference_of(quotation_of(before.case, before.assessment, lists, day=printed), quoted)
    if form == "json":
        click.echo(quotation_json(quoted, difference))
    else:
        click.echo(
            difference_text(difference, width=width, plain=plain)
            if difference is not None
            else quotation_text(quoted, width=width, plain=plain)
        )
    if form_of_prices is not None:
        _write_form(form_of_prices, quoted)
    if folder is not None:
        from farpress.papers.builders.quotation import write_quotation

        for name in write_quotation(basis, quoted, difference, folder, size=size):
            click.echo(f"Written: {folder / name}", err=True)
    return 1 if quoted.warnings or quoted.missing or quoted.bill is None else 0


def _write_form(path: Path, quoted: object) -> None:
    from farpress.papers.typesetting.spreadsheet import sheet_csv
    from farpress.papers.typesetting.write import write_file
    from farpress.quoting.firm_lists import unpriced_sheet
    from farpress.quoting.quotation import Quotation

    assert isinstance(quoted, Quotation)
    if path.exists():
        raise click.UsageError(f"{path} is there already; name a file that is not there yet.")
    write_file(path, sheet_csv(unpriced_sheet(quoted)))
    click.echo(
        f"Written: {path}. Fill in prices and units, and take it in with 'farpress prices import'.", err=True
    )
