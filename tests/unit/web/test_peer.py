"""Whose connection it is: a table as proc_net_tcp(5) describes it, and a connection of our own."""

from __future__ import annotations

import os
import socket
import sys
from pathlib import Path

import pytest

from farpress.web import peer

HEAD = "  sl  local_address rem_address   st tx_queue rx_queue tr tm->when retrnsmt   uid  timeout inode\n"
LITTLE = "   0: 0100007F:1F90 0100007F:C350 01 00000000:00000000 00:00000000 00000000  1234        0 42 1\n"
MAPPED = (
    "   1: 0000000000000000FFFF00000100007F:C351 0000000000000000FFFF00000100007F:1F90 01 00000000:00000000"
    " 00:00000000 00000000  4321        0 43 1\n"
)
HERE, THERE = ("127.0.0.1", 8080), ("127.0.0.1", 50000)


@pytest.mark.skipif(sys.byteorder != "little", reason="the lines are written in the order of such a machine")
def test_a_line_of_the_kernel_is_read_as_the_manual_says(tmp_path: Path) -> None:
    """0100007F:1F90 is 127.0.0.1:8080; both ends have to be the ones asked about; a mapped address counts."""
    table = tmp_path / "tcp"
    table.write_text(HEAD + LITTLE + MAPPED, encoding="ascii")

    assert peer.account_of(HERE, THERE, (table,)) == 1234
    assert peer.account_of(THERE, HERE, (table,)) is None
    assert peer.account_of(("127.0.0.1", 50001), HERE, (tmp_path / "none", table)) == 4321


@pytest.mark.skipif(not peer.TABLES[0].exists(), reason="elsewhere the kernel tells nobody")
def test_our_own_connection_is_ours_and_no_stranger_s() -> None:
    """Opened for real on this machine."""
    with socket.create_server(("127.0.0.1", 0)) as listening:
        server = listening.getsockname()
        with socket.create_connection(server) as joined:
            client = joined.getsockname()
            assert peer.account_of(client, server) == os.getuid()
            assert not peer.is_another_account(client, server)


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="elsewhere accounts have no number")
def test_another_account_is_told_and_what_nobody_tells_is_not(monkeypatch: pytest.MonkeyPatch) -> None:
    """The administrator may read everything anyway."""
    told: list[int | None] = [os.getuid() + 1, os.getuid(), 0, None]
    monkeypatch.setattr(peer, "account_of", lambda *_: told.pop(0))

    assert [peer.is_another_account(THERE, HERE) for _ in range(4)] == [True, False, False, False]
    assert not peer.is_another_account(None, HERE)
