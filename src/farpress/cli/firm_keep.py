"""farpress firm: members, audit, backup, personal data, and the service."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import click

from farpress.cli.firm import FORMAT, opened, shown
from farpress.record.chain import plain_of

__all__ = [
    "COMMANDS",
    "audit",
    "backup",
    "check",
    "forget",
    "member",
    "member_add",
    "member_change",
    "member_list",
    "personal",
    "restore",
    "serve",
]

_ROLES = click.Choice(["reader", "keeper", "installer", "manager"])


@click.group("member")
def member() -> None:
    """Who works for the firm, and what they may do.

    Example: farpress firm member add "Hesper Marrow" --role installer --key
    """


@member.command("add")
@click.argument("name")
@click.option(
    "--role", type=_ROLES, required=True, help="What they may do; each may do what the one before may."
)
@click.option("--key", is_flag=True, help="Make a key and print it once.")
@click.pass_context
def member_add(ctx: click.Context, name: str, role: str, key: bool) -> int:
    """Enter somebody. The first member of a shelf is a manager.

    Example: farpress firm member add "Torvin Ashgrove" --role keeper --key
    """
    from farpress.cli.text import paragraph
    from farpress.domain.role import Role
    from farpress.record.members import add_member

    firm = opened(ctx)
    made, secret = add_member(firm.shelf.record, name, Role(role), by=firm.who, key=key)
    click.echo(f"{made.name} is {made.role} (mark {made.mark}).")
    if not key:
        click.echo(
            paragraph(
                f"{made.name} has no key: whoever can open the shelf can work in that name. 'farpress firm"
                f' member change "{made.name}" --new-key\' gives one; over the network one is needed.'
            ),
            err=True,
        )
    if secret:
        click.echo(f"Key, shown this once: {secret}")
    return 0


@member.command("change")
@click.argument("name")
@click.option("--role", type=_ROLES, help="Another role.")
@click.option("--new-key", is_flag=True, help="Make a new key and print it once; the old one ends.")
@click.option(
    "--leaves",
    is_flag=True,
    help="Does not work here any more; the name is deleted, what was done stays under the mark.",
)
@click.pass_context
def member_change(ctx: click.Context, name: str, role: str | None, new_key: bool, leaves: bool) -> int:
    """Give somebody another role or a new key, or enter that they left.

    Example: farpress firm member change "Torvin Ashgrove" --role installer
    """
    from farpress.domain.role import Role
    from farpress.record.members import change_member

    firm = opened(ctx)
    made, secret = change_member(
        firm.shelf.record, name, by=firm.who, role=Role(role) if role else None, leaves=leaves, key=new_key
    )
    click.echo(f"{made.name or made.mark}: {made.role}, {made.state}.")
    if secret:
        click.echo(f"Key, shown this once: {secret}")
    return 0


@member.command("list")
@FORMAT
@click.pass_context
def member_list(ctx: click.Context, form: str) -> int:
    """List the members.

    Example: farpress firm member list
    """
    from farpress.record.members import members

    found = members(opened(ctx).shelf.record)
    if form == "json":
        shown([member.__dict__ for member in found])
    else:
        for member in found:
            click.echo(
                f"{member.mark}  {member.name or '(name deleted)'}: {member.role}, {member.state} since"
                f" {member.since[:10]}{', with a key' if member.has_key else ''}"
            )
    return 0


@click.command("audit")
@click.option("--job", help="Only of this job.")
@click.option(
    "--last", type=click.IntRange(1), default=50, show_default=True, help="So many entries, the newest last."
)
@FORMAT
@click.pass_context
def audit(ctx: click.Context, job: str | None, last: int, form: str) -> int:
    """Who did what and when, out of the record; and whether its chains hold.

    Exit code 1: an entry was changed or is missing.

    Example: farpress firm audit --job "Larkfen House"
    """
    from farpress.record.members import members

    firm = opened(ctx)
    firm.may("see the audit")
    names = {member.mark: member.name for member in members(firm.shelf.record) if member.name}
    events = firm.shelf.record.events(job=job)[-last:]
    breaches = firm.shelf.record.breaches()
    if form == "json":
        shown(
            {
                "events": [plain_of(event) for event in events],
                "breaches": [breach.__dict__ for breach in breaches],
            }
        )
    else:
        for event in events:
            about = ", ".join(
                f"{key} {value}"
                for key, value in event.particulars.items()
                if key not in ("fingerprint", "digest", "ticket")
            )
            click.echo(
                f"{event.moment[:16].replace('T', ' ')}  {names.get(event.by, event.by)} "
                f" {event.job or 'the shelf'}: {event.kind}{f' ({about})' if about else ''}"
            )
        click.echo(
            "Every chain holds."
            if not breaches
            else "\n".join(f"NOT SOUND: {breach.origin}: {breach.says}" for breach in breaches)
        )
    return 1 if breaches else 0


@click.command("backup")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.pass_context
def backup(ctx: click.Context, file: Path) -> int:
    """Write everything to one FILE, and read it back before it counts.

    Example: farpress firm backup firm-2026-11-25.backup
    """
    from farpress.record.backup import write_backup

    firm = opened(ctx)
    firm.may("keep safe")
    made = write_backup(firm.shelf.record, file, by=firm.who.mark)
    click.echo(
        f"{file}: {sum(made.rows.values())} rows, read back and sound. Digest {made.digest[:16]}. It holds"
        " names: keep it locked away."
    )
    return 0


@click.command("check")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
def check(file: Path) -> int:
    """Read a backup through: whole, unchanged, every chain of the record sound. Needs no shelf.

    Example: farpress firm check firm-2026-11-25.backup
    """
    from farpress.record.backup import check_backup

    made = check_backup(file)
    click.echo(
        f"{file} is sound: shape {made.shape};"
        f" {', '.join(f'{count} in {table}' for table, count in sorted(made.rows.items()))}. Digest"
        f" {made.digest[:16]}."
    )
    return 0


@click.command("restore")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.pass_context
def restore(ctx: click.Context, file: Path) -> int:
    """Fill a new shelf (--database) from a backup: all of it, or nothing.

    A backup of a file can be restored into PostgreSQL, and the other way round.

    Example: farpress firm --database new.sqlite restore firm-2026-11-25.backup
    """
    from farpress.record.backup import check_backup, restore_backup
    from farpress.record.store import open_record

    check_backup(file)  # before a new file is made
    with open_record(ctx.obj["database"]) as record:
        made = restore_backup(file, record, by="restore")
    click.echo(f"Restored: {sum(made.rows.values())} rows, every chain holds.")
    return 0


@click.command("personal")
@click.argument("name")
@click.pass_context
def personal(ctx: click.Context, name: str) -> int:
    """Print all that is kept about a person, over all jobs, as JSON to be handed over.

    Example: farpress firm personal "Pim Vardel" > pim-vardel.json
    """
    from farpress.firm.privacy import personal_data

    shown(personal_data(opened(ctx), name))
    return 0


@click.command("forget")
@click.argument("name")
@click.option("--yes", is_flag=True, help="Do it; without this it is only said what would be done.")
@click.pass_context
def forget(ctx: click.Context, name: str, yes: bool) -> int:
    """Delete a person's name over all jobs and all versions, and print the proof.

    Exit code 1: the name still stands somewhere; each place is named.

    Example: farpress firm forget "Pim Vardel" --yes > proof.json
    """
    from farpress.firm.privacy import forget, personal_data

    firm = opened(ctx)
    if not yes:
        jobs = personal_data(firm, name)["jobs"]
        for job, found in jobs.items():
            click.echo(
                f"{job}: {len(found['versions'])} versions, {len(found['names'])} names in the register,"
                f" {len(found['events'])} entries of the record"
            )
        click.echo("Nothing was deleted. With --yes the name goes; this cannot be taken back.")
        return 0
    proof = forget(firm, name)
    shown(proof.__dict__)
    for place in proof.remaining:
        click.echo(f"still there: {place}", err=True)
    for job, day in proof.copies:
        click.echo(f"a copy of {job} is out since {day}: the name is in it", err=True)
    return 1 if proof.remaining else 0


@click.command("serve")
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    help="Other than loopback only with a certificate and members with keys.",
)
@click.option("--port", type=click.IntRange(0, 65535), default=8433, show_default=True)
@click.option("--certificate", type=click.Path(path_type=Path, dir_okay=False, exists=True), help="For TLS.")
@click.option(
    "--key", type=click.Path(path_type=Path, dir_okay=False, exists=True), help="Of the certificate."
)
@click.pass_context
def serve(ctx: click.Context, host: str, port: int, certificate: Path | None, key: Path | None) -> int:
    """Serve the shelf: a health page at /health, and checkout and checkin for laptops.

    The log on standard error is a line of JSON a request, without names.

    Example: farpress firm serve --port 8433
    """
    from farpress.errors import FarpressError
    from farpress.record.shelf import open_shelf

    try:
        from farpress.firm.service import Service, serve
    except ImportError as error:
        raise FarpressError(
            f"The service needs some more packages ({error.name}). Install them with: pip install"
            " 'farpress[firm]'"
        ) from error

    database = ctx.obj["database"]
    if "://" not in database and not Path(database).is_file():
        opened(ctx)  # says what is missing
    with open_shelf(database) as shelf:
        service = Service(shelf, Path(database).resolve() if "://" not in database else None)
        serve(
            service,
            host=host,
            port=port,
            certificate=certificate,
            key=key,
            ready=lambda number: click.echo(f"Serving on {host}:{number}."),
        )
    return 0


COMMANDS: Final = {
    command.name: command for command in (member, audit, backup, check, restore, personal, forget, serve)
}
"""The commands of this module, by name."""
