"""How much a request may carry: a layer of the web stack that refuses the rest before it fills the memory."""

from __future__ import annotations

from collections.abc import Callable

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["BodyLimit", "drain"]


class BodyLimit:
    """Lets bodies up to a limit through; larger ones are refused, whatever length they declare."""

    def __init__(
        self, app: ASGIApp, *, limit: Callable[[Scope], int], refusal: Callable[[int], ASGIApp], drained: int
    ) -> None:
        """Stand before an application.

        Args:
            app: what lies behind.
            limit: of a request [bytes].
            refusal: what answers instead, made from the limit.
            drained: read on and thrown away before that answer [bytes].
        """
        self._app, self._limit, self._refusal, self._drained = app, limit, refusal, drained

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or say why not."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        limit = self._limit(scope)
        declared = Headers(scope=scope).get("content-length", "")
        if declared.isdigit() and int(declared) > limit:
            await drain(receive, most=self._drained)
            await self._refusal(limit)(scope, receive, send)
            return
        count = 0

        async def counted() -> Message:
            nonlocal count
            message = await receive()
            count += len(message.get("body", b""))
            if count > limit:
                raise _TooLarge(is_whole=not message.get("more_body", False))
            return message

        try:
            await self._app(scope, counted, send)
        except _TooLarge as error:
            if not error.is_whole:
                await drain(receive, most=self._drained)
            await self._refusal(limit)(scope, receive, send)


async def drain(receive: Receive, *, most: int) -> None:
    """Read the rest of a body and keep nothing, up to so many bytes.

    Whoever is cut off while it still sends never sees the answer.
    """
    count = 0
    while count < most:
        message = await receive()
        count += len(message.get("body", b""))
        if message["type"] == "http.disconnect" or not message.get("more_body", False):
            return


class _TooLarge(Exception):
    """A body went over its limit while it was read; whole if nothing more of it will come."""

    def __init__(self, *, is_whole: bool) -> None:
        self.is_whole = is_whole
        super().__init__()
