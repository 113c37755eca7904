"""farpress papers: write the papers of a job."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from farpress.papers.typesetting.kinds import AUDIENCES, KINDS
from farpress.papers.typesetting.languages import LANGUAGES

if TYPE_CHECKING:
    from farpress.papers.builders.pack import Pack

__all__ = ["command"]


def _list_papers(ctx: click.Context, _: click.Parameter, wanted: bool) -> None:
    if not wanted:
        return
    width = max(map(len, KINDS)) + 2
    for name, kind in KINDS.items():
        click.echo(f"{name:{width}}{kind.says}")
        click.echo(f"{'':{width}}for {', '.join(reader for reader in AUDIENCES if reader in kind.audiences)}")
    ctx.exit()


@click.command("papers")
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "-o",
    "--output",
    "folder",
    required=True,
    type=click.Path(path_type=Path),
    help="Folder for the papers; made if it is not there.",
)
@click.option(
    "--only",
    multiple=True,
    type=click.Choice(list(KINDS)),
    metavar="NAME",
    help="Only this paper; may be given several times. --list shows the names.",
)
@click.option(
    "--for",
    "audience",
    type=click.Choice(AUDIENCES),
    help="Only what this reader gets; an auditor gets no name of a holder.",
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
    "--date",
    "day",
    help="Date to print, as 2026-11-25; without it the job's own date, or a line to write on.",
)
@click.option(
    "--lang",
    type=click.Choice(list(LANGUAGES)),
    default="en",
    show_default=True,
    help="Language of cover, cards, labels and lost-fob sheet; the other papers are in English. Names and"
    " sentences of the job are said as its translations have them.",
)
@click.option(
    "--before",
    type=click.Path(path_type=Path),
    help="An earlier version of the job (folder or job.yaml), for the change order.",
)
@click.option(
    "--fob",
    "lost",
    metavar="LABEL",
    help="The lost-fob sheet for this fob; without it for every fob reported lost.",
)
@click.option("--zip", "as_zip", is_flag=True, help="Everything in one ZIP with its manifest as well.")
@click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json"]),
    default="table",
    show_default=True,
    help="How to say what was written.",
)
@click.option(
    "--list",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_list_papers,
    help="Show the papers there are, and end.",
)
def command(
    job: Path,
    folder: Path,
    only: tuple[str, ...],
    audience: str | None,
    size: str,
    day: str | None,
    lang: str,
    before: Path | None,
    lost: str | None,
    as_zip: bool,
    form: str,
) -> int:
    """Write the papers of a JOB (its folder, or its job.yaml): all of them, or those asked for.

    Each paper is a PDF; its tables are written as XLSX and CSV too. What is missing is
    listed at the front of each paper, never left out silently.

    Exit code 0: written. 2: the job cannot be used, or a paper could not be written.

    Example: farpress papers examples/larkfen-house -o handover --for customer --date 2026-11-25
    """
    from farpress.case.door import open_job
    from farpress.dates import day_wanted
    from farpress.papers.builders.basis import make_basis
    from farpress.papers.builders.pack import write_papers

    printed = day_wanted(day) if day is not None else None
    with _Shown(form) as shown:
        shown.tell("Reading the job")
        case, earlier = open_job(job), open_job(before) if before is not None else None
        basis = make_basis(
            case,
            language=lang,
            day=printed,
            before=earlier,
            lost=lost,
            without=audience == "auditor",
            progress=lambda room: shown.tell(f"Judging: {room.replace('_', ' ')}"),
        )
        pack = write_papers(
            basis, folder, only=only, audience=audience, size=size, as_zip=as_zip, progress=shown.step
        )
    click.echo(_as_json(pack) if form == "json" else _as_table(pack))
    return 0


class _Shown:
    """Progress on the terminal; silent where nobody looks. Says what is left when it is stopped."""

    def __init__(self, form: str) -> None:
        self._bar: Any = None
        self._done = self._steps = 0
        self._is_quiet = form == "json" or not sys.stderr.isatty()

    def __enter__(self) -> _Shown:
        if not self._is_quiet:
            self._bar = click.progressbar(
                length=1, file=sys.stderr, width=20, show_eta=False, item_show_func=lambda what: what
            )
            self._bar.render_progress()
        return self

    def tell(self, what: str) -> None:
        """Show what is done before the number of steps is known."""
        if self._bar is not None:
            self._bar.current_item = what
            self._bar.render_progress()

    def step(self, done: int, of: int, what: str) -> None:
        """Show one step."""
        forward, self._done, self._steps = done - self._done, done, of
        if self._bar is not None:
            self._bar.length = of
            self._bar.update(forward)
            self.tell(what)

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        if self._bar is not None:
            self._bar.render_finish()
        if kind is KeyboardInterrupt:
            after = f" after {self._done} of {self._steps} steps" if self._steps else ""
            click.echo(f"Stopped{after}: nothing was written; what was in the folder is as it was.", err=True)


def _as_table(pack: Pack) -> str:
    from farpress.cli.text import table
    from farpress.phrases import plural

    rows = [
        (paper.name, f"{len(paper.missing)} missing" if paper.missing else "complete")
        for paper in pack.papers
    ]
    files = plural(len(pack.files) - len(pack.papers), "file")
    together = f", all in {pack.zip_file.name}" if pack.zip_file else ""
    counted = f"{plural(len(pack.papers), 'paper')} and {files} of tables in {pack.folder}{together}."
    return "\n".join([table(rows), counted] if rows else [counted])


def _as_json(pack: Pack) -> str:
    import hashlib
    import json

    return json.dumps(
        {
            "folder": str(pack.folder),
            "zip": str(pack.zip_file) if pack.zip_file else None,
            "files": [
                {
                    "name": file.name,
                    "paper": file.kind,
                    "sha256": hashlib.sha256(file.content).hexdigest(),
                    "missing": list(file.missing),
                }
                for file in pack.files
            ],
        },
        indent=2,
        sort_keys=True,
        ensure_ascii=False,
    )
