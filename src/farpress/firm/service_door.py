"""What every request to the firm's service passes: the log without names, and the door that wants a key."""

from __future__ import annotations

import base64
import json
import time
from collections.abc import Callable
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import JSONResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from farpress.errors import InputError, RecordError
from farpress.record.members import NOBODY, enter
from farpress.record.store import Record
from farpress.web.bodies import drain
from farpress.web.pace import Pace

__all__ = ["LARGEST_BODY", "TRIES", "JsonAnswer", "KeyDoor", "Logged"]

TRIES: Final = (10, 300.0)
"""Wrong keys from one address within so many seconds before it has to wait; our choice."""

LONGEST_NAME: Final = 80
"""Characters of a name that its wrong keys are counted under; our choice."""

LARGEST_BODY: Final = 200_000_000
"""Bytes of a request; our choice: a job with its plans has some ten million."""

OPEN_TO_ALL: Final = ("/", "/health")
"""Addresses answered without a key: nothing personal is there."""

_HEADERS: Final = {
    "X-Content-Type-Options": "nosniff",
    "Cache-Control": "no-store",
    "Referrer-Policy": "no-referrer",
    "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'",
}


class JsonAnswer(JSONResponse):
    """JSON with sorted keys; what is refused says so in `says`."""

    def render(self, content: Any) -> bytes:
        """As bytes."""
        return json.dumps(content, ensure_ascii=False, sort_keys=True).encode()


class Logged:
    """One line of the log a request, and the headers that every answer carries."""

    def __init__(self, app: ASGIApp, *, tell: Callable[..., None]) -> None:
        """Stand outermost."""
        self._app, self._tell = app, tell

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let it through; a fault of ours is told by its kind only, because its text could hold a name."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        began, status = time.monotonic(), 0
        told: dict[str, object] = {"route": "unknown"}
        scope.setdefault("state", {})["told"] = told

        async def sending(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                MutableHeaders(scope=message).update(_HEADERS)
            await send(message)

        try:
            await self._app(scope, receive, sending)
        except Exception as error:
            told["fault"] = type(error).__name__
            if not status:
                mistake = JsonAnswer({"says": "The service made a mistake; nothing was written."}, 500)
                await mistake(scope, receive, sending)
        duration_ms = round(1000 * (time.monotonic() - began))
        self._tell("request", method=scope["method"], status=status, ms=duration_ms, **told)


class KeyDoor:
    """Lets members with their key in; who they are is `request.state.member` from here on."""

    def __init__(self, app: ASGIApp, *, record: Record, wrong_keys: Pace) -> None:
        """Stand before what needs a member."""
        self._app, self._record, self._wrong_keys = app, record, wrong_keys

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a member through, or say why not."""
        if scope["type"] != "http" or (scope["method"] == "GET" and scope["path"] in OPEN_TO_ALL):
            await self._app(scope, receive, send)
            return
        client = scope.get("client")
        address = client[0] if client else "?"
        header = Headers(scope=scope).get("authorization", "")
        refusal = await run_in_threadpool(self._refusal, scope["state"], header, address)
        if refusal is not None:
            await drain(receive, most=LARGEST_BODY)
        await (refusal or self._app)(scope, receive, send)

    def _refusal(self, state: dict[str, Any], header: str, address: str) -> JsonAnswer | None:
        """Why not; None for a member, who is then known."""
        name = key = ""
        try:
            name, key = _name_and_key(header)
            # behind a proxy all share one address: a wrong key makes its own name wait, not everybody
            who = f"{address} {name.casefold()[:LONGEST_NAME]}"
            if self._wrong_keys.wait_s(who) > 0:
                return JsonAnswer({"says": "Too many wrong keys; wait some minutes."}, 429)
            member = enter(self._record, name, key)
        except (InputError, ValueError):
            if key:
                self._wrong_keys.count(who)
            return _unknown("Say who you are: name and key of a member.")
        except RecordError as error:
            return JsonAnswer({"says": str(error)}, 503)
        if member != NOBODY and not member.has_key:
            return _unknown(
                "Over the network a member needs a key: 'farpress firm member change NAME --new-key' makes"
                " one."
            )
        state["member"] = member
        state["told"]["member"] = member.mark
        return None


def _name_and_key(header: str) -> tuple[str, str]:
    """Out of the header of HTTP Basic authentication (RFC 7617); empty without one.

    Raises:
        ValueError: it is no text in base64.
    """
    if not header.startswith("Basic "):
        return "", ""
    name, _, key = base64.b64decode(header.removeprefix("Basic "), validate=True).decode().partition(":")
    return name, key


def _unknown(says: str) -> JsonAnswer:
    return JsonAnswer({"says": says}, 401, {"WWW-Authenticate": 'Basic realm="farpress"'})
