"""Who may come in, and as what: pairing codes, sessions, roles, and how often one may try.

Alone on one machine (loopback) whoever opens the page from the account that runs the desk is the
installer. On the network, and from other accounts of the machine, nobody is anybody before the pairing
code shown at the desk has been typed in.
"""

from __future__ import annotations

import hmac
import secrets
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from enum import IntEnum
from typing import Final

from farpress.web.pace import Pace

__all__ = ["COOKIE", "Access", "DeskRole", "Session", "TooOften"]

COOKIE: Final = "farpress_session"
"""Name of the session's cookie."""

_SIGNS: Final = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
_LENGTH: Final = 8
SESSION_S: Final = 12 * 3600.0
"""A working day and a bit, from the last use: our choice."""

MOST_SESSIONS: Final = 200
"""Our choice; the oldest goes when one more comes."""

TRIES: Final = (5, 60.0)
"""Wrong codes allowed from one address within so many seconds: our choice. 32^8 codes cannot be tried out at
that pace."""

TRIES_ALL: Final = (30, 300.0)
"""Wrong codes allowed from everybody together within so many seconds, before one that erred already has
to wait: our choice. The pace of each address alone keeps 32^8 codes from being tried out."""


class DeskRole(IntEnum):
    """What somebody may do; each may do what the one before may."""

    READER = 1
    KEEPER = 2
    INSTALLER = 3

    @property
    def says(self) -> str:
        """In words."""
        return {
            1: "reader: looks at everything",
            2: "keeper: keys, trials, faults",
            3: "installer: changes everything",
        }[int(self)]


class TooOften(Exception):
    """Too many wrong codes; holds how long to wait [s]."""

    def __init__(self, wait_s: float) -> None:
        """Keep how long to wait."""
        self.wait_s = wait_s
        super().__init__(f"too many wrong codes; wait {wait_s:.0f} s")


@dataclass
class Session:
    """One browser that came in.

    Attributes:
        name: who it is, for the list of versions and the record.
        role: what it may do.
        mark: secret of the cookie.
        used: when it was last used, on the clock given to `Access`.
    """

    name: str
    role: DeskRole
    mark: str
    used: float


@dataclass
class Access:
    """The door of the desk.

    Attributes:
        shared: reachable from the network; without a code nobody comes in.
        codes: role → its pairing code; when not shared the installer's alone, for other accounts.
        clock: seconds that never run backwards.
    """

    shared: bool = False
    codes: dict[DeskRole, str] = field(default_factory=dict)
    clock: Callable[[], float] = time.monotonic
    _sessions: dict[str, Session] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def __post_init__(self) -> None:
        """Nobody has given a wrong code yet."""
        self._wrong = Pace(*TRIES, clock=lambda: self.clock())
        self._erred = Pace(1, TRIES_ALL[1], clock=lambda: self.clock())
        self._wrong_of_all = Pace(*TRIES_ALL, clock=lambda: self.clock())

    @classmethod
    def for_network(cls) -> Access:
        """A door with a fresh code for each role."""
        return cls(shared=True, codes={role: _fresh_code() for role in DeskRole})

    @classmethod
    def for_machine(cls) -> Access:
        """A door for the account that runs the desk, with a code for the other accounts of the machine."""
        return cls(codes={DeskRole.INSTALLER: _fresh_code()})

    def session(self, mark: str | None) -> Session | None:
        """The session of a cookie, if it is one and still valid."""
        with self._lock:
            found = self._sessions.get(mark or "")
            if found is None:
                return None
            if self.clock() - found.used > SESSION_S:
                del self._sessions[found.mark]
                return None
            found.used = self.clock()
            return found

    def enter_alone(self) -> Session:
        """Come in on the machine itself; only where the desk is not shared."""
        assert not self.shared
        return self._begin("installer", DeskRole.INSTALLER)

    def pair(self, code: str, *, name: str, address: str) -> Session | None:
        """Come in with a pairing code; None for a wrong one.

        Raises:
            TooOften: this address, or all together, gave too many wrong codes.
        """
        given = "".join(sign for sign in code.upper() if sign.isalnum())
        with self._lock:
            wait_s = self._wrong.wait_s(address)
            if self._erred.wait_s(address) > 0:
                # only who has erred waits for the others: whoever has the code and never missed comes in
                wait_s = max(wait_s, self._wrong_of_all.wait_s("all"))
            if wait_s > 0:
                raise TooOften(wait_s)
            role = next(
                (
                    role
                    for role, code in self.codes.items()
                    if hmac.compare_digest(code.encode(), given.encode())
                ),
                None,
            )
            if role is None:
                self._wrong.count(address)
                self._erred.count(address)
                self._wrong_of_all.count("all")
                return None
        shown = " ".join(name.split())[:60]
        return self._begin(shown or role.name.lower(), role)

    def leave(self, mark: str) -> None:
        """End a session."""
        with self._lock:
            self._sessions.pop(mark, None)

    def _begin(self, name: str, role: DeskRole) -> Session:
        with self._lock:
            taken = {session.name.casefold() for session in self._sessions.values()}
        wanted, number = name, 1
        while self.shared and name.casefold() in taken:
            # what is recorded in a name was done by who came in with it, and their undo is theirs
            number += 1
            name = f"{wanted} ({number})"
        made = Session(name, role, secrets.token_urlsafe(32), self.clock())
        with self._lock:
            while len(self._sessions) >= MOST_SESSIONS:
                oldest = min(self._sessions.values(), key=lambda session: session.used)
                del self._sessions[oldest.mark]
            self._sessions[made.mark] = made
        return made


def _fresh_code() -> str:
    return "".join(secrets.choice(_SIGNS) for _ in range(_LENGTH))
