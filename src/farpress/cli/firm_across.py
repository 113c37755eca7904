"""farpress firm: questions over all jobs, and judging many of them."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from farpress.cli.firm import FORMAT, opened, shown

if TYPE_CHECKING:
    from collections.abc import Callable

    from farpress.firm.run import RunProgress

__all__ = ["COMMANDS", "assess", "due", "knows", "outlook", "part", "rights", "road"]


@click.command("knows")
@click.argument("who", metavar="FOB-OR-PERSON")
@FORMAT
@click.pass_context
def knows(ctx: click.Context, who: str, form: str) -> int:
    """List every output, over all jobs, that obeys a fob (label or serial) or a person.

    "designed" is what a job file says; the rest is what the record says was learned.

    Example: farpress firm knows BM-047-K
    """
    from farpress.firm.across import knows, names_like

    found = knows(opened(ctx), who)
    if form == "json":
        shown([one.__dict__ for one in found])
        return 0
    if not found:
        near = names_like(opened(ctx), who)
        if near and near[0].casefold() == " ".join(who.split()).casefold():
            click.echo(f"{near[0]} is on the shelf, but no output obeys it.")
        else:
            click.echo(
                f"No fob and no person on the shelf is called '{who}'."
                + (
                    f" Closest: {', '.join(near)}."
                    if near
                    else " Whole labels, serials and names are looked for, small and capital letters alike."
                )
            )
        return 0
    job = ""
    for one in found:
        if one.job != job:
            job = one.job
            click.echo(job)
        what = f" ({', '.join(one.functions)})" if one.functions else ""
        click.echo(
            f"    {one.receiver} output {one.output}{what}:"
            f" {f'fob {one.fob}, ' if one.fob else ''}{one.state}{f', {one.holder}' if one.holder else ''}"
        )
    click.echo(
        f"{len(found)} output{'s' if len(found) != 1 else ''} at {len({one.job for one in found})}"
        f" job{'s' if len({one.job for one in found}) != 1 else ''}"
    )
    return 0


@click.command("rights")
@click.option("--person", default="", help="Only of this person.")
@click.option("--job", default="", help="Only of this job.")
@click.option("--of-members", is_flag=True, help="What the firm's own members may do, instead.")
@FORMAT
@click.pass_context
def rights(ctx: click.Context, person: str, job: str, of_members: bool, form: str) -> int:
    """The register of who may do what, job by job, as the job files say.

    Example: farpress firm rights --person "Pim Vardel"
    """
    from farpress.domain.role import NEEDED
    from farpress.firm.across import Unread, rights
    from farpress.record.members import members

    firm = opened(ctx)
    if of_members:
        for one in members(firm.shelf.record):
            if one.state == "active":
                click.echo(f"{one.name}: {one.role}")
                for least, says in NEEDED.values():
                    if one.role.may(least):
                        click.echo(f"    may {says}")
        return 0
    unread: list[Unread] = []
    found = list(rights(firm, person=person, job=job, unread=unread))
    if form == "json":
        shown([one.__dict__ for one in found])
    else:
        for right in found:
            click.echo(
                f"{right.job}: {right.person or 'unnamed holders'} ({right.group})\n   "
                f" {', '.join(right.functions) or 'nothing'}"
            )
    _tell_unread(unread)
    return 0


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
    late = sum(one.due < now.isoformat() for one in found.tasks)
    if as_tours:
        planned = tours(firm, found.tasks, start=start)
        if form == "json":
            shown([one.__dict__ | {"tasks": [task.__dict__ for task in one.tasks]} for one in planned])
        else:
            for number, tour in enumerate(planned, 1):
                drive = (
                    f"{tour.drive_minutes:.0f} min driving"
                    if tour.drive_minutes is not None
                    else "driving not known"
                )
                click.echo(
                    f"Tour {number}:"
                    f" {' - '.join(town or 'town not known' for town in (tour.towns if len(set(tour.towns)) > 1 else tour.towns[:1]))};"  # noqa: E501
                    f" {tour.work_minutes:.0f} min at the premises, {drive}"
                )
                for one, other in tour.missing:
                    click.echo(
                        f"    missing: the driving time {one or '?'} - {other or '?'} (farpress firm road)"
                    )
                for task in tour.tasks:
                    click.echo(
                        f"    {task.due}  {task.job}, {task.premises}: {task.kind}\n{_wrapped(task.what, 16)}"
                    )
    elif form == "json":
        shown(
            {"tasks": [one.__dict__ for one in found.tasks], "unread": [one.__dict__ for one in found.unread]}
        )
    else:
        for task in found.tasks:
            click.echo(
                f"{'late ' if task.due < now.isoformat() else '     '}{task.due}  {task.job},"
                f" {task.premises}:"
                f" {task.kind}{'' if task.who == 'installer' else f' ({task.who})'}\n{_wrapped(task.what, 17)}"  # noqa: E501
            )
    if form == "table":
        click.echo(f"{len(found.tasks)} due, {late} of them late")
    _tell_unread(found.unread)
    return 1 if late else 0


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
                "unread": [one.__dict__ for one in found.unread],
            }
        )
        return 0
    for month, counts in found.months.items():
        click.echo(f"{month}  {', '.join(f'{kind}: {count}' for kind, count in sorted(counts.items()))}")
    for job, receiver, says in found.filling:
        click.echo(f"{job}, {receiver}\n{_wrapped(says, 4)}")
    _tell_unread(found.unread)
    return 0


@click.command("road")
@click.argument("one", metavar="TOWN")
@click.argument("other", metavar="TOWN")
@click.argument("minutes", type=float)
@click.pass_context
def road(ctx: click.Context, one: str, other: str, minutes: float) -> int:
    """Keep the driving time between two towns, for tours.

    Example: farpress firm road Oakmire Vessing 24
    """
    from farpress.firm.due import set_road

    set_road(opened(ctx), one, other, minutes=minutes)
    click.echo(f"{one} - {other}: {minutes:g} min, both ways.")
    return 0


_WORKERS = click.option(
    "--workers", type=click.IntRange(1, 256), default=1, show_default=True, help="Processes on this machine."
)
_SCHEDULER = click.option(
    "--scheduler", default="", metavar="ADDRESS", help="A dask scheduler, for several machines."
)


@click.command("assess")
@click.argument("words", nargs=-1)
@_WORKERS
@_SCHEDULER
@click.option("--afresh", is_flag=True, help="Judge again what was judged already.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write all results to this file, a line of JSON a job.",
)
@FORMAT
@click.pass_context
def assess(
    ctx: click.Context,
    words: tuple[str, ...],
    workers: int,
    scheduler: str,
    afresh: bool,
    out: Path | None,
    form: str,
) -> int:
    """Judge all jobs in which WORDS stand. Ctrl-C stops; the same command goes on from there.

    Exit code 1: a promise fails or a job could not be judged.

    Example: farpress firm assess --workers 2
    """
    from farpress.firm.run import run_jobs
    from farpress.papers.typesetting.write import write_file

    firm = opened(ctx)
    jobs = [entry.job for entry in firm.find(words)]
    tell, stop = _teller()
    run = run_jobs(firm, jobs, workers=workers, scheduler=scheduler, afresh=afresh, progress=tell, stop=stop)
    if out is not None:
        write_file(out, run.text.encode())
    if form == "json":
        for line in run.lines():
            click.echo(line, nl=False)
    else:
        for job, result in run.results.items():
            click.echo(f"{job}: {_result(result)}")
        counts: dict[str, int] = {}
        for result in run.results.values():
            counts[str(result.get("verdict", "not judged"))] = (
                counts.get(str(result.get("verdict", "not judged")), 0) + 1
            )
        click.echo(
            f"{len(run.results)} of {len(jobs)} jobs, {run.kept} kept from before:"
            f" {', '.join(f'{count} {verdict}' for verdict, count in sorted(counts.items()))}"
        )
    if run.stopped:
        click.echo("Stopped. What is done is kept; the same command goes on from there.", err=True)
        return 130
    return 1 if any(result.get("verdict", "fails") == "fails" for result in run.results.values()) else 0


@click.command("part")
@click.argument("part")
@click.option(
    "--value",
    "values",
    multiple=True,
    required=True,
    metavar="KEY=VALUE",
    help="What it really is, with unit; can be given more than once.",
)
@_WORKERS
@_SCHEDULER
@FORMAT
@click.pass_context
def part(
    ctx: click.Context, part: str, values: tuple[str, ...], workers: int, scheduler: str, form: str
) -> int:
    """A PART turned out worse than its data sheet: judge every job that uses it, list whose promises change.

    Nothing is changed on the shelf. Exit code 1: some promise changes.

    Example: farpress firm part receiver-4 --value "sensitivity=-97 dBm"
    """
    from farpress.errors import InputError
    from farpress.firm.part import doubt_part

    wrong = [one for one in values if "=" not in one]
    if wrong:
        raise InputError(f"'{wrong[0]}' is not KEY=VALUE; write for example --value \"sensitivity=-97 dBm\".")
    tell, stop = _teller()
    found = doubt_part(
        opened(ctx),
        part,
        {key.strip(): value.strip() for key, _, value in (one.partition("=") for one in values)},
        workers=workers,
        scheduler=scheduler,
        progress=tell,
        stop=stop,
    )
    if form == "json":
        shown(
            {
                "jobs": found.jobs,
                "changed": [one.__dict__ for one in found.changed],
                "broken": found.broken,
                "stopped": found.stopped,
            }
        )
    else:
        for one in found.changed:
            turned = (
                f"{one.before} → {one.after}"
                if one.before != one.after
                else f"still {one.after}; worse: {', '.join(one.links)}"
            )
            click.echo(f"{one.job}\n{_wrapped(f'{one.promise}: {turned}', 4)}\n{_wrapped(one.because, 8)}")
        for job, says in found.broken.items():
            click.echo(f"{job} could not be judged: {says[0]}", err=True)
        click.echo(
            f"{len(found.changed)} promises of {len({one.job for one in found.changed})} jobs change;"
            f" {len(found.jobs)} jobs use {part}."
        )
    if found.stopped:
        click.echo("Stopped. What is done is kept; the same command goes on from there.", err=True)
        return 130
    return 1 if found.changed else 0


def _result(result: dict[str, Any]) -> str:
    if "broken" in result:
        return f"could not be judged: {result['broken'][0]}"
    failing = sum(one["verdict"] == "fails" for one in result["promises"].values())
    return (
        f"{result['verdict']}; {failing} of {len(result['promises'])} promises fail"
        if result["promises"]
        else f"{result['verdict']}; no promises"
    )


def _teller() -> tuple[Callable[[RunProgress], None] | None, Callable[[], bool]]:
    """Shows progress on a terminal, and turns Ctrl-C into a wish to stop."""
    import signal
    import threading

    asked = threading.Event()

    def ask(*_: object) -> None:
        if asked.is_set():
            raise KeyboardInterrupt
        asked.set()
        click.echo("\nStopping after the jobs in hand; once more to break off.", err=True)

    before = signal.signal(signal.SIGINT, ask)
    click.get_current_context().call_on_close(lambda: signal.signal(signal.SIGINT, before))
    if not sys.stderr.isatty():
        return None, asked.is_set

    def tell(tick: RunProgress) -> None:
        click.echo(f"\r{tick.done} of {tick.all}  {tick.job[:50]:<50}", nl=tick.done == tick.all, err=True)

    return tell, asked.is_set


def _day(text: str | None) -> date:
    from farpress.dates import day_wanted

    return day_wanted(text) if text else date.today()


def _wrapped(text: str, indent: int) -> str:
    from farpress.cli.text import paragraph

    return paragraph(text, first=" " * indent, rest=None)


def _tell_unread(unread: Any) -> None:
    for one in unread:
        click.echo(f"{one.job} could not be read and is left out: {one.says}", err=True)


COMMANDS: Final = {one.name: one for one in (knows, rights, due, outlook, road, assess, part)}
"""The commands of this module, by name."""
