"""After a loss: record it, what to do at once, and the round from receiver to receiver."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

if TYPE_CHECKING:
    from farpress.keys.book import RegisterBook

__all__ = ["LOST"]

JOB = click.argument("job", type=click.Path(path_type=Path))
FORM = click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json"]),
    default="table",
    show_default=True,
    help="For people or for programs.",
)
LEAVE = click.option(
    "--leave",
    type=click.DateTime(["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"]),
    help="When you set out, in the job's time zone (or this machine's), as 2026-11-23T08:30; now by default.",
)
START = click.option(
    "--start",
    help=(
        "Where the round begins: a premises, or a place under 'starts' of the job; the first of these by"
        " default, else the premises with most receivers."
    ),
)
WAY = click.option(
    "--way",
    "ways",
    multiple=True,
    metavar="PREMISES=MINUTES",
    help="Way from a start that the job does not know; may be repeated.",
)


@click.command("lost")
@JOB
@click.argument("fob")
@click.option("--between", default="", help="Where and when it was lost, in words.")
@click.option(
    "--by", default="installer", show_default=True, help="Who records it: a role, or a person's mark."
)
@LEAVE
@START
@WAY
def _lost(
    job: Path, fob: str, between: str, by: str, leave: Any, start: str | None, ways: tuple[str, ...]
) -> int:
    """Record that a fob is lost, and say at once what it opens, where to go, what to do meanwhile.

    Example: farpress keys lost my-job BM-047 --between "Lowdrift and Vessing, Monday 08:10"
    """
    from farpress.cli.text import paragraph
    from farpress.keys.book import open_register

    roads = _ways(ways)  # a slip there is said before anything is recorded
    with open_register(job, by=by) as book:
        done = book.lost(fob, between=between)
        click.echo(paragraph(done.says[0]))
        label = done.fob
        if book.register.fobs[label].known_at:
            _show_plan(book, label, leave, start, roads)
        elif meant := book.meant_at(label):
            click.echo(
                paragraph(
                    f"Nobody recorded where it was learned; it is meant for {', '.join(meant)}, and may open"
                    " there. Look there for it in the list of slots; what is found, record with 'keys learn',"
                    " and then delete it."
                )
            )
        else:
            click.echo("It is learned nowhere: there is nothing to delete.")
    return 0


@click.command("plan")
@JOB
@click.argument("fob")
@LEAVE
@START
@WAY
@FORM
def _plan(job: Path, fob: str, leave: Any, start: str | None, ways: tuple[str, ...], form: str) -> int:
    """The round to delete a fob everywhere, as it stands now; records nothing.

    Example: farpress keys plan my-job BM-047 --leave 2026-11-23T08:30
    """
    from farpress.keys.book import open_register

    with open_register(job) as book:
        book.needs_record()
        _show_plan(book, fob, leave, start, _ways(ways), form)
    return 0


def _ways(given: tuple[str, ...]) -> dict[str, float]:
    from farpress.errors import InputError

    found, faults = {}, []
    for text in given:
        premises, _, minutes = text.rpartition("=")
        try:
            found[premises.strip()] = float(minutes)
        except ValueError:
            faults.append(f"'{text}' is no way; write premises and minutes, as vessing=25.")
    if faults:
        raise InputError(" ".join(faults))
    return found


def _show_plan(
    book: RegisterBook, fob: str, leave: Any, start: str | None, ways: dict[str, float], form: str = "table"
) -> None:
    from farpress.case.local_time import now_in, zone_of
    from farpress.cli.text import paragraph, table
    from farpress.keys.find import find_fob
    from farpress.keys.lost import lost_plan, reported_at

    known, case = find_fob(book.register, fob), book._case()
    zone = zone_of(case.job)
    made = lost_plan(
        case, known, start=start, ways=ways, leave=leave or now_in(zone), reported=reported_at(known, zone)
    )
    if form == "json":
        import json
        from dataclasses import asdict

        click.echo(json.dumps(asdict(made), indent=2, sort_keys=True, ensure_ascii=False, default=str))
        return
    click.echo(paragraph(made.says))
    for sentence in made.meanwhile():
        click.echo(paragraph(sentence, first="  now: ", rest="       "))
    click.echo("")
    rows = [
        (
            f"{visit.finished:%a %H:%M}",
            visit.premises,
            f"{visit.exposed_h:.1f} h",
            f"{visit.weight:g}",
            ", ".join(visit.functions),
        )
        for visit in made.visits
    ]
    click.echo(table(rows, head=("finished", "premises", "exposed", "risk", "functions")))
    how = "proven best" if made.gap == 0 else f"at most {made.gap:.0%} from the best"
    click.echo(
        paragraph(
            f"From {made.start}: {made.drive_min:.0f} min on the road, {made.weighted_h:.1f} weighted hours"
            f" ({how})."
        )
    )
    for order, drive, hours in made.others:
        click.echo(
            paragraph(
                f"or {', '.join(order)}: {drive:.0f} min, {hours:.1f} weighted hours",
                first="  ",
                rest="     ",
            )
        )
    for doubt in made.doubts:
        click.echo(paragraph(doubt, first="  open: ", rest="        "))
    for visit in made.visits:
        click.echo("")
        for number, line in enumerate(visit.sheet):
            click.echo(paragraph(line, first="  " if number else "", rest="    "))


def _json(value: object) -> str:
    import json

    return json.dumps(value, indent=2, sort_keys=True, ensure_ascii=False, default=str)


LOST: Final = (_lost, _plan)
"""The commands of this module."""
