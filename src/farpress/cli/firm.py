"""farpress firm: many jobs on one shelf, many hands. The commands about single jobs; the others are beside
it.
"""

from __future__ import annotations

import importlib
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

if TYPE_CHECKING:
    from farpress.firm.shelf import Firm

__all__ = ["add", "archive", "command", "find", "opened", "shown", "start", "value_text", "versions"]

_ELSEWHERE: Final = {
    "checkout": "firm_copies",
    "checkin": "firm_copies",
    "knows": "firm_across",
    "rights": "firm_across",
    "due": "firm_due",
    "outlook": "firm_due",
    "road": "firm_due",
    "assess": "firm_across",
    "part": "firm_across",
    "member": "firm_keep",
    "audit": "firm_keep",
    "backup": "firm_keep",
    "check": "firm_keep",
    "restore": "firm_keep",
    "personal": "firm_keep",
    "forget": "firm_keep",
    "serve": "firm_keep",
}
"""Commands that stand in another module, which is imported only when one of them is asked for."""


class _Group(click.Group):
    """The commands of this module, and those beside it."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return [*self.commands, *_ELSEWHERE]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name in _ELSEWHERE:
            module = importlib.import_module(f"farpress.cli.{_ELSEWHERE[cmd_name]}")
            found: click.Command = module.COMMANDS[cmd_name]
            return found
        return super().get_command(ctx, cmd_name)


@click.group("firm", cls=_Group)
@click.option(
    "--database",
    envvar="FARPRESS_FIRM",
    default="firm.sqlite",
    show_default=True,
    help="File of the shelf, or postgresql://… (also FARPRESS_FIRM).",
)
@click.option(
    "--as", "name", envvar="FARPRESS_AS", default="", help="The member who acts (also FARPRESS_AS)."
)
@click.pass_context
def command(ctx: click.Context, database: str, name: str) -> None:
    """Many jobs on one shelf: versions, copies for laptops, questions over all of them.

    The shelf is one file, or one PostgreSQL database. The key of a member is read from the
    environment variable FARPRESS_KEY, or asked for.

    Example: farpress firm find morrowby
    """
    ctx.obj = {"database": database, "name": name}


def opened(ctx: click.Context) -> Firm:
    """The shelf that the group's options name; asks for a key where one is needed and none is given."""
    import os

    from farpress.errors import InputError
    from farpress.firm.shelf import open_firm

    key = os.environ.get("FARPRESS_KEY", "")
    try:
        firm = open_firm(ctx.obj["database"], name=ctx.obj["name"], key=key)
    except InputError as error:
        if "is missing" not in str(error) or not sys.stdin.isatty():
            raise
        firm = open_firm(
            ctx.obj["database"],
            name=ctx.obj["name"],
            key=click.prompt(f"Key of {ctx.obj['name']}", hide_input=True),
        )
    ctx.call_on_close(firm.close)
    return firm


def shown(value: Any) -> None:
    """Print as JSON."""
    import json

    click.echo(json.dumps(value, ensure_ascii=False, indent=2, sort_keys=True))


FORMAT = click.option(
    "--format",
    "form",
    type=click.Choice(["table", "json"]),
    default="table",
    show_default=True,
    help="For people or for programs.",
)


@command.command("start")
@click.option("--key", is_flag=True, help="Make a key for the first manager and print it once.")
@click.pass_context
def start(ctx: click.Context, key: bool) -> int:
    """Make a new, empty shelf. With --as NAME that person is its first manager.

    Example: farpress firm --database firm.sqlite --as "Hesper Marrow" start --key
    """
    from farpress.firm.shelf import start_firm

    firm, secret = start_firm(ctx.obj["database"], name=ctx.obj["name"], key=key)
    with firm:
        click.echo(
            "The shelf is made."
            + (
                f" {firm.who.name} is its manager."
                if firm.who.name
                else " It has no members yet: whoever can open it may do everything."
            )
        )
    if secret:
        click.echo(f"Key of {ctx.obj['name']}, shown this once: {secret}")
    return 0


@command.command("add")
@click.argument("jobs", metavar="JOB...", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--why", default="", help="Words for the list of versions.")
@click.option(
    "--with-faults", is_flag=True, help="Take jobs with faults too; they are reported until they are mended."
)
@click.pass_context
def add(ctx: click.Context, jobs: tuple[Path, ...], why: str, with_faults: bool) -> int:
    """Put job folders on the shelf, with their plans and their records.

    Exit code 1: some could not be put there; they are named.

    Example: farpress firm add jobs/larkfen-house jobs/tallowmere-court
    """
    from farpress.errors import FarpressError, JobFileError
    from farpress.phrases import plural

    firm = opened(ctx)
    failed = 0
    for folder in jobs:
        try:
            added = firm.add(folder, says=why, with_faults=with_faults)
        except FarpressError as error:
            failed += 1
            faults = (
                "\n".join(f"  {fault}" for fault in error.faults)
                if isinstance(error, JobFileError)
                else f"  {error}"
            )
            click.echo(f"{folder}: not put on the shelf\n{faults}", err=True)
            continue
        faults = f", with {plural(added.faults, 'fault')} in it" if added.faults else ""
        click.echo(f"{added.version.job}: on the shelf with {added.events} entries of its record{faults}")
    return 1 if failed else 0


@command.command("find")
@click.argument("words", nargs=-1)
@click.option("--person", default="", help="Only jobs that name this person.")
@click.option("--part", default="", help="Only jobs that use this part.")
@click.option("--town", default="", help="Only jobs with premises in this town.")
@click.option("--archived", is_flag=True, help="Those put away, instead of the others.")
@FORMAT
@click.pass_context
def find(
    ctx: click.Context, words: tuple[str, ...], person: str, part: str, town: str, archived: bool, form: str
) -> int:
    """List the jobs in which all WORDS stand; without words, all of them.

    Example: farpress firm find vardel "mill bank"
    """
    from farpress.phrases import plural

    found = opened(ctx).find(words, archived=archived, person=person, part=part, town=town)
    if form == "json":
        shown([entry.__dict__ for entry in found])
        return 0
    for entry in found:
        about = ", ".join(filter(None, (entry.customer, entry.address)))
        click.echo(f"{entry.job}\n    {about}; version {entry.head} of {entry.changed_at[:10]}")
    click.echo(plural(len(found), "job"))
    return 0


@command.command("versions")
@click.argument("job")
@click.option(
    "--difference",
    nargs=2,
    type=int,
    metavar="ONE OTHER",
    help="What changed from version ONE to version OTHER.",
)
@click.option("--text", type=int, metavar="N", help="Print the job file of version N.")
@FORMAT
@click.pass_context
def versions(
    ctx: click.Context, job: str, difference: tuple[int, int] | None, text: int | None, form: str
) -> int:
    """List the versions of a JOB, compare two of them, or print one.

    Example: farpress firm versions "Larkfen House" --difference 1 2
    """
    firm = opened(ctx)
    if text is not None:
        click.echo(firm.shelf.version(job, text).text, nl=False)
        return 0
    if difference is not None:
        changes = firm.difference(job, *difference)
        if form == "json":
            shown([{"path": list(change.path), "value": change.value} for change in changes])
        else:
            before = firm.shelf.version(job, difference[0])
            click.echo(
                "\n".join(_said(before.text, change) for change in changes)
                or "Nothing changed but remarks and spaces."
            )
        return 0
    names = {member.mark: member.name for member in _members(firm)}
    rows = [
        {
            "number": version.number,
            "at": version.at,
            "by": names.get(version.by, version.by),
            "says": version.says,
            "fingerprint": version.fingerprint,
            "files": len(version.files),
        }
        for version in firm.shelf.versions(job)
    ]
    if form == "json":
        shown(rows)
    else:
        for row in rows:
            click.echo(
                f"{row['number']:>4}  {str(row['at'])[:16].replace('T', ' ')} "
                f" {row['by']}{': ' + str(row['says']) if row['says'] else ''}"
            )
        for out in firm.shelf.outs(job):
            click.echo(
                f"A copy of version {out.version} is out since {out.at[:10]} with"
                f" {names.get(out.by, out.by)}."
            )
    return 0


@command.command("archive")
@click.argument("job")
@click.option("--why", default="", help="Words for the record.")
@click.option("--reopen", is_flag=True, help="Take it out again.")
@click.pass_context
def archive(ctx: click.Context, job: str, why: str, reopen: bool) -> int:
    """Put a JOB away: out of searches and of what is due; nothing of it is deleted.

    Example: farpress firm archive "Larkfen House" --why "house sold"
    """
    firm = opened(ctx)
    entry = firm.reopen(job) if reopen else firm.archive(job, why=why)
    click.echo(f"{entry.job} is {entry.state}.")
    return 0


def _members(firm: Firm) -> Any:
    from farpress.record.members import members

    return members(firm.shelf.record)


def _said(before: str, change: Any) -> str:
    from farpress.jobfile.text_to_values import values_of

    old: Any = values_of(before)
    for key in change.path:
        match old:
            case dict():
                old = old.get(str(key))
            case list() if isinstance(key, int) and key < len(old):
                old = old[key]
            case _:
                old = None
    return f"{'.'.join(map(str, change.path))}\n    {value_text(old)}  →  {value_text(change.value)}"


def value_text(value: Any) -> str:
    """A value of a job file in at most some 300 characters."""
    import json

    match value:
        case None:
            return "not there"
        case str():
            text = value
        case _:
            text = json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 300 else text[:300] + "…"
