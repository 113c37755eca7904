"""farpress keys import, undo-import: a customer's list is looked at, taken over, taken back."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

if TYPE_CHECKING:
    from farpress.keys.import_reading import ImportPlan

__all__ = ["IMPORTS"]

JOB = click.argument("job", type=click.Path(path_type=Path))
BY = click.option(
    "--by", default="installer", show_default=True, help="Who records it: a role, or a person's mark."
)


@click.command("import")
@JOB
@click.argument("table", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.option("--write", is_flag=True, help="Take the list over; without it only the problems are listed.")
@click.option(
    "--aside",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Leave rows with problems out, and write them to this CSV, each with its reason.",
)
@click.option("--encoding", default="", help="Of a CSV that is not UTF-8, as windows-1252.")
@BY
def _import(job: Path, table: Path, write: bool, aside: Path | None, encoding: str, by: str) -> int:
    """Bring a list of fobs and people (TABLE, CSV or XLSX) into the register.

    Problems are told by class with their rows; while there is one, nothing is written,
    unless --aside says where such rows go. A fob is taken whole or not at all. A list that
    was taken over can be taken back: 'keys undo-import'. TABLE itself is never changed.
    Exit code 0: in order. 2: there are problems.

    Example: farpress keys import my-job staff.xlsx --aside mend.csv --write
    """
    from farpress.cli.text import paragraph
    from farpress.keys.book import open_register
    from farpress.keys.importing import import_rows, plan_good_rows, plan_import
    from farpress.keys.table import read_table
    from farpress.phrases import plural

    with open_register(job, by=by) as book:
        rows = read_table(table, encoding=encoding)
        plan = plan_import(rows, book.register, book.people, book.case)
        _tell_oddities(plan)
        if plan.problems and not (aside and plan.aside):
            end = " Leave those rows out with --aside FILE." if plan.aside and not aside else ""
            told = plural(len(plan.problems), "problem")
            click.echo(paragraph(f"{told} in {plan.rows} rows; nothing was written.{end}"))
            return 2
        left: Mapping[int, str] = {}
        if aside and plan.problems:
            plan, left = plan_good_rows(rows, book.register, book.people, book.case)
        _tell_taken(plan, write=write, left=len(left), aside=aside)
        if not write or not plan.entries:
            return 0
        if left and aside:
            _write_aside(aside, table, rows, left)
        try:
            done = import_rows(
                book,
                rows,
                name=table.name,
                without=left.keys(),
                progress=_progress if sys.stderr.isatty() else None,
            )
        except BaseException:
            if left and aside:
                aside.unlink(missing_ok=True)
            raise
    for sentence in done.says:
        click.echo(sentence)
    return 0


def _tell_oddities(plan: ImportPlan) -> None:
    from farpress.cli.text import paragraph
    from farpress.keys.problems import told_of_list

    if plan.ignored:
        click.echo(paragraph(f"Columns that mean nothing here: {', '.join(plan.ignored)}."), err=True)
    for sentence in told_of_list(plan.problems, plan.told):
        click.echo(paragraph(sentence, rest="  "))


def _tell_taken(plan: ImportPlan, *, write: bool, left: int, aside: Path | None) -> None:
    from farpress.cli.text import paragraph

    for note in (*plan.notes, *plan.rooms):
        click.echo(paragraph(note, rest="  "), err=True)
    if left:
        where = f"written to {aside}" if write and plan.entries else f"for {aside}"
        click.echo(f"{left} rows are set aside, {where}.")
    if not plan.entries:
        click.echo("No other row is left: nothing was written.")
    elif not write:
        click.echo(
            f"In order: {plan.fobs} fobs from {plan.rows} rows, {len(plan.people)} new people. Take it"
            " over with --write."
        )


def _write_aside(aside: Path, table: Path, rows: Sequence[Sequence[str]], left: Mapping[int, str]) -> None:
    """A file that is there already is never written over: it may be the list itself."""
    from farpress.errors import InputError
    from farpress.keys.export import csv_text
    from farpress.keys.importing import aside_table

    try:
        with aside.open("x", encoding="utf-8-sig", newline="") as file:
            file.write(csv_text(aside_table(rows, left)))
    except FileExistsError:
        raise InputError(
            f"{aside} is there already; give another name for the rows of {table.name} that are set aside."
        ) from None
    except OSError as error:
        raise InputError(f"{aside} cannot be written: {error.strerror or error}.") from error


def _progress(done: int, of: int) -> None:
    click.echo(f"\r{done} of {of} entries", nl=False, err=True)


@click.command("undo-import")
@JOB
@BY
def _undo(job: Path, by: str) -> int:
    """Take the last list back that was taken over.

    Its fobs leave the register, and names that came with it and nobody else needs are
    deleted. Refused once something else was recorded about one of its fobs. The record
    keeps both.

    Example: farpress keys undo-import my-job
    """
    from farpress.cli.text import paragraph
    from farpress.keys.book import open_register
    from farpress.keys.list_undo import undo_list

    with open_register(job, by=by) as book:
        for sentence in undo_list(book).says:
            click.echo(paragraph(sentence))
    return 0


IMPORTS: Final = (_import, _undo)
"""The commands of this module."""
