"""The way both faces are served: silent connections, sizes, an orderly end."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import textwrap
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import chain, repeat

import pytest

from helpers.waiting import NEVER_S, until
from survey import ROOT

PROGRAM = """
    import socket, sys, time
    from starlette.applications import Starlette
    from starlette.concurrency import run_in_threadpool
    from starlette.middleware import Middleware
    from starlette.responses import PlainTextResponse
    from starlette.routing import Route
    from farpress.web import serving
    from farpress.web.bodies import BodyLimit

    async def echo(request):
        body = await request.body()
        return PlainTextResponse(str(len(body)))

    def slow(request):
        time.sleep(1.2)
        return PlainTextResponse("done")

    serving.SILENT_S = float(sys.argv[1])
    serving.MOST_OF_ONE = 5
    serving._is_here = lambda address: False
    app = Starlette(
        routes=[Route("/echo", echo, methods=["POST"]), Route("/slow", slow)],
        middleware=[Middleware(
            BodyLimit, limit=lambda scope: 1000, drained=10_000,
            refusal=lambda limit: PlainTextResponse(f"at most {limit}", 413),
        )],
    )
    listening = socket.create_server(("127.0.0.1", 0))
    number = listening.getsockname()[1]
    serving.serve_app(app, listening, ready=lambda: print(number, flush=True), ending=lambda: print("ending"))
    print("ended")
"""


IMPATIENT_S = 0.4
"""What counts as silence where a test is about it; elsewhere a client on a busy machine may take its time."""


@pytest.fixture
def running() -> Iterator[tuple[subprocess.Popen[str], int]]:
    """An application in a process of its own, and its port."""
    with _serving(NEVER_S) as program:
        yield program


@pytest.fixture
def impatient() -> Iterator[tuple[subprocess.Popen[str], int]]:
    """The same; whoever is silent for a moment is closed."""
    with _serving(IMPATIENT_S) as program:
        yield program


@contextmanager
def _serving(silent_s: float) -> Iterator[tuple[subprocess.Popen[str], int]]:
    with subprocess.Popen(
        [sys.executable, "-c", textwrap.dedent(PROGRAM), str(silent_s)],
        stdout=subprocess.PIPE,
        text=True,
        env=os.environ | {"PYTHONPATH": str(ROOT / "src")},
    ) as process:
        assert process.stdout is not None
        yield process, int(process.stdout.readline())
        process.kill()


def _said(port: int, sent: bytes) -> bytes:
    """All that comes back until the other side closes."""
    with socket.create_connection(("127.0.0.1", port), timeout=NEVER_S) as line:
        line.sendall(sent)
        got = b""
        while piece := line.recv(65536):
            got += piece
    return got


@pytest.mark.parametrize(
    "sent",
    [
        b"",
        b"GET /slow HT",
        b"POST /echo HTTP/1.1\r\nHost: x\r\nContent-Length: 50\r\n\r\nabc",
        b"POST /echo HTTP/1.1\r\nHost: x\r\nContent-Length: 2\r\n\r\nabGET /s",
    ],
    ids=["nothing", "half a line", "half a body", "a second half a line"],
)
def test_a_silent_connection_is_closed(impatient: tuple[subprocess.Popen[str], int], sent: bytes) -> None:
    """Whoever says nothing while it is their turn keeps no place."""
    answer = _said(impatient[1], sent)

    assert b"done" not in answer


def test_a_head_that_drips_in_has_no_more_time(impatient: tuple[subprocess.Popen[str], int]) -> None:
    """A byte now and then is no request: the connection is closed though it is never silent for long."""
    head = chain(b"GET /slow HTTP/1.1\r\nWords: ", repeat(ord("x")))
    with socket.create_connection(("127.0.0.1", impatient[1]), timeout=NEVER_S) as line:

        def is_closed() -> bool:
            try:
                line.sendall(bytes([next(head)]))
            except OSError:
                return True
            return False

        until(is_closed, "the connection is closed")


def test_one_address_does_not_take_all_connections(running: tuple[subprocess.Popen[str], int]) -> None:
    """The sixth of five is closed at once; when one of the five goes, another is taken."""
    lines = [socket.create_connection(("127.0.0.1", running[1]), timeout=NEVER_S) for _ in range(5)]
    for line in lines:
        line.sendall(b"POST /echo HTTP/1.1\r\nHost: x\r\nContent-Length: 1\r\n\r\na")
        assert b"200" in line.recv(65536)
    fitting = b"POST /echo HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Length: 1\r\n\r\na"
    try:
        refused = _said(running[1], fitting)
    except OSError:
        refused = b""
    assert refused == b""
    for line in lines:
        line.close()

    def is_taken() -> bool:
        try:
            return _said(running[1], fitting).endswith(b"1")
        except OSError:
            return False

    until(is_taken, "another is taken")


def test_an_answer_that_takes_long_is_no_silence(impatient: tuple[subprocess.Popen[str], int]) -> None:
    """It is our turn then; three times the patience, and it still comes. A busy machine may let the test be
    silent for too long before it has asked; then it asks again.
    """
    asked = b"GET /slow HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n"

    def is_answered() -> bool:
        try:
            return b"done" in _said(impatient[1], asked)
        except OSError:
            return False

    until(is_answered, "the answer comes whole")


@pytest.mark.parametrize("length", ["Content-Length: 1001", "Transfer-Encoding: chunked"])
def test_a_body_over_the_limit_is_refused(running: tuple[subprocess.Popen[str], int], length: str) -> None:
    """With its length told beforehand, and without; one within the limit is taken."""
    body = b"x" * 1001 if "1001" in length else b"3e9\r\n" + b"x" * 1001 + b"\r\n0\r\n\r\n"
    head = f"POST /echo HTTP/1.1\r\nHost: x\r\nConnection: close\r\n{length}\r\n\r\n".encode()

    assert b"at most 1000" in _said(running[1], head + body)
    fitting = (
        b"POST /echo HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Length: 1000\r\n\r\n" + b"x" * 1000
    )
    assert _said(running[1], fitting).endswith(b"1000")


def test_told_to_end_it_finishes_what_is_in_hand(running: tuple[subprocess.Popen[str], int]) -> None:
    """The answer comes, then the program goes on after serving, and ends well."""
    process, port = running
    with socket.create_connection(("127.0.0.1", port), timeout=NEVER_S) as line:
        line.sendall(b"GET /slow HTTP/1.1\r\nHost: x\r\n\r\n")
        with socket.create_connection(
            ("127.0.0.1", port), timeout=NEVER_S
        ) as other:  # the first one is at work now
            other.sendall(b"POST /echo HTTP/1.1\r\nHost: x\r\nContent-Length: 1\r\n\r\na")
            assert b"200" in other.recv(65536)
        process.send_signal(signal.SIGTERM)
        got = b""
        while piece := line.recv(65536):
            got += piece
    assert got.endswith(b"done")
    assert process.wait(NEVER_S) == 0
    assert process.stdout is not None
    assert process.stdout.read().split() == ["ending", "ended"]
