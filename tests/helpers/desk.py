"""A desk that really serves, on a free port of this machine, over a copy of a job; and a small HTTP
client.
"""

from __future__ import annotations

import asyncio
import json
import os
import random
import shutil
import socket
import threading
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from helpers.project import EXAMPLES
from helpers.waiting import NEVER_S, until
from helpers.watched import close_pages_of

LOOSE = (100_000, 1.0)
"""A pace that no test reaches."""


@dataclass
class Answer:
    """What came back."""

    status: int
    headers: dict[str, str]
    text: str

    @property
    def json(self) -> Any:
        """As plain values."""
        return json.loads(self.text)


@dataclass
class Served:
    """A running desk."""

    port: int
    folder: Path
    app: Any
    cookie: str = ""
    extra: dict[str, str] = field(default_factory=dict)

    @property
    def address(self) -> str:
        """Where it answers."""
        return f"http://127.0.0.1:{self.port}"

    def ask(
        self,
        path: str,
        body: object = None,
        *,
        headers: dict[str, str] | None = None,
        data: bytes | None = None,
        method: str | None = None,
    ) -> Answer:
        """GET without a body, POST with one; refused answers are answers too."""
        sent = data if data is not None else (json.dumps(body).encode() if body is not None else None)
        given = {
            "Accept": "application/json",
            **({"Content-Type": "application/json"} if sent is not None else {}),
            **self.extra,
            **(headers or {}),
        }
        if self.cookie:
            given["Cookie"] = self.cookie
        request = urllib.request.Request(f"{self.address}{path}", data=sent, headers=given, method=method)
        opener = urllib.request.build_opener(_Straight)
        try:
            with opener.open(request, timeout=NEVER_S) as reply:
                answer = Answer(
                    reply.status,
                    {key.lower(): value for key, value in reply.headers.items()},
                    reply.read().decode("utf-8", "replace"),
                )
        except urllib.error.HTTPError as error:
            with error:
                answer = Answer(
                    error.code,
                    {key.lower(): value for key, value in error.headers.items()},
                    error.read().decode("utf-8", "replace"),
                )
        if "set-cookie" in answer.headers and not self.cookie:
            self.cookie = answer.headers["set-cookie"].split(";")[0]
        return answer


class _Straight(urllib.request.HTTPRedirectHandler):
    """Redirects are looked at, not followed."""

    def redirect_request(self, *_: Any, **__: Any) -> None:
        return None


@contextmanager
def served(
    where: Path,
    *,
    access: Any = None,
    pace: tuple[int, float] = LOOSE,
    is_warmed: bool = False,
    apart: bool = False,
) -> Iterator[Served]:
    """Serve a folder while the block runs; all in this process, where not asked otherwise."""
    import uvicorn

    from farpress.desk.app import make_app

    app = made = make_app(where, access=access, pace=pace, is_warmed=is_warmed, apart=apart)
    if os.environ.get("FARPRESS_SLOW"):
        app = _late(app, 0.1 * float(os.environ["FARPRESS_SLOW"]))
    listening = socket.socket()
    listening.bind(("127.0.0.1", 0))
    listening.listen(64)
    server = uvicorn.Server(
        uvicorn.Config(app, log_level="critical", access_log=False, timeout_graceful_shutdown=1, ws="none")
    )
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    until(lambda: server.started, "the desk takes requests")
    try:
        yield Served(listening.getsockname()[1], where, made)
    finally:
        close_pages_of(f"http://127.0.0.1:{listening.getsockname()[1]}/")
        server.should_exit = True
        server.force_exit = True
        thread.join(10)
        made.state.desk.close()  # a server that is forced to end leaves that out
        listening.close()


def _late(app: Any, most: float) -> Any:
    """The same desk, each answer late by chance: for looking for races by hand."""

    async def asked(scope: Any, receive: Any, send: Any) -> None:
        if scope["type"] == "http":
            await asyncio.sleep(random.uniform(0, most))
        await app(scope, receive, send)

    return asked


def copy_of(example: str, into: Path) -> Path:
    """A job folder of its own."""
    target = into / example
    shutil.copytree(EXAMPLES / example, target)
    return target
