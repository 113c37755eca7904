"""farpress reach: what is heard from where, as a table, a map, or a search for the aerial's place."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from farpress.case.case import Case
    from farpress.reach.aerial_search import Ranking

__all__ = ["command"]


@click.command("reach")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--premises", help="Only this address; needed for a map where the job has several.")
@click.option("--receiver", help="Only this receiver.")
@click.option("--place", help="Only this place.")
@click.option("--level", help="Level of the map; without it the open ground.")
@click.option(
    "--map",
    "picture",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Draw a map into this .png or .svg file, or write it as .geojson; of several receivers the one heard"
    " worst.",
)
@click.option(
    "--cells",
    type=click.IntRange(10, 400),
    default=160,
    show_default=True,
    help="Cells along the longer side of the map.",
)
@click.option("--aerial-at", help="Try the aerial at x,y,height in metres, as 10.5,21.8,3.4 (map and table).")
@click.option(
    "--held",
    type=click.Choice(["in hand", "in pocket", "in car"]),
    help="How the fob is held, if not as the place says.",
)
@click.option(
    "--try-aerial", is_flag=True, help="Rank every allowed place, height, kind and coax of the aerial."
)
@click.option(
    "--coax-up-to",
    type=click.FloatRange(0, 50),
    default=10.0,
    show_default=True,
    help="With --try-aerial: longest coax in metres for places on walls; 0: only places that are drawn.",
)
@click.option(
    "--heights",
    default="1.8,2.6,3.4",
    show_default=True,
    help="With --try-aerial: heights over floor or ground to try on walls, in metres.",
)
@click.option(
    "--second-receiver", is_flag=True, help="With --try-aerial: a second receiver at these places too."
)
@click.option("--next-reading", is_flag=True, help="Which reading on site would take away most doubt.")
@click.option("--budget/--no-budget", default=True, show_default=True, help="Print each budget line by line.")
@click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json"]),
    default="table",
    show_default=True,
    help="For people or for programs.",
)
@click.option(
    "--width", type=click.IntRange(60, 200), default=80, show_default=True, help="Columns of the table."
)
def command(
    job: Path,
    premises: str | None,
    receiver: str | None,
    place: str | None,
    level: str | None,
    picture: Path | None,
    cells: int,
    aerial_at: str | None,
    held: str | None,
    try_aerial: bool,
    coax_up_to: float,
    heights: str,
    second_receiver: bool,
    next_reading: bool,
    budget: bool,
    form: str,
    width: int,
) -> int:
    """Say from where the receivers of a JOB are heard, and why.

    Without further options: every place from which something is promised, each with its
    budget from fob to receiver line by line. Exit code 0: every promise has its chance.
    1: one has not. 2: the job cannot be used.

    Example: farpress reach examples/larkfen-house --receiver R1 --map reach.png --level ground
    """
    from farpress.case.door import open_job
    from farpress.cli import reach_text

    case = open_job(job)
    wanted = _receivers(case, premises, receiver)
    where = _point(aerial_at)
    if picture is not None:
        return _map(case, wanted, level, picture, cells, where, held, form)
    if try_aerial:
        ranked = _ranked(case, wanted, second_receiver, coax_up_to, heights)
        click.echo(reach_text.ranking_json(ranked) if form == "json" else reach_text.ranking(ranked, width))
        return 0 if all(found.trials[0].keeps_all for found in ranked.values()) else 1
    if next_reading:
        from farpress.reach.calibration import next_readings

        proposed = {f"{house}/{box}": next_readings(case, house, box) for house, box in wanted}
        click.echo(
            reach_text.proposals_json(proposed) if form == "json" else reach_text.proposals(proposed, width)
        )
        return 0
    from farpress.reach.ask import promised_links

    rows = [
        row
        for house, box in wanted
        for row in promised_links(case, house, box, place=place, held=held, aerial_at=where)
    ]
    click.echo(reach_text.rows_json(rows) if form == "json" else reach_text.table(rows, width, budget))
    return 1 if any(row.share is not None and row.share < row.wanted for row in rows) else 0


def _ranked(
    case: Case, wanted: list[tuple[str, str]], second_receiver: bool, coax_up_to: float, heights: str
) -> dict[str, Ranking]:
    """The search for each receiver; one interrupt from the keyboard ends it, and what was tried is ranked."""
    import signal

    from farpress.errors import InputError
    from farpress.reach.aerial_places import Mounting
    from farpress.reach.aerial_search import try_aerials

    try:
        mounting = (
            Mounting(coax_up_to, tuple(float(height) for height in heights.split(",")))
            if coax_up_to
            else None
        )
    except ValueError as error:
        if isinstance(error, InputError):
            raise
        raise InputError(f"--heights {heights}: metres with commas are wanted, as 1.8,2.6,3.4.") from None
    stopped: list[int] = []
    before = signal.signal(signal.SIGINT, lambda number, frame: stopped.append(number))
    ranked = {}
    try:
        for house, box in wanted:
            if stopped:
                break
            with click.progressbar(length=1, label=f"{house}/{box}", file=sys.stderr) as bar:

                def told(done: int, of: int, bar: Any = bar) -> bool:
                    bar.length = max(of, 1)
                    bar.update(max(done - bar.pos, 0))
                    return not stopped

                try:
                    ranked[f"{house}/{box}"] = try_aerials(
                        case, house, box, second_receiver=second_receiver, progress=told, mounting=mounting
                    )
                except InputError as error:
                    if len(wanted) == 1:
                        raise
                    click.echo(str(error), err=True)
    finally:
        signal.signal(signal.SIGINT, before)
    if stopped:
        click.echo("Stopped: ranked is what was tried so far.", err=True)
    return ranked


def _receivers(case: Case, premises: str | None, receiver: str | None) -> list[tuple[str, str]]:
    """The receivers meant; all of the job, if none is named."""
    from farpress.errors import InputError

    every = [(house, box) for house, site in case.job.premises.items() for box in site.receivers]
    if receiver is not None and "/" in receiver:
        premises, receiver = receiver.split("/", 1)
    found = [(house, box) for house, box in every if premises in (None, house) and receiver in (None, box)]
    if not found:
        raise InputError(
            f"There is no receiver '{'/'.join(name for name in (premises, receiver) if name)}'; there are"
            f" {', '.join('/'.join(pair) for pair in every) or 'none'}."
        )
    return found


def _point(text: str | None) -> tuple[float, float, float] | None:
    from farpress.errors import InputError

    if text is None:
        return None
    try:
        x, y, z = (float(number) for number in text.split(","))
    except ValueError:
        raise InputError(
            f"--aerial-at {text}: three numbers with commas are wanted, x,y,height in metres, as"
            " 10.5,21.8,3.4."
        ) from None
    return x, y, z


def _map(
    case: Case,
    wanted: list[tuple[str, str]],
    level: str | None,
    picture: Path,
    cells: int,
    where: tuple[float, float, float] | None,
    held: str | None,
    form: str,
) -> int:
    from farpress.cli import reach_text
    from farpress.errors import InputError
    from farpress.papers.drawings.map_exchange import map_geojson, world_file
    from farpress.papers.drawings.reach_map import map_png, map_svg
    from farpress.papers.typesetting.write import write_file
    from farpress.reach.ask import MapRequest, reach_map
    from farpress.reach.maps_together import weakest_of

    kind = picture.suffix.lower()
    if len({house for house, _ in wanted}) != 1:
        raise InputError(
            "A map shows one address; name it with --premises:"
            f" {', '.join(dict.fromkeys(house for house, _ in wanted))}."
        )
    if kind not in (".png", ".svg", ".geojson"):
        raise InputError(f"{picture}: a map is written as .png, .svg or .geojson.")
    if where is not None and len(wanted) != 1:
        raise InputError(
            "--aerial-at moves one aerial; name its receiver with --receiver:"
            f" {', '.join(box for _, box in wanted)}."
        )
    maps = []
    with click.progressbar(length=100 * len(wanted), label="map", file=sys.stderr) as bar:
        for number, pair in enumerate(wanted):

            def told(done: int, of: int, begun: int = 100 * number) -> None:
                bar.update(max(begun + 100 * done // of - bar.pos, 0))

            request = MapRequest(held=held or "in hand")  # type: ignore[arg-type]
            maps.append(
                reach_map(
                    case, *pair, level=level, cells=cells, aerial_at=where, request=request, progress=told
                )
            )
            bar.update(100 * (number + 1) - bar.pos)
    found = weakest_of(maps)
    files = str(picture)
    if kind == ".geojson":
        write_file(picture, map_geojson(maps).encode())
    elif kind == ".svg":
        write_file(picture, map_svg(found).encode())
    else:
        png = map_png(found)
        write_file(picture, png)
        write_file(picture.with_suffix(".pgw"), world_file(found, png).encode())
        files += f" (and {picture.with_suffix('.pgw').name}, where it lies on the plan)"
    click.echo(reach_text.map_json(found) if form == "json" else reach_text.map_words(found, files))
    return 0
