"""Questions to the register: search, history, check, due, export, labels, list."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

if TYPE_CHECKING:
    from collections.abc import Sequence

    from farpress.domain.event import Event
    from farpress.domain.register import Fob, FobRegister
    from farpress.keys.asking import AskedBook
    from farpress.keys.memory_matters import Matter
    from farpress.record.persons import PersonEntry
    from farpress.record.store import Record

__all__ = ["QUESTIONS"]

JOB = click.argument("job", type=click.Path(path_type=Path))
FORM = click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json"]),
    default="table",
    show_default=True,
    help="For people or for programs.",
)
ON = click.option(
    "--on",
    type=click.DateTime(["%Y-%m-%d", "%Y-%m-%dT%H:%M"]),
    help="As of this day, as 2026-11-30; now by default.",
)


EMPTY: Final = "The register is empty. Take a list over ('keys import') or fobs into stock ('keys receive')."


@click.command("search")
@JOB
@click.argument("words", nargs=-1)
@FORM
def _search(job: Path, words: tuple[str, ...], form: str) -> int:
    """Fobs by label, holder, organisation, group, receiver or slot; without words all.

    Example: farpress keys search my-job vale
    """
    from farpress.keys.asking import AskedBook, opened

    with opened(AskedBook, job) as book:
        found, people = book.search(" ".join(words)), book.people
        empty = "" if found else _empty(book, book.register)
    if form == "json":
        click.echo(_json([_fob(fob, people) for fob in found]))
        return 0
    from farpress.cli.text import paragraph, table
    from farpress.keys.find import holder_of

    rows = [
        (fob.label, str(fob.state), holder_of(fob, people), fob.organisation, _where(fob)) for fob in found
    ]
    click.echo(
        table(rows, head=("fob", "state", "holder", "organisation", "learned at (slot)"))
        if rows
        else paragraph(
            empty
            or f"Nothing fits '{' '.join(words)}'. Each word must be in the label, serial, holder,"
            f" organisation, group, receiver or slot."
        )
    )
    return 0


@click.command("history")
@JOB
@click.argument("fob")
@FORM
def _history(job: Path, fob: str, form: str) -> int:
    """Everything that was recorded about one fob.

    Example: farpress keys history my-job BM-047
    """
    from farpress.keys.book import open_register
    from farpress.keys.telling import told

    with open_register(job) as book:
        events, people = book.events_of(fob), book.people
    if form == "json":
        click.echo(
            _json(
                [
                    {
                        "at": event.moment,
                        "by": event.by,
                        "kind": event.kind,
                        "body": event.particulars,
                        "origin": event.origin,
                        "number": event.number,
                    }
                    for event in events
                ]
            )
        )
        return 0
    from farpress.cli.text import table

    click.echo(
        table(
            [(event.moment[:16].replace("T", " "), event.by, told(event, people)) for event in events],
            head=("UTC", "by", "what"),
        )
    )
    return 0


@click.command("check")
@JOB
@ON
@FORM
def _check(job: Path, on: Any, form: str) -> int:
    """What does not fit together: ghosts, orphans, doubles, leavers, rights, room.

    Exit code 1 if something has to be done at once.

    Example: farpress keys check my-job
    """
    from farpress.keys.due import check_register

    return _matters(job, on, form, check_register, "Everything fits together.")


@click.command("due")
@JOB
@ON
@FORM
def _due(job: Path, on: Any, form: str) -> int:
    """What is due: deletions open, validity ended, receipts, low cells, names to delete.

    Exit code 1 if something has to be done at once.

    Example: farpress keys due my-job
    """
    from farpress.keys.due import due_matters

    return _matters(job, on, form, due_matters, "Nothing is due.")


def _matters(job: Path, on: Any, form: str, ask: Any, nothing: str) -> int:
    from datetime import UTC, datetime

    from farpress.keys.book import open_register

    now = on.replace(tzinfo=UTC) if on else datetime.now(UTC)
    with open_register(job) as book:
        register = book.register
        found: tuple[Matter, ...] = ask(register, book.people, book.case, now=now)
        empty = _empty(book, register)
    if form == "json":
        click.echo(
            _json(
                [
                    {
                        "urgent": matter.urgent,
                        "kind": matter.kind,
                        "about": matter.about,
                        "says": matter.says,
                        "by": matter.by,
                    }
                    for matter in found
                ]
            )
        )
    else:
        from farpress.cli.text import paragraph, table

        words = ("at once", "soon", "when there")
        if found:
            click.echo(table([(words[matter.urgent], matter.kind, matter.says) for matter in found]))
        if empty or not found:
            click.echo(paragraph(empty or nothing))
    return 1 if any(matter.urgent == 0 for matter in found) else 0


@click.command("export")
@JOB
@click.argument("target", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--without-names", is_flag=True, help="A mark instead of each name.")
def _export(job: Path, target: Path, without_names: bool) -> int:
    """Write the register to TARGET, .csv or .xlsx.

    Example: farpress keys export my-job register.xlsx --without-names
    """
    from farpress.errors import InputError
    from farpress.keys.book import open_register
    from farpress.keys.export import csv_text, register_table, xlsx_bytes
    from farpress.papers.typesetting.write import write_file

    if target.suffix.lower() not in (".csv", ".xlsx"):
        raise InputError(f"'{target.name}' should end in .csv or .xlsx.")
    with open_register(job) as book:
        book.needs_record()
        table = register_table(book.register, book.people, names=not without_names)
    write_file(
        target, xlsx_bytes(table) if target.suffix.lower() == ".xlsx" else csv_text(table).encode("utf-8-sig")
    )
    click.echo(
        f"{len(table) - 1} rows written to {target}"
        + ("." if without_names else ": it holds names; keep it as the register itself.")
    )
    return 0


@click.command("labels")
@click.argument("prefix")
@click.option("--first", type=int, default=1, show_default=True, help="First number.")
@click.option("--count", type=int, default=10, show_default=True, help="How many.")
@click.option("--digits", type=int, default=3, show_default=True, help="Digits of the number.")
def _labels(prefix: str, first: int, count: int, digits: int) -> int:
    """New labels with a check character (ISO/IEC 7064 MOD 37,36).

    Example: farpress keys labels BM --first 47 --count 2
    """
    from farpress.keys.export import label_rows

    for label in label_rows(prefix=prefix, first=first, count=count, digits=digits):
        click.echo(label)
    return 0


@click.command("verify")
@JOB
@click.option(
    "--noted", default="", help="An end that was noted before, as 62:4f3a9c12ab: must still be in the chain."
)
def _verify(job: Path, noted: str) -> int:
    """Look through the record's chain: was an entry changed or moved, or is one missing?

    The end it prints can be noted outside, on a signed paper: whoever writes a whole
    chain anew is found out by it. Exit code 1 if the chain does not hold, or the register
    kept beside it for speed was changed; that one is thrown away and drawn anew.

    Example: farpress keys verify my-job --noted 62:4f3a9c12ab
    """
    from farpress.cli.text import paragraph
    from farpress.domain.acts import ClockBehind
    from farpress.errors import InputError
    from farpress.keys.book import open_register
    from farpress.phrases import plural
    from farpress.record.name_proof import name_faults

    number, _, digest = noted.strip().lower().partition(":")
    if noted and not (number.isdigit() and len(digest) >= 8 and set(digest) <= set("0123456789abcdef")):
        raise InputError(
            f"'{noted}' is not an end as it is printed here; write the number, a colon and at least 8 of the"
            " signs, as 62:4f3a9c12ab."
        )
    with open_register(job) as book:
        found, ends, entries = book.record.breaches(), book.record.ends(), book.record.size()
        agrees, empty = (
            book.record.snapshot_agrees(job=book.job),
            "" if entries else _empty(book, book.register),
        )
        is_there = not noted or book.record.holds(int(number), digest)
        says = "" if agrees else _told_of_snapshot(book.record)
        changed, unproven = name_faults(book.record, job=book.job)
        behind = book.record.events(kinds=(ClockBehind.kind,))
    for breach in found:
        click.echo(paragraph(f"Chain {breach.origin}: {breach.says}.", rest="  "))
    for fault in changed:
        click.echo(paragraph(fault, rest="  "))
    if not agrees:
        click.echo(paragraph(says))
    if not is_there:
        click.echo(
            paragraph(
                f"No entry {number} of this record has {digest}: the chain that was noted then is not this"
                " one."
            )
        )
    if found or changed or not is_there:
        click.echo(
            paragraph(
                "Keep the file as it is, and lay the last backup beside it ('firm backup', or your own"
                " copies)."
            )
        )
        return 1
    if not agrees:
        click.echo("The entries themselves hold; what a question answered before now may have been wrong.")
        return 1
    if not entries:
        click.echo(paragraph(empty))
        return 0
    click.echo(f"{entries} entries, each bound to the one before: the record is whole.")
    if unproven:
        click.echo(
            paragraph(
                f"{plural(unproven, 'name')} of before names were sealed: whether they were changed since"
                " cannot be told."
            )
        )
    if behind:
        click.echo(paragraph(_told_of_clock(behind)))
    for origin, (last, end) in ends.items():
        if last:
            click.echo(f"Chain {origin} ends with {last}:{end[:16]}")
    return 0


def _told_of_clock(behind: Sequence[Event]) -> str:
    """Where the clock was set back: the order of the entries holds, their dates do not."""
    from farpress.domain.acts import ClockBehind
    from farpress.phrases import plural

    first = behind[0].act
    clock = first.clock if isinstance(first, ClockBehind) else ""
    return (
        f"{plural(len(behind), 'time')} the clock stood before the last entry, first on {clock[:10]} when"
        f" that was dated {behind[0].moment[:10]}. The order of the entries holds; what was written then is"
        " dated too late. Each such entry is preceded by one that says what the clock said ('keys history')."
    )


def _told_of_snapshot(record: Record) -> str:
    """Throw a changed register away, so that the next question draws it from the log."""
    from farpress.errors import RecordError

    says = "The register kept beside the log was not the one that the log gives: somebody changed it."
    try:
        record.drop_snapshots()
    except RecordError:
        return f"{says} It could not be thrown away, for the record cannot be written: do not trust a search."
    return f"{says} It is thrown away, and drawn anew from the log."


def _empty(book: AskedBook, register: FobRegister) -> str:
    """What to do where nothing is in the register, or there is no record at all; empty where there are
    fobs.
    """
    from farpress.keys.asking import NO_RECORD

    if not book.record.is_there:
        return NO_RECORD
    return "" if register.fobs else EMPTY


def _where(fob: Fob) -> str:
    places = dict.fromkeys((learned.receiver, learned.slot) for learned in fob.known_at)
    return ", ".join(f"{receiver}{f' ({slot})' if slot else ''}" for receiver, slot in places)


def _fob(fob: Fob, people: dict[str, PersonEntry]) -> dict[str, object]:
    from dataclasses import asdict

    from farpress.keys.find import holder_of

    return {**asdict(fob), "state": str(fob.state), "holder": holder_of(fob, people)}


def _json(value: Sequence[object]) -> str:
    import json

    return json.dumps(value, indent=2, sort_keys=True, ensure_ascii=False)


QUESTIONS: Final = (_search, _history, _check, _due, _export, _labels, _verify)
"""Added to the group `keys`."""
