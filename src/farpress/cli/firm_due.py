"""farpress firm: what is due over all jobs, in which tours, and what the year brings."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Final

import click

from farpress.cli.firm import FORMAT, opened, shown
from farpress.cli.firm_across import indented, tell_unread

if TYPE_CHECKING:
    from collections.abc import Iterator

    from farpress.firm.due import Tour

__all__ = ["COMMANDS", "due", "outlook", "road"]


@click.command("due")
@click.option("--until", metavar="DATE", help="As 2026-12-31; without it, the next 30 days.")
@click.option("--today", metavar="DATE", help="Another day than today, for planning.")
@click.option("--from", "start", default="", metavar="TOWN", help="Where tours begin and end.")
@click.option("--tours", "as_tours", is_flag=True, help="Joined into day tours.")
@click.option(
    "--everybody", is_flag=True, help="What customers and others are to do as well; not with --tours."
)
@FORMAT
@click.pass_context
def due(
    ctx: click.Context,
    until: str | None,
    today: str | None,
    start: str,
    as_tours: bool,
    everybody: bool,
    form: str,
) -> int:
    """What is due over all jobs: fobs to delete, cells, batteries, faults, inspections.

    Exit code 1: something is late.

    Example: farpress firm due --until 2026-12-31 --tours --from Morrowby
    """
    from datetime import timedelta

    from farpress.firm.due import due, tours

    firm = opened(ctx)
    now = _day(today)
    found = due(
        firm,
        until=_day(until) if until else now + timedelta(days=30),
        today=now,
        everybody=everybody and not as_tours,
    )
    late = sum(task.due < now.isoformat() for task in found.tasks)
    match form, as_tours:
        case "json", True:
            planned = tours(firm, found.tasks, start=start)
            shown([tour.__dict__ | {"tasks": [task.__dict__ for task in tour.tasks]} for tour in planned])
        case "json", False:
            shown({name: [row.__dict__ for row in getattr(found, name)] for name in ("tasks", "unread")})
        case _, True:
            for number, tour in enumerate(tours(firm, found.tasks, start=start), 1):
                click.echo("\n".join(_tour_lines(number, tour)))
        case _:
            for task in found.tasks:
                mark = "late" if task.due < now.isoformat() else ""
                who = "" if task.who == "installer" else f" ({task.who})"
                click.echo(f"{mark:5}{task.due}  {task.job}, {task.premises}: {task.kind}{who}")
                click.echo(indented(task.what, 17))
    if form == "table":
        click.echo(f"{len(found.tasks)} due, {late} of them late")
    tell_unread(found.unread)
    return 1 if late else 0


def _tour_lines(number: int, tour: Tour) -> Iterator[str]:
    towns = tour.towns if len(set(tour.towns)) > 1 else tour.towns[:1]
    way = " - ".join(town or "town not known" for town in towns)
    drive = "driving not known" if tour.drive_minutes is None else f"{tour.drive_minutes:.0f} min driving"
    yield f"Tour {number}: {way}; {tour.work_minutes:.0f} min at the premises, {drive}"
    for town, other in tour.missing:
        yield f"    missing: the driving time {town or '?'} - {other or '?'} (farpress firm road)"
    for task in tour.tasks:
        yield f"    {task.due}  {task.job}, {task.premises}: {task.kind}"
        yield indented(task.what, 16)


@click.command("outlook")
@click.option("--today", metavar="DATE", help="Another day than today.")
@FORMAT
@click.pass_context
def outlook(ctx: click.Context, today: str | None, form: str) -> int:
    """The year ahead: the firm's own work month by month, and receivers whose memory fills.

    Example: farpress firm outlook
    """
    from farpress.firm.due import outlook

    found = outlook(opened(ctx), today=_day(today))
    if form == "json":
        shown(
            {
                "months": found.months,
                "filling": found.filling,
                "unread": [left_out.__dict__ for left_out in found.unread],
            }
        )
        return 0
    for month, counts in found.months.items():
        click.echo(f"{month}  {', '.join(f'{kind}: {count}' for kind, count in sorted(counts.items()))}")
    for job, receiver, says in found.filling:
        click.echo(f"{job}, {receiver}\n{indented(says, 4)}")
    tell_unread(found.unread)
    return 0


@click.command("road")
@click.argument("town", metavar="TOWN")
@click.argument("other", metavar="TOWN")
@click.argument("minutes", type=float)
@click.pass_context
def road(ctx: click.Context, town: str, other: str, minutes: float) -> int:
    """Keep the driving time between two towns, for tours.

    Example: farpress firm road Oakmire Vessing 24
    """
    from farpress.firm.due import set_road

    set_road(opened(ctx), town, other, minutes=minutes)
    click.echo(f"{town} - {other}: {minutes:g} min, both ways.")
    return 0


def _day(text: str | None) -> date:
    from farpress.dates import day_wanted

    return day_wanted(text) if text else date.today()


COMMANDS: Final = {command.name: command for command in (due, outlook, road)}
"""The commands of this module, by name."""
