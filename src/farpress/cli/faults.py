"""farpress faults: from a complaint to its cause in the fewest minutes."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from farpress.cli.faults_text import hunt_json, ranking, step_lines
from farpress.domain.acts import FaultAnswered, FaultClosed, FaultReported, UnknownAct

if TYPE_CHECKING:
    from farpress.case.case import Case
    from farpress.domain.fault import Complaint
    from farpress.faults.ask import FaultHunt, Match
    from farpress.record.store import Record

__all__ = ["command"]


@click.group("faults")
def command() -> None:
    """From a complaint to its cause in the fewest minutes.

    \b
    find        follow a complaint: causes, the next best test, the cure
    complaints  the complaints that are known
    log         the faults of a job, and closing one
    diary       presses by hour, and beats in the bursts

    Chances come from this job's judgements, its record and, where it says nothing, from
    our choice. A test says more than any of them.

    Example: farpress faults find examples/larkfen-house --complaint "lock buzzes"
    """


_JOB = click.argument("job", type=click.Path(path_type=Path))
_WIDTH = click.option(
    "--width", type=click.IntRange(60, 200), default=80, show_default=True, help="Columns of the text."
)


@command.command("complaints")
@_WIDTH
def _complaints_command(width: int) -> int:
    """The complaints that are known, with their numbers.

    Example: farpress faults complaints
    """
    from farpress.catalogue.faults import load_faults
    from farpress.cli.text import wrapped

    for number, complaint in load_faults().complaints.items():
        click.echo("\n".join(wrapped(f"{number:2}  {complaint.says}", width, "", "    ")))
    return 0


@command.command("find")
@_JOB
@click.option(
    "--complaint", "words", required=True, help="What the customer says, or the number of a complaint."
)
@click.option("--function", default="", help="Which function.")
@click.option("--group", default="", help="Whose fob.")
@click.option("--place", default="", help="From which place.")
@click.option("--premises", default="", help="At which premises.")
@click.option("--fob", default="", help="Label of the fob, as in the register.")
@click.option("--answers", default="", help="Answers known already: 'only one=yes, fob lamp=no'.")
@click.option("--cured", multiple=True, help="A cause that was cured and did not help; may be given again.")
@click.option(
    "--csv",
    "diary_table",
    type=click.Path(path_type=Path, dir_okay=False, exists=True),
    help="A log of presses kept on paper, as 'faults diary' takes it.",
)
@click.option("--date", "day", help="Today, as 2026-11-25; without it the computer's date.")
@click.option(
    "--ask/--no-ask",
    "asks",
    default=None,
    help="Ask one question after the other; without either, only at a terminal.",
)
@click.option("--by", default="installer", show_default=True, help="Who answers, for the record.")
@click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json"]),
    default="table",
    show_default=True,
    help="For people or for programs.",
)
@_WIDTH
def _find_command(
    job: Path,
    words: str,
    function: str,
    group: str,
    place: str,
    premises: str,
    fob: str,
    answers: str,
    cured: tuple[str, ...],
    diary_table: Path | None,
    day: str | None,
    asks: bool | None,
    by: str,
    form: str,
    width: int,
) -> int:
    """Follow a complaint on a JOB: likely causes, the next best test, then the cure.

    With --ask the answers are written into the job's record as they come; without, nothing
    is written.

    \b
    Example: farpress faults find examples/larkfen-house --function "open gate"
             --place street --complaint "works at the gate, not from the street" --no-ask
    """
    import sys
    from datetime import date, datetime

    from farpress.case.door import open_job
    from farpress.cli.text import wrapped
    from farpress.dates import day_wanted
    from farpress.errors import InputError
    from farpress.faults.ask import About, match_complaint, open_hunt
    from farpress.faults.noise_diary import noise_diary, noted_from_csv, noted_from_events
    from farpress.record.register import draw_register
    from farpress.record.store import FILE_NAME, open_record

    case = open_job(job)
    folder = case.folder or job
    matches = match_complaint(words)
    if not matches:
        raise InputError(
            f"'{words}' sounds like none of the complaints that are known; 'farpress faults complaints' lists"
            " them, take its number"
        )
    interactive = sys.stdin.isatty() if asks is None else asks
    complaint = _picked(matches, interactive)
    register = diary = None
    if (folder / FILE_NAME).is_file():
        with open_record(folder) as record:
            events = record.events(job=case.job.job)
        register, diary = (
            draw_register(events),
            noise_diary(noted_from_events(events, datetime.now().astimezone().tzinfo)),
        )
    if diary_table is not None:
        diary = noise_diary(noted_from_csv(diary_table.read_text(encoding="utf-8-sig")))
    if fob and register is not None and fob in register.fobs and not group:
        group = register.fobs[fob].group if register.fobs[fob].group in case.job.groups else ""
    hunt = open_hunt(
        case,
        complaint,
        About(function, group, place, premises, fob),
        register=register,
        today=day_wanted(day) if day else date.today(),
        diary=diary,
    )
    for name, answer in _answers(answers):
        hunt = hunt.answer(name, answer)
    for name in cured:
        hunt = hunt.cure_failed(name)
    if form == "json":
        click.echo(hunt_json(hunt, matches))
        return 0
    others = [match.complaint.says for match in matches[1:3]] if matches[0].score < 1.0 else []
    lines = [f"{complaint.number}. {complaint.says}"]
    lines += wrapped(f"(or: {'; '.join(others)})", width, "   ", "   ") if others and not interactive else []
    click.echo("\n".join([*lines, "", *ranking(hunt, width)]))
    if not interactive:
        click.echo("\n".join(["", *step_lines(hunt, width)]))
        return 0
    with open_record(folder) as record:
        _ask(hunt, record, case, words, by, width)
    return 0


def _picked(matches: tuple[Match, ...], interactive: bool) -> Complaint:
    if not interactive or len(matches) == 1 or matches[0].score > 1.5 * matches[1].score:
        return matches[0].complaint
    for number, match in enumerate(matches, start=1):
        click.echo(f"{number}  {match.complaint.says}")
    choice = click.prompt("Which is it?", type=click.IntRange(1, len(matches)), default=1)
    return matches[int(choice) - 1].complaint


def _answers(text: str) -> list[tuple[str, bool]]:
    from farpress.errors import InputError

    found = []
    for piece in (answer.strip() for answer in text.split(",") if answer.strip()):
        name, _, answer = piece.partition("=")
        word = answer.strip().casefold()
        if word not in ("yes", "no", "y", "n"):
            raise InputError(f"'{piece}' is no answer; write it as 'fob lamp=yes' or 'fob lamp=no'")
        found.append((name.strip(), word.startswith("y")))
    return found


def _ask(hunt: FaultHunt, record: Record, case: Case, words: str, by: str, width: int) -> None:
    """One question after the other, until it is cured or given up."""
    from farpress.errors import InputError
    from farpress.faults.entries import record_answer, record_close, record_report

    fault = record_report(record, case, words, hunt, by=by)
    click.echo(
        f"\nNoted as {fault}. Answer yes or no, 'skip' for a test that cannot be done now, 'stop' to leave it"
        " open."
    )
    while True:
        step = hunt.step()
        click.echo("\n".join(["", *step_lines(hunt, width)]))
        if step.kind == "end":
            return
        question = "Your answer" if step.test is not None else "Is the complaint gone after that?"
        answer = click.prompt(question, type=click.Choice(["yes", "no", "skip", "stop"]), show_choices=True)
        if answer == "stop":
            click.echo(f"{fault} stays open.")
            return
        if answer == "skip" and step.test is not None:
            hunt = hunt.without(step.test.name)
            continue
        if step.test is not None:
            try:
                hunt = hunt.answer(step.test.name, answer == "yes")
            except InputError as error:
                click.echo(str(error))
                continue
            record_answer(record, case, fault, step.test, answer == "yes", by=by)
            click.echo("\n".join(["", *ranking(hunt, width)]))
        elif step.cause is not None and answer == "yes":
            record_close(record, case, fault, step.cause.says, step.cause.cure, by=by)
            click.echo(f"{fault} is closed: {step.cause.says}.")
            return
        elif step.cause is not None:
            hunt = hunt.cure_failed(step.cause.name)


@command.command("log")
@_JOB
@click.option("--close", "fault", help="Close a fault that was left open, as F0007; give cause and cure.")
@click.option("--cause", default="", help="What it was.")
@click.option("--cure", default="", help="What was done.")
@click.option("--minutes", type=float, help="Time spent.")
@click.option("--by", default="installer", show_default=True, help="Who closes it.")
@_WIDTH
def _log_command(
    job: Path, fault: str | None, cause: str, cure: str, minutes: float | None, by: str, width: int
) -> int:
    """The faults of a JOB with answers, cause and cure; close one that was left open.

    Example: farpress faults log examples/larkfen-house
    """
    from farpress.case.door import open_job
    from farpress.cli.text import wrapped
    from farpress.errors import InputError
    from farpress.faults.entries import fault_ids, record_close
    from farpress.record.store import open_record

    case = open_job(job)
    with open_record(case.folder or job) as record:
        events = record.events(job=case.job.job, kinds=("fault reported", "fault answered", "fault closed"))
        if fault is not None:
            still = fault_ids(events)
            if fault not in still:
                raise InputError(f"'{fault}' is not open; open are {', '.join(still) or 'none'}")
            if not cause or not cure:
                raise InputError("give --cause and --cure, in words")
            record_close(record, case, fault, cause, cure, by=by, minutes=minutes)
            events = record.events(
                job=case.job.job, kinds=("fault reported", "fault answered", "fault closed")
            )
    for event in events:
        match event.act:
            case FaultReported(fault=name, complaint=complaint, about=about):
                text = f"{name} {complaint} {f'({about})' if about else ''}"
            case FaultAnswered(fault=name, test=test, answer=answer):
                text = f"{name} {test}: {answer}"
            case FaultClosed(fault=name, cause=its_cause, cure=its_cure):
                text = f"{name} closed: {its_cause}. {its_cure}"
            case UnknownAct(because=because):
                text = f"cannot be read: {because}"
            case _:
                continue
        click.echo("\n".join(wrapped(f"{event.moment[:16].replace('T', ' ')} {text}", width, "", "      ")))
    if not events:
        click.echo("No fault is in the record.")
    return 0


@command.command("diary")
@_JOB
@click.option(
    "--csv",
    "table",
    type=click.Path(path_type=Path, dir_okay=False, exists=True),
    help=(
        "A diary kept on paper, as a table with the columns time and what (worked, failed, burst), and if"
        " kept place and fob."
    ),
)
@click.option(
    "--add", "what", type=click.Choice(["worked", "failed", "burst"]), help="Note one press or burst, now."
)
@click.option("--premises", default="", help="Where; without it the job's first.")
@click.option("--by", default="installer", show_default=True, help="Who notes it.")
@_WIDTH
def _diary_command(
    job: Path, table: Path | None, what: str | None, premises: str, by: str, width: int
) -> int:
    """Presses of a JOB by hour, and whether a beat is in the bursts that were noted.

    Example: farpress faults diary examples/larkfen-house --csv diary.csv
    """
    from datetime import datetime

    from farpress.case.door import open_job
    from farpress.cli.text import bar, wrapped
    from farpress.faults.noise_diary import add_noted, noise_diary, noted_from_csv, noted_from_events
    from farpress.record.store import open_record

    case = open_job(job)
    where = premises or next(iter(case.job.premises))
    if table is not None:
        noted = noted_from_csv(table.read_text(encoding="utf-8-sig"))
    else:
        with open_record(case.folder or job) as record:
            if what is not None:
                add_noted(record, case.job.job, where, what, by=by)
            noted = noted_from_events(record.events(job=case.job.job), datetime.now().astimezone().tzinfo)
    diary = noise_diary(noted)
    for hour in diary.hours:
        click.echo(
            f"{hour.hour:02d}:00  {hour.failures:3} of {hour.tries:3} failed "
            f" {bar(hour.failures / hour.tries, 20):20} {hour.low:4.0%} to"
            f" {hour.high:4.0%}{'  <' if hour.hour in diary.worst else ''}"
        )
    for text in diary.says:
        click.echo("\n".join(wrapped(text, width)))
    return 0
