"""farpress keys: the register; what happens to a fob is recorded here.

Questions stand in `keys_ask`, plans in `keys_plan`.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from farpress.cli.keys_ask import QUESTIONS
from farpress.cli.keys_import import IMPORTS
from farpress.cli.keys_lost import LOST
from farpress.cli.keys_overview import SECTIONS, Sections
from farpress.cli.keys_plan import PLANS
from farpress.cli.keys_who import WHO

if TYPE_CHECKING:
    from farpress.keys.people import Done

__all__ = ["SECTIONS", "command"]

_F = TypeVar("_F", bound=Callable[..., Any])

JOB = click.argument("job", type=click.Path(path_type=Path))
FOB = click.argument("fob")
BY = click.option(
    "--by", default="installer", show_default=True, help="Who records it: a role, or a person's mark."
)


@click.group("keys", cls=Sections)
def command() -> None:
    """Who holds which fob, and where it is learned.

    Everything is kept in the record beside the job; nothing is ever overwritten. A fob is
    named by its label, with or without hyphens and check character.

    Example: farpress keys search my-job "vale lowdrift"
    """


def _tell(done: Done) -> int:
    from farpress.cli.text import paragraph

    for sentence in done.says:
        click.echo(paragraph(sentence, rest="  "))
    return 0


@command.command("receive")
@JOB
@click.argument("labels", nargs=-1, required=True)
@click.option("--serial", default="", help="As printed; for one fob.")
@click.option(
    "--type", "type_", default="", help="Fob of the job's parts or of the catalogue, as F4 or fob-4."
)
@click.option("--cell-date", default="", help="When its cell was made or changed, as 2026-11.")
@BY
def _receive(job: Path, labels: tuple[str, ...], serial: str, type_: str, cell_date: str, by: str) -> int:
    """Take fobs into stock, all of them or, where something is wrong, none.

    Example: farpress keys receive my-job BM-047-P BM-048-N --type F4
    """
    from farpress.keys.book import open_register

    with open_register(job, by=by) as book:
        return _tell(book.receive(*labels, serial=serial, type=type_, cell_date=cell_date))


@command.command("issue")
@JOB
@FOB
@click.option("--to", "person", default="", help="Name or mark of the holder.")
@click.option("--pool", default="", help="Instead of a person: name of the pool.")
@click.option("--group", default="", help="Group of the job; its buttons are taken.")
@click.option("--organisation", default="", help="Tenant or firm.")
@click.option("--from", "valid_from", default="", help="First day, as 2026-12-01.")
@click.option("--until", "valid_to", default="", help="Last day.")
@click.option("--new", "new_person", is_flag=True, help="Enter the person if the name is new.")
@BY
def _issue(job: Path, fob: str, by: str, **words: Any) -> int:
    """Give a fob to a person or a pool.

    Example: farpress keys issue my-job BM-047 --to "Ondric Vale" --group fitters --new
    """
    from farpress.keys.book import open_register

    with open_register(job, by=by) as book:
        return _tell(book.issue(fob, **words))


@command.command("rights")
@JOB
@click.argument("fobs", nargs=-1, required=True)
@click.option("--group", required=True, help="Group of the job whose buttons they get.")
@BY
def _rights(job: Path, fobs: tuple[str, ...], group: str, by: str) -> int:
    """Give FOBS the buttons of another group; says what to learn and what to delete.

    Example: farpress keys rights my-job BM-047 --group managers
    """
    from farpress.keys.book import open_register

    with open_register(job, by=by) as book:
        return _tell(book.change_rights(*fobs, group=group))


@command.command("learn")
@JOB
@FOB
@click.argument("receiver")
@click.option("--slot", default="", help="Where it went in the receiver's memory.")
@click.option("--output", help="Output, where the buttons of its group do not say.")
@click.option("--button", help="Button, as 2 or '4 long'.")
@BY
def _learn(
    job: Path, fob: str, receiver: str, slot: str, output: str | None, button: str | None, by: str
) -> int:
    """Record that a fob was learned at RECEIVER, as oakmire/O1.

    Example: farpress keys learn my-job BM-047 oakmire/O1 --slot 112
    """
    from farpress.errors import InputError
    from farpress.keys.book import open_register

    if (output is None) != (button is None):
        raise InputError("Give both --output and --button, or neither.")
    with open_register(job, by=by) as book:
        return _tell(
            book.learn(fob, receiver, slot=slot, outputs=[(output, button)] if output and button else None)
        )


@command.command("delete")
@JOB
@click.argument("fobs", nargs=-1, required=True)
@click.argument("receiver")
@click.option("--evidence", required=True, help="How it was seen that the receiver does not obey any more.")
@BY
def _delete(job: Path, fobs: tuple[str, ...], receiver: str, evidence: str, by: str) -> int:
    """Record that FOBS were deleted at RECEIVER, with evidence: all or, where something is wrong, none.

    Example: farpress keys delete my-job BM-047 vessing/V1 --evidence "slot 40 empty, photograph 12"
    """
    from farpress.keys.book import open_register

    with open_register(job, by=by) as book:
        return _tell(book.delete(*fobs, receiver=receiver, evidence=evidence))


def _one_fob(name: str, method: str, says: str, example: str, **options: str) -> None:
    """A command that records one thing about one fob."""

    def run(job: Path, fob: str, by: str, **words: str) -> int:
        from farpress.keys.book import open_register

        with open_register(job, by=by) as book:
            return _tell(getattr(book, method)(fob, **words))

    run.__doc__ = f"{says}\n\n    Example: farpress keys {name} my-job BM-047{example}\n    "
    with_options: Callable[..., Any] = run
    for option, text in reversed(options.items()):
        with_options = click.option(f"--{option.replace('_', '-')}", default="", help=text)(with_options)
    command.command(name)(JOB(FOB(BY(with_options))))


_one_fob(
    "receipt",
    "sign",
    "The holder signed for a fob.",
    ' --evidence "sheet 3"',
    evidence="Where the signature is.",
)
_one_fob("hand-in", "hand_in", "A fob came back.", "", condition="In words.")
_one_fob("found", "found", "A lost fob turned up; says where it must be learned again.", "")
_one_fob("block", "block", "A fob shall not work for the time being.", ' --why "long leave"', why="In words.")
_one_fob("release", "release", "A blocked fob may work again.", "")
_one_fob("destroy", "destroy", "A fob was destroyed.", "")


@command.command("memory")
@JOB
@click.argument("receiver")
@click.argument("table", type=click.Path(path_type=Path, exists=True, dir_okay=False))
@BY
def _memory(job: Path, receiver: str, table: Path, by: str) -> int:
    """Record what RECEIVER really holds, from a list read out of it (TABLE, CSV or XLSX).

    Columns: label, serial, slot, output, button; a label, a serial or a slot is enough.
    Says at once what is there and should not be, and what should be there and is not.
    A head without rows: the memory is empty.

    Example: farpress keys memory my-job oakmire/O1 list-of-o1.csv
    """
    from farpress.keys.book import open_register
    from farpress.keys.memory import record_memory
    from farpress.keys.table import read_table

    rows = read_table(table)
    with open_register(job, by=by) as book:
        return _tell(record_memory(book, receiver, rows))


@command.command("heard")
@JOB
@click.argument("receiver")
@click.argument("fobs", nargs=-1, required=True)
@BY
def _heard(job: Path, receiver: str, fobs: tuple[str, ...], by: str) -> int:
    """Record that FOBS worked at RECEIVER just now: from here on 'keys counters' reckons.

    Example: farpress keys heard my-job sarnbeck/S1 BM-047 BM-048
    """
    from farpress.keys.book import open_register
    from farpress.keys.memory import record_heard

    with open_register(job, by=by) as book:
        return _tell(record_heard(book, receiver, fobs))


@command.command("replace-receiver")
@JOB
@click.argument("receiver")
@click.option("--why", default="", help="In words.")
@click.option("--copied", is_flag=True, help="Its learned records were carried over.")
@BY
def _replace_receiver(job: Path, receiver: str, why: str, copied: bool, by: str) -> int:
    """Record that RECEIVER was replaced; what the old one knew is gone unless it was carried over.

    Example: farpress keys replace-receiver my-job court/R1 --why "water in the housing"
    """
    from farpress.keys.book import open_register

    with open_register(job, by=by) as book:
        return _tell(book.replace_receiver(receiver, why=why, copied=copied))


@command.command("copy-rights")
@JOB
@click.argument("source")
@click.argument("target")
@click.option(
    "--fob", "fobs", multiple=True, help="Only this fob; may be repeated. Without it all that are issued."
)
@click.option("--write", is_flag=True, help="Record it; without it only shown.")
@BY
def _copy_rights(job: Path, source: str, target: str, fobs: tuple[str, ...], write: bool, by: str) -> int:
    """Who has a function at SOURCE gets that of the same kind at TARGET, on the same button.

    Example: farpress keys copy-rights my-job oakmire vessing --fob BM-047 --write
    """
    from farpress.keys.book import open_register

    with open_register(job, by=by) as book:
        _tell(book.copy_rights(source, target, fobs=fobs, dry_run=not write))
    if not write:
        click.echo("Nothing was written. Record it with --write.")
    return 0


@command.group("person")
def _person() -> None:
    """People of the register: enter, left, forget.

    Example: farpress keys person left my-job "Ondric Vale"
    """


@_person.command("add")
@JOB
@click.argument("name")
@click.option("--organisation", default="", help="Tenant or firm.")
@click.option("--contact", default="", help="Telephone or mail.")
@BY
def _person_add(job: Path, name: str, organisation: str, contact: str, by: str) -> int:
    """Enter a person.

    Example: farpress keys person add my-job "Ondric Vale" --organisation Brindlemark
    """
    from farpress.keys.book import open_register

    with open_register(job, by=by) as book:
        entered = book.add_person(name, organisation=organisation, contact=contact)
    click.echo(f"{entered.name} is entered; mark {entered.mark}.")
    return 0


@_person.command("left")
@JOB
@click.argument("names", nargs=-1, required=True)
@click.option("--on", type=click.DateTime(["%Y-%m-%d"]), help="Day, as 2026-11-30; today by default.")
@BY
def _person_left(job: Path, names: tuple[str, ...], on: Any, by: str) -> int:
    """People do not belong to the customer any more: what to call in, and until when their names are kept.

    Several who leave together are one act, with a list for each receiver of what is to
    be deleted there.

    Example: farpress keys person left my-job "Ondric Vale" "Ilva Brandt" --on 2026-11-30
    """
    from farpress.keys.book import open_register

    with open_register(job, by=by) as book:
        return _tell(book.people_left(names, on=on.date() if on else None))


@_person.command("forget")
@JOB
@click.argument("name", required=False)
@click.option("--due", is_flag=True, help="Everybody whose time has ended.")
@click.option("--why", default="", help="In words.")
@BY
def _person_forget(job: Path, name: str | None, due: bool, why: str, by: str) -> int:
    """Delete a name; the events stay, and one of them is the proof.

    Example: farpress keys person forget my-job --due
    """
    from datetime import date

    from farpress.errors import InputError
    from farpress.keys.book import open_register

    if bool(name) == due:
        raise InputError("Give a name, or --due for everybody whose time has ended.")
    with open_register(job, by=by) as book:
        done = book.delete_people_due(date.today()) if due else book.delete_person(str(name), why=why)
        if not done.says:
            click.echo("No name is due.")
        return _tell(done)


for _more in (*QUESTIONS, *WHO, *IMPORTS, *LOST, *PLANS):
    command.add_command(_more)
