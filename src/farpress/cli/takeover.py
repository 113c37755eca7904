"""farpress takeover: an installation without papers, taken over in one step."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from farpress.upkeep.takeover import TablesFound, Takeover

__all__ = ["command"]


@click.command("takeover")
@click.argument("job", type=click.Path(path_type=Path))
@click.argument("tables", type=click.Path(path_type=Path, exists=True, file_okay=False))
@click.option("--write", is_flag=True, help="Take it over; without it everything is only looked at.")
@click.option("--encoding", default="", help="Of CSV files that are not UTF-8, as windows-1252.")
@click.option("--date", "day", help="Today, as 2026-11-25; without it the computer's date.")
@click.option("--by", default="installer", show_default=True, help="Who takes it over.")
@click.option(
    "--width", type=click.IntRange(60, 200), default=80, show_default=True, help="Columns of the text."
)
def command(job: Path, tables: Path, write: bool, encoding: str, day: str | None, by: str, width: int) -> int:
    """Take an installation over that nobody documented, in one step.

    TABLES is a folder with what was found, each as CSV or XLSX, as far as it is there:
    fobs (the list of fobs and people), memory (what each receiver holds), leavers (name,
    on), readings (what, where, receiver, value: levels and volts as found) and presses
    (time, what, place, fob: the log of presses that failed). JOB has a job.yaml of what
    is known.

    All of it is written, or nothing. Rows of the list of fobs that cannot be taken are set
    aside in fobs-aside.csv, each with its reason. Then is told what must stop, what to
    mend, what to ask, and the likeliest causes of presses that fail. The same tables again
    add nothing.

    Exit code 0: taken, or in order. 1: something must stop.

    Example: farpress takeover my-job found --write
    """
    from datetime import date

    from farpress.dates import day_wanted
    from farpress.upkeep.takeover import look_at_takeover, take_over

    found = _found(tables, encoding)
    today = day_wanted(day) if day else date.today()
    step = take_over if write else look_at_takeover
    folder = job if job.is_dir() else job.parent
    done = step(folder, found, by=by, today=today)
    if done.aside and write:
        _write_aside(tables / "fobs-aside.csv", found, done)
    click.echo("\n".join(_lines(done, width)))
    return 1 if done.told.stop else 0


def _found(tables: Path, encoding: str) -> TablesFound:
    from farpress.errors import InputError
    from farpress.keys.table import read_table
    from farpress.upkeep.takeover import TABLES, TablesFound

    files: dict[str, Path] = {}
    for table in TABLES:
        there = [path for end in (".csv", ".xlsx") if (path := tables / f"{table}{end}").is_file()]
        if len(there) > 1:
            raise InputError(f"{tables} has {table} twice, as CSV and as XLSX; keep one of them.")
        files.update(dict.fromkeys([table], there[0]) if there else {})
    if not files:
        wanted = ", ".join(f"{table}.csv" for table in TABLES)
        raise InputError(f"{tables} has none of the tables of a takeover: {wanted}; XLSX as well.")
    rows = {
        table: tuple(map(tuple, read_table(path, encoding=encoding, what=f"table of {table}")))
        for table, path in files.items()
    }
    return TablesFound(**rows, names={table: path.name for table, path in files.items()})


def _write_aside(path: Path, found: TablesFound, done: Takeover) -> None:
    from farpress.errors import InputError
    from farpress.keys.export import csv_text
    from farpress.keys.importing import aside_table

    try:
        text = csv_text(aside_table(found.fobs, done.aside))
        path.write_text(text, encoding="utf-8-sig", newline="")
    except OSError as error:
        raise InputError(
            f"Everything was taken over, but {path} cannot be written: {error.strerror or error}."
        ) from error


def _lines(done: Takeover, width: int) -> list[str]:
    from farpress.cli.text import wrapped

    told = done.told
    lines = ["Taken over." if done.is_written else "Looked at; take it over with --write."]
    for sentence in done.taken:
        lines += wrapped(sentence, width, "  ", "    ")
    for row, why in list(done.aside.items())[:5]:
        lines += wrapped(f"row {row} set aside: {why}", width, "    ", "      ")
    for head, sentences in (("STOP", told.stop), ("MEND", told.mend), ("ASK", told.ask)):
        lines += ["", f"{head}: {len(sentences)}" if sentences else f"{head}: nothing"]
        for sentence in sentences:
            lines += wrapped(sentence, width, "  - ", "    ")
    for cause in told.causes:
        lines += ["", f"Why presses fail {cause.where}:"]
        for chance, says in cause.why:
            lines += wrapped(f"{chance:4.0%}  {says}", width, "  ", "        ")
        lines += wrapped(f"Next: {cause.next}", width, "  ", "    ")
    return lines
