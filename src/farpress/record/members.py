"""The members of a firm: who they are, what they may do, and the key that proves it.

The program holds to the roles. Whoever has the database's file or its own password can go
round them: on a shared machine give each person an account of the database server.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from farpress.domain.acts import MemberAdded, MemberChanged
from farpress.domain.role import NEEDED, Role
from farpress.errors import InputError
from farpress.record.store import Record

if TYPE_CHECKING:
    from collections.abc import Mapping

    from farpress.record.chain import Writing

__all__ = ["NOBODY", "Member", "add_member", "change_member", "enter", "members", "require_role"]

_COST: Final = {"n": 2**14, "r": 8, "p": 1}
"""scrypt, RFC 7914: 16 MiB and some tens of milliseconds for each try; our choice."""

_SIGNS: Final = "23456789abcdefghjkmnpqrstuvwxyz"


@dataclass(frozen=True)
class Member:
    """Somebody who works for the firm.

    Attributes:
        mark: stands for them in events.
        name: as they are called; empty once they left and asked for it.
        role: what they may do.
        state: "active" or "left".
        since: when they came, or changed last.
        has_key: a key is asked for.
    """

    mark: str
    name: str
    role: Role
    state: str = "active"
    since: str = ""
    has_key: bool = False


NOBODY: Final = Member("unnamed", "", Role.MANAGER)
"""Who acts on a shelf that has no members yet: whoever sits before it."""


def members(record: Record) -> tuple[Member, ...]:
    """Everybody, those who left too, in the order of names."""
    from sqlalchemy import select

    from farpress.record.shelf_tables import MEMBER

    with record._reading() as connection:
        return tuple(
            _member(row)
            for row in connection.execute(select(MEMBER).order_by(MEMBER.c.name, MEMBER.c.mark)).mappings()
        )


def enter(record: Record, name: str, key: str = "") -> Member:
    """The member of this name, if the key is right.

    Raises:
        InputError: no such member, one who left, several of one name, or a wrong key.
    """
    from sqlalchemy import select

    from farpress.record.shelf_tables import MEMBER

    with record._reading() as connection:
        rows = [
            dict(row)
            for row in connection.execute(select(MEMBER).where(MEMBER.c.state == "active")).mappings()
        ]
    if not rows and not name:
        return NOBODY
    found = [row for row in rows if name and name.casefold() in (row["name"].casefold(), row["mark"])]
    if not name:
        raise InputError(
            "This shelf has members: say who you are with --as NAME (or in the environment variable"
            " FARPRESS_AS)."
        )
    if len(found) != 1:
        raise InputError(
            f"There is {'no' if not found else 'more than one'} active member '{name}' here."
            + (" Give the mark instead of the name." if found else "")
        )
    if found[0]["lock"] and not _opens(found[0]["lock"], key):
        raise InputError(
            f"The key of {found[0]['name']} is {'wrong' if key else 'missing'}: give it in the environment"
            " variable FARPRESS_KEY, or type it when asked."
        )
    return _member(found[0])


def require_role(member: Member, what: str) -> None:
    """Refuse what a role does not cover.

    Raises:
        InputError: says which role is needed.
    """
    least, says = NEEDED[what]
    if not member.role.may(least):
        raise InputError(
            f"A {member.role} may not {says}; that takes a {least}. A manager can change roles with 'farpress"
            " firm member'."
        )


def add_member(record: Record, name: str, role: Role, *, by: Member, key: bool = False) -> tuple[Member, str]:
    """Enter somebody; the first one of a shelf is a manager. Gives the new member and, if asked for, a fresh
    key.

    Raises:
        InputError: an empty name, one that is there already, or no right to do so.
    """
    from sqlalchemy import insert

    from farpress.record.shelf_tables import MEMBER

    require_role(by, "lead")
    plain = " ".join(name.replace("\0", " ").split())
    if not plain:
        raise InputError("A member needs a name.")
    secret = _new_key() if key else ""
    with record.transaction(job="", by=by.mark) as work:
        there = _active(work)
        if any(member.name.casefold() == plain.casefold() for member in there.values()):
            raise InputError(f"There is a member '{plain}' already.")
        if not there and role is not Role.MANAGER:
            raise InputError(
                "The first member of a shelf is a manager: somebody has to be able to add the others."
            )
        mark = f"m{secrets.token_hex(4)}"
        event = work.append(MemberAdded(member=mark, role=role.value))
        row = {
            "mark": mark,
            "name": plain,
            "role": str(role),
            "lock": _lock(secret) if key else "",
            "state": "active",
            "since": event.moment,
        }
        work.connection.execute(insert(MEMBER).values(**row))
    return _member(row), secret


def change_member(
    record: Record,
    name: str,
    *,
    by: Member,
    role: Role | None = None,
    leaves: bool = False,
    key: bool = False,
) -> tuple[Member, str]:
    """Give another role or a new key, or enter that somebody left (the name goes with them).

    Raises:
        InputError: no such member, no right to do so, or nobody would be manager any more.
    """
    from sqlalchemy import update

    from farpress.record.shelf_tables import MEMBER

    require_role(by, "lead")
    secret = _new_key() if key else ""
    with record.transaction(job="", by=by.mark) as work:
        there = _active(work)
        found = [
            member for member in there.values() if name.casefold() in (member.name.casefold(), member.mark)
        ]
        if len(found) != 1:
            raise InputError(f"There is no active member '{name}' here.")
        member = found[0]
        managers = [
            other for other in there.values() if other.role is Role.MANAGER and other.mark != member.mark
        ]
        if not managers and (leaves or (role is not None and role is not Role.MANAGER)):
            raise InputError(f"{member.name} is the only manager; make somebody else a manager first.")
        values: dict[str, str] = {}
        if role is not None:
            values["role"] = str(role)
        if leaves:
            values |= {"state": "left"} | {"name": "", "lock": ""}
        if key:
            values["lock"] = _lock(secret)
        if not values:
            raise InputError("Say what changes: --role, --leaves or --new-key.")
        given: dict[str, Any] = {"role": str(role)} if role is not None else {}
        given |= {"state": "left"} if leaves else {}
        given |= {"lock": True} if key else {}
        event = work.append(MemberChanged(member=member.mark, **given))
        work.connection.execute(
            update(MEMBER).where(MEMBER.c.mark == member.mark).values(since=event.moment, **values)
        )
    return next(other for other in members(record) if other.mark == member.mark), secret


def _active(work: Writing) -> dict[str, Member]:
    from sqlalchemy import select

    from farpress.record.shelf_tables import MEMBER

    rows = work.connection.execute(select(MEMBER).where(MEMBER.c.state == "active")).mappings()
    return {row["mark"]: _member(row) for row in rows}


def _member(row: Mapping[Any, Any]) -> Member:
    return Member(row["mark"], row["name"], Role(row["role"]), row["state"], row["since"], bool(row["lock"]))


def _new_key() -> str:
    return "-".join("".join(secrets.choice(_SIGNS) for _ in range(5)) for _ in range(4))


def _lock(key: str) -> str:
    salt = secrets.token_bytes(16)
    return f"{salt.hex()}:{_scrypt(key, salt).hex()}"


def _opens(lock: str, key: str) -> bool:
    salt, _, wanted = lock.partition(":")
    return hmac.compare_digest(_scrypt(key, bytes.fromhex(salt)), bytes.fromhex(wanted))


def _scrypt(key: str, salt: bytes) -> bytes:
    return hashlib.scrypt(key.strip().lower().encode(), salt=salt, **_COST)
