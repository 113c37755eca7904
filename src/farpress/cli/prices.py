"""farpress prices: the firm's price list, norms and terms, looked at, kept, and given back."""

from __future__ import annotations

from pathlib import Path

import click

__all__ = ["command"]


@click.group("prices")
def command() -> None:
    """The firm's own lists: prices, norms (minutes a task) and terms (currency, tax, rounding).

    They are kept in the user's settings, and every quotation takes them up. Which of the
    three a file is, its heads say: 'article', 'task' or 'term'.

    Example: farpress prices import prices.csv
    """


@command.command("import")
@click.argument("table", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@click.option("--write", is_flag=True, help="Keep the list; without it is only told what would change.")
@click.option("--replace", is_flag=True, help="Drop articles of the kept list that are not in this one.")
@click.option(
    "--decimal",
    "sign",
    type=click.Choice(["point", "comma"]),
    help="Its decimal sign; without it a comma is a fault.",
)
@click.option("--encoding", default="", help="Of a CSV that is not UTF-8, as windows-1252.")
def _import(table: Path, write: bool, replace: bool, sign: str | None, encoding: str) -> int:
    """Look at a list (TABLE, CSV or XLSX), and keep it with --write.

    Every fault is told at once with its row and column, and while there is one nothing is
    kept. TABLE itself is never changed.

    Exit code 0: in order. 2: there are faults.

    Example: farpress prices import prices.xlsx --write
    """
    from farpress.cli.text import wrapped
    from farpress.phrases import plural
    from farpress.quoting.firm_lists import keep_list, list_changes, read_firm_list, told_list

    kind, new = read_firm_list(table, sign=sign or "", encoding=encoding)  # type: ignore[arg-type]
    if new.ignored:
        click.echo(f"Columns that mean nothing here: {', '.join(new.ignored)}.", err=True)
    changes = list_changes(kind, new, replace=replace)
    click.echo(f"In order: {told_list(kind, new)}; {plural(len(changes), 'entry', 'entries')} would change.")
    for change in changes:
        was, becomes = change.was or "not there", change.becomes or "not there"
        for line in wrapped(f"{change.name}: {was} -> {becomes}", 80, "  ", "      "):
            click.echo(line)
    if not write:
        click.echo("Nothing was written. Keep it with --write.")
        return 0
    click.echo(f"Kept in {keep_list(kind, new, replace=replace)}.")
    return 0


@command.command("show")
@click.argument("kind", type=click.Choice(["prices", "norms", "terms"]))
@click.option(
    "-o",
    "--out",
    "target",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Into this file, CSV or XLSX.",
)
def _show(kind: str, target: Path | None) -> int:
    """Give a kept list back: KIND is prices, norms or terms.

    Exit code 0: done. 2: none is kept.

    Example: farpress prices show prices --out prices.xlsx
    """
    from farpress.errors import InputError
    from farpress.papers.typesetting.spreadsheet import sheet_csv
    from farpress.papers.typesetting.write import write_file
    from farpress.quoting.firm_lists import kept_list, kept_lists_folder, sheet_of_list, workbook_of_list

    kept = kept_list(kind)  # type: ignore[arg-type]
    if kept is None:
        raise InputError(
            f"No {kind} are kept in {kept_lists_folder()}. Keep some with 'farpress prices import'."
        )
    data = sheet_csv(sheet_of_list(kept))
    if target is None:
        click.echo(data.decode("utf-8-sig"), nl=False)
        return 0
    is_workbook = target.suffix.casefold() == ".xlsx"
    write_file(target, workbook_of_list(kind, kept) if is_workbook else data)  # type: ignore[arg-type]
    click.echo(f"Written: {target}", err=True)
    return 0
