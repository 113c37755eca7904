"""farpress firm: questions over all jobs, and judging many of them."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from farpress.cli.firm import FORMAT, opened, shown

if TYPE_CHECKING:
    from collections.abc import Callable

    from farpress.firm.run import RunProgress

__all__ = ["COMMANDS", "assess", "indented", "knows", "part", "rights", "tell_unread"]


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
    from farpress.phrases import plural

    found = knows(opened(ctx), who)
    if form == "json":
        shown([known.__dict__ for known in found])
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
    for known in found:
        if known.job != job:
            job = known.job
            click.echo(job)
        what = f" ({', '.join(known.functions)})" if known.functions else ""
        fob = f"fob {known.fob}, " if known.fob else ""
        holder = f", {known.holder}" if known.holder else ""
        click.echo(f"    {known.receiver} output {known.output}{what}: {fob}{known.state}{holder}")
    jobs = plural(len({known.job for known in found}), "job")
    click.echo(f"{plural(len(found), 'output')} at {jobs}")
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
        for member in members(firm.shelf.record):
            if member.state == "active":
                click.echo(f"{member.name}: {member.role}")
                for least, says in NEEDED.values():
                    if member.role.may(least):
                        click.echo(f"    may {says}")
        return 0
    unread: list[Unread] = []
    found = list(rights(firm, person=person, job=job, unread=unread))
    if form == "json":
        shown([right.__dict__ for right in found])
    else:
        for right in found:
            click.echo(
                f"{right.job}: {right.person or 'unnamed holders'} ({right.group})\n   "
                f" {', '.join(right.functions) or 'nothing'}"
            )
    tell_unread(unread)
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

    wrong = [given for given in values if "=" not in given]
    if wrong:
        raise InputError(f"'{wrong[0]}' is not KEY=VALUE; write for example --value \"sensitivity=-97 dBm\".")
    tell, stop = _teller()
    found = doubt_part(
        opened(ctx),
        part,
        {key.strip(): value.strip() for key, _, value in (given.partition("=") for given in values)},
        workers=workers,
        scheduler=scheduler,
        progress=tell,
        stop=stop,
    )
    if form == "json":
        shown(
            {
                "jobs": found.jobs,
                "changed": [change.__dict__ for change in found.changed],
                "broken": found.broken,
                "stopped": found.stopped,
            }
        )
    else:
        for change in found.changed:
            turned = (
                f"{change.before} → {change.after}"
                if change.before != change.after
                else f"still {change.after}; worse: {', '.join(change.links)}"
            )
            click.echo(
                f"{change.job}\n{indented(f'{change.promise}: {turned}', 4)}\n{indented(change.because, 8)}"
            )
        for job, says in found.broken.items():
            click.echo(f"{job} could not be judged: {says[0]}", err=True)
        click.echo(
            f"{len(found.changed)} promises of {len({change.job for change in found.changed})} jobs change;"
            f" {len(found.jobs)} jobs use {part}."
        )
    if found.stopped:
        click.echo("Stopped. What is done is kept; the same command goes on from there.", err=True)
        return 130
    return 1 if found.changed else 0


def _result(result: dict[str, Any]) -> str:
    if "broken" in result:
        return f"could not be judged: {result['broken'][0]}"
    failing = sum(promise["verdict"] == "fails" for promise in result["promises"].values())
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


def indented(text: str, columns: int) -> str:
    """Wrapped lines, so many columns from the left."""
    from farpress.cli.text import paragraph

    return paragraph(text, first=" " * columns, rest=None)


def tell_unread(unread: Any) -> None:
    """Name what was left out because it could not be read."""
    for left_out in unread:
        click.echo(f"{left_out.job} could not be read and is left out: {left_out.says}", err=True)


COMMANDS: Final = {command.name: command for command in (knows, rights, assess, part)}
"""The commands of this module, by name."""
