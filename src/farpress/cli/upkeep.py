"""farpress upkeep: cells, wear and drift, and what is due when."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

if TYPE_CHECKING:
    from datetime import date

    from farpress.case.case import Case
    from farpress.domain.event import Event
    from farpress.domain.register import FobRegister

__all__ = ["command"]


@click.group("upkeep")
def command() -> None:
    """Cells, wear and drift: what is due when.

    \b
    forecast  cells of each group: empty when, change all when
    order     cells to order
    watch     levels against their baseline, contacts, batteries
    due       everything due, put together into rounds; as a calendar file too
    done      check a task off
    log       a low-cell signal, a new cell or battery, a level

    Example: farpress upkeep due examples/larkfen-house
    """


_JOB = click.argument("job", type=click.Path(path_type=Path))
_FORMAT = click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json"]),
    default="table",
    show_default=True,
    help="For people or for programs.",
)
_DATE = click.option("--date", "day", help="Today, as 2026-11-25; without it the computer's date.")
_WIDTH = click.option(
    "--width", type=click.IntRange(60, 200), default=80, show_default=True, help="Columns of the text."
)
_MONTHS = click.option(
    "--months", type=click.IntRange(1, 240), default=24, show_default=True, help="How far ahead."
)


def _opened(job: Path, day: str | None) -> tuple[Case, FobRegister, tuple[Event, ...], date]:
    """Case, register, events and today; a job without a record gets none by looking."""
    from datetime import date

    from farpress.case.door import open_job
    from farpress.dates import day_wanted
    from farpress.domain.register import FobRegister
    from farpress.record.register import draw_register
    from farpress.record.store import FILE_NAME, open_record

    case = open_job(job)
    today = day_wanted(day) if day else date.today()
    if not ((case.folder or job) / FILE_NAME).is_file():
        return case, FobRegister(), (), today
    with open_record(case.folder or job) as record:
        events = record.events(job=case.job.job)
    return case, draw_register(events), events, today


@command.command("forecast")
@_JOB
@_MONTHS
@click.option(
    "--failure-cost",
    type=click.FloatRange(0.1, 1000.0),
    default=10.0,
    show_default=True,
    help="One empty cell costs so many planned changes.",
)
@_DATE
@_FORMAT
@_WIDTH
def _forecast_command(
    job: Path, months: int, failure_cost: float, day: str | None, form: str, width: int
) -> int:
    """Cells of a JOB, group by group: empty when, change all when.

    Example: farpress upkeep forecast examples/larkfen-house
    """
    from farpress.cli.as_json import as_json
    from farpress.cli.text import bar, wrapped
    from farpress.dates import add_months
    from farpress.upkeep.ask import cells_ahead

    case, register, events, today = _opened(job, day)
    groups = cells_ahead(case, register, events, today=today, months=months, failure_cost=failure_cost)
    if form == "json":
        click.echo(as_json(groups))
        return 0
    for group in groups:
        click.echo(f"{group.group} ({group.fobs} fob{'s' if group.fobs != 1 else ''})")
        for text in group.says:
            click.echo("\n".join(wrapped(text, width, "    ", "    ")))
    months_sum = [sum(group.expected[number] for group in groups) for number in range(months)]
    if sum(months_sum) >= 0.5:
        click.echo("\nCells expected empty, month by month")
        top = max(months_sum)
        for number, expected in enumerate(months_sum):
            click.echo(f"  {add_months(today, number):%Y-%m} {expected:6.2f}  {bar(expected / top, 30)}")
    return 0


@command.command("order")
@_JOB
@click.option("--months", type=click.IntRange(1, 120), default=12, show_default=True, help="For how long.")
@_DATE
@_FORMAT
@_WIDTH
def _order_command(job: Path, months: int, day: str | None, form: str, width: int) -> int:
    """Cells to order for a JOB.

    Example: farpress upkeep order examples/larkfen-house
    """
    from farpress.cli.as_json import as_json
    from farpress.cli.text import wrapped
    from farpress.domain.cautions import CAUTIONS
    from farpress.upkeep.ask import cell_orders, cells_ahead

    case, register, events, today = _opened(job, day)
    orders = cell_orders(
        case,
        cells_ahead(case, register, events, today=today, months=max(months, 12)),
        today=today,
        months=months,
    )
    if form == "json":
        click.echo(as_json(orders))
        return 0
    for order in orders:
        click.echo(
            "\n".join(wrapped(f"{order.number:4} x {order.cell}: {order.because}", width, "", "       "))
        )
    click.echo(
        "\n".join(
            wrapped(CAUTIONS["cell"] if orders else f"No cell is needed in the next {months} months.", width)
        )
    )
    return 0


@command.command("watch")
@_JOB
@_DATE
@_FORMAT
@_WIDTH
def _watch_command(job: Path, day: str | None, form: str, width: int) -> int:
    """Levels of a JOB against their baseline, contacts against their life, batteries against their age.

    Exit code 1: a level has come down.

    Example: farpress upkeep watch examples/larkfen-house
    """
    from farpress.cli.as_json import as_json
    from farpress.cli.text import wrapped
    from farpress.upkeep.ask import battery_ages, contact_wear, place_watch

    case, _, events, today = _opened(job, day)
    places, contacts, batteries = (
        place_watch(case, events),
        contact_wear(case, events, today=today),
        battery_ages(case, events, today=today),
    )
    if form == "json":
        click.echo(as_json({"places": places, "contacts": contacts, "batteries": batteries}))
    else:
        for text in [
            *(place.says for place in places),
            *(contact.says for contact in contacts),
            *(battery.says for battery in batteries),
        ]:
            click.echo("\n".join(wrapped(text, width, "- ", "  ")))
        if not places:
            click.echo(
                "\n".join(
                    wrapped(
                        "No level is in the record yet: enter those of each visit, and a loss is noticed"
                        " before presses fail.",
                        width,
                        "- ",
                        "  ",
                    )
                )
            )
    return 1 if any(place.signal is not None and place.signal.direction == "down" for place in places) else 0


@command.command("due")
@_JOB
@_MONTHS
@click.option("--ics", type=click.Path(path_type=Path, dir_okay=False), help="Write a calendar file as well.")
@click.option("--start", default="", help="Premises where a round begins.")
@_DATE
@_FORMAT
@_WIDTH
def _due_command(
    job: Path, months: int, ics: Path | None, start: str, day: str | None, form: str, width: int
) -> int:
    """Everything due on a JOB, put together into rounds.

    Example: farpress upkeep due examples/larkfen-house --ics upkeep.ics
    """
    from farpress.cli.as_json import as_json
    from farpress.cli.text import wrapped
    from farpress.errors import InputError
    from farpress.upkeep.ask import due_calendar, due_list, months_text, visits

    case, register, events, today = _opened(job, day)
    if start and start not in case.job.premises:
        raise InputError(f"there are no premises '{start}'; there are {', '.join(case.job.premises)}")
    due = due_list(case, register, events, today=today, months=months)
    rounds = visits(case, due, start=start, today=today)
    if form == "json":
        click.echo(as_json({"due": due, "visits": rounds}))
    else:
        click.echo("Rounds of the firm")
        for visit in rounds:
            click.echo("\n".join(["", *wrapped(visit.says, width)]))
            for line in visit.lines():
                task = line.tasks[0]
                late = "overdue, " if task.on < today else ""
                every = months_text(task.every_months)
                ids = "; ".join(each.id for each in line.tasks)
                text = f"{task.premises}: {line.does} ({late}{task.on}, {every}; {ids})"
                click.echo("\n".join(wrapped(text, width, "  - ", "    ")))
        own = [task for task in due if task.who == "customer"]
        click.echo("\nThe customer's own" if own else "")
        for task in own:
            click.echo(
                "\n".join(
                    wrapped(
                        f"{task.premises}: {task.does} (next {task.on}, {task.often}; {task.id})",
                        width,
                        "  - ",
                        "    ",
                    )
                )
            )
    if ics is not None:
        ics.write_bytes(due_calendar(case.job.job, due, rounds))
        click.echo(f"Calendar written to {ics}.", err=True)
    return 0


@command.command("done")
@_JOB
@click.argument("task")
@click.option("--found", default="", help="What was found, in words.")
@click.option("--failed", is_flag=True, help="It was looked at and is not in order.")
@click.option("--by", default="installer", show_default=True, help="Who did it.")
def _done_command(job: Path, task: str, found: str, failed: bool, by: str) -> int:
    """Check a TASK of a JOB off; it comes back after its interval.

    Example: farpress upkeep done larkfen-house "gate check: larkfen/gate"
    """
    import difflib
    from datetime import date

    from farpress.errors import InputError
    from farpress.record.store import open_record
    from farpress.upkeep.ask import due_list, record_done

    case, register, events, _ = _opened(job, None)
    known = [task.id for task in due_list(case, register, events, today=date.today(), months=240)]
    if task not in known:
        close = difflib.get_close_matches(task, known, n=3, cutoff=0.4)
        raise InputError(
            f"there is no task '{task}'"
            + (
                f"; closest: {', '.join(repr(name) for name in close)}"
                if close
                else "; 'farpress upkeep due' lists them"
            )
        )
    with open_record(case.folder or job) as record:
        record.append(record_done(task, passed=not failed, found=found), job=case.job.job, by=by)
    click.echo(f"'{task}' is checked off.")
    return 0


@command.command("log")
@_JOB
@click.argument("what", type=click.Choice(["low-cell", "cell", "battery", "level"]))
@click.option("--fob", default="", help="Label of the fob.")
@click.option("--receiver", default="", help="Receiver that reported it, or that the level was read at.")
@click.option("--supply", default="", help="Supply with the new battery.")
@click.option("--place", default="", help="Place that the level was read from.")
@click.option("--value", type=float, help="Level in dBm, or volts of the cell under load.")
@click.option(
    "--held",
    type=click.Choice(["in hand", "in pocket", "in car"]),
    default="in hand",
    show_default=True,
    help="How the fob was held.",
)
@click.option("--pad", "pad_db", type=float, default=0.0, help="Pad in the way, in dB.")
@click.option("--by", default="installer", show_default=True, help="Who saw it.")
def _log_command(
    job: Path,
    what: str,
    fob: str,
    receiver: str,
    supply: str,
    place: str,
    value: float | None,
    held: Literal["in hand", "in pocket", "in car"],
    pad_db: float,
    by: str,
) -> int:
    """Write into a JOB's record what happened between two visits.

    \b
    Examples: farpress upkeep log larkfen-house low-cell --fob LH-012 --receiver R1
              farpress upkeep log larkfen-house cell --fob LH-012
              farpress upkeep log larkfen-house battery --supply main
              farpress upkeep log larkfen-house level --place street --receiver R1 --value -97
    """
    from farpress.case.door import open_job
    from farpress.errors import InputError
    from farpress.record.store import open_record
    from farpress.upkeep.ask import log_battery, log_cell, log_level, log_low_cell

    case = open_job(job)
    with open_record(case.folder or job) as record:
        if what == "low-cell":
            event = log_low_cell(record, case, fob=fob, receiver=receiver, by=by)
        elif what == "cell":
            event = log_cell(record, case, fob=fob, volts=value, by=by)
        elif what == "battery":
            event = log_battery(record, case, supply=supply, by=by)
        elif value is None:
            raise InputError("give the level with --value, in dBm, as -84")
        else:
            event = log_level(
                record, case, place=place, receiver=receiver, level_dbm=value, held=held, pad_db=pad_db, by=by
            )
    click.echo(f"Noted on {event.moment[:10]}: {event.kind}.")
    return 0
