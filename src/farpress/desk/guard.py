"""What every request has to pass: the right host, an honest sender, a bearable size and pace; and what every
answer carries.

Plain ASGI, outermost first. It knows nothing of jobs or pages.
"""

from __future__ import annotations

from typing import Final
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from farpress.web.bodies import BodyLimit
from farpress.web.pace import Pace

__all__ = ["FORM_BYTES", "UPLOAD_BYTES", "Guard"]

FORM_BYTES: Final = 1_000_000
"""Largest body of an ordinary request: our choice."""

UPLOAD_BYTES: Final = 30_000_000
"""Largest file to be imported: our choice; a page of a plan has a few megabytes."""

PACE: Final = (240, 10.0)
"""Requests from one address within so many seconds: our choice, four times what one busy person at the plan
makes."""

LOCAL: Final = frozenset({"127.0.0.1", "localhost", "[::1]"})

_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; media-src 'self';"
    " font-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none';"
    " worker-src 'self'; manifest-src 'self'"
)
_DRAWING_POLICY: Final = "default-src 'none'; style-src 'unsafe-inline'; sandbox"

_HEADERS: Final = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": (
        "same-origin"
    ),  # with no-referrer a browser hides the origin of our own forms from us, and they would be refused
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=(), usb=(), serial=(), bluetooth=()",
}


class Guard:
    """The outermost layer of the desk.

    Args:
        app: what lies behind it.
        shared: reachable from the network; then the host name is whatever the network calls it.
        upload_paths: ends of paths that may carry a file.
        most: pace allowed to one address, as requests and seconds.
    """

    def __init__(
        self,
        app: ASGIApp,
        *,
        shared: bool,
        upload_paths: tuple[str, ...] = (),
        most: tuple[int, float] = PACE,
    ) -> None:
        self._app = BodyLimit(app, limit=self._limit, refusal=_too_large, drained=4 * UPLOAD_BYTES)
        self._shared, self._uploads, self._pace = shared, upload_paths, Pace(*most)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or say why not."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        answering = self._refusal(scope) or self._app
        await answering(scope, receive, self._with_headers(scope, send))

    def _limit(self, scope: Scope) -> int:
        return UPLOAD_BYTES if scope["path"].endswith(self._uploads or ("\0",)) else FORM_BYTES

    def _refusal(self, scope: Scope) -> PlainTextResponse | None:
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        name = host.rsplit(":", 1)[0] if not host.endswith("]") else host
        if not self._shared and name.lower() not in LOCAL:
            return PlainTextResponse(
                "This desk answers only to its own machine, under the address it was opened with.", 421
            )
        if scope["method"] not in ("GET", "HEAD"):
            origin = headers.get("origin")
            site = headers.get("sec-fetch-site")
            if (origin is not None and urlsplit(origin).netloc != host) or site not in (
                None,
                "same-origin",
                "none",
            ):
                return PlainTextResponse(
                    "This request came from another page, so it was not carried out.", 403
                )
        client = scope.get("client")
        if not self._pace.admits(client[0] if client else "?"):
            return PlainTextResponse(
                "Too many requests in a short time. Wait a few seconds.", 429, {"Retry-After": "5"}
            )
        return None

    def _with_headers(self, scope: Scope, send: Send) -> Send:
        async def sending(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    headers.setdefault(name, value)
                is_drawing = headers.get("content-type", "").startswith("image/svg")
                headers["Content-Security-Policy"] = _DRAWING_POLICY if is_drawing else _POLICY
                headers.setdefault("Cache-Control", "no-store")
            await send(message)

        return sending


def _too_large(limit: int) -> PlainTextResponse:
    return PlainTextResponse(f"That is too large: at most {limit / 1e6:.0f} MB are taken here.", 413)
