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

__all__ = ["add", "archive", "checkin", "checkout", "command", "find", "opened", "shown", "start", "versions"]

_ELSEWHERE: Final = {
    "knows": "firm_across",
    "rights": "firm_across",
    "due": "firm_across",
    "outlook": "firm_across",
    "road": "firm_across",
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
        faults = (
            f", with {added.faults} fault{'s' if added.faults != 1 else ''} in it" if added.faults else ""
        )
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
    found = opened(ctx).find(words, archived=archived, person=person, part=part, town=town)
    if form == "json":
        shown([one.__dict__ for one in found])
        return 0
    for one in found:
        click.echo(
            f"{one.job}\n    {', '.join(filter(None, (one.customer, one.address)))}; version {one.head} of"
            f" {one.changed_at[:10]}"
        )
    click.echo(f"{len(found)} job{'s' if len(found) != 1 else ''}")
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
            shown([{"path": list(one.path), "value": one.value} for one in changes])
        else:
            before = firm.shelf.version(job, difference[0])
            click.echo(
                "\n".join(_said(before.text, one) for one in changes)
                or "Nothing changed but remarks and spaces."
            )
        return 0
    names = {one.mark: one.name for one in _members(firm)}
    rows = [
        {
            "number": one.number,
            "at": one.at,
            "by": names.get(one.by, one.by),
            "says": one.says,
            "fingerprint": one.fingerprint,
            "files": len(one.files),
        }
        for one in firm.shelf.versions(job)
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


@command.command("checkout")
@click.argument("job")
@click.argument("folder", type=click.Path(path_type=Path))
@click.pass_context
def checkout(ctx: click.Context, job: str, folder: Path) -> int:
    """Take a copy of a JOB to a laptop: a new FOLDER with its file, plans and record.

    Nothing is locked meanwhile. With --database https://… the copy comes from a service.

    Example: farpress firm checkout "Larkfen House" larkfen
    """
    remote = _remote(ctx)
    if remote is not None:
        number = remote.check_out(job, folder).version
    else:
        from farpress.firm.moves import check_out

        number = check_out(opened(ctx), job, folder).number
    click.echo(
        f"{folder} holds version {number} of {job}. Bring it back with: farpress firm checkin {folder}"
    )
    return 0


@command.command("checkin")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--why", default="", help="Words for the list of versions.")
@click.option(
    "--made-on", type=int, metavar="N", help="The version the copy was made from, where its ticket is lost."
)
@click.option(
    "--with-faults",
    is_flag=True,
    help="Take a job file with faults, if nobody else changed the job meanwhile.",
)
@click.option(
    "--taken-out",
    multiple=True,
    metavar="NAME=MARK",
    help="A name that was taken out of the job since the copy went out.",
)
@click.pass_context
def checkin(
    ctx: click.Context,
    folder: Path,
    why: str,
    made_on: int | None,
    with_faults: bool,
    taken_out: tuple[str, ...],
) -> int:
    """Bring a copy back; both sides' changes are joined, or refused with both shown.

    Exit code 1: the same values were changed on both sides; nothing was written.

    Example: farpress firm checkin larkfen --why "aerial moved under the eaves"
    """
    from farpress.firm.moves import check_in
    from farpress.jobfile.merging import MergeRefused

    names = dict(one.rpartition("=")[::2] for one in taken_out)
    remote = _remote(ctx)
    try:
        if remote is not None:
            back = remote.check_in(folder, says=why, made_on=made_on)
        else:
            back = check_in(
                opened(ctx), folder, says=why, made_on=made_on, with_faults=with_faults, taken_out=names
            )
    except MergeRefused as error:
        click.echo("The same values were changed here and on the shelf; nothing was written.", err=True)
        for clash in error.clashes:
            path = ".".join(map(str, clash.path))
            click.echo(
                f"  {path}\n    before: {_value(clash.before)}\n    here:   {_value(clash.mine)}\n    shelf: "
                f" {_value(clash.theirs)}",
                err=True,
            )
        click.echo("Set each to what it shall be on both sides, then bring the copy back again.", err=True)
        return 1
    how = (
        ", joined with changes made meanwhile"
        if back.merged
        else ""
        if back.is_new
        else "; the copy had no change that was not there"
    )
    click.echo(
        f"{back.job} is at version {back.version} now{how}. {back.events_taken} entries of the record taken"
        f" in, {back.events_given} given."
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


def _remote(ctx: click.Context) -> Any:
    """The service, where the group's --database is an address of one."""
    import os

    address = ctx.obj["database"]
    if not address.startswith(("http://", "https://")):
        return None
    from farpress.firm.remote import Remote

    authority = os.environ.get("FARPRESS_CERTIFICATE")
    return Remote(
        address, ctx.obj["name"], os.environ.get("FARPRESS_KEY", ""), Path(authority) if authority else None
    )


def _members(firm: Firm) -> Any:
    from farpress.record.members import members

    return members(firm.shelf.record)


def _said(before: str, change: Any) -> str:
    from farpress.editing.workbench import values_of

    old: Any = values_of(before)
    for key in change.path:
        old = (
            old.get(str(key))
            if isinstance(old, dict)
            else old[key]
            if isinstance(old, list) and isinstance(key, int) and key < len(old)
            else None
        )
    return f"{'.'.join(map(str, change.path))}\n    {_value(old)}  →  {_value(change.value)}"


def _value(value: Any) -> str:
    import json

    text = (
        "not there"
        if value is None
        else value
        if isinstance(value, str)
        else json.dumps(value, ensure_ascii=False)
    )
    return text if len(text) <= 300 else text[:300] + "…"
