"""Which account of this machine a connection comes from, as its kernel tells."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from ipaddress import ip_address
from pathlib import Path
from typing import Final

__all__ = ["TABLES", "account_of", "is_another_account"]

TABLES: Final = (Path("/proc/net/tcp"), Path("/proc/net/tcp6"))
"""The kernel's connections, each with its account; on Linux. man proc_net_tcp(5)."""

_ADMINISTRATOR: Final = 0
"""Whoever is this may read everything anyway."""


def account_of(
    client: tuple[str, int], server: tuple[str, int], tables: tuple[Path, ...] = TABLES
) -> int | None:
    """The account at the client's end of a connection on this machine; None where nothing tells.

    Args:
        client, server: addresses and ports of its two ends.
        tables: where the kernel tells of connections.
    """
    for local, remote, account in _connections(tables):
        if local == client and remote == server:
            return account
    return None


def is_another_account(client: tuple[str, int] | None, server: tuple[str, int] | None) -> bool:
    """Whether a connection surely comes from somebody else on this machine.

    Not sure is no: other systems do not tell, and there only who may log on to the machine can connect.
    """
    if client is None or server is None or not hasattr(os, "getuid"):
        return False
    account = account_of(client, server)
    return account is not None and account not in (os.getuid(), _ADMINISTRATOR)


def _connections(tables: tuple[Path, ...]) -> Iterator[tuple[tuple[str, int], tuple[str, int], int]]:
    for table in tables:
        try:
            lines = table.read_text(encoding="ascii").splitlines()[1:]
        except (OSError, UnicodeDecodeError):
            continue
        for line in lines:
            fields = line.split()
            if len(fields) > 7 and fields[7].isdigit():
                yield _end(fields[1]), _end(fields[2]), int(fields[7])


def _end(written: str) -> tuple[str, int]:
    """Address and port as the kernel writes them: words of four bytes in the machine's own order, in hex."""
    words, _, port = written.partition(":")
    starts = range(0, len(words), 8)
    raw = b"".join(int(words[start : start + 8], 16).to_bytes(4, sys.byteorder) for start in starts)
    address = ip_address(raw)
    mapped = getattr(address, "ipv4_mapped", None)
    return str(mapped or address), int(port, 16)
