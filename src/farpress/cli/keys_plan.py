"""Plans made from the register: after a loss, layout, replacement, counters."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

if TYPE_CHECKING:
    from farpress.tasks.keys import RegisterBook

__all__ = ["PLANS"]

JOB = click.argument("job", type=click.Path(path_type=Path))
FORM = click.option("--format", "form", type=click.Choice(["table", "json"]), default="table", show_default=True, help="For people or for programs.")
LEAVE = click.option("--leave", type=click.DateTime(["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"]), help="When you set out, local time, as 2026-11-23T08:30; now by default.")
START = click.option("--start", help="Premises the round begins at; the one with most receivers by default.")


@click.command("lost")
@JOB
@click.argument("fob")
@click.option("--between", default="", help="Where and when it was lost, in words.")
@click.option("--by", default="installer", show_default=True, help="Who records it: a role, or a person's mark.")
@LEAVE
@START
def _lost(job: Path, fob: str, between: str, by: str, leave: Any, start: str | None) -> int:
    """Record that a fob is lost, and say at once what it opens, where to go, what to do meanwhile.

    Example: farpress keys lost my-job BM-047 --between "Lowdrift and Vessing, Monday 08:10"
    """
    from farpress.cli.columns import wrapped
    from farpress.tasks.keys import open_register

    with open_register(job, by=by) as book:
        done = book.lost(fob, between=between)
        click.echo(wrapped(done.says[0]))
        label = str(done.events[0].body["fob"])
        if book.register.fobs[label].known_at:
            _show_plan(book, label, leave, start)
        else:
            click.echo("It is learned nowhere: there is nothing to delete.")
    return 0


@click.command("plan")
@JOB
@click.argument("fob")
@LEAVE
@START
@FORM
def _plan(job: Path, fob: str, leave: Any, start: str | None, form: str) -> int:
    """The round to delete a fob everywhere, as it stands now; records nothing.

    Example: farpress keys plan my-job BM-047 --leave 2026-11-23T08:30
    """
    from farpress.tasks.keys import open_register

    with open_register(job) as book:
        _show_plan(book, fob, leave, start, form)
    return 0


def _show_plan(book: RegisterBook, fob: str, leave: Any, start: str | None, form: str = "table") -> None:
    from datetime import datetime

    from farpress.cli.columns import columns, wrapped
    from farpress.tasks.keys_find import find_fob
    from farpress.tasks.keys_lost import lost_plan

    made = lost_plan(book._case(), find_fob(book.register, fob), start=start, leave=leave or datetime.now())
    if form == "json":
        import json
        from dataclasses import asdict

        click.echo(json.dumps(asdict(made), indent=2, sort_keys=True, ensure_ascii=False, default=str))
        return
    click.echo(wrapped(made.says))
    for visit in made.visits:
        for sentence in visit.meanwhile:
            click.echo(wrapped(sentence, first="  now: ", rest="       "))
    click.echo("")
    rows = [(f"{visit.finished:%a %H:%M}", visit.premises, f"{visit.exposed_h:.1f} h", f"{visit.weight:g}", ", ".join(visit.functions)) for visit in made.visits]
    click.echo(columns(rows, head=("finished", "premises", "exposed", "risk", "functions")))
    how = "proven best" if made.gap == 0 else f"at most {made.gap:.0%} from the best"
    click.echo(f"From {made.start}: {made.drive_min:.0f} min on the road, {made.weighted_h:.1f} weighted hours ({how}).")
    for order, drive, hours in made.others:
        click.echo(f"  or {', '.join(order)}: {drive:.0f} min, {hours:.1f} weighted hours")
    for doubt in made.doubts:
        click.echo(wrapped(doubt, first="  open: ", rest="        "))
    for visit in made.visits:
        click.echo("")
        for number, line in enumerate(visit.sheet):
            click.echo(wrapped(line, first="  " if number else "", rest="    "))


PLANS: Final = (_lost, _plan)
"""Added to the group `keys`."""
