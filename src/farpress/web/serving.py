"""Serve an application over HTTP until the process is told to end; requests in hand are finished.

One set of limits for both faces: headers, silent connections, connections at once. Requests are not logged
here, because their addresses hold names of jobs.
"""

from __future__ import annotations

import asyncio
import signal
import socket
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from ipaddress import ip_address
from pathlib import Path
from typing import ClassVar, Final

import h11
import uvicorn
from starlette.types import ASGIApp
from uvicorn.protocols.http.h11_impl import H11Protocol

__all__ = ["SILENT_S", "serve_app"]

SILENT_S: Final = 30
"""A connection that says nothing for so long, though it is its turn, is closed: our choice [s]."""

MOST_CONNECTIONS: Final = 400
"""At once; our choice: twenty people with some pages each."""

MOST_OF_ONE: Final = 100
"""Connections of one address at once: our choice, so that nobody takes all; this machine has no limit."""

MOST_HEADER_BYTES: Final = 65_536
"""Our choice."""


def serve_app(
    app: ASGIApp,
    listening: socket.socket,
    *,
    certificate: Path | None = None,
    key: Path | None = None,
    finish_s: int | None = None,
    ready: Callable[[], None] | None = None,
    ending: Callable[[], None] | None = None,
    is_quiet: bool = False,
) -> None:
    """Answer until SIGTERM or Ctrl-C.

    Args:
        app: what is served.
        listening: a socket that is bound already.
        certificate, key: for TLS.
        finish_s: requests in hand have so long to be finished [s]; as long as it takes if None.
        ready: called once requests are taken.
        ending: called once no more requests are taken, before those in hand are waited for.
        is_quiet: nothing is written to standard error, faults of ours neither; else those are, in full.

    Raises:
        KeyboardInterrupt: it was ended with Ctrl-C.
    """
    config = uvicorn.Config(
        app,
        http=_Protocol,
        ws="none",
        log_level="critical" if is_quiet else "warning",
        access_log=False,
        proxy_headers=False,  # whoever may write the header could choose whose pace is counted
        server_header=False,
        date_header=False,
        timeout_graceful_shutdown=finish_s,
        timeout_keep_alive=SILENT_S,
        limit_concurrency=MOST_CONNECTIONS,
        h11_max_incomplete_event_size=MOST_HEADER_BYTES,
        ssl_certfile=str(certificate) if certificate else None,
        ssl_keyfile=str(key) if key else None,
    )
    with _told_to_end():
        _Server(config, ready, ending).run(sockets=[listening])


def _is_here(address: str) -> bool:
    """Whether it is this machine, which a proxy that speaks for everybody runs on."""
    try:
        return ip_address(address).is_loopback
    except ValueError:
        return False


class _Server(uvicorn.Server):
    """Says when it takes requests, and that it ends before it waits for those in hand."""

    def __init__(
        self, config: uvicorn.Config, ready: Callable[[], None] | None, ending: Callable[[], None] | None
    ) -> None:
        self._ready, self._ending = ready, ending
        super().__init__(config)

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        if self._ready is not None:
            self._ready()

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        if self._ending is not None:
            self._ending()
        await super().shutdown(sockets)


class _Protocol(H11Protocol):
    """Closes a connection that is silent while a request, or the rest of one, is waited for."""

    _timer: asyncio.TimerHandle | None = None
    _in_head = True
    _address = ""
    _open: ClassVar[Counter[str]] = Counter()

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self._address = self.client[0] if self.client else ""
        self._open[self._address] += 1
        if self._open[self._address] > MOST_OF_ONE and not _is_here(self._address):
            transport.close()
            return
        self._wait()

    def data_received(self, data: bytes) -> None:
        if not self._in_head:  # a head that drips in byte by byte has no more time than one that is silent
            self._wait()
        super().data_received(data)
        self._in_head = self.conn.their_state is h11.IDLE

    def connection_lost(self, exc: Exception | None) -> None:
        self._open[self._address] -= 1
        if self._open[self._address] <= 0:
            del self._open[self._address]
        if self._timer is not None:
            self._timer.cancel()
        super().connection_lost(exc)

    def _wait(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
        self._timer = self.loop.call_later(SILENT_S, self._was_silent)

    def _was_silent(self) -> None:
        if self.timeout_keep_alive_task is not None:  # between two requests there is a timer already
            return
        cycle = self.cycle
        is_answering = cycle is not None and not cycle.response_complete and not cycle.more_body
        if is_answering or self.flow.read_paused:  # it is our turn
            self._wait()
        else:
            self.transport.close()


@contextmanager
def _told_to_end() -> Iterator[None]:
    """SIGTERM is an orderly end: uvicorn raises it again once it has ended, and that one is for nobody."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGTERM, lambda number, frame: None)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)
