"""farpress design: a whole installation drawn up from what is wished, in three variants."""

from __future__ import annotations

import sys
from contextlib import nullcontext
from dataclasses import replace
from pathlib import Path

import click

__all__ = ["command"]


@click.command("design")
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--variant",
    type=click.Choice(["cheapest", "surest", "fewest"]),
    help="Only this one: least work, surest in the air, or fewest boxes; absent: all three.",
)
@click.option(
    "--write",
    "folder",
    type=click.Path(path_type=Path),
    help="Write the job with the variant drawn in it into this new folder, one remark a choice.",
)
@click.option(
    "--fix",
    multiple=True,
    help="Decide a choice yourself, as 'gate.kind=pulse', 'gate.at=hall' or 'house.supply at=panel'.",
)
@click.option("--keep", multiple=True, help="Change nothing at this device, panel or group; may be repeated.")
@click.option("--forbid", multiple=True, help="Use nothing with this word in it; may be repeated.")
@click.option(
    "--anew", multiple=True, help="Draw this receiver anew though it stands, or 'all'; may be repeated."
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
@click.option(
    "--no-cache",
    is_flag=True,
    help="Look up and keep no results in the user's cache folder; everything is computed.",
)
def command(
    job: Path,
    variant: str | None,
    folder: Path | None,
    fix: tuple[str, ...],
    keep: tuple[str, ...],
    forbid: tuple[str, ...],
    anew: tuple[str, ...],
    form: str,
    width: int,
    plain: bool,
    no_cache: bool,
) -> int:
    """Draw up receivers, outputs, supplies, cables and buttons for what a JOB wishes.

    A function says by 'works: gate.open' what a press shall work; what is not drawn yet is
    drawn, what stands is kept. Each variant is judged and rehearsed whole. Minutes and metres
    count as in a quotation. Ctrl-C stops with the variants that are whole.

    Exit code 0: nothing fails in the variant that is shown. 1: something is left for a
    person, or had to be asked first. 2: the job cannot be used.

    Example: farpress design my-job --fix "open gate.at=porch" --write drawn
    """
    from farpress.case.door import open_job
    from farpress.cli.design_text import design_text
    from farpress.design.anew import anew_from
    from farpress.design.as_json import design_json
    from farpress.design.choosing import Variant
    from farpress.design.design import design
    from farpress.design.fixes import fixes_from
    from farpress.design.telling import designs_told, shown_variant
    from farpress.design.writing import write_design
    from farpress.kept.store import store_left_alone
    from farpress.quoting.firm_lists import firm_lists

    if folder is not None and folder.exists():
        raise click.UsageError(f"{folder} is there already; name a folder that is not there yet.")
    tell = _progress if sys.stderr.isatty() else None
    with store_left_alone() if no_cache else nullcontext():
        case = open_job(job)
        bare = anew_from(case, anew)
        designs = design(
            bare.case,
            variants=tuple(Variant) if variant is None else (Variant(variant),),
            fixes=fixes_from(bare.case, fix).or_else(bare.fixes),
            keep=keep,
            forbid=forbid,
            lists=firm_lists(),
            signals=bare.signals,
            progress=tell,
        )
    designs = replace(designs, asks=(*bare.asks, *designs.asks))
    if tell is not None:
        click.echo("\r\x1b[K", nl=False, err=True)
    if form == "json":
        click.echo(design_json(designs))
    else:
        click.echo(design_text(designs_told(designs), width=width, plain=plain))
    shown = shown_variant(designs)
    if folder is not None and shown is not None:
        click.echo(f"Written to {write_design(case, bare.with_design(shown), folder)}.", err=True)
    return 1 if shown is None or shown.left or designs.asks else 0


def _progress(what: str, done: int, of: int) -> None:
    click.echo(f"\r\x1b[KDrawing, {what}: {done} of {of}", nl=False, err=True)
