"""farpress wiring: every core, every reading, every terminal of a job."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from farpress.case.case import Case
    from farpress.domain.finding import Finding
    from farpress.wiring.schedule import Schedule

__all__ = ["command"]


@click.command("wiring")
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json"]),
    default="table",
    show_default=True,
    help="For people or for programs.",
)
@click.option(
    "--xlsx",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the tables to this workbook as well.",
)
@click.option(
    "--csv",
    "csv_folder",
    type=click.Path(path_type=Path, file_okay=False),
    help="Write the tables to this folder as CSV files.",
)
@click.option(
    "--svg",
    "svg_folder",
    type=click.Path(path_type=Path, file_okay=False),
    help="Draw terminals and block diagrams into this folder.",
)
@click.option(
    "--netlist",
    "deck_folder",
    type=click.Path(path_type=Path, file_okay=False),
    help="Write every state of the circuit into this folder, as decks that SPICE simulators run.",
)
@click.option("--slips", is_flag=True, help="Add what each wrong wiring of a loop shows at the panel.")
@click.option(
    "--width", type=click.IntRange(60, 200), default=80, show_default=True, help="Columns of the table."
)
@click.option("--ascii", "plain", is_flag=True, help="Plain characters only.")
def command(
    job: Path,
    form: str,
    xlsx: Path | None,
    csv_folder: Path | None,
    svg_folder: Path | None,
    deck_folder: Path | None,
    slips: bool,
    width: int,
    plain: bool,
) -> int:
    """Wiring schedule of a JOB: from, terminal, core, to, length, ohms, volts, amperes, fuse.

    Readings to expect on a meter follow, then what fails. Exit code 0: no wire,
    contact or loop fails. 1: something fails. 2: the job cannot be used.

    Example: farpress wiring examples/larkfen-house --svg drawings --xlsx wiring.xlsx
    """
    from farpress.case.door import open_job
    from farpress.cli.wiring_table import wiring_table
    from farpress.domain.finding import Verdict
    from farpress.wiring.schedule import wiring_findings, wiring_schedule

    case = open_job(job)
    schedule = wiring_schedule(case)
    failing = [finding for finding in wiring_findings(case) if finding.verdict is Verdict.FAILS]
    if form == "json":
        import json

        from farpress.wiring.sheets import schedule_json

        click.echo(json.dumps(schedule_json(schedule, failing), ensure_ascii=False, indent=1))
    else:
        click.echo(wiring_table(schedule, width=width, plain=plain, slips=slips))
        if failing:
            click.echo("\n".join(_failing_text(failing, width)))
    _write(case, schedule, xlsx, csv_folder, svg_folder)
    _write_decks(case, deck_folder)
    return 1 if failing else 0


def _failing_text(failing: Sequence[Finding], width: int) -> Iterator[str]:
    from farpress.cli.text import wrapped

    yield from ("", "What fails")
    for finding in failing:
        yield from wrapped(f"{finding.code} {finding.about}: {finding.says}", width, "", "    ")
        for remedy in finding.remedies[:1]:
            effect = f": {remedy.effect}" if remedy.effect else ""
            yield from wrapped(f"remedy {remedy.does.rstrip('.')}{effect}", width, "    ", "           ")


def _write(
    case: Case, schedule: Schedule, xlsx: Path | None, csv_folder: Path | None, svg_folder: Path | None
) -> None:
    from farpress.judging.assess import assess
    from farpress.judging.standings import barred_outputs
    from farpress.papers.typesetting.spreadsheet import sheet_csv, sheets_xlsx
    from farpress.papers.typesetting.write import write_file
    from farpress.wiring.drawings import block_diagrams, terminal_drawings
    from farpress.wiring.sheets import schedule_sheets

    if xlsx is not None:
        write_file(xlsx, sheets_xlsx(f"{schedule.job}: wiring", schedule_sheets(schedule)))
        click.echo(f"Workbook written to {xlsx}.", err=True)
    if csv_folder is not None:
        for sheet in schedule_sheets(schedule):
            write_file(csv_folder / f"{sheet.name.replace(' ', '-')}.csv", sheet_csv(sheet))
        click.echo(f"Three CSV files written to {csv_folder}.", err=True)
    if svg_folder is not None:
        barred = barred_outputs(case, assess(case))
        drawn = {
            f"terminals-{path.replace('/', '-')}": svg
            for path, svg in terminal_drawings(case, barred).items()
        }
        drawn |= {f"blocks-{premises}": svg for premises, svg in block_diagrams(case).items()}
        for name, svg in drawn.items():
            write_file(svg_folder / f"{name}.svg", svg.encode())
        click.echo(f"{len(drawn)} drawings written to {svg_folder}.", err=True)


def _write_decks(case: Case, folder: Path | None) -> None:
    from farpress.papers.typesetting.write import write_file
    from farpress.wiring.decks import decks

    if folder is None:
        return
    made = decks(case)
    for deck in made:
        write_file(folder / deck.name, deck.text.encode())
    click.echo(f"{len(made)} decks written to {folder}; run one with: ngspice -b FILE.", err=True)
